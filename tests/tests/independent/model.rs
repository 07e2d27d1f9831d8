//! The demo at work that never stops, written down a second time: a fixed step, formulas of its own, nothing of the program. Source: hand derivation;
//! property formulas as named, from memory; figures as in the scenario, in m, kg, s, °C. Rinse water never runs short here, so that the tower never rests.

const L_PER_H: f64 = 1e-3 / 3600.0;
const RHO20: f64 = 998.2;
const CP: f64 = 4186.0;
const STEP_S: f64 = 5.0;
const BATH: usize = 0;
const COLLECTION: usize = 4;
const HOLDING: usize = 5;
const AWAY: usize = 6;
const FULL_M3: [f64; 6] = [4.2, 0.7, 0.7, 0.7, 1.5, 2.2];
const HOLDING_M2: f64 = 2.0;
/// Covers taken off, a strip of six inches along 5 m of sparge pipe added.
const OPEN_M2: [f64; 6] = [3.5 + 0.1524 * 5.0, 0.8, 0.8, 0.8, 0.26, 0.6];
const WALLS_W_PER_K: [f64; 6] = [40.0, 0.0, 0.0, 0.0, 0.0, 12.0];

/// Saturation pressure over water, Pa: Buck (1996).
pub fn psat(t: f64) -> f64 {
    611.21 * ((18.678 - t / 234.5) * t / (257.14 + t)).exp()
}

/// Density of water over that at 20 °C: Kell's short form.
fn swell(t: f64) -> f64 {
    let fall = (t + 288.941_4) * (t - 3.9863).powi(2) / (508_929.2 * (t + 68.129_63));
    1000.0 / RHO20 * (1.0 - fall)
}

fn vapour(t: f64) -> f64 {
    2.501e6 + 1860.0 * t
}

/// Water activity: at 75 g/L of nickel a kilogram of water holds 1.18 mol of sulfate (φ 0.50), 0.23 of chloride (φ 0.87) and 0.72 of boric acid (ideal):
/// 2·0.50·1.18 + 3·0.87·0.23 + 0.72 = 2.50; in proportion below.
fn activity(c: f64) -> f64 {
    (-0.018_015 * 2.50 * c / 75.0).exp()
}

/// A switch that closes below its band and opens above it.
fn latch(on: f64, value: f64, low: f64, high: f64) -> f64 {
    let kept = if value < high { on } else { 0.0 };
    if value <= low { 1.0 } else { kept }
}

fn add(x: [f64; 3], d: [f64; 3], by: f64) -> [f64; 3] {
    [0, 1, 2].map(|j| x[j] + by * d[j])
}

/// Where a rising function passes zero.
fn bisect(low: f64, high: f64, rising: impl Fn(f64) -> f64) -> f64 {
    (1..31).fold(low, |x, i| {
        let next = x + (high - low) * 0.5_f64.powi(i);
        if rising(next) > 0.0 { x } else { next }
    })
}

/// Air: temperature, humidity ratio, pressure.
#[derive(Clone, Copy)]
pub struct Air {
    pub t: f64,
    pub w: f64,
    pub p: f64,
}

impl Air {
    fn saturated(&self, t: f64, aw: f64) -> f64 {
        0.622 * aw * psat(t) / (self.p - aw * psat(t))
    }

    /// Evaporation (kg/m²s) and other heat (W/m²) of open water: Nu = 0.14·Ra^⅓, its analogue (diffusivity by Massman, 1998), 0.0782·v·Δp/h_fg, radiation.
    fn surface(&self, t: f64, aw: f64) -> (f64, f64) {
        let (ea, es) = (self.w * self.p / (0.622 + self.w), aw * psat(t));
        let rho = |t: f64, e: f64| (self.p - 0.378 * e) / (287.05 * (t + 273.15));
        let (k, thin) = (1.0 + 0.5 * (t + self.t) / 273.15, 101_325.0 / self.p);
        let (nu, a) = (1.33e-5 * k.powf(1.77) * thin, 1.87e-5 * k.powf(1.78) * thin);
        let (d, film) = (2.178e-5 * k.powf(1.81) * thin, rho(273.15 * (k - 1.0), 0.0));
        let lift = 9.81 * (rho(self.t, ea) - rho(t, es)).max(0.0) / (film * nu);
        let per_pa = 0.018_015 / (8.314_46 * 273.15 * k);
        let forced = 0.0782 * 0.1 / (vapour(t) - CP * t);
        let mass = 0.14 * d * (lift / d).cbrt() * per_pa + forced;
        let forced = forced / per_pa * film * 1006.0 * (a / d).powf(2.0 / 3.0);
        let heat = 0.14 * 0.0241 * k.powf(0.84) * (lift / a).cbrt() + forced;
        let glow = 0.95 * 5.67e-8 * ((t + 273.15).powi(4) - (self.t + 273.15).powi(4));
        (mass * (es - ea).max(0.0), heat * (t - self.t) + glow)
    }

