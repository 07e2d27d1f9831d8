//! Events, and the networks that those which set inputs lead to.
//!
//! An event that sets an input makes the run go on with another network. Which one depends on what was set before: timed settings come in
//! the order of their times; those on a condition may come at any moment, so every combination of them is prepared. Where a
//! timed setting and one on a condition touch the same input, the one on the condition prevails.

use std::sync::Arc;

use dragback_plant::ids::{DeviceId, RelayId, SupplyId, VesselId};
use dragback_plant::network::{Action, Event, Network, Trigger};

use super::account;
use super::builder::Builder;
use crate::check::stage_of;
use crate::problem::Problem;
use crate::schema::{self, Scenario, SetValue};

/// Most networks that setting events may lead to.
const MOST_NETWORKS: usize = 256;
/// Most vessels in all of these networks together, so that large plants are not changed so often that reading them takes long.
const MOST_NETWORK_VESSELS: usize = 8000;

/// A setting event: its place in the list.
struct Settings<'s> {
    /// In the order of their times.
    timed: Vec<(usize, &'s SetValue)>,
    on_condition: Vec<(usize, &'s SetValue)>,
}

impl<'s> Settings<'s> {
    /// The first `done` timed settings, and behind them those on a condition that `mask` names.
    fn in_force(&self, done: usize, mask: usize) -> Vec<(usize, &'s SetValue)> {
        let waiting = self.on_condition.iter().enumerate();
        let met = waiting.filter(|(bit, _)| mask & (1 << bit) != 0);
        let timed = self.timed.iter().take(done);
        timed.chain(met.map(|(_, set)| set)).copied().collect()
    }
}

pub fn lower(builder: &mut Builder<'_>) {
    let scenario = builder.scenario;
    if scenario.events.is_empty() {
        return;
    }
    let settings = settings(scenario);
    let combinations =
        1_usize.checked_shl(u32::try_from(settings.on_condition.len()).unwrap_or(99));
    let count = combinations.and_then(|c| c.checked_mul(settings.timed.len() + 1));
    let most = MOST_NETWORKS.min(MOST_NETWORK_VESSELS / builder.net.vessels.len().max(1));
    if count.is_none_or(|c| c > most) {
        builder.problems.push(Problem::at(
            "events",
            format!(
                "the events that set inputs lead to more than {most} combinations, the most for a plant of {} tanks",
                builder.net.vessels.len()
            ),
            "set fewer inputs; each one on a condition doubles the number, timed ones count singly",
        ));
        return;
    }
    let plain: Vec<Event> = scenario.events.iter().map(|e| event(builder, e)).collect();
    builder.net.events = plain;
    if count == Some(1) {
        return;
    }
    let problems = networks(builder, &settings);
    builder.problems.extend(problems);
}

fn settings(scenario: &Scenario) -> Settings<'_> {
    let all = scenario.events.iter().enumerate();
    let sets = all.filter_map(|(i, e)| Some((i, e, e.act.set.as_ref()?)));
    let (timed, waiting): (Vec<_>, Vec<_>) = sets.partition(|(_, e, _)| e.at.is_some());
    let mut timed: Vec<(usize, &SetValue, f64)> = timed
        .into_iter()
        .map(|(i, e, set)| (i, set, e.at.as_ref().map_or(0.0, crate::record::Input::si)))
        .collect();
    timed.sort_by(|a, b| a.2.total_cmp(&b.2));
    Settings {
        timed: timed.into_iter().map(|(i, set, _)| (i, set)).collect(),
        on_condition: waiting.into_iter().map(|(i, _, set)| (i, set)).collect(),
    }
}

