//! Why one more rinse saves so much water.

use super::{Choice, Goal, Handle, Lesson, Outcome, Step};
use crate::document::Role;
use crate::sweep::Figure;

const CLEANER: [Choice; 4] = [
    Choice {
        words: "Less than a fifth of it",
        outcome: Outcome::Below(0.2),
    },
    Choice {
        words: "About half",
        outcome: Outcome::UpTo(0.65),
    },
    Choice {
        words: "A quarter less",
        outcome: Outcome::UpTo(0.9),
    },
    Choice {
        words: "More or less the same",
        outcome: Outcome::Otherwise,
    },
];

const DIRTIER: [Choice; 4] = [
    Choice {
        words: "Hardly at all",
        outcome: Outcome::UpTo(1.2),
    },
    Choice {
        words: "As the water falls: two thirds more",
        outcome: Outcome::UpTo(2.2),
    },
    Choice {
        words: "Several times as strong",
        outcome: Outcome::UpTo(10.0),
    },
    Choice {
        words: "More than ten times as strong",
        outcome: Outcome::Otherwise,
    },
];

pub(super) const LESSON: Lesson = Lesson {
    name: "Why one more rinse saves so much water",
    about: "Rinses in counterflow multiply, and water only adds.",
    steps: &[
        Step {
            text: "Fresh water runs into the last rinse and from there towards the bath, against the work. Each rinse thins the film once more, with the same water.",
            lever: Handle::Stages,
            goal: Goal::OneMore,
            goal_words: "up by one",
            ask: "One more rinse is put in; the water stays. How much of the final rinse's strength is left?",
            figure: Figure::FinalRinse,
            choices: &CLEANER,
            why: "Every rinse divides the strength by about rinse water over drag-out. One more divides by that ratio once more, and costs no water.",
        },
        Step {
            text: "The work is far cleaner now than it need be. What was won can be spent: on less water.",
            lever: Handle::Main(Role::RinseRate),
            goal: Goal::Times(0.55, 0.65),
            goal_words: "to three fifths",
            ask: "Rinse water is cut to three fifths. By how much does the final rinse get stronger?",
            figure: Figure::FinalRinse,
            choices: &DIRTIER,
            why: "Less water thins less in every rinse, and the rinses multiply. But the rinse that was put in had won more than that: the work leaves cleaner than at first, with two fifths of the water saved. See the closure margin: that water need not be evaporated.",
        },
    ],
};
