//! What the instruments read.

use dragback_properties::conductivity::{self, Ion};

use crate::control::Signal;
use crate::holdup::DRY;
use crate::ids::{SoluteId, SupplyId, VesselId};
use crate::layout::Layout;
use crate::network::{Beyond, FilmProbe, Saturation};
use crate::plant::Plant;

impl Plant {
    /// Concentration of a solute in a vessel, kg/m³; `None` when the vessel is dry.
    #[must_use]
    pub fn concentration(&self, v: VesselId, s: SoluteId, y: &[f64]) -> Option<f64> {
        let (volume, _, _) = self.holdup(v, y);
        let held = y[self.layout().vessel(v) + self.layout().solute(s)];
        (volume > 0.0).then(|| held / volume)
    }

    /// Conductivity at 25 °C, S/m: see [`conductivity::conductivity_25c`]. Zero where the vessel is dry.
    ///
    /// An estimate: within some 5 % up to 0.1 mol/L of simple salts, only a trend in a bath.
    #[must_use]
    pub fn conductivity_s_per_m(&self, v: VesselId, y: &[f64]) -> f64 {
        let (volume, _, _) = self.holdup(v, y);
        if volume <= 0.0 {
            return 0.0;
        }
        let start = self.layout().vessel(v);
        let held = &y[start + 2..start + self.layout().block_len()];
        self.conductivity_of(|i| held[i] / volume)
    }

    fn conductivity_of(&self, kg_per_m3: impl Fn(usize) -> f64) -> f64 {
        let solutes = self.network().solutes.iter().enumerate();
        let ions = solutes.map(|(i, s)| Ion {
            mol_per_m3: kg_per_m3(i) / s.molar_mass_kg_per_mol,
            charge: s.charge,
            ionic_conductivity_s_m2_per_mol: s.ionic_conductivity_s_m2_per_mol,
        });
        conductivity::conductivity_25c(ions).s_per_m
    }

    /// Activity of water in a vessel, dimensionless; `None` when it is dry.
    #[must_use]
    pub fn water_activity(&self, v: VesselId, y: &[f64]) -> Option<f64> {
        let ratio = self.per_water(v, y)?;
        Some(self.network().activity.activity(&ratio))
    }

    /// The salt nearest to saturation in a vessel, were it at `temp_c` (°C); `None` when the vessel is dry or no solubility is known.
    #[must_use]
    pub fn nearest_saturation(&self, v: VesselId, y: &[f64], temp_c: f64) -> Option<Saturation> {
        let ratio = self.per_water(v, y)?;
        self.network().activity.nearest_saturation(&ratio, temp_c)
    }

    /// Salts of which a vessel holds more than stays dissolved at its own temperature; none when it is dry or no solubility is known.
    #[must_use]
    pub fn beyond_saturation(&self, v: VesselId, y: &[f64]) -> Vec<Beyond> {
        let (_, temp_c, _) = self.holdup(v, y);
        self.per_water(v, y).map_or_else(Vec::new, |ratio| {
            self.network().activity.beyond_saturation(&ratio, temp_c)
        })
    }

    /// Solutes of a vessel in kg per kg of water; `None` when it is dry.
    fn per_water(&self, v: VesselId, y: &[f64]) -> Option<Vec<f64>> {
        let start = self.layout().vessel(v);
        let water_kg = y[start + Layout::WATER];
        if water_kg <= DRY * 1000.0 * self.network().vessels[v.index()].full_m3 {
            return None;
        }
        let held = &y[start + 2..start + self.layout().block_len()];
        Some(held.iter().map(|kg| kg.max(0.0) / water_kg).collect())
    }

    /// Temperature that a vessel may cool to over a weekend, °C: that of its room, unless it is colder already or a heater keeps
    /// it warm around the clock.
    #[must_use]
    pub fn may_cool_to_c(&self, v: VesselId, temp_c: f64, air_slot: usize) -> f64 {
        if self.is_kept_warm(v) {
            return temp_c;
        }
        let climate = self.network().vessels[v.index()].climate;
        temp_c.min(self.room(climate, air_slot).temp_c)
    }

    /// Density of a vessel's liquid, kg/m³.
    #[must_use]
    pub fn density_kg_per_m3(&self, v: VesselId, y: &[f64]) -> f64 {
        let (volume, _, _) = self.holdup(v, y);
        let start = self.layout().vessel(v);
        let solutes: f64 = y[start + 2..start + self.layout().block_len()].iter().sum();
        (y[start] + solutes) / volume.max(1e-12)
    }

    /// What a relay's instrument reads.
    #[must_use]
    pub fn read(&self, signal: Signal, y: &[f64]) -> f64 {
        match signal {
            Signal::Temperature(v) => self.holdup(v, y).1,
            Signal::Level(v) => self.network().vessels[v.index()]
                .shape
                .level_m(self.holdup(v, y).0),
            Signal::Concentration(v, s) => self.concentration(v, s, y).unwrap_or(0.0),
            Signal::Conductivity(v) => self.conductivity_s_per_m(v, y),
            Signal::Density(v) => self.density_kg_per_m3(v, y),
        }
    }

    /// What an instrument would read in a supply; levels and temperatures of a tank have no counterpart there and read zero.
    #[must_use]
    pub fn read_supply(&self, signal: Signal, w: SupplyId) -> f64 {
        let supply = &self.network().supplies[w.index()];
        match signal {
            Signal::Concentration(_, s) => supply.solute_kg_per_m3[s.index()],
            Signal::Conductivity(_) => self.conductivity_of(|i| supply.solute_kg_per_m3[i]),
            Signal::Density(_) => {
                supply.water_kg_per_m3 + supply.solute_kg_per_m3.iter().sum::<f64>()
            }
            Signal::Temperature(_) | Signal::Level(_) => 0.0,
        }
    }

    /// Concentration of a solute in the film that leaves a station, kg/m³.
    #[must_use]
    pub fn film(&self, probe: &FilmProbe, s: SoluteId, y: &[f64]) -> f64 {
        let tanks = probe
            .vessels
            .iter()
            .map(|&(v, w)| w * self.concentration(v, s, y).unwrap_or(0.0));
        let sprays = probe
            .supplies
            .iter()
            .map(|&(w, share)| share * self.supply_solute(w, s));
        tanks.sum::<f64>() + sprays.sum::<f64>()
    }

    fn supply_solute(&self, w: SupplyId, s: SoluteId) -> f64 {
        self.network().supplies[w.index()].solute_kg_per_m3[s.index()]
    }
}