/// Builds the networks, and then joins each to those that its events lead to.
///
/// An event that cannot be put in force is reported once and left out of what follows, so that every such event is found.
fn networks(builder: &mut Builder<'_>, settings: &Settings<'_>) -> Vec<Problem> {
    let masks = 1_usize << settings.on_condition.len();
    let index = |done: usize, mask: usize| done * masks + mask;
    let mut problems = Vec::new();
    let mut left_out = Vec::new();
    let mut made: Vec<Network> = Vec::new();
    for done in 0..=settings.timed.len() {
        for mask in 0..masks {
            let in_force = settings.in_force(done, mask);
            let newest = in_force.last().map_or(0, |(event, _)| *event);
            match changed(builder, &in_force, &left_out) {
                Ok(net) => made.push(net),
                Err(problem) => {
                    problems.push(at_event(newest, &problem));
                    left_out.push(newest);
                    made.push(builder.net.clone());
                }
            }
        }
    }
    if !problems.is_empty() {
        return problems;
    }
    let mut joined: Vec<Option<Arc<Network>>> = vec![None; made.len()];
    while let Some(mut net) = made.pop() {
        let (done, mask) = (made.len() / masks, made.len() % masks);
        if let Some((event, _)) = settings.timed.get(done) {
            lead_to(&mut net, *event, joined[index(done + 1, mask)].as_ref());
        }
        for (bit, (event, _)) in settings.on_condition.iter().enumerate() {
            let with = mask | (1 << bit);
            if with != mask {
                lead_to(&mut net, *event, joined[index(done, with)].as_ref());
            }
        }
        if made.is_empty() {
            builder.net = net;
        } else {
            let at = made.len();
            joined[at] = Some(Arc::new(net));
        }
    }
    problems
}

fn lead_to(net: &mut Network, event: usize, to: Option<&Arc<Network>>) {
    if let (Some(event), Some(to)) = (net.events.get_mut(event), to) {
        event.action = Action::Become(Arc::clone(to));
    }
}

/// The network with some settings in force.
fn changed(
    builder: &Builder<'_>,
    in_force: &[(usize, &SetValue)],
    left_out: &[usize],
) -> Result<Network, Problem> {
    let mut settings = in_force
        .iter()
        .filter(|(event, _)| !left_out.contains(event))
        .peekable();
    if settings.peek().is_none() {
        return Ok(builder.net.clone());
    }
    let mut scenario = builder.scenario.clone();
    scenario.events.clear();
    for (_, set) in settings {
        crate::set(&mut scenario, &set.path, &set.value)?;
    }
    if let Some(problem) = crate::check(&scenario).into_iter().next() {
        return Err(problem);
    }
    let mut net = Builder::base(&scenario).finish().map_err(|problems| {
        let first = problems.into_iter().next();
        first.unwrap_or_else(|| Problem::at("", "the change cannot be made", "leave it out"))
    })?;
    if !same_lists(&net, &builder.net) {
        let newest = in_force.last().map_or("", |(_, set)| set.path.as_str());
        let message = format!("a new `{newest}` adds a part of the plant, or takes one away");
        let advice =
            "put the part in from the start and change its size, or let it fail and restore it";
        return Err(Problem::at("", message, advice));
    }
    net.events.clone_from(&builder.net.events);
    Ok(net)
}

fn at_event(index: usize, problem: &Problem) -> Problem {
    let message = if problem.path.is_empty() {
        problem.message.clone()
    } else {
        format!("after this, {}: {}", problem.path, problem.message)
    };
    Problem::at(
        format!("events.{}.do.set", index + 1),
        message,
        problem.advice.clone(),
    )
}

/// Whether two networks hold the same parts, so that a run can go on from one to the other.
fn same_lists(a: &Network, b: &Network) -> bool {
    names(a).eq(names(b))
}

fn names(n: &Network) -> impl Iterator<Item = &String> {
    let all = n.vessels.iter().map(|x| &x.name);
    let all = all.chain(n.transfers.iter().map(|x| &x.name));
    let all = all.chain(n.heats.iter().map(|x| &x.name));
    let all = all.chain(n.sources.iter().map(|x| &x.name));
    let all = all.chain(n.devices.iter().map(|x| &x.name));
    let all = all.chain(n.relays.iter().map(|x| &x.name));
    let all = all.chain(n.towers.iter().map(|x| &x.name));
    let all = all.chain(n.supplies.iter().map(|x| &x.name));
    let all = all.chain(n.accounts.iter().map(|x| &x.name));
    let all = all.chain(n.solutes.iter().map(|x| &x.name));
    all.chain(n.additions.iter().map(|x| &x.name))
}

fn event(builder: &mut Builder<'_>, event: &schema::Event) -> Event {
    let trigger = match (&event.at, &event.when) {
        (Some(at), _) => Trigger::At(at.si()),
        (None, when) => Trigger::When(relay(builder, when.as_deref().unwrap_or_default())),
    };
    let (words, action) = deed(builder, &event.act);
    Event {
        name: event.name.clone().unwrap_or(words),
        trigger,
        action,
    }
}

