//! What drag-out is.

use super::{Choice, Goal, Handle, Lesson, Outcome, Step};
use crate::document::Role;
use crate::sweep::Figure;

const STRONGER: [Choice; 4] = [
    Choice {
        words: "Less than a fifth of it",
        outcome: Outcome::Below(0.2),
    },
    Choice {
        words: "A fifth to two fifths",
        outcome: Outcome::UpTo(0.4),
    },
    Choice {
        words: "About half",
        outcome: Outcome::UpTo(0.7),
    },
    Choice {
        words: "More or less the same",
        outcome: Outcome::Otherwise,
    },
];

pub(super) const LESSON: Lesson = Lesson {
    name: "What drag-out is",
    about: "The film on the work is where every loss begins.",
    steps: &[
        Step {
            text: "Work that leaves the bath is wet. The film on it is drag-out: bath, at full strength, carried into the first rinse. Rinses only thin it.",
            lever: Handle::Main(Role::DragOut),
            goal: Goal::Times(0.45, 0.55),
            goal_words: "to half",
            ask: "Drag-out is halved. How much of the final rinse's strength is left?",
            figure: Figure::FinalRinse,
            choices: &STRONGER,
            why: "Each counterflow rinse thins by rinse water over drag-out. Half the drag-out doubles that ratio in every rinse, and the rinses multiply.",
        },
        Step {
            text: "Longer dripping costs nothing; water does, as it must be evaporated again. Now try water instead.",
            lever: Handle::Main(Role::RinseRate),
            goal: Goal::Times(1.8, 2.2),
            goal_words: "to twice what it is",
            ask: "Rinse water is doubled. How much of the final rinse's strength is left?",
            figure: Figure::FinalRinse,
            choices: &STRONGER,
            why: "The ratio doubles again, so it thins about as much. But look at the closure margin: the water has to go somewhere.",
        },
    ],
};
