//! The heights: what other blocks would change, at a glance.
//!
//! Takes everything made of the job, and the same over a range of heights; gives one [`Page`] for whoever decides on the height.

use std::collections::BTreeMap;

use minijinja::value::Serde;
use minijinja::{Value, context};

use super::{DocumentError, Look, Made, Page, sheet, words};
use crate::heights::{
    Bars, By, Days, Height, HeightChange, Heights, Totals, Tyre, change, wording, wording::stated,
};
use crate::picture;
use crate::plan::Minutes;
use crate::quantity::{Quantity, Unit, Units};
use crate::report::numbered;
use crate::rules::Verdict;

/// How many higher heights are compared with the job's own at the top of the page.
const HIGHER: usize = 2;

/// What stands in a cell where there is nothing to say.
const NOTHING: &str = "–";

/// How many tasks are named where no verdict says why a step takes longer.
const TASKS: usize = 3;

/// Makes the page of the heights; fails only when its template is defective.
pub fn heights(made: &Made<'_>, heights: &Heights, look: Look) -> Result<Page, DocumentError> {
    let units = look.units;
    let pictures = picture::heights(heights, units);
    let own = stated(heights.own, units);
    let asked = &heights.asked;
    let (rows, left) = rows(heights);
    let rows = rows.into_iter();
    let rows = rows.map(|(title, link)| (title, wording::verdicts(link, units)));
    let limits = made.assessment.region.map(|region| {
        format!(
            "{}; confirm with {}, for limits change",
            region.title, region.authority
        )
    });
    let view = context! {
        head => Serde(sheet::head(made, look)),
        range => (stated(asked.from, units), stated(asked.to, units)),
        glance => glance(heights, units),
        pictures => Serde(&pictures),
        // What there is work on at any height, and its verdicts over the range.
        rows => rows.collect::<Value>(),
        // What is left alone at every height.
        left => (!left.is_empty()).then(|| left.join("; ")),
        totals => totals(heights, units),
        // What is passed or stops at some of the heights, and at which.
        passed => passed(heights, units),
        steps => steps(heights, units),
        tyre => heights.tyre.as_ref().map(|tyre| tyre_view(tyre, units)),
        // Something is to be measured with the tyre asked for, though not for the job as it stands.
        more_to_measure => !made.plan.provisional && heights.provisional(),
        own_blocks => own_blocks(heights, units),
        limits,
        own,
    };
    let mut page = sheet::page(made, "Heights", "heights.md", view)?;
    page.pictures = pictures;
    Ok(page)
}

fn signed(number: i64) -> String {
    match number {
        0 => NOTHING.to_owned(),
        1.. => format!("+{number}"),
        _ => format!("−{}", number.abs()),
    }
}

/// More or less time: `+1 h 20 min`.
fn signed_time(minutes: Minutes) -> String {
    let likely = minutes.likely;
    if likely.abs() < 0.5 {
        return NOTHING.to_owned();
    }
    let sign = if likely > 0.0 { "+" } else { "−" };
    format!("{sign}{}", words::duration(likely.abs()))
}

/// Plain sentences: what the job's height comes to, and what its neighbours save or add.
fn glance(heights: &Heights, units: Units) -> Vec<String> {
    let Some(place) = heights.own_place() else {
        return Vec::new();
    };
    let Some((own, totals)) = planned(heights, place) else {
        return Vec::new();
    };
    let mut glance = vec![format!(
        "{} is this job's height: {} to work on, {} of work likely, {}.{}",
        stated(own, units),
        numbered(totals.worked().count(), "connection"),
        words::duration(totals.minutes.likely),
        pieces(totals),
        totals
            .days
            .map_or_else(String::new, |days| format!(" {}.", in_days(days))),
    )];
    let higher = (place + 1..=place + HIGHER).filter_map(|place| planned(heights, place));
    for (height, more) in higher {
        let pair = (stated(own, units), stated(height, units));
        glance.push(instead(&pair, &change(totals, more)));
    }
    let lower = place.checked_sub(1);
    if let Some((height, less)) = lower.and_then(|place| planned(heights, place)) {
        let pair = (stated(height, units), stated(own, units));
        glance.push(instead(&pair, &change(less, totals)));
    }
    glance
}

