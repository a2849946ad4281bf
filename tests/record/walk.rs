//! A random walk over a small plan, held against a second, simple model of what must be open.
//!
//! Thousands of acts by several people, with changes of the job between them. The model is a list of what was accepted, gone through anew
//! after each act by rules written down a second time: who may, what stands before, what rests on what.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use liftsheet::record::*;
use liftsheet::report::Code;
use proptest::prelude::Rng as _;
use proptest::test_runner::{RngAlgorithm, TestRng};
use serde_json::{Value as Json, json};

/// A task of the small plan: id, trade, hold point, what comes right before it, what it rests on.
type Drawn = (
    &'static str,
    Option<&'static str>,
    bool,
    &'static [usize],
    &'static [usize],
);

const PLAN: [Drawn; 9] = [
    ("chocks", None, false, &[], &[]),
    ("safe", None, true, &[0], &[]),
    ("off.a", None, false, &[1], &[]),
    ("off.b", Some("gas"), false, &[1], &[]),
    ("fix.a", None, false, &[2], &[2]),
    ("fix.b", None, false, &[3], &[3]),
    ("look.a", None, false, &[4, 5], &[2, 4]),
    ("seen", None, true, &[6], &[2, 3, 4, 5, 6]),
    ("again", None, false, &[7], &[]),
];
const PEOPLE: [(&str, &[&str], &[&str]); 5] = [
    ("ash", &["fitter"], &[]),
    ("birch", &["fitter", "supervisor"], &[]),
    ("cedar", &["apprentice"], &[]),
    ("elm", &["supervisor"], &[]),
    ("rowan", &["tradesperson"], &["gas"]),
];
/// The task whose least changes with the job.
const CHANGING: usize = 4;

/// What is written down with a task, by its rows.
fn rows(place: usize, least: f64) -> Vec<Row> {
    let asked = |name: &str| json!([{"name": name, "ask": name, "kind": "yes"}]);
    let slack =
        json!({"name": "slack", "ask": "slack", "kind": "number", "unit": "mm", "least": least});
    let rows = match place {
        CHANGING => json!([{"id": "", "asks": [slack]}]),
        5 => json!([
            {"id": "left", "asks": asked("seated.left")}, {"id": "right", "asks": asked("seated.right")},
        ]),
        _ => json!([{"id": "", "asks": []}]),
    };
    serde_json::from_value(rows).unwrap()
}

/// The plan of a job with that least.
fn agreed(least: f64) -> Agreed {
    let drawn = PLAN.iter().enumerate();
    let tasks = drawn.map(|(place, (id, trade, hold, after, rests))| {
        let ids =
            |places: &[usize]| -> Json { places.iter().map(|place| PLAN[*place].0).collect() };
        let own = if place == CHANGING { least } else { 0.0 };
        let again = json!({"every": "each service"});
        let task = json!({
            "id": id, "title": id, "number": place + 1, "signed_with": place + 1,
            "sign": if *hold { "checked" } else { "done" }, "slot": place, "least_minutes": 1.0,
            "apprentice": place != CHANGING, "trade": trade, "hold": hold.then_some("supervisor"),
            "due": (place == 8).then_some(again), "after": ids(after), "rests_on": ids(rests),
            "rows": rows(place, least), "digest": format!("sha256:{id}{own}"),
            "parts": {"text": format!("sha256:{own}")},
        });
        serde_json::from_value(task).unwrap()
    });
    Agreed {
        made_with: String::new(),
        job: "walk".to_owned(),
        digest: format!("sha256:{least}"),
        provisional: false,
        stops: false,
        tasks: tasks.collect(),
        mounts: BTreeMap::new(),
        pages: BTreeMap::new(),
    }
}

