//! Texts as the fonts can set them: what they lack is shown by a stand-in and reported, and words that are wider than their place may break.

use std::collections::BTreeSet;

use unicode_normalization::char::decompose_canonical;

use dragback_drawing::font;

/// Stands for a character that the fonts have not.
pub(crate) const STAND_IN: char = '\u{fffd}';
/// Signs of charges that the fonts have only on the line: the template raises them.
const RAISED: [char; 2] = ['⁺', '⁻'];
/// A place where a word may break, of no width.
const BREAK: char = '\u{200b}';
/// A word that must break may do so after so many characters.
const PIECE: usize = 4;
/// So many missing characters are named in the remark about them.
const NAMED: usize = 12;

/// Makes texts fit for the fonts, and remembers what these have not.
#[derive(Default)]
pub(crate) struct Letters {
    missing: BTreeSet<char>,
}

impl Letters {
    /// A text of characters that the fonts have. Line ends stay, letters with marks may be parted into both, control characters and foreign scripts become [`STAND_IN`],
    /// and marks that show nothing (joiners, directions, choices of a variant) go.
    pub(crate) fn known(&mut self, text: &str) -> String {
        self.with(text, &RAISED)
    }

    /// The same for the text of a drawing, where nothing can be raised.
    pub(crate) fn drawn(&mut self, text: &str) -> String {
        self.with(text, &[])
    }

    fn with(&mut self, text: &str, raised: &[char]) -> String {
        let text = text.replace("\r\n", "\n");
        let mut known = String::with_capacity(text.len());
        for c in text.chars() {
            match c {
                '\n' => known.push(c),
                '\t' => known.push(' '),
                _ if shows_nothing(c) => {}
                _ if raised.contains(&c) || font::holds(c) && !c.is_control() => known.push(c),
                _ => self.push_parts(c, &mut known),
            }
        }
        known
    }

    /// A letter with a mark that the fonts have apart, or the stand-in.
    fn push_parts(&mut self, c: char, known: &mut String) {
        let mut parts = String::new();
        decompose_canonical(c, |part| parts.push(part));
        let is_made_of_known = parts.chars().count() > 1 && parts.chars().all(font::holds);
        if is_made_of_known {
            known.push_str(&parts);
        } else {
            self.missing.insert(c);
            known.push(STAND_IN);
        }
    }

    /// The same for a place so many ems wide: words that are wider get places where they may break.
    pub(crate) fn fitted(&mut self, text: &str, room_em: f32) -> String {
        breakable(&self.known(text), room_em)
    }

    /// A remark about the characters that are missing, if any are.
    pub(crate) fn remark(&self) -> Option<String> {
        if self.missing.is_empty() {
            return None;
        }
        let named: Vec<String> = (self.missing.iter().take(NAMED))
            .map(|&c| format!("U+{:04X}", u32::from(c)))
            .collect();
        let more = self.missing.len().saturating_sub(NAMED);
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        Some(format!(
            "{STAND_IN} stands for characters that the type of this report does not have: {}{more}.",
            named.join(", ")
        ))
    }
}

/// Marks that have no picture of their own.
const fn shows_nothing(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}')
}

/// Width of the widest line of a text, ems.
pub(crate) fn width_em(text: &str, is_bold: bool) -> f32 {
    let widths = text.split('\n').map(|line| font::width(line, 1.0, is_bold));
    widths.fold(0.0, f32::max)
}

/// Width of the widest word of a text, ems. A no-break space is part of a word.
pub(crate) fn word_em(text: &str, is_bold: bool) -> f32 {
    let words = text.split([' ', '\n', BREAK]);
    let widths = words.map(|word| font::width(word, 1.0, is_bold));
    widths.fold(0.0, f32::max)
}

/// Lines that a text takes in a place so many ems wide, about.
pub(crate) fn lines_in(text: &str, room_em: f32, is_bold: bool) -> usize {
    let room_em = room_em.max(1.0);
    let lines = text.split('\n').map(|line| {
        let mut lines = 1;
        let mut at = 0.0;
        for word in line.split([' ', BREAK]) {
            let width = font::width(word, 1.0, is_bold);
            if at > 0.0 && at + width > room_em {
                lines += 1;
                at = 0.0;
            }
            at += width + font::width(" ", 1.0, is_bold);
        }
        lines
    });
    lines.sum()
}

/// A text whose words that are wider than a place may break.
pub(crate) fn breakable(text: &str, room_em: f32) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split_inclusive([' ', '\n']) {
        // The wider of the two types decides: a row may be bold.
        if font::width(word.trim_end(), 1.0, true) <= room_em {
            out.push_str(word);
            continue;
        }
        for (i, c) in word.chars().enumerate() {
            if i > 0 && i % PIECE == 0 && !is_mark(c) {
                out.push(BREAK);
            }
            out.push(c);
        }
    }
    out
}

/// A mark that stands over the character before it.
const fn is_mark(c: char) -> bool {
    matches!(c, '\u{300}'..='\u{36f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(text: &str) -> (String, Option<String>) {
        let mut letters = Letters::default();
        (letters.known(text), letters.remark())
    }

    #[test]
    fn known_texts_stay() {
        let text = "Größe ≤ 12.5 m³/h · Δ −0.5 °C, “quoted”\nœuvre\u{a0}ñ";
        assert_eq!(known(text), (text.to_owned(), None));
    }

    #[test]
    fn charges_are_raised_in_texts_and_lacking_in_drawings() {
        assert_eq!(known("SO₄²⁻ and H⁺"), ("SO₄²⁻ and H⁺".to_owned(), None));
        let mut letters = Letters::default();
        assert_eq!(letters.drawn("H⁺"), "H�");
        assert!(letters.remark().is_some_and(|r| r.ends_with(": U+207A.")));
    }

    #[test]
    fn line_ends_and_tabs_are_told_in_one_way() {
        assert_eq!(known("a\r\nb\tc").0, "a\nb c");
    }

    #[test]
    fn what_is_lacking_is_named_once() {
        let (text, remark) = known("水 and 水 and \u{7}");
        assert_eq!(text, "� and � and �");
        let remark = remark.unwrap_or_default();
        assert!(remark.ends_with(": U+0007, U+6C34."), "{remark}");
        let many: String = ('\u{4e00}'..'\u{4e20}').collect();
        let remark = known(&many).1.unwrap_or_default();
        assert!(remark.ends_with("U+4E0B and 20 more."), "{remark}");
    }

    #[test]
    fn a_letter_is_made_of_its_parts_where_the_fonts_have_only_these() {
        assert_eq!(known("ṁ"), ("m\u{307}".to_owned(), None));
    }

    #[test]
    fn only_words_that_are_too_wide_break() {
        let text = "short words stay";
        assert_eq!(breakable(text, 10.0), text);
        assert_eq!(
            breakable("abcdefghij kl", 3.0),
            "abcd\u{200b}efgh\u{200b}ij kl"
        );
        // A mark stays with its letter.
        assert_eq!(
            breakable("abcde\u{301}fghij", 3.0),
            "abcd\u{200b}e\u{301}fg\u{200b}hij"
        );
    }

    #[test]
    fn lines_are_counted() {
        assert_eq!(lines_in("", 10.0, false), 1);
        assert_eq!(lines_in("one\ntwo", 10.0, false), 2);
        assert_eq!(lines_in("00000 00000 00000", 7.0, false), 2);
        assert_eq!(lines_in("00000 00000 00000", 6.0, false), 3);
    }
}
