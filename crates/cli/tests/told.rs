//! What is told of numbers that are none, of alarms, events and limits.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod common;

use common::{at, dragback, dragback_reading, json, number, shipped};
use serde_json::Value;

/// Next to no work leaves next to nothing in the last rinse: neither its film nor the dilution is a number then.
#[test]
fn a_film_that_holds_nothing_is_no_number() {
    let demo = shipped("demo.ron");
    let words = ["settle", &demo, "--set", "loop.work.area_rate=0.001 m²/h"];
    let found = json(&words);
    for key in ["film_mg_per_l", "dilution_ratio"] {
        assert!(
            at(&found, &format!("loops.0.final_rinse.{key}")).is_null(),
            "{key}: {found}"
        );
    }
    let text = dragback(&words).out;
    assert!(
        text.lines()
            .any(|l| l.contains("Dilution of the bath") && l.contains('–')),
        "{text}"
    );
    // An ordinary film is told.
    assert!(
        number(
            &json(&["settle", &demo]),
            "loops.0.final_rinse.dilution_ratio"
        ) > 1000.0
    );
}

/// A line whose rinse water is shut dries up: after ten weeks its rinses hold more boric acid than stays dissolved.
#[test]
fn strengths_that_cannot_be_are_not_shown_and_the_reason_is() {
    let demo = shipped("demo.ron");
    let shut = ["--set", "loop.sections.rinses.flow=0 L/h"];
    let run = ["run", &demo, "--for", "10 weeks", shut[0], shut[1]];
    let text = dragback(&run).out;
    let (_, at_end) = text.split_once("\nTanks at the end\n").unwrap();
    for rinse in ["rinses 1", "rinses 2", "rinses 3"] {
        let row = at_end.lines().find(|l| l.trim_start().starts_with(rinse));
        assert!(row.unwrap().contains('–'), "{at_end}");
        let reason = format!("{rinse} holds 1");
        let (_, why) = text
            .split_once("Not shown, since it cannot be trusted")
            .unwrap();
        assert!(why.contains(&reason), "{text}");
    }
    // Settled, whatever has a reason shows nothing of its salts, and whatever has none holds no more than water can.
    let found = json(&["settle", &demo, shut[0], shut[1]]);
    for tank in found["vessels"].as_array().unwrap() {
        let solids = tank["dissolved_solids_g_per_l"].as_f64();
        assert_eq!(solids.is_none(), !tank["not_shown"].is_null(), "{tank}");
        assert!(solids.is_none_or(|g_per_l| g_per_l < 500.0), "{tank}");
    }
    // Where all is shown, no reason is given.
    let found = json(&["settle", &demo]);
    for tank in found["vessels"].as_array().unwrap() {
        assert!(tank["not_shown"].is_null(), "{}", tank["name"]);
        let strengths = tank["concentration_g_per_l"].as_object().unwrap();
        assert!(strengths.values().all(Value::is_number), "{}", tank["name"]);
    }
}

/// Boric acid comes out of the drying rinses on many cold nights. That is one alarm for each tank and cause, with a count.
#[test]
fn an_alarm_that_comes_every_night_is_one_alarm() {
    let demo = shipped("demo.ron");
    let set = ["--set", "loop.sections.rinses.flow=0 L/h"];
    let shut = ["run", &demo, "--for", "10 weeks", set[0], set[1]];
    let found = json(&shut);
    let alarms = found["alarms"].as_array().unwrap();
    let counted = |name: &str| {
        let of = alarms.iter().filter(|a| a["device"] == name);
        // Without water the first rinse is all but dry, and may be said to be.
        let of = of.filter(|a| a["what"].as_str().unwrap().contains("stays dissolved"));
        of.map(|a| a["times"].as_u64().unwrap()).collect::<Vec<_>>()
    };
    for rinse in ["rinses 1", "rinses 2", "rinses 3"] {
        let times = counted(rinse);
        // Over saturation as it is, and once it has cooled; no more than once a day each.
        assert_eq!(times.len(), 2, "{rinse}: {times:?}");
        assert!(
            times.iter().all(|n| (1..=70).contains(n)),
            "{rinse}: {times:?}"
        );
        assert!(times.iter().any(|&n| n >= 10), "{rinse}: {times:?}");
    }
    let text = dragback(&shut).out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("times, last day"), "{text}");
}

