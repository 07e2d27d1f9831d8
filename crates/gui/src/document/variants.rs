//! Named variants beside the line: each a whole scenario that stays as it is while the line is changed. Every change to them is a step of undo.

use std::sync::Arc;

use dragback_scenario::{LONGEST_NAME, Problem, Scenario, Variants};

use super::Document;
use super::history::Stroke;

impl Document {
    /// The variants, in the order in which they were kept.
    #[must_use]
    pub fn variants(&self) -> &Variants {
        &self.scenario.variants
    }

    /// Keeps the line as it stands under a name.
    ///
    /// # Errors
    /// A name that cannot be one or is taken, and one variant too many; nothing is changed then.
    pub fn keep_variant(&mut self, name: &str, gesture: u64) -> Result<(), Problem> {
        let line = Arc::clone(&self.scenario);
        self.add_variant(name, &line, gesture)
    }

    /// Adds another line as a variant.
    ///
    /// # Errors
    /// As for [`Document::keep_variant`].
    pub fn add_variant(
        &mut self,
        name: &str,
        line: &Scenario,
        gesture: u64,
    ) -> Result<(), Problem> {
        self.check_runs()?;
        let variants = self.variants().with(name, line)?;
        self.take_variants(variants, format!("variant “{name}”"), gesture)
    }

    /// Gives a variant another name.
    ///
    /// # Errors
    /// A name that cannot be one or is that of another; nothing is changed then.
    pub fn rename_variant(&mut self, name: &str, new: &str, gesture: u64) -> Result<(), Problem> {
        if name == new {
            return Ok(());
        }
        let variants = self.variants().renamed(name, new)?;
        self.take_variants(variants, format!("name of “{new}”"), gesture)
    }

    /// Takes a variant away.
    ///
    /// # Errors
    /// None that is known of; nothing is changed then.
    pub fn delete_variant(&mut self, name: &str, gesture: u64) -> Result<(), Problem> {
        let variants = self.variants().without(name);
        self.take_variants(variants, format!("deleted variant “{name}”"), gesture)
    }

    /// Makes a variant the line, in one step of undo. Where `keep_as` gives a name, the line as it stood takes its place among the variants.
    ///
    /// # Errors
    /// Where there is no such variant, its plant cannot be, or the name cannot be one; nothing is changed then.
    pub fn take_up_variant(
        &mut self,
        name: &str,
        keep_as: Option<&str>,
        gesture: u64,
    ) -> Result<(), Problem> {
        let Some(chosen) = self.variants().get(name) else {
            let message = format!("there is no variant “{name}”");
            return Err(Problem::at("variants", message, "look at the list again"));
        };
        let chosen = Arc::clone(chosen);
        self.check_runs()?;
        let mut variants = self.variants().without(name);
        if let Some(own) = keep_as {
            variants = variants.with(own, &self.scenario)?;
        }
        let line = chosen.with_variants(variants);
        let stroke = Stroke {
            what: format!("line becomes “{name}”"),
            gesture,
        };
        self.rebase(
            (line.clone(), line),
            std::collections::BTreeMap::new(),
            stroke,
        )
    }

    /// What stands in for a file that does not run yet is another line, of which nothing is kept in that file.
    fn check_runs(&self) -> Result<(), Problem> {
        match self.stand_in() {
            Some(_) => Err(Problem::at(
                "variants",
                "the file does not run yet",
                "put it right in the editor first",
            )),
            None => Ok(()),
        }
    }

    /// Whether the line as it stands is one of its variants already.
    #[must_use]
    pub fn is_kept_as_variant(&self) -> bool {
        let line = self.scenario.alone();
        self.variants().iter().any(|(_, kept)| **kept == line)
    }

    /// A name for the line as it stands, which is not taken: what differs from the file, or else that it is as in the file.
    #[must_use]
    pub fn proposed_name(&self) -> String {
        let changed = self.changed_texts();
        let each = changed.iter().map(|(path, text)| {
            let name = self.name_of(path);
            format!("{name} {text}")
        });
        let name = match changed.len() {
            0 if self.is_new() => "as begun".to_owned(),
            0 => "as in the file".to_owned(),
            1 | 2 => each.collect::<Vec<_>>().join(", "),
            n => format!("{n} changes"),
        };
        self.free_name(&name)
    }

