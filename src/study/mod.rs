//! The apprentice's lessons and questions: which parts a lift disturbs and which it does not, and why.
//!
//! Takes everything that was made of a job ([`Made`]), a seed, and the classes wanted; gives a [`Study`]. Every answer is computed from
//! the job, and every wrong option is looked at whether it is really wrong. The page is left to `document`.

mod allowed;
mod askable;
mod heights;
mod kinds;
mod lessons;
mod number;
mod order;
mod question;
mod told;
mod vehicle;
mod words;

use std::collections::BTreeSet;

pub(crate) use lessons::{Lesson, clipped, left_alone, on_axle};
pub(crate) use number::{symbols, way};
pub(crate) use question::{Question, QuestionKind};

use crate::pipeline::Made;

/// What an apprentice reads, and is asked.
#[derive(Debug)]
pub struct Study<'a> {
    /// The seed that the questions were drawn with.
    pub seed: u64,
    /// The lessons, in walking order.
    pub lessons: Vec<Lesson<'a>>,
    /// The questions with their answers, each with what it asks about.
    pub questions: Vec<(QuestionKind, Question)>,
}

/// Makes the lessons and draws the questions. With classes wanted, only of those; else of every class on the vehicle.
/// The same job, seed and classes always give the same.
pub fn study<'a>(made: &Made<'a>, seed: u64, wanted: &BTreeSet<String>) -> Study<'a> {
    let lessons = lessons::lessons(made, wanted);
    let material = askable::Material::new(made, &lessons, wanted);
    Study {
        seed,
        questions: kinds::questions(&material, seed),
        lessons,
    }
}
