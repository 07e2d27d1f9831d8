//! The panels of the window, one file each.

mod advice;
mod caution;
mod compare;
mod curves;
mod drag_out;
mod drawing;
mod editor;
mod events;
mod export_menu;
mod figures;
mod formula;
mod handover;
mod help;
mod keys;
mod ledger;
mod lesson;
mod levers;
mod line;
mod money;
mod naming;
mod notice;
mod page;
mod problems;
mod question;
mod reading;
mod remarks;
mod sheet;
mod sizing;
mod sweep;
mod timeline;
mod top_bar;
mod typing;
mod verdict;

pub use advice::{proposal_words, remaining_words};
pub use caution::{CAUTION, caution_height, caution_ui};
pub use curves::CurvesSeen;
pub use editor::{FOOT_HEIGHT, draft_ui};
pub use figures::figures_height;
pub use formula::formula_ui;
pub use help::{Help, help_ui};
pub use keys::{SHORTCUTS, keys, time_keys};
pub use lesson::{LESSON_WIDTH, lesson_ui};
pub use notice::notice_ui;
pub use page::page_ui;
pub use question::question_ui;
pub use reading::{Reading, Words, reading};
pub use sheet::sheet_ui;
pub use timeline::TIMELINE_HEIGHT;
pub use verdict::{VERDICT_HEIGHT, VERDICT_LINE, verdict_line_ui, verdict_ui};

/// Panels with what they keep for themselves between frames.
#[derive(Default)]
pub struct Panels {
    /// Title, files, units, theme.
    pub top_bar: top_bar::TopBarPanel,
    /// The line of key figures.
    pub figures: figures::FiguresPanel,
    /// The levers and the remarks.
    pub levers: levers::LeversPanel,
    /// The plots over time.
    pub curves: curves::CurvesPanel,
    /// The ledger.
    pub ledger: ledger::LedgerPanel,
    /// Money.
    pub money: money::MoneyPanel,
    /// The line and its variants side by side.
    pub compare: compare::ComparePanel,
    /// Sizing.
    pub sizing: sizing::SizingPanel,
    /// The strip of time.
    pub timeline: timeline::TimelinePanel,
    /// A line from ten answers.
    pub line: line::LinePanel,
    /// Drag-out from a measurement.
    pub drag_out: drag_out::DragOutPanel,
    /// What is written into a report.
    pub handover: handover::HandoverPanel,
    /// The editor.
    pub editor: editor::EditorPanel,
    /// A path that is typed.
    pub typing: typing::TypingPanel,
    /// A name that is typed.
    pub naming: naming::NamingPanel,
}
