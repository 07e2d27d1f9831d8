//! What the typesetter can see: the template, the report and two fonts. No package, no file, no clock.

use std::collections::BTreeMap;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::error::PdfError;
use dragback_drawing::font;

/// The one template.
const TEMPLATE: &str = include_str!("report.typ");

/// All that there is for the typesetter.
pub(crate) struct Shelf {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    template: Source,
    files: BTreeMap<String, Bytes>,
}

impl Shelf {
    /// A shelf with the template, the fonts and these files, which go by name.
    pub(crate) fn new(
        files: impl IntoIterator<Item = (String, Vec<u8>)>,
    ) -> Result<Self, PdfError> {
        let fonts: Vec<Font> = [font::REGULAR, font::BOLD]
            .into_iter()
            .filter_map(|bytes| Font::new(Bytes::new(bytes), 0))
            .collect();
        if fonts.len() < 2 {
            return Err(PdfError::Fonts);
        }
        let files = files.into_iter();
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            template: Source::new(id("report.typ")?, TEMPLATE.to_owned()),
            files: files
                .map(|(name, bytes)| (name, Bytes::new(bytes)))
                .collect(),
        })
    }
}

/// The typesetter's handle of a file.
pub(crate) fn id(name: &str) -> Result<FileId, PdfError> {
    let path = VirtualPath::new(name).map_err(|why| PdfError::Pages {
        why: format!("{name}: {why}"),
    })?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

impl World for Shelf {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() {
            return Ok(self.template.clone());
        }
        Err(FileError::AccessDenied)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let name = id.get();
        if *name.root() != VirtualRoot::Project {
            return Err(FileError::AccessDenied);
        }
        let found = self.files.get(name.vpath().get_without_slash());
        found.cloned().ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shelf() -> Shelf {
        Shelf::new([("document.json".to_owned(), b"{}".to_vec())])
            .unwrap_or_else(|why| panic!("{why}"))
    }

    fn handle(name: &str) -> FileId {
        id(name).unwrap_or_else(|why| panic!("{why}"))
    }

    #[test]
    fn only_what_was_put_there_is_there() {
        let shelf = shelf();
        assert_eq!(shelf.file(handle("document.json")), Ok(Bytes::new(b"{}")));
        assert_eq!(shelf.file(handle("/document.json")), Ok(Bytes::new(b"{}")));
        for name in [
            "Cargo.toml",
            "/etc/hostname",
            "report.typ",
            "src/report.typ",
        ] {
            assert_eq!(
                shelf.file(handle(name)),
                Err(FileError::AccessDenied),
                "{name}"
            );
        }
        assert!(
            shelf
                .source(handle("report.typ"))
                .is_ok_and(|s| s.text() == TEMPLATE)
        );
        assert_eq!(
            shelf.source(handle("document.json")).err(),
            Some(FileError::AccessDenied)
        );
    }

    #[test]
    fn packages_have_nothing() {
        let package = "@preview/anything:0.1.0".parse().map(VirtualRoot::Package);
        let path = VirtualPath::new("document.json").ok();
        let found = package.ok().zip(path).map(|(root, path)| {
            let id = RootedPath::new(root, path).intern();
            let shelf = shelf();
            (shelf.file(id).err(), shelf.source(id).err())
        });
        assert_eq!(
            found,
            Some((Some(FileError::AccessDenied), Some(FileError::AccessDenied)))
        );
    }

    #[test]
    fn no_clock_is_asked() {
        assert_eq!(shelf().today(None), None);
    }

    #[test]
    fn there_are_two_fonts_of_one_family() {
        let shelf = shelf();
        let families: Vec<String> = shelf
            .book
            .families()
            .map(|(name, fonts)| format!("{name} {}", fonts.count()))
            .collect();
        assert_eq!(families, [format!("{} 2", font::FAMILY)]);
        assert!(shelf.font(1).is_some() && shelf.font(2).is_none());
    }
}
