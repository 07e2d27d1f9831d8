//! The film that leaves on the work, moment by moment.

use dragback_plant::network::LoopRoles;

use crate::figures::Means;

impl Means<'_> {
    /// Each moment, s, at which film leaves on the work, and how strong it is in the lead solute, kg/m³.
    pub(crate) fn films_at_work(&self, roles: &LoopRoles) -> impl Iterator<Item = (f64, f64)> {
        let plant = self.plant;
        let drag_out = roles.drag_out.iter().map(|&t| plant.layout().moved(t));
        let drag_out: Vec<usize> = drag_out.collect();
        let at_work = self
            .intervals()
            .filter(move |&i| drag_out.iter().any(|&t| self.rose(t, i)));
        at_work.map(|i| {
            let film = plant.film(&roles.last_film, roles.lead, self.trace.row(i));
            (self.trace.times_s()[i], film)
        })
    }

    /// The first moment, s, at which film stronger than its limit leaves on the work.
    pub(crate) fn passes_film_limit(&self, roles: &LoopRoles) -> Option<f64> {
        let limit = roles.final_limit_kg_per_m3?;
        let first = self.films_at_work(roles).find(|(_, film)| *film > limit)?;
        Some(first.0)
    }
}
