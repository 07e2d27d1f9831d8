//! Broken scenario files, each with everything that the program says of it.
//!
//! `tests/broken/name.ron` is read as a file is; what is said of it stands in `name.expected`, one problem a line. A few files are sound and
//! have an empty list: they guard rules against saying too much. After a change of wording `UPDATE_BROKEN=1` rewrites the lists; read the
//! difference then: each line has to name the right place, the value, what is allowed and what to try, in words of the trade.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests")]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use dragback_plant::{Network, Plant, TowerCache};
use dragback_run::preview::{self, PreviewOptions};
use dragback_run::world::World;
use dragback_scenario::{
    Kind, MAX_BYTES, Parameter, Problem, Registry, Scenario, check, decode, load, lower, save, set,
    set_si,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const DEMO: &[u8] = include_bytes!("../../scenarios/demo.ron");

const SCENARIOS: [&str; 6] = [
    include_str!("../../scenarios/demo.ron"),
    include_str!("../../scenarios/demo-before.ron"),
    include_str!("../../scenarios/chromium.ron"),
    include_str!("../../scenarios/zinc-barrel.ron"),
    include_str!("../../scenarios/warm-bath.ron"),
    include_str!("../../scenarios/teaching.ron"),
];

/// Every broken file with its name.
fn files() -> Vec<(String, PathBuf)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("broken");
    let mut files: Vec<(String, PathBuf)> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .map(|path| {
            (
                path.file_name().unwrap().to_string_lossy().into_owned(),
                path,
            )
        })
        .collect();
    files.sort();
    files
}

/// Reads the bytes of a file within a second. Other programs may take the processor meanwhile, so that the best of three counts.
fn in_time(bytes: &[u8]) -> (Option<Scenario>, Vec<Problem>) {
    let mut best = Duration::MAX;
    for _ in 0..3 {
        let start = Instant::now();
        let read = decode(bytes).map_or_else(|p| (None, vec![p]), load);
        best = best.min(start.elapsed());
        if best < Duration::from_secs(1) {
            return read;
        }
    }
    panic!("reading {} bytes took {best:?}", bytes.len());
}

/// Reads the bytes of a file, and checks what must hold for any.
fn read(bytes: &[u8]) -> (Option<Scenario>, Vec<Problem>) {
    let (scenario, problems) = in_time(bytes);
    assert_eq!(scenario.is_some(), problems.is_empty());
    let lines = 1 + bytes.iter().filter(|&&b| b == b'\n').count();
    for problem in &problems {
        let said = problem.to_string();
        assert!(
            !problem.message.is_empty() && !problem.advice.is_empty(),
            "{said}"
        );
        assert!(said.len() < 2000, "{said}");
        assert!(
            problem
                .place
                .is_none_or(|at| (1..=lines).contains(&at.line)),
            "{said}"
        );
    }
    (scenario, problems)
}

fn said(name: &str, bytes: &[u8]) -> String {
    let (scenario, problems) = read(bytes);
    if let Some(scenario) = scenario {
        assert!(
            lower(&scenario).is_ok(),
            "{name} loads but does not become a network"
        );
    }
    let mut lines = String::new();
    for problem in problems {
        writeln!(lines, "{}", problem.in_file(name)).unwrap();
    }
    lines
}

