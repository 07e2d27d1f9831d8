//! Layouts of one loop: the same bath and work with other rinses and another way to close the loop.
//!
//! [`Layouts`] takes a scenario as it is, and makes from it the scenario of any [`Layout`]: site, calendars, waters, prices, work and bath stay;
//! still rinses, sections, route, collection tank, holding tank and towers are replaced. Tanks, water, tower and set points are those that the loop
//! has; what it lacks is sized by the hand rules of [`outline`](crate::outline).

mod kit;

use std::fmt;

use dragback_units::Quantity;
use dragback_units::dim::{Concentration, Length, Volume};

use crate::lower::{bath_bands, films_m};
use crate::problem::Problem;
use crate::record::{Input, Map};
use crate::schema::{
    Collection, Drain, Element, FedFrom, Feed, Holding, Loop, Scenario, Section, Still, Tank,
    Tower, Visit,
};
use kit::Kit;

/// What stands between the bath and the counterflow rinses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Before {
    /// A still rinse that is returned to the bath as its level falls.
    Still,
    /// A spray over the bath.
    Spray,
}

/// What drives off the water that the rinses bring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClosedBy {
    /// The surface of the bath alone.
    Surface,
    /// Towers that the bath feeds.
    BathTower,
    /// A heated holding tank with towers.
    HoldingTank,
}

/// A layout of a loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Counterflow rinses whose water is recovered.
    pub stages: u32,
    /// What stands before them.
    pub before: Option<Before>,
    /// Whether a rinse of its own follows, whose water goes to treatment.
    pub has_free_final: bool,
    /// What closes the loop.
    pub closed_by: ClosedBy,
}

impl fmt::Display for Layout {
    /// A layout in words: `still rinse, 3 counterflow rinses, free final rinse; tower on the bath`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.before {
            None => "",
            Some(Before::Still) => "still rinse, ",
            Some(Before::Spray) => "spray, ",
        })?;
        match self.stages {
            1 => f.write_str("1 rinse")?,
            n => write!(f, "{n} counterflow rinses")?,
        }
        if self.has_free_final {
            f.write_str(", free final rinse")?;
        }
        f.write_str(match self.closed_by {
            ClosedBy::Surface => "; closed by the bath's surface",
            ClosedBy::BathTower => "; tower on the bath",
            ClosedBy::HoldingTank => "; heated holding tank",
        })
    }
}

/// How the description of a line that was laid out anew begins, and what leads to what was written of it before.
const LAID_OUT: &str = "Rinses, tanks, heaters and towers";
const WRITTEN_BEFORE: &str = "Of the line before it was written:";

/// Sizes that a layout is given, SI.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Equipment {
    /// Fresh water into the last of the recovered rinses while work runs, m³/s.
    pub rinse_m3_per_s: f64,
    /// Towers, all alike; none of a loop that the bath's surface closes.
    pub towers: usize,
    /// Heaters of the tank that evaporates, W: of the holding tank, else of the bath.
    pub heater_w: f64,
    /// Holding tank to its brim, m³.
    pub holding_m3: f64,
    /// Collection tank to its brim, m³.
    pub collection_m3: f64,
    /// Where bath and holding tank stand on a usual day, where that is known: a line that starts fuller grows stronger than it ever is later as its levels come
    /// down, and has the salt of months to be rid of.
    pub stands: Stands,
}

/// How full tanks are when a line begins as it goes on.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stands {
    /// The bath, m³; as it is where absent.
    pub bath_m3: Option<f64>,
    /// The holding tank, as a share of what it holds to its brim, and the strength of what is in it, as a share of the bath's; its working level, and as
    /// strong as it is, where absent.
    pub holding: Option<(f64, f64)>,
}

/// Makes the layouts of one loop.
#[derive(Clone, Debug)]
pub struct Layouts {
    base: Scenario,
    line: Loop,
    key: String,
    final_limit: Input<Concentration>,
    kit: Kit,
}