/// `24 pieces in 5 different parts`, `no parts`.
fn pieces(totals: &Totals) -> String {
    if totals.parts.pieces == 0 {
        return "no parts".to_owned();
    }
    let count = usize::try_from(totals.parts.pieces).unwrap_or(usize::MAX);
    let kinds = numbered(totals.parts.kinds, "different part");
    format!("{} in {kinds}", numbered(count, "piece"))
}

/// From the whole hours below to those above, in hours: `12 to 38 h`; a job of less than an hour has none below.
fn whole_hours(minutes: Minutes) -> String {
    let (low, high) = ((minutes.low / 60.0).floor(), (minutes.high / 60.0).ceil());
    if high < 1.0 {
        NOTHING.to_owned()
    } else if low < 1.0 {
        format!("up to {high:.0} h")
    } else {
        format!("{low:.0} to {high:.0} h")
    }
}

fn planned(heights: &Heights, place: usize) -> Option<(f64, &Totals)> {
    let height = heights.heights.get(place)?;
    let totals = height.planned.as_ref().ok()?;
    Some((height.height, totals))
}

/// `One fitter: 4 days; with an apprentice: 3 days`.
fn in_days(days: Days) -> String {
    format!(
        "One fitter: {}; with an apprentice: {}",
        numbered(days.fitter, "day"),
        numbered(days.with_apprentice, "day")
    )
}

/// What the lower of two heights saves.
fn instead((low, high): &(String, String), change: &HeightChange) -> String {
    let likely = change.minutes.likely;
    let time = words::duration(likely.abs());
    let mut text = format!("{low} instead of {high} ");
    text += &if likely > 0.5 {
        format!("saves {time} of work (likely)")
    } else if likely < -0.5 {
        format!("takes {time} more (likely)")
    } else {
        "takes the same time".to_owned()
    };
    let count = usize::try_from(change.pieces.unsigned_abs()).unwrap_or(usize::MAX);
    let pieces = numbered(count, "piece");
    match change.pieces {
        0 => {}
        1.. => text += &format!(" and {pieces}"),
        _ => text += &format!(", with {pieces} more"),
    }
    text.push('.');
    if let Some((was, is)) = change.days {
        let both = [
            ("Days for one fitter", was.fitter, is.fitter),
            (
                "Days with an apprentice",
                was.with_apprentice,
                is.with_apprentice,
            ),
        ];
        for (label, was, is) in both.iter().filter(|(_, was, is)| was != is) {
            text.push_str(&format!(" {label}: {was} instead of {is}."));
        }
    }
    let mut say = |label: &str, list: String| {
        if !list.is_empty() {
            text += &format!(" {label}: {list}.");
        }
    };
    let only = change.newly.iter().map(|(_, title, _)| title.as_str());
    say(&format!("No work yet at {low}"), wording::titles(only));
    let lighter = change.otherwise.iter().map(|(_, title, was, is)| {
        let (was, is) = (was.words(), is.words());
        format!("{title} ({was}, not {is})")
    });
    say(
        &format!("Otherwise at {low}"),
        lighter.collect::<Vec<_>>().join("; "),
    );
    let more = change.no_longer.iter().map(|(_, title)| title.as_str());
    say(&format!("Work at {low} only"), wording::titles(more));
    say(
        &format!("Local limits passed at {high} only"),
        change.limits.join("; "),
    );
    if change.newly.is_empty() && change.otherwise.is_empty() && change.no_longer.is_empty() {
        text.push_str(" No verdict changes.");
    }
    text
}

/// What there is work on at any height, by what it is called, and the names of what is left alone at all.
fn rows(heights: &Heights) -> (Vec<(String, &Bars)>, Vec<String>) {
    let all = wording::together(heights).into_iter();
    let (worked, left): (Vec<_>, Vec<_>) = all.partition(|(_, link)| link.work_from().is_some());
    (worked, left.into_iter().map(|(title, _)| title).collect())
}

/// The lift at each height, in cells.
fn totals(heights: &Heights, units: Units) -> Value {
    let own = heights
        .own_place()
        .and_then(|place| planned(heights, place));
    let own = own.map(|(_, totals)| totals);
    let all = heights.heights.iter();
    all.map(|height| total(height, own, units)).collect()
}

