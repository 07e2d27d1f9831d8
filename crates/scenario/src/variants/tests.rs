use super::*;
use crate::{apply, load, rewrite, save, set};

const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
const STAGES: &str = "loop.sections.rinses.stages";
const FLOW: &str = "loop.sections.rinses.flow";

/// The demo with some variants written at its end.
fn demo_with(variants: &str) -> String {
    let at = DEMO.trim_end().rfind(')').unwrap();
    format!("{}    variants: {variants},\n)\n", &DEMO[..at])
}

fn demo() -> Scenario {
    load(DEMO).0.unwrap()
}

fn told(text: &str) -> Vec<String> {
    let (scenario, problems) = load(text);
    assert!(scenario.is_none(), "it was read");
    problems.iter().map(|p| p.in_file("f")).collect()
}

#[test]
fn a_variant_is_the_line_with_what_it_has_otherwise() {
    let text = demo_with(&format!(
        "{{\"two rinses\": {{\"{STAGES}\": 2, \"{FLOW}\": \"120 L/h\"}}, \"as it is\": {{}}}}"
    ));
    let line = load(&text).0.unwrap();
    let names: Vec<&str> = line.variants.iter().map(|(name, _)| name).collect();
    assert_eq!(names, ["two rinses", "as it is"]);
    let mut wanted = demo();
    apply(&mut wanted, [(STAGES, "2"), (FLOW, "120 L/h")]).unwrap();
    assert_eq!(**line.variants.get("two rinses").unwrap(), wanted);
    assert_eq!(**line.variants.get("as it is").unwrap(), demo());
    // The line itself is what it was.
    assert_eq!(line.alone(), demo());
}

#[test]
fn parts_come_and_go() {
    let text = demo_with(
        "{\"bare\": {\"loop.towers.t1\": None, \"loop.bath.recipe.Na2SO4\": \"5 g/L\", \"prices\": None}}",
    );
    let (line, problems) = load(&text);
    let line = line.unwrap_or_else(|| panic!("{problems:?}"));
    let bare = line.variants.get("bare").unwrap();
    let keys = |s: &Scenario| s.loops.get("loop").unwrap().towers.len();
    assert_eq!((keys(&line), keys(bare)), (1, 0));
    assert!(line.prices.is_some() && bare.prices.is_none());
    let recipe = &bare.loops.get("loop").unwrap().bath.recipe;
    assert!(recipe.contains_key("Na2SO4") && recipe.contains_key("NiSO4.6H2O"));
}

/// Whatever two scenarios are: one beside the other in a file comes back as it was.
#[test]
fn any_scenario_can_be_a_variant_of_any_other() {
    let all = [
        DEMO,
        include_str!("../../../../scenarios/demo-before.ron"),
        include_str!("../../../../scenarios/teaching.ron"),
        include_str!("../../../../scenarios/chromium.ron"),
        include_str!("../../../../scenarios/zinc-barrel.ron"),
        include_str!("../../../../scenarios/warm-bath.ron"),
    ];
    for text in all {
        let line = load(text).0.unwrap();
        let mut variants = Variants::default();
        for (i, other) in all.iter().enumerate() {
            let other = load(other).0.unwrap();
            variants = variants.with(&format!("line {i}"), &other).unwrap();
        }
        let with = line.with_variants(variants);
        let written = save(&with);
        let (back, problems) = load(&written);
        let back = back.unwrap_or_else(|| panic!("{}: {problems:#?}", line.title));
        assert_eq!(back, with, "{}", line.title);
        // The same beside the remarks of the file.
        let rewritten = rewrite(text, &line, &with);
        assert_eq!(load(&rewritten).0.unwrap(), with);
        assert!(rewritten.starts_with(&text[..40]));
    }
}

#[test]
fn a_small_difference_is_written_as_one() {
    let line = demo();
    let mut other = line.clone();
    set(&mut other, STAGES, "2").unwrap();
    set(&mut other, "site.room.Jan.temperature", "16 °C").unwrap();
    let variants = line.variants.with("two rinses", &other).unwrap();
    let written = rewrite(DEMO, &line, &line.with_variants(variants));
    let added = written.replace(DEMO.trim_end().trim_end_matches(')'), "");
    assert!(added.len() < 200, "{added}");
    assert!(added.contains("\"two rinses\""), "{added}");
    assert!(
        added.contains("\"loop.sections.rinses.stages\": 2"),
        "{added}"
    );
    assert!(
        added.contains("\"site.room.Jan.temperature\": \"16 °C\""),
        "{added}"
    );
}

