//! Shapes of tanks and the level bands of the bath.

use dragback_plant::network::Shape;

use crate::schema::{Drain, Loop, Tank};

/// Shape of a tank.
pub fn shape(tank: &Tank) -> Shape {
    Shape {
        footprint_m2: tank.footprint.si(),
        slope_height_m: tank.slope_height.si(),
    }
}

/// Level of a full tank, m.
pub fn full_level_m(tank: &Tank) -> f64 {
    shape(tank).level_m(tank.volume.si())
}

/// Bands of the bath's level, m over its bottom, lowest liquid first: plain water, still rinse, concentrate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BathBands {
    /// Level of the brim.
    pub full_m: f64,
    /// Start and stop of plain make-up.
    pub make_up_m: (f64, f64),
    /// Start and stop of the return from still rinses.
    pub still_m: (f64, f64),
    /// Start and stop of the return of concentrate, where there is a holding tank.
    pub return_m: Option<(f64, f64)>,
    /// Levels at which rinses that overflow straight into the bath are shut off and let in again.
    pub high_m: (f64, f64),
    /// Levels at which evaporators fed from the bath restart and rest.
    pub low_m: (f64, f64),
    /// Level at which the low alarm of a bath that feeds evaporators trips.
    pub low_alarm_m: f64,
    /// Level at the start.
    pub start_m: f64,
}

/// The bands of a loop's bath, with defaults as shares of the full level.
pub fn bath_bands(line: &Loop) -> BathBands {
    let full_m = full_level_m(&line.bath.tank);
    let make_up = &line.bath.make_up;
    let or = |given: &Option<crate::record::Input<_>>, share: f64| {
        given
            .as_ref()
            .map_or(share * full_m, crate::record::Input::si)
    };
    let make_up_m = (
        or(&make_up.start_level, 0.93),
        or(&make_up.stop_level, 0.94),
    );
    let return_m = line.holding_tank.as_ref().map(|h| {
        (
            or(&h.give_back.start_level, 0.955),
            or(&h.give_back.stop_level, 0.965),
        )
    });
    let still_m = match return_m {
        Some((start, _)) => {
            let gap = start - make_up_m.1;
            if gap > 1e-3 {
                (make_up_m.1 + 0.2 * gap, make_up_m.1 + 0.8 * gap)
            } else {
                make_up_m
            }
        }
        None => (0.955 * full_m, 0.965 * full_m),
    };
    let takes_rinses = line.sections.values().any(|s| s.drain == Drain::Bath);
    let start_m = match return_m {
        Some((start, stop)) => 0.5 * (start + stop),
        None if takes_rinses => 0.965 * full_m,
        None => 0.5 * (make_up_m.0 + make_up_m.1),
    };
    BathBands {
        full_m,
        make_up_m,
        still_m,
        return_m,
        high_m: (0.975 * full_m, 0.985 * full_m),
        low_m: (0.80 * full_m, 0.85 * full_m),
        low_alarm_m: or(&line.bath.low_alarm, 0.70),
        start_m,
    }
}
