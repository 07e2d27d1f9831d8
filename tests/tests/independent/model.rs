//! The demo line written down a second time: fixed step, own formulas, one metal, nothing of the program but the figures of the scenario.
//!
//! Contents are kept as water of 20 °C by volume (m³), metal (kg) and heat (J); solution holds 3.85 kJ/K less heat than as much water per
//! kilogram of metal, as its salts take the place of water.

/// Figures by registry path, SI (kelvin for temperatures).
pub type Figures<'a> = &'a dyn Fn(&str) -> f64;

const BATH: usize = 0;
const COLLECTION: usize = 4;
const HOLDING: usize = 5;
const RHO20: f64 = 998.2;
const CP: f64 = 4186.0;
const STEP_S: f64 = 5.0;

/// Saturation pressure over water, Pa, °C: Buck (1981), from memory.
fn psat(t: f64) -> f64 {
    611.21 * ((18.678 - t / 234.5) * t / (257.14 + t)).exp()
}

/// Density of water, kg/m³, °C: Kell's short form, from memory.
fn rho(t: f64) -> f64 {
    1000.0 * (1.0 - (t + 288.941_4) * (t - 3.9863).powi(2) / (508_929.2 * (t + 68.129_63)))
}

fn vapour(t: f64) -> f64 {
    2.501e6 + 1860.0 * t
}

/// Water activity: 0.963 in a Watts bath of 81.8 g/L of nickel (published osmotic coefficients, boric acid ideal), in proportion below.
fn activity(c: f64) -> f64 {
    1.0 - 0.037 * c / 81.8
}

#[derive(Clone, Copy)]
struct Air {
    t: f64,
    w: f64,
    p: f64,
}

impl Air {
    fn saturated(&self, t: f64, aw: f64) -> f64 {
        let e = aw * psat(t);
        0.622 * e / (self.p - e)
    }

    fn volume(&self) -> f64 {
        287.05 * (self.t + 273.15) * (1.0 + 1.6078 * self.w) / self.p
    }

    /// Evaporation (kg/m²s) and heat besides (W/m²) of open water: Nu = 0.14·Ra^⅓ and its analogue, plus 0.0782·v·Δp/h_fg.
    fn surface(&self, t: f64, aw: f64, speed: f64) -> (f64, f64) {
        let (ea, es) = (self.w * self.p / (0.622 + self.w), aw * psat(t));
        let mixed = |t: f64, e: f64| (self.p - 0.378 * e) / (287.05 * (t + 273.15));
        let (k, thin) = ((0.5 * (t + self.t) + 273.15) / 273.15, 101_325.0 / self.p);
        let (nu, d, a) = (
            1.33e-5 * k.powf(1.77) * thin,
            2.16e-5 * k.powf(2.0) * thin,
            1.87e-5 * k.powf(1.78) * thin,
        );
        let density = self.p / (287.05 * 273.15 * k);
        let lift = 9.81 * (mixed(self.t, ea) - mixed(t, es)).max(0.0) / (density * nu);
        let per_pa = 0.018_015 / (8.314_46 * 273.15 * k);
        let forced = 0.0782 * speed / (vapour(t) - CP * t);
        let mass = 0.14 * d * (lift / d).cbrt() * per_pa + forced;
        let heat = 0.14 * 0.0241 * k.powf(0.84) * (lift / a).cbrt()
            + forced / per_pa * density * 1006.0 * (a / d).powf(2.0 / 3.0);
        let glow = 0.95 * 5.67e-8 * ((t + 273.15).powi(4) - (self.t + 273.15).powi(4));
        (mass * (es - ea).max(0.0), heat * (t - self.t) + glow)
    }

