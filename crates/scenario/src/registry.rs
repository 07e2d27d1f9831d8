//! Every input of a scenario under its dotted path.

use dragback_units::Dim;

use crate::derived;
use crate::problem::{Problem, nearest};
use crate::record::{Change, Field, Kind, Leaf, Meta, Origin, SetFault};
use crate::schema::Scenario;

/// One input: its path, what is declared about it, and its present value.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// Dotted path: `loop.holding_tank.set_point`.
    pub path: String,
    /// Hint, ranges and unit.
    pub meta: &'static Meta,
    /// Kind, value, origin and spread.
    pub leaf: Leaf,
    /// It is made from other inputs; setting it scales them.
    pub is_derived: bool,
}

impl Parameter {
    /// Dimension of a quantity.
    #[must_use]
    pub const fn dim(&self) -> Option<Dim> {
        match self.leaf.kind {
            Kind::Quantity(dim) => Some(dim),
            _ => None,
        }
    }

    /// Value in SI, for quantities that are given or have a default.
    #[must_use]
    pub const fn si(&self) -> Option<f64> {
        self.leaf.si
    }

    /// Value as written.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        self.leaf.text.as_deref()
    }

    /// Least and greatest value that is accepted, SI.
    #[must_use]
    pub fn allowed_si(&self) -> Option<(f64, f64)> {
        self.meta.allowed_si(self.dim()?)
    }

    /// Least and greatest value that is usual, SI.
    #[must_use]
    pub fn usual_si(&self) -> Option<(f64, f64)> {
        self.meta.usual_si(self.dim()?)
    }

    /// What it is and what moving it does.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        self.meta.hint
    }

    /// Whether a lever suits it.
    #[must_use]
    pub fn suits_lever(&self) -> bool {
        self.meta.suits_lever() || self.is_derived
    }
}

/// All inputs of one scenario, in the order of the document.
#[derive(Clone, Debug, PartialEq)]
pub struct Registry {
    parameters: Vec<Parameter>,
}

impl Registry {
    /// Lists every input of a scenario: given ones, defaults, and optional ones that are absent from records that are there.
    #[must_use]
    pub fn of(scenario: &Scenario) -> Self {
        let mut parameters = Vec::new();
        let mut path = String::new();
        scenario.visit(&mut path, &Meta::EMPTY, &mut |path, meta, leaf| {
            parameters.push(Parameter {
                path: path.to_owned(),
                meta,
                leaf,
                is_derived: false,
            });
        });
        parameters.extend(derived::all(scenario));
        Self { parameters }
    }

    /// Every input.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Parameter> {
        self.parameters.iter()
    }

    /// The input at a path.
    #[must_use]
    pub fn get(&self, path: &str) -> Option<&Parameter> {
        self.parameters.iter().find(|p| p.path == path)
    }

    /// Number of inputs.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.parameters.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.parameters.is_empty()
    }

    /// The path nearest to a misspelt one.
    #[must_use]
    pub fn suggest(&self, path: &str) -> Option<&str> {
        let same_end = || {
            let end = path.rsplit('.').next()?;
            let mut with = self
                .iter()
                .filter(|p| p.path.rsplit('.').next() == Some(end));
            let first = with.next()?;
            with.next().is_none().then_some(first.path.as_str())
        };
        nearest(path, self.iter().map(|p| p.path.as_str()))
            .or_else(same_end)
            .or_else(|| self.kin(path))
    }

    /// The path that shares most of its parts with another one, and what it ends in at least.
    fn kin(&self, path: &str) -> Option<&str> {
        let parts: Vec<&str> = path.split('.').collect();
        let ends: Vec<&str> = self
            .iter()
            .filter_map(|p| p.path.rsplit('.').next())
            .collect();
        let end = nearest(parts.last()?, ends)?;
        let alike = |p: &Parameter| {
            let mut own = p.path.split('.');
            let is_end = p.path.rsplit('.').next() == Some(end);
            let shared = own.clone().filter(|part| parts.contains(part)).count();
            let is_same_beginning = own.next() == parts.first().copied();
            is_end.then(|| 2 * shared + usize::from(is_same_beginning))
        };
        let scored = self.iter().filter_map(|p| Some((alike(p)?, p)));
        // The first of equals.
        let best = scored.reduce(|best, next| if next.0 > best.0 { next } else { best });
        best.map(|(_, p)| p.path.as_str())
    }
}