    /// A name that begins as wanted and is not taken.
    #[must_use]
    pub fn free_name(&self, wanted: &str) -> String {
        let plain: String = wanted.chars().filter(|c| !c.is_control()).collect();
        let cut = |room: usize| {
            let short: String = plain.trim().chars().take(room).collect();
            short.trim().to_owned()
        };
        let first = cut(LONGEST_NAME);
        let first = if first.is_empty() {
            "variant".to_owned()
        } else {
            first
        };
        if self.variants().get(&first).is_none() {
            return first;
        }
        let numbered = (2..).map(|n| format!("{} ({n})", cut(LONGEST_NAME - 5)));
        let mut free = numbered.filter(|name| self.variants().get(name).is_none());
        free.next().unwrap_or(first)
    }

    /// Puts other variants beside the line, which stays as it is.
    fn take_variants(
        &mut self,
        variants: Variants,
        what: String,
        gesture: u64,
    ) -> Result<(), Problem> {
        let base = self.content.base.with_variants(variants.clone());
        let scenario = self.scenario.with_variants(variants);
        let changes = self.content.changes.as_ref().clone();
        self.rebase((base, scenario), changes, Stroke { what, gesture })
    }
}

#[cfg(test)]
mod tests {
    use dragback_scenario::{Edit, Spot};

    use super::*;
    use crate::document::{Origin, Setting};

    const RINSE: &str = "loop.sections.rinses.flow";

    fn demo() -> Document {
        let text = include_str!("../../../../scenarios/demo.ron");
        Document::read(text, Origin::default(), 1).unwrap()
    }

    fn moved(document: &mut Document, text: &str, gesture: u64) {
        let setting = Setting::Text(text.to_owned());
        document.change(RINSE, setting, gesture).unwrap();
    }

    fn names(document: &Document) -> Vec<String> {
        document
            .variants()
            .iter()
            .map(|(name, _)| name.to_owned())
            .collect()
    }

    fn flow(scenario: &Scenario) -> String {
        let found = dragback_scenario::get(scenario, RINSE).unwrap();
        found.text().unwrap().to_owned()
    }

    fn again(document: &Document) -> Document {
        Document::read(&document.text(), Origin::default(), 2).unwrap()
    }

    #[test]
    fn variants_stay_as_they_are_while_the_line_moves() {
        let mut document = demo();
        assert_eq!(document.proposed_name(), "as in the file");
        document.keep_variant("as it is", 1).unwrap();
        moved(&mut document, "60 L/h", 2);
        assert_eq!(document.proposed_name(), "Rinse rate 60 L/h");
        document.keep_variant("less water", 3).unwrap();
        moved(&mut document, "120 L/h", 4);
        let of = |d: &Document, name: &str| flow(d.variants().get(name).unwrap());
        assert_eq!(of(&document, "as it is"), "95 L/h");
        assert_eq!(of(&document, "less water"), "60 L/h");
        assert_eq!(flow(&document.scenario), "120 L/h");
        // The file holds all three, and comes back as it was.
        let back = again(&document);
        assert_eq!(back.scenario, document.scenario);
        // A lever still knows what the file says.
        assert!(document.is_changed(RINSE) && document.is_dirty());
        for wanted in [2, 1, 1, 0] {
            document.undo().unwrap();
            assert_eq!(document.variants().len(), wanted);
        }
        assert!(!document.is_dirty());
        document.redo().unwrap();
        assert_eq!(names(&document), ["as it is"]);
    }

    #[test]
    fn variants_are_renamed_and_deleted_and_each_is_one_step() {
        let mut document = demo();
        document.keep_variant("a", 1).unwrap();
        document.keep_variant("b", 2).unwrap();
        assert!(document.keep_variant("a", 3).is_err());
        assert!(document.rename_variant("a", "b", 3).is_err());
        document.rename_variant("a", "first", 3).unwrap();
        document.delete_variant("b", 4).unwrap();
        assert_eq!(names(&document), ["first"]);
        assert_eq!(document.undo().as_deref(), Some("deleted variant “b”"));
        assert_eq!(names(&document), ["first", "b"]);
        document.undo().unwrap();
        assert_eq!(names(&document), ["a", "b"]);
        assert_eq!(document.free_name("a"), "a (2)");
        assert_eq!(document.free_name(&"x".repeat(80)).len(), LONGEST_NAME);
        assert_eq!(document.free_name("\n"), "variant");
    }