/// What an event does; one that sets an input does nothing until its network is known.
fn deed(builder: &mut Builder<'_>, deed: &schema::Deed) -> (String, Action) {
    if let Some(path) = &deed.fail {
        return (format!("{path} fails"), Action::Fail(device(builder, path)));
    }
    if let Some(path) = &deed.restore {
        return (
            format!("{path} works again"),
            Action::Restore(device(builder, path)),
        );
    }
    if let Some(path) = &deed.by_hand {
        return (
            format!("{path} is run by hand"),
            Action::RunByHand(device(builder, path)),
        );
    }
    if let Some(path) = &deed.automatic {
        return (
            format!("{path} is back to automatic"),
            Action::BackToAutomatic(device(builder, path)),
        );
    }
    if let Some(path) = &deed.stick {
        return (
            format!("{path} sticks"),
            Action::Stick(relay(builder, path)),
        );
    }
    if let Some(path) = &deed.free {
        return (
            format!("{path} moves again"),
            Action::Free(relay(builder, path)),
        );
    }
    if let Some(path) = &deed.reset {
        return (
            format!("{path} is reset"),
            Action::Reset(relay(builder, path)),
        );
    }
    if let Some(dump) = &deed.dump {
        let vessel = vessel(builder, &dump.tank);
        let of = builder
            .net
            .loops
            .iter()
            .find(|l| l.vessels.contains(&vessel));
        let account = of
            .and_then(|l| l.dumped)
            .unwrap_or_else(|| builder.account(account::DUMPED));
        let part = match dump.share.si() {
            share if share < 1.0 => format!("{:.0} % of ", 100.0 * share),
            _ => String::new(),
        };
        let words = format!("{part}{} is pumped out", dump.tank);
        return (
            words,
            Action::Dump {
                vessel,
                share: dump.share.si(),
                account,
            },
        );
    }
    if let Some(key) = &deed.stop_water {
        return (
            format!("{key} water fails"),
            Action::CutSupply(supply(builder, key)),
        );
    }
    if let Some(key) = &deed.restore_water {
        return (
            format!("{key} water returns"),
            Action::RestoreSupply(supply(builder, key)),
        );
    }
    let words = deed
        .set
        .as_ref()
        .map_or_else(String::new, |s| format!("{} becomes {}", s.path, s.value));
    (words, Action::Restore(DeviceId(0)))
}

fn device(builder: &mut Builder<'_>, path: &str) -> DeviceId {
    let found = builder.net.devices.iter().position(|d| d.name == path);
    DeviceId(found.unwrap_or_else(|| {
        builder.dangling("device", path);
        0
    }))
}

fn relay(builder: &mut Builder<'_>, path: &str) -> RelayId {
    let found = builder.net.relays.iter().position(|r| r.name == path);
    RelayId(found.unwrap_or_else(|| {
        builder.dangling("electrode or alarm", path);
        0
    }))
}

fn supply(builder: &mut Builder<'_>, key: &str) -> SupplyId {
    builder.supply(key)
}

/// The vessel of `loop.bath`, `loop.sections.rinses/2`, `loop.stills.drag`, `loop.collection`, `loop.holding_tank`.
fn vessel(builder: &mut Builder<'_>, path: &str) -> VesselId {
    let (key, rest) = path.split_once('.').unwrap_or((path, ""));
    let prefix = if builder.scenario.loops.len() > 1 {
        format!("{key} ")
    } else {
        String::new()
    };
    let name = match rest {
        "bath" => "bath".to_owned(),
        "collection" => "collection tank".to_owned(),
        "holding_tank" => "holding tank".to_owned(),
        _ => {
            let at = rest.rsplit('.').next().unwrap_or(rest);
            stage_of(at).map_or_else(|| at.to_owned(), |(section, n)| format!("{section} {n}"))
        }
    };
    let found = builder
        .net
        .vessels
        .iter()
        .position(|v| v.name == format!("{prefix}{name}"));
    VesselId(found.unwrap_or_else(|| {
        builder.dangling("tank", path);
        0
    }))
}