/// The input at a path.
///
/// # Errors
/// When there is no such input; the problem names the nearest path.
pub fn get(scenario: &Scenario, path: &str) -> Result<Parameter, Problem> {
    if let Some(parameter) = derived::get(scenario, path) {
        return Ok(parameter);
    }
    let segments: Vec<&str> = path.split('.').collect();
    match scenario.find(&segments, &Meta::EMPTY) {
        Some((meta, leaf)) => Ok(Parameter {
            path: path.to_owned(),
            meta,
            leaf,
            is_derived: false,
        }),
        None => Err(no_such_path(scenario, path)),
    }
}

/// Whether a path leads to an input that can be set: one that is there, or that may be added to a record that is there.
pub fn exists(scenario: &Scenario, path: &str) -> bool {
    let segments: Vec<&str> = path.split('.').collect();
    derived::get(scenario, path).is_some() || scenario.find(&segments, &Meta::EMPTY).is_some()
}

/// Sets an input from text as a person writes it: `set(&mut scenario, "loop.holding_tank.set_point", "60 °C")`. The text `none` takes an optional
/// input away.
///
/// Dimension and allowed range are checked here. Rules between inputs are checked by [`check`](crate::check), so that several inputs can be set before;
/// [`apply`] does both.
///
/// # Errors
/// What is wrong with path or value; the scenario is unchanged then.
pub fn set(scenario: &mut Scenario, path: &str, text: &str) -> Result<(), Problem> {
    change(scenario, path, Change::Text(text))
}

/// Sets an input from its SI value; its text keeps the unit in which it was written.
///
/// # Errors
/// As for [`set`].
pub fn set_si(scenario: &mut Scenario, path: &str, si: f64) -> Result<(), Problem> {
    change(scenario, path, Change::Si(si))
}

/// Says where the value of an input comes from; the value stays as it is. An input that is no quantity has no origin and is left alone.
///
/// # Errors
/// When there is no such input.
pub fn set_origin(scenario: &mut Scenario, path: &str, origin: Origin) -> Result<(), Problem> {
    if get(scenario, path)?.dim().is_none() {
        return Ok(());
    }
    change(scenario, path, Change::Origin(origin))
}

/// Sets several inputs and checks the whole scenario; on any problem nothing is changed.
///
/// # Errors
/// Everything that is wrong, with the values or between them.
pub fn apply<'a>(
    scenario: &mut Scenario,
    changes: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Result<(), Vec<Problem>> {
    let mut changed = scenario.clone();
    let mut problems: Vec<Problem> = changes
        .into_iter()
        .filter_map(|(path, text)| set(&mut changed, path, text).err())
        .collect();
    if problems.is_empty() {
        problems = crate::check(&changed);
    }
    if problems.is_empty() {
        *scenario = changed;
        Ok(())
    } else {
        Err(problems)
    }
}

fn change(scenario: &mut Scenario, path: &str, change: Change<'_>) -> Result<(), Problem> {
    if let Some(result) = derived::set(scenario, path, change) {
        return result.map_err(|p| at_path(*p, path));
    }
    let segments: Vec<&str> = path.split('.').collect();
    scenario
        .set(&segments, &Meta::EMPTY, change)
        .map_err(|fault| match fault {
            SetFault::NoSuchPath => no_such_path(scenario, path),
            SetFault::AbsentRecord(name) => Problem::at(
                path,
                format!("the scenario has no `{name}` here"),
                "add the whole record in the file first",
            ),
            SetFault::Value(problem) => at_path(*problem, path),
        })
}

fn at_path(mut problem: Problem, path: &str) -> Problem {
    path.clone_into(&mut problem.path);
    problem
}

fn no_such_path(scenario: &Scenario, path: &str) -> Problem {
    let shown: String = path.chars().take(80).collect();
    if path.is_empty() {
        let advice = "write its path, such as `site.altitude`";
        return Problem::at(shown, "no input is named", advice);
    }
    let registry = Registry::of(scenario);
    let is_inside = |p: &&Parameter| {
        let rest = p.path.strip_prefix(path);
        rest.is_some_and(|rest| rest.starts_with('.'))
    };
    if let Some(first) = registry.iter().find(is_inside) {
        let advice = format!("name one of its inputs, such as `{}`", first.path);
        return Problem::at(shown, "this is a part with inputs of its own", advice);
    }
    let advice = registry.suggest(path).map_or_else(
        || "list the inputs to see what there is".to_owned(),
        |near| format!("did you mean `{near}`?"),
    );
    Problem::at(shown, "there is no such input", advice)
}

#[cfg(test)]
mod tests;
