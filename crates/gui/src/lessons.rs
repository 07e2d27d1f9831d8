//! Short lessons on the bench: predict what a lever does, drag it, see. A lesson is data; what is true is taken from the settled answers.

mod closing;
mod drag_out;
mod one_more_rinse;

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use dragback_study::LoopAnswer;

use crate::document::{Document, Role};
use crate::sweep::Figure;

/// All lessons, in the order in which they are offered.
pub const LESSONS: [Lesson; 3] = [drag_out::LESSON, closing::LESSON, one_more_rinse::LESSON];

/// A lesson.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lesson {
    /// Its name.
    pub name: &'static str,
    /// What it is about.
    pub about: &'static str,
    /// Its steps.
    pub steps: &'static [Step],
}

/// A step: something to think about, a lever to move, and what came of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// What stands before the question.
    pub text: &'static str,
    /// The lever to move.
    pub lever: Handle,
    /// Where it is to go.
    pub goal: Goal,
    /// The same in words: `to half`.
    pub goal_words: &'static str,
    /// What is asked.
    pub ask: &'static str,
    /// The figure that decides.
    pub figure: Figure,
    /// What can be predicted. The first outcome that fits is the one that came.
    pub choices: &'static [Choice],
    /// What to take from it.
    pub why: &'static str,
}

/// A lever that a lesson speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Handle {
    /// One of the three main ones.
    Main(Role),
    /// Stages of the rinses that the rinse rate feeds.
    Stages,
}

impl Handle {
    /// Name to show.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Main(role) => role.name(),
            Self::Stages => "Stages",
        }
    }

    /// Path of its input; `None` where the line has none.
    #[must_use]
    pub fn path(self, document: &Document) -> Option<String> {
        let role = match self {
            Self::Main(role) => role,
            Self::Stages => Role::RinseRate,
        };
        let main = document.levers.iter().find(|l| l.role == Some(role))?;
        match self {
            Self::Main(_) => Some(main.path.clone()),
            Self::Stages => {
                let (section, _) = main.path.rsplit_once('.')?;
                let path = format!("{section}.stages");
                document.lever(&path).is_some().then_some(path)
            }
        }
    }

    fn si(self, document: &Document) -> Option<f64> {
        Some(document.lever(&self.path(document)?)?.si)
    }
}

/// Where a lever is to go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Goal {
    /// As a multiple of where it stood; least and greatest.
    Times(f64, f64),
    /// One more than there were.
    OneMore,
}

impl Goal {
    /// Where a lever is to go from where it stands, SI.
    #[must_use]
    pub fn target(self, from_si: f64) -> f64 {
        match self {
            Self::Times(least, most) => 0.5 * (least + most) * from_si,
            Self::OneMore => from_si + 1.0,
        }
    }

    /// Whether it is there.
    fn is_reached(self, from_si: f64, now_si: f64) -> bool {
        match self {
            Self::Times(least, most) => (least..=most).contains(&(now_si / from_si)),
            Self::OneMore => (now_si - from_si - 1.0).abs() < 0.01,
        }
    }
}

/// Something that can be predicted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// In words.
    pub words: &'static str,
    /// When it is true.
    pub outcome: Outcome,
}

/// What may come of a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// It is below zero.
    Negative,
    /// It is less than so many times what it was.
    Below(f64),
    /// It is at most so many times what it was.
    UpTo(f64),
    /// Anything else.
    Otherwise,
}

impl Outcome {
    /// Whether it fits a figure before and after.
    #[must_use]
    pub fn fits(self, before: f64, after: f64) -> bool {
        match self {
            Self::Negative => after < 0.0,
            Self::Below(times) => after < times * before,
            Self::UpTo(times) => after <= times * before,
            Self::Otherwise => true,
        }
    }
}

/// Where somebody stands in a lesson.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Number of the lesson in [`LESSONS`].
    pub lesson: usize,
    /// Number of the step.
    pub step: usize,
    /// What was predicted, and how things stood then.
    pub predicted: Option<Predicted>,
}

/// A prediction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Number of the choice.
    pub choice: usize,
    /// The lever then, SI.
    pub lever_si: f64,
    /// The figure then, SI.
    pub figure_si: f64,
    /// What else had been changed then, as a number that differs where that does.
    others: u64,
}

/// What came of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Number of the choice that came true.
    pub choice: usize,
    /// The figure before, SI.
    pub before: f64,
    /// The figure now, SI.
    pub after: f64,
}

