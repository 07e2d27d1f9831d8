//! The counterflow series with the present numbers, and the simulated ratio beside it.

use egui::text::{LayoutJob, TextFormat};
use egui::{Align, Color32, Label, RichText, Ui};

use crate::formula::{Series, series};
use crate::number::{joined, shown, three};
use crate::theme::{font, size};
use crate::view_ctx::ViewCtx;
use crate::widgets::fitting_words;
use dragback_units::constants::m3_per_s_from_l_per_h;
use dragback_units::{Dim, Style};

/// Draws the strip.
pub fn formula_ui(ctx: &ViewCtx<'_>, ui: &mut Ui) {
    let found = ctx.results.figures().and_then(|f| series(f));
    let margin = egui::Margin {
        left: 16,
        right: 16,
        top: 2,
        bottom: 2,
    };
    egui::Frame::NONE
        .inner_margin(margin)
        .show(ui, |ui| match found {
            Some(series) => strip_ui(ctx, ui, &series),
            None => {
                let text = "No counterflow rinses to put into a formula here.";
                ui.label(RichText::new(text).color(ctx.palette.quiet));
            }
        });
}

fn strip_ui(ctx: &ViewCtx<'_>, ui: &mut Ui, s: &Series) {
    let flow = |l_per_h: f64| {
        joined(shown(
            Dim::VolumeFlow,
            m3_per_s_from_l_per_h(l_per_h),
            ctx.prefs.system,
            Style::Default,
        ))
    };
    let apart = 100.0 * (s.simulated / s.sum - 1.0);
    let side = if apart.abs() < 0.05 {
        "the same".to_owned()
    } else {
        format!(
            "{} % {}",
            three(apart.abs(), 1),
            if apart > 0.0 { "higher" } else { "lower" }
        )
    };
    let hint = format!(
        "Counterflow rinsing with equal films, full mixing and no evaporation: every stage divides the strength by about the ratio r of rinse water {} to drag-out {} while work runs. The simulated ratio is that of the settled week ({}). The series leaves out {}.",
        flow(s.feed_l_per_h),
        flow(s.drag_out_l_per_h),
        s.compared,
        list(&s.reasons)
    );
    ui.horizontal_centered(|ui| {
        let job = written(s, ctx.palette.ink, ctx.palette.quiet);
        ui.add(Label::new(job).extend()).on_hover_text(&hint);
        let told = match &s.none_because {
            Some(why) => format!("no simulated ratio, since {why}"),
            None => format!("simulated {}, {side}", term(s.simulated)),
        };
        let told = match ctx.line_at_cursor {
            Some(_) => format!("settled week: {told}"),
            None => told,
        };
        let mut words = vec![told.clone()];
        if s.none_because.is_none() && apart.abs() >= 0.05 {
            let short = format!("{told}; the series leaves out {}", some(&s.reasons));
            let full = format!("{told}; the series leaves out {}", list(&s.reasons));
            words = vec![full, short, told];
        }
        fitting_words(ui, ctx.palette, &words, &hint);
    });
}

/// Whole from a hundred up, so that a reader can add the terms.
fn term(value: f64) -> String {
    if value.is_finite() && (100.0..1e6).contains(&value) {
        format!("{value:.0}")
    } else {
        three(value, 1)
    }
}

/// The first of several, and that there are more.
fn some(words: &[String]) -> String {
    match words {
        [first, _, ..] => format!("{first}, among others"),
        _ => list(words),
    }
}

fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// The series as it is written by hand: symbols, then numbers.
fn written(s: &Series, ink: Color32, quiet: Color32) -> LayoutJob {
    let mut pen = Pen {
        job: LayoutJob::default(),
        color: ink,
    };
    pen.plain("c");
    pen.low("bath");
    pen.plain(" / c");
    pen.low(&s.stages.to_string());
    pen.plain(" = 1");
    for power in shown_powers(s.stages) {
        match power {
            None => pen.plain(" + …"),
            Some(0) => {}
            Some(1) => pen.plain(" + r"),
            Some(n) => {
                pen.plain(" + r");
                pen.high(&n.to_string());
            }
        }
    }
    pen.color = quiet;
    pen.plain(" = ");
    for (i, power) in shown_powers(s.stages).into_iter().enumerate() {
        let plus = if i > 0 { " + " } else { "" };
        let term = power
            .and_then(|n| s.terms.get(n))
            .map_or("…".to_owned(), |t| {
                if power == Some(0) {
                    "1".to_owned()
                } else {
                    term(*t)
                }
            });
        pen.plain(&format!("{plus}{term}"));
    }
    pen.color = ink;
    pen.plain(&format!(" = {}", term(s.sum)));
    pen.color = quiet;
    pen.plain(&format!("     r = {}", three(s.ratio, 1)));
    pen.job
}

/// Powers that are written out; `None` stands for those left out.
fn shown_powers(stages: usize) -> Vec<Option<usize>> {
    if stages <= 3 {
        (0..=stages).map(Some).collect()
    } else {
        vec![Some(0), Some(1), Some(2), None, Some(stages)]
    }
}

struct Pen {
    job: LayoutJob,
    color: Color32,
}

impl Pen {
    fn write(&mut self, text: &str, points: f32, valign: Align) {
        let format = TextFormat {
            font_id: font(points),
            color: self.color,
            valign,
            ..TextFormat::default()
        };
        self.job.append(text, 0.0, format);
    }

    fn plain(&mut self, text: &str) {
        self.write(text, size::HEADING, Align::Center);
    }

    fn low(&mut self, text: &str) {
        self.write(text, size::SMALL, Align::BOTTOM);
    }

    fn high(&mut self, text: &str) {
        self.write(text, size::SMALL, Align::TOP);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use dragback_properties::rinse::counterflow_terms;

    #[test]
    fn long_series_are_shortened() {
        assert_eq!(shown_powers(2), vec![Some(0), Some(1), Some(2)]);
        assert_eq!(
            shown_powers(4),
            vec![Some(0), Some(1), Some(2), None, Some(4)]
        );
    }

    #[test]
    fn the_series_is_written_with_its_numbers() {
        let s = Series {
            feed_l_per_h: 95.0,
            drag_out_l_per_h: 4.8,
            ratio: 95.0 / 4.8,
            stages: 3,
            terms: counterflow_terms(95.0 / 4.8, 3).collect(),
            sum: counterflow_terms(95.0 / 4.8, 3).sum(),
            simulated: 8000.0,
            compared: String::new(),
            none_because: None,
            reasons: Vec::new(),
        };
        let text = written(&s, Color32::BLACK, Color32::GRAY).text;
        assert_eq!(
            text,
            "cbath / c3 = 1 + r + r2 + r3 = 1 + 19.8 + 392 + 7753 = 8165     r = 19.8"
        );
    }
}
