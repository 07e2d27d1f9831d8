//! The scenario changed part by part: every edit is a step of undo, and one that leaves faults behind is kept as a draft beside the last line that
//! could run.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use dragback_scenario::{Draft, Edit, Problem, Scenario, rewrite, with_variants};

use super::history::{History, Stroke};
use super::{Content, Document, Origin, Setting, moved};

impl Document {
    /// The text under the pen with its parts: that of a draft with faults, else that of the line without its variants, which the pen does not touch. `None`
    /// when even the scenario's own text cannot be read, which never happens to one that was.
    #[must_use]
    pub fn draft(&self) -> Option<&Arc<Draft>> {
        let read = || match &self.content.draft {
            Some(draft) => Some(Arc::clone(draft)),
            None => Draft::new(self.text_alone()).ok().map(Arc::new),
        };
        self.draft.get_or_init(read).as_ref()
    }

    /// The text of the line without its variants.
    fn text_alone(&self) -> String {
        let content = &self.content;
        if content.scenario.variants.is_empty() {
            return Self::text_of(content);
        }
        rewrite(&content.source, &content.base, &content.scenario.alone())
    }

    /// A line that was read without variants, and its text, with the variants of this document; those of a file that is being put right are its own.
    fn with_own_variants(&self, line: &Arc<Scenario>, text: &str) -> (Arc<Scenario>, Arc<str>) {
        let own = &self.content.base.variants;
        if own.is_empty() || self.stand_in().is_some() {
            return (Arc::clone(line), text.into());
        }
        let line = line.with_variants(own.clone());
        let source = (&*self.content.source, &*self.content.base);
        let text = with_variants(text, source, &line);
        (Arc::new(line), text.into())
    }

    /// The edited text that has faults, if there is one.
    #[must_use]
    pub const fn faulty(&self) -> Option<&Arc<Draft>> {
        self.content.draft.as_ref()
    }

    /// Takes up a text with faults that was kept elsewhere; one that has none is left, for it is the scenario itself.
    pub fn take_up(&mut self, text: &str) {
        let draft = Draft::new(text).ok();
        if let Some(draft) = draft.filter(|d| d.scenario().is_none()) {
            let content = Content {
                draft: Some(Arc::new(draft)),
                ..self.content.clone()
            };
            let stroke = Stroke {
                what: "unsaved changes".to_owned(),
                gesture: u64::MAX,
            };
            self.step(stroke, content);
        }
    }

    /// A file that does not run, beside this document, which stands in for it until it does; `None` where its text cannot be taken apart.
    #[must_use]
    pub fn to_mend(&self, text: &str, origin: Origin, id: u64) -> Option<Self> {
        let draft = Draft::new(text).ok().filter(|d| d.scenario().is_none())?;
        let plain = Content::plain(Arc::clone(&self.scenario), self.text().into());
        let content = Content {
            draft: Some(Arc::new(draft)),
            ..plain
        };
        Some(Self {
            id,
            origin,
            saved: Some(content.clone()),
            content,
            draft: OnceLock::new(),
            history: History::default(),
            must_be_saved: false,
            stand_in: Some(Box::new(self.clone())),
            ..self.clone()
        })
    }

    /// What runs in the place of this file, as long as it cannot.
    #[must_use]
    pub fn stand_in(&self) -> Option<&Self> {
        self.content.draft.as_ref()?;
        self.stand_in.as_deref()
    }

    /// Notes that the file holds something else than this text.
    pub fn note_unsaved(&mut self) {
        self.must_be_saved = true;
    }

    /// What is wrong with the draft; empty when it runs.
    #[must_use]
    pub fn draft_problems(&self) -> &[Problem] {
        self.content.draft.as_ref().map_or(&[], |d| d.problems())
    }

