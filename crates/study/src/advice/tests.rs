use dragback_plant::climate::AirChoice;
use dragback_run::RunError;
use dragback_run::clock::Hours;
use dragback_scenario::{ClosedBy, Equipment, Layout, Layouts, get, levers, set, set_si};

use super::trial::rounded;
use super::*;
use crate::case::Case;
use crate::settled::{Depth, settled_answers};

const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
/// Every shipped line.
const ALL: [&str; 6] = [
    DEMO,
    include_str!("../../../../scenarios/teaching.ron"),
    include_str!("../../../../scenarios/chromium.ron"),
    include_str!("../../../../scenarios/zinc-barrel.ron"),
    include_str!("../../../../scenarios/warm-bath.ron"),
    include_str!("../../../../scenarios/demo-before.ron"),
];

fn answers(scenario: &Scenario, air: AirChoice, depth: Depth) -> Option<Answers> {
    let case = Case::new(Arc::new(scenario.clone()), &TowerCache::default()).ok()?;
    let found = settled_answers(&case, air, Hours::Calendar, depth, &mut |_| true);
    Some(found.ok()?.answers)
}

fn key_of(scenario: &Scenario) -> String {
    scenario.loops.keys().next().unwrap().to_owned()
}

/// How a loop stands, computed apart from the search; the worst month is that of `now`.
fn standing(scenario: &Scenario, now: &LoopAnswer) -> Option<Standing> {
    let mean = answers(scenario, AirChoice::Mean, Depth::Quick)?;
    let month = match worst_air(now) {
        Some(air) => answers(scenario, air, Depth::Quick),
        None => None,
    };
    Standing::new(&now.name, mean, month)
}

fn loaded(text: &str) -> Scenario {
    dragback_scenario::load(text).0.unwrap()
}

fn advice_on(scenario: &Scenario) -> Option<(Answers, Advice)> {
    let now = answers(scenario, AirChoice::Mean, Depth::Full)?;
    let shared = Arc::new(scenario.clone());
    let cache = TowerCache::default();
    let advice = advise(&shared, &key_of(scenario), &now, &cache, &mut |_| true).unwrap()?;
    Some((now, advice))
}

/// A number from 0 to 1, one after another from a seed (a linear congruence; Knuth's constants, from memory).
fn next(seed: &mut u64) -> f64 {
    *seed = seed
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    let share = (*seed >> 11) as f64 / (1_u64 << 53) as f64;
    share
}

/// A shipped line with its main levers moved by up to `reach` times either way.
fn variant(text: &str, seed: &mut u64, reach: f64) -> Scenario {
    let mut scenario = loaded(text);
    let key = scenario.loops.keys().next().unwrap().to_owned();
    for path in levers(&scenario, &key).into_iter().flatten() {
        let si = get(&scenario, &path).unwrap().si().unwrap();
        let times = reach.powf(2.0 * next(seed) - 1.0);
        set_si(&mut scenario, &path, si * times).unwrap();
    }
    scenario
}

/// Part of a change, or more of a saving; `None` where nothing more could be saved, or was tried.
fn part(p: &Proposal) -> Option<f64> {
    if p.path.ends_with(".stages") {
        return Some(p.to_si - 1.0);
    }
    let share = if p.goal == Goal::Saves { 1.3 } else { 0.7 };
    let is_all = p.goal == Goal::Saves && p.to_si <= 0.2 * p.from_si * 1.001;
    (!is_all || p.to_si > 0.0 && p.path.ends_with("heat_input"))
        .then(|| (p.from_si + share * (p.to_si - p.from_si)).max(0.0))
}

