//! A window without a display, given frames as the system gives them, and a hand that drags its levers.

use std::hint::black_box;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

use cpu_time::ThreadTime;
use dragback_gui::command::Command;
use dragback_gui::plots::KINDS;
use dragback_gui::{App, Options};
use egui::accesskit::Role;
use egui::epaint::ClippedShape;
use egui::{Event, FullOutput, Modifiers, PointerButton, Pos2, RawInput, Rect, Shape, pos2, vec2};

const DEMO: &str = include_str!("../../../scenarios/demo.ron");
/// Time between two moves of the hand.
const TICK: Duration = Duration::from_micros(16_667);
/// Moves over a lever's rail.
const MOVES: usize = 100;
/// Anything takes longer than this only when it will never come.
const NEVER: Duration = Duration::from_secs(60);

/// What came of it.
pub type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// When the window wants its next frame.
#[derive(Default)]
struct Wish {
    due: Mutex<Option<Instant>>,
    changed: Condvar,
}

impl Wish {
    fn want(&self, delay: Duration) {
        let at = Instant::now().checked_add(delay);
        let mut due = self.due.lock().unwrap_or_else(PoisonError::into_inner);
        // A delay without end is no wish.
        if let Some(at) = at {
            *due = Some(due.map_or(at, |d| d.min(at)));
        }
        self.changed.notify_all();
    }

