//! The window: [`eframe::App::logic`] takes what workers and threads have found, [`eframe::App::ui`] lays out the panels and then does what they asked for.

mod arrange;

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use egui::{Pos2, Rect, Ui};

use crate::at_cursor::{AtCursor, KeptDay};
use crate::command::{self, Autosave, Command, read_prefs, write_prefs};
use crate::loop_view::Selection;
use crate::options::Options;
use crate::page::Page;
use crate::panels::{Panels, page_ui};
use crate::playhead::Playhead;
use crate::prefs::{Prefs, ThemeChoice};
use crate::report::{Layout, Reporter};
use crate::results::Results;
use crate::selected::selected;
use crate::state::State;
use crate::theme;
use crate::view_ctx::ViewCtx;
use crate::worker::Workers;

pub use arrange::LEAST;
use arrange::{answers, bars, editor, levers, sheet, with_room};

/// The application.
pub struct App {
    state: State,
    panels: Panels,
    /// What is drawn and told of the moment that is shown.
    at_cursor: AtCursor,
    was_at_cursor: KeptDay,
    reporter: Reporter,
    layout: Layout,
    prefs_path: Option<PathBuf>,
    /// Preferences as they lie in their file.
    kept_prefs: Prefs,
    /// Theme and size of text that the context was last given.
    applied: Option<(ThemeChoice, f32)>,
    /// When and where the pointer was last pressed.
    last_press: Option<(f64, egui::Pos2)>,
    /// Whether a hand has been at work; before that the pointer only happens to rest somewhere, and hints would cover what it rests on.
    has_hand: bool,
    /// How much of the notice is left to see, 1 to 0.
    notice_left: f32,
}

impl App {
    /// Starts the workers and reads the first scenario; preferences are those of a first start and are not kept.
    #[must_use]
    pub fn new(ctx: &egui::Context, options: Options) -> Self {
        Self::with_prefs(ctx, options, None)
    }

    /// As [`App::new`], with preferences that lie in a file and are kept there.
    #[must_use]
    pub fn with_prefs(ctx: &egui::Context, options: Options, prefs_path: Option<PathBuf>) -> Self {
        theme::install(ctx);
        let mut prefs = prefs_path.as_deref().map(read_prefs).unwrap_or_default();
        prefs.system = options.units.unwrap_or(prefs.system);
        let wake: Arc<dyn Fn() + Send + Sync> = {
            let ctx = ctx.clone();
            // One frame shows what was found; a wish without delay would be given two.
            Arc::new(move || ctx.request_repaint_after(Duration::from_nanos(1)))
        };
        let workers = {
            let wake = Arc::clone(&wake);
            Workers::start(move || wake()).ok()
        };
        let reporter = Reporter::new(options.report_path.clone());
        let first = options.open.clone();
        let mut state = State {
            document: None,
            prefs: prefs.clone(),
            results: Results::default(),
            problems: None,
            faults: BTreeMap::new(),
            opening: None,
            tally: None,
            after_save: None,
            typing: None,
            naming: None,
            variants: crate::compare::FoundVariants::default(),
            hangs: crate::money::HangsKnown::default(),
            against: None,
            read: None,
            picture: None,
            question: None,
            page: None,
            edited_part: None,
            lesson: None,
            help: None,
            autosave: Autosave::in_folder(prefs_path.as_deref().and_then(Path::parent)),
            notice: None,
            may_close: false,
            pinned: None,
            reference: None,
            playhead: Playhead::default(),
            selection: Selection::None,
            gesture: 0,
            last_sweep: 0,
            last_sizing: 0,
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
            at_cursor: AtCursor::default(),
            was_at_cursor: KeptDay::default(),
            reporter,
            layout: Layout::default(),
            prefs_path,
            kept_prefs: prefs,
            applied: None,
            last_press: None,
            has_hand: false,
            notice_left: 1.0,
        }
    }

    /// Everything that the window works on.
    #[must_use]
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Does what a panel could ask for; for tests, where there is no dialog to answer.
    pub fn ask(&mut self, command: Command) {
        command::execute(&mut self.state, command);
    }

    /// Rail of a main lever as it was last drawn, and where its handle stands, points; for tests and timing.
    #[must_use]
    pub fn lever_at(&self, path: &str) -> Option<(Rect, Pos2)> {
        let mut levers = self.layout.levers.iter();
        let (_, rail, handle) = levers.find(|(p, ..)| p == path)?;
        Some((*rail, *handle))
    }

    /// The part of the run that the plots show; for tests.
    #[must_use]
    pub const fn seen_days(&self) -> (f64, f64) {
        let view = self.panels.curves.view();
        (view.from, view.to)
    }

