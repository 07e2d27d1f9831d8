//! The window: [`eframe::App::logic`] takes what workers and threads have found, [`eframe::App::ui`] lays out the panels and then does what they asked for.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use egui::{CentralPanel, Frame, Panel, Ui};

use crate::command;
use crate::options::Options;
use crate::panels::Panels;
use crate::prefs::Prefs;
use crate::report::{Layout, Reporter};
use crate::results::Results;
use crate::state::State;
use crate::theme::{self, Palette};
use crate::view_ctx::ViewCtx;
use crate::worker::Workers;

/// The application.
pub struct App {
    state: State,
    panels: Panels,
    reporter: Reporter,
    layout: Layout,
    /// Theme that the context was last given.
    is_dark: Option<bool>,
}

impl App {
    /// Starts the workers and reads the first scenario.
    #[must_use]
    pub fn new(ctx: &egui::Context, options: Options) -> Self {
        theme::install(ctx);
        let wake: Arc<dyn Fn() + Send + Sync> = {
            let ctx = ctx.clone();
            Arc::new(move || ctx.request_repaint())
        };
        let workers = {
            let wake = Arc::clone(&wake);
            Workers::start(move || wake()).ok()
        };
        let reporter = Reporter::new(options.report_path.clone());
        let first = options.open.clone();
        let mut state = State {
            document: None,
            prefs: Prefs::default(),
            results: Results::default(),
            problems: None,
            faults: BTreeMap::new(),
            opening: None,
            options,
            last_document: 0,
            workers,
            wake,
        };
        command::open_demo(&mut state);
        if let Some(path) = first {
            command::open(&mut state, Some(path));
        }
        let panels = Panels::default();
        Self {
            state,
            panels,
            reporter,
            layout: Layout::default(),
            is_dark: None,
        }
    }

    /// Everything that the window works on.
    #[must_use]
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Lays out all panels in a `Ui` that fills the window, and does what they ask for.
    fn lay_out(&mut self, ui: &mut Ui) {
        let commands = RefCell::new(Vec::new());
        let palette = Palette::of(self.state.prefs.theme());
        let ctx = ViewCtx {
            document: self.state.document.as_ref(),
            prefs: self.state.prefs,
            results: &self.state.results,
            problems: self.state.problems.as_ref(),
            faults: &self.state.faults,
            is_opening: self.state.opening.is_some(),
            has_workers: self.state.workers.is_some(),
            palette,
            commands: &commands,
        };
        let ground = Frame::NONE.fill(palette.ground);
        let sheet = Frame::NONE.fill(palette.sheet);
        let mut layout = Layout::default();
        Panel::top("top bar")
            .frame(ground)
            .resizable(false)
            .exact_size(44.0)
            .show(ui, |ui| {
                self.panels.top_bar.ui(&ctx, ui);
            });
        Panel::bottom("caution")
            .frame(ground)
            .resizable(false)
            .exact_size(26.0)
            .show(ui, |ui| {
                crate::panels::caution_ui(&ctx, ui);
            });
        Panel::top("figures")
            .frame(sheet)
            .resizable(false)
            .exact_size(104.0)
            .show(ui, |ui| {
                self.panels.figures.ui(&ctx, ui);
            });
        Panel::left("levers")
            .frame(ground)
            .resizable(false)
            .exact_size(272.0)
            .show(ui, |ui| {
                layout.levers = self.panels.levers.ui(&ctx, ui);
            });
        Panel::bottom("formula")
            .frame(sheet)
            .resizable(false)
            .exact_size(74.0)
            .show(ui, |ui| {
                crate::panels::formula_ui(&ctx, ui);
            });
        CentralPanel::default().frame(sheet).show(ui, |ui| {
            let seen = self.panels.curves.ui(&ctx, ui);
            layout.concentration_plot = seen.concentration;
            layout.final_station_hue = seen.final_hue;
        });
        crate::panels::problems_ui(&ctx, ui);
        self.layout = layout;
        self.reporter
            .layout(&self.layout, ui.ctx().pixels_per_point());
        for asked in commands.into_inner() {
            command::execute(&mut self.state, asked);
        }
    }

    /// Takes what the workers have found.
    fn collect(&mut self) {
        let Some(workers) = &self.state.workers else {
            return;
        };
        let inbox = workers.collect();
        for curves in [inbox.preview, inbox.exact].into_iter().flatten() {
            self.state.results.take_curves(curves);
        }
        for figures in [inbox.quick, inbox.full].into_iter().flatten() {
            if self.state.results.take_figures(Arc::clone(&figures)) {
                let took = self.state.results.curves().map(|c| c.took);
                self.reporter.answer(&figures, took);
            }
        }
        for failure in inbox.failures {
            self.state.results.take_failure(failure);
        }
    }

    fn follow_theme(&mut self, ctx: &egui::Context) {
        let is_dark = self.state.prefs.is_dark;
        if self.is_dark != Some(is_dark) {
            ctx.set_theme(self.state.prefs.theme());
            self.is_dark = Some(is_dark);
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        self.follow_theme(ctx);
        command::take_opened(&mut self.state);
        self.collect();
        if self.state.opening.is_some() {
            // The thread wakes the window too; this is for a thread that the system ends.
            ctx.request_repaint_after(Duration::from_secs(1));
        }
    }

    fn ui(&mut self, ui: &mut Ui, _: &mut eframe::Frame) {
        self.lay_out(ui);
    }

    fn clear_color(&self, _: &egui::Visuals) -> [f32; 4] {
        Palette::of(self.state.prefs.theme())
            .ground
            .to_normalized_gamma_f32()
    }
}
