//! The brief: what the customer is told before agreeing, in plain words on one or two sheets of paper, and where both sign.
//!
//! Takes what [`crate::brief`] collected; gives one [`Page`].

use minijinja::value::Serde;
use minijinja::{Value, context};

use super::{DocumentError, Look, Made, Page, limits, parts, sheet, words};
use crate::assess::Assessed;
use crate::brief::{self, Brief, Gains, Group, Item};
use crate::crew::{self, Estimate};
use crate::parts::Booking;
use crate::plan::Minutes;
use crate::quantity::{Quantity, Unit, Units};
use crate::report::{listed, numbered};
use crate::sorted::each_once;
use crate::text::{Text, within};

/// Makes the brief; fails only when its template is defective.
pub fn brief(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let brief = brief::collect(made);
    let mounts = numbered(made.job.mounts.len(), "mount");
    let consequences = brief.consequences.iter();
    let consequences = consequences.map(|one| told(&one.judged.title, &one.told, look.units));
    let failed = brief.failed_before.iter();
    let failed = failed.map(|(on, texts)| told(on, texts, look.units));
    let failed_hours = (brief.minutes_failed_before.likely > 0.0)
        .then(|| in_hours(brief.minutes_failed_before.likely));
    let view = context! {
        head => Serde(sheet::head(made, look)),
        vehicle => &made.job.vehicle.name,
        lift => format!(
            "the body goes up {} on solid blocks, one at each of its {mounts}",
            brief.gains.blocks.print(look.units)
        ),
        work => brief.work.iter().map(work).collect::<Value>(),
        left => left(&brief),
        some_left => brief.left > 0,
        gains => gains(&brief.gains, look.units),
        consequences => consequences.collect::<Value>(),
        trades => brief.trades.iter().map(|one| trade(made, one)).collect::<Value>(),
        limits => limits::limits(made, look),
        hours => hours(made.plan.minutes),
        paid => paid(made, &brief),
        // What had failed before the lift.
        failed => failed.collect::<Value>(),
        failed_hours,
        crews => crews(&brief),
        no_days => no_days(&brief),
        again => again(made, look.units),
        missing => missing(&brief),
    };
    sheet::page(made, "Before you agree", "brief.md", view)
}

/// On what, and what the customer is told of it.
fn told(on: &str, texts: &[&Text], units: Units) -> (String, String) {
    let texts: Vec<String> = texts.iter().map(|text| text.print(units)).collect();
    (words::capital(on), texts.join("; "))
}

/// How long the work takes, as the customer hears it: whole hours.
fn hours(minutes: Minutes) -> Value {
    let [low, likely, high] = [minutes.low, minutes.likely, minutes.high].map(in_hours);
    context! { low, likely, high }
}

fn in_hours(minutes: f64) -> String {
    numbered(begun_hours(minutes), "hour")
}

/// Every hour that is begun, of minutes as the sheet prints them: in steps of five.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn begun_hours(minutes: f64) -> usize {
    let hours = ((minutes / 5.0).round() * 5.0 / 60.0).ceil();
    (hours as usize).max(1)
}

/// The likely hours of everybody who works, as a price is made of them: two who work together are two to be paid.
fn paid(made: &Made<'_>, brief: &Brief<'_>) -> String {
    let trades = brief.trades.iter();
    let trades = trades.fold(Minutes::default(), |sum, one| sum.plus(one.minutes));
    let tasks = made.plan.tasks.iter().filter(|task| task.due.is_none());
    let all = tasks.flat_map(|task| std::iter::repeat_n(task.minutes, crew::seats(task)));
    let all = all.fold(Minutes::default(), Minutes::plus);
    let own = in_hours(all.likely - trades.likely);
    // Each comes for itself, and its hours stand above so.
    let booked = brief.trades.iter();
    let booked = booked.map(|one| begun_hours(one.minutes.likely)).sum();
    let booked = format!(" and {} of licensed trades", numbered(booked, "hour"));
    let booked = Some(booked).filter(|_| !brief.trades.is_empty());
    let booked = booked.unwrap_or_default();
    format!(
        "likely {own} of the workshop's people{booked}, more than the tasks take, since two who work together are two to be paid"
    )
}

/// For each crew how long the vehicle stands in the workshop; none where no crew has an estimate.
fn crews(brief: &Brief<'_>) -> Vec<(String, String)> {
    if brief.crews.iter().all(|crew| crew.estimate.is_err()) {
        return Vec::new();
    }
    let crewed = brief.crews.iter().map(|crew| {
        let told = match &crew.estimate {
            Ok(estimate) => days(estimate),
            Err(why) => format!("no estimate, because {why}"),
        };
        (words::capital(crew.who), told)
    });
    crewed.collect()
}

fn days(estimate: &Estimate) -> String {
    let hours = (f64::from(estimate.minutes) / 60.0).ceil();
    format!(
        "{}, {hours:.0} working hours from start to finish",
        numbered(estimate.days, "working day")
    )
}

