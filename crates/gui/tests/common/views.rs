//! The views of the window and how to get to each from the bench, for what must hold in all of them.

#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(
    clippy::unwrap_used,
    reason = "a test may stop where a value is missing"
)]

use dragback_gui::command::{Choice, Command, NameFor, VariantCommand};
use dragback_gui::document::{NewEvent, Setting};
use dragback_gui::lessons::LESSONS;
use dragback_gui::loop_view::Selection;
use dragback_gui::page::Page;
use dragback_gui::panels::Help;
use dragback_gui::plots::KINDS;
use dragback_gui::prefs::Shown;
use dragback_gui::results::Standing;
use dragback_gui::sweep::SweepChoice;
use dragback_gui::{App, State};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};

use crate::common::{
    DEMO, TempFile, choose, click, has_text, is_dirty, press, take, type_into, wait,
};

mod prepared;

use prepared::{sized, variants};

pub type Window = Harness<'static, App>;

const RINSE: &str = "loop.sections.rinses.flow";
const HEAT: &str = "loop.holding_tank.heat_input";

/// A view.
pub struct View {
    pub name: &'static str,
    /// Words that stand there, and not on the bench.
    words: &'static str,
    go: fn(&mut Window),
    /// What takes back what [`leave`] does not.
    undo: fn(&mut Window),
}

const fn view(name: &'static str, words: &'static str, go: fn(&mut Window)) -> View {
    let undo: fn(&mut Window) = |_| {};
    View {
        name,
        words,
        go,
        undo,
    }
}

/// A group of levers, which the same press opens and closes.
const fn group(name: &'static str, words: &'static str, go: fn(&mut Window)) -> View {
    View {
        undo: go,
        ..view(name, words, go)
    }
}

