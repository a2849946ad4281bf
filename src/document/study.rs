//! The apprentice's page: the cut on this vehicle, a lesson for each class of connection, questions, and their answers on the last sheets.
//!
//! Takes everything that was made of a job, and the [`Study`] of it; gives one [`Page`].

use minijinja::value::Serde;
use minijinja::{Value, context};

use super::words::capital;
use super::{DocumentError, Look, Made, Page, cut, lesson, sheet};
use crate::picture::vehicle;
use crate::quantity::Units;
use crate::study::{Question, QuestionKind, Study};
use crate::text::Text;

/// Makes the apprentice's page; fails only when its template is defective.
pub fn study(made: &Made<'_>, study: &Study<'_>, look: Look) -> Result<Page, DocumentError> {
    let picture = vehicle::cut_graph(made);
    let questions = study.questions.iter();
    let view = context! {
        head => Serde(sheet::head(made, look)),
        vehicle => &made.job.vehicle.name,
        spacer => made.job.lift.spacer.print(look.units),
        inches => look.units == Units::Inch,
        seed => study.seed,
        other_seed => study.seed.wrapping_add(1),
        cut => cut::view(made, look),
        // The cut as a graph.
        shown => Serde(&picture),
        areas => lesson::areas(made, &study.lessons, look),
        questions => questions.map(|(kind, question)| asked(*kind, question, look)).collect::<Value>(),
    };
    let mut page = sheet::page(made, "Study", "study.md", view)?;
    page.pictures.extend(picture);
    Ok(page)
}

/// A question with its answer.
fn asked(kind: QuestionKind, question: &Question, look: Look) -> Value {
    let print = |text: &Text| text.print(look.units);
    let right: Vec<String> = question
        .right()
        .map(|text| ended(&print(text)).to_owned())
        .collect();
    let because = print(&question.because);
    // A formula begins with its symbol, which has no capital.
    let because = if kind == QuestionKind::Number {
        because
    } else {
        capital(&because)
    };
    let options = question.options.iter();
    context! {
        text => print(&question.text),
        options => options.map(|(text, _)| print(text)).collect::<Value>(),
        // Whether the reason is asked for, too.
        why => kind == QuestionKind::Order,
        answer => capital(&right.join("; ")),
        because => ended(&because),
    }
}

/// A sentence without its full stop, which the template sets.
fn ended(text: &str) -> &str {
    text.strip_suffix('.').unwrap_or(text)
}
