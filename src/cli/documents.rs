//! `brief`, `parts`, `crew` and `heights`: what is made of a job beside its sheet.
//!
//! Each is a [`Document`]: its page, the same for other programs, and a table or a calendar where it has one.

use std::path::Path;

use super::args::{CrewArgs, FormatArg, HeightsArgs, PageArgs};
use super::page::{self, Document, Refusal};
use super::{End, complain, fail, output, refused};
use crate::crew::{self, Crew, Rest};
use crate::desk::load::Loaded;
use crate::desk::open;
use crate::document;
use crate::heights::{self, AskedHeights, Heights};
use crate::job::date::moment;
use crate::pipeline::Made;
use crate::record::State;
use crate::report::{Place, in_message};
use crate::sorted::Sorted as _;
use crate::{brief, parts};

/// The customer's page.
pub(super) fn brief(args: &PageArgs) -> End {
    let brief = Document::new("brief", |made, look| Ok(document::brief(made, look)?))
        .json(|made| Ok(brief::to_json(made, &brief::collect(made))));
    page::run(&brief, args)
}

/// The bench list.
pub(super) fn parts(args: &PageArgs) -> End {
    let parts = Document::new("parts", |made, look| Ok(document::parts(made, look)?))
        .json(|made| Ok(parts::to_json(made, &parts::collect(made))))
        .beside(FormatArg::Csv, |made, _| {
            Ok(parts::to_csv(made, &parts::collect(made)))
        });
    page::run(&parts, args)
}

/// The schedule of a crew.
pub(super) fn crew(args: &CrewArgs) -> End {
    let rest = match rest(args) {
        Ok(rest) => rest,
        Err(end) => return end,
    };
    let what = (args.with.as_deref(), rest.as_ref());
    let schedule = Document::new("crew", |made, look| {
        Ok(document::crew(made, &crew_of(made, what)?, look)?)
    })
    .json(|made| Ok(crew::to_json(made, &crew_of(made, what)?)))
    .beside(FormatArg::Ics, |made, look| {
        crew::to_ics(made, &crew_of(made, what)?, look.units).map_err(page::refused)
    });
    page::run(&schedule, &args.page)
}

fn crew_of<'a>(
    made: &Made<'a>,
    (with, rest): (Option<&str>, Option<&Rest>),
) -> Result<Crew<'a>, Refusal> {
    crew::crew(made, with, rest).map_err(page::refused)
}

/// What is left of the job by its record, where that is asked for; fails with how the run ends once it is said why not.
fn rest(args: &CrewArgs) -> Result<Option<Rest>, End> {
    let Some((from, job)) = args.from.as_deref().zip(args.page.job.as_deref()) else {
        return Ok(None);
    };
    let Some(start) = moment(from) else {
        let from = in_message(from);
        return Err(fail(&format!(
            "`{from}` is no day and no time: write `2026-03-04` or `2026-03-04 13:00`"
        )));
    };
    if job == Path::new("-") {
        return Err(fail(open::NO_PLACE));
    }
    let mut loaded = Loaded::default();
    let rules = (&args.page.how.rules, output::complain as _);
    let Some(desk) = open::open(job, rules, &mut loaded) else {
        return Err(complain(&loaded).max(End::Open));
    };
    let doubt = desk.footing.doubt.clone();
    if let Some(problem) = desk.footing.other_vehicle().or(doubt) {
        return Err(refused(problem.at(Place::at(&desk.path))));
    }
    let status = desk.footing.status(&desk.record);
    let done = status.tasks.iter().filter(|one| one.state() >= State::Done);
    Ok(Some(Rest {
        done: done.map(|one| one.task.id.clone()).sorted_set(),
        start,
    }))
}

/// The heights asked for.
pub(super) fn heights(args: &HeightsArgs) -> End {
    let heights = Document::new("heights", |made, look| {
        Ok(document::heights(made, &heights_of(made, args)?, look)?)
    })
    .json(|made| Ok(heights::to_json(made, &heights_of(made, args)?)));
    page::run(&heights, &args.page)
}

fn heights_of(made: &Made<'_>, args: &HeightsArgs) -> Result<Heights, Refusal> {
    let range = [&args.from, &args.to, &args.step].map(String::as_str);
    let asked = AskedHeights::read(range, args.tyre.as_deref(), made.job);
    let asked = asked.map_err(Refusal::Problems)?;
    Ok(heights::heights(made, asked))
}