    /// The first half of a frame, which [`eframe::App::logic`] is too: takes what hand, workers and threads have brought.
    pub fn take_in(&mut self, ctx: &egui::Context) {
        self.follow_prefs(ctx);
        self.count_gestures(ctx);
        self.follow_hand(ctx);
        self.follow_window(ctx);
        command::take_found(&mut self.state);
        if let Some(wait) = command::keep_unsaved(&mut self.state) {
            ctx.request_repaint_after(wait);
        }
        self.collect();
        self.state.follow_variants();
        self.state.follow_money();
        self.let_time_pass(ctx);
        self.let_notice_fade(ctx);
        if self.state.opening.is_some() {
            // The thread wakes the window too; this is for a thread that the system ends.
            ctx.request_repaint_after(Duration::from_secs(1));
        }
    }

    /// The second half, which [`eframe::App::ui`] is too: lays out all panels in a `Ui` that fills the window, and does what they ask for.
    pub fn lay_out(&mut self, ui: &mut Ui) {
        self.at_cursor.follow(
            &self.state.results,
            self.state.playhead.day,
            self.state.prefs.counted,
        );
        let kept = self.state.pinned.as_ref().and_then(|p| p.curves.as_ref());
        self.was_at_cursor.follow(kept, self.state.playhead.day);
        let selected = self.at_cursor.scene().and_then(|(scene, plant)| {
            selected(plant, scene, self.state.selection, self.state.prefs.system)
        });
        let commands = RefCell::new(Vec::new());
        let places = RefCell::new(Vec::new());
        let palette = theme::palette(ui.ctx().theme());
        let workers = self.state.workers.as_ref();
        let underway = workers.map_or_else(Vec::new, Workers::underway);
        let ctx = ViewCtx {
            document: self.state.document.as_ref(),
            prefs: &self.state.prefs,
            results: &self.state.results,
            problems: self.state.problems.as_ref(),
            faults: &self.state.faults,
            question: self.state.question.as_ref(),
            typing: self.state.typing.as_ref(),
            naming: self.state.naming.as_ref(),
            variants: &self.state.variants,
            hangs: &self.state.hangs,
            against: self.state.against.as_deref(),
            page: self.state.page,
            edited_part: self.state.edited_part.as_ref(),
            lesson: self.state.lesson.as_ref(),
            help: self.state.help,
            notice: self.state.notice.as_ref(),
            pinned: self.state.pinned.as_ref(),
            reference: self.state.reference.as_ref().map(|(_, name)| name.as_str()),
            is_opening: self.state.opening.is_some(),
            tally: self.state.tally.as_deref(),
            makes_pdf: self.state.options.pdf.is_some(),
            has_workers: self.state.workers.is_some(),
            underway: &underway,
            playhead: &self.state.playhead,
            line_at_cursor: self.at_cursor.line(),
            was_at_cursor: self.was_at_cursor.line(),
            scene: self.at_cursor.scene().map(|(scene, _)| scene),
            selection: self.state.selection,
            selected: selected.as_ref(),
            is_cramped: Cell::new(false),
            palette,
            places: &places,
            commands: &commands,
        };
        let view = self.panels.curves.view_mut();
        crate::panels::time_keys(&ctx, ui.ctx(), view);
        let mut layout = Layout::default();
        let foot = bars(&mut self.panels, &ctx, ui);
        let panels = &mut self.panels;
        with_room(&ctx, ui, |ui| {
            if ctx.page == Some(Page::Editor) {
                editor(panels, &ctx, ui);
            } else if let Some(page) = ctx.page {
                page_ui(panels, page, &ctx, ui);
            } else {
                layout.levers = levers(panels, &ctx, ui);
                answers(panels, &ctx, ui);
                let seen = sheet(panels, &ctx, ui);
                layout.concentration_plot = seen.concentration;
                layout.final_station_hue = seen.final_hue;
                layout.holding_tank_hue = seen.holding_hue;
            }
        });
        over(&mut self.panels, &ctx, ui, (self.notice_left, foot));
        layout.places = places.into_inner();
        self.finish(ui.ctx(), layout, commands.into_inner());
    }

    /// Does what is left once all is painted: tells where things stand, takes the picture that waits, and does what was asked for.
    fn finish(&mut self, ctx: &egui::Context, layout: Layout, asked: Vec<Command>) {
        self.layout = layout;
        self.reporter.state(&self.state);
        self.reporter.layout(&self.layout, ctx.pixels_per_point());
        if let Some(wanted) = &self.state.picture {
            let part = self.panels.curves.place_of(wanted.picture);
            command::take_picture(&mut self.state, ctx, part);
        }
        for command in asked {
            command::execute(&mut self.state, command);
        }
    }

