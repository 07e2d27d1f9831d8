//! Which salt would come out first in each tank, and how near that is.

use dragback_plant::climate::AirChoice;
use dragback_plant::ids::VesselId;

use crate::answers::SaturationAnswer;
use crate::figures::Means;

/// Most moments of a span that are looked at: strengths change over hours.
const MOST_LOOKS: usize = 200;

impl Means<'_> {
    /// The salt that comes nearest to saturation in a tank over the span, at the coldest that the tank gets: its own temperature, or its
    /// room's where no heater keeps it warm around the clock. `None` where no solubility is known.
    pub(crate) fn nearest_salt(&self, v: VesselId, air: AirChoice) -> Option<SaturationAnswer> {
        let net = self.plant.network();
        let climate = &net.climates[net.vessels[v.index()].climate.index()];
        let times = self.trace.times_s();
        let every = self.intervals().count().div_ceil(MOST_LOOKS).max(1);
        let looks = self.intervals().rev().step_by(every);
        let found = looks.filter_map(|i| {
            let y = self.trace.row(i);
            let air_slot = air.slot(times[i], climate.start_month);
            let temp_c = self.plant.holdup(v, y).1;
            let cooled_c = self.plant.may_cool_to_c(v, temp_c, air_slot);
            let salt = self.plant.nearest_saturation(v, y, cooled_c)?;
            Some(SaturationAnswer {
                salt: salt.salt.to_owned(),
                saturation_fraction: salt.index,
                at_c: cooled_c,
            })
        });
        found.max_by(|a, b| a.saturation_fraction.total_cmp(&b.saturation_fraction))
    }
}