/// All that can be reached on the demo, besides the bench itself and the chapters of the editor.
pub const VIEWS: &[View] = &[
    group("the group Work", "Area rate", |w| click(w, "Work")),
    group("the group Rinses", "Tap, temperature", |w| {
        click(w, "Rinses")
    }),
    group("the group Holding tank", "Set point", |w| {
        click(w, "Holding tank");
    }),
    group("the group Tower", "T1, air flow", |w| click(w, "Tower")),
    group("the group Bath", "Tank, wall loss", |w| click(w, "Bath")),
    group("the group Room", "Altitude", |w| click(w, "Room")),
    group("the group Prices", "Electricity, rate", |w| {
        click(w, "Prices")
    }),
    view("the ledger of water", "Closure error", |w| {
        ledger(w, "Water");
    }),
    view("the ledger of nickel", "Closure error", |w| {
        ledger(w, "Nickel");
    }),
    view("the ledger of energy", "Closure error", |w| {
        ledger(w, "Energy");
    }),
    View {
        undo: |w| choose(w, STRETCH, "Settled week"),
        ..view("the ledger of a week", "Week before the cursor", |w| {
            ask(w, Command::MoveCursor(Some(30.0)));
            ledger(w, "Water");
            choose(w, STRETCH, "Week before the cursor");
        })
    },
    view("the ledger's quantities", "Closure error", |w| {
        ask(w, Command::Show(Shown::Ledger));
        w.get_by_role_and_label(Role::ComboBox, QUANTITY).click();
        w.run_steps(4);
    }),
    view("all plots and settled answers", "Lever to sweep", |w| {
        ask(w, Command::ShowPlots(Some(KINDS.to_vec())));
        ask(w, Command::SetSweep(Some(SweepChoice::default())));
        wait(w, |s| s.results.sweep().is_some_and(|w| w.is_whole()));
    }),
    view("the levers to sweep", "Rinses: rinses, stages", |w| {
        ask(w, Command::SetSweep(Some(SweepChoice::default())));
        wait(w, |s| s.results.sweep().is_some_and(|w| w.is_whole()));
        click(w, "Lever to sweep");
    }),
    view("one plot enlarged", "Back to all", |w| {
        ask(w, Command::Enlarge(Some(format!("{:?}", KINDS[0]))));
    }),
    view("a selected tank", "What acts on holding tank", |w| {
        press(w, "holding tank");
    }),
    view("a selected stream", "What acts on return", |w| {
        press(w, "return of concentrate");
    }),
    view("a moment", "Wed, day 30", |w| {
        ask(w, Command::MoveCursor(Some(30.4)));
    }),
    view("a tank at a moment", "What acts on collection tank", |w| {
        ask(w, Command::MoveCursor(Some(30.4)));
        press(w, "collection tank");
    }),
    view("a moment with events around it", "Events (3)", events),
    view("the list of events", "Days are counted", |w| {
        events(w);
        click(w, "Events (3)");
    }),
    view("a pinned state", "“was” (pale dashes) is", |w| {
        ask(w, Command::Pin);
        set(w, RINSE, "130 L/h");
    }),
    view(
        "another scenario to compare with",
        "“was” (pale dashes) is",
        |w| {
            let text = include_str!("../../../../scenarios/demo-before.ron");
            let file = TempFile::new("compared.ron", text);
            ask(w, Command::ReferencePath(file.0.clone()));
            wait(w, |s| s.pinned.is_some());
        },
    ),
    view("a report to hand over", "What stands in it", |w| {
        ask(w, Command::ShowPage(Some(Page::Report)));
    }),
    view("what a line costs", "This line costs", |w| {
        ask(w, Command::Show(Shown::Money));
    }),
    view("whether a change pays", "Net present value", change),
    View {
        undo: |w| click(w, "Where it comes from"),
        ..view("when a change pays", "It pays within", |w| {
            change(w);
            click(w, "When it pays");
            wait(w, hangs);
        })
    },
    View {
        undo: |w| click(w, "Where it comes from"),
        ..view("what moves the payback", "Years until the money", |w| {
            change(w);
            click(w, "What moves it most");
            wait(w, hangs);
        })
    },
    view("no variants yet", "No variants yet", |w| {
        ask(w, Command::Show(Shown::Compare));
    }),
    view("variants side by side", "Inputs that differ", variants),
    view(
        "what can be done with a variant",
        "Compare all with it",
        |w| {
            variants(w);
            click(w, "What to do with less water");
        },
    ),
    view("the name of a variant", "It stays as it stands now", |w| {
        ask(w, variant(VariantCommand::AskName(NameFor::Keep)));
    }),
    view("the question of the old line", "Keep the line as it", |w| {
        variants(w);
        let name = "less water".to_owned();
        ask(w, variant(VariantCommand::TakeUp(name)));
    }),
    view("sizing before it began", "Size the line", |w| {
        ask(w, Command::Show(Shown::Sizing));
    }),
    view("a table of layouts", "Make this the present line", sized),
    View {
        undo: |w| press(w, "Hide what stops them"),
        ..view("what stops layouts", "it takes at least", |w| {
            sized(w);
            press(w, "Show what stops them");
        })
    },
    view("a table of the line before", "before it was changed", |w| {
        sized(w);
        set(w, RINSE, "130 L/h");
    }),
    view("advice", "The loop does not close", |w| {
        set(w, HEAT, "20 kW")
    }),
    view("the formula of what is lost", "= on the work", |w| {
        figure(w, "Nickel lost for good:");
    }),
    view(
        "the formula of the final rinse",
        "÷ film that leaves",
        |w| {
            figure(w, "Final rinse at work:");
        },
    ),
    view("the formula of the dilution", "= bath while", |w| {
        figure(w, "Dilution ratio:");
    }),
    view("the formula of the margin", "= what could", |w| {
        figure(w, "Closure margin:");
    }),
    view("the formula of the duty", "÷ power installed", |w| {
        figure(w, "Heater duty:");
    }),
    view("the start page", "Where to begin?", |w| {
        ask(w, Command::ShowPage(Some(Page::Start)));
    }),
    view("ten answers", "0 answered, 10 open", |w| {
        ask(w, Command::ShowPage(Some(Page::Line)));
    }),
    View {
        undo: |w| {
            ask(w, Command::ShowPage(Some(Page::Line)));
            click(w, "Leave all open");
        },
        ..view("some of ten answers", "3 answered, 7 open", |w| {
            ask(w, Command::ShowPage(Some(Page::Line)));
            // In units that are those of neither system.
            type_into(w, "How big is the bath?", "2 m³");
            type_into(w, "How much rinse water is fed?", "2 L/min");
            type_into(w, "How warm is the room?", "297 K");
        })
    },
    view("the page of drag-out", "stands here once", |w| {
        ask(w, Command::ShowPage(Some(Page::DragOut)));
    }),
    view("a measured drag-out", "Set the lever", |w| {
        ask(w, Command::ShowPage(Some(Page::DragOut)));
        for (name, text) in [
            ("Liquid in the rinse", "600 L"),
            ("Rinse after the last rack", "1900 mg/L"),
            ("Strength of the bath", "75 g/L"),
            ("Racks", "40"),
            ("Area of a rack", "3.2 m²"),
        ] {
            type_into(w, name, text);
        }
    }),
    view("a field of the editor", "Allowed: ", |w| {
        ask(w, Command::EditPart(HEAT.to_owned()));
        let field = "Holding tank, set point";
        w.get_by_role_and_label(Role::TextInput, field).focus();
    }),
    view("a lesson", "Step 1 of", |w| {
        ask(w, Command::BeginLesson(Some(1)));
    }),
    view("what came of a lesson", " before, ", |w| {
        ask(w, Command::BeginLesson(Some(1)));
        ask(w, Command::Predict(0));
        take(w, &LESSONS[1].steps[0]);
    }),
    view("a lesson on a lever of its own", "Step 1 of", |w| {
        ask(w, Command::BeginLesson(Some(2)));
    }),
    View {
        undo: |w| clear(w, SEARCH),
        ..view("inputs that were searched for", " inputs", |w| {
            type_into(w, SEARCH, "volume");
        })
    },
    view("a value that was refused", "above the allowed", |w| {
        let setting = Setting::Text("5000000 L/h".to_owned());
        let path = RINSE.to_owned();
        ask(w, Command::SetLever { path, setting });
    }),
    view("the question of unsaved changes", "Save the changes", |w| {
        set(w, RINSE, "130 L/h");
        ask(w, Command::OpenDemo);
    }),
    view("a path that is typed", "Save the scenario", |w| {
        ask(w, Command::SaveAs);
        wait(w, |s| s.typing.is_some());
    }),
    view("a list of problems", "was not opened", |w| {
        let text = DEMO.replacen("\"95 L/h\"", "\"950000 L/h\"", 1);
        let text = text.replacen("\"62 °C\"", "\"620 °C\"", 1);
        let file = TempFile::new("broken.ron", &text);
        ask(w, Command::OpenPath(file.0.clone()));
        wait(w, |s| s.problems.is_some());
    }),
    view("a notice", "was not saved", |w| {
        // A file stands where the folder should be.
        let file = TempFile::new("no-folder", "");
        ask(w, Command::SaveTo(file.0.join("line.ron")));
    }),
    view("shortcuts", "Ctrl+Z", |w| {
        ask(w, Command::ShowHelp(Some(Help::Shortcuts)));
    }),
    view("about", "Limits of validity", |w| {
        ask(w, Command::ShowHelp(Some(Help::About)));
    }),
    view("the menu File", "Compare with…", |w| click(w, "File")),
    view("the menu View", "As the system", |w| click(w, "View")),
    view("the menu Help", "About Dragback", |w| click(w, "Help")),
    view("the menu Plots", "All nine", |w| click(w, "Plots")),
];