/// The share of the way from the low alarm up to the levels at which towers rest, at which make-up of a bath that comes to feed towers starts and stops:
/// they are to drive off rinse water, not make-up. A bath that feeds a tower already keeps its make-up, since the tower may be its cooler.
const MAKE_UP_BELOW_REST: (f64, f64) = (0.4, 0.6);

impl Layouts {
    /// For a loop of a scenario whose film is to keep a limit.
    ///
    /// # Errors
    /// When there is no such loop, or no line can be sketched from which to take what it lacks.
    pub fn new(
        scenario: &Scenario,
        key: &str,
        final_limit: Quantity<Concentration>,
    ) -> Result<Self, Problem> {
        let Some(line) = scenario.loops.get(key) else {
            let known: Vec<&str> = scenario.loops.keys().collect();
            let message = format!("there is no loop `{key}`");
            let advice = format!("the loops are {}", known.join(", "));
            return Err(Problem::at("loops", message, advice));
        };
        let mut base = scenario.clone();
        // Events name parts that a layout may not have.
        base.events.clear();
        Ok(Self {
            kit: Kit::of(scenario, line)?,
            line: line.clone(),
            base,
            key: key.to_owned(),
            final_limit: Input::new(final_limit),
        })
    }

    /// Key of the loop.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// Film that leaves the bath on an hour's work as a flow, m³/s, and the film that leaves a rinse.
    #[must_use]
    pub fn drag_out_m3_per_s(&self) -> (f64, f64) {
        let work = &self.line.work;
        let (bath_m, rinse_m) = films_m(&self.line);
        let area_m2_per_s = work.area_rate.si();
        (bath_m * area_m2_per_s, rinse_m * area_m2_per_s)
    }

    /// Power of the bath's heater as it is, W.
    #[must_use]
    pub const fn bath_heater_w(&self) -> f64 {
        self.line.bath.heater_power.si()
    }

    /// Whether the bath feeds a tower as it is.
    #[must_use]
    pub const fn has_bath_tower(&self) -> bool {
        self.kit.has_bath_tower
    }

    /// Set point of the bath, °C.
    #[must_use]
    pub const fn bath_set_c(&self) -> f64 {
        self.line.bath.set_point.quantity().celsius()
    }

    /// Highest strength that the film may have, kg/m³.
    #[must_use]
    pub fn final_limit_kg_per_m3(&self) -> f64 {
        self.final_limit.si()
    }

    /// Fresh water of the free final rinse while work runs, m³/s.
    #[must_use]
    pub fn free_rinse_m3_per_s(&self) -> f64 {
        self.kit.free.1.flow.si()
    }

    /// Share of the film that a spray over the bath replaces.
    #[must_use]
    pub fn spray_washed(&self) -> f64 {
        self.kit.spray.washed.si()
    }

    /// One of the towers.
    #[must_use]
    pub const fn tower(&self) -> &Tower {
        &self.kit.tower.1
    }

    /// The holding tank before it is sized.
    #[must_use]
    pub const fn holding(&self) -> &Holding {
        &self.kit.holding
    }

    /// What the equipment would be if nothing were known of the layout: sizes of the loop, or of the hand rules where it has none.
    #[must_use]
    pub fn usual(&self) -> Equipment {
        let kit = &self.kit;
        Equipment {
            rinse_m3_per_s: kit.section.1.flow.si(),
            towers: 1,
            heater_w: holding_heat_w(&kit.holding),
            holding_m3: kit.holding.tank.volume.si(),
            collection_m3: kit.collection.tank.volume.si(),
            stands: Stands::default(),
        }
    }

    /// The scenario of a layout.
    #[must_use]
    pub fn scenario(&self, layout: &Layout, equipment: &Equipment) -> Scenario {
        let mut scenario = self.base.clone();
        if let Some(line) = scenario.loops.get_mut(&self.key) {
            self.lay_out(line, layout, equipment);
        }
        scenario.description = Some(self.described(layout));
        scenario
    }

