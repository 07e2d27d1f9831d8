//! Reports on paper, read back with another library.

#![expect(
    clippy::panic,
    clippy::expect_used,
    reason = "tests say what is wrong by panicking"
)]

mod common;

use common::{Read, sample, set};
use dragback_report::Paper;

#[test]
fn a_report_stands_on_its_pages() {
    for (name, paper) in [("sample-a4", Paper::A4), ("sample-letter", Paper::Letter)] {
        let read = Read::new(&set(name, &sample(), paper));
        println!("{}", read.text());
        assert!(read.has("Closing the nickel line's rinse loop"));
    }
}
