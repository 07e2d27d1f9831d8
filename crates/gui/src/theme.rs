//! Colours, type sizes and spacing: the only place where a colour is written down.

use std::sync::Arc;

use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, Style,
    TextStyle, Theme, Vec2, Visuals,
};

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
};

/// Gaps between things, points.
pub mod space {
    /// Between a thing and its label.
    pub const TIGHT: f32 = 4.0;
    /// Between neighbours.
    pub const NEAR: f32 = 8.0;
    /// Between groups.
    pub const WIDE: f32 = 16.0;
}

/// Sizes of text, points.
pub mod size {
    /// The smallest.
    pub const SMALL: f32 = 11.0;
    /// Body.
    pub const BODY: f32 = 13.0;
    /// Headings and figures.
    pub const HEADING: f32 = 15.0;
    /// Companions of the key figure.
    pub const FIGURE: f32 = 19.0;
    /// The key figure.
    pub const KEY: f32 = 28.0;
}

/// Width of curves, points.
pub const CURVE_WIDTH: f32 = 1.75;

/// Plain text of a given size.
#[must_use]
pub const fn font(points: f32) -> FontId {
    FontId::proportional(points)
}

impl Palette {
    /// The palette of a theme.
    #[must_use]
    pub const fn of(theme: Theme) -> &'static Self {
        match theme {
            Theme::Light => &LIGHT,
            Theme::Dark => &DARK,
        }
    }

    /// A colour between the sheet and `color`: share 0 is the sheet, 1 the colour.
    #[must_use]
    pub fn tint(&self, color: Color32, share: f32) -> Color32 {
        self.sheet.lerp_to_gamma(color, share)
    }
}

/// Gives a context both themes and the fonts.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    // Where the system does not say, a sheet is white.
    ctx.options_mut(|o| {
        o.fallback_theme = Theme::Light;
        // The size of text is a preference of ours, with keys of ours.
        o.zoom_with_keyboard = false;
    });
    for theme in [Theme::Light, Theme::Dark] {
        ctx.set_style_of(theme, Arc::new(style(theme)));
    }
}

/// Lets hints appear.
pub fn show_hints(ctx: &egui::Context) {
    ctx.all_styles_mut(|style| style.interaction.tooltip_delay = HINT_DELAY);
}

/// After how long a hint appears, seconds.
const HINT_DELAY: f32 = 0.4;
/// The same while no hint is to appear.
const NO_HINTS: f32 = 1e6;

/// The default fonts; Hack stands in for signs that the proportional font lacks, such as arrows.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let hack = fonts.font_data.get("Hack").cloned();
    if let Some(hack) = hack {
        let data: Arc<FontData> = hack;
        fonts.font_data.insert("Hack".to_owned(), data);
        let family = fonts.families.entry(FontFamily::Proportional).or_default();
        if !family.iter().any(|name| name == "Hack") {
            // After the first font, so that letters stay as they are.
            family.insert(1.min(family.len()), "Hack".to_owned());
        }
    }
    fonts
}

fn style(theme: Theme) -> Style {
    let palette = Palette::of(theme);
    let mut style = Style {
        visuals: visuals(theme, palette),
        ..Style::default()
    };
    style.text_styles = [
        (TextStyle::Small, font(size::SMALL)),
        (TextStyle::Body, font(size::BODY)),
        (TextStyle::Button, font(size::BODY)),
        (TextStyle::Heading, font(size::HEADING)),
        (TextStyle::Monospace, FontId::monospace(12.0)),
    ]
    .into();
    style.spacing.item_spacing = Vec2::new(space::NEAR, space::TIGHT);
    style.spacing.button_padding = Vec2::new(space::NEAR, 3.0);
    style.spacing.window_margin = Margin::same(16);
    style.spacing.interact_size.y = 22.0;
    style.spacing.slider_rail_height = 4.0;
    style.interaction.tooltip_delay = NO_HINTS;
    style
}

fn visuals(theme: Theme, palette: &Palette) -> Visuals {
    let mut v = theme.default_visuals();
    let radius = CornerRadius::same(6);
    v.panel_fill = palette.ground;
    v.window_fill = palette.sheet;
    v.window_stroke = Stroke::new(1.0, palette.rule);
    v.window_corner_radius = radius;
    v.menu_corner_radius = radius;
    v.extreme_bg_color = palette.sheet;
    v.faint_bg_color = palette.ground;
    v.weak_text_color = Some(palette.quiet);
    v.hyperlink_color = palette.accent;
    v.warn_fg_color = palette.caution;
    v.error_fg_color = palette.alarm;
    v.selection.bg_fill = palette.tint(palette.accent, 0.25);
    v.selection.stroke = Stroke::new(1.0, palette.accent);
    v.slider_trailing_fill = false;
    let w = &mut v.widgets;
    for state in [
        &mut w.noninteractive,
        &mut w.inactive,
        &mut w.hovered,
        &mut w.active,
        &mut w.open,
    ] {
        state.corner_radius = radius;
        state.fg_stroke = Stroke::new(1.0, palette.ink);
        state.bg_stroke = Stroke::new(1.0, palette.rule);
        state.weak_bg_fill = palette.sheet;
        state.bg_fill = palette.rule;
        state.expansion = 0.0;
    }
    w.hovered.bg_stroke.color = palette.accent;
    w.hovered.weak_bg_fill = palette.tint(palette.accent, 0.08);
    w.active.bg_stroke.color = palette.accent;
    w.active.weak_bg_fill = palette.tint(palette.accent, 0.18);
    w.open.weak_bg_fill = palette.tint(palette.accent, 0.08);
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as in WCAG 2.1, from memory.
    fn luminance(color: Color32) -> f64 {
        let linear = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * linear(color.r()) + 0.7152 * linear(color.g()) + 0.0722 * linear(color.b())
    }

    fn contrast(a: Color32, b: Color32) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

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
