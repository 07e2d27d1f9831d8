//! What layouts say of themselves.

use super::*;
use crate::load;

/// A line that is laid out says so before what was written of it, once, however often it is laid out anew.
#[test]
fn what_a_line_is_said_to_be_is_what_it_is() {
    let demo = load(include_str!("../../../../scenarios/demo.ron"))
        .0
        .unwrap();
    let written = demo.description.clone().unwrap();
    let limit: Quantity<Concentration> = "20 mg/L".parse().unwrap();
    let layout = |stages, closed_by| Layout {
        stages,
        before: None,
        has_free_final: false,
        closed_by,
    };
    let laid_out = |line: &Scenario, layout: Layout| {
        let layouts = Layouts::new(line, "loop", limit.clone()).unwrap();
        layouts.scenario(&layout, &layouts.usual())
    };
    let once = laid_out(&demo, layout(4, ClosedBy::BathTower));
    let twice = laid_out(&once, layout(2, ClosedBy::HoldingTank));
    for (line, words) in [
        (once, "4 counterflow rinses; tower on the bath."),
        (twice, "2 counterflow rinses; heated holding tank."),
    ] {
        let told = line.description.unwrap();
        let (own, before) = told.split_once(WRITTEN_BEFORE).unwrap();
        assert!(own.trim_end().ends_with(words), "{own}");
        assert_eq!(before.trim(), written.trim());
    }
    // Of two loops, each keeps its own word.
    let mut two = demo.clone();
    let mut second = two.loops.get("loop").unwrap().clone();
    second.title = Some("Second".to_owned());
    two.loops.insert("second".to_owned(), second);
    let of = |line: &Scenario, key: &str, stages| {
        let layouts = Layouts::new(line, key, limit.clone()).unwrap();
        layouts.scenario(&layout(stages, ClosedBy::BathTower), &layouts.usual())
    };
    let both = of(&of(&of(&two, "loop", 2), "second", 3), "loop", 4);
    let told = both.description.unwrap();
    let said: Vec<&str> = told.split(WRITTEN_BEFORE).map(str::trim).collect();
    assert_eq!(said.len(), 3, "{said:#?}");
    assert!(
        said[0].contains("Bright nickel") && said[0].contains(": 4"),
        "{said:#?}"
    );
    assert!(
        said[1].contains("Second") && said[1].contains(": 3"),
        "{said:#?}"
    );
    let silent = Scenario {
        description: None,
        ..demo
    };
    let told = laid_out(&silent, layout(1, ClosedBy::Surface)).description;
    assert!(
        told.unwrap()
            .ends_with("1 rinse; closed by the bath's surface.")
    );
}
