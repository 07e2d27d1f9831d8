//! Gives a thing another key, and everything that names it too.

use super::SHAPE;
use super::apply::{Changed, nothing};
use super::part::{Part, root};
use super::place::Bracket;
use super::spot::Spot;
use super::written::Text;
use crate::record::{Kind, Names, quoted};
use crate::text::Span;
use crate::tree::Value;

/// Renames the thing at a spot.
pub fn rename(text: &Text<'_>, at: &Spot, key: &str) -> Changed {
    let (bracket, index) = text.around(at)?;
    let thing = bracket.things.get(index).ok_or_else(|| nothing(at))?;
    if thing.name.start == thing.name.end {
        return Err(nothing(at));
    }
    let root = root(text.text, &text.root, &SHAPE);
    let part = root.find(at).ok_or_else(|| nothing(at))?;
    let old = Old { at, part, key };
    let mut swaps = vec![(thing.name, quoted(key))];
    root.walk(&mut |part| old.follow(text, part, &mut swaps));
    // From the end, so that bytes in front stay where they are.
    swaps.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    swaps.dedup_by_key(|(span, _)| span.start);
    let mut changed = text.text.to_owned();
    for (span, new) in swaps {
        changed.replace_range(span.start..span.end, &new);
    }
    Ok(changed)
}

struct Old<'o> {
    at: &'o Spot,
    part: &'o Part,
    key: &'o str,
}

impl Old<'_> {
    /// What a name becomes, if it is the name of the thing or of something in it.
    fn becomes(&self, names: Names, at: &Spot, name: &str) -> Option<String> {
        let segments: Vec<&str> = self.at.segments().iter().map(String::as_str).collect();
        let is_same_loop = || at.segments().get(1).map(String::as_str) == segments.get(1).copied();
        let is_key = match (names, segments.as_slice()) {
            (Names::Calendar, ["calendars", _])
            | (Names::Water, ["waters", _])
            | (Names::Species | Names::Dosed, ["species", _])
            | (Names::Salt | Names::Dosed, ["salts", _]) => true,
            (Names::Station, ["loops", _, "stills" | "sections", _]) => is_same_loop(),
            _ => false,
        };
        let old = self.at.last();
        if is_key {
            let rest = name.strip_prefix(old)?;
            let is_it = rest.is_empty() || names == Names::Station && rest.starts_with('/');
            return is_it.then(|| format!("{}{rest}", self.key));
        }
        if !matches!(
            names,
            Names::Device | Names::Relay | Names::Vessel | Names::Input
        ) {
            return None;
        }
        let rest = name.strip_prefix(self.part.path.as_str())?;
        let head = self.part.path.strip_suffix(old)?;
        let is_within = rest.is_empty() || rest.starts_with(['.', '/']);
        is_within.then(|| format!("{head}{}{rest}", self.key))
    }

    fn follow(&self, text: &Text<'_>, part: &Part, swaps: &mut Vec<(Span, String)>) {
        if let (Some(names), Some(leaf)) = (part.meta.names, part.leaf())
            && leaf.kind == Kind::Text
            && let Some(written) = &leaf.written
            && let Some(new) = self.becomes(names, &part.spot, written)
            && let Some(node) = text.node(&part.spot)
            && matches!(node.value, Value::Text(_))
        {
            swaps.push((node.span, quoted(&new)));
        }
        let Some(keys) = part.meta.keys else { return };
        let bracket = text
            .node(&part.spot)
            .and_then(|n| Bracket::of(text.text, n));
        for thing in bracket.iter().flat_map(|b| &b.things) {
            if let Some(new) = self.becomes(keys, &part.spot, &thing.label) {
                swaps.push((thing.name, quoted(&new)));
            }
        }
    }
}
