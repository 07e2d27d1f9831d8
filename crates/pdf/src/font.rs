//! The two fonts of the page, and how wide texts are in them.

use std::sync::LazyLock;

use ttf_parser::Face;

/// Name under which the fonts are known.
pub(crate) const FAMILY: &str = "IBM Plex Sans";
/// The regular font, a TrueType file.
pub(crate) const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/IBMPlexSans-Regular.ttf");
/// The bold font, a TrueType file.
pub(crate) const BOLD: &[u8] = include_bytes!("../../../assets/fonts/IBMPlexSans-Bold.ttf");

static FACES: LazyLock<[Option<Face<'static>>; 2]> =
    LazyLock::new(|| [REGULAR, BOLD].map(|bytes| Face::parse(bytes, 0).ok()));

/// Width of a text of one line in type of so many points, without kerning, points.
#[must_use]
pub(crate) fn width(text: &str, points: f32, is_bold: bool) -> f32 {
    let face = FACES[usize::from(is_bold)].as_ref();
    text.chars().map(|c| points * ems(face, c)).sum()
}

/// Whether both fonts hold a character.
#[must_use]
pub(crate) fn holds(c: char) -> bool {
    FACES
        .iter()
        .all(|face| face.as_ref().and_then(|f| f.glyph_index(c)).is_some())
}

fn ems(face: Option<&Face<'_>>, c: char) -> f32 {
    let found = face.and_then(|face| {
        let advance = face.glyph_hor_advance(face.glyph_index(c)?)?;
        Some(f32::from(advance) / f32::from(face.units_per_em()))
    });
    found.unwrap_or(1.0)
}
