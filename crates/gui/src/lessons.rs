//! Short lessons on the bench: predict what a lever does, drag it, see. A lesson is data; what is true is taken from the settled answers.

mod closing;
mod drag_out;

use dragback_study::LoopAnswer;

use crate::document::{Document, Role};
use crate::sweep::Figure;

/// All lessons, in the order in which they are offered.
pub const LESSONS: [Lesson; 2] = [drag_out::LESSON, closing::LESSON];

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
    pub lever: Role,
    /// Where it is to go, as a multiple of where it stood; least and greatest.
    pub goal: (f64, f64),
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

    /// The same after a prediction; `None` where the line has no such lever or figure.
    #[must_use]
    pub fn predict(self, choice: usize, document: &Document, line: &LoopAnswer) -> Option<Self> {
        let step = self.step()?;
        step.choices.get(choice)?;
        let predicted = Predicted {
            choice,
            lever_si: lever_si(document, step.lever).filter(|si| *si > 0.0)?,
            figure_si: step.figure.si(line)?,
        };
        Some(Self {
            predicted: Some(predicted),
            ..self
        })
    }

    /// The next step, or `None` after the last one.
    #[must_use]
    pub fn next(self) -> Option<Self> {
        let step = self.step + 1;
        self.lesson()?.steps.get(step)?;
        Some(Self {
            step,
            predicted: None,
            ..self
        })
    }

    /// What came of it, once the lever is where it should be; `line` are the settled answers for its present position.
    #[must_use]
    pub fn seen(&self, document: &Document, line: &LoopAnswer) -> Option<Seen> {
        let (step, predicted) = (self.step()?, self.predicted?);
        let moved = lever_si(document, step.lever)? / predicted.lever_si;
        let (least, most) = step.goal;
        let is_there = moved >= least && moved <= most;
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

fn lever_si(document: &Document, role: Role) -> Option<f64> {
    let lever = document.levers.iter().find(|l| l.role == Some(role))?;
    Some(lever.si)
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
                let (least, most) = step.goal;
                assert!(0.0 < least && least < most && !(least..=most).contains(&1.0));
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
