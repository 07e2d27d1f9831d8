//! Closing the loop.

use super::{Choice, Goal, Handle, Lesson, Outcome, Step};
use crate::document::Role;
use crate::sweep::Figure;

const MARGIN: [Choice; 4] = [
    Choice {
        words: "It falls below zero",
        outcome: Outcome::Negative,
    },
    Choice {
        words: "It shrinks but stays above zero",
        outcome: Outcome::Below(0.95),
    },
    Choice {
        words: "It stays as it is",
        outcome: Outcome::UpTo(1.05),
    },
    Choice {
        words: "It grows",
        outcome: Outcome::Otherwise,
    },
];

pub(super) const LESSON: Lesson = Lesson {
    name: "Closing the loop",
    about: "What comes in as rinse water must leave as vapour.",
    steps: &[
        Step {
            text: "The loop closes when the tower and the bath evaporate at least the rinse water that comes in. The closure margin is what is left over.",
            lever: Handle::Main(Role::HeatInput),
            goal: Goal::Times(0.3, 0.4),
            goal_words: "to about a third",
            ask: "The heaters give a third of their power. What becomes of the closure margin?",
            figure: Figure::ClosureMargin,
            choices: &MARGIN,
            why: "Evaporating water takes heat, and nearly all of it comes from the heaters. Where they are the limit, less heat is less room for rinse water.",
        },
        Step {
            text: "There are two ways out: more heat, or less water. Less water is cheaper, as long as the work still leaves clean.",
            lever: Handle::Main(Role::RinseRate),
            goal: Goal::Times(0.28, 0.38),
            goal_words: "to a third",
            ask: "Rinse water is cut to a third. What becomes of the closure margin?",
            figure: Figure::ClosureMargin,
            choices: &MARGIN,
            why: "Every litre that is not fed need not be evaporated. The price stands at the final rinse: see whether it is still below its limit. One more rinse would win it back.",
        },
    ],
};
