//! Dashes as the plot library has them.

use dragback_drawing::plot::Dash;
use egui_plot::LineStyle;

/// A dash as the plot library has it.
pub(crate) const fn line_style(dash: Dash) -> LineStyle {
    match dash {
        Dash::Solid => LineStyle::Solid,
        Dash::Dashed { length } => LineStyle::Dashed { length },
        Dash::Dotted { spacing } => LineStyle::Dotted { spacing },
    }
}
