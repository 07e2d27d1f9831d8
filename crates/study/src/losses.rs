//! Where what a loop has lost for good is counted.

use dragback_plant::Plant;
use dragback_plant::ids::SoluteId;
use dragback_plant::network::LoopRoles;

/// Entries of the vector that sum to what a loop has lost of a solute since the world began, kg, each with the way by which it went: on the work, to
/// treatment, over the brim, pumped out by events, and as droplets up the stack.
///
/// Deposit is no loss, and what a purification takes is none either. A stack account must serve the towers of one loop only, and an account of what
/// is pumped out the vessels of one loop only, as they do when a scenario is lowered.
pub(crate) fn lost_entries(
    plant: &Plant,
    roles: &LoopRoles,
    s: SoluteId,
) -> Vec<(&'static str, usize)> {
    let (layout, net) = (plant.layout(), plant.network());
    let streams = [
        ("to treatment", &roles.to_treatment),
        ("on the work", &roles.lost_on_work),
        ("over a brim", &roles.spills),
    ];
    let meters = streams
        .into_iter()
        .flat_map(|(way, all)| all.iter().map(move |&t| (way, t)))
        .filter_map(|(way, t)| Some((way, layout.meter(t)?)));
    let mut stacks: Vec<_> = roles
        .towers
        .iter()
        .map(|t| net.towers[t.index()].stack_account)
        .collect();
    stacks.sort_unstable();
    stacks.dedup();
    let stacks = stacks.into_iter().map(|a| ("up the stack", a));
    let accounts = stacks.chain(roles.dumped.map(|a| ("pumped out", a)));
    let accounts = accounts.map(|(way, a)| (way, layout.account(a)));
    meters
        .chain(accounts)
        .map(|(way, start)| (way, start + layout.solute(s)))
        .collect()
}
