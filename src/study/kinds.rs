//! The table of who makes each kind of question.

use std::collections::BTreeSet;

use super::askable::Material;
use super::question::{Question, QuestionKind};
use super::{allowed, heights, number, order, told, vehicle};
use crate::lots::Lots;

/// Makes questions of one kind, in an order drawn by lot.
type Make = fn(&Material<'_>, &mut Lots) -> Vec<Question>;

/// Each kind, who makes it, and how many of it are asked at the most. The row's number names the stream of lots, so a new kind is
/// added at the end, and the others stay as they are.
const MAKERS: [(QuestionKind, Make, usize); 10] = [
    (QuestionKind::Rides, vehicle::rides, 2),
    (QuestionKind::Disturbed, vehicle::disturbed, 3),
    (QuestionKind::Number, number::make, 4),
    (QuestionKind::Height, heights::make, 4),
    (QuestionKind::Missed, told::missed, 3),
    (QuestionKind::Measured, told::measured, 3),
    (QuestionKind::Order, order::order, 4),
    (QuestionKind::Hold, order::hold, 2),
    (QuestionKind::Who, allowed::who, 3),
    (QuestionKind::Evidence, allowed::evidence, 3),
];

/// The questions of every kind; no two are the same.
pub(super) fn questions(material: &Material<'_>, seed: u64) -> Vec<(QuestionKind, Question)> {
    let mut asked = BTreeSet::new();
    let mut questions = Vec::new();
    for (stream, (kind, make, most)) in (0..).zip(MAKERS) {
        let mut draw = Lots::apart(seed, stream);
        let drawn = make(material, &mut draw).into_iter();
        let fresh = drawn.filter(|question| question.is_sound() && asked.insert(question.says()));
        questions.extend(fresh.take(most).map(|question| (kind, question)));
    }
    let of_heights = questions.iter_mut();
    let of_heights = of_heights.filter(|(kind, _)| *kind == QuestionKind::Height);
    of_heights.for_each(|(_, question)| heights::explain(material, question));
    questions
}