/// A line that moves on leaves its variants where they are: what it has moved stands among their differences.
#[test]
fn a_variant_does_not_follow_its_line() {
    let text = demo_with(&format!("{{\"two rinses\": {{\"{STAGES}\": 2}}}}"));
    let before = load(&text).0.unwrap();
    let mut after = before.clone();
    set(&mut after, FLOW, "60 L/h").unwrap();
    let written = rewrite(&text, &before, &after);
    let back = load(&written).0.unwrap();
    assert_eq!(back.variants, before.variants);
    assert!(
        written.contains(&format!("\"{FLOW}\": \"95 L/h\"")),
        "{written}"
    );
}

#[test]
fn what_is_wrong_is_told_with_line_and_path() {
    let line_of =
        |text: &str, part: &str| 1 + text[..text.find(part).unwrap()].matches('\n').count();
    let cases = [
        (
            format!("{{\n\"a\": {{\n\"{STAGES}\": 20}}}}"),
            "20}",
            ": variants.a.loop.sections.rinses.stages: \"20\" is above",
        ),
        (
            "{\n\"a\": {\n\"loop.sections.rinses.stage\": 2}}".to_owned(),
            "\"loop.sections.rinses.stage\"",
            "did you mean `loop.sections.rinses.stages`?",
        ),
        (
            "{\n\"a\": {\n\"loop.towers.T2.air_flow\": \"2000 m³/h\"}}".to_owned(),
            "\"loop.towers.T2",
            "the line has no `loop.towers.T2`; write all of it under `loop.towers.T2`",
        ),
        (
            "{\n\"a\": {\n\"loop.bath\": None}}".to_owned(),
            "\"a\"",
            "variants.a.loop.bath: is missing",
        ),
        (
            "{\n\"a\": {\n\"loop.work.calendar\": \"noon\"}}".to_owned(),
            "\"loop.work.calendar\": \"noon\"",
            "there is no calendar called `noon`",
        ),
        (
            "{\n\"a\": {},\n\"a\": {}}".to_owned(),
            "\"a\": {}}",
            "“a” is the name of another variant",
        ),
        (
            "{\n\"a\": 5}".to_owned(),
            "5}",
            "variants.a: a number stands where a map",
        ),
        (
            "[]".to_owned(),
            "[],\n)",
            "variants: a list [ … ] stands where a map",
        ),
        (
            "{\n\"a\": {\n\"variants\": {}}}".to_owned(),
            "\"variants\": {}",
            "there is no such input or part",
        ),
    ];
    for (variants, place, words) in cases {
        let text = demo_with(&variants);
        let all = told(&text);
        let at = format!("f:{}: variants", line_of(&text, place));
        assert!(
            all.iter().any(|p| p.starts_with(&at) && p.contains(words)),
            "{variants}: {at} {all:#?}"
        );
        assert!(all.iter().all(|p| p.contains(": variants")), "{all:#?}");
    }
    let many: Vec<String> = (0..101).map(|i| format!("\"v{i}\": {{}}")).collect();
    let all = told(&demo_with(&format!("{{{}}}", many.join(", "))));
    assert!(
        all[0].contains("101 variants are more than the allowed 100"),
        "{all:?}"
    );
}

#[test]
fn names_and_numbers_have_their_limits() {
    let line = demo();
    let mut all = Variants::default();
    for name in ["", "  ", " a", "a\nb", &"x".repeat(61)] {
        assert!(all.check_name(name).is_err(), "{name:?}");
    }
    for i in 0..MAX_VARIANTS {
        all = all.with(&format!("„{i}“, 50 % \"more\""), &line).unwrap();
    }
    let why = all.with("one more", &line).unwrap_err().to_string();
    assert!(why.contains("100 variants already"), "{why}");
    let with = line.with_variants(all.clone());
    assert_eq!(load(&save(&with)).0.unwrap(), with);
    assert!(
        all.renamed("„0“, 50 % \"more\"", "„1“, 50 % \"more\"")
            .is_err()
    );
    let renamed = all.renamed("„0“, 50 % \"more\"", "none").unwrap();
    assert!(renamed.get("none").is_some() && renamed.len() == MAX_VARIANTS);
    assert_eq!(renamed.without("none").len(), MAX_VARIANTS - 1);
    // A variant has no variants of its own.
    let one = Variants::default().with("nested", &with).unwrap();
    assert!(one.get("nested").unwrap().variants.is_empty());
}
