//! Themes, fonts and spacing of the window. Colours and type sizes are those of the drawing, written down there alone.

use std::sync::Arc;

pub use dragback_drawing::{DARK, LIGHT, Palette, size};
use egui::{
    CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, Style, TextStyle,
    Theme, Vec2, Visuals,
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

pub use dragback_drawing::plot::CURVE_WIDTH;

/// Plain text of a given size.
#[must_use]
pub const fn font(points: f32) -> FontId {
    FontId::proportional(points)
}

/// The palette of a theme.
#[must_use]
pub const fn palette(theme: Theme) -> &'static Palette {
    match theme {
        Theme::Light => &LIGHT,
        Theme::Dark => &DARK,
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
    let palette = palette(theme);
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
