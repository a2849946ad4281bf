//! `sheet`, `reasons` and `survey`: the job sheet, why it says what it says, and what is still to be measured for it.

use super::args::{FormatArg, PageArgs, ReasonsArgs, SheetArgs};
use super::page::{self, Document, Refusal};
use super::{End, many};
use crate::crew;
use crate::desk::load::DEMO_SURVEY;
use crate::document::{self, Extract, Page};
use crate::pipeline::Made;
use crate::report::in_message;
use crate::sorted::Sorted as _;

/// The part of the job sheet that was asked for; refused where there is nothing of it.
fn part(args: &SheetArgs, made: &Made<'_>) -> Result<Option<Extract>, Refusal> {
    let part = match (&args.stage, &args.person) {
        (Some(stage), _) => Extract::Stage(stage.clone()),
        (None, Some(person)) => of_person(made, person)?,
        (None, None) => return Ok(None),
    };
    let stages = document::stages(made);
    if stages.iter().any(|stage| part.takes(stage)) {
        return Ok(Some(part));
    }
    let message = match &part {
        Extract::Person { name, .. } => format!("{name} has nothing to do in this job"),
        Extract::Task(_) => String::new(),
        Extract::Stage(wanted) => {
            let headings: Vec<&str> = stages.iter().map(|(heading, _)| heading.as_str()).collect();
            let wanted = in_message(wanted);
            format!(
                "no stage begins with `{wanted}`, and no task has that number; the stages are: {}",
                headings.join("; ")
            )
        }
    };
    Err(Refusal::Failed(message))
}

/// What the plan of the job's crew gives a person to do.
fn of_person(made: &Made<'_>, person: &str) -> Result<Extract, Refusal> {
    let crew = crew::crew(made, None, None).map_err(page::refused)?;
    let members = crew.team.members.iter();
    let Some(place) = members.clone().position(|member| member.id == person) else {
        let known: Vec<&str> = members.map(|member| member.id.as_str()).collect();
        let person = in_message(person);
        let message = format!(
            "nobody of the job is `{person}`: its people are {}",
            known.join(", ")
        );
        return Err(Refusal::Failed(message));
    };
    let tasks = crew.lane(place).into_iter();
    Ok(Extract::Person {
        name: crew.name(place).to_owned(),
        tasks: tasks.map(|(task, ..)| task.number).sorted_set(),
    })
}

/// The page with the file of the one beside it.
fn beside(mut page: Page, file: Option<&str>) -> Page {
    page.beside = file.map(document::url);
    page
}

/// The job sheet, or a part of it.
pub(super) fn run(args: &SheetArgs) -> Result<End, String> {
    let sheet = Document::new("sheet", |made, look| {
        let part = part(args, made)?;
        let page = document::part_of_sheet(made, look, part.as_ref())?;
        Ok(beside(page, args.reasons.as_deref()))
    });
    let mut request = page::request(&sheet, &args.how)?;
    (request.look.short, request.look.large) = (args.short, args.large);
    match args.jobs.as_slice() {
        [] => page::page_of(&request, None),
        [job] => page::page_of(&request, Some(job)),
        jobs => many::run(&request, jobs),
    }
}

pub(super) fn reasons(args: &ReasonsArgs) -> End {
    let reasons = Document::new("reasons", |made, look| {
        let page = document::reasons(made, look)?;
        Ok(beside(page, args.sheet.as_deref()))
    });
    page::run(&reasons, &args.page)
}

pub(super) fn survey(args: &PageArgs) -> End {
    let mut survey = Document::new("survey", |made, look| Ok(document::survey(made, look)?))
        .beside(FormatArg::Csv, |made, _| Ok(document::survey_table(made)));
    survey.demo = DEMO_SURVEY;
    page::run(&survey, args)
}