    /// Temperature of air that holds `h` and `w`, fog counted.
    fn dry_bulb(&self, h: f64, w: f64) -> f64 {
        let clear = (h - 2.501e6 * w) / (1006.0 + 1860.0 * w);
        let (mut low, mut high) = (clear, 99.0);
        if w <= self.saturated(clear.max(0.0), 1.0) {
            return clear;
        }
        for _ in 0..40 {
            let t = 0.5 * (low + high);
            let ws = self.saturated(t, 1.0);
            if 1006.0 * t + ws * vapour(t) + (w - ws) * CP * t > h {
                high = t
            } else {
                low = t
            }
        }
        low
    }

    /// Evaporation (kg/s) and heat drawn (W) of a counterflow tower: Poppe's equations with Le = 1, shooting for the outlet temperature.
    fn tower(&self, g: f64, capacity: f64, ntu: f64, t_in: f64, aw: f64) -> (f64, f64) {
        let start = 1006.0 * self.t + self.w * vapour(self.t);
        let (mut low, mut high, mut taken) = (self.t.min(t_in) - 15.0, t_in, 0.0);
        let mut heat = 0.0;
        for _ in 0..36 {
            let mid = 0.5 * (low + high);
            let mut x = [self.w, start, mid];
            let slopes = |x: [f64; 3]| {
                let ws = self.saturated(x[2], aw);
                let wa = x[0].min(self.saturated(self.dry_bulb(x[1], x[0]), 1.0));
                let dw = ntu * (ws - wa);
                let dh = ntu * (1006.0 * x[2] + ws * vapour(x[2]) - x[1] + (x[0] - wa) * CP * x[2]);
                let left = capacity - CP * (taken - g * (x[0] - self.w)).max(0.0);
                [dw, dh, g * (dh - CP * x[2] * dw) / left]
            };
            let along = |x: [f64; 3], d: [f64; 3], h: f64| {
                [x[0] + h * d[0], x[1] + h * d[1], x[2] + h * d[2]]
            };
            for _ in 0..24 {
                let half = along(x, slopes(x), 0.5 / 24.0);
                x = along(x, slopes(half), 1.0 / 24.0);
            }
            if x[2] > t_in {
                high = mid
            } else {
                low = mid
            }
            (taken, heat) = (g * (x[0] - self.w), g * (x[1] - start));
        }
        (taken, heat)
    }
}

/// Means of one day: volume m³, temperature °C and metal kg/m³ of bath, rinses, collection and holding tank; evaporation of the tower, kg/h.
pub struct Day {
    pub tanks: [[f64; 3]; 6],
    pub tower_kg_per_h: f64,
}

