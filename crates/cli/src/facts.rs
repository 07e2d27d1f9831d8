//! Label and value, one to a line.

use crate::io::printable;
use crate::table::{WIDTH, width, wrap};

/// Column at which values begin.
const VALUES_AT: usize = 36;

/// Lines of label and value.
#[derive(Debug, Default)]
pub(crate) struct Facts(String);

impl Facts {
    pub(crate) fn push(&mut self, label: &str, value: impl AsRef<str>) {
        let label = printable(label);
        let value = printable(value.as_ref());
        let blank = " ".repeat(VALUES_AT.saturating_sub(2 + width(&label)).max(1));
        for (i, line) in wrap(&value, WIDTH - VALUES_AT).iter().enumerate() {
            if i == 0 {
                self.0.push_str(&format!("  {label}{blank}{line}\n"));
            } else {
                self.0
                    .push_str(&format!("{}{line}\n", " ".repeat(VALUES_AT)));
            }
        }
    }

    pub(crate) fn into_text(self) -> String {
        self.0
    }
}

/// A paragraph of at most 80 columns.
pub(crate) fn paragraph(text: &str) -> String {
    let mut out = wrap(&printable(text), WIDTH).join("\n");
    out.push('\n');
    out
}