/// Applying a proposal reaches its goal; seven tenths of a change that mends something do not, and a saving three tenths larger breaks something.
#[test]
fn each_proposal_does_what_it_claims_and_less_of_it_does_not() {
    let (mut seed, mut lines) = (11, [0; ALL.len()]);
    let mut counts = std::collections::BTreeMap::<&str, [usize; 2]>::new();
    // Lines on which there was no advice, and parts of changes that gave no answer: neither says anything.
    let (mut silent, mut unanswered) = (Vec::new(), Vec::new());
    for i in 0..50 {
        let text = ALL[i % ALL.len()];
        let scenario = variant(text, &mut seed, 1.8);
        let Some((now, advice)) = advice_on(&scenario) else {
            silent.push(i);
            continue;
        };
        let line = &now.loops[0];
        let month = worst_air(line).and_then(|air| answers(&scenario, air, Depth::Quick));
        let now = Standing::new(&line.name, now.clone(), month).unwrap();
        for p in &advice.proposals {
            let mut with = scenario.clone();
            set(&mut with, &p.path, &p.text).unwrap();
            let after = standing(&with, line).unwrap();
            assert!(p.goal.is_met(&after, &now), "{i}: {p:?}");
            assert_eq!(*after.line(), p.after, "{i}: what is told is what was run");
            let name = match p.goal {
                Goal::Closes => "closes",
                Goal::CleanRinse => "rinses",
                Goal::Holds(_) => "holds",
                Goal::Saves => "saves",
            };
            let count = counts.entry(name).or_default();
            count[0] += 1;
            lines[i % ALL.len()] += 1;
            let Some(si) = part(p) else { continue };
            let mut partly = scenario.clone();
            set_si(&mut partly, &p.path, si).unwrap();
            let Some(partly) = standing(&partly, line) else {
                unanswered.push((i, p.path.clone(), si));
                continue;
            };
            count[1] += 1;
            assert!(
                !p.goal.is_met(&partly, &now),
                "{i}: {si} instead of {} does it too for {} at {}",
                p.to_si,
                p.path,
                p.from_si
            );
        }
    }
    println!("proposals and parts of them: {counts:?}; of each line {lines:?}");
    assert!(silent.is_empty(), "no advice on lines {silent:?}");
    assert!(unanswered.is_empty(), "no answer to parts {unanswered:?}");
    for (name, least) in [("closes", 15), ("rinses", 10), ("holds", 10), ("saves", 15)] {
        let [told, parts] = counts.get(name).copied().unwrap_or_default();
        assert!(parts >= least, "{name}: {told} proposals, {parts} parts");
    }
}

#[test]
fn a_loop_short_of_heat_is_told_so_and_helped_by_heat_or_less_water() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.holding_tank.heat_input", "20 kW").unwrap();
    let (now, advice) = advice_on(&scenario).unwrap();
    assert!(margin(&now.loops[0]).unwrap() < 0.0);
    assert_eq!(advice.limit, Limit::Heat);
    let by = |end: &str| advice.proposals.iter().find(|p| p.path.ends_with(end));
    assert!(by("heat_input").unwrap().to_si > 20e3);
    assert!(by("rinses.flow").unwrap().to_si < by("rinses.flow").unwrap().from_si);
}

#[test]
fn a_dirty_rinse_is_told_and_a_loop_that_is_well_is_told_what_it_can_spare() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.final_limit", "4 mg/L").unwrap();
    let (now, advice) = advice_on(&scenario).unwrap();
    assert_eq!(limit_of(&now, &now.loops[0]), Limit::FinalRinse);
    assert!(advice.proposals.iter().all(|p| p.goal == Goal::CleanRinse));
    assert!(!advice.proposals.is_empty());
    let (_, advice) = advice_on(&loaded(DEMO)).unwrap();
    assert_eq!(advice.limit, Limit::Nothing);
    assert!(advice.proposals.iter().all(|p| p.goal == Goal::Saves));
}

#[test]
fn values_are_rounded_away_from_the_edge() {
    let up = |text: &str| rounded(text, 3, true).unwrap();
    assert_eq!(up("53.1234 kW"), "53.2 kW");
    assert_eq!(up("95 L/h"), "95 L/h");
    assert_eq!(up("0.120001 L/m²"), "0.121 L/m²");
    assert_eq!(rounded("8123.9 L/h", 3, false).unwrap(), "8120 L/h");
    assert_eq!(rounded("58.37 °C", 3, true).unwrap(), "58.4 °C");
}

#[test]
fn a_search_that_is_stopped_says_so() {
    let shared = Arc::new(loaded(DEMO));
    let now = answers(&shared, AirChoice::Mean, Depth::Quick).unwrap();
    let stopped = advise(&shared, "loop", &now, &TowerCache::default(), &mut |_| {
        false
    });
    assert!(matches!(stopped, Err(StudyError::Run(RunError::Cancelled))));
}

