//! What the settled week of a layout says about its sizes.

use std::cell::OnceCell;
use std::rc::Rc;

use dragback_plant::climate::{AirChoice, MEAN_SLOT};
use dragback_plant::ids::{TransferId, VesselId};
use dragback_plant::layout::Layout as Vector;
use dragback_plant::network::{End, Law, LoopRoles};
use dragback_run::clock::{Clock, Hours};
use dragback_run::exact::{self, ExactOptions};
use dragback_run::settle::Settled;
use dragback_run::{Alarm, Cause};
use dragback_scenario::called;
use dragback_units::constants as unit;

use super::Limit;
use super::estimate::open_share;
use crate::case::{Case, StudyError};
use crate::figures::{Means, TOLD_KG_PER_M3};

/// Less water than this share of the rinse feed to treatment is the dust of the solver.
const DUST: f64 = 1.0e-4;
/// A feed that brings less than this share of what it should is cut by the level of the bath.
const FED: f64 = 0.997;

/// How long a layout is followed switch by switch, s: an alarm that batches trip against the means comes within weeks.
const FOLLOWED_S: f64 = 9.0 * unit::SECONDS_PER_WEEK;

/// The settled week of a layout in one air.
pub(super) struct Week {
    pub case: Case,
    pub settled: Rc<Settled>,
    pub air: AirChoice,
    /// Place of the loop in the network.
    pub place: usize,
    /// Rinse water that the recovered rinses should get, mean of the week, m³/s.
    pub feed_m3_per_s: f64,
    /// What [`Week::surfaces`] found.
    pub surfaces: OnceCell<Vec<Surface>>,
}

/// The surface of a tank over the week.
pub(super) struct Surface {
    vessel: VesselId,
    /// What evaporates from it, m³/s as water at 20 °C.
    m3_per_s: f64,
    /// Mean temperature, °C.
    temp_c: f64,
    /// Water activity of what stands in it, 0 to 1.
    activity: f64,
    /// What a plain surface loses in the air of the week, kg/m²·s.
    here_kg_per_m2_s: f64,
}

impl Week {
    pub(super) fn roles(&self) -> &LoopRoles {
        &self.case.plant.network().loops[self.place]
    }

