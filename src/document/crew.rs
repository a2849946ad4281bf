//! Who does what when: totals, visits to book, and each day as a picture and as a table for each person.
//!
//! Takes everything made of a job and its [`Crew`]; gives one [`Page`].

use std::collections::BTreeSet;

use minijinja::value::Serde;
use minijinja::{Value, context};
use serde::Serialize;

use super::{DocumentError, Look, Made, Page, facts, sheet, words};
use crate::crew::{Crew, Minute, Moment, Reason, Visit};
use crate::job::date::print_minute;
use crate::job::{Role, THINGS};
use crate::picture;
use crate::report::numbered;
use crate::rules::Stage;
use crate::sorted::Sorted as _;

#[derive(Serialize)]
struct TaskRow {
    start: String,
    end: String,
    number: usize,
    titles: Vec<String>,
    part: &'static str,
    /// Whether it was begun on a day before, and whether it goes on on the next.
    begun: bool,
    goes_on: bool,
}

/// How many of the figures stand on the foreman's page.
const FIRST: usize = 5;

/// Makes the page; fails only when its template is defective.
pub fn crew(made: &Made<'_>, crew: &Crew<'_>, look: Look) -> Result<Page, DocumentError> {
    let pictures: Vec<picture::Picture> = (1..=crew.days())
        .map(|day| picture::lanes(crew, day, &heading(crew, day)))
        .collect();
    let days = pictures.iter().zip(1..).map(|(picture, day)| {
        let heading = heading(crew, day);
        context! { heading, picture => Serde(picture) }
    });
    let whole = picture::whole(crew);
    let mut totals = totals(made, crew);
    let figures = totals.split_off(FIRST.min(totals.len()));
    if crew.rest {
        totals.insert(0, ("Still to do", left(crew)));
    }
    let view = context! {
        head => Serde(sheet::head(made, look)),
        // What the foreman reads first.
        totals,
        // The other figures.
        figures,
        visits => visits(crew),
        people => people(crew),
        assumed => assumed(made, crew),
        // All days on one chart.
        whole => Serde(&whole),
        days => days.collect::<Value>(),
        lists => lists(crew, look),
    };
    let mut page = sheet::page(made, "Who does what when", "crew.md", view)?;
    page.pictures = whole.into_iter().chain(pictures).collect();
    Ok(page)
}

/// `Day 2, Tuesday, 2026-03-03`.
fn heading(crew: &Crew<'_>, day: usize) -> String {
    match crew.date(day) {
        Some(date) => format!("Day {day}, {date}"),
        None => format!("Day {day}"),
    }
}

fn at(moment: Option<Moment>) -> String {
    let Some(moment) = moment else {
        return String::new();
    };
    let date = moment
        .date
        .map(|date| format!(" ({date})"))
        .unwrap_or_default();
    format!("day {}{date} at {}", moment.day, moment.time)
}

/// What is left of a job that is under way.
fn left(crew: &Crew<'_>) -> String {
    let numbers = crew.tasks.iter().map(|task| task.number);
    let numbers: BTreeSet<usize> = numbers.sorted_set();
    let count = numbered(numbers.len(), "task");
    format!(
        "{count}, without what is signed as done; the time that must pass behind that is taken as over"
    )
}

