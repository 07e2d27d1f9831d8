//! Where what a loop has lost for good is counted.

use dragback_plant::Plant;
use dragback_plant::ids::SoluteId;
use dragback_plant::network::LoopRoles;

/// Entries of the vector that sum to what a loop has lost of a solute since the world began, kg: on the work, to treatment, over the brim, pumped out
/// by events, and as droplets up the stack.
///
/// Deposit is no loss, and what a purification takes is none either. A stack account must serve the towers of one loop only, and an account of what
/// is pumped out the vessels of one loop only, as they do when a scenario is lowered.
pub(crate) fn lost_entries(plant: &Plant, roles: &LoopRoles, s: SoluteId) -> Vec<usize> {
    let (layout, net) = (plant.layout(), plant.network());
    let streams = [&roles.to_treatment, &roles.lost_on_work, &roles.spills];
    let meters = streams
        .into_iter()
        .flatten()
        .filter_map(|&t| layout.meter(t));
    let mut accounts: Vec<_> = roles
        .towers
        .iter()
        .map(|t| net.towers[t.index()].stack_account)
        .chain(roles.dumped)
        .collect();
    accounts.sort_unstable();
    accounts.dedup();
    let accounts = accounts.into_iter().map(|a| layout.account(a));
    meters
        .chain(accounts)
        .map(|start| start + layout.solute(s))
        .collect()
}