    pub(super) fn means(&self) -> Means<'_> {
        Means::new(&self.case.plant, &self.settled.trace)
    }

    /// The strongest film that leaves on the work in any recorded hour of work, kg/m³.
    pub(super) fn worst_film_kg_per_m3(&self) -> f64 {
        let means = self.means();
        let films = means.films_at_work(self.roles()).map(|(_, film)| film);
        films.fold(0.0, f64::max)
    }

    /// Feeds of the rinses whose water is recovered.
    fn recovered_feeds(&self) -> Vec<TransferId> {
        let roles = self.roles();
        let feeds = roles.rinse_feed.iter().copied();
        feeds.filter(|t| roles.water_in.contains(t)).collect()
    }

    fn is_still(&self, v: VesselId) -> bool {
        // Among rinses, only a still one is pumped back to the bath.
        let (net, roles) = (self.case.plant.network(), self.roles());
        let is_pumped_back = |t: &TransferId| {
            let t = &net.transfers[t.index()];
            t.from == End::Vessel(v) && matches!(t.law, Law::Fixed { .. })
        };
        Some(v) != roles.holding && roles.returns.iter().any(is_pumped_back)
    }

    /// Water that the evaporator drives off in the air of a slot, m³/s: all that runs in, less what leaves on the work and what surfaces lose.
    pub(super) fn duty_m3_per_s(&self, slot: usize) -> f64 {
        self.runs_in_m3_per_s(|_| true) - self.surface_of_m3_per_s(slot, |_| true)
    }

    /// Water that runs in whether there is room for it or not, were the rinses fed in full, m³/s: not what refills a still rinse, which only makes good
    /// what the bath drew from it.
    pub(super) fn forced_m3_per_s(&self) -> f64 {
        self.runs_in_m3_per_s(|still| !still)
    }

    /// Water that runs in; what a supply brings counts by whether it refills a still rinse, m³/s.
    fn runs_in_m3_per_s(&self, counts: impl Fn(bool) -> bool) -> f64 {
        let (means, roles) = (self.means(), self.roles());
        let net = self.case.plant.network();
        let feeds = self.recovered_feeds();
        let is_forced = |t: &TransferId| {
            let stream = &net.transfers[t.index()];
            let is_refill = matches!((stream.from, stream.to), (End::Supply(..), End::Vessel(v)) if self.is_still(v));
            counts(is_refill) && !feeds.contains(t)
        };
        let others: Vec<TransferId> = roles.water_in.iter().copied().filter(is_forced).collect();
        let added = roles.additions.map_or(0.0, |a| {
            -means.rate(self.case.plant.layout().account(a) + Vector::WATER) / TOLD_KG_PER_M3
        });
        self.feed_m3_per_s + means.flow(&others) + added - means.flow(&roles.water_out)
    }

    /// Evaporation from the surfaces that keep water in the loop, in the air of a slot, were they as warm as they are, m³/s.
    pub(super) fn surface_m3_per_s(&self, slot: usize) -> f64 {
        self.surface_of_m3_per_s(slot, |v| !self.is_still(v))
    }

    /// The same of the vessels that count.
    fn surface_of_m3_per_s(&self, slot: usize, counts: impl Fn(VesselId) -> bool) -> f64 {
        self.surface_where_m3_per_s(slot, counts, |_| 0.0)
    }

    /// The same were each vessel warmer by some kelvin than it is.
    fn surface_where_m3_per_s(
        &self,
        slot: usize,
        counts: impl Fn(VesselId) -> bool,
        warmer_k: impl Fn(VesselId) -> f64,
    ) -> f64 {
        let own = self.air.slot(0.0, 0);
        let kept = self.surfaces().iter().filter(|s| counts(s.vessel));
        kept.map(|s| {
            if slot == own || s.here_kg_per_m2_s <= 0.0 {
                return s.m3_per_s;
            }
            let warm_c = s.temp_c + warmer_k(s.vessel);
            let there = self.flux(s.vessel, slot, warm_c, s.activity);
            s.m3_per_s * there / s.here_kg_per_m2_s
        })
        .sum()
    }

    /// The surfaces that keep water in the loop, as they are.
    fn surfaces(&self) -> &[Surface] {
        self.surfaces.get_or_init(|| {
            let (means, plant) = (self.means(), &self.case.plant);
            let own = self.air.slot(0.0, 0);
            let last = self.settled.trace.len() - 1;
            let y = self.settled.trace.row(last);
            let all = self.roles().keeping.iter();
            all.map(|&v| {
                let m3_per_s = means.rate(plant.layout().surface_water(v)) / TOLD_KG_PER_M3;
                let temp_c = means.mean(|y| plant.holdup(v, y).1);
                let activity = plant.water_activity(v, y).unwrap_or(1.0);
                // Where nothing evaporates in its own air, nothing is told of another.
                let here = if m3_per_s == 0.0 {
                    0.0
                } else {
                    self.flux(v, own, temp_c, activity)
                };
                Surface {
                    vessel: v,
                    m3_per_s,
                    temp_c,
                    activity,
                    here_kg_per_m2_s: here,
                }
            })
            .collect()
        })
    }

    /// Evaporation from a surface in the air of a slot, kg/m²·s.
    fn flux(&self, v: VesselId, slot: usize, temp_c: f64, activity: f64) -> f64 {
        let air = self.case.plant.air_over(v, slot);
        air.open_surface(temp_c, activity).evaporation_kg_per_m2_s
    }

    /// Whether the collection tank goes by a name.
    pub(super) fn is_collection(&self, name: &str) -> bool {
        self.is_called(self.roles().collection, name)
    }

    /// Whether the holding tank goes by a name.
    pub(super) fn is_holding(&self, name: &str) -> bool {
        self.is_called(self.roles().holding, name)
    }

    fn is_called(&self, v: Option<VesselId>, name: &str) -> bool {
        let vessels = &self.case.plant.network().vessels;
        v.is_some_and(|v| vessels[v.index()].name == name)
    }

    /// The tank that evaporates.
    pub(super) fn hot_tank(&self) -> VesselId {
        let roles = self.roles();
        roles.holding.unwrap_or(roles.bath)
    }

    /// Evaporation from the surface of the tank that evaporates, in the air of a slot, m³/s.
    pub(super) fn hot_surface_m3_per_s(&self, slot: usize) -> f64 {
        let hot = self.hot_tank();
        self.surface_of_m3_per_s(slot, |v| v == hot)
    }

    /// The same from all other surfaces, which are those of the rinses above all; these are as much warmer or colder as the room is.
    pub(super) fn cold_surface_m3_per_s(&self, slot: usize) -> f64 {
        let (hot, plant) = (self.hot_tank(), &self.case.plant);
        let own = self.air.slot(0.0, 0);
        let room_c = |v: VesselId, slot| {
            let climate = plant.network().vessels[v.index()].climate;
            plant.room(climate, slot).temp_c
        };
        let warmer_k = |v| room_c(v, slot) - room_c(v, own);
        self.surface_where_m3_per_s(slot, |v| v != hot, warmer_k)
    }

    /// Evaporation of one tower over its hours in the air of a slot, m³/s; `None` where none stands.
    pub(super) fn per_tower_m3_per_s(&self, slot: usize, set_c: f64) -> Option<f64> {
        let plant = &self.case.plant;
        let &tower = self.roles().towers.first()?;
        let v = self.hot_tank();
        let last = self.settled.trace.len() - 1;
        let y = self.settled.trace.row(last);
        let activity = plant.water_activity(v, y).unwrap_or(1.0);
        plant.tower_table(tower, slot).map(|table| {
            let (kg_per_s, _) = table.evaporation_and_heat(set_c, activity);
            open_share(plant, tower) * kg_per_s / TOLD_KG_PER_M3
        })
    }

    /// What the heaters of the tank that evaporates give, W: of a holding tank while its towers work, of a bath in its hardest hour.
    pub(super) fn heater_w(&self) -> f64 {
        let (means, roles) = (self.means(), self.roles());
        if roles.holding.is_some() {
            let heating = means.heating(roles);
            return heating.given_w.max(heating.mean_w);
        }
        let layout = self.case.plant.layout();
        let given = means.intervals().map(|i| {
            let heaters = roles.bath_heaters.iter();
            let joules: f64 = heaters.map(|&h| means.gained(layout.delivered(h), i)).sum();
            joules / means.seconds(i)
        });
        given.fold(0.0, f64::max)
    }

    /// Least and greatest volume of a tank, m³.
    pub(super) fn swing_m3(&self, v: VesselId) -> (f64, f64) {
        let means = self.means();
        let volumes = means.rows().map(|y| self.case.plant.holdup(v, y).0);
        volumes.fold((f64::INFINITY, 0.0), |(low, high), x| {
            (low.min(x), high.max(x))
        })
    }

    /// Share of the rinse feed that the level of the bath let in.
    pub(super) fn fed_share(&self) -> f64 {
        self.means().flow(&self.recovered_feeds()) / self.feed_m3_per_s
    }

    /// Whether the level of the bath cut the rinse feed.
    pub(super) fn is_cut(&self) -> bool {
        self.fed_share() < FED
    }

    /// What stops the layout besides its film.
    pub(super) fn limit(&self) -> Option<Limit> {
        let (means, roles) = (self.means(), self.roles());
        let net = self.case.plant.network();
        let bath = means.bath(roles, &self.case.scenario);
        if bath.runs_down() {
            return Some(Limit::RunsDown);
        }
        if bath.off_k().is_some() {
            let temp_c = bath.temperature_c;
            return Some(Limit::BathOff { temp_c });
        }
        let dust = DUST * self.feed_m3_per_s;
        let name = |v: VesselId| net.vessels[v.index()].name.clone();
        let runs = |t: &&TransferId| means.flow(&[**t]) > dust;
        if let Some(t) = roles.spills.iter().find(runs)
            && let End::Vessel(v) = net.transfers[t.index()].from
        {
            return Some(Limit::RunsOver { tank: name(v) });
        }
        let is_kept = |t: &&TransferId| {
            let t = &net.transfers[t.index()];
            let is_over = matches!(t.law, Law::Overflow { .. });
            is_over && matches!(t.from, End::Vessel(v) if roles.keeping.contains(&v))
        };
        if let Some(t) = roles.to_treatment.iter().filter(is_kept).find(runs)
            && let End::Vessel(v) = net.transfers[t.index()].from
        {
            return Some(if Some(v) == roles.collection || self.is_still(v) {
                Limit::RunsOver { tank: name(v) }
            } else {
                Limit::ToTreatment
            });
        }
        if self.is_cut() {
            return Some(Limit::NoRoom);
        }
        self.alarm()
    }

    /// Whether the holding tank falls below a level.
    pub(super) fn falls_below(&self, level_m: f64) -> bool {
        self.roles().holding.is_some_and(|holding| {
            let (low_m3, _) = self.swing_m3(holding);
            let shape = self.case.plant.network().vessels[holding.index()].shape;
            shape.level_m(low_m3) < level_m
        })
    }

    /// The first alarm of nine weeks from the start in the air of its months, every switch located.
    ///
    /// # Errors
    /// When `watch` gives up, or the run has no answer.
    pub(super) fn alarm_switch_by_switch(
        &self,
        watch: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<Limit>, StudyError> {
        let mut world = self.case.world();
        let options = ExactOptions {
            clock: Clock {
                hours: Hours::Calendar,
                air: AirChoice::Calendar,
            },
            sample_s: f64::INFINITY,
            ..ExactOptions::default()
        };
        exact::run(&mut world, FOLLOWED_S, &options, watch)?;
        // What builds up until a salt comes out is told beside the row.
        world
            .alarms
            .retain(|alarm| !matches!(alarm.cause, Cause::Saturated(_)));
        Ok(self.alarm_among(&world.alarms))
    }

    fn alarm(&self) -> Option<Limit> {
        self.alarm_among(&self.settled.world.alarms)
    }

    fn alarm_among(&self, alarms: &[Alarm]) -> Option<Limit> {
        let (net, roles) = (self.case.plant.network(), self.roles());
        let name = |v: VesselId| net.vessels[v.index()].name.clone();
        let own = format!("{}.", roles.name);
        alarms.iter().find_map(|alarm| {
            let (v, limit) = match alarm.cause {
                Cause::Relay(_) if alarm.device.starts_with(&own) => {
                    let device = called(&alarm.device, net.loops.len());
                    return Some(Limit::Alarm { device });
                }
                Cause::Relay(_) | Cause::OnceCooled(_) => return None,
                Cause::RunsLow(v) => (v, Limit::Alarm { device: name(v) }),
                Cause::Spills(v) => (v, Limit::RunsOver { tank: name(v) }),
                Cause::Saturated(v) => {
                    let dragback_run::Told::Saturated { salt, .. } = alarm.told else {
                        return None;
                    };
                    let tank = name(v);
                    (v, Limit::Salt { tank, salt })
                }
            };
            roles.vessels.contains(&v).then_some(limit)
        })
    }

    /// How near a salt is to coming out anywhere in the loop.
    pub(super) fn saturation(&self) -> f64 {
        let means = self.means();
        let all = self.roles().vessels.iter();
        let nearest = all.filter_map(|&v| means.nearest_salt(v, self.air));
        nearest.map(|s| s.saturation_fraction).fold(0.0, f64::max)
    }

    /// Mean temperature of the tank that evaporates, °C.
    pub(super) fn temperature_c(&self) -> f64 {
        let v = self.hot_tank();
        self.means().mean(|y| self.case.plant.holdup(v, y).1)
    }
}

/// The slot of an air in which a week settled.
pub(super) const fn air_of(slot: usize) -> AirChoice {
    if slot == MEAN_SLOT {
        AirChoice::Mean
    } else {
        AirChoice::Month(slot)
    }
}

/// A flow, L/h.
pub(super) fn l_per_h(m3_per_s: f64) -> f64 {
    unit::l_per_h(m3_per_s)
}