    #[test]
    fn a_variant_becomes_the_line_and_the_line_a_variant_in_one_step() {
        let mut document = demo();
        moved(&mut document, "60 L/h", 1);
        document.keep_variant("less water", 2).unwrap();
        moved(&mut document, "120 L/h", 3);
        assert!(!document.is_kept_as_variant());
        let before = Arc::clone(&document.scenario);
        document
            .take_up_variant("less water", Some("more water"), 4)
            .unwrap();
        assert_eq!(flow(&document.scenario), "60 L/h");
        assert_eq!(names(&document), ["more water"]);
        assert_eq!(
            flow(document.variants().get("more water").unwrap()),
            "120 L/h"
        );
        // The lever knows where it stood in the file, and the file what there is now.
        assert_eq!(
            document.lever(RINSE).unwrap().file_si,
            demo().lever(RINSE).unwrap().si
        );
        assert_eq!(again(&document).scenario, document.scenario);
        document.undo().unwrap();
        assert_eq!(document.scenario, before);
        document.take_up_variant("less water", None, 5).unwrap();
        assert!(document.variants().is_empty());
        assert!(document.take_up_variant("less water", None, 6).is_err());
    }

    /// What the editor does to the line leaves the variants alone, also where it takes away what they name, and where it leaves faults behind.
    #[test]
    fn the_pen_does_not_touch_variants() {
        let mut document = demo();
        moved(&mut document, "60 L/h", 1);
        document.keep_variant("less water", 2).unwrap();
        document.note_saved(Origin::default());
        let remark = "variants: {\n        // Asked for in March.\n        ";
        let text = document.text().replace("variants: {", remark);
        let mut document = Document::read(&text, Origin::default(), 2).unwrap();
        let kept = document.variants().clone();
        assert!(!document.draft().unwrap().text().contains("variants"));
        let rinses = Spot::of(&["loops", "loop", "sections", "rinses"]);
        let rename = Edit::Rename {
            at: rinses.clone(),
            key: "wash".to_owned(),
        };
        document.edit(&[rename], "key", 1).unwrap();
        assert_eq!(document.variants(), &kept);
        assert!(
            document
                .scenario
                .loops
                .get("loop")
                .unwrap()
                .sections
                .contains_key("wash")
        );
        assert_eq!(again(&document).scenario, document.scenario);
        assert!(
            document.text().contains("// Asked for in March."),
            "{}",
            document.text()
        );
        // A lever that was moved stays moved through an edit.
        document.undo().unwrap();
        moved(&mut document, "70 L/h", 3);
        let write = |at: &[&str], text: &str| Edit::Write {
            at: Spot::of(at),
            text: text.to_owned(),
        };
        let film = ["loops", "loop", "work", "drag_out", "film"];
        document
            .edit(&[write(&film, "0.2 L/m²")], "film", 4)
            .unwrap();
        assert!(document.is_changed(RINSE));
        assert_eq!(document.variants(), &kept);
        // Faults, a variant kept meanwhile, and their end.
        let flow = ["loops", "loop", "sections", "rinses", "flow"];
        document.edit(&[write(&flow, "95 °C")], "flow", 5).unwrap();
        document.keep_variant("meanwhile", 6).unwrap();
        assert_eq!(document.draft_problems().len(), 1);
        document.edit(&[write(&flow, "96 L/h")], "flow", 7).unwrap();
        assert!(document.draft_problems().is_empty());
        assert_eq!(names(&document), ["less water", "meanwhile"]);
        assert_eq!(again(&document).scenario, document.scenario);
    }

    /// A file that does not run brings its own variants once it is put right, not those of the line that stands in for it.
    #[test]
    fn a_file_that_is_put_right_has_its_own_variants() {
        let mut other = demo();
        other.keep_variant("of the file", 1).unwrap();
        let broken = other.text().replacen("\"95 L/h\"", "\"95 °C\"", 1);
        let mut document = demo();
        document.keep_variant("of the bench", 1).unwrap();
        let mut document = document.to_mend(&broken, Origin::default(), 3).unwrap();
        assert!(document.keep_variant("no", 1).is_err());
        let flow = Spot::of(&["loops", "loop", "sections", "rinses", "flow"]);
        let write = Edit::Write {
            at: flow,
            text: "95 L/h".to_owned(),
        };
        document.edit(&[write], "flow", 2).unwrap();
        assert_eq!(names(&document), ["of the file"]);
    }
}
