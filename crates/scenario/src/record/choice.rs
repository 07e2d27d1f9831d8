//! Inputs that are words: choices, flags, free text, and texts with a form of their own.

use super::field::{Change, Kind, Leaf, LeafField};
use super::meta::Meta;
use super::reader::Reader;
use super::write::Out;
use crate::problem::{Problem, nearest, one_of};
use crate::tree::{Node, Value};

/// Declares an enum of words and makes it an input.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name {
            $($(#[$vdoc])* $variant,)+
        }

        impl $name {
            /// Every choice, in the order of declaration.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];
            /// Every word, in the order of declaration.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];

            /// The word that stands for it in a file.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$variant => $word,)+
                }
            }

            /// From the word that stands for it.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word {
                    $($word => Some(Self::$variant),)+
                    _ => None,
                }
            }
        }

        $crate::record::choice!(@leaf $name);
    };
    (@leaf $name:ident) => {
        impl $crate::record::LeafField for $name {
            fn kind() -> $crate::record::Kind {
                $crate::record::Kind::Choice(Self::WORDS)
            }

            fn read_leaf(
                node: &$crate::tree::Node<'_>,
                meta: &'static $crate::record::Meta,
                reader: &mut $crate::record::Reader<'_>,
            ) -> Option<Self> {
                reader.word_of(node, Self::WORDS, |word| Self::from_words(word, meta))
            }

            fn from_words(
                text: &str,
                _: &'static $crate::record::Meta,
            ) -> Result<Self, Box<$crate::problem::Problem>> {
                let word = text.trim();
                Self::from_word(word).ok_or_else(|| $crate::record::not_a_choice(word, Self::WORDS))
            }

            fn stand_in(meta: &'static $crate::record::Meta) -> Self {
                meta.default.and_then(Self::from_word).unwrap_or(Self::ALL[0])
            }

            fn write_leaf(&self, meta: &'static $crate::record::Meta) -> Option<$crate::record::Out> {
                let word = self.word();
                (meta.default != Some(word)).then(|| $crate::record::Out::Word(word.to_owned()))
            }

            fn leaf(&self) -> $crate::record::Leaf {
                $crate::record::Leaf::of(<Self as $crate::record::LeafField>::kind(), self.word())
            }

            fn change(
                &mut self,
                meta: &'static $crate::record::Meta,
                change: $crate::record::Change<'_>,
            ) -> Result<(), Box<$crate::problem::Problem>> {
                *self = Self::from_words($crate::record::words_of(change)?, meta)?;
                Ok(())
            }
        }
    };
}
pub(crate) use choice;

