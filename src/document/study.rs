//! The apprentice's page: the cut on this vehicle, a lesson for each class of connection, questions, and their answers on the last sheets.
//!
//! Takes everything that was made of a job, and the [`Study`] of it; gives one [`Page`].

use serde::Serialize;

use super::lesson::{self, Area};
use super::picture_marks::Shown;
use super::sheet::{self, Head};
use super::words::capital;
use super::{DocumentError, Look, Made, Page, cut};
use crate::picture::vehicle;
use crate::study::{Question, QuestionKind, Study};
use crate::text::Text;

#[derive(Debug, Serialize)]
struct StudyView {
    head: Head,
    vehicle: String,
    spacer: String,
    seed: u64,
    other_seed: u64,
    cut: cut::CutView,
    /// The cut as a graph.
    shown: Option<Shown>,
    areas: Vec<Area>,
    questions: Vec<AskedWithAnswer>,
}

/// A question with its answer.
#[derive(Debug, Serialize)]
struct AskedWithAnswer {
    text: String,
    options: Vec<String>,
    /// Whether the reason is asked for, too.
    why: bool,
    answer: String,
    because: String,
}

/// Makes the apprentice's page; fails only when its template is defective.
pub fn study(made: &Made<'_>, study: &Study<'_>, look: Look) -> Result<Page, DocumentError> {
    let picture = vehicle::cut_graph(made);
    let view = StudyView {
        head: sheet::head(made, look),
        vehicle: made.job.vehicle.name.clone(),
        spacer: made.job.lift.spacer.print(look.units),
        seed: study.seed,
        other_seed: study.seed.wrapping_add(1),
        cut: cut::view(made, look),
        shown: picture.as_ref().map(Shown::of),
        areas: lesson::areas(made, &study.lessons, look),
        questions: study
            .questions
            .iter()
            .map(|question| asked(question, look))
            .collect(),
    };
    let mut page = sheet::page(made, "Study", "study.md", view)?;
    page.pictures.extend(picture);
    Ok(page)
}

fn asked(question: &Question, look: Look) -> AskedWithAnswer {
    let print = |text: &Text| text.print(look.units);
    let right: Vec<String> = question
        .right()
        .map(|text| ended(&print(text)).to_owned())
        .collect();
    let because = print(&question.because);
    // A formula begins with its symbol, which has no capital.
    let because = if question.kind == QuestionKind::Number {
        because
    } else {
        capital(&because)
    };
    AskedWithAnswer {
        text: print(&question.text),
        options: question
            .options
            .iter()
            .map(|choice| print(&choice.text))
            .collect(),
        why: question.kind == QuestionKind::Order,
        answer: capital(&right.join("; ")),
        because: ended(&because).to_owned(),
    }
}

/// A sentence without its full stop, which the template sets.
fn ended(text: &str) -> &str {
    text.strip_suffix('.').unwrap_or(text)
}
