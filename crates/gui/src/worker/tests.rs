//! The threads: what is asked, overtaken and given up.

use super::*;

const DEMO: &str = include_str!("../../../../scenarios/demo.ron");

fn request(generation: u64) -> Request {
    let scenario = dragback_scenario::load(DEMO).0.unwrap();
    let asked = Asked {
        generation,
        document: 1,
        loop_key: "loop".to_owned(),
        moved: None,
    };
    Request {
        asked,
        scenario: Arc::new(scenario),
    }
}

fn wait(workers: &Workers, what: impl Fn(&Inbox) -> bool) -> Vec<Inbox> {
    let began = Instant::now();
    let mut all = Vec::new();
    while began.elapsed() < Duration::from_secs(60) {
        let inbox = workers.collect();
        let is_done = what(&inbox);
        all.push(inbox);
        if is_done {
            return all;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
    panic!("nothing came");
}

#[test]
fn the_last_request_is_answered_and_overtaken_exact_runs_are_not() {
    let workers = Workers::start(|| ()).unwrap();
    for generation in 1..=20 {
        workers.ask(request(generation));
    }
    let found = wait(&workers, |inbox| inbox.exact.is_some());
    let exact: Vec<u64> = found
        .iter()
        .filter_map(|i| i.exact.as_ref())
        .map(|c| c.asked.generation)
        .collect();
    assert_eq!(exact, vec![20]);
    let quick: Vec<u64> = found
        .iter()
        .filter_map(|i| i.quick.as_ref())
        .map(|f| f.asked.generation)
        .collect();
    assert_eq!(quick.last(), Some(&20));
    assert!(
        quick.len() < 20,
        "most of twenty requests at once are skipped: {quick:?}"
    );
    assert!(quick.windows(2).all(|w| w[0] < w[1]));
}

#[test]
fn nothing_comes_of_work_that_is_given_up_and_the_rest_goes_on() {
    let workers = Workers::start(|| ()).unwrap();
    workers.ask(request(1));
    workers.ask_reference(request(1));
    for job in [Job::Exact, Job::Advice, Job::Reference] {
        workers.give_up(job);
    }
    let mut found = wait(&workers, |inbox| inbox.full.is_some());
    // Longer than any of them waits for calm.
    std::thread::sleep(Duration::from_millis(700));
    found.push(workers.collect());
    assert!(found.iter().any(|i| i.preview.is_some()));
    for inbox in found {
        let is_empty = inbox.exact.is_none() && inbox.advice.is_none() && inbox.reference.is_none();
        assert!(is_empty && inbox.failures.is_empty());
    }
    workers.ask(request(2));
    wait(&workers, |inbox| inbox.exact.is_some());
}

#[test]
fn dropping_the_workers_ends_them_in_the_middle_of_a_run() {
    let workers = Workers::start(|| ()).unwrap();
    workers.ask(request(1));
    std::thread::sleep(CALM + Duration::from_millis(20));
    let began = Instant::now();
    drop(workers);
    assert!(began.elapsed() < Duration::from_secs(5));
}
