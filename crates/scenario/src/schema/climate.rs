//! Room and outside air, constant or month by month.

use dragback_units::dim::{Fraction, Temperature};

use crate::record::{
    Change, Field, Input, Leaf, LeafField as _, Meta, Out, Reader, See, SetFault, Shape, choice,
    join, record,
};
use crate::tree::{Node, Value};

choice! {
    /// A month.
    Month {
        /// January.
        Jan = "Jan",
        /// February.
        Feb = "Feb",
        /// March.
        Mar = "Mar",
        /// April.
        Apr = "Apr",
        /// May.
        May = "May",
        /// June.
        Jun = "Jun",
        /// July.
        Jul = "Jul",
        /// August.
        Aug = "Aug",
        /// September.
        Sep = "Sep",
        /// October.
        Oct = "Oct",
        /// November.
        Nov = "Nov",
        /// December.
        Dec = "Dec",
    }
}

record! {
    /// A state of air.
    Air {
        temperature: Input<Temperature> {
            "Dry-bulb temperature of the air. Colder air carries less water away, and a tower must warm it first.",
            unit "°C", allowed -40.0 => 50.0, usual -10.0 => 35.0
        }
        relative_humidity: Input<Fraction> {
            "Relative humidity. Damp air takes up less water; it matters most when the solution is not very hot.",
            unit "%", allowed 0.0 => 100.0, usual 20.0 => 90.0
        }
    }
}

/// Air that is the same all year, or that has a state for each month.
///
/// In a file either one record, `(temperature: "21 °C", relative_humidity: "45 %")`, or a map of twelve, `{"Jan": (…), …}`. In paths its
/// parts stand under `all`, or under `Jan` to `Dec`; in paths that people give, upper and lower case are alike.
#[derive(Clone, Debug, PartialEq)]
pub enum AirMap {
    /// The same all year.
    All(Box<Air>),
    /// January first.
    Months(Vec<Air>),
}

impl AirMap {
    /// The air of each month, January first; one entry when it is the same all year.
    #[must_use]
    pub fn states(&self) -> &[Air] {
        match self {
            Self::All(air) => std::slice::from_ref(air),
            Self::Months(months) => months,
        }
    }

    fn segment(&self, index: usize) -> &'static str {
        match self {
            Self::All(_) => "all",
            Self::Months(_) => Month::WORDS[index % 12],
        }
    }

    fn at(&self, segment: &str) -> Option<usize> {
        (0..self.states().len()).find(|&i| self.segment(i).eq_ignore_ascii_case(segment))
    }

    fn read_months(
        node: &Node<'_>,
        pairs: &[(Node<'_>, Node<'_>)],
        meta: &'static Meta,
        reader: &mut Reader<'_>,
    ) -> Self {
        let mut months: Vec<Option<Air>> = vec![None; 12];
        let mut misspelt = 0;
        for (key, value) in pairs {
            let month = reader.word_of(key, Month::WORDS, |word| {
                Month::from_words(word, &Meta::EMPTY)
            });
            let Some(month) = month else {
                misspelt += 1;
                continue;
            };
            let i = month as usize;
            let air = reader.within(month.word(), |r| Air::read(value, meta, r));
            if months[i].replace(air).is_some() {
                reader.fault(
                    key.span,
                    crate::problem::Problem::of_text(
                        None,
                        format!("{} is given twice", month.word()),
                        "keep one of them",
                    ),
                );
            }
        }
        let absent: Vec<&str> = months
            .iter()
            .zip(Month::WORDS)
            .filter(|(m, _)| m.is_none())
            .map(|(_, w)| *w)
            .collect();
        if absent.len() > misspelt {
            reader.fault(
                node.span,
                crate::problem::Problem::of_text(
                    None,
                    format!("months are missing: {}", absent.join(", ")),
                    "give all twelve, or one record for the whole year",
                ),
            );
        }
        Self::Months(
            months
                .into_iter()
                .map(|m| m.unwrap_or_else(|| Air::placeholder(meta)))
                .collect(),
        )
    }
}

impl Field for AirMap {
    const IS_LEAF: bool = false;

    fn shape() -> Shape {
        Shape::Year(Box::new(Air::shape()))
    }

    fn read(node: &Node<'_>, meta: &'static Meta, reader: &mut Reader<'_>) -> Self {
        match &node.value {
            Value::Map(pairs) => Self::read_months(node, pairs, meta, reader),
            _ => Self::All(Box::new(reader.within("all", |r| Air::read(node, meta, r)))),
        }
    }

    fn absent(_: &'static Meta) -> Option<Self> {
        None
    }

    fn placeholder(meta: &'static Meta) -> Self {
        Self::All(Box::new(Air::placeholder(meta)))
    }

    fn write(&self, meta: &'static Meta) -> Option<Out> {
        match self {
            Self::All(air) => air.write(meta),
            Self::Months(months) => {
                let one = |(word, air): (&&str, &Air)| Some(((*word).to_owned(), air.write(meta)?));
                Some(Out::Map(
                    Month::WORDS.iter().zip(months).filter_map(one).collect(),
                ))
            }
        }
    }

    fn visit(&self, path: &mut String, meta: &'static Meta, see: &mut See<'_>) {
        for (i, air) in self.states().iter().enumerate() {
            join(path, self.segment(i), |path| air.visit(path, meta, see));
        }
    }

    fn visit_absent(_: &mut String, _: &'static Meta, _: &mut See<'_>) {}

    fn find(&self, path: &[&str], meta: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        let (head, rest) = path.split_first()?;
        self.states()[self.at(head)?].find(rest, meta)
    }

    fn find_absent(_: &[&str], _: &'static Meta) -> Option<(&'static Meta, Leaf)> {
        None
    }

    fn set(
        &mut self,
        path: &[&str],
        meta: &'static Meta,
        change: Change<'_>,
    ) -> Result<(), SetFault> {
        let (head, rest) = path.split_first().ok_or(SetFault::NoSuchPath)?;
        let at = self.at(head).ok_or(SetFault::NoSuchPath)?;
        let air = match self {
            Self::All(air) => air.as_mut(),
            Self::Months(months) => &mut months[at],
        };
        air.set(rest, meta, change)
    }
}