#[test]
fn every_broken_file_says_what_is_expected() {
    let files = files();
    let mut wrong = Vec::new();
    let mut sound = 0;
    for (name, path) in &files {
        let found = said(name, &fs::read(path).unwrap());
        sound += usize::from(found.is_empty());
        let list = path.with_extension("expected");
        if std::env::var_os("UPDATE_BROKEN").is_some() {
            fs::write(&list, &found).unwrap();
        }
        let expected = fs::read_to_string(&list)
            .unwrap_or_default()
            .replace("\r\n", "\n");
        if found != expected {
            wrong.push(format!("{name}\n expected:\n{expected} found:\n{found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(sound <= 2, "{sound} files are not broken at all");
    assert!(
        files.len() - sound >= 200,
        "only {} broken files",
        files.len() - sound
    );
}

/// Terms of programmers have no place in what a plater reads.
#[test]
fn nothing_is_said_in_the_terms_of_programmers() {
    const TERMS: [&str; 22] = [
        "array",
        "boolean",
        "byte string",
        "deserial",
        "dimensionless",
        "eof",
        "enum",
        "float",
        "identifier",
        "integer",
        "literal",
        "newtype",
        "null",
        "parse",
        "parser",
        "recursion",
        "serde",
        "string",
        "struct",
        "syntax",
        "token",
        "tuple",
    ];
    for (name, path) in files() {
        let list = fs::read_to_string(path.with_extension("expected")).unwrap_or_default();
        for line in list.lines() {
            let words = line.strip_prefix(&name).unwrap_or(line).to_lowercase();
            let term = TERMS.iter().find(|term| {
                words
                    .split(|c: char| !c.is_alphanumeric())
                    .any(|w| w == **term)
            });
            assert_eq!(term, None, "{line}");
        }
    }
}

/// Most memory that the process has ever held, kB, where the system tells.
fn peak_kb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn a_file_beyond_any_scenario_is_refused_at_once() {
    let mut huge = DEMO.to_vec();
    huge.resize(40 * MAX_BYTES, b' ');
    let (_, problems) = read(&huge);
    assert_eq!(problems.len(), 1);
    assert_eq!(
        problems[0].in_file("huge.ron"),
        "huge.ron: the file holds more than 1000000 bytes, which is the most that is read; a scenario is a few kilobytes: is this the right file?"
    );
    let mut full = DEMO.to_vec();
    full.resize(MAX_BYTES, b'\n');
    assert!(
        read(&full).0.is_some(),
        "white space up to the limit is no fault"
    );
}

/// The largest scenario that the limits allow, with as many changes during the run as are read, and its very last line broken.
#[test]
fn the_largest_scenario_is_read_in_time() {
    let demo = std::str::from_utf8(DEMO).unwrap();
    let (from, to) = (
        demo.find("        \"loop\": (").unwrap(),
        demo.find("    },\n    prices").unwrap(),
    );
    let one = demo[from..to].replace("stages: 3", "stages: 7");
    let loops: String = (0..8)
        .map(|i| one.replacen("\"loop\"", &format!("\"loop{i}\""), 1))
        .collect();
    let species: String = (0..30)
        .map(|i| format!("\"X{i}\": (name: \"x\", molar_mass: \"100 g/mol\"),"))
        .collect();
    let contaminants: String = (0..30).map(|i| format!("\"X{i}\": \"1 mg/L\",")).collect();
    let events: String = (0..99)
        .map(|i| {
            let path = format!("loop{}.sections.rinses.flow", i % 8);
            format!(
                "(at: \"{i} h\", do: (set: (path: \"{path}\", value: \"{} L/h\"))),",
                80 + i % 20
            )
        })
        .collect();
    let text = format!(
        "{}{loops}    }},\n    events: [{events}],\n    prices{}",
        &demo[..from],
        &demo[to + "    },\n    prices".len()..]
    )
    .replace(
        "\"Brightener\": (name",
        &format!("{species}\"Brightener\": (name"),
    )
    .replace(
        "contaminants: {",
        &format!("contaminants: {{{contaminants}"),
    );
    let (scenario, problems) = read(text.as_bytes());
    assert!(scenario.is_some(), "{problems:?}");
    let broken = text.replace(
        "loop6.sections.rinses.flow\", value: \"90 L/h",
        "loop6.sections.rinses.stages\", value: \"4",
    );
    let (_, problems) = read(broken.as_bytes());
    assert!(
        !problems.is_empty()
            && problems
                .iter()
                .all(|p| p.message.contains("adds a part of the plant")),
        "{problems:?}"
    );
}

/// Bytes that damage a file: some of them mean something where they land.
fn junk() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        proptest::collection::vec(any::<u8>(), 0..12),
        "[(){}\\[\\]:,\"'/*#=0-9a-z°µ\\\\ \n.-]{0,12}".prop_map(String::into_bytes),
        prop::sample::select(vec![
            "1e400", "NaN", "-", "\"\"", "()", "[]", "{}", "Some(", "None", "/*", "*/", "//",
            "r#\"", "\u{feff}", "\0"
        ])
        .prop_map(|s| s.as_bytes().to_vec()),
    ]
}

fn at(bytes: &[u8], share: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place in a small file"
    )]
    let place = (share * bytes.len() as f64) as usize;
    place.min(bytes.len())
}

