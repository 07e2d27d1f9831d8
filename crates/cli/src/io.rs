//! The edge at which text is read and printed.

use std::io::{self, ErrorKind, Read, Write};

/// Where a command reads and prints.
pub struct Io<'a> {
    /// Standard input.
    pub input: &'a mut dyn Read,
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
    /// Whether somebody watches standard error, so that progress is worth showing.
    pub is_watched: bool,
}

impl Io<'_> {
    /// Prints text to standard output.
    ///
    /// # Errors
    /// When it cannot be written; a reader that went away is not an error.
    pub fn print(&mut self, text: &str) -> io::Result<()> {
        let text = printable(text);
        unless_gone(
            self.out
                .write_all(text.as_bytes())
                .and_then(|()| self.out.flush()),
        )
    }

    /// Prints a complaint to standard error. There is nobody left to tell when that fails.
    pub fn complain(&mut self, text: &str) {
        let text = printable(text.trim_end());
        drop(writeln!(self.err, "{text}"));
    }
}

/// `head` and pagers close the pipe when they have seen enough.
pub(crate) fn unless_gone(written: io::Result<()>) -> io::Result<()> {
    match written {
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}

/// Text from elsewhere without characters that would move a terminal's cursor.
pub(crate) fn printable(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() && c != '\n' {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect()
}