/// The zinc line's hardness would take years to settle; the zinc is restored and does not.
#[test]
fn what_never_settles_is_told_as_of_a_day() {
    let zinc = shipped("zinc-barrel.ron");
    let found = json(&["settle", &zinc]);
    let day = |name: &str| {
        let all = found["solutes"].as_array().unwrap();
        let of = all.iter().find(|s| s["name"] == name).unwrap();
        of["as_of_day"].as_f64()
    };
    assert_eq!(day("Zn"), None);
    let calcium = day("Ca").unwrap();
    let text = dragback(&["settle", &zinc]).out;
    // Lines are wrapped anywhere.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("would take years to settle"), "{text}");
    assert!(text.contains(&format!("Ca day {calcium:.0}")), "{text}");
    assert!(
        text.contains("Verdict Ca in bath passes its limit"),
        "{text}"
    );
}

/// The element of the teaching line fails on day 10 and is repaired on day 12; the change of day 30 lies beyond the run. A settled week
/// knows no events.
#[test]
fn a_run_lists_the_events_that_happened() {
    let teaching = shipped("teaching.ron");
    let words = ["run", &teaching, "--for", "20 d"];
    let out = dragback(&words).out;
    let (_, below) = out.split_once("\nEvents\n").unwrap();
    let listed: Vec<&str> = below.lines().take_while(|l| !l.is_empty()).collect();
    let (fails, mended) = ("One element fails", "It is repaired");
    assert_eq!(
        listed,
        [
            format!("  day 10 00:00    {fails}"),
            format!("  day 12 00:00    {mended}")
        ]
    );
    let events = &json(&words)["events"];
    let expected = serde_json::json!([
        { "at_h": 240.0, "what": fails },
        { "at_h": 288.0, "what": mended },
    ]);
    assert_eq!(*events, expected);
    assert_eq!(
        json(&["settle", &teaching])["events"],
        serde_json::json!([])
    );
}

/// An event that waits for an alarm is told when the alarm calls it, and its deed in words where it has no name. °F = 1.8 °C + 32.
#[test]
fn an_event_on_an_alarm_is_told_with_the_alarm() {
    let text = std::fs::read_to_string(shipped("demo.ron")).unwrap();
    let trip = "over-temperature alarm of the holding tank";
    let events = r#"    events: [
        (at: "1 d", do: (dump: (tank: "loop.holding_tank", share: "80 %"))),
        (when: "loop.holding_tank.electrodes.low_alarm", do: (dump: (tank: "loop.collection"))),
    ],"#;
    let (head, _) = text.rsplit_once(')').unwrap();
    assert!(!text.contains("events:"));
    let text = format!("{head}{events}\n)");
    let start = "loop.holding_tank.tank.start_temperature=68 °C";
    let us = ["--units", "us"];
    let words = ["run", "-", "--for", "1 week", "--set", start];
    let ran = dragback_reading(text.as_bytes(), &[&words[..], &us].concat());
    let alarm = format!("{trip} tripped at 154 °F");
    assert!(
        ran.out
            .replace("\n                  ", " ")
            .contains(&alarm),
        "{}",
        ran.out
    );
    let (_, below) = ran.out.split_once("\nEvents\n").unwrap();
    let listed: Vec<&str> = below.lines().take(2).collect();
    assert_eq!(
        listed,
        [
            "  day 1 00:00     80 % of holding tank is pumped out",
            "  day 1 00:00     collection tank is pumped out",
        ]
    );
}

/// Lists name parts as people call them; JSON keeps their paths, by which `--set` and events find them.
#[test]
fn lists_name_parts_in_words_and_json_by_path() {
    let demo = shipped("demo.ron");
    let start = "loop.holding_tank.tank.start_temperature=68 °C";
    let run = ["run", &demo, "--for", "1 d", "--set", start];
    let told = dragback(&run);
    let path = "loop.holding_tank.over_temperature";
    assert!(!told.out.contains(path), "{}", told.out);
    let json = dragback(&[&run[..], &["--json", "-"]].concat());
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["alarms"][0]["device"], path);
    let what = json["alarms"][0]["what"].as_str().unwrap();
    assert!(what.starts_with(path), "{what}");
}

/// What stays unusual in a shipped line is meant: thick rods, and bicarbonate that acid drives off within hours.
#[test]
fn shipped_lines_are_usual_but_for_what_is_meant() {
    let mut found = Vec::new();
    for name in [
        "demo.ron",
        "demo-before.ron",
        "teaching.ron",
        "warm-bath.ron",
        "zinc-barrel.ron",
        "chromium.ron",
    ] {
        let out = dragback(&["check", &shipped(name)]).out;
        let told = out.lines().filter_map(|l| l.strip_prefix("  unusual: "));
        found.extend(told.filter_map(|l| Some(l.split_once(": ")?.0.to_owned())));
    }
    let meant = ["zinc.bath.purification.HCO3", "chrome.work.heat_capacity"];
    assert_eq!(found, meant);
}

