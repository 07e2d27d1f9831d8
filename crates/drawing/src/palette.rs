//! The only place where a colour is written down.

use ecolor::Color32;

/// The colours of one theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// What lies under everything.
    pub ground: Color32,
    /// What is drawn and written on.
    pub sheet: Color32,
    /// Axes, grid and borders.
    pub rule: Color32,
    /// Text.
    pub ink: Color32,
    /// Text of lesser weight.
    pub quiet: Color32,
    /// What a hand can move.
    pub accent: Color32,
    /// All is well.
    pub good: Color32,
    /// Look here.
    pub caution: Color32,
    /// Something is wrong.
    pub alarm: Color32,
    /// Hues of stations, in the order that work travels.
    pub series: [Color32; 8],
    /// Liquids from water to bath, in even steps of lightness.
    pub liquids: [Color32; 5],
}

const fn hex(rgb: u32) -> Color32 {
    let [_, r, g, b] = rgb.to_be_bytes();
    Color32::from_rgb(r, g, b)
}

/// Light. The series follow Okabe and Ito (2008, "Color universal design"), black as ink; hues that are too pale on the sheet, or too near to a darkened neighbour, are darkened.
pub const LIGHT: Palette = Palette {
    ground: hex(0x00F6_F4EF),
    sheet: hex(0x00FF_FFFF),
    rule: hex(0x00D8_D3C8),
    ink: hex(0x001F_2328),
    quiet: hex(0x0056_5C63),
    accent: hex(0x000B_6E75),
    good: hex(0x002E_6B2E),
    caution: hex(0x009A_5200),
    alarm: hex(0x00B3_261E),
    series: [
        hex(0x001F_2328),
        hex(0x00B8_7700),
        hex(0x002B_91CF),
        hex(0x0000_8F68),
        hex(0x007A_7D00),
        hex(0x0000_72B2),
        hex(0x00C8_480A),
        hex(0x00C0_639A),
    ],
    // Pale water to deep concentrate.
    liquids: [
        hex(0x00E2_F1F4),
        hex(0x0097_C7D0),
        hex(0x0050_9CB2),
        hex(0x0026_6B95),
        hex(0x001B_3A70),
    ],
};

/// Dark.
pub const DARK: Palette = Palette {
    ground: hex(0x0014_171A),
    sheet: hex(0x001C_2126),
    rule: hex(0x003A_424A),
    ink: hex(0x00E8_EAEC),
    quiet: hex(0x00A4_ADB5),
    accent: hex(0x004D_B6BC),
    good: hex(0x0079_C079),
    caution: hex(0x00E0_A03B),
    alarm: hex(0x00F2_726B),
    series: [
        hex(0x00E8_EAEC),
        hex(0x00E6_9F00),
        hex(0x0056_B4E9),
        hex(0x0000_B283),
        hex(0x00F0_E442),
        hex(0x0027_8FD0),
        hex(0x00E8_7022),
        hex(0x00CC_79A7),
    ],
    // Dim water to bright concentrate.
    liquids: [
        hex(0x0026_3E48),
        hex(0x0028_697E),
        hex(0x0040_95A8),
        hex(0x007C_C2BD),
        hex(0x00D6_E7BE),
    ],
};

impl Palette {
    /// A colour between the sheet and `color`: share 0 is the sheet, 1 the colour.
    #[must_use]
    pub fn tint(&self, color: Color32, share: f32) -> Color32 {
        self.sheet.lerp_to_gamma(color, share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shade::contrast;

    #[test]
    fn text_has_a_contrast_of_five_on_both_grounds() {
        for p in [&LIGHT, &DARK] {
            for ground in [p.ground, p.sheet] {
                for text in [p.ink, p.quiet, p.accent, p.good, p.caution, p.alarm] {
                    let found = contrast(text, ground);
                    assert!(found >= 5.0, "{text:?} on {ground:?}: {found:.2}");
                }
            }
        }
    }

    #[test]
    fn curves_have_a_contrast_of_three_on_the_sheet() {
        for p in [&LIGHT, &DARK] {
            for curve in p.series {
                let found = contrast(curve, p.sheet);
                assert!(found >= 3.0, "{curve:?}: {found:.2}");
            }
        }
    }

    #[test]
    fn curves_differ_from_one_another() {
        for p in [&LIGHT, &DARK] {
            for (i, a) in p.series.iter().enumerate() {
                for b in &p.series[i + 1..] {
                    let apart = |x: u8, y: u8| i32::from(x).abs_diff(i32::from(y));
                    let sum = apart(a.r(), b.r()) + apart(a.g(), b.g()) + apart(a.b(), b.b());
                    assert!(sum >= 60, "{a:?} and {b:?}");
                }
            }
        }
    }
}
