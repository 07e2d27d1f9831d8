//! The colours of liquids: one sequential map from water to bath, even in lightness, for each palette.

use ecolor::Color32;

use crate::palette::Palette;

impl Palette {
    /// Colour of a liquid at a place on the scale of strengths, 0 (water) to 1 (bath).
    #[must_use]
    pub fn liquid(&self, share: f64) -> Color32 {
        #[expect(clippy::cast_possible_truncation, reason = "a colour")]
        let at = share.clamp(0.0, 1.0) as f32 * 4.0;
        let mut low = 0;
        while low < 3 && at > f32::from(u8::try_from(low + 1).unwrap_or(3)) {
            low += 1;
        }
        let part = at - f32::from(u8::try_from(low).unwrap_or(3));
        let (from, to) = (
            self.liquids[low].to_array(),
            self.liquids[low + 1].to_array(),
        );
        let mix = |c: usize| {
            let (from, to) = (f32::from(from[c]), f32::from(to[c]));
            let value = from + part * (to - from);
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

    /// Colour of what stands in a liquid of that shade, so that it can be seen and read: black or white, one of which has a contrast of 4.5 at least
    /// on any colour.
    #[must_use]
    pub fn on_liquid(&self, share: f64) -> Color32 {
        let under = self.liquid(share);
        let (light, dark) = (Color32::WHITE, Color32::BLACK);
        if contrast(dark, under) > contrast(light, under) {
            dark
        } else {
            light
        }
    }
}

/// Contrast of two colours (WCAG 2.1, from memory), 1 to 21.
pub(crate) fn contrast(a: Color32, b: Color32) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Relative luminance (WCAG 2.1, from memory), 0 to 1.
fn luminance(c: Color32) -> f64 {
    0.2126 * linear(c.r()) + 0.7152 * linear(c.g()) + 0.0722 * linear(c.b())
}

/// A component of a colour in sRGB (IEC 61966-2-1) as light, 0 to 1.
fn linear(byte: u8) -> f64 {
    let v = f64::from(byte) / 255.0;
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::{DARK, LIGHT};

    /// Lightness as in OKLab (Björn Ottosson, 2020, "A perceptual color space for image processing"; coefficients from memory).
    #[expect(
        clippy::many_single_char_names,
        reason = "the names of the colour space"
    )]
    fn lightness(color: Color32) -> f64 {
        let (r, g, b) = (linear(color.r()), linear(color.g()), linear(color.b()));
        let l = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
        let m = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
        let s = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
        0.210_454_255_3 * l + 0.793_617_785_0 * m - 0.004_072_046_8 * s
    }

    #[test]
    fn shades_run_one_way_from_water_to_bath() {
        let run = |palette: &Palette| -> Vec<f64> {
            (0..=20)
                .map(|i| lightness(palette.liquid(f64::from(i) / 20.0)))
                .collect()
        };
        assert!(run(&LIGHT).windows(2).all(|w| w[1] < w[0]));
        assert!(run(&DARK).windows(2).all(|w| w[1] > w[0]));
    }

    /// WCAG 2.1 asks for 4.5 of text.
    #[test]
    fn text_in_a_liquid_of_any_shade_has_a_contrast_of_four_and_a_half() {
        for palette in [&LIGHT, &DARK] {
            for i in 0..=100 {
                let share = f64::from(i) / 100.0;
                let found = contrast(palette.on_liquid(share), palette.liquid(share));
                assert!(found >= 4.5, "at {share}: {found:.2}");
            }
        }
    }

    #[test]
    fn a_quarter_of_the_scale_is_everywhere_the_same_step_of_lightness() {
        for palette in [&LIGHT, &DARK] {
            let at = |i: u8| lightness(palette.liquid(f64::from(i) / 4.0));
            let steps: Vec<f64> = (0..4).map(|i| (at(i + 1) - at(i)).abs()).collect();
            let (least, most) = steps
                .iter()
                .fold((1.0_f64, 0.0_f64), |(l, m), &s| (l.min(s), m.max(s)));
            assert!(most < 1.1 * least, "{steps:?}");
        }
    }
}