/// With so little rinse water the film is over its limit at the end of each shift, but not in the mean over a run that starts with clean rinses.
#[test]
fn a_limit_passed_on_the_way_is_told() {
    let demo = shipped("demo.ron");
    let words = |flow: &'static str| {
        let set = ["--set", flow];
        ["run", &demo, "--for", "2 weeks"]
            .into_iter()
            .chain(set)
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let run = |flow| {
        let words = words(flow);
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        (dragback(&words), json(&words))
    };
    let (said, found) = run("loop.sections.rinses.flow=71 L/h");
    let rinse = &found["loops"][0]["final_rinse"];
    assert!(rinse["film_mg_per_l"].as_f64().unwrap() < 20.0);
    let day = rinse["passed_limit_on_day"].as_f64().unwrap();
    assert!((1.0..14.0).contains(&day), "{day}");
    assert_eq!(said.code, 1);
    let out = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("passed its limit of 20"), "{out}");
    let (said, found) = run("loop.sections.rinses.flow=95 L/h");
    assert!(found["loops"][0]["final_rinse"]["passed_limit_on_day"].is_null());
    assert_eq!(said.code, 0, "{}", said.out);
}

#[test]
fn a_point_without_an_answer_is_no_success() {
    let demo = shipped("demo.ron");
    let said = dragback(&["capacity", &demo, "--at", "-30 °C, 20 °C, 50 %"]);
    assert_eq!(said.code, 2, "{}", said.out);
    assert!(said.out.contains("No answer"), "{}", said.out);
}

/// Nickel sulfate hexahydrate holds 0.2233 of its mass as nickel (by stoichiometry, four digits).
#[test]
fn strengths_are_told_as_the_salt_of_the_bath_where_that_is_asked_for() {
    let demo = shipped("demo.ron");
    let metal = dragback(&["settle", &demo]);
    let salt = dragback(&["settle", &demo, "--as", "salt"]);
    assert_eq!(metal.out, dragback(&["settle", &demo, "--as", "metal"]).out);
    assert_eq!((metal.code, salt.code), (0, 0), "{}", salt.err);
    assert!(!metal.out.contains("NiSO4"), "{}", metal.out);
    let row = |text: &str, head: &str| -> String {
        let mut lines = text.lines();
        lines
            .find(|l| l.trim_start().starts_with(head))
            .unwrap_or_default()
            .to_owned()
    };
    let film = |text: &str| -> f64 {
        let line = row(text, "Final rinse, film on the work");
        let told = line.split_once("work").unwrap().1.trim();
        told.split(' ').next().unwrap().parse().unwrap()
    };
    let (as_metal, as_salt) = (film(&metal.out), film(&salt.out));
    let share = as_metal / as_salt;
    // Both numbers have three digits.
    assert!((share / 0.2233 - 1.0).abs() < 0.01, "{as_metal} {as_salt}");
    let line = row(&salt.out, "Final rinse, film on the work");
    assert!(line.contains("mg/L as NiSO4·6H2O (limit "), "{line}");
    // The recipe's bath is said beside its numbers.
    assert!(
        salt.out.matches("as NiSO4·6H2O").count() >= 5,
        "{}",
        salt.out
    );
    let said = salt.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let counted = "strengths of Ni as NiSO4·6H2O (1 g holds 0.223 g of Ni)";
    assert!(said.contains(counted), "{said}");
    for text in [&metal.out, &salt.out] {
        let widest = text.lines().map(|l| l.chars().count()).max().unwrap();
        assert!(widest <= 80, "{widest}");
    }
    let ran = ["run", &demo, "--for", "1 week", "--json", "-"];
    let as_metal = dragback(&ran).out;
    assert_eq!(
        as_metal,
        dragback(&[&ran[..], &["--as", "salt"]].concat()).out
    );
    let film = "loop.final_limit=1 mg/L";
    let said = dragback(&["settle", &demo, "--as", "salt", "--set", film]).out;
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    // In the verdict, and below in what is amiss.
    let told = "mg/L as NiSO4·6H2O, over its limit of 4.48 mg/L as NiSO4·6H2O";
    assert_eq!(said.matches(told).count(), 2, "{said}");
}
