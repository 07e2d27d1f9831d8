//! A line sketched from ten answers loads, runs and behaves like one.

#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::sync::Arc;

use dragback_plant::TowerCache;
use dragback_plant::climate::AirChoice;
use dragback_scenario::{BATHS, Key, Outline, QUESTIONS, get, load, outline, save};
use dragback_study::{Answers, Case, Depth, Hours, settled_answers};
use dragback_units::{Style, System, format};

fn case(answers: &Outline) -> Case {
    let text = outline(answers).unwrap();
    assert!(!text.contains('«'), "something is not filled in:\n{text}");
    let (scenario, problems) = load(&text);
    assert!(problems.is_empty(), "{answers:?}: {problems:?}\n{text}");
    let scenario = scenario.unwrap();
    let (again, _) = load(&save(&scenario));
    assert_eq!(again.as_ref(), Some(&scenario), "saving changes it");
    Case::new(Arc::new(scenario), &TowerCache::default()).unwrap()
}

fn settled(case: &Case) -> Answers {
    settled_answers(
        case,
        AirChoice::Mean,
        Hours::Calendar,
        Depth::Quick,
        &mut |_| true,
    )
    .unwrap()
    .answers
}

/// Nothing answered: every kind of bath gives a loop that closes, with the last rinse below its limit.
#[test]
fn what_is_left_open_makes_a_line_that_works() {
    for (i, kind) in BATHS.iter().enumerate() {
        let mut answers = Outline::default();
        answers.bath = Some(i);
        let found = settled(&case(&answers));
        let line = &found.loops[0];
        assert!(found.alarms.is_empty(), "{}: {:?}", kind.name, found.alarms);
        let film = line.final_rinse.film_mg_per_l;
        let limit = line.final_rinse.limit_mg_per_l.unwrap();
        assert!(
            film > 0.1 * limit && film < limit,
            "{}: {film} of {limit} mg/L",
            kind.name
        );
        assert!(
            line.closure_margin_l_per_h.as_ref().unwrap().week > 0.0
                && line.to_treatment_l_per_h < 0.1,
            "{}: {:?}, {} L/h",
            kind.name,
            line.closure_margin_l_per_h,
            line.to_treatment_l_per_h
        );
        assert!(
            (0.4..0.98).contains(&line.heater_duty),
            "{}: duty {}",
            kind.name,
            line.heater_duty
        );
    }
}

/// Each answer reaches its input as written, at both ends of its usual range and in US units.
#[test]
fn every_answer_reaches_the_line() {
    for question in &QUESTIONS {
        for (si, system) in [
            (question.usual_si(&BATHS[0]).0, System::Metric),
            (question.usual_si(&BATHS[0]).1, System::Us),
        ] {
            let mut answers = Outline::default();
            let text = format(question.dim, si, system, Style::Default);
            answers.answer(question.key, &text);
            let case = case(&answers);
            let path = match question.key {
                Key::BathVolume => "loop.bath.tank.volume",
                Key::Film => "loop.work.drag_out.film",
                Key::Flow => "loop.sections.rinses.flow",
                Key::Room => "site.room.all.temperature",
                Key::Stages => "loop.sections.rinses.stages",
                _ => "",
            };
            if !path.is_empty() {
                let parameter = get(&case.scenario, path).unwrap();
                assert_eq!(parameter.text(), Some(text.as_str()), "{path}");
            }
            let found = settled(&case);
            let film = found.loops[0].final_rinse.film_mg_per_l;
            assert!(
                film > 0.0 && film.is_finite(),
                "{:?} {text}: {film}",
                question.key
            );
        }
    }
}

/// Drag-out is racks times area times film, the strength is the one given, the hours are those of the week.
#[test]
fn sizes_follow_from_the_answers() {
    let mut answers = Outline::default();
    for (key, text) in [
        (Key::Racks, "30 /h"),
        (Key::Area, "2 m²"),
        (Key::Film, "0.1 L/m²"),
        (Key::Strength, "50 g/L"),
        (Key::Hours, "60 h"),
        (Key::Flow, "100 L/h"),
    ] {
        answers.answer(key, text);
    }
    let case = case(&answers);
    let found = settled(&case);
    // 30 racks of 2 m² with 0.1 L/m² are 6 L/h, over 60 of 168 hours.
    let mean = 6.0 * 60.0 / 168.0;
    let line = &found.loops[0];
    assert!((line.drag_out_l_per_h / mean - 1.0).abs() < 1e-3, "{mean}");
    let feed = 100.0 * 60.0 / 168.0;
    assert!(
        (line.rinse_feed_l_per_h / feed - 1.0).abs() < 1e-3,
        "{feed}"
    );
    let world = case.world();
    let bath = case.plant.network().loops[0].bath;
    let lead = case.plant.network().loops[0].lead;
    let start = case.plant.concentration(bath, lead, &world.y).unwrap();
    // Recipes are written to three digits.
    assert!((start / 50.0 - 1.0).abs() < 5e-3, "{start}");
}

/// All that is wrong is told at once, under its question, with value, range and what to try.
#[test]
fn what_cannot_be_is_told_under_its_question() {
    let mut answers = Outline::default();
    answers.answer(Key::Stages, "2.5");
    answers.answer(Key::Hours, "200 h");
    answers.answer(Key::Film, "3 kg");
    answers.answer(Key::Flow, "   ");
    let problems = outline(&answers).unwrap_err();
    assert_eq!(problems.len(), 3, "{problems:?}");
    for (problem, key) in problems.iter().zip([Key::Film, Key::Hours, Key::Stages]) {
        let question = QUESTIONS.iter().find(|q| q.key == key).unwrap();
        assert_eq!(problem.path, question.ask);
        assert!(problem.value.is_some() && !problem.advice.is_empty());
    }
    assert_eq!(problems[1].allowed.as_deref(), Some("5–168 h"));
    assert!(problems[2].message.contains("whole"), "{}", problems[2]);
}

/// Usual answers of every mixture make a line that loads, runs and settles.
#[test]
fn any_usual_answers_make_a_line() {
    let mut seed = 20_261_125_u64;
    let mut draw = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        f64::from(u32::try_from(seed >> 32).unwrap()) / f64::from(u32::MAX)
    };
    for n in 0..60 {
        let mut answers = Outline::default();
        answers.bath = Some(n % BATHS.len());
        for question in &QUESTIONS {
            let (low, high) = question.usual_si(answers.kind());
            let si = low * (high / low).powf(draw());
            let si = if question.key == Key::Stages {
                si.round()
            } else {
                si
            };
            if draw() < 0.7 {
                let text = format(question.dim, si, System::Metric, Style::Default);
                answers.answer(question.key, &text);
            }
        }
        let case = case(&answers);
        let found = settled_answers(
            &case,
            AirChoice::Mean,
            Hours::Calendar,
            Depth::Quick,
            &mut |_| true,
        );
        let found = found.map_or_else(|why| panic!("{why}\n{answers:#?}"), |found| found.answers);
        // Many stages and much water leave less in the film than the solver can tell, which is no number then.
        let rinse = &found.loops[0].final_rinse;
        let is_beyond = rinse.film_mg_per_l.is_nan() && rinse.tank_mg_per_l < 1e-6;
        assert!(rinse.film_mg_per_l > 0.0 || is_beyond, "{rinse:?}");
    }
}
