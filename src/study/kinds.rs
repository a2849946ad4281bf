//! The table of who makes each kind of question.

use std::collections::BTreeSet;

use super::askable::Material;
use super::question::{Question, QuestionKind};
use super::{allowed, heights, number, order, told, vehicle};
use crate::lots::Lots;

/// Makes questions of one kind, in an order drawn by lot.
type Make = fn(&Material<'_>, &mut Lots) -> Vec<Question>;

/// Who makes each kind, and how many of it are asked at the most. The row's number names the stream of lots, so a new kind is
/// added at the end, and the others stay as they are.
const MAKERS: [(Make, usize); 10] = [
    (vehicle::rides, 2),
    (vehicle::disturbed, 3),
    (number::make, 4),
    (heights::make, 4),
    (told::missed, 3),
    (told::measured, 3),
    (order::order, 4),
    (order::hold, 2),
    (allowed::who, 3),
    (allowed::evidence, 3),
];

/// The questions of every kind; no two are the same.
pub(super) fn questions(material: &Material<'_>, seed: u64) -> Vec<Question> {
    let mut asked = BTreeSet::new();
    let mut questions = Vec::new();
    for (stream, (make, most)) in (0..).zip(MAKERS) {
        let mut draw = Lots::apart(seed, stream);
        let drawn = make(material, &mut draw).into_iter();
        let fresh = drawn.filter(|question| question.is_sound() && asked.insert(question.says()));
        questions.extend(fresh.take(most));
    }
    let of_heights = questions
        .iter_mut()
        .filter(|one| one.kind == QuestionKind::Height);
    of_heights.for_each(|question| heights::explain(material, question));
    questions
}