fn total(height: &Height, own: Option<&Totals>, units: Units) -> Value {
    let mut name = stated(height.height, units);
    if height.own {
        name.push_str(", this job");
    }
    if height.tyre {
        name.push_str(", the tyre");
    }
    let totals = height.planned.as_ref().ok();
    let days = totals.and_then(|totals| totals.days);
    let against = totals.zip(own.filter(|_| !height.own));
    let parts = totals.map(|totals| totals.parts);
    let parts = parts.filter(|parts| parts.pieces > 0);
    let cell = |said: Option<String>| said.unwrap_or_else(|| NOTHING.to_owned());
    context! {
        height => name,
        // Whether the page is about it: the job's own, or the one of the tyre.
        marked => height.own || height.tyre,
        links => cell(totals.map(|totals| totals.worked().count().to_string())),
        likely => cell(totals.map(|totals| words::duration(totals.minutes.likely))),
        low_to_high => cell(totals.map(|totals| whole_hours(totals.minutes))),
        days => cell(days.map(|days| format!("{} / {}", days.fitter, days.with_apprentice))),
        against => cell(against.map(|(here, own)| signed_time(change(own, here).minutes))),
        parts => cell(parts.map(|parts| format!("{} / {}", parts.pieces, parts.kinds))),
        limits => match &height.planned {
            Err(problems) => format!("cannot be planned: {}", reasons(problems)),
            Ok(totals) => limits(totals),
        },
    }
}

/// Why a height cannot be planned: the first problem, its names in quotation marks, and how many more there are.
fn reasons(problems: &[String]) -> String {
    let first = problems.first().map_or("", String::as_str);
    let mut text = String::new();
    for (place, piece) in first.split('`').enumerate() {
        if place > 0 {
            text.push(if place % 2 == 1 { '“' } else { '”' });
        }
        text.push_str(piece);
    }
    match problems.len() {
        0 | 1 => text,
        count => format!("{text}; and {}", numbered(count - 1, "other problem")),
    }
}

/// What follows from the limits at a height, in a cell.
fn limits(totals: &Totals) -> String {
    let mut limits = Vec::new();
    if !totals.stops.is_empty() {
        limits.push("stop".to_owned());
    }
    let mut passed = totals.limits.iter();
    if passed.any(|limit| limit.verdict != Verdict::Stop) {
        limits.push("to an engineer".to_owned());
    }
    if totals.not_checked > 0 {
        limits.push(format!("{} not checked", totals.not_checked));
    }
    if limits.is_empty() {
        return NOTHING.to_owned();
    }
    limits.join(", ")
}

/// What the heights pass and what stops them, with the heights: `Floor above the frame: stop from 70 mm`.
fn passed(heights: &Heights, units: Units) -> Vec<String> {
    let mut passed: BTreeMap<(&str, &str), Vec<usize>> = BTreeMap::new();
    for (place, height) in heights.heights.iter().enumerate() {
        let Ok(totals) = &height.planned else {
            continue;
        };
        let referred = totals.limits.iter();
        let referred = referred.filter(|limit| limit.verdict != Verdict::Stop);
        let referred = referred.map(|limit| (limit.title.as_str(), "to an engineer"));
        let stops = totals.stops.iter().map(|stop| (stop.as_str(), "stop"));
        for what in stops.chain(referred) {
            passed.entry(what).or_default().push(place);
        }
    }
    let mut alike: BTreeMap<(Vec<usize>, &str), Vec<&str>> = BTreeMap::new();
    for ((title, follows), places) in passed {
        alike.entry((places, follows)).or_default().push(title);
    }
    let lines = alike.into_iter().map(|((places, follows), titles)| {
        let titles = words::capital(&wording::titles(titles));
        format!("{titles}: {follows} {}", from(heights, &places, units))
    });
    lines.collect()
}

/// `from 70 mm` of what holds from there up, else every one of the heights: `at 5 mm, 10 mm`.
fn from(heights: &Heights, places: &[usize], units: Units) -> String {
    let names = places
        .iter()
        .filter_map(|place| heights.heights.get(*place));
    let names: Vec<String> = names.map(|height| stated(height.height, units)).collect();
    let first = places.first().copied().unwrap_or_default();
    match names.first() {
        Some(lowest) if first + places.len() == heights.heights.len() => format!("from {lowest}"),
        _ => format!("at {}", names.join(", ")),
    }
}

