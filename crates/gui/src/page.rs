//! Pages that lie over the bench until they are done with.

/// A page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// The ways to begin.
    Start,
    /// A line from ten answers.
    Line,
    /// Drag-out from a measurement.
    DragOut,
    /// What is written into a report.
    Report,
    /// The whole line, part by part.
    Editor,
}