impl Standing {
    /// At the beginning of a lesson; `None` when there is no such lesson.
    #[must_use]
    pub fn begin(lesson: usize) -> Option<Self> {
        LESSONS.get(lesson)?.steps.first()?;
        Some(Self {
            lesson,
            step: 0,
            predicted: None,
        })
    }

    /// The lesson.
    #[must_use]
    pub fn lesson(&self) -> Option<&'static Lesson> {
        LESSONS.get(self.lesson)
    }

    /// The step.
    #[must_use]
    pub fn step(&self) -> Option<&'static Step> {
        self.lesson()?.steps.get(self.step)
    }

    /// Whether the line has what every step of the lesson speaks of.
    #[must_use]
    pub fn fits(&self, document: &Document, line: &LoopAnswer) -> bool {
        let steps = self.lesson().map_or(&[][..], |l| l.steps);
        let has = |step: &Step| {
            let lever = step.lever.si(document).filter(|si| *si > 0.0);
            lever.is_some() && step.figure.si(line).is_some()
        };
        steps.iter().all(has)
    }

    /// The same after a prediction; `None` where the line has no such lever or figure.
    #[must_use]
    pub fn predict(self, choice: usize, document: &Document, line: &LoopAnswer) -> Option<Self> {
        let step = self.step()?;
        step.choices.get(choice)?;
        let predicted = Predicted {
            choice,
            lever_si: step.lever.si(document).filter(|si| *si > 0.0)?,
            figure_si: step.figure.si(line)?,
            others: others(step.lever, document),
        };
        Some(Self {
            predicted: Some(predicted),
            ..self
        })
    }

    /// The same step before anything was predicted.
    #[must_use]
    pub fn anew(self) -> Self {
        Self {
            predicted: None,
            ..self
        }
    }

    /// The next step, or `None` after the last one.
    #[must_use]
    pub fn next(self) -> Option<Self> {
        let step = self.step + 1;
        self.lesson()?.steps.get(step)?;
        Some(Self {
            step,
            ..self.anew()
        })
    }

    /// Whether anything but the lever of the step has been moved since the prediction, so that nothing can be said of the lever alone.
    #[must_use]
    pub fn is_disturbed(&self, document: &Document) -> bool {
        let both = self.predicted.zip(self.step());
        both.is_some_and(|(then, step)| then.others != others(step.lever, document))
    }

    /// What came of it, once the lever is where it should be and nothing else has moved; `line` are the settled answers for its present position.
    #[must_use]
    pub fn seen(&self, document: &Document, line: &LoopAnswer) -> Option<Seen> {
        let (step, predicted) = (self.step()?, self.predicted?);
        let now_si = step.lever.si(document)?;
        let is_there =
            step.goal.is_reached(predicted.lever_si, now_si) && !self.is_disturbed(document);
        let (before, after) = (predicted.figure_si, step.figure.si(line)?);
        let came = |c: &Choice| c.outcome.fits(before, after);
        let choice = step.choices.iter().position(came).filter(|_| is_there)?;
        Some(Seen {
            choice,
            before,
            after,
        })
    }
}

/// What has been changed of a line besides a lever, as a number.
fn others(lever: Handle, document: &Document) -> u64 {
    let own = lever.path(document);
    let mut hasher = DefaultHasher::new();
    let changes = document.changed_texts().into_iter();
    let changes = changes.filter(|(path, _)| Some(path) != own.as_ref());
    changes.for_each(|change| change.hash(&mut hasher));
    hasher.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_has_an_answer_for_whatever_comes() {
        for lesson in LESSONS {
            assert!(!lesson.steps.is_empty(), "{}", lesson.name);
            for step in lesson.steps {
                let last = step.choices.last().map(|c| c.outcome);
                assert_eq!(last, Some(Outcome::Otherwise), "{}", step.ask);
                for from in [1.0, 3.0, 0.04] {
                    assert!(!step.goal.is_reached(from, from), "{}", step.ask);
                    assert!(step.goal.is_reached(from, step.goal.target(from)));
                }
                for text in [step.text, step.ask, step.why, step.goal_words] {
                    assert!(!text.is_empty());
                }
            }
        }
    }

    #[test]
    fn outcomes_fit_what_they_say() {
        assert!(Outcome::Negative.fits(3.0, -0.1) && !Outcome::Negative.fits(-3.0, 0.0));
        assert!(Outcome::Below(0.5).fits(2.0, 0.99) && !Outcome::Below(0.5).fits(2.0, 1.0));
        assert!(Outcome::UpTo(0.5).fits(2.0, 1.0) && !Outcome::UpTo(0.5).fits(2.0, 1.01));
        assert!(Outcome::Otherwise.fits(f64::NAN, 0.0));
    }
}
