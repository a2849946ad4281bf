//! The apprentice's questions, one at a time: the answer stands there once something is chosen. Nothing is kept of it.

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::{jobs, look};
use crate::quantity::Units;
use crate::study::Question;
use crate::text::Text;

/// `GET /job/{job}/study`
pub(super) fn page(house: &House, ask: &Ask, board: &Board) -> Answer {
    let number: usize = ask.query.get("n").and_then(|n| n.parse().ok()).unwrap_or(1);
    let choice = ask
        .query
        .get("choice")
        .and_then(|choice| choice.parse::<usize>().ok());
    let asked = board.known.questions();
    let place = number.saturating_sub(1) % asked.len().max(1);
    match asked.get(place) {
        Some(question) => {
            let values = values(board, question, (place, asked.len()), choice);
            look::page("study.html", (house, ask), values)
        }
        None => Answer::refused(
            409,
            "Nothing can be asked about this job yet: its file has mistakes.",
        ),
    }
}

fn values(
    board: &Board,
    question: &Question,
    (place, count): (usize, usize),
    choice: Option<usize>,
) -> Value {
    let options = &question.options;
    let chosen = choice.and_then(|choice| options.get(choice.checked_sub(1)?));
    let print = |text: &Text| text.print(Units::Metric);
    let right: Vec<String> = question.right().map(print).collect();
    let verdict = chosen.map(|(_, is_right)| match (is_right, right.len()) {
        (true, 1) => "Right.".to_owned(),
        (true, _) => format!("Right; so are others: {}.", right.join("; ")),
        (false, _) => format!("No. It is: {}.", right.join("; ")),
    });
    json!({
        "title": "Study",
        "job": jobs::head(board),
        "number": place + 1,
        "count": count,
        "question": print(&question.text),
        "choices": options.iter().map(|(text, _)| print(text)).collect::<Vec<_>>(),
        "answered": verdict.is_some(),
        "verdict": verdict.unwrap_or_default(),
        "answer": [print(&question.because)],
        "after": (place + 1) % count.max(1) + 1,
    })
}