    /// Waits until a frame is due, or until a time; says whether one is due.
    fn wait(&self, until: Instant) -> bool {
        let mut due = self.due.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            let now = Instant::now();
            if due.is_some_and(|d| d <= now) {
                *due = None;
                return true;
            }
            if now >= until {
                return false;
            }
            let next = due.map_or(until, |d| d.min(until));
            let waited = self.changed.wait_timeout(due, next - now);
            due = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// The window, and what it was seen to do.
pub struct Window {
    ctx: egui::Context,
    /// The window itself.
    pub app: App,
    wish: Arc<Wish>,
    /// When it was opened.
    pub began: Instant,
    /// Time of the processor that each frame took on this thread, ms.
    pub frames_ms: Vec<f64>,
    /// Requests that no picture answers yet: number, when the hand moved, whether curves and figures have come.
    open: Vec<(u64, Instant, bool, bool)>,
    /// From the hand to curves, ms.
    pub curves_ms: Vec<f64>,
    /// From the hand to figures, ms.
    pub figures_ms: Vec<f64>,
    /// From the hand to both, ms.
    pub both_ms: Vec<f64>,
}

impl Window {
    /// Opens the demo.
    #[must_use]
    pub fn open() -> Self {
        let began = Instant::now();
        let ctx = egui::Context::default();
        let wish = Arc::new(Wish::default());
        let asked = Arc::clone(&wish);
        ctx.set_request_repaint_callback(move |info| asked.want(info.delay));
        let options = Options {
            demo_text: DEMO,
            demo_name: "demo.ron",
            without_dialogs: true,
            ..Options::default()
        };
        let app = App::new(&ctx, options);
        Self {
            ctx,
            app,
            wish,
            began,
            frames_ms: Vec::new(),
            open: Vec::new(),
            curves_ms: Vec::new(),
            figures_ms: Vec::new(),
            both_ms: Vec::new(),
        }
    }

    /// One pass of the window.
    fn picture(&mut self, events: Vec<Event>) -> FullOutput {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1280.0, 720.0))),
            time: Some(self.began.elapsed().as_secs_f64()),
            events,
            ..RawInput::default()
        };
        self.ctx.run_ui(input, |ui| {
            self.app.take_in(ui.ctx());
            self.app.lay_out(ui);
        })
    }

    /// One frame, to the triangles that would be drawn.
    pub fn frame(&mut self, events: Vec<Event>) {
        self.drawn(events, |_| {});
    }

    /// One frame; the texts that it draws.
    pub fn frame_texts(&mut self) -> Vec<String> {
        let mut texts = Vec::new();
        self.drawn(Vec::new(), |shapes| {
            for clipped in shapes {
                texts_of(&clipped.shape, &mut texts);
            }
        });
        texts
    }

    fn drawn(&mut self, events: Vec<Event>, look: impl FnOnce(&[ClippedShape])) {
        let took = ThreadTime::now();
        let mut output = self.picture(events);
        let shapes = std::mem::take(&mut output.shapes);
        look(&shapes);
        black_box(self.ctx.tessellate(shapes, output.pixels_per_point));
        output.drop_without_applying_deltas();
        self.frames_ms.push(ms(took.elapsed()));
        self.see();
    }

    /// All nine plots with as much of the sheet as there is; how many of them are drawn, and how many curves are in them.
    pub fn show_all_plots(&mut self) -> (usize, usize) {
        self.app.ask(Command::ShowPlots(Some(KINDS.to_vec())));
        self.app.ask(Command::SetDrawingShare(0.0));
        for _ in 0..3 {
            self.frame(Vec::new());
        }
        // What is told to those who do not see the window says what is in it. It is not told while frames are timed.
        self.ctx.enable_accesskit();
        let mut output = self.picture(Vec::new());
        self.ctx.disable_accesskit();
        let told = output.platform_output.accesskit_update.take();
        output.drop_without_applying_deltas();
        let nodes = told.map_or(Vec::new(), |update| update.nodes);
        // Each curve of a plot is told with what it is at the end.
        let canvases = nodes.iter().filter(|(_, node)| node.role() == Role::Canvas);
        let told = canvases.filter_map(|(_, node)| node.description());
        let curves: Vec<usize> = told
            .map(|words| words.matches(" at the end, between ").count())
            .filter(|curves| *curves > 0)
            .collect();
        (curves.len(), curves.iter().sum())
    }

    /// Notes which moves of the hand the picture answers.
    fn see(&mut self) {
        let results = &self.app.state().results;
        let curves = results.curves().map_or(0, |c| c.asked.generation);
        let figures = results.figures().map_or(0, |f| f.asked.generation);
        for (number, moved, has_curves, has_figures) in &mut self.open {
            let now = ms(moved.elapsed());
            if curves >= *number && !std::mem::replace(has_curves, true) {
                self.curves_ms.push(now);
            }
            if figures >= *number && !std::mem::replace(has_figures, true) {
                self.figures_ms.push(now);
            }
            if *has_curves && *has_figures {
                self.both_ms.push(now);
            }
        }
        self.open
            .retain(|(.., curves, figures)| !(*curves && *figures));
    }

    /// Frames as they are wished for, until a time; how many there were.
    pub fn live(&mut self, until: Instant) -> usize {
        let before = self.frames_ms.len();
        while self.wish.wait(until) {
            self.frame(Vec::new());
        }
        self.frames_ms.len() - before
    }

    /// Frames as they are wished for, until something holds.
    ///
    /// # Errors
    /// When it never does.
    pub fn live_until(&mut self, what: &str, holds: impl Fn(&App) -> bool) -> Outcome<()> {
        let began = Instant::now();
        while !holds(&self.app) {
            if began.elapsed() > NEVER {
                return Err(format!("{what} never came").into());
            }
            self.live(Instant::now() + Duration::from_millis(1));
        }
        Ok(())
    }

    /// The hand does something; a new request counts from now.
    pub fn hand(&mut self, events: Vec<Event>) {
        let moved = Instant::now();
        let before = self.app.state().results.requested;
        self.frame(events);
        let after = self.app.state().results.requested;
        if after > before {
            self.open.push((after, moved, false, false));
        }
    }

    /// Drags the handle of a lever to the left end of its rail, to the right one, and back to the middle.
    ///
    /// # Errors
    /// When the lever is not in sight.
    pub fn drag(&mut self, path: &str) -> Outcome<()> {
        let (rail, handle) = self.app.lever_at(path).ok_or("the lever is not in sight")?;
        let press = |at: Pos2, pressed: bool| Event::PointerButton {
            pos: at,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        self.hand(vec![Event::PointerMoved(handle)]);
        self.hand(vec![press(handle, true)]);
        let ends = [
            handle,
            pos2(rail.left() + 0.1 * rail.width(), handle.y),
            pos2(rail.right() - 0.1 * rail.width(), handle.y),
            handle,
        ];
        let mut tick = Instant::now();
        for leg in ends.windows(2) {
            for i in 1..=MOVES / 3 {
                #[expect(clippy::cast_precision_loss, reason = "a hundred")]
                let share = i as f32 / (MOVES / 3) as f32;
                let at = leg[0].lerp(leg[1], share);
                tick += TICK;
                self.live(tick);
                self.hand(vec![Event::PointerMoved(at)]);
            }
        }
        self.hand(vec![press(handle, false), Event::PointerGone]);
        Ok(())
    }
}

fn texts_of(shape: &Shape, texts: &mut Vec<String>) {
    match shape {
        Shape::Text(text) => texts.push(text.galley.text().to_owned()),
        Shape::Vec(shapes) => shapes.iter().for_each(|shape| texts_of(shape, texts)),
        _ => {}
    }
}

/// A time in ms.
#[must_use]
pub fn ms(time: Duration) -> f64 {
    1e3 * time.as_secs_f64()
}

/// The value below which a share of all lies.
#[must_use]
pub fn percentile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few thousand"
    )]
    let place = (share * sorted.len() as f64).ceil() as usize;
    sorted.get(place.max(1) - 1).copied().unwrap_or(f64::NAN)
}