/// When the vehicle comes back to be looked at.
fn again(made: &Made<'_>, units: Units) -> String {
    let due = made.plan.tasks.iter().filter_map(|task| task.due.as_ref());
    let when = due.map(|due| match due.km {
        None => format!("at {}", words::due(due, units)),
        Some(_) => words::due(due, units),
    });
    listed(&each_once(when), "and")
}

/// Why no crew has an estimate: each reason once.
fn no_days(brief: &Brief<'_>) -> Option<String> {
    let reasons = brief.crews.iter().map(|crew| crew.estimate.as_ref().err());
    let reasons: Option<Vec<&String>> = reasons.collect();
    let reasons = each_once(reasons?.into_iter().map(String::as_str));
    Some(reasons.join("; "))
}

fn work(group: &Group<'_>) -> Value {
    // Of several connections of one name some are done one way and some another.
    let part = |what: &&str| {
        let items = group.items.iter();
        items.filter(|item| item.what.contains(what)).count() > 1
    };
    let named = |what: &&str| {
        if part(what) {
            format!("some of {what}")
        } else {
            (*what).to_owned()
        }
    };
    let item = |item: &Item<'_>| {
        let what: Vec<String> = item.what.iter().map(named).collect();
        format!("{}: {}", words::capital(item.done), what.join(", "))
    };
    let items: Vec<String> = group.items.iter().map(item).collect();
    context! {
        heading => words::capital(group.heading),
        done => items.join(". ") + ".",
    }
}

fn left(brief: &Brief<'_>) -> String {
    match brief.left {
        0 => "This job names no other connection".to_owned(),
        1 => "1 other connection was looked at and stays as it is".to_owned(),
        count => format!("{count} other connections were looked at and stay as they are"),
    }
}

fn gains(gains: &Gains, units: Units) -> Vec<(&'static str, String)> {
    let blocks = gains.blocks.print(units);
    let Some(tyres) = &gains.tyres else {
        return vec![
            ("Room for tyres", format!("the guards go up {blocks}")),
            (
                "Height",
                format!("floor and sills, and a load floor that is raised too, stand {blocks} higher above the ground"),
            ),
            (
                "No ground clearance under axles and suspension",
                "the blocks give none, since axles and suspension stay where they are. Only larger tyres do, by half of what \
                 their diameter grows; no other tyres are named for this job, so it stays as it is"
                    .to_owned(),
            ),
        ];
    };
    let gained = gains.blocks.value - tyres.axle.value;
    let left = Quantity::exact(gained.abs(), Unit::Mm);
    let than_now = if gained < 0.0 { "less" } else { "more" };
    let half = Quantity::exact(tyres.axle.value.abs(), Unit::Mm).print(units);
    let (way, by_tyres) = if tyres.axle.value < 0.0 {
        (
            "down",
            format!("{blocks} by the blocks, less {half} by the smaller tyres"),
        )
    } else {
        ("up", format!("{blocks} by the blocks, {half} by the tyres"))
    };
    vec![
        (
            "Room for tyres",
            format!(
                "the guards go up {blocks} and the tops of the new tyres come {way} by {half} over the axle: {} {than_now} than now is left between them",
                left.print(units)
            ),
        ),
        (
            "Height",
            format!(
                "floor and sills, and a load floor that is raised too, stand {} higher above the ground: {by_tyres}",
                gains.body.print(units)
            ),
        ),
        (
            "No ground clearance under axles and suspension from the lift",
            format!(
                "the blocks give none, since axles and suspension stay where they are. Only the tyres do: from {} ({}) to {} ({}) \
                 the axles come {way} by half of the difference, {half}",
                tyres.before,
                tyres.diameter_before.print(units),
                tyres.after,
                tyres.diameter_after.print(units)
            ),
        ),
    ]
}

fn trade(made: &Made<'_>, booking: &Booking<'_>) -> Value {
    context! {
        trade => words::capital(words::trade(booking.trade)),
        what => trade_work(made, booking).join(", "),
        people => parts::booked(booking),
        hours => hours(booking.minutes),
    }
}

/// What a trade works on, in plain words, each once; a task that is for no connection is named by itself.
fn trade_work(made: &Made<'_>, booking: &Booking<'_>) -> Vec<String> {
    let work = booking.tasks.iter().flat_map(|task| {
        let links = task.links.iter();
        let links = links.filter_map(|id| made.assessment.links.get(id));
        let mut named: Vec<String> = links.map(|link| told_name(link)).collect();
        if named.is_empty() {
            named.push(within(&task.title.print(Units::Metric)));
        }
        named
    });
    each_once(work)
}

fn told_name(link: &Assessed<'_>) -> String {
    match link.class.and_then(|class| class.customer.as_ref()) {
        Some(customer) => customer.what.clone(),
        None => within(&link.title),
    }
}

fn missing(brief: &Brief<'_>) -> Vec<String> {
    let missing = brief.missing.iter();
    missing
        .map(|(on, all)| match all.len() {
            1 => (*on).to_owned(),
            count => format!("{on} ({count} things)"),
        })
        .collect()
}
