//! The two fonts of everything that is printed, and how wide texts are in them.
//!
//! Drawing, plots, web page and printed sheet take the same two files, so that what is measured here is what stands on paper. Figures are all
//! equally wide. Both hold Latin letters with the marks of Western and Central Europe, Greek letters and the signs of formulas.
//! A character that they lack, which only a name that people gave can hold, is measured as one em wide, which is wider than nearly all;
//! the reader's own fonts draw it.

use std::sync::LazyLock;

use ttf_parser::Face;

/// Name under which the fonts are known.
pub const FAMILY: &str = "IBM Plex Sans";
/// The regular font, a TrueType file.
pub const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/IBMPlexSans-Regular.ttf");
/// The bold font, a TrueType file.
pub const BOLD: &[u8] = include_bytes!("../../../assets/fonts/IBMPlexSans-Bold.ttf");
/// The licence of both, which goes wherever they go.
pub const LICENCE: &str = include_str!("../../../assets/fonts/OFL.txt");

/// Height of a line over its baseline as a share of the size of type: letters reach 0.74, those with marks up to 0.94, some rings a little higher.
const ASCENT: f32 = 0.94;
/// Depth of a line under its baseline as a share of the size of type.
const DESCENT: f32 = 0.22;

static FACES: LazyLock<[Option<Face<'static>>; 2]> =
    LazyLock::new(|| [REGULAR, BOLD].map(|bytes| Face::parse(bytes, 0).ok()));

/// Width of a text of one line in type of so many points, without kerning, points.
///
/// ```
/// use dragback_drawing::font::width;
/// // All figures are 0.6 em wide.
/// assert!((width("2026", 10.0, false) - 24.0).abs() < 1e-4);
/// assert_eq!(width("111", 11.0, true), width("888", 11.0, true));
/// ```
#[must_use]
pub fn width(text: &str, points: f32, is_bold: bool) -> f32 {
    let face = FACES[usize::from(is_bold)].as_ref();
    text.chars().map(|c| points * ems(face, c)).sum()
}

/// Whether both fonts hold a character.
#[must_use]
pub fn holds(c: char) -> bool {
    FACES
        .iter()
        .all(|face| face.as_ref().and_then(|f| f.glyph_index(c)).is_some())
}

/// Height of a line of type of so many points, points.
#[must_use]
pub const fn line_height(points: f32) -> f32 {
    points * (ASCENT + DESCENT)
}

/// Height of a line over its baseline, points.
#[must_use]
pub const fn ascent(points: f32) -> f32 {
    points * ASCENT
}

/// Width of a character as a share of the size of type.
fn ems(face: Option<&Face<'_>>, c: char) -> f32 {
    let found = face.and_then(|face| {
        let advance = face.glyph_hor_advance(face.glyph_index(c)?)?;
        Some(f32::from(advance) / f32::from(face.units_per_em()))
    });
    found.unwrap_or(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_fonts_hold_what_the_program_writes() {
        let signs = "°²³·−–…≤≥→Δµ×½₃√±€“”‘’\u{a0}";
        let latin = ('\u{20}'..='\u{7e}').chain('\u{a0}'..='\u{17f}');
        for c in signs.chars().chain(latin) {
            assert!(holds(c), "{c} (U+{:04X})", u32::from(c));
        }
        assert!(FACES.iter().all(Option::is_some));
    }

    /// Advances as the maker's own tables give them, read with another reader (fontTools 4.68): thousandths of an em.
    #[test]
    fn widths_are_those_of_the_font_files() {
        for (text, is_bold, thousandths) in [
            ("0", false, 600.0),
            ("0", true, 600.0),
            ("A", false, 641.0),
            ("A", true, 685.0),
            ("m", false, 873.0),
            ("m", true, 894.0),
            ("·√₃", false, 326.0 + 600.0 + 346.0),
        ] {
            let found = width(text, 1000.0, is_bold);
            assert!((found - thousandths).abs() < 1e-3, "{text}: {found}");
        }
    }

    #[test]
    fn a_character_that_is_lacking_is_one_em_wide() {
        assert!(!holds('水'));
        assert_eq!(width("水水", 11.0, false), 22.0);
    }

    #[test]
    fn the_licence_is_the_open_font_licence() {
        assert!(LICENCE.contains("SIL OPEN FONT LICENSE Version 1.1"));
    }
}
