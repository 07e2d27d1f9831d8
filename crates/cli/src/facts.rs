//! Label and value, one to a line.

use dragback_report::Facts;

use crate::io::printable;
use crate::table::{WIDTH, width, wrap};

/// Column at which values begin.
const VALUES_AT: usize = 36;

/// Lines of label and value.
pub(crate) fn rendered(facts: &Facts) -> String {
    let mut out = String::new();
    for fact in &facts.0 {
        let label = printable(&fact.label);
        let value = printable(&fact.value);
        let blank = " ".repeat(VALUES_AT.saturating_sub(2 + width(&label)).max(1));
        for (i, line) in wrap(&value, WIDTH - VALUES_AT).iter().enumerate() {
            if i == 0 {
                out.push_str(&format!("  {label}{blank}{line}\n"));
            } else {
                out.push_str(&format!("{}{line}\n", " ".repeat(VALUES_AT)));
            }
        }
    }
    out
}

/// A paragraph of at most 80 columns.
pub(crate) fn paragraph(text: &str) -> String {
    let mut out = wrap(&printable(text), WIDTH).join("\n");
    out.push('\n');
    out
}