fn now(least: f64) -> Now {
    let agreed = agreed(least);
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
    let people = PEOPLE.iter().map(|(id, roles, licences)| {
        let who = Who {
            name: format!("{id} (invented)"),
            roles: words(roles),
            licences: words(licences),
        };
        ((*id).to_owned(), who)
    });
    Now {
        binding: Binding {
            id: String::new(),
            identification: "INVENTED-1".to_owned(),
            job: "walk".to_owned(),
            vehicle: "Invented".to_owned(),
            people: people.collect(),
            workshop: None,
            plan: agreed.digest.clone(),
            kept_plan: format!("plan {least}"),
            kept_job: format!("job {least}"),
            rules: None,
            rule_set: None,
            laid_over: Vec::new(),
            program: "0".to_owned(),
            zone: None,
        },
        job: format!("links: {{a: {{measured: {{slack: {least}}}}}}}\n"),
        agreed: Arc::new(agreed),
    }
}

/// What the record stands on, with the job file that gives `least`.
fn ground(record: &Record, least: f64) -> Footing {
    let kept = record
        .bound()
        .map_or_else(KeptPlan::default, |(binding, _)| {
            let least: f64 = binding.plan.trim_start_matches("sha256:").parse().unwrap();
            KeptPlan {
                agreed: Some(Arc::new(agreed(least))),
                job: Some(now(least).job),
            }
        });
    footing(record, Some(now(least)), &kept).unwrap()
}

/// How a task stands by the model.
#[derive(Debug, Default, Clone, PartialEq)]
struct Stands {
    /// For each row, who did it and who checked it.
    rows: Vec<(Vec<String>, Option<String>)>,
    /// For each thing that is asked, the number or yes that is written down, and by which entry.
    values: BTreeMap<String, (f64, u64)>,
}

impl Stands {
    fn is_signed(&self) -> bool {
        let signed =
            |(done, checked): &(Vec<String>, Option<String>)| !done.is_empty() || checked.is_some();
        !self.values.is_empty() || self.rows.iter().any(signed)
    }
}

fn fresh(place: usize) -> Stands {
    Stands {
        rows: vec![(Vec::new(), None); row_ids(place).len()],
        values: BTreeMap::new(),
    }
}

fn row_ids(place: usize) -> Vec<String> {
    rows(place, 0.0).into_iter().map(|row| row.id).collect()
}

/// The rows of a task that are named; no names are all.
fn named(place: usize, rows: &[String]) -> Vec<usize> {
    let ids = row_ids(place);
    let own = |row: &usize| rows.is_empty() || rows.contains(&ids[*row]);
    (0..ids.len()).filter(own).collect()
}

/// Gone through anew: every accepted entry, in order.
fn model(entries: &[Arc<Entry>]) -> Vec<Stands> {
    let mut all: Vec<Stands> = (0..PLAN.len()).map(fresh).collect();
    let back: BTreeSet<u64> = entries
        .iter()
        .filter(|entry| entry.act == Act::Withdrawn)
        .filter_map(|entry| entry.entry)
        .collect();
    for entry in entries.iter().filter(|entry| !back.contains(&entry.number)) {
        if entry.act == Act::Changed {
            fall(&mut all, CHANGING, true);
        }
        let Some(place) = PLAN.iter().position(|drawn| drawn.0 == entry.task) else {
            continue;
        };
        match entry.act {
            Act::Done | Act::Measured | Act::Checked => written(&mut all[place], place, entry),
            Act::Corrected => {
                corrected(&mut all[place], (place, entry), entries);
                let least = entry.plan.trim_start_matches("sha256:").parse().unwrap();
                let asks = rows(place, least).into_iter().flat_map(|row| row.asks);
                let now = |asked: &Asked| {
                    let written = all[place].values.get(&asked.name);
                    written.is_some_and(|(_, by)| *by == entry.number)
                };
                let mut now = asks.filter(now);
                if now.any(|asked| right(&all[place], &asked) == Some(false)) {
                    fall(&mut all, place, false);
                }
            }
            Act::Rejected | Act::Reopened => {
                fall(&mut all, place, false);
                let ids = row_ids(place);
                for row in named(place, &entry.rows) {
                    all[place].rows[row] = (Vec::new(), None);
                    all[place]
                        .values
                        .retain(|name, _| !name.ends_with(ids[row].as_str()));
                }
            }
            _ => {}
        }
    }
    all
}