/// Runs the line with work that never stops, in the mean air of the year.
pub fn run(days: usize, air_t: f64, air_w: f64, metal: f64, f: Figures<'_>) -> Vec<Day> {
    let p = 101_325.0 * (1.0 - 2.25577e-5 * f("site.altitude")).powf(5.2559);
    let air = Air {
        t: air_t,
        w: air_w,
        p,
    };
    let path = |i: usize, what: &str| {
        let tank = [
            "bath.tank",
            "sections.rinses.tank",
            "collection.tank",
            "holding_tank.tank",
        ][[0, 1, 1, 1, 2, 3][i]];
        f(&format!("loop.{tank}.{what}"))
    };
    let h = |what: &str| f(&format!("loop.holding_tank.{what}"));
    let t1 = |what: &str| f(&format!("loop.towers.t1.{what}"));
    // The tower: transfer units from the rated point, then a table over temperature and strength.
    let rated = Air {
        t: t1("transfer.rated.air_temperature") - 273.15,
        w: 0.0,
        p,
    };
    let rated = Air {
        w: rated.saturated(rated.t, 1.0) * t1("transfer.rated.relative_humidity"),
        ..rated
    };
    let (mut low, mut high) = (0.05, 10.0);
    let goal = t1("transfer.rated.evaporation") * RHO20;
    for _ in 0..40 {
        let mid = 0.5 * (low + high);
        let solution = t1("transfer.rated.solution") - 273.15;
        let (kg, _) = rated.tower(
            t1("transfer.air_flow") / rated.volume(),
            t1("transfer.feed") * RHO20 * CP,
            mid,
            solution,
            1.0,
        );
        if kg > goal { high = mid } else { low = mid }
    }
    let g = t1("air_flow") / air.volume();
    let warmed = Air {
        t: air.t + t1("fan_power") / (g * 1006.0 * (1.0 + 1.85 * air.w)),
        ..air
    };
    let at = |t: f64, c: f64| {
        warmed.tower(
            g,
            t1("feed") * (RHO20 * CP - 3.85e3 * c),
            low,
            t,
            activity(c),
        )
    };
    let table: Vec<[(f64, f64); 2]> = (0..=80)
        .map(|i| 0.5 * f64::from(i) + 25.0)
        .map(|t| [at(t, 0.0), at(t, 80.0)])
        .collect();
    // Contents: water at 20 °C, metal, heat.
    let capacity = |x: &[f64; 3]| RHO20 * CP * x[0] - 3.85e3 * x[1];
    let temp = |x: &[f64; 3]| x[2] / capacity(x);
    let volume = |x: &[f64; 3]| x[0] * RHO20 / rho(temp(x));
    let fill = |v: f64, t: f64, c: f64| {
        let x = [v * rho(t) / RHO20, v * c, 0.0];
        [x[0], x[1], capacity(&x) * t]
    };
    let bath_set = f("loop.bath.set_point") - 273.15;
    let set = h("set_point") - 273.15;
    let full: Vec<f64> = (0..6).map(|i| path(i, "volume")).collect();
    let foot: Vec<f64> = (0..6).map(|i| path(i, "footprint")).collect();
    let open: Vec<f64> = (0..6)
        .map(|i| {
            foot[i] * (1.0 - path(i, "cover"))
                + if i == BATH {
                    0.1524 * f("loop.bath.sparge_length")
                } else {
                    0.0
                }
        })
        .collect();
    let room = f("site.room.jan.temperature") - 273.15;
    let mut x: Vec<[f64; 3]> = (0..6).map(|i| fill(full[i], room, 0.0)).collect();
    x[BATH] = fill(0.96 * full[BATH], bath_set, metal);
    x[COLLECTION] = fill(
        f("loop.collection.start_fill") * full[COLLECTION],
        room,
        0.0,
    );
    let middle = 0.5 * (h("electrodes.transfer_start") + h("electrodes.transfer_stop"));
    x[HOLDING] = fill(middle * foot[HOLDING], set, h("start_strength") * metal);
    let flow = |x: &mut Vec<[f64; 3]>, from: usize, to: Option<usize>, v: f64| {
        let share = v / volume(&x[from]);
        for j in 0..3 {
            let part = share * x[from][j];
            x[from][j] -= part;
            if let Some(to) = to {
                x[to][j] += part;
            }
        }
    };
    let feed = fill(
        f("loop.sections.rinses.flow"),
        f("waters.deionised.temperature") - 273.15,
        0.0,
    );
    let work = f("loop.work.area_rate");
    let (film, carried) = (
        work * f("loop.work.drag_out.film"),
        work * f("loop.work.heat_capacity"),
    );
    let power: f64 = (1..=4).map(|k| h(&format!("elements.e{k}.power"))).sum();
    let [mut heats, mut evaporates, mut fetches, mut gives, mut wet] =
        [true, true, false, false, true];
    let latch = |on: &mut bool, value: f64, low: f64, high: f64, below: bool| {
        if value <= low {
            *on = below
        } else if value >= high {
            *on = !below
        }
    };
    let speed = f("site.air_speed");
    let walls: Vec<f64> = (0..6).map(|i| path(i, "wall_loss")).collect();
    let [stop, restart, start, end] = [
        "evaporation_stop",
        "evaporation_restart",
        "transfer_start",
        "transfer_stop",
    ]
    .map(|e| h(&format!("electrodes.{e}")));
    let (half, fetch, give) = (0.5 * h("dead_band"), h("transfer_flow"), h("return.flow"));
    let (pump, dead) = (t1("pump_power"), dead);
    let per_day = (86_400.0 / STEP_S) as usize;
    (0..days)
        .map(|_| {
            let mut day = Day {
                tanks: [[0.0; 3]; 6],
                tower_kg_per_h: 0.0,
            };
            for _ in 0..per_day {
                let (t, v): (Vec<f64>, Vec<f64>) = x.iter().map(|x| (temp(x), volume(x))).unzip();
                let level = |i: usize| v[i] / foot[i];
                latch(&mut heats, t[HOLDING], set - half, set + half, true);
                latch(&mut evaporates, level(HOLDING), stop, restart, false);
                latch(&mut fetches, level(HOLDING), start, end, true);
                latch(
                    &mut wet,
                    v[COLLECTION] / full[COLLECTION],
                    0.02,
                    0.10,
                    false,
                );
                latch(&mut gives, v[BATH] / full[BATH], 0.955, 0.965, true);
                for i in 0..6 {
                    let (kg, w) = air.surface(t[i], activity(x[i][1] / v[i]), speed);
                    x[i][0] -= STEP_S * open[i] * kg / RHO20;
                    x[i][2] -=
                        STEP_S * (open[i] * (kg * vapour(t[i]) + w) + walls[i] * (t[i] - air.t));
                    day.tanks[i] = [0, 1, 2].map(|j| {
                        day.tanks[i][j] + [v[i], t[i], x[i][1] / v[i]][j] / per_day as f64
                    });
                }
                if evaporates {
                    let (place, c) = ((t[HOLDING] - 25.0) / 0.5, x[HOLDING][1] / v[HOLDING] / 80.0);
                    let (i, part) = (place.floor() as usize, place.fract());
                    let read = |k: fn(&(f64, f64)) -> f64| {
                        let line = |i: usize| k(&table[i][0]) * (1.0 - c) + k(&table[i][1]) * c;
                        line(i) * (1.0 - part) + line(i + 1) * part
                    };
                    let (kg, drawn) = (read(|e| e.0), read(|e| e.1));
                    x[HOLDING][0] -= STEP_S * kg / RHO20;
                    x[HOLDING][2] += STEP_S * (pump - drawn);
                    day.tower_kg_per_h += kg * 3600.0 / per_day as f64;
                }
                x[HOLDING][2] += if heats { STEP_S * power } else { 0.0 };
                for i in 1..4 {
                    flow(&mut x, i - 1, Some(i), STEP_S * film);
                    x[i][2] += STEP_S * carried * (t[i - 1] - t[i]);
                }
                flow(&mut x, 3, None, STEP_S * film);
                x[3] = [0, 1, 2].map(|j| x[3][j] + STEP_S * feed[j]);
                if fetches && wet {
                    flow(&mut x, COLLECTION, Some(HOLDING), STEP_S * fetch);
                }
                if gives {
                    flow(&mut x, HOLDING, Some(BATH), STEP_S * give);
                }
                for (from, to) in [
                    (3, Some(2)),
                    (2, Some(1)),
                    (1, Some(COLLECTION)),
                    (COLLECTION, None),
                ] {
                    let over = volume(&x[from]) - full[from];
                    if over > 0.0 {
                        flow(&mut x, from, to, over)
                    }
                }
                // The bath's heater and cooler hold its set point.
                x[BATH][2] = capacity(&x[BATH]) * bath_set;
            }
            // Once a day the bath is analysed; a kilogram of nickel comes with 1.9 L of crystal water and salt.
            if x[BATH][1] < metal * (1.0 - dead) * volume(&x[BATH]) {
                let need = metal * volume(&x[BATH]) - x[BATH][1];
                x[BATH][0] += 1.9e-3 * need;
                x[BATH][1] += need * (1.0 + 1.9e-3 * metal);
            }
            day
        })
        .collect()
}