/// The steps of the table at which anything changes.
fn steps(heights: &Heights, units: Units) -> Value {
    let pairs = heights.heights.windows(2);
    let steps = pairs.filter_map(|pair| match pair {
        [first, second] => {
            let (before, after) = (first.planned.as_ref().ok()?, second.planned.as_ref().ok()?);
            let change = change(before, after);
            let (time, pieces) = (signed_time(change.minutes), signed(change.pieces));
            let changes = changes(&change, units);
            if time == NOTHING && pieces == NOTHING && changes.is_empty() {
                return None;
            }
            let (from, to) = (stated(first.height, units), stated(second.height, units));
            Some(context! { from_to => format!("{from} → {to}"), time, pieces, changes })
        }
        _ => None,
    });
    steps.collect()
}

/// What a step changes, in a cell: new work, then what is worked on otherwise, then the rest.
fn changes(change: &HeightChange, units: Units) -> String {
    let newly = change.newly.iter();
    let newly = by_verdict(newly.map(|(_, title, is)| (is.words(), title.as_str())));
    let otherwise = change.otherwise.iter();
    let otherwise = by_verdict(otherwise.map(|(_, title, _, is)| (is.words(), title.as_str())));
    let otherwise = otherwise.into_iter().map(|group| format!("now {group}"));
    let all = newly
        .into_iter()
        .chain(otherwise)
        .chain(besides(change, units));
    all.collect::<Vec<_>>().join(". ")
}

/// What a step changes beside the verdicts that are worked on.
fn besides(change: &HeightChange, units: Units) -> Vec<String> {
    let mut besides = Vec::new();
    let no_longer = change.no_longer.iter().map(|(_, title)| title.as_str());
    let no_longer = wording::titles(no_longer);
    if !no_longer.is_empty() {
        besides.push(format!("no work any more: {no_longer}"));
    }
    // Where no verdict says why it takes longer, the first of the tasks that come with it do.
    let same = change.newly.is_empty() && change.otherwise.is_empty();
    if same && !change.tasks.is_empty() {
        let tasks = change.tasks.iter().take(TASKS);
        let tasks: Vec<String> = tasks.map(|task| task.print(units)).collect();
        let more = change.tasks.len() - tasks.len();
        let more = if more > 0 {
            format!(" and {}", numbered(more, "other task"))
        } else {
            String::new()
        };
        besides.push(format!("tasks besides: {}{more}", tasks.join("; ")));
    } else if same && change.minutes.likely.abs() >= 0.5 {
        besides.push("the same tasks, with other times".to_owned());
    }
    besides
}

/// Titles under the verdict that they share: `extend: filler hose; engine loom`, `replace: …`.
fn by_verdict<'a>(links: impl Iterator<Item = (&'static str, &'a str)>) -> Vec<String> {
    let groups = words::drawn_together(links).into_iter();
    groups
        .map(|(verdict, titles)| format!("{verdict}: {}", wording::titles(titles)))
        .collect()
}

fn tyre_view(tyre: &Tyre, units: Units) -> Value {
    let mm = |value: f64| Quantity::exact(value, Unit::Mm).print(units);
    let wanted = &tyre.wanted;
    let (apart, way) = if tyre.half < 0.0 {
        (-tyre.half, "less")
    } else {
        (tyre.half, "more")
    };
    context! {
        size => &wanted.size,
        sizes => format!(
            "{} is {} across by its size, {} before the lift {}; it takes {} {way} of the room in its guards, half of the difference",
            wanted.size,
            mm(wanted.diameter),
            wanted.before,
            mm(wanted.diameter_before),
            mm(apart),
        ),
        needs => match tyre.height {
            Some(height) => stated(height, units),
            None => "more than any block that the arithmetic covers".to_owned(),
        },
        rests_on => match tyre.by {
            By::Gap => {
                "the gap between tyre and guard that the job file gives, with the least gap that the rules ask for"
            }
            By::HalfTheDifference => {
                "half the difference in diameter: assumed is that the gap of now, which the job file does not give, is enough and is to be kept"
            }
        },
        instead_of => &tyre.instead_of,
    }
}

fn own_blocks(heights: &Heights, units: Units) -> Option<String> {
    let blocks = heights.own_blocks.iter().map(|(id, more)| {
        let height = Quantity::exact(more.abs(), Unit::Mm).print(units);
        let way = if *more > 0.0 { "higher" } else { "lower" };
        format!("{id} {height} {way}")
    });
    let blocks: Vec<String> = blocks.collect();
    (!blocks.is_empty()).then(|| blocks.join(", "))
}