fn within_memory() {
    if let Some(kb) = peak_kb() {
        assert!(kb < 200_000, "{kb} kB at the most");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_refused(bytes in proptest::collection::vec(any::<u8>(), 0..3000)) {
        prop_assert!(read(&bytes).0.is_none());
        within_memory();
    }

    #[test]
    fn a_file_that_is_cut_off_is_refused(share in 0.0..1.0) {
        let end = at(DEMO, share);
        prop_assert!(read(&DEMO[..end]).0.is_none() || DEMO[end..].iter().all(u8::is_ascii_whitespace));
    }

    /// Stretches deleted, doubled, moved or replaced, several times over.
    #[test]
    fn damage_is_survived(damages in proptest::collection::vec((0_u8..4, 0.0..1.0, 0_usize..200, 0.0..1.0, junk()), 1..6)) {
        let mut bytes = DEMO.to_vec();
        for (kind, from, length, to, junk) in damages {
            let from = at(&bytes, from);
            let end = (from + length).min(bytes.len());
            let stretch: Vec<u8> = bytes[from..end].to_vec();
            match kind {
                0 => drop(bytes.splice(from..end, junk)),
                1 => drop(bytes.splice(from..from, stretch)),
                2 => drop(bytes.splice(from..end, [])),
                _ => {
                    let to = at(&bytes, to);
                    drop(bytes.splice(to..to, stretch));
                }
            }
        }
        let _ = read(&bytes);
        within_memory();
    }

    /// The head of one broken file and the tail of another.
    #[test]
    fn broken_files_in_one_are_survived(a in 0.0..1.0, b in 0.0..1.0, cut in 0.0..1.0, go_on in 0.0..1.0) {
        let files = files();
        let pick = |share: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss, reason = "some hundreds of files")]
            let i = (share * files.len() as f64) as usize;
            fs::read(&files[i.min(files.len() - 1)].1).unwrap()
        };
        let (head, tail) = (pick(a), pick(b));
        let bytes = [&head[..at(&head, cut)], &tail[at(&tail, go_on)..]].concat();
        let _ = read(&bytes);
    }
}

/// One change of an input: whether of a tower, which one, how, and how far.
type Turn = (bool, f64, u8, f64);

/// Sets an input to an end of its allowed range or to something between; changes that are refused at once are left out.
fn turn(scenario: &mut Scenario, (of_tower, which, how, far): Turn) {
    let registry = Registry::of(scenario);
    let is_meant = |p: &&Parameter| !of_tower || p.path.contains(".towers.");
    let inputs: Vec<&Parameter> = registry.iter().filter(is_meant).collect();
    if inputs.is_empty() {
        return;
    }
    let input = inputs[at_share(inputs.len(), which)];
    let mut changed = scenario.clone();
    let done = match (input.allowed_si(), input.leaf.kind) {
        _ if how == 0 => set(&mut changed, &input.path, "none").is_ok(),
        (Some((low, high)), _) => {
            let si = match how {
                1 => low,
                2 => high,
                3 => low + far * (high - low),
                4 => low.max(1e-9 * high) * (high / low.max(1e-9 * high)).powf(far),
                _ => input
                    .si()
                    .map_or(low, |si| si * 10_f64.powf(4.0 * far - 2.0)),
            };
            set_si(&mut changed, &input.path, si.clamp(low, high)).is_ok()
        }
        (None, Kind::Choice(words)) => {
            set(&mut changed, &input.path, words[at_share(words.len(), far)]).is_ok()
        }
        _ => false,
    };
    if done && check(&changed).is_empty() {
        *scenario = changed;
    }
}

