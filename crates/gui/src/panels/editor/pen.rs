//! What every part of the editor is drawn with.

use std::collections::BTreeMap;

use dragback_scenario::{Body, Draft, Edit, Meta, Part, Problem, Spot};
use dragback_units::{Dim, Style, System, Unit, format_in};

use super::chapters::{chapter_of, roots};
use super::words::label;
use crate::command::Command;
use crate::view_ctx::ViewCtx;
use dragback_study::verdict::capitalised;

/// A draft with what is wrong with each of its parts.
pub struct Pen<'p> {
    pub ctx: &'p ViewCtx<'p>,
    pub draft: &'p Draft,
    loop_key: &'p str,
    faults: BTreeMap<&'p Spot, Vec<&'p Problem>>,
}

impl<'p> Pen<'p> {
    /// The pen for the document, if there is one.
    pub fn of(ctx: &'p ViewCtx<'p>) -> Option<Self> {
        let document = ctx.document?;
        let draft = document.draft()?.as_ref();
        let mut faults: BTreeMap<&Spot, Vec<&Problem>> = BTreeMap::new();
        for problem in draft.problems() {
            let part = draft.root().of_path(&problem.path);
            faults.entry(&part.spot).or_default().push(problem);
        }
        // A loop under a new key, or a draft without the one that runs.
        let is_there = |key: &str| draft.part(&Spot::of(&["loops", key])).is_some();
        let first = || {
            let loops = draft.part(&Spot::of(&["loops"]))?;
            loops.parts().first().map(|p| p.spot.last())
        };
        let shown = document.loop_key.as_str();
        let loop_key = if is_there(shown) {
            shown
        } else {
            first().unwrap_or(shown)
        };
        Some(Self {
            ctx,
            draft,
            loop_key,
            faults,
        })
    }