fn written(stands: &mut Stands, place: usize, entry: &Entry) {
    let off = stands.rows.iter().all(|(_, by)| by.is_some());
    if place == 8 && off && entry.act != Act::Checked {
        *stands = fresh(place);
    }
    for (name, value) in &entry.values {
        stands
            .values
            .insert(name.clone(), (number(value), entry.number));
    }
    for row in named(place, &entry.rows) {
        let (done, checked) = &mut stands.rows[row];
        match entry.act {
            Act::Done => done.push(entry.person.clone()),
            Act::Checked => *checked = Some(entry.person.clone()),
            _ => {}
        }
    }
}

fn corrected(stands: &mut Stands, (place, entry): (usize, &Entry), entries: &[Arc<Entry>]) {
    for (name, value) in &entry.values {
        let Some(written) = stands.values.get_mut(name) else {
            continue;
        };
        let from = entries.iter().find(|one| one.number == written.1).unwrap();
        if Some(from.number) == entry.entry
            || (from.act == Act::Corrected && from.entry == entry.entry)
        {
            *written = (number(value), entry.number);
            let row = row_ids(place)
                .iter()
                .position(|id| name.ends_with(id.as_str()))
                .unwrap();
            stands.rows[row].1 = None;
        }
    }
}

/// Opens what rests on a task, and the task itself where it is otherwise now.
fn fall(all: &mut [Stands], place: usize, itself: bool) {
    if itself && !all[place].is_signed() {
        return;
    }
    for (other, drawn) in PLAN.iter().enumerate() {
        if drawn.4.contains(&place) || (itself && other == place) {
            let stands = &mut all[other];
            stands.values.clear();
            stands
                .rows
                .iter_mut()
                .for_each(|row| *row = (Vec::new(), None));
        }
    }
}

fn number(value: &Entered) -> f64 {
    match value {
        Entered::Yes(yes) => f64::from(*yes),
        Entered::Number(number) => number.value,
        _ => 0.0,
    }
}

/// Whether what is written down is all there and right.
fn is_right(stands: &Stands, place: usize, least: f64) -> bool {
    (0..stands.rows.len()).all(|row| is_row_right(stands, (place, row), least))
}

fn is_wrong(stands: &Stands, place: usize, least: f64) -> bool {
    let mut asks = rows(place, least).into_iter().flat_map(|row| row.asks);
    asks.any(|asked| right(stands, &asked) == Some(false))
}

/// Whether what is written down for something is right; nothing where nothing is.
fn right(stands: &Stands, asked: &Asked) -> Option<bool> {
    let (value, _) = stands.values.get(&asked.name)?;
    Some(*value >= asked.least.unwrap_or(1.0))
}

fn state(stands: &Stands, place: usize, least: f64) -> State {
    let all_done = stands.rows.iter().all(|(done, _)| !done.is_empty());
    let all_off = stands.rows.iter().all(|(_, checked)| checked.is_some());
    match () {
        () if is_wrong(stands, place, least) => State::OutOfLimits,
        // Nobody has to have done a hold point.
        () if (all_done || PLAN[place].2) && all_off && is_right(stands, place, least) => {
            State::Checked
        }
        () if all_done => State::Done,
        () if stands.is_signed() => State::Begun,
        () => State::Open,
    }
}

/// Everything before a task, however far back.
fn before(place: usize) -> BTreeSet<usize> {
    let own = PLAN[place].3.iter().copied();
    own.clone().chain(own.flat_map(before)).collect()
}

/// Whether everything before a task is far enough for an act.
fn far_enough(all: &[Stands], place: usize, act: Act, least: f64) -> bool {
    before(place)
        .into_iter()
        .all(|earlier| match state(&all[earlier], earlier, least) {
            State::Checked => true,
            State::Done => act != Act::Checked && !PLAN[earlier].2,
            _ => false,
        })
}

/// The first task that is not signed off.
fn next(all: &[Stands], least: f64) -> Option<usize> {
    (0..all.len()).find(|place| state(&all[*place], *place, least) != State::Checked)
}