    /// What a line that was laid out anew is; what was written of the line before stands behind it.
    fn described(&self, layout: &Layout) -> String {
        let name = match self.line.title.as_deref() {
            Some(title) if self.base.loops.keys().count() > 1 => format!(" of {title}"),
            _ => String::new(),
        };
        let begins = format!("{LAID_OUT}{name} are those");
        let own = format!("{begins} of a layout that was sized: {layout}.");
        let before = self.base.description.as_deref().unwrap_or("");
        let each = before.split(WRITTEN_BEFORE).map(str::trim);
        // A loop that was laid out before says so no more.
        let kept = each.filter(|said| !said.is_empty() && !said.starts_with(&begins));
        let all: Vec<&str> = std::iter::once(own.as_str()).chain(kept).collect();
        all.join(&format!(" {WRITTEN_BEFORE}\n\n"))
    }

    fn lay_out(&self, line: &mut Loop, layout: &Layout, equipment: &Equipment) {
        let kit = &self.kit;
        line.final_limit = Some(self.final_limit.clone());
        line.stills = Map::default();
        line.sections = Map::default();
        line.towers = Map::default();
        (line.collection, line.holding_tank) = (None, None);
        let has_holding = layout.closed_by == ClosedBy::HoldingTank;
        if layout.before == Some(Before::Still) {
            line.stills.insert(kit.still.0.clone(), kit.still.1.clone());
        }
        let drain = if has_holding {
            Drain::Collection
        } else {
            Drain::Bath
        };
        let (key, section) = &kit.section;
        let stages = f64::from(layout.stages);
        let recovered = Section {
            stages: given(stages),
            flow: Input::new(
                // In the unit in which it was written.
                section
                    .flow
                    .quantity()
                    .with_si_keeping_unit(equipment.rinse_m3_per_s),
            ),
            drain,
            ..section.clone()
        };
        line.sections.insert(key.clone(), recovered);
        if layout.has_free_final {
            line.sections.insert(kit.free.0.clone(), kit.free.1.clone());
        }
        line.route = self.route(layout);
        if has_holding {
            line.collection = Some(self.collection(equipment));
            line.holding_tank = Some(self.holding_tank(equipment));
        } else {
            line.bath.heater_power = given(equipment.heater_w);
        }
        let fed_from = if has_holding {
            FedFrom::HoldingTank
        } else {
            FedFrom::Bath
        };
        for n in 1..=equipment.towers {
            let (key, tower) = &kit.tower;
            let key = if n == 1 {
                key.clone()
            } else {
                format!("{key}-{n}")
            };
            let tower = Tower {
                fed_from,
                ..tower.clone()
            };
            line.towers.insert(key, tower);
        }
        if layout.closed_by == ClosedBy::BathTower && !self.kit.has_bath_tower {
            keep_make_up_low(line);
        }
        if let Some(volume_m3) = equipment.stands.bath_m3 {
            line.bath.tank.start_volume = Some(given(thousandths(volume_m3)));
        }
    }

    fn route(&self, layout: &Layout) -> Vec<Visit> {
        let kit = &self.kit;
        let has_still = layout.before == Some(Before::Still);
        let mut route = Vec::new();
        // Work that dips into the still rinse on its way in brings back what it took out.
        route.extend(kit.visits.still_first.clone().filter(|_| has_still));
        let mut bath = kit.visits.bath.clone();
        bath.spray = (layout.before == Some(Before::Spray)).then(|| kit.spray.clone());
        route.push(bath);
        if has_still {
            route.push(kit.visits.still.clone());
        }
        route.push(kit.visits.rinses.clone());
        if layout.has_free_final {
            route.push(kit.visits.free.clone());
        }
        route
    }

    fn collection(&self, equipment: &Equipment) -> Collection {
        let base = &self.kit.collection;
        Collection {
            tank: resized(&base.tank, equipment.collection_m3),
            ..base.clone()
        }
    }

