//! The parts of a draft as an editor shows them: what is there, and what may be there.

use super::spot::Spot;
use crate::record::{Kind, Meta, Shape, Slot};
use crate::schema::Month;
use crate::text::Span;
use crate::tree::{Entry, Node, Value};

/// One part: an input, a record, a list, a map.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Where it stands.
    pub spot: Spot,
    /// Its path, as problems name it.
    pub path: String,
    /// Everything declared about it; of a thing in a list or map, what is declared about that.
    pub meta: &'static Meta,
    /// The file must give it.
    pub is_needed: bool,
    /// It may be left out, and then is not there.
    pub is_option: bool,
    /// What it holds.
    pub body: Body,
}

/// What a part holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// An input.
    Leaf(LeafPart),
    /// A record that is there: its fields, in the order in which they are written.
    Record(Vec<Part>),
    /// A record that is not there.
    Absent,
    /// Things by key.
    Map(Vec<Part>),
    /// Things in order.
    List(Vec<Part>),
    /// Air of each month by its name.
    Months(Vec<Part>),
    /// Something of another form than declared, as written.
    Strange(String),
}

/// An input as it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct LeafPart {
    /// What kind of input it is.
    pub kind: Kind,
    /// Its value; `None` when the file does not give it.
    pub written: Option<String>,
    /// Where it comes from.
    pub origin: Option<String>,
    /// Low, likely and high value.
    pub spread: [Option<String>; 3],
    /// Notes.
    pub notes: Option<String>,
}

impl Part {
    /// Parts within this one.
    #[must_use]
    pub fn parts(&self) -> &[Self] {
        match &self.body {
            Body::Record(all) | Body::Map(all) | Body::List(all) | Body::Months(all) => all,
            Body::Leaf(_) | Body::Absent | Body::Strange(_) => &[],
        }
    }

    /// The input, if it is one.
    #[must_use]
    pub const fn leaf(&self) -> Option<&LeafPart> {
        match &self.body {
            Body::Leaf(leaf) => Some(leaf),
            _ => None,
        }
    }

    /// The part at a spot.
    #[must_use]
    pub fn find(&self, at: &Spot) -> Option<&Self> {
        let mut part = self;
        while part.spot.segments().len() < at.segments().len() {
            part = part.parts().iter().find(|p| at.is_within(&p.spot))?;
        }
        (part.spot == *at).then_some(part)
    }

    /// The deepest part that a path of a problem leads to.
    #[must_use]
    pub fn of_path(&self, path: &str) -> &Self {
        let is_along = |p: &&Self| {
            if p.path == self.path {
                // The map of loops has no segment of its own in paths.
                p.parts().iter().any(|inner| is_on(path, &inner.path))
            } else {
                is_on(path, &p.path)
            }
        };
        match self.parts().iter().find(is_along) {
            Some(inner) => inner.of_path(path),
            None => self,
        }
    }

    /// This part and all parts within it.
    pub fn walk<'p>(&'p self, see: &mut dyn FnMut(&'p Self)) {
        see(self);
        for part in self.parts() {
            part.walk(see);
        }
    }
}

/// Whether a path leads through another one.
fn is_on(path: &str, through: &str) -> bool {
    let rest = path.strip_prefix(through);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// The parts of a whole text.
pub fn root(text: &str, node: &Node<'_>, shape: &Shape) -> Part {
    let at = At {
        text,
        spot: Spot::default(),
        path: String::new(),
    };
    Part {
        spot: Spot::default(),
        path: String::new(),
        meta: &Meta::EMPTY,
        is_needed: true,
        is_option: false,
        body: at.body(Some(node), shape),
    }
}

struct At<'t> {
    text: &'t str,
    spot: Spot,
    path: String,
}