/// What somebody tries: what is next more often than not, so that walks get to their end.
fn wish(lots: &mut TestRng, time: i64, all: &[Stands], least: f64) -> (usize, Wish) {
    let mut pick = |most: usize| lots.next_u32() as usize % most;
    let acts = [
        Act::Done,
        Act::Done,
        Act::Done,
        Act::Done,
        Act::Checked,
        Act::Checked,
        Act::Checked,
        Act::Checked,
        Act::Measured,
        Act::Rejected,
        Act::Reopened,
        Act::Corrected,
        Act::Withdrawn,
        Act::Noted,
    ];
    let act = acts[pick(14)];
    let place = match (pick(3), next(all, least)) {
        (0, _) | (_, None) => pick(9),
        (_, Some(place)) => place,
    };
    let by = match (act, pick(3)) {
        (Act::Checked, 0 | 1) => ["birch", "elm"][pick(2)],
        (Act::Done, 0 | 1) if place == 3 => "rowan",
        (Act::Done, 0 | 1) => "ash",
        _ => PEOPLE[pick(5)].0,
    };
    let mut wish = Wish::new(act, by, Time::from_seconds(time));
    let row = ["", ":left", ":right"][pick(3)];
    let row = if place == 5 { row } else { "" };
    wish.tasks = vec![format!("{}{row}", PLAN[place].0)];
    wish.note = Some("because".to_owned());
    wish.odometer = (place == 8 && act == Act::Done).then(|| "45210".to_owned());
    let slack = ["9", "11", "15", "15"][pick(4)];
    let seated = ["no", "yes", "yes"][pick(3)];
    if matches!(act, Act::Done | Act::Measured | Act::Corrected) {
        wish.values = match (place, row) {
            (CHANGING, _) => vec![("slack".to_owned(), slack.to_owned())],
            (5, ":left") => vec![("seated.left".to_owned(), seated.to_owned())],
            (5, ":right") => vec![("seated.right".to_owned(), seated.to_owned())],
            (5, _) => vec![
                ("seated.left".to_owned(), "yes".to_owned()),
                ("seated.right".to_owned(), seated.to_owned()),
            ],
            _ => Vec::new(),
        };
    }
    (place, wish)
}

/// Whether the model lets an act through; nothing where it has no say.
fn may(all: &[Stands], (place, wish): (usize, &Wish), record: &Record, least: f64) -> Option<bool> {
    let (_, roles, licences) = PEOPLE.iter().find(|(id, ..)| *id == wish.by)?;
    let is = |role| roles.contains(&role);
    let stands = &all[place];
    let rows: Vec<String> = wish.tasks[0]
        .split_once(':')
        .map(|(_, row)| row.to_owned())
        .into_iter()
        .collect();
    let own = named(place, &rows);
    let off = own.iter().all(|row| stands.rows[*row].1.is_some());
    match wish.act {
        Act::Done => {
            let role = match PLAN[place].1 {
                Some(trade) => licences.contains(&trade),
                None => is("fitter") || (is("apprentice") && place != CHANGING),
            };
            Some(role && (!off || place == 8) && far_enough(all, place, Act::Done, least))
        }
        Act::Checked => {
            let done = own.iter().all(|row| !stands.rows[*row].0.is_empty());
            // A task that was checked row by row is checked where it is not yet.
            let open = own.iter().filter(|row| stands.rows[**row].1.is_none());
            let fine = open.into_iter().all(|row| {
                is_row_right(stands, (place, *row), least)
                    && !did((record, stands), (place, *row), &wish.by)
            });
            Some(
                is("supervisor")
                    && !off
                    && (done || PLAN[place].2)
                    && fine
                    && far_enough(all, place, Act::Checked, least),
            )
        }
        Act::Rejected | Act::Reopened => {
            let any = own.iter().any(|row| {
                let asks = &self::rows(place, 0.0)[*row].asks;
                asks.iter()
                    .any(|asked| stands.values.contains_key(&asked.name))
                    || !stands.rows[*row].0.is_empty()
                    || stands.rows[*row].1.is_some()
            });
            Some(is("supervisor") && any)
        }
        _ => None,
    }
}