    fn holding_tank(&self, equipment: &Equipment) -> Holding {
        let base = &self.kit.holding;
        let own_w = holding_heat_w(base);
        let more = equipment.heater_w / own_w.max(1.0);
        let mut elements = Map::default();
        for (key, element) in base.elements.iter() {
            let power = given(more * element.power.si());
            let element = Element {
                power,
                ..element.clone()
            };
            elements.insert(key, element);
        }
        // A tank that is left cold keeps elements that give nothing.
        let is_cold = equipment.heater_w <= 0.0;
        if is_cold && elements.is_empty() {
            let power = given(0.0);
            let notes = None;
            elements.insert("e1".to_owned(), Element { power, notes });
        }
        let coil = base.coil.clone().filter(|_| !is_cold);
        let coil = coil.map(|coil| crate::schema::Coil {
            ua: given(more * coil.ua.si()),
            cap: given(more * coil.cap.si()),
            ..coil
        });
        #[expect(clippy::cast_precision_loss, reason = "a dozen at most")]
        let towers = (equipment.towers as f64 / self.kit.base_towers).max(1.0);
        let mut give_back = base.give_back.clone();
        // The bath's levels at which concentrate returns are those of the bath that stays.
        give_back.flow = given(towers.sqrt() * give_back.flow.si());
        let stands = equipment.stands.holding;
        let start_m3 = stands.map(|(share, _)| thousandths(share * equipment.holding_m3));
        let strength = stands.map(|(_, strength)| given(thousandths(strength.clamp(0.0, 3.0))));
        let tank = Tank {
            start_volume: start_m3.map(given),
            ..resized(&base.tank, equipment.holding_m3)
        };
        Holding {
            tank,
            elements,
            coil,
            transfer_flow: given(towers * base.transfer_flow.si()),
            give_back,
            start_strength: strength.unwrap_or_else(|| base.start_strength.clone()),
            ..base.clone()
        }
    }
}

/// Power of all heaters of a holding tank, W.
fn holding_heat_w(holding: &Holding) -> f64 {
    let elements: f64 = holding.elements.values().map(|e| e.power.si()).sum();
    elements + holding.coil.as_ref().map_or(0.0, |coil| coil.cap.si())
}

/// An input of a value that was worked out.
fn given<D: dragback_units::Dimension>(si: f64) -> Input<D> {
    Input::new(Quantity::from_si(si))
}

/// A tank of the same depth that holds another volume: its plan area grows with it, its walls with the root of that.
fn resized(tank: &Tank, volume_m3: f64) -> Tank {
    let more = volume_m3 / tank.volume.si();
    let scaled = |si: f64| si * more;
    Tank {
        volume: given::<Volume>(volume_m3),
        footprint: given(scaled(tank.footprint.si())),
        dead_volume: given(scaled(tank.dead_volume.si())),
        wall_loss: given(more.sqrt() * tank.wall_loss.si()),
        start_volume: None,
        ..tank.clone()
    }
}

/// Plain water comes only below the levels at which towers rest.
fn keep_make_up_low(line: &mut Loop) {
    let bands = bath_bands(line);
    let (alarm_m, rest_m) = (bands.low_alarm_m, bands.low_m.0);
    let at = |share: f64| {
        Some(given::<Length>(thousandths(
            alarm_m + share * (rest_m - alarm_m),
        )))
    };
    line.bath.make_up.start_level = at(MAKE_UP_BELOW_REST.0);
    line.bath.make_up.stop_level = at(MAKE_UP_BELOW_REST.1);
}

/// A level, volume or share as it would be written: to a millimetre, a litre, a tenth of a percent.
fn thousandths(si: f64) -> f64 {
    (1000.0 * si).round() / 1000.0
}

/// A still rinse that is returned to its bath.
fn returned(still: &Still, line: &Loop) -> Still {
    let own = still.return_to_bath.clone();
    let like_make_up = || given(line.bath.make_up.flow.si());
    Still {
        return_to_bath: Some(own.unwrap_or_else(like_make_up)),
        ..still.clone()
    }
}

/// A section that is fed at a fixed flow while work runs.
fn fed_at_work(section: &Section) -> Section {
    Section {
        feed: Feed::WhileWorking,
        conductivity_stage: None,
        conductivity_set_point: None,
        conductivity_dead_band: None,
        ..section.clone()
    }
}

#[cfg(test)]
mod tests;