    /// Vapour in air of enthalpy `h` with water `w`; what is left is fog.
    fn clear(&self, h: f64, w: f64) -> f64 {
        let clear = |t: f64| w.min(self.saturated(t, 1.0));
        let held = |t: f64| 1006.0 * t + clear(t) * vapour(t) + (w - clear(t)) * CP * t;
        clear(bisect(0.0, 90.0, |t| held(t) - h))
    }

    /// Evaporation (kg/s) and heat drawn (W) of the tower: Poppe's equations with Le = 1; transfer units go as (L/G)^0.4.
    fn tower(&self, contact: f64, feed_w_per_k: f64, t: f64, aw: f64) -> (f64, f64) {
        let g = 550.0 / 3600.0 * self.p / (287.05 * (self.t + 273.15) * (1.0 + 1.6078 * self.w));
        let part = contact * (feed_w_per_k / CP / g).powf(0.4) / 16.0;
        let start = 1006.0 * self.t + self.w * vapour(self.t);
        let slopes = |[t, h, w]: [f64; 3]| {
            let (t, wa) = (t.min(85.0), self.clear(h, w));
            let ws = self.saturated(t, aw);
            let dh = 1006.0 * t + ws * vapour(t) - h + (w - wa) * CP * t;
            let dt = g / feed_w_per_k * (dh - CP * t * (ws - wa));
            [part * dt, part * dh, part * (ws - wa)]
        };
        // From the foot up: solution that leaves at `foot` meets the fresh air.
        let rise = |x: [f64; 3], _| add(x, slopes(add(x, slopes(x), 0.5)), 1.0);
        let march = |foot: f64| (0..16).fold([foot, start, self.w], rise);
        let [_, h, w] = march(bisect(t - 40.0, t, |foot| march(foot)[0] - t));
        (g * (w - self.w), g * (h - start))
    }
}

/// A tank: water as its volume at 20 °C (m³), metal (kg), heat (J); salts are taken to hold heat as the water whose place they take.
type Tank = [f64; 3];

fn fill(v: f64, t: f64, c: f64) -> Tank {
    [v * swell(t), v * c, v * swell(t) * RHO20 * CP * t]
}

fn temp(x: Tank) -> f64 {
    x[2] / (x[0] * RHO20 * CP)
}

fn volume(x: Tank) -> f64 {
    x[0] / swell(temp(x))
}

/// A step of a flow in L/h.
fn flow(x: &mut [Tank; 7], from: usize, to: usize, l_per_h: f64) {
    let part = x[from].map(|held| held * l_per_h * STEP_S * L_PER_H / volume(x[from]));
    x[from] = add(x[from], part, -1.0);
    x[to] = add(x[to], part, 1.0);
}

