//! What can go wrong.

/// Why there is no PDF file.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The fonts that are built in cannot be read.
    #[error("the fonts built into the program cannot be read, so no page can be set")]
    Fonts,
    /// The report cannot be handed to the template.
    #[error("the report cannot be handed to its page template: {0}")]
    Data(#[from] serde_json::Error),
    /// The drawing of a figure cannot be set.
    #[error("the figure \"{caption}\" cannot be set: {why}")]
    Figure {
        /// Its caption.
        caption: String,
        /// What is wrong with it.
        why: String,
    },
    /// The pages cannot be set.
    #[error("the pages of the report cannot be set: {why}")]
    Pages {
        /// What the typesetter says.
        why: String,
    },
    /// The pages are set, but cannot be written as a PDF file.
    #[error("the pages of the report cannot be written as a PDF file: {why}")]
    File {
        /// What the writer says.
        why: String,
    },
}