    /// Takes what the workers have found.
    fn collect(&mut self) {
        let Some(workers) = &self.state.workers else {
            return;
        };
        let inbox = workers.collect();
        for curves in [inbox.preview, inbox.exact].into_iter().flatten() {
            if let Some(pinned) = &mut self.state.pinned {
                pinned.refine_curves(&curves);
            }
            self.state.results.take_curves(curves);
        }
        for figures in [inbox.quick, inbox.full].into_iter().flatten() {
            if let Some(pinned) = &mut self.state.pinned {
                pinned.refine_figures(&figures);
            }
            if self.state.results.take_figures(Arc::clone(&figures)) {
                let took = self.state.results.curves().map(|c| c.took);
                self.reporter.answer(&figures, took);
            }
        }
        if let Some(sweep) = inbox.sweep {
            self.state.results.take_sweep(sweep);
        }
        if let Some(table) = inbox.sizing {
            self.state.results.take_sizing(table);
        }
        if let Some(advice) = inbox.advice {
            self.state.results.take_advice(advice);
        }
        for found in inbox.variants {
            self.state.variants.take(found);
        }
        if let Some(hangs) = inbox.hangs {
            self.state.hangs.take(hangs);
        }
        for failure in inbox.failures {
            self.state.fail(failure);
        }
        if let Some(found) = inbox.reference {
            self.state.take_reference(found);
        }
    }

    /// Lets time go on while it plays; nothing is drawn anew by itself otherwise.
    fn let_time_pass(&mut self, ctx: &egui::Context) {
        if self.state.playhead.is_playing {
            let frame_s = ctx.input(|i| i.unstable_dt);
            self.state.playhead.play(f64::from(frame_s));
            ctx.request_repaint();
        }
    }

    /// Gives the context theme and size of text, and keeps preferences that have changed.
    fn follow_prefs(&mut self, ctx: &egui::Context) {
        let prefs = &self.state.prefs;
        let wanted = Some((prefs.theme, prefs.scale));
        if self.applied != wanted {
            ctx.set_theme(prefs.theme.preference());
            ctx.set_zoom_factor(prefs.scale);
            self.applied = wanted;
        }
        if self.kept_prefs != *prefs {
            self.kept_prefs = prefs.clone();
            if let Some(path) = &self.prefs_path {
                write_prefs(path, prefs);
            }
        }
    }

    /// Counts gestures: each press, key or word from an assistive tool begins one, the second press of a double click does not.
    fn count_gestures(&mut self, ctx: &egui::Context) {
        ctx.input(|i| {
            for event in &i.events {
                let begins = match event {
                    egui::Event::PointerButton {
                        pos, pressed: true, ..
                    } => {
                        let is_second = self.last_press.is_some_and(|(time, at)| {
                            i.time - time < 0.4 && at.distance(*pos) < 8.0
                        });
                        self.last_press = Some((i.time, *pos));
                        !is_second
                    }
                    egui::Event::Key {
                        pressed: true,
                        repeat,
                        ..
                    } => !repeat,
                    egui::Event::AccessKitActionRequest(_) => true,
                    _ => false,
                };
                self.state.gesture += u64::from(begins);
            }
        });
    }

    /// Hints appear once the pointer has moved in the window.
    fn follow_hand(&mut self, ctx: &egui::Context) {
        let moves = |i: &egui::InputState| i.pointer.delta() != egui::Vec2::ZERO;
        if !self.has_hand && ctx.input(moves) {
            self.has_hand = true;
            theme::show_hints(ctx);
        }
    }

    /// A notice goes by itself once it has been there for a while.
    fn let_notice_fade(&mut self, ctx: &egui::Context) {
        let Some(notice) = &mut self.state.notice else {
            return;
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the window has not been open for millions of years"
        )]
        let now_ms = ctx.input(|i| (1000.0 * i.time) as u64);
        match notice.left(now_ms) {
            Some((left, then_ms)) => {
                self.notice_left = left;
                if then_ms < u64::MAX {
                    ctx.request_repaint_after(Duration::from_millis(then_ms));
                }
            }
            None => self.state.notice = None,
        }
    }

    /// A window with unsaved changes asks before it closes; a file that is dropped onto it is opened.
    fn follow_window(&mut self, ctx: &egui::Context) {
        if self.state.may_close {
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
        } else if ctx.input(|i| i.viewport().close_requested()) {
            command::execute(&mut self.state, Command::CloseWindow);
            if !self.state.may_close {
                ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            }
        }
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_owned()));
        if let Some(path) = dropped {
            command::execute(&mut self.state, Command::OpenPath(path));
        }
    }
}

/// What lies over everything, and the keys that it may take; `foot` is the height of what a notice stands above.
fn over(panels: &mut Panels, ctx: &ViewCtx<'_>, ui: &mut Ui, (notice_left, foot): (f32, f32)) {
    crate::panels::help_ui(ctx, ui, ctx.help);
    panels.typing.ui(ctx, ui);
    panels.naming.ui(ctx, ui);
    crate::panels::notice_ui(ctx, ui, notice_left, foot);
    crate::panels::question_ui(ctx, ui);
    crate::panels::keys(ctx, ui.ctx());
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        self.take_in(ctx);
    }

    fn ui(&mut self, ui: &mut Ui, _: &mut eframe::Frame) {
        self.lay_out(ui);
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}