/// Volume (m³), temperature (°C) and metal (kg/m³) of bath, rinses, collection and holding tank: means of each span of days.
pub fn run(spans: usize, days: f64, room: Air, start_c: f64, metal: f64) -> Vec<[Tank; 6]> {
    // The contact from the rated point: 57 L/h from water of 60 °C into air of 20 °C and 50 %. A solution holds less heat than water.
    let w = room.saturated(20.0, 0.5);
    let (rated, feed) = (Air { t: 20.0, w, ..room }, 50.0 * 60.0 * L_PER_H);
    let miss = |n: f64| rated.tower(n, feed * RHO20 * CP, 60.0, 1.0).0 - 57.0 * L_PER_H * RHO20;
    let contact = bisect(0.05, 9.0, miss);
    let feed_w_per_k = feed * (RHO20 * CP - 0.5 * 3.85e3 * metal);
    // The fan's 400 W in 0.179 kg/s of air.
    let mut warmed = room;
    warmed.t += 400.0 / (0.179 * 1030.0);
    let mut x = [fill(0.7, start_c, 0.0); 7];
    x[BATH] = fill(0.96 * FULL_M3[BATH], 55.0, metal);
    x[COLLECTION] = fill(0.3 * FULL_M3[COLLECTION], start_c, 0.0);
    x[HOLDING] = fill(0.755 * HOLDING_M2, 58.0, 0.2 * metal);
    let (mut heats, mut fetches, mut gives) = (1.0, 0.0, 0.0);
    let (steps, mut means) = ((days * 86_400.0 / STEP_S) as usize, vec![]);
    for _ in 0..spans {
        let (mut mean, mut tower) = ([[0.0; 3]; 6], [(0.0, 0.0); 2]);
        for step in 0..steps {
            let (t, v) = (x.map(temp), x.map(volume));
            heats = latch(heats, t[HOLDING], 57.0, 59.0);
            fetches = latch(fetches, v[HOLDING] / HOLDING_M2, 0.74, 0.77);
            gives = latch(gives, v[BATH] / FULL_M3[BATH], 0.955, 0.965);
            for i in 0..6 {
                let c = x[i][1] / v[i];
                let (kg, w) = room.surface(t[i], activity(c));
                let lost = OPEN_M2[i] * (kg * vapour(t[i]) + w);
                x[i][0] -= STEP_S * OPEN_M2[i] * kg / RHO20;
                x[i][2] -= STEP_S * (lost + WALLS_W_PER_K[i] * (t[i] - room.t));
                mean[i] = add(mean[i], [v[i], t[i], c], 1.0 / steps as f64);
            }
            if step % 4320 == 0 {
                let aw = activity(x[HOLDING][1] / v[HOLDING]);
                tower = [56.5, 59.5].map(|t| warmed.tower(contact, feed_w_per_k, t, aw));
            }
            let (part, [cool, hot]) = ((t[HOLDING] - 56.5) / 3.0, tower);
            let drawn = cool.1 + part * (hot.1 - cool.1);
            x[HOLDING][0] -= STEP_S * (cool.0 + part * (hot.0 - cool.0)) / RHO20;
            x[HOLDING][2] += STEP_S * (heats * 52e3 + 500.0 - drawn);
            for (from, to) in [(0, 1), (1, 2), (2, 3), (3, AWAY)] {
                flow(&mut x, from, to, 40.0 * 0.12);
                x[to][2] += STEP_S * 40.0 * 6000.0 / 3600.0 * (t[from] - t[to]);
            }
            x[3] = add(x[3], fill(STEP_S * 95.0 * L_PER_H, 16.0, 0.0), 1.0);
            flow(&mut x, HOLDING, BATH, gives * 300.0);
            flow(&mut x, COLLECTION, HOLDING, fetches * 900.0);
            for (from, to) in [(3, 2), (2, 1), (1, COLLECTION), (COLLECTION, AWAY)] {
                let over = volume(x[from]) - FULL_M3[from];
                flow(&mut x, from, to, over.max(0.0) / (STEP_S * L_PER_H));
            }
            // The bath: 3.5 % of 4000 A decompose 0.336 g/Ah of water; it is analysed once a day, and with a kilogram of nickel come 1.9 L of crystal water and salt;
            // 5.5 V of its current and the work warm it; heater and cooler hold it from 55 to 55.5 °C.
            x[BATH][0] -= STEP_S * 0.035 * 4000.0 * 0.336e-3 / 3600.0 / RHO20;
            let need = metal * volume(x[BATH]) - x[BATH][1];
            if (step + 1) % 17_280 == 0 && need > 0.01 * metal * volume(x[BATH]) {
                x[BATH] = add(x[BATH], [1.9e-3, 1.0 + 1.9e-3 * metal, 0.0], need);
            }
            x[BATH][2] += STEP_S * (22e3 + 40.0 * 6000.0 / 3600.0 * (room.t - t[BATH]));
            x[BATH][2] = x[BATH][0] * RHO20 * CP * temp(x[BATH]).clamp(55.0, 55.5);
        }
        means.push(mean);
    }
    means
}
