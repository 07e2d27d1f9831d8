//! What grows in the baths.

use dragback_study::{Answers, ImpurityAnswer};

use crate::Table;
use crate::{NO_NUMBER, Show};

/// Days beyond which no more is said about a limit: ten years.
const FAR_D: f64 = 3650.0;

/// Something with a limit, or that grows by more than a hundredth of itself in a year.
fn is_worth_a_line(i: &ImpurityAnswer) -> bool {
    let yearly_g_per_l = 365.0 * i.growth_g_per_l_per_day;
    i.limit_g_per_l.is_some() || yearly_g_per_l > 0.01 * i.now_g_per_l
}

/// What grows, or has a limit: where it stands, how fast it grows, when the limit is reached, which bleed holds it.
#[must_use]
pub fn impurities(answers: &Answers, is_settled: bool, show: Show) -> Table {
    let heads = [
        "solute",
        "in",
        "at the\nstart",
        "growth\nper day",
        "limit",
        "reached\nafter",
        "bleed that\nholds it",
    ];
    let mut table = Table::new(heads).text(1);
    for i in answers.impurities.iter().filter(|i| is_worth_a_line(i)) {
        table.push([
            i.species.clone(),
            i.vessel.clone(),
            show.strength(i.now_g_per_l),
            show.strength(i.growth_g_per_l_per_day),
            i.limit_g_per_l
                .map_or_else(|| "none".to_owned(), |l| show.strength(l)),
            reached(i, is_settled, show),
            i.purge_l_per_h
                .map_or_else(|| NO_NUMBER.to_owned(), |p| show.flow(p)),
        ]);
    }
    table
}

fn reached(i: &ImpurityAnswer, is_settled: bool, show: Show) -> String {
    match (i.limit_g_per_l, i.days_to_limit) {
        (_, Some(days)) if days > FAR_D => "10 years +".to_owned(),
        (_, Some(days)) => show.days(days),
        (Some(_), None) if is_settled || i.growth_g_per_l_per_day.is_finite() => "never".to_owned(),
        _ => NO_NUMBER.to_owned(),
    }
}

/// A sentence for each salt that growth brings out of a tank.
#[must_use]
pub fn precipitation(answers: &Answers, show: Show) -> Vec<String> {
    let told = answers.precipitation.iter().map(|p| {
        let when = if p.days > 0.0 {
            format!("after {}", show.days(p.days))
        } else {
            "from the start".to_owned()
        };
        let (salt, vessel) = (&p.salt, &p.vessel);
        if p.once_cooled {
            format!("{salt} would come out in {vessel} as the shop cools over a weekend, {when}.")
        } else {
            format!("{salt} begins to come out in {vessel} {when}.")
        }
    });
    told.collect()
}

/// What the table rests on; `None` where it is empty, and of a settled week in which everything shown creeps.
#[must_use]
pub fn about_impurities(answers: &Answers, is_settled: bool) -> Option<&'static str> {
    let mut shown = answers
        .impurities
        .iter()
        .filter(|i| is_worth_a_line(i))
        .peekable();
    shown.peek()?;
    if is_settled {
        return shown.any(|i| i.growth_g_per_l_per_day == 0.0).then_some(
            "Growth is that in the settled week: what rises on the way there and then stays below its limit is said not to grow.",
        );
    }
    let words = if shown.any(|i| i.growth_g_per_l_per_day.is_finite()) {
        "Growth is that over the second half of the run. A limit that the run did not pass is reached on the day shown if the growth goes on so; one that levels off comes later or never: `dragback settle` looks further."
    } else {
        "A run of less than four weeks does not tell growth from the ups and downs of a week; run longer, or settle."
    };
    Some(words)
}