const QUANTITY: &str = "Quantity of the ledger";
const STRETCH: &str = "Stretch of the ledger";
const SEARCH: &str = "Find any input";

/// Goes to a view.
pub fn go(window: &mut Window, name: &str) {
    let view = VIEWS.iter().find(|v| v.name == name);
    go_to(window, view.unwrap());
}

fn go_to(window: &mut Window, view: &View) {
    let (name, words) = (view.name, view.words);
    assert!(!has_text(window, words), "{words:?} stands before {name}");
    (view.go)(window);
    window.run_steps(4);
    assert!(has_text(window, words), "{name} is not there");
}

/// Goes to each view in turn, and to each chapter of the editor, and back to the bench. `look` is told the view's name.
pub fn visit(window: &mut Window, mut look: impl FnMut(&mut Window, &str)) {
    settle(window);
    look(window, "the bench");
    for view in VIEWS {
        go_to(window, view);
        look(window, view.name);
        (view.undo)(window);
        leave(window);
        let (name, words) = (view.name, view.words);
        assert!(!has_text(window, words), "{words:?} stays after {name}");
    }
    ask(window, Command::ShowPage(Some(Page::Editor)));
    for chapter in chapters(window) {
        click(window, &chapter);
        look(window, &chapter);
    }
    leave(window);
}