fn totals(made: &Made<'_>, crew: &Crew<'_>) -> Vec<(&'static str, String)> {
    let (estimate, solved) = (crew.estimate(), &crew.solved);
    let hours = words::duration;
    let minutes = f64::from(estimate.minutes);
    let sum: u32 = crew
        .network
        .tasks
        .iter()
        .map(|task| task.minutes * seats(task.seats.len()))
        .sum();
    let days = numbered(estimate.days, "day");
    let mut totals = vec![
        (
            "Days of work",
            format!("{days}, {} on the workshop's clock", hours(minutes)),
        ),
        ("Start", at(crew.clock.begins(0))),
        ("Finish", at(crew.clock.ends(estimate.minutes))),
        (
            "Range",
            format!(
                "{} to {} (one standard deviation of the chain that the finish hangs on); that chain takes {} when all goes well and {} when nothing does",
                hours(estimate.range.0),
                hours(estimate.range.1),
                hours(crew.chain.range.0),
                hours(crew.chain.range.1),
            ),
        ),
        ("It hangs on", bottleneck(crew)),
        (
            "Lower bound",
            format!(
                "{}; the schedule is at most {:.1} % longer",
                hours(f64::from(solved.bound.minutes)),
                solved.gap()
            ),
        ),
        (
            "Work in all",
            format!("{} of people's time", hours(f64::from(sum))),
        ),
    ];
    if made.plan.tasks.iter().any(|task| task.due.is_some()) {
        totals.push((
            "Not in it",
            "what is due at a distance after the lift".to_owned(),
        ));
    }
    totals.extend(facts::checks(made).map(|said| ("Checks", said)));
    totals
}

fn seats(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(0)
}

/// What the length of the job hangs on, the most first.
fn bottleneck(crew: &Crew<'_>) -> String {
    let reasons = crew
        .solved
        .bound
        .reasons
        .iter()
        .filter(|(_, minutes)| *minutes > 0)
        .take(3);
    let texts = reasons.map(|(reason, minutes)| {
        let what = match reason {
            Reason::Chain => "tasks that wait for each other".to_owned(),
            Reason::People(people) => {
                let names = people.iter().map(|person| crew.name(*person));
                let names: Vec<&str> = names.collect();
                format!("the hours of {}", names.join(" and "))
            }
            Reason::Thing(thing) => {
                format!("the {}", THINGS.get(*thing).copied().unwrap_or("thing"))
            }
        };
        format!("{what} ({})", words::duration(f64::from(*minutes)))
    });
    texts.collect::<Vec<_>>().join(", then ")
}

fn visits(crew: &Crew<'_>) -> Value {
    let visits = crew.visits.iter().map(|visit| {
        let member = crew.team.members.get(visit.person);
        let tasks = visit.tasks.iter().filter_map(|task| crew.tasks.get(*task));
        context! {
            who => member.map(who).unwrap_or_default(),
            when => stays(crew, visit),
            tasks => words::tasks(tasks.map(|task| task.number).collect()),
        }
    });
    visits.collect()
}

/// When somebody who is booked is there, day by day.
fn stays(crew: &Crew<'_>, visit: &Visit) -> String {
    let stays = crew.days_of(visit).into_iter().map(|(day, (from, to))| {
        let [from, to] = [from, to].map(print_minute);
        let date = crew.date(day);
        let date = date.map_or_else(String::new, |date| format!(" ({date})"));
        format!("day {day}{date} {from}–{to}")
    });
    stays.collect::<Vec<_>>().join(", ")
}

/// Who is booked, with the licences that are asked for.
fn who(member: &crate::crew::Member) -> String {
    if member.licences.is_empty() {
        return member.name.clone();
    }
    let licences: Vec<&str> = member.licences.iter().map(String::as_str).collect();
    format!("{}, licensed {}", member.name, licences.join(", "))
}

fn people(crew: &Crew<'_>) -> Value {
    let minutes = crew.solved.schedule.minutes();
    let rows = crew
        .team
        .members
        .iter()
        .zip(&crew.network.people)
        .enumerate();
    let rows = rows.map(|(number, (member, person))| {
        let placed = crew.solved.schedule.placed.iter();
        let placed = placed.zip(&crew.network.tasks);
        let own = placed.filter(|(placed, _)| placed.who.contains(&number));
        let busy: Minute = own.map(|(_, task)| task.minutes).sum();
        let there = person.calendar.before(minutes).max(1);
        let roles = member
            .roles
            .iter()
            .copied()
            .map(Role::word)
            .map(ToOwned::to_owned);
        let licences = member
            .licences
            .iter()
            .map(|licence| format!("licensed {licence}"));
        let roles: Vec<String> = roles.chain(licences).collect();
        let share = f64::from(busy) / f64::from(there) * 100.0;
        context! {
            name => &member.name,
            roles => if member.hand {
                "lends a hand, watches".to_owned()
            } else {
                roles.join(", ")
            },
            hours => there_words(member),
            work => words::duration(f64::from(busy)),
            share => if person.on_call {
                "on call".to_owned()
            } else {
                format!("{share:.0} % of the hours there")
            },
        }
    });
    rows.collect()
}

