//! Lines to draw: the shipped ones, and more made from them.

pub const DEMO: &str = include_str!("../../../../scenarios/demo.ron");
pub const ZINC: &str = include_str!("../../../../scenarios/zinc-barrel.ron");
pub const SHIPPED: [&str; 6] = [
    DEMO,
    ZINC,
    include_str!("../../../../scenarios/chromium.ron"),
    include_str!("../../../../scenarios/warm-bath.ron"),
    include_str!("../../../../scenarios/demo-before.ron"),
    include_str!("../../../../scenarios/teaching.ron"),
];

/// The demo with so many loops, each of its own key.
pub fn with_loops(keys: &[&str]) -> String {
    let start = DEMO.find("        \"loop\": (").unwrap();
    let end = start + DEMO[start..].find("    },\n    prices:").unwrap();
    let body = DEMO[start..end]
        .strip_prefix("        \"loop\": (")
        .unwrap();
    let loops: String = keys
        .iter()
        .map(|k| format!("        \"{k}\": ({body}"))
        .collect();
    format!("{}{loops}{}", &DEMO[..start], &DEMO[end..])
}

/// Eight lines in one hall: work that takes long.
pub fn hall() -> String {
    with_loops(&["a", "b", "c", "d", "e", "f", "g", "h"])
}

/// The demo with so many rinse stages.
pub fn with_stages(count: usize) -> String {
    DEMO.replace("stages: 3", &format!("stages: {count}"))
}

/// The zinc line with three still rinses, visited in turn and again.
pub fn with_stills() -> String {
    let still = |key: &str| {
        format!(
            "\"{key}\": (tank: (volume: \"900 L\", footprint: \"1 m²\"), water: \"tap\", refill_flow: \"10 L/min\"),\n"
        )
    };
    let more = format!("stills: {{\n{}{}", still("second"), still("third"));
    ZINC.replacen("stills: {", &more, 1).replacen(
        "(at: \"bath\"),",
        "(at: \"bath\"),\n(at: \"second\"),\n(at: \"third\"),\n(at: \"second\"),",
        1,
    )
}

/// The demo with a second tower.
pub fn with_two_towers() -> String {
    let start = DEMO.find("                \"t1\": (").unwrap();
    let end = start + DEMO[start..].find("\n                ),\n").unwrap() + 20;
    let second = DEMO[start..end].replace("t1", "t2");
    format!("{}{second}{}", &DEMO[..end], &DEMO[end..])
}

pub fn texts() -> Vec<String> {
    let mut all: Vec<String> = SHIPPED.iter().map(|t| (*t).to_owned()).collect();
    all.extend([1, 2, 6, 10].map(with_stages));
    all.push(with_stills());
    all.push(with_two_towers());
    for keys in [
        &["north", "south"][..],
        &["a", "b", "c"],
        &["a", "b", "c", "d", "e"],
    ] {
        all.push(with_loops(keys));
    }
    all
}
