//! Views that take some preparing.

use dragback_gui::command::{Command, NameFor, VariantCommand};
use dragback_gui::prefs::Shown;
use dragback_gui::sizing::{Progress, SizingTable};

use super::{RINSE, Window, ask, set, variant};
use crate::common::wait;

/// Two variants beside a line that has moved on, all worked out.
pub fn variants(window: &mut Window) {
    for (name, flow) in [("as it is", "60 L/h"), ("less water", "120 L/h")] {
        ask(window, variant(VariantCommand::AskName(NameFor::Keep)));
        let name = name.to_owned();
        ask(window, variant(VariantCommand::TakeName(name)));
        set(window, RINSE, flow);
    }
    ask(window, Command::CloseNotice);
    ask(window, Command::Show(Shown::Compare));
    wait(window, |s| {
        let document = s.document.as_ref().unwrap();
        let mut all = document.variants().iter();
        all.all(|(_, line)| s.variants.get(line, &document.loop_key).is_some())
    });
}

/// Sizes the layouts of the demo.
pub fn sized(window: &mut Window) {
    ask(window, Command::Show(Shown::Sizing));
    ask(window, Command::SizeLayouts("20 mg/L".to_owned()));
    let is_whole = |t: &SizingTable| t.progress == Progress::Whole;
    wait(window, |s| s.results.sizing().is_some_and(|t| is_whole(t)));
}
