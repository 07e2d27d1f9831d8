//! A vessel's heat balance over a step, and what its heaters and coolers do about it.

/// A set point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Temperature that heaters hold, °C.
    pub set_c: f64,
    /// Temperature that coolers hold, °C; infinite where nothing cools.
    pub cool_c: f64,
    /// Band around it across which power falls, K; none where heaters switch.
    pub band_k: Option<f64>,
    /// Share of what heaters could give that this set point alone may ask for, 0 to 1; less than one in a week-mean state whose tank may cool at rest.
    pub share: f64,
    /// Set point of the other hours, at which heaters give all they could, °C.
    pub all_at_c: Option<f64>,
}

impl Target {
    /// The higher of two set points holds the vessel, and the lower one comes in below it.
    pub fn join(self, best: &mut Option<Self>) {
        match best {
            Some(b) if self.set_c < b.set_c => {
                let lower_c = b.all_at_c.map_or(self.set_c, |c| c.max(self.set_c));
                b.all_at_c = Some(lower_c);
            }
            Some(b) if self.set_c > b.set_c => {
                let all_at_c = (b.set_c > f64::NEG_INFINITY).then_some(b.set_c);
                *b = Self { all_at_c, ..self };
            }
            Some(_) => {}
            none @ None => *none = Some(self),
        }
    }
}

/// What regulated heats hold, W and °C.
#[derive(Clone, Copy, Debug, Default)]
pub struct Hold {
    /// Set point in force; none where nothing is regulated.
    pub target: Option<Target>,
    pub least_w: f64,
    pub most_w: f64,
    /// What heaters give that are run by hand, and where an interlock cuts it.
    pub hand_w: f64,
    pub ceiling_c: f64,
}

/// A vessel's heat balance over a step, straightened around one temperature.
#[derive(Clone, Debug, Default)]
pub struct HeatBalance {
    /// What the temperature at the end costs, W/K, and one over it.
    pub slope_w_per_k: f64,
    pub kelvin_per_w: f64,
    /// What is given whatever that temperature and the regulated heats, W.
    pub fixed_w: f64,
    /// How the gain follows the temperatures of other vessels: the vessel, W/K, and its temperature in `fixed_w`.
    pub gain_w_per_k: Vec<(usize, f64, f64)>,
    pub at_c: f64,
    pub hold: Hold,
    /// Found for the regulated heaters and coolers, W; what coolers take is negative.
    pub heat_w: f64,
    pub cool_w: f64,
}

impl HeatBalance {
    /// What is given while the other vessels have these temperatures, W.
    pub fn given_w(&self, temps_c: &[f64]) -> f64 {
        let others = self.gain_w_per_k.iter();
        let more: f64 = others
            .map(|&(u, w_per_k, at_c)| w_per_k * (temps_c[u] - at_c))
            .sum();
        self.fixed_w + more
    }

    /// End temperature, °C, and what the regulated heaters give and the coolers take, W.
    ///
    /// A cooler answers to what is left after the heaters, as in the balance of the exact driver: where nobody runs a heater by hand, one of the
    /// two rests.
    pub fn solve(&self, given_w: f64) -> (f64, f64, f64) {
        let wanted_w = self.wanted_w(given_w);
        let hand_w = self.hold.hand_w;
        let heat_w = if hand_w > 0.0 && hand_w > wanted_w {
            (self.slope_w_per_k * self.hold.ceiling_c.min(200.0) - given_w)
                .max(wanted_w)
                .min(hand_w)
        } else {
            wanted_w
        };
        let cool_w = match self.hold.target {
            Some(target) if self.hold.least_w < 0.0 => {
                let too_much_w = given_w + heat_w - self.slope_w_per_k * target.cool_c;
                (-too_much_w).min(0.0).max(self.hold.least_w)
            }
            _ => 0.0,
        };
        let temp_c = (given_w + heat_w + cool_w) * self.kelvin_per_w;
        (temp_c, heat_w, cool_w)
    }

    /// What thermostats, bands and set points ask of the heaters, W.
    fn wanted_w(&self, given_w: f64) -> f64 {
        let Hold { most_w, hand_w, .. } = self.hold;
        let Some(target) = self.hold.target else {
            return 0.0;
        };
        let first_w = hand_w + (most_w - hand_w) * target.share;
        let set_c = target.set_c;
        let wanted_w = match target.band_k {
            Some(band_k) => {
                let slope = self.slope_w_per_k + first_w / band_k;
                let inside = (given_w + first_w * (0.5 + set_c / band_k)) / slope;
                first_w * (0.5 + (set_c - inside) / band_k)
            }
            None => self.slope_w_per_k * set_c.min(200.0) - given_w,
        };
        let first_w = wanted_w.max(0.0).min(first_w);
        match target.all_at_c {
            // Those of the other hours ask for more only once it has cooled to theirs.
            Some(all_at_c) if target.share < 1.0 => {
                let all_w = self.slope_w_per_k * all_at_c - given_w;
                all_w.min(most_w).max(first_w)
            }
            _ => first_w,
        }
    }
}
