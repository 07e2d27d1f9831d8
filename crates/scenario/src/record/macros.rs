//! The macro that declares a record once.

/// Declares a record of the scenario.
///
/// ```text
/// record! {
///     /// What it is.
///     Tank {
///         volume: Input<Volume> { "Hint.", unit "L", allowed 1.0 => 1e6, usual 300.0 => 2e4, mark Lever }
///         dead_volume: Input<Volume> = "0 L" { "Hint.", unit "L", allowed 0.0 => 1e6 }
///         footprint: Option<Input<Area>> { "Hint." }
///     }
/// }
/// ```
///
/// After the marks may follow `names Water` (what its text is the name of), `keys Species` (what its keys are the names of) and `example "…"`.
/// A field without a default whose type cannot be absent is required. `name as "other"` gives the name in the file where it is not
/// a Rust name. Every record also holds optional `notes`.
macro_rules! record {
    ($(#[$doc:meta])* $name:ident { $($body:tt)* }) => {
        $crate::record::record! { @all $(#[$doc])* $name {
            $($body)*
            notes: Option<String> { "Anything worth remembering; the program keeps it and does not read it." }
        } }
    };
    (@all $(#[$doc:meta])* $name:ident {
        $(
            $field:ident $(as $key:literal)? : $ty:ty $(= $default:literal)? {
                $hint:literal
                $(, unit $unit:literal)?
                $(, allowed $low:literal => $high:literal)?
                $(, usual $from:literal => $to:literal)?
                $(, mark $mark:ident)*
                $(, names $names:ident)?
                $(, keys $keys:ident)?
                $(, example $example:literal)?
            }
        )*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name {
            $(#[doc = $hint] pub $field: $ty,)*
        }

        // Some fields declare everything, and an update then has nothing left to fill in.
        #[allow(non_upper_case_globals, clippy::needless_update)]
        impl $name {
            $(
                const $field: &'static $crate::record::Meta = &$crate::record::Meta {
                    name: $crate::record::record!(@name $field $($key)?),
                    hint: $hint,
                    $(unit: $unit,)?
                    $(allowed: Some(($low, $high)),)?
                    $(usual: Some(($from, $to)),)?
                    $(default: Some($default),)?
                    marks: &[$($crate::record::Mark::$mark),*],
                    $(names: Some($crate::record::Names::$names),)?
                    $(keys: Some($crate::record::Names::$keys),)?
                    $(example: Some($example),)?
                    ..$crate::record::Meta::EMPTY
                };
            )*
            const NAMES: &'static [&'static str] = &[$($crate::record::record!(@name $field $($key)?)),*];
            /// Everything declared about its fields, in order.
            pub const FIELDS: &'static [&'static $crate::record::Meta] = &[$(Self::$field),*];
        }

        impl $crate::record::Field for $name {
            const IS_LEAF: bool = false;

            fn shape() -> $crate::record::Shape {
                $crate::record::Shape::Record(vec![$($crate::record::Slot {
                    meta: Self::$field,
                    is_needed: <$ty as $crate::record::Field>::absent(Self::$field).is_none(),
                    is_option: <$ty as $crate::record::Field>::IS_OPTION,
                    shape: <$ty as $crate::record::Field>::shape(),
                },)*])
            }

            fn read(
                node: &$crate::tree::Node<'_>,
                meta: &'static $crate::record::Meta,
                reader: &mut $crate::record::Reader<'_>,
            ) -> Self {
                match reader.fields(node, Self::NAMES) {
                    Some(fields) => Self { $($field: fields.read(Self::$field, reader),)* },
                    None => Self::placeholder(meta),
                }
            }

            fn absent(_: &'static $crate::record::Meta) -> Option<Self> {
                Some(Self { $($field: <$ty as $crate::record::Field>::absent(Self::$field)?,)* })
            }

            fn placeholder(_: &'static $crate::record::Meta) -> Self {
                Self { $($field: <$ty as $crate::record::Field>::placeholder(Self::$field),)* }
            }

            fn write(&self, _: &'static $crate::record::Meta) -> Option<$crate::record::Out> {
                let mut fields = $crate::record::OutFields::default();
                $(fields.push(
                    Self::$field.name,
                    $crate::record::Field::write(&self.$field, Self::$field),
                );)*
                Some(fields.into_out())
            }

            fn visit(
                &self,
                path: &mut String,
                _: &'static $crate::record::Meta,
                see: &mut $crate::record::See<'_>,
            ) {
                $(
                    let meta = Self::$field;
                    if meta.is_flat() {
                        $crate::record::Field::visit(&self.$field, path, meta, see);
                    } else {
                        $crate::record::join(path, meta.name, |path| {
                            $crate::record::Field::visit(&self.$field, path, meta, see);
                        });
                    }
                )*
            }

            fn visit_absent(
                _: &mut String,
                _: &'static $crate::record::Meta,
                _: &mut $crate::record::See<'_>,
            ) {
            }

            fn find(
                &self,
                path: &[&str],
                _: &'static $crate::record::Meta,
            ) -> Option<(&'static $crate::record::Meta, $crate::record::Leaf)> {
                let (head, rest) = path.split_first()?;
                $(
                    if *head == Self::$field.name && !Self::$field.is_flat() {
                        return $crate::record::Field::find(&self.$field, rest, Self::$field);
                    }
                )*
                $(
                    if Self::$field.is_flat() {
                        return $crate::record::Field::find(&self.$field, path, Self::$field);
                    }
                )*
                None
            }

            fn find_absent(
                path: &[&str],
                _: &'static $crate::record::Meta,
            ) -> Option<(&'static $crate::record::Meta, $crate::record::Leaf)> {
                let (head, rest) = path.split_first()?;
                $(
                    if *head == Self::$field.name {
                        return <$ty as $crate::record::Field>::find_absent(rest, Self::$field);
                    }
                )*
                None
            }

            fn set(
                &mut self,
                path: &[&str],
                _: &'static $crate::record::Meta,
                change: $crate::record::Change<'_>,
            ) -> Result<(), $crate::record::SetFault> {
                let Some((head, rest)) = path.split_first() else {
                    return Err($crate::record::SetFault::NoSuchPath);
                };
                $(
                    if *head == Self::$field.name && !Self::$field.is_flat() {
                        return $crate::record::Field::set(&mut self.$field, rest, Self::$field, change);
                    }
                )*
                $(
                    if Self::$field.is_flat() {
                        return $crate::record::Field::set(&mut self.$field, path, Self::$field, change);
                    }
                )*
                Err($crate::record::SetFault::NoSuchPath)
            }
        }
    };
    (@name $field:ident) => { stringify!($field) };
    (@name $field:ident $key:literal) => { $key };
}
pub(crate) use record;