    /// Makes some changes as one step of undo. A draft with faults is kept, and the scenario stays what it was until nothing is wrong.
    ///
    /// # Errors
    /// When a change cannot be made at all; nothing is changed then.
    pub fn edit(&mut self, edits: &[Edit], what: &str, gesture: u64) -> Result<(), Problem> {
        let Some(now) = self.draft() else {
            return Ok(());
        };
        let draft = now.edited(edits)?;
        if draft.text() == now.text() {
            return Ok(());
        }
        let content = match draft.scenario() {
            Some(scenario) => self.edited(scenario, &draft, edits),
            None => Content {
                draft: Some(Arc::new(draft)),
                ..self.content.clone()
            },
        };
        let stroke = Stroke {
            what: what.to_owned(),
            gesture,
        };
        let is_mended = self.stand_in().is_some() && content.draft.is_none();
        if is_mended {
            self.begun = Arc::clone(&content.scenario);
        }
        self.step(stroke, content);
        Ok(())
    }

    /// Writes an input anew in the text under the pen; one that is a sum or a mean of others has no text of its own and is set instead.
    pub(super) fn rewrite(
        &mut self,
        path: &str,
        text: String,
        gesture: u64,
    ) -> Result<(), Problem> {
        let draft = self.draft().map(Arc::clone);
        let part = draft.as_ref().map(|d| d.root().of_path(path));
        let is_derived = dragback_scenario::get(&self.scenario, path)?.is_derived;
        match part.filter(|p| p.leaf().is_some() && !is_derived) {
            Some(part) => {
                let at = part.spot.clone();
                self.edit(&[Edit::Write { at, text }], path, gesture)
            }
            None => self.change(path, Setting::Text(text), gesture),
        }
    }

    /// Puts another line in the place of this one, as one step of undo: the file's remarks stay where its parts do.
    ///
    /// # Errors
    /// The first thing that is wrong with the line; nothing is changed then.
    pub fn take_line(&mut self, line: Scenario, what: &str, gesture: u64) -> Result<(), Problem> {
        let stroke = Stroke {
            what: what.to_owned(),
            gesture,
        };
        self.rebase((line.clone(), line), BTreeMap::new(), stroke)
    }

    /// Lets a draft with faults go: what is left is the last line that could run.
    pub fn drop_draft(&mut self, gesture: u64) {
        if self.content.draft.is_none() {
            return;
        }
        let stroke = Stroke {
            what: "edits that do not run".to_owned(),
            gesture,
        };
        let content = Content {
            draft: None,
            ..self.content.clone()
        };
        self.step(stroke, content);
    }

    /// The content under a scenario that runs. Levers that were moved stay moved, where the edit has left them alone.
    fn edited(&self, scenario: &Arc<Scenario>, draft: &Draft, edits: &[Edit]) -> Content {
        let changes = &self.content.changes;
        let is_plain = changes.is_empty() || self.content.draft.is_some();
        let below = || {
            let alone = self.content.base.alone();
            let base = rewrite(&self.content.source, &self.content.base, &alone);
            let base = Draft::new(base).ok()?.edited(edits).ok()?;
            let moved = moved(base.scenario()?, changes).ok()?;
            let below = self.with_own_variants(base.scenario()?, base.text());
            (moved == **scenario).then_some(below)
        };
        let base = if is_plain { None } else { below() };
        match base {
            Some((base, source)) => Content {
                scenario: Arc::new(scenario.with_variants(base.variants.clone())),
                base,
                source,
                changes: Arc::clone(changes),
                draft: None,
            },
            None => {
                let (scenario, text) = self.with_own_variants(scenario, draft.text());
                Content::plain(scenario, text)
            }
        }
    }

    /// A new content with the draft that is under way: what was changed in the scenario is changed in the draft too, which may set it right.
    pub(super) fn with_draft(&self, content: Content) -> Content {
        let Some(draft) = &self.content.draft else {
            return content;
        };
        if self.stand_in.is_some() {
            // The draft is another line than the one whose lever was moved.
            return Content {
                draft: Some(Arc::clone(draft)),
                ..content
            };
        }
        let carried = draft.carried(&self.scenario.alone(), &content.scenario.alone());
        match carried.scenario() {
            Some(line) => {
                let line = line.with_variants(content.base.variants.clone());
                let source = (&*content.source, &*content.base);
                let text = with_variants(carried.text(), source, &line);
                Content::plain(Arc::new(line), text.into())
            }
            None => Content {
                draft: Some(Arc::new(carried)),
                ..content
            },
        }
    }