    /// What a chapter shows.
    pub fn roots(&self, chapter: usize) -> Vec<&'p Part> {
        roots(self.draft.root(), self.loop_key, chapter)
    }

    /// Number of things that are wrong in a chapter.
    pub fn faults_in_chapter(&self, chapter: usize) -> usize {
        let here = self.faults.iter().filter(|(s, _)| chapter_of(s) == chapter);
        here.map(|(_, all)| all.len()).sum()
    }

    /// What is wrong with a part itself.
    pub fn faults(&self, spot: &Spot) -> &[&'p Problem] {
        self.faults.get(spot).map_or(&[], Vec::as_slice)
    }

    /// Whether anything in a part is wrong.
    pub fn has_faults_within(&self, spot: &Spot) -> bool {
        self.faults.keys().any(|s| s.is_within(spot))
    }

    /// A part's own name.
    pub fn label(&self, part: &Part) -> String {
        let segments = part.spot.segments();
        let holder = |back: usize| {
            let at = segments.len().checked_sub(back)?;
            segments.get(at).map(String::as_str)
        };
        let near = holder(2).unwrap_or_default();
        // The fields of a thing are told by the list in which the thing stands.
        let list = match near {
            "additions" => near,
            _ => holder(3).unwrap_or_default(),
        };
        label(part.spot.last(), list)
    }

    /// The name that tells a part from all others.
    pub fn name(&self, part: &Part) -> String {
        let segments = part.spot.segments();
        let skip = match segments {
            [loops, key, _, ..] if loops == "loops" && key == self.loop_key => 2,
            _ => 0,
        };
        if segments.is_empty() {
            return "The line".to_owned();
        }
        let words: Vec<String> = segments
            .iter()
            .skip(skip)
            .map(|s| s.replace('_', " "))
            .collect();
        capitalised(&words.join(", "))
    }

    /// Whether a part is a thing of a map by itself.
    pub fn is_entry(&self, part: &Part) -> bool {
        let holder = part.spot.split();
        let holder = holder.and_then(|(holder, _)| self.draft.part(&holder));
        holder.is_some_and(|h| matches!(h.body, Body::Map(_)))
    }

    /// Asks for edits as one step of undo.
    pub fn ask(&self, edits: Vec<Edit>, what: String) {
        self.ctx.ask(Command::Edit { edits, what });
    }

    pub fn system(&self) -> System {
        self.ctx.prefs.system
    }

    /// The unit in which a bare number is meant: that of the value as written, else the one shown.
    pub fn unit(&self, part: &Part, dim: Dim) -> Option<&'static Unit> {
        let written = part.leaf().and_then(|l| l.written.as_deref());
        let own = written.and_then(|text| dim.parse_with_unit(text).ok());
        match own.map(|p| p.unit).filter(|unit| !unit.symbol.is_empty()) {
            Some(unit) => Some(unit),
            None if matches!(dim, Dim::Count | Dim::Number | Dim::Fraction) => None,
            None => Some(shown_unit(part.meta, dim, self.system())),
        }
    }

    /// The usual range, and the value in the units shown where it is written in others.
    pub fn range_words(&self, part: &Part, dim: Dim) -> String {
        let unit = shown_unit(part.meta, dim, self.system());
        let written = part.leaf().and_then(|l| l.written.as_deref());
        let mut words = Vec::new();
        if let Some(parsed) = written.and_then(|text| dim.parse_with_unit(text).ok())
            && parsed.unit.symbol != unit.symbol
            && !parsed.unit.symbol.is_empty()
            && let Ok(si) = dim.parse(written.unwrap_or_default())
        {
            words.push(format!("= {}", format_in(unit, si, 3)));
        }
        if let Some((low, high)) = part.meta.usual_si(dim) {
            let number = |si: f64| crate::number::significant(unit.from_si(si), 3);
            let range = format!("usual {}–{} {}", number(low), number(high), unit.symbol);
            words.push(range.trim_end().to_owned());
        }
        words.join(", ")
    }

    /// The allowed range in the units shown.
    pub fn allowed_words(&self, part: &Part, dim: Dim) -> Option<String> {
        let unit = shown_unit(part.meta, dim, self.system());
        let (low, high) = part.meta.allowed_si(dim)?;
        let number = |si: f64| crate::number::significant(unit.from_si(si), 4);
        let dash = if low < 0.0 { " to " } else { "–" };
        let words = format!("{}{dash}{} {}", number(low), number(high), unit.symbol);
        Some(words.trim_end().to_owned())
    }

    /// What holds where the input is left out, in the units shown; `None` where that is no amount with a unit.
    pub fn default_words(&self, part: &Part, dim: Dim) -> Option<String> {
        let text = part.meta.default?;
        let own = dim.parse_with_unit(text).ok()?.unit;
        let unit = shown_unit(part.meta, dim, self.system());
        if own.symbol == unit.symbol || own.symbol.is_empty() {
            return None;
        }
        let si = dim.parse(text).ok()?;
        Some(format_in(unit, si, 3))
    }
}

/// The unit in which values and ranges of a field are shown.
fn shown_unit(meta: &Meta, dim: Dim, system: System) -> &'static Unit {
    let declared = dim.find_unit(meta.unit);
    match dim {
        Dim::Fraction => dim
            .find_unit("%")
            .unwrap_or_else(|| dim.display_unit(system, Style::Default)),
        Dim::Number | Dim::Count => {
            declared.unwrap_or_else(|| dim.display_unit(system, Style::Default))
        }
        Dim::Concentration if meta.unit == "kg/L" => {
            declared.unwrap_or_else(|| dim.display_unit(system, Style::Default))
        }
        Dim::Concentration if meta.unit == "mg/L" => dim.display_unit(system, Style::Rinse),
        Dim::Concentration => dim.display_unit(system, Style::Bath),
        Dim::VolumeFlow if meta.name == "air_flow" => dim.display_unit(system, Style::Air),
        // Seconds of dripping and millimetres of an electrode stay what they are.
        Dim::Time | Dim::Length => match declared {
            Some(unit) if system == System::Metric => unit,
            _ => dim.display_unit(system, Style::Default),
        },
        _ => dim.display_unit(system, Style::Default),
    }
}

/// Whether a part is shown although nobody asked for what is left out.
pub fn is_told(part: &Part) -> bool {
    match &part.body {
        Body::Leaf(leaf) => leaf.written.is_some() || part.is_needed,
        Body::Record(_) | Body::Months(_) | Body::Strange(_) => true,
        Body::Absent => part.is_needed,
        Body::Map(all) | Body::List(all) => !all.is_empty(),
    }
}
