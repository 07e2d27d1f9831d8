//! The counterflow series with the numbers of the line put in, and why the simulated ratio differs from it.

use dragback_properties::rinse::{counterflow_dilution, counterflow_terms};
use dragback_scenario::{Feed, Loop, Section};
use dragback_study::LoopAnswer;
use dragback_units::constants::l_per_h;

use crate::results::Figures;

/// The series c₀/c_N = 1 + r + r² + … + r^N for one section of rinses.
///
/// Source: hand derivation from the steady balance of each stage, with equal films, full mixing and no evaporation.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Fresh water while work runs, L/h.
    pub feed_l_per_h: f64,
    /// Drag-out while work runs, L/h.
    pub drag_out_l_per_h: f64,
    /// Feed over drag-out.
    pub ratio: f64,
    /// Number of stages.
    pub stages: usize,
    /// The terms, from 1 on.
    pub terms: Vec<f64>,
    /// Their sum.
    pub sum: f64,
    /// The same ratio as simulated over the settled week.
    pub simulated: f64,
    /// Why there is no such ratio, in a few words.
    pub none_because: Option<String>,
    /// What is compared: `bath ÷ final film`, or `bath ÷ rinses 3`.
    pub compared: String,
    /// Why the two differ, in the trade's words.
    pub reasons: Vec<String>,
}

/// The series for the section that the rinse lever moves; `None` when the loop has no rinses, or nothing is dragged out.
#[must_use]
pub fn series(figures: &Figures) -> Option<Series> {
    let line = figures.scenario.loops.get(&figures.asked.loop_key)?;
    let answer = figures.line()?;
    let roles = figures.plant.network().loops.get(figures.loop_index)?;
    let works = &figures.plant.network().works;
    let calendar = works.get(roles.work.index())?.calendar;
    let share = figures
        .plant
        .network()
        .calendars
        .get(calendar.index())?
        .open_share();
    let (key, section) = line.recovered_section()?;
    let feed_l_per_h = match section.feed {
        Feed::Continuous | Feed::WhileWorking => l_per_h(section.flow.si()),
        Feed::Conductivity | Feed::Matched => answer.rinse_feed_l_per_h / share,
    };
    let drag_out_l_per_h = answer.drag_out_l_per_h / share;
    if !(drag_out_l_per_h > 0.0 && share > 0.0) {
        return None;
    }
    let ratio = feed_l_per_h / drag_out_l_per_h;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of at most ten"
    )]
    let stages = section.stages.si().round() as u32;
    let terms: Vec<f64> = counterflow_terms(ratio, stages).collect();
    let sum = counterflow_dilution(ratio, stages);
    let stages = terms.len() - 1;
    let (simulated, compared) = simulated(line, key, stages, figures)?;
    Some(Series {
        feed_l_per_h,
        drag_out_l_per_h,
        ratio,
        stages,
        terms,
        sum,
        none_because: (!simulated.is_finite()).then(|| none_because(answer).to_owned()),
        simulated,
        compared,
        reasons: reasons(line, section, share),
    })
}

/// Why strengths give no ratio.
fn none_because(answer: &LoopAnswer) -> &'static str {
    if answer.bath.runs_down() {
        "nothing restores the bath"
    } else if answer.final_rinse.tank_mg_per_l.is_finite() {
        "the film is too clean to divide by"
    } else {
        "strengths here cannot be trusted"
    }
}

/// The ratio that the series stands for, as simulated: bath over final film where the section is the only rinse, else bath over the section's last
/// stage, as means of the week.
fn simulated(line: &Loop, key: &str, stages: usize, figures: &Figures) -> Option<(f64, String)> {
    let answer = figures.line()?;
    if line.sections.len() == 1 && line.stills.is_empty() {
        return Some((
            answer.final_rinse.dilution_ratio,
            "bath ÷ final film".to_owned(),
        ));
    }
    let network = figures.plant.network();
    let roles = network.loops.get(figures.loop_index)?;
    let names = || {
        roles
            .vessels
            .iter()
            .map(|v| network.vessels[v.index()].name.as_str())
    };
    // Vessels of a scenario with several loops have the loop's key in front.
    let stage = names().find(|name| name.ends_with(&format!("{key} {stages}")))?;
    let bath = &network.vessels[roles.bath.index()].name;
    let species = &answer.final_rinse.species;
    let strength = |name: &str| {
        let vessel = figures.answers.vessels.iter().find(|v| v.name == name)?;
        vessel.concentration_g_per_l.get(species).copied()
    };
    Some((
        strength(bath)? / strength(stage)?,
        format!("bath ÷ {stage}"),
    ))
}

/// What the series leaves out and this line has. How much each weighs is not known here: two may even cancel.
fn reasons(line: &Loop, section: &Section, work_share: f64) -> Vec<String> {
    let mut found = Vec::new();
    if line.sections.len() > 1 || !line.stills.is_empty() {
        found.push("other rinses".to_owned());
    }
    if line.route.iter().any(|v| v.efficiency.si() < 1.0) {
        found.push("short dips, after which old film stays on".to_owned());
    }
    if line.route.iter().any(|v| v.spray.is_some()) {
        found.push("sprays".to_owned());
    }
    let bath_film = line
        .work
        .drag_out
        .film
        .as_ref()
        .map(dragback_scenario::Input::si);
    let rinse_film = line
        .work
        .drag_out
        .rinse_film
        .as_ref()
        .map(dragback_scenario::Input::si);
    if rinse_film.is_some() && rinse_film != bath_film
        || line.route.iter().any(|v| v.film.is_some())
    {
        found.push("films that differ".to_owned());
    }
    if section.feed == Feed::Continuous && work_share < 0.999 {
        found.push("water that runs on when work rests".to_owned());
    }
    if work_share < 0.999 {
        found.push("how stages follow the shifts".to_owned());
    }
    found.push("evaporation".to_owned());
    found
}