    /// Whether the file holds remarks that saving would lose.
    #[must_use]
    pub fn loses_comments(&self) -> bool {
        let count = dragback_scenario::count_comments;
        let in_file = self.saved.as_ref().map_or(0, |s| count(&s.source));
        in_file > 0 && count(&self.text()) < in_file
    }

    /// The text of a content's scenario, with the remarks of its source.
    pub(super) fn text_of(content: &Content) -> String {
        rewrite(&content.source, &content.base, &content.scenario)
    }
}

#[cfg(test)]
mod tests {
    use dragback_scenario::Spot;

    use super::*;
    fn demo() -> Document {
        let text = include_str!("../../../../scenarios/demo.ron");
        let text = format!("// The demo.\n{text}");
        Document::read(&text, Origin::default(), 1).unwrap()
    }

    fn write(spot: &[&str], text: &str) -> Edit {
        Edit::Write {
            at: Spot::of(spot),
            text: text.to_owned(),
        }
    }

    const FLOW: [&str; 5] = ["loops", "loop", "sections", "rinses", "flow"];
    const RINSE: &str = "loop.sections.rinses.flow";

    #[test]
    fn a_faulty_edit_is_kept_beside_the_last_line_that_could_run() {
        let mut document = demo();
        let before = Arc::clone(&document.scenario);
        document.edit(&[write(&FLOW, "95 °C")], "flow", 1).unwrap();
        assert_eq!(document.scenario, before);
        assert_eq!(document.draft_problems().len(), 1);
        assert!(document.is_dirty());
        // What is kept for a restart brings the fault back too.
        let (saved, text) = (document.saved_text(), document.text());
        let mut back = Document::restored(&saved, &text, Origin::default(), 2).unwrap();
        back.take_up(document.faulty().unwrap().text());
        assert_eq!(back.draft_problems(), document.draft_problems());
        // A lever that is moved meanwhile changes both.
        let film = document.levers[0].path.clone();
        let to = Setting::Text("0.2 L/m²".to_owned());
        document.change(&film, to, 2).unwrap();
        assert_eq!(document.draft_problems().len(), 1);
        assert!(document.draft().unwrap().text().contains("0.2 L/m²"));
        document.edit(&[write(&FLOW, "96 L/h")], "flow", 3).unwrap();
        assert!(document.draft_problems().is_empty());
        assert_eq!(document.lever(RINSE).unwrap().text, "96 L/h");
        assert_eq!(document.lever(&film).unwrap().text, "0.2 L/m²");
        assert!(document.text().starts_with("// The demo.\n"));
        for faults in [1, 1, 0] {
            document.undo().unwrap();
            assert_eq!(document.draft_problems().len(), faults);
        }
        assert_eq!(document.scenario, before);
        assert!(!document.is_dirty());
        document.redo().unwrap();
        assert_eq!(document.draft_problems().len(), 1);
        document.drop_draft(9);
        assert!(document.draft_problems().is_empty() && !document.is_dirty());
        assert_eq!(document.undo().as_deref(), Some("edits that do not run"));
        assert_eq!(document.draft_problems().len(), 1);
    }

    #[test]
    fn a_moved_lever_stays_moved_where_an_edit_leaves_it_alone() {
        let mut document = demo();
        let film = document.levers[0].path.clone();
        let si = 2.0 * document.levers[0].si;
        document.change(&film, Setting::Si(si), 1).unwrap();
        document.edit(&[write(&FLOW, "96 L/h")], "flow", 2).unwrap();
        assert!(document.is_changed(&film) && document.levers[0].is_moved());
        let level = ["loops", "loop", "work", "drag_out", "film"];
        document
            .edit(&[write(&level, "0.11 L/m²")], "film", 3)
            .unwrap();
        assert_eq!(document.lever(&film).unwrap().text, "0.11 L/m²");
        // The edit stands for the lever's own change; the file still says something else.
        assert!(!document.is_changed(&film) && document.levers[0].is_moved());
        let again = Document::read(&document.text(), Origin::default(), 2).unwrap();
        assert_eq!(again.scenario, document.scenario);
    }
}