/// An index into a list by a share of its length.
fn at_share(length: usize, share: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "an index into a short list"
    )]
    let index = (share * length as f64) as usize;
    index.min(length - 1)
}

/// A network makes a plant; two weeks of it run to numbers, or the run says which tank it cannot follow.
fn runs_or_says_why(network: Network) -> Result<(), TestCaseError> {
    let cache = TowerCache::default();
    let plant = Plant::new(Arc::new(network), &cache);
    prop_assert!(plant.is_ok(), "{}", plant.err().unwrap());
    let mut world = World::new(Arc::new(plant.unwrap()), cache);
    match preview::run(
        &mut world,
        14.0 * 86_400.0,
        &PreviewOptions::default(),
        &mut |_| true,
    ) {
        Ok(done) => {
            let last = done.trace.row(done.trace.len() - 1);
            prop_assert!(last.iter().all(|x| x.is_finite()), "{last:?}");
        }
        Err(fault) => prop_assert!(!fault.to_string().contains("NaN"), "{fault}"),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(2026),
        ..ProptestConfig::default()
    })]

    /// However odd its figures are: what is found good comes back the same from a file and makes a plant.
    #[test]
    fn whatever_loads_makes_a_plant(which in 0.0..1.0, turns in proptest::collection::vec((any::<bool>(), 0.0..1.0, 0_u8..8, 0.0..1.0), 1..8)) {
        let text = SCENARIOS[at_share(SCENARIOS.len(), which)];
        let mut scenario = load(text).0.unwrap();
        for one in turns {
            turn(&mut scenario, one);
        }
        let (again, problems) = load(&save(&scenario));
        // What an event sets later is looked at only when the networks are made.
        if !problems.is_empty() && problems.iter().all(|p| p.path.starts_with("events.")) {
            return Ok(());
        }
        prop_assert!(problems.is_empty(), "{:?}", problems);
        prop_assert_eq!(again.as_ref(), Some(&scenario));
        let network = lower(&scenario);
        prop_assert!(network.is_ok(), "{:?}", network);
        runs_or_says_why(network.unwrap())?;
    }

    /// Entries left out, doubled or put in each other's place, and figures made larger or smaller: whatever is still accepted makes a plant.
    #[test]
    fn a_mended_file_that_loads_makes_a_plant(which in 0.0..1.0, deeds in proptest::collection::vec((0_u8..4, 0.0..1.0, 0.0..1.0), 1..4)) {
        let mut lines: Vec<String> = SCENARIOS[at_share(SCENARIOS.len(), which)].lines().map(str::to_owned).collect();
        for (deed, a, b) in deeds {
            let (i, j) = (at_share(lines.len(), a), at_share(lines.len(), b));
            match deed {
                0 => drop(lines.remove(i)),
                1 => lines.insert(j, lines[i].clone()),
                2 => lines.swap(i, j),
                _ => lines[i] = lines[i].replacen(|c: char| c.is_ascii_digit(), ["0", "00", "7", "1000"][at_share(4, b)], 1),
            }
        }
        let (scenario, _) = read(lines.join("\n").as_bytes());
        if let Some(scenario) = scenario {
            let network = lower(&scenario);
            prop_assert!(network.is_ok(), "{:?}", network);
            runs_or_says_why(network.unwrap())?;
        }
    }
}
