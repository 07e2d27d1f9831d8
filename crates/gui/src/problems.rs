//! Why a file could not be opened.

use std::path::PathBuf;

use dragback_scenario::Problem;

/// Everything that is wrong with one file.
#[derive(Clone, Debug, PartialEq)]
pub struct ProblemList {
    /// Name of the file.
    pub name: String,
    /// The file, to try again; `None` for the built-in scenario.
    pub path: Option<PathBuf>,
    /// What is wrong.
    pub problems: Vec<Problem>,
    /// The text, where the editor can take it apart and put it right.
    pub text: Option<String>,
}