/// The problem of a word that is no choice.
pub fn not_a_choice(word: &str, words: &[&'static str]) -> Box<Problem> {
    let allowed = one_of(words);
    let advice = match nearest(word, words.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "choose one of them".to_owned(),
    };
    let shown: String = word.chars().take(60).collect();
    let message = format!("`{shown}` is not one of {allowed}");
    Box::new(
        Problem::of_text(None, message, advice)
            .with_value(shown)
            .with_allowed(allowed),
    )
}

/// The text of a change; a number is no text.
///
/// # Errors
/// When the change is a number.
pub fn words_of(change: Change<'_>) -> Result<&str, Box<Problem>> {
    match change {
        Change::Text(text) => Ok(text),
        Change::Si(_) | Change::Origin(_) => Err(Box::new(Problem::of_text(
            None,
            "a number is given where words are expected",
            "give the words",
        ))),
    }
}

impl Reader<'_> {
    /// Reads a bare word, or the same word in quotes.
    pub fn word_of<T>(
        &mut self,
        node: &Node<'_>,
        words: &[&'static str],
        read: impl FnOnce(&str) -> Result<T, Box<Problem>>,
    ) -> Option<T> {
        let word = match &node.value {
            Value::Word(word) => word,
            Value::Text(text) => text.as_ref(),
            _ => {
                self.wrong_form(
                    node,
                    &format!("one of the words {}", one_of(words)),
                    "choose one of them",
                );
                return None;
            }
        };
        match read(word) {
            Ok(value) => Some(value),
            Err(problem) => {
                self.fault(node.span, *problem);
                None
            }
        }
    }

    /// Reads a quoted text.
    pub fn text_of(&mut self, node: &Node<'_>, advice: &str) -> Option<String> {
        if let Value::Text(text) = &node.value {
            return Some(text.to_string());
        }
        self.wrong_form(node, "a text in quotes", advice);
        None
    }
}

/// Longest text that is set, bytes: a scenario with a few of them is still short enough to be read back.
const LONGEST_TEXT: usize = 20_000;

impl LeafField for String {
    fn kind() -> Kind {
        Kind::Text
    }

    fn read_leaf(node: &Node<'_>, _: &'static Meta, reader: &mut Reader<'_>) -> Option<Self> {
        reader.text_of(node, "put it in quotes")
    }

    fn from_words(text: &str, _: &'static Meta) -> Result<Self, Box<Problem>> {
        if text.len() > LONGEST_TEXT {
            let message = format!(
                "a text of {} characters is longer than the allowed {LONGEST_TEXT}",
                text.chars().count()
            );
            return Err(Box::new(Problem::of_text(None, message, "shorten it")));
        }
        Ok(text.to_owned())
    }

    fn stand_in(_: &'static Meta) -> Self {
        Self::new()
    }

    fn write_leaf(&self, meta: &'static Meta) -> Option<Out> {
        (meta.default != Some(self)).then(|| Out::Text(self.clone()))
    }

    fn leaf(&self) -> Leaf {
        Leaf::of(Kind::Text, self.as_str())
    }

    fn change(&mut self, meta: &'static Meta, change: Change<'_>) -> Result<(), Box<Problem>> {
        *self = Self::from_words(words_of(change)?, meta)?;
        Ok(())
    }
}

/// Words of a flag.
const FLAG: [&str; 2] = ["true", "false"];

impl LeafField for bool {
    fn kind() -> Kind {
        Kind::Flag
    }

    fn read_leaf(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Option<Self> {
        reader.word_of(node, &FLAG, |word| Self::from_words(word, meta))
    }

    fn from_words(text: &str, _: &'static Meta) -> Result<Self, Box<Problem>> {
        text.trim()
            .parse()
            .map_err(|_| not_a_choice(text.trim(), &FLAG))
    }

    fn stand_in(_: &'static Meta) -> Self {
        false
    }

    fn write_leaf(&self, meta: &'static Meta) -> Option<Out> {
        let word = if *self { "true" } else { "false" };
        (meta.default != Some(word)).then(|| Out::Word(word.to_owned()))
    }

    fn leaf(&self) -> Leaf {
        Leaf::of(Kind::Flag, if *self { "true" } else { "false" })
    }

    fn change(&mut self, meta: &'static Meta, change: Change<'_>) -> Result<(), Box<Problem>> {
        *self = Self::from_words(words_of(change)?, meta)?;
        Ok(())
    }
}

/// Makes an input of a type that is a text with a form of its own: it has `parse` and `text`.
macro_rules! worded {
    ($name:ident, $example:literal) => {
        impl $crate::record::LeafField for $name {
            fn kind() -> $crate::record::Kind {
                $crate::record::Kind::Text
            }

            fn example() -> Option<&'static str> {
                Some($example)
            }

            fn read_leaf(
                node: &$crate::tree::Node<'_>,
                meta: &'static $crate::record::Meta,
                reader: &mut $crate::record::Reader<'_>,
            ) -> Option<Self> {
                let advice = concat!("write it like \"", $example, "\"");
                let text = reader.text_of(node, advice)?;
                match Self::from_words(&text, meta) {
                    Ok(value) => Some(value),
                    Err(problem) => {
                        reader.fault(node.span, *problem);
                        None
                    }
                }
            }

            fn from_words(
                text: &str,
                _: &'static $crate::record::Meta,
            ) -> Result<Self, Box<$crate::problem::Problem>> {
                Self::parse(text).map_err(|what| {
                    let advice = concat!("write it like \"", $example, "\"");
                    let problem = $crate::problem::Problem::of_text(None, what, advice);
                    Box::new(problem.with_value(text))
                })
            }

            fn stand_in(_: &'static $crate::record::Meta) -> Self {
                Self::default()
            }

            fn write_leaf(
                &self,
                meta: &'static $crate::record::Meta,
            ) -> Option<$crate::record::Out> {
                let text = self.text();
                (meta.default != Some(text)).then(|| $crate::record::Out::Text(text.to_owned()))
            }

            fn leaf(&self) -> $crate::record::Leaf {
                $crate::record::Leaf::of($crate::record::Kind::Text, self.text())
            }

            fn change(
                &mut self,
                meta: &'static $crate::record::Meta,
                change: $crate::record::Change<'_>,
            ) -> Result<(), Box<$crate::problem::Problem>> {
                *self = Self::from_words($crate::record::words_of(change)?, meta)?;
                Ok(())
            }
        }
    };
}
pub(crate) use worded;