impl At<'_> {
    fn inner(&self, segment: &str, is_flat: bool) -> Self {
        let path = match (is_flat, self.path.is_empty()) {
            (true, _) => self.path.clone(),
            (false, true) => segment.to_owned(),
            (false, false) => format!("{}.{segment}", self.path),
        };
        Self {
            text: self.text,
            spot: self.spot.child(segment),
            path,
        }
    }

    fn body(&self, node: Option<&Node<'_>>, shape: &Shape) -> Body {
        let node = node.filter(|n| !matches!(n.value, Value::Word("None")));
        match (shape, node.map(|n| &n.value)) {
            (Shape::Leaf { kind, .. }, _) => self.leaf(node, *kind),
            (Shape::Record(slots), Some(Value::Record(entries))) => {
                Body::Record(self.fields(entries, slots))
            }
            (Shape::Record(_), None) => Body::Absent,
            (Shape::Map(item), Some(Value::Map(pairs))) => {
                let each = pairs.iter().filter_map(|(key, value)| match &key.value {
                    Value::Text(key) => Some(self.item(key, value, item)),
                    _ => None,
                });
                Body::Map(each.collect())
            }
            (Shape::Map(_), None) => Body::Map(Vec::new()),
            (Shape::Map(_), Some(Value::Record(all))) if all.is_empty() => Body::Map(Vec::new()),
            (Shape::List(item), Some(Value::List(all))) => {
                let each = all.iter().enumerate();
                Body::List(
                    each.map(|(i, n)| self.item(&(i + 1).to_string(), n, item))
                        .collect(),
                )
            }
            (Shape::List(_), None) => Body::List(Vec::new()),
            (Shape::Year(air), Some(Value::Map(pairs))) => {
                let is_month = |key: &Node<'_>, month: &str| match &key.value {
                    Value::Text(text) => text == month,
                    Value::Word(word) => *word == month,
                    _ => false,
                };
                let each = Month::WORDS.iter().map(|month| {
                    let found = pairs.iter().find(|(key, _)| is_month(key, month));
                    self.month(month, found.map(|(_, value)| value), air)
                });
                Body::Months(each.collect())
            }
            (Shape::Year(air), Some(_)) => {
                let whole = Self {
                    text: self.text,
                    spot: self.spot.clone(),
                    path: format!("{}.all", self.path),
                };
                whole.body(node, air)
            }
            (Shape::Year(_) | Shape::Apart, None) => Body::Absent,
            (_, Some(_)) => Body::Strange(node.map_or_else(String::new, |n| self.excerpt(n.span))),
        }
    }

    fn excerpt(&self, span: Span) -> String {
        let text = self.text.get(span.start..span.end).unwrap_or_default();
        text.to_owned()
    }

    fn fields(&self, entries: &[Entry<'_>], slots: &[Slot]) -> Vec<Part> {
        let own = slots.iter().filter(|s| !matches!(s.shape, Shape::Apart));
        let each = own.map(|slot| {
            let entry = entries.iter().find(|e| e.name == slot.meta.name);
            let at = self.inner(slot.meta.name, slot.meta.is_flat());
            Part {
                body: at.body(entry.map(|e| &e.node), &slot.shape),
                spot: at.spot,
                path: at.path,
                meta: slot.meta,
                is_needed: slot.is_needed,
                is_option: slot.is_option,
            }
        });
        let mut all: Vec<Part> = each.collect();
        // Inputs of maps have the ranges and hints of their map.
        for part in &mut all {
            let meta = part.meta;
            if let Body::Map(items) | Body::List(items) = &mut part.body {
                items.iter_mut().for_each(|item| item.meta = meta);
            }
        }
        all
    }

    fn item(&self, segment: &str, node: &Node<'_>, shape: &Shape) -> Part {
        let at = self.inner(segment, false);
        Part {
            body: at.body(Some(node), shape),
            spot: at.spot,
            path: at.path,
            meta: &Meta::EMPTY,
            is_needed: false,
            is_option: false,
        }
    }

    fn month(&self, month: &str, node: Option<&Node<'_>>, shape: &Shape) -> Part {
        let at = self.inner(month, false);
        Part {
            body: at.body(node, shape),
            spot: at.spot,
            path: at.path,
            meta: &Meta::EMPTY,
            is_needed: true,
            is_option: false,
        }
    }

    fn leaf(&self, node: Option<&Node<'_>>, kind: Kind) -> Body {
        let mut leaf = LeafPart {
            kind,
            written: None,
            origin: None,
            spread: [None, None, None],
            notes: None,
        };
        match node.map(|n| &n.value) {
            None => {}
            Some(Value::Record(entries)) if matches!(kind, Kind::Quantity(_)) => {
                let said = |name: &str| {
                    let entry = entries.iter().find(|e| e.name == name)?;
                    Some(self.plain(&entry.node))
                };
                leaf.written = said("value");
                leaf.origin = said("origin");
                leaf.spread = ["low", "likely", "high"].map(said);
                leaf.notes = said("notes");
            }
            Some(_) => leaf.written = node.map(|n| self.plain(n)),
        }
        Body::Leaf(leaf)
    }

    /// What a plain value says.
    fn plain(&self, node: &Node<'_>) -> String {
        match &node.value {
            Value::Text(text) => text.to_string(),
            Value::Number(word) | Value::Word(word) => (*word).to_owned(),
            _ => self.excerpt(node.span),
        }
    }
}