/// Work that drags out a quarter more leaves the demo's heaters a lot to spare on paper; but with less heat its collection tank runs over in the
/// shifts, and metal that came back is lost. No saving may cost that.
#[test]
fn a_saving_costs_neither_metal_nor_the_reserve() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.work.drag_out.film", "0.153 L/m²").unwrap();
    let (now, advice) = advice_on(&scenario).unwrap();
    let line = &now.loops[0];
    assert!(line.recovered_fraction > 0.999);
    for p in advice.proposals.iter().filter(|p| p.goal == Goal::Saves) {
        let after = &p.after;
        assert!(after.recovered_fraction > 0.998, "{p:?}");
        assert!(after.over_brim_l_per_h < 0.1, "{p:?}");
        assert!(after.heater_duty <= 0.9, "{p:?}");
        // Four fifths of the limit, or what it is: heat does not change it.
        let most = f64::max(16.0, 1.01 * line.final_rinse.film_mg_per_l);
        assert!(after.final_rinse.film_mg_per_l <= most, "{p:?}");
    }
    // What was proposed before any reserve was kept: half the heat.
    let mut short = scenario.clone();
    set(&mut short, "loop.holding_tank.heat_input", "26.5 kW").unwrap();
    let after = standing(&short, line).unwrap();
    assert!(margin(after.line()).unwrap() > 0.0 && after.line().over_brim_l_per_h > 1.0);
    assert!(!Goal::Saves.is_met(&after, &standing(&scenario, line).unwrap()));
}

/// Each thing that a saving must leave alone counts by itself.
#[test]
fn a_saving_is_none_when_any_one_thing_suffers() {
    let now = answers(&loaded(DEMO), AirChoice::Mean, Depth::Quick).unwrap();
    let stands = |answers: &Answers| Standing::new("loop", answers.clone(), None).unwrap();
    let before = stands(&now);
    assert!(Goal::Saves.is_met(&before, &before));
    let limit = now.loops[0].final_rinse.limit_mg_per_l.unwrap();
    let suffers: [fn(&mut LoopAnswer, f64); 6] = [
        |line, _| line.heater_duty = 0.91,
        |line, _| line.recovered_fraction -= 0.002,
        |line, _| line.over_brim_l_per_h = 0.01 * line.rinse_feed_l_per_h,
        |line, limit| line.final_rinse.film_mg_per_l = 0.81 * limit,
        |line, _| line.closure_margin_l_per_h.as_mut().unwrap().week = -0.1,
        |line, _| line.bath.temperature_c -= 0.5,
    ];
    for (i, suffer) in suffers.into_iter().enumerate() {
        let mut after = now.clone();
        suffer(&mut after.loops[0], limit);
        assert!(!Goal::Saves.is_met(&stands(&after), &before), "{i}");
        // What suffers in the worst month alone is a loss, too.
        let of_month = |month: &Answers| Standing::new("loop", now.clone(), Some(month.clone()));
        let (after, before) = (of_month(&after).unwrap(), of_month(&now).unwrap());
        assert!(
            !Goal::Saves.is_met(&after, &before),
            "{i} in the worst month"
        );
    }
}

/// A bleed that holds all impurities is told once, and the verdict with it is clear of them.
#[test]
fn impurities_that_pass_their_limits_are_held_by_a_bleed() {
    let scenario = loaded(ALL[3]);
    let (now, advice) = advice_on(&scenario).unwrap();
    assert_eq!(advice.limit, Limit::Impurity);
    let bleeds = advice.proposals.iter().filter(|p| p.path.ends_with(PURGE));
    let bleeds: Vec<&Proposal> = bleeds.collect();
    assert_eq!(bleeds.len(), 1, "{:?}", advice.proposals);
    let mut with = scenario.clone();
    set(&mut with, &bleeds[0].path, &bleeds[0].text).unwrap();
    let after = answers(&with, AirChoice::Mean, Depth::Full).unwrap();
    let passing = |answers: &Answers| super::passing(answers, &answers.loops[0]);
    assert_eq!(passing(&now), ["Ca", "Fe"]);
    assert!(passing(&after).is_empty(), "{:?}", passing(&after));
}