/// Names of the buttons that open the editor's chapters.
pub fn chapters(window: &Window) -> Vec<String> {
    let of_chapters = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        n.label().is_some_and(|l| l.starts_with("Chapter: "))
    };
    let nodes = window.root().query_all_by(of_chapters);
    let chapters: Vec<String> = nodes.filter_map(|n| n.accesskit_node().label()).collect();
    assert!(chapters.len() > 15, "{chapters:?}");
    chapters
}

/// Back to the bench as it was.
fn leave(window: &mut Window) {
    for _ in 0..2 {
        window.key_press(Key::Escape);
        window.run_steps(3);
    }
    for command in [
        Command::Answer(Choice::Cancel),
        Command::GiveUpPath,
        Command::ShowHelp(None),
        Command::CloseProblems,
        Command::CloseNotice,
        Command::BeginLesson(None),
        Command::ShowPage(None),
        variant(VariantCommand::GiveUpName),
        variant(VariantCommand::Against(None)),
        Command::Show(Shown::Loop),
        Command::SetSweep(None),
        Command::ShowPlots(None),
        Command::Enlarge(None),
        Command::Unpin,
        Command::MoveCursor(None),
        Command::Select(Selection::None),
        Command::ForgetFault(RINSE.to_owned()),
    ] {
        window.state_mut().ask(command);
    }
    window.run_steps(3);
    while is_dirty(window) {
        window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        window.run_steps(2);
    }
    settle(window);
}

/// Waits until nothing more comes by itself.
pub fn settle(window: &mut Window) {
    wait(window, |s| {
        let is_whole = s.results.full_is_current() && s.results.standing() == Standing::Exact;
        is_whole && s.results.advice().is_some()
    });
}

fn ask(window: &mut Window, command: Command) {
    window.state_mut().ask(command);
    window.run_steps(4);
}

/// Moves a lever and waits for all that comes of it.
fn set(window: &mut Window, path: &str, text: &str) {
    let setting = Setting::Text(text.to_owned());
    let path = path.to_owned();
    ask(window, Command::SetLever { path, setting });
    settle(window);
}

fn ledger(window: &mut Window, quantity: &str) {
    ask(window, Command::Show(Shown::Ledger));
    choose(window, QUANTITY, quantity);
}

/// Money, with the line before recovery to compare with.
fn change(window: &mut Window) {
    let text = include_str!("../../../../scenarios/demo-before.ron");
    let file = TempFile::new("before-money.ron", text);
    ask(window, Command::ReferencePath(file.0.clone()));
    wait(window, |s| s.pinned.is_some());
    ask(window, Command::Show(Shown::Money));
}

/// Whether all is found that the answer in money hangs on.
fn hangs(state: &State) -> bool {
    let found = state.hangs.found();
    found.is_some_and(|(hangs, is_current)| is_current && hangs.share >= 1.0)
}

const fn variant(command: VariantCommand) -> Command {
    Command::Variant(command)
}

/// An element fails and works again, the rinse water is turned down, and the cursor stands there.
fn events(window: &mut Window) {
    let device = "loop.holding_tank.elements.e1".to_owned();
    for (at_h, new) in [
        (500.0, NewEvent::Fail(device.clone())),
        (600.0, NewEvent::Restore(device)),
    ] {
        ask(window, Command::AddEvent { at_h, new });
    }
    ask(window, Command::MoveCursor(Some(22.4)));
    ask(
        window,
        Command::SetStep {
            path: RINSE.to_owned(),
            at_h: 537.6,
            setting: Setting::Text("80 L/h".to_owned()),
        },
    );
    settle(window);
}

/// Presses a key figure.
fn figure(window: &mut Window, name: &str) {
    let is_it = |n: &egui_kittest::kittest::AccessKitNode<'_>| {
        let label = n.label().unwrap_or_default();
        n.role() == Role::Button && label.starts_with(name)
    };
    window.get_by(is_it).focus();
    window.run_steps(2);
    window.key_press(Key::Enter);
    window.run_steps(4);
}

fn clear(window: &mut Window, field: &str) {
    window.get_by_role_and_label(Role::TextInput, field).focus();
    window.run_steps(2);
    window.key_press(Key::Escape);
    window.run_steps(3);
}
