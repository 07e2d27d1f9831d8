//! Whether money that is laid out comes back: payback, net present value, internal rate of return.
//!
//! Money laid out is paid at time zero, savings come at the end of each year, as in the textbooks of engineering economy. Equipment whose life ends within
//! the horizon is bought again; nothing is credited for what is left of it at the end.

use serde::{Serialize, Serializer};

/// Money over the years: what is laid out at the beginning and what comes at the end of each year, below zero where it goes.
#[derive(Clone, Debug, PartialEq)]
pub struct CashFlow {
    /// Index 0 is the beginning, index n the end of year n.
    pub flows: Vec<f64>,
}

/// A piece of equipment as it counts here.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What people call it.
    pub name: String,
    /// What it costs.
    pub cost: f64,
    /// Years that it lasts, above 0.
    pub life_years: f64,
}

/// How many years it takes until the money is back. As data it is their number, or `null` where it never is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Years {
    /// So many.
    After(f64),
    /// Nothing is laid out, and something is saved or nothing changes.
    AtOnce,
    /// Nothing is saved, or less than is needed within the horizon.
    Never,
}

impl Years {
    /// The years; none where there is no number.
    #[must_use]
    pub const fn number(self) -> Option<f64> {
        match self {
            Self::After(years) => Some(years),
            Self::AtOnce => Some(0.0),
            Self::Never => None,
        }
    }
}

impl Serialize for Years {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.number().serialize(to)
    }
}

/// The rate at which the present value is nothing. As data it is the rate, or `null` where there is none or several, or it is beyond what is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rate {
    /// The only one, as a fraction a year.
    One(f64),
    /// The only one is above [`HIGHEST_RATE`].
    Beyond,
    /// There is none: nothing is laid out, nothing comes back, or not even at −99 % a year.
    None,
    /// Several, so that none of them says anything.
    Several,
}

impl Rate {
    /// The rate, a fraction a year; none where there is no number.
    #[must_use]
    pub const fn number(self) -> Option<f64> {
        match self {
            Self::One(rate) => Some(rate),
            Self::Beyond | Self::None | Self::Several => None,
        }
    }
}

impl Serialize for Rate {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.number().serialize(to)
    }
}

/// Rates between which a rate of return is looked for, fractions a year.
const LOWEST_RATE: f64 = -0.99;
/// Highest rate of return that is looked for, a fraction a year.
pub const HIGHEST_RATE: f64 = 100.0;
/// Steps in which it is looked for, in equal ratios of 1 + rate.
const RATE_STEPS: usize = 4000;
/// Halvings that pin a rate down to the last digits.
const HALVINGS: usize = 200;