/// Iron that is over its limit and is taken out faster than it comes needs no advice.
#[test]
fn what_fades_by_itself_is_left_alone() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.bath.contaminants.Fe", "80 mg/L").unwrap();
    let (_, advice) = advice_on(&scenario).unwrap();
    assert_eq!(advice.fades, ["Fe"]);
    assert!(advice.proposals.iter().all(|p| p.goal == Goal::Saves));
}

/// Settled figures of a bath that nothing restores are those of an empty one: nothing can be advised on them.
#[test]
fn on_a_spent_bath_nothing_is_advised() {
    let mut scenario = loaded(ALL[5]);
    let key = key_of(&scenario);
    scenario.loops.get_mut(&key).unwrap().bath.additions = None;
    let (now, advice) = advice_on(&scenario).unwrap();
    assert!(now.loops[0].bath.runs_down());
    assert_eq!(advice.limit, Limit::Bath);
    assert!(advice.proposals.is_empty() && advice.out_of_reach.is_empty());
    let first = verdict(&now, &now.loops[0]).remove(0);
    assert!(matches!(first, Finding::RunsDown { .. }), "{first:?}");
}

/// No less heat is proposed where the heaters have none to spare.
#[test]
fn heat_that_is_the_limit_is_not_spared() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.holding_tank.heat_input", "36 kW").unwrap();
    let (now, advice) = advice_on(&scenario).unwrap();
    assert!(crate::balance::uses_all_heat(&now.loops[0]));
    assert!(
        advice
            .proposals
            .iter()
            .all(|p| !p.path.ends_with("heat_input"))
    );
}

#[test]
fn tanks_too_small_for_the_shifts_are_told_and_a_larger_one_helps() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.sections.rinses.flow", "119 L/h").unwrap();
    let (now, advice) = advice_on(&scenario).unwrap();
    let line = &now.loops[0];
    assert!(margin(line).unwrap() > 0.0 && runs_over(line));
    assert_eq!(advice.limit, Limit::Storage);
    let larger = |p: &&Proposal| p.path.ends_with("collection.tank.volume");
    let tank = advice.proposals.iter().find(larger).unwrap();
    assert!(tank.to_si > tank.from_si && !runs_over(&tank.after));
}

#[test]
fn a_shut_valve_is_told_to_open() {
    let mut scenario = loaded(DEMO);
    set(&mut scenario, "loop.sections.rinses.flow", "0 L/h").unwrap();
    let (_, advice) = advice_on(&scenario).unwrap();
    assert_eq!(advice.limit, Limit::FinalRinse);
    let opens = |p: &Proposal| p.path.ends_with("rinses.flow") && p.to_si > 0.0;
    assert!(advice.proposals.iter().any(opens), "{advice:?}");
}

/// A bath that feeds its tower is to be warm in its hardest hour, when all its water runs in at once: no less heat is advised than a tenth above what it then takes,
/// however little it takes in the mean.
#[test]
fn a_bath_keeps_the_heat_of_its_hardest_hour() {
    let demo = loaded(DEMO);
    let layouts = Layouts::new(&demo, "loop", "20 mg/L".parse().unwrap()).unwrap();
    let plan = Layout {
        stages: 5,
        before: None,
        has_free_final: false,
        closed_by: ClosedBy::BathTower,
    };
    let ample_w = 60_000.0;
    let equipment = Equipment {
        rinse_m3_per_s: 25.0 / 3.6e6,
        towers: 1,
        heater_w: ample_w,
        ..layouts.usual()
    };
    let line = layouts.scenario(&plan, &equipment);
    let (now, advice) = advice_on(&line).unwrap();
    let hardest_w = now.loops[0].heater_hardest.unwrap() * ample_w;
    let mean_w = 1e3 * now.loops[0].heater_mean_kw;
    assert!(
        hardest_w > 3.0 * mean_w,
        "{hardest_w} W, {mean_w} W in the mean"
    );
    let less = advice
        .proposals
        .iter()
        .find(|p| p.path.ends_with("heater_power"));
    let less = less.unwrap();
    assert!(less.goal == Goal::Saves && less.to_si < ample_w);
    assert!(less.to_si > hardest_w, "{} W for {hardest_w} W", less.to_si);
}
