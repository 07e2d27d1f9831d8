//! The colours of liquids: one sequential map from water to bath, even in lightness, for each theme.

use egui::{Color32, Theme};

use crate::theme::Palette;

/// Stops of the map on the light sheet: pale water to deep concentrate.
const LIGHT: [[f32; 3]; 5] = [
    [226.0, 241.0, 244.0],
    [158.0, 208.0, 217.0],
    [86.0, 166.0, 190.0],
    [41.0, 114.0, 158.0],
    [27.0, 58.0, 112.0],
];

/// Stops on the dark sheet: dim water to bright concentrate.
const DARK: [[f32; 3]; 5] = [
    [38.0, 62.0, 72.0],
    [37.0, 98.0, 118.0],
    [59.0, 138.0, 155.0],
    [118.0, 184.0, 180.0],
    [214.0, 231.0, 190.0],
];

/// Colour of a liquid at a place on the scale of strengths, 0 (water) to 1 (bath).
#[must_use]
pub fn liquid(theme: Theme, share: f64) -> Color32 {
    let stops = match theme {
        Theme::Light => &LIGHT,
        Theme::Dark => &DARK,
    };
    #[expect(clippy::cast_possible_truncation, reason = "a colour")]
    let at = share.clamp(0.0, 1.0) as f32 * 4.0;
    let mut low = 0;
    while low < 3 && at > f32::from(u8::try_from(low + 1).unwrap_or(3)) {
        low += 1;
    }
    let part = at - f32::from(u8::try_from(low).unwrap_or(3));
    let mix = |c: usize| {
        let value = stops[low][c] + part * (stops[low + 1][c] - stops[low][c]);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to 255"
        )]
        let byte = value.round().clamp(0.0, 255.0) as u8;
        byte
    };
    Color32::from_rgb(mix(0), mix(1), mix(2))
}

/// Colour of what stands in a liquid of that shade, so that it can be seen.
#[must_use]
pub fn on_liquid(theme: Theme, share: f64) -> Color32 {
    let under = liquid(theme, share);
    let (light, dark) = match theme {
        Theme::Light => (
            Palette::of(Theme::Light).sheet,
            Palette::of(Theme::Light).ink,
        ),
        Theme::Dark => (
            Palette::of(Theme::Dark).ink,
            Palette::of(Theme::Dark).ground,
        ),
    };
    if brightness(under) > 0.5 { dark } else { light }
}

/// Brightness as the eye weighs it, 0 to 1 (Rec. 601 weights, from memory).
fn brightness(c: Color32) -> f32 {
    (0.299 * f32::from(c.r()) + 0.587 * f32::from(c.g()) + 0.114 * f32::from(c.b())) / 255.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shades_run_one_way_from_water_to_bath() {
        let run = |theme| -> Vec<f32> {
            (0..=20)
                .map(|i| brightness(liquid(theme, f64::from(i) / 20.0)))
                .collect()
        };
        assert!(run(Theme::Light).windows(2).all(|w| w[1] < w[0]));
        assert!(run(Theme::Dark).windows(2).all(|w| w[1] > w[0]));
    }

    #[test]
    fn steps_of_the_map_are_about_even() {
        for theme in [Theme::Light, Theme::Dark] {
            let at = |i: u8| brightness(liquid(theme, f64::from(i) / 4.0));
            let steps: Vec<f32> = (0..4).map(|i| (at(i + 1) - at(i)).abs()).collect();
            let (least, most) = steps
                .iter()
                .fold((1.0_f32, 0.0_f32), |(l, m), &s| (l.min(s), m.max(s)));
            assert!(most < 2.0 * least, "{theme:?} {steps:?}");
        }
    }
}