fn there_words(member: &crate::crew::Member) -> String {
    let hours = if member.hours.assumed {
        "usual hours"
    } else {
        "own hours"
    };
    let call = if member.hours.on_call {
        ", on call"
    } else {
        ""
    };
    let away = if member.hours.away.is_empty() {
        ""
    } else {
        ", away at times"
    };
    format!("{hours}{call}{away}")
}

fn assumed(made: &Made<'_>, crew: &Crew<'_>) -> Option<String> {
    let mut assumed = Vec::new();
    if crew.team.members.iter().any(|member| member.hours.assumed) {
        assumed.push(
            "the usual hours are 07:30 to 12:00 and 12:30 to 16:00, Monday to Friday".to_owned(),
        );
    }
    if crew.start.is_none() {
        assumed.push("day 1 is a Monday, since no start is given".to_owned());
    }
    let used = crew.network.tasks.iter().flat_map(|task| &task.things);
    let mut unsaid: Vec<&str> = used
        .filter_map(|thing| THINGS.get(*thing).copied())
        .filter(|thing| !made.job.things.contains_key(thing))
        .collect();
    unsaid.sort_unstable();
    unsaid.dedup();
    assumed.extend(unsaid.iter().map(|thing| format!("there is one {thing}")));
    (!assumed.is_empty()).then(|| assumed.join("; "))
}

/// What each person of the crew does, day by day; who has nothing to do has no list.
fn lists(crew: &Crew<'_>, look: Look) -> Value {
    let members = crew.team.members.iter().enumerate();
    let lists = members.filter_map(|(person, member)| {
        let days = (1..=crew.days()).map(|day| (heading(crew, day), rows(crew, person, day, look)));
        let days = days.filter(|(_, rows)| !rows.is_empty());
        let days: Vec<(String, Vec<TaskRow>)> = days.collect();
        (!days.is_empty()).then(|| context! { name => &member.name, days => Serde(days) })
    });
    lists.collect()
}

/// The tasks of a person on a day; the pieces of one printed task that follow on one another are one row.
fn rows(crew: &Crew<'_>, person: usize, day: usize, look: Look) -> Vec<TaskRow> {
    let mut rows: Vec<TaskRow> = Vec::new();
    for (task, placed, part) in crew.lane(person) {
        let pieces = crew.clock.pieces(day, (placed.start, placed.end));
        let Some((first, last)) = pieces.first().zip(pieces.last()) else {
            continue;
        };
        let [start, end] = [first.0, last.1].map(print_minute);
        let mut title = task.title.print(look.units);
        // What is right there stands on the sheet.
        let what = title.find(": ").filter(|_| task.stage == Stage::Check);
        title.truncate(what.unwrap_or(title.len()));
        let (number, part) = (task.number, part.word());
        let on = |moment: Option<Moment>| moment.map_or(day, |moment| moment.day);
        let begun = on(crew.clock.begins(placed.start)) < day;
        let goes_on = on(crew.clock.ends(placed.end)) > day;
        let follows =
            |row: &&mut TaskRow| row.number == number && row.part == part && row.end == start;
        match rows.last_mut().filter(follows) {
            Some(row) => {
                row.end = end;
                row.goes_on = goes_on;
                row.titles.push(title);
            }
            None => rows.push(TaskRow {
                start,
                end,
                number,
                titles: vec![title],
                part,
                begun,
                goes_on,
            }),
        }
    }
    rows
}