/// Whether what a row asks for is written down and right.
fn is_row_right(stands: &Stands, (place, row): (usize, usize), least: f64) -> bool {
    let row = &rows(place, least)[row];
    row.asks
        .iter()
        .all(|asked| right(stands, asked) == Some(true))
}

/// Whether a person ever did a row, or put a value right that stands.
fn did((record, stands): (&Record, &Stands), (place, row): (usize, usize), by: &str) -> bool {
    record.entries.iter().any(|entry| {
        let mut values = stands.values.values();
        let corrects = entry.act == Act::Corrected && values.any(|(_, by)| *by == entry.number);
        let does = entry.act == Act::Done || corrects;
        entry.task == PLAN[place].0
            && entry.person == by
            && does
            && named(place, &entry.rows).contains(&row)
    })
}

/// Holds the record against the model.
fn hold(record: &Record, least: f64, step: &str) {
    let all = model(&record.entries);
    let plan = agreed(least);
    let status = Status::of(&plan, record);
    for (place, standing) in status.tasks.iter().enumerate() {
        let own = state(&all[place], place, least);
        assert_eq!(
            standing.state(),
            own,
            "{step}: {} by {all:#?}",
            standing.task.id
        );
        if own != State::Checked {
            continue;
        }
        for row in &standing.rows {
            let checker = row.checked.unwrap();
            let did = standing.history.iter().any(|entry| {
                entry.act == Act::Done
                    && entry.person == checker.person
                    && entry.names(&row.row.id)
                    && entry.number < checker.number
            });
            assert!(
                !did,
                "{step}: {} was checked by who did it",
                standing.task.id
            );
        }
    }
}

fn walk(seed: u8, acts: usize) -> (usize, bool) {
    let mut lots = TestRng::from_seed(RngAlgorithm::XorShift, &[seed + 1; 16]);
    let (mut record, mut least, mut accepted, mut released) = (Record::default(), 10.0, 0, false);
    for step in 0..acts {
        let time = 1_741_000_000 + i64::try_from(step).unwrap();
        if step % 41 == 40 && !record.entries.is_empty() {
            least = if least > 10.0 { 10.0 } else { 12.0 };
            let ground = ground(&record, least);
            // After the release only a supervisor may.
            let mut changed = Wish::new(Act::Changed, "birch", Time::from_seconds(time));
            changed.note = Some("measured again".to_owned());
            record = sign(&ground, &record, &changed).unwrap();
            hold(&record, least, &format!("seed {seed} step {step} changed"));
            continue;
        }
        let ground = ground(&record, least);
        let all = model(&record.entries);
        let (place, wish) = wish(&mut lots, time, &all, least);
        let made = sign(&ground, &record, &wish);
        let told = format!(
            "seed {seed} step {step}: {:?} {} by {}",
            wish.act, wish.tasks[0], wish.by
        );
        if let Some(may) = may(&all, (place, &wish), &record, least) {
            let codes = made
                .as_ref()
                .err()
                .map(|problems| problems.iter().map(|one| one.code).collect::<Vec<Code>>());
            assert_eq!(made.is_ok(), may, "{told}: {codes:?} {all:#?}");
        }
        if let Ok(after) = made {
            accepted += 1;
            record = after;
            hold(&record, least, &told);
            released |= Status::of(&agreed(least), &record).released();
        }
    }
    assert_eq!(verify(record.text()), Ok(record));
    (accepted, released)
}

#[test]
fn nothing_is_ever_signed_off_that_the_model_forbids() {
    let walks: Vec<(usize, bool)> = (0..25).map(|seed| walk(seed, 200)).collect();
    let accepted: usize = walks.iter().map(|(accepted, _)| accepted).sum();
    assert!(accepted > 1200, "only {accepted} acts were accepted");
    assert!(
        walks.iter().any(|(_, released)| *released),
        "no walk came to its end"
    );
}