impl CashFlow {
    /// The flows of a saving every year over a horizon of whole years, for equipment that is bought at the beginning and again whenever its life ends before
    /// the horizon does.
    #[must_use]
    pub fn new(items: &[Item], saving_per_year: f64, horizon_years: usize) -> Self {
        let mut flows = vec![saving_per_year; horizon_years + 1];
        flows[0] = 0.0;
        for item in items {
            let mut bought = 0.0;
            #[expect(clippy::cast_precision_loss, reason = "some decades")]
            let horizon = horizon_years as f64;
            // What ends a hair before a year's end is bought with it.
            while bought < horizon - 1e-9 {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "below the horizon"
                )]
                let year = (bought - 1e-9).ceil().max(0.0) as usize;
                flows[year] -= item.cost;
                bought += item.life_years.max(0.1);
            }
        }
        Self { flows }
    }

    /// Present value at an interest, a fraction a year above −1.
    #[must_use]
    pub fn present_value(&self, interest: f64) -> f64 {
        // By Horner, from the last year.
        let discounted = self.flows.iter().rev();
        discounted.fold(0.0, |later, flow| flow + later / (1.0 + interest))
    }

    /// Sum of all flows up to each year, each discounted.
    #[must_use]
    pub fn cumulated(&self, interest: f64) -> Vec<f64> {
        let (mut sum, mut factor) = (0.0, 1.0);
        let each = self.flows.iter().map(|flow| {
            sum += flow * factor;
            factor /= 1.0 + interest;
            sum
        });
        each.collect()
    }

    /// Years until the discounted sum is no longer below zero, and stays there; within a year it grows evenly.
    #[must_use]
    pub fn years_until_back(&self, interest: f64) -> Years {
        let sums = self.cumulated(interest);
        let Some(last_below) = sums.iter().rposition(|s| *s < 0.0) else {
            return Years::AtOnce;
        };
        let Some(next) = sums.get(last_below + 1) else {
            return Years::Never;
        };
        let below = sums[last_below];
        #[expect(clippy::cast_precision_loss, reason = "some decades")]
        let year = last_below as f64;
        Years::After(year + below / (below - next))
    }

    /// The internal rate of return.
    #[must_use]
    pub fn rate_of_return(&self) -> Rate {
        let has = |sign: f64| self.flows.iter().any(|f| f * sign > 0.0);
        if !(has(1.0) && has(-1.0)) {
            return Rate::None;
        }
        #[expect(clippy::cast_precision_loss, reason = "some thousands")]
        let rate = |i: usize| {
            let share = i as f64 / RATE_STEPS as f64;
            let (low, high) = ((1.0 + LOWEST_RATE).ln(), (1.0 + HIGHEST_RATE).ln());
            (low + share * (high - low)).exp() - 1.0
        };
        let mut found = Vec::new();
        let (mut high, mut b) = (rate(0), self.present_value(rate(0)));
        for i in 1..=RATE_STEPS {
            let (low, a) = (high, b);
            high = rate(i);
            b = self.present_value(high);
            if a == 0.0 || a.signum() != b.signum() && b != 0.0 {
                found.push(self.root_between(low, high));
            }
        }
        // The higher the rate, the less counts what comes later: in the end the first flow alone is left.
        let first = self.flows.iter().find(|f| **f != 0.0);
        let is_beyond = b != 0.0 && first.is_some_and(|f| f.signum() != b.signum());
        match (&found[..], is_beyond) {
            (&[one], false) => Rate::One(one),
            ([], true) => Rate::Beyond,
            ([], false) => Rate::None,
            _ => Rate::Several,
        }
    }

    fn root_between(&self, mut low: f64, mut high: f64) -> f64 {
        let sign = self.present_value(low).signum();
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.present_value(middle).signum() == sign {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}

/// Years that a saving needs to bring back what is laid out, without interest: what most people mean by payback.
#[must_use]
pub fn simple_payback(laid_out: f64, saving_per_year: f64) -> Years {
    if laid_out <= 0.0 && saving_per_year >= 0.0 {
        Years::AtOnce
    } else if saving_per_year <= 0.0 {
        Years::Never
    } else {
        Years::After(laid_out / saving_per_year)
    }
}

/// Share of a price that is due each year over a life at an interest: `i / (1 − (1 + i)^−n)`, the capital recovery factor; `1/n` without interest.
#[must_use]
pub fn capital_recovery(interest: f64, life_years: f64) -> f64 {
    if interest.abs() < 1e-12 {
        1.0 / life_years
    } else {
        interest / (1.0 - (1.0 + interest).powf(-life_years))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against numpy-financial 1.0.0 (with numpy 2.4.6): `-pv(0.06, 10, 1)`, `-pmt(0.08, 15, 1)`, `npv` of flows at the beginning and the ends of years.
    /// The first two are the uniform-series present worth and the capital recovery factor that tables of compound interest print as 7.3601 and 0.11683.
    #[test]
    fn present_values_are_those_of_a_reference_library() {
        let one_a_year = CashFlow::new(&[], 1.0, 10).present_value(0.06);
        assert!((one_a_year - 7.360_087_051_414_702).abs() < 1e-12);
        assert!((capital_recovery(0.08, 15.0) - 0.116_829_544_936_019_99).abs() < 1e-14);
        assert!((capital_recovery(0.0, 8.0) - 0.125).abs() < 1e-12);
        let flow = CashFlow {
            flows: vec![-40e3, 5e3, 8e3, 12e3, 30e3],
        };
        assert!((flow.present_value(0.08) - 3_065.222_668_179_525_5).abs() < 1e-8);
        let flow = CashFlow::new(&[machine(66_500.0, 12.0)], 21e3, 10);
        assert!((flow.present_value(0.06) - 88_061.828_079_708_59).abs() < 1e-7);
    }

    fn machine(cost: f64, life_years: f64) -> Item {
        Item {
            name: "machine".to_owned(),
            cost,
            life_years,
        }
    }

    /// By hand: 1000 laid out, 400 a year. Simple payback 2.5 years. At 10 %: 363.64 + 330.58 + 300.53 = 994.74 after three years, the fourth brings 273.21,
    /// so 3 + 5.26/273.21 = 3.0193 years.
    #[test]
    fn a_small_case_by_hand() {
        let flow = CashFlow::new(&[machine(1000.0, 20.0)], 400.0, 5);
        assert_eq!(flow.flows, [-1000.0, 400.0, 400.0, 400.0, 400.0, 400.0]);
        assert_eq!(simple_payback(1000.0, 400.0), Years::After(2.5));
        let Years::After(years) = flow.years_until_back(0.10) else {
            panic!("it comes back");
        };
        assert!((years - 3.0193).abs() < 1e-3, "{years}");
        assert!((flow.present_value(0.10) - (400.0 * 3.790_787 - 1000.0)).abs() < 1e-3);
    }

    /// Against `irr` of numpy-financial 1.0.0; the flows with two rates (10 % and 20 %) by hand: `−100 + 230/1.1 − 132/1.21 = 0` and the same with 1.2.
    #[test]
    fn rates_of_return_are_those_of_a_reference_library() {
        let rate = |flows: &[f64]| {
            let flows = flows.to_vec();
            CashFlow { flows }.rate_of_return()
        };
        let seven_years = [&[-66.5e3][..], &[21e3; 7]].concat();
        for (flows, wanted) in [
            (
                &[-100.0, 39.0, 59.0, 55.0, 20.0][..],
                0.280_948_421_159_960_66,
            ),
            (&[-100.0, 0.0, 0.0, 74.0], -0.095_495_830_348_972_8),
            (&seven_years, 0.249_305_471_469_158_5),
        ] {
            let Rate::One(found) = rate(flows) else {
                panic!("{flows:?}");
            };
            assert!((found - wanted).abs() < 1e-12, "{found} {wanted}");
        }
        assert_eq!(rate(&[-100.0, 230.0, -132.0]), Rate::Several);
        // By hand: −1 + 150/(1 + i) is nothing at 14 900 %, and −1 + 101/(1 + i) at the last rate that is looked at.
        assert_eq!(rate(&[-1.0, 150.0]), Rate::Beyond);
        assert_eq!(rate(&[-1.0, 101.5]), Rate::Beyond);
        let Rate::One(high) = rate(&[-1.0, 100.5]) else {
            panic!("within what is looked at");
        };
        assert!((high - 99.5).abs() < 1e-9, "{high}");
        // −1 + 150/(1 + i) − 1.6/(1 + i)² is nothing where 1 + i is 0.0107 and 149.99, beyond what is looked at.
        assert_eq!(rate(&[-1.0, 150.0, -1.6]), Rate::Several);
        assert_eq!(rate(&[100.0, 50.0]), Rate::None);
        assert_eq!(rate(&[-100.0, -1.0]), Rate::None);
    }

    #[test]
    fn what_never_comes_back_has_no_years() {
        assert_eq!(simple_payback(1000.0, 0.0), Years::Never);
        assert_eq!(simple_payback(1000.0, -1.0), Years::Never);
        assert_eq!(simple_payback(0.0, 10.0), Years::AtOnce);
        assert_eq!(simple_payback(0.0, -10.0), Years::Never);
        let flow = CashFlow::new(&[machine(1000.0, 20.0)], 50.0, 10);
        assert_eq!(flow.years_until_back(0.0), Years::Never);
    }

    #[test]
    fn equipment_is_bought_again_when_its_life_ends() {
        let flow = CashFlow::new(&[machine(100.0, 4.0)], 0.0, 10);
        let bought: Vec<usize> = (0..=10).filter(|&i| flow.flows[i] < 0.0).collect();
        assert_eq!(bought, [0, 4, 8]);
        // Not in the last year, in which nothing would come of it.
        let flow = CashFlow::new(&[machine(100.0, 5.0)], 0.0, 10);
        let bought: Vec<usize> = (0..=10).filter(|&i| flow.flows[i] < 0.0).collect();
        assert_eq!(bought, [0, 5]);
    }
}
