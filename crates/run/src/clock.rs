//! What the time of day, week and year decides.

use dragback_plant::Network;
use dragback_plant::calendar::spells;
use dragback_plant::climate::AirChoice;
use dragback_plant::flows::Setting;

/// How calendars are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Hours {
    /// As written.
    #[default]
    Calendar,
    /// Every calendar that ever opens is always open: the in-shift constant-rate state.
    AlwaysOpen,
    /// Every calendar is open by its share of the week: the week-mean constant-rate state.
    WeekMean,
}

/// Reads calendars and air for a plant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Clock {
    /// How calendars are read.
    pub hours: Hours,
    /// Which air.
    pub air: AirChoice,
}

impl Clock {
    /// Sets what holds from `t_s` until the next boundary; returns that boundary, s.
    pub fn read(&self, net: &Network, t_s: f64, set: &mut Setting) -> f64 {
        set.open.resize(net.calendars.len(), 0.0);
        let mut next = f64::INFINITY;
        for (open, calendar) in set.open.iter_mut().zip(&net.calendars) {
            *open = match self.hours {
                Hours::Calendar => {
                    next = next.min(calendar.next_change_s(t_s));
                    if calendar.is_open(t_s) { 1.0 } else { 0.0 }
                }
                Hours::AlwaysOpen if calendar.open_share() > 0.0 => 1.0,
                Hours::AlwaysOpen => 0.0,
                Hours::WeekMean => calendar.open_share(),
            };
        }
        set.spells = match self.hours {
            Hours::WeekMean => spells(&net.calendars),
            Hours::Calendar | Hours::AlwaysOpen => Vec::new(),
        };
        let start_month = net.climates.first().map_or(0, |c| c.start_month);
        set.air_slot = self.air.slot(t_s, start_month);
        if net
            .climates
            .iter()
            .all(dragback_plant::climate::Climate::is_constant)
        {
            set.air_slot = dragback_plant::climate::MEAN_SLOT;
            return next;
        }
        next.min(self.air.next_change_s(t_s))
    }
}
