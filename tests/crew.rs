//! Who does what when: promises for every network, published networks and a published job shop, crews of the demo and of a big
//! job, and what cannot be scheduled.

use std::collections::{BTreeMap, BTreeSet};

use calcard::icalendar::{ICalendar, ICalendarComponent, ICalendarValue};
use liftsheet::crew::{
    Activity, Calendar, Lag, Network, Person, Seat, Share, Solved, Stuck, chain, solve,
    three_points,
};
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Wanted};
use liftsheet::source::Source;
use liftsheet::{job, pipeline};
use proptest::prelude::*;
use serde_json::Value;

use crate::errors::snapshot;
use crate::support::run::{Bench, case};

/// The kept texts of this file's cases.
pub(crate) const NAMES: &[&str] = &[
    "empty-crew",
    "longer-than-a-day",
    "never-there",
    "never-there-no-hoist",
    "nobody-licensed",
    "too-few-people",
    "unknown-role",
];

/// Minutes of a day of these tests.
const DAY: u32 = 480;

/// An activity as printed: its name, three points, what comes before, mean and variance.
type PrintedRow = (&'static str, [f64; 3], &'static [usize], u32, f64);

/// A task that nobody is asked for.
fn plain(id: &str, minutes: u32, after: &[usize]) -> Activity {
    Activity {
        id: id.to_owned(),
        minutes,
        after: after.to_vec(),
        ..Activity::default()
    }
}

fn ids(network: &Network, tasks: &[usize]) -> Vec<String> {
    tasks
        .iter()
        .map(|task| network.tasks[*task].id.clone())
        .collect()
}

/// Installation of a lathe, weeks: coursework, teaching material and no authority; its printed answer of 41 weeks and the critical
/// path A-B-C-F-G were seen, and computed anew.
#[test]
fn a_taught_network_takes_the_printed_weeks() {
    let tasks = vec![
        plain("A", 4, &[]),
        plain("B", 7, &[0]),
        plain("C", 9, &[1]),
        plain("D", 3, &[1]),
        plain("E", 14, &[3]),
        plain("F", 10, &[2, 3]),
        plain("G", 11, &[5, 4]),
    ];
    let network = Network {
        tasks,
        ..Network::default()
    };
    let solved = solve(&network).unwrap();
    assert_eq!((solved.schedule.minutes(), solved.bound.minutes), (41, 41));
    let chain = chain(&network, &solved.schedule);
    assert_eq!(ids(&network, &chain.tasks), ["A", "B", "C", "F", "G"]);
}

/// A network of three-point estimates on arrows: lecture slides, teaching material and no authority; seen, and computed anew. Printed:
/// means 7 14 11 18 4 11 7 6 5, variances 4 16 4 16 1 16 4 4 1, critical 1-2-3-5-8 with 36, standard deviation 5.
#[test]
fn three_points_give_the_printed_means_and_variances() {
    let rows: [PrintedRow; 9] = [
        ("1-2", [3.0, 6.0, 15.0], &[], 7, 4.0),
        ("2-3", [6.0, 12.0, 30.0], &[0], 14, 16.0),
        ("3-5", [5.0, 11.0, 17.0], &[1], 11, 4.0),
        ("7-8", [4.0, 19.0, 28.0], &[5], 18, 16.0),
        ("5-8", [1.0, 4.0, 7.0], &[2, 6], 4, 1.0),
        ("6-7", [3.0, 9.0, 27.0], &[7], 11, 16.0),
        ("4-5", [3.0, 6.0, 15.0], &[8], 7, 4.0),
        ("1-6", [2.0, 5.0, 14.0], &[], 6, 4.0),
        ("2-4", [2.0, 5.0, 8.0], &[0], 5, 1.0),
    ];
    let tasks = rows.map(|(id, [low, likely, high], after, mean, printed)| {
        let (minutes, variance) = three_points(low, likely, high);
        assert_eq!(minutes, mean, "{id}");
        assert!((variance - printed).abs() < 1e-9, "{id}: {variance}");
        Activity {
            variance,
            ..plain(id, minutes, after)
        }
    });
    let network = Network {
        tasks: tasks.to_vec(),
        ..Network::default()
    };
    let solved = solve(&network).unwrap();
    assert_eq!(solved.schedule.minutes(), 36);
    let chain = chain(&network, &solved.schedule);
    assert_eq!(ids(&network, &chain.tasks), ["1-2", "2-3", "3-5", "5-8"]);
    assert!((chain.deviation - 5.0).abs() < 1e-9);
}

/// Fourteen activities with three points, days: coursework, teaching material and no authority; seen for A to F. The total of 50.83 days, the
/// path A-C-E-H-I-K-M-N and its variance of 11.19 were computed, not seen. In hundredths of a day, so that rounding up is not felt.
#[test]
fn fourteen_taught_activities_take_their_path() {
    let rows: [(&str, [f64; 3], &[usize]); 14] = [
        ("A", [5.0, 5.0, 7.0], &[]),
        ("B", [1.0, 2.0, 5.0], &[]),
        ("C", [5.0, 5.0, 5.0], &[0]),
        ("D", [4.0, 8.0, 13.0], &[0]),
        ("E", [1.0, 10.0, 17.0], &[1, 2]),
        ("F", [1.0, 5.0, 7.0], &[3]),
        ("G", [2.0, 6.0, 9.0], &[3]),
        ("H", [4.0, 4.0, 6.0], &[4, 5]),
        ("I", [2.0, 7.0, 10.0], &[6, 7]),
        ("J", [2.0, 4.0, 7.0], &[8]),
        ("K", [6.0, 10.0, 13.0], &[8]),
        ("L", [2.0, 6.0, 6.0], &[9]),
        ("M", [2.0, 2.0, 3.0], &[10]),
        ("N", [7.0, 7.0, 12.0], &[11, 12]),
    ];
    let tasks = rows.map(|(id, points, after)| {
        let [low, likely, high] = points.map(|days| days * 100.0);
        let (minutes, variance) = three_points(low, likely, high);
        Activity {
            variance,
            ..plain(id, minutes, after)
        }
    });
    let network = Network {
        tasks: tasks.to_vec(),
        ..Network::default()
    };
    let solved = solve(&network).unwrap();
    let chain = chain(&network, &solved.schedule);
    let path = ["A", "C", "E", "H", "I", "K", "M", "N"];
    assert_eq!(ids(&network, &chain.tasks), path);
    assert!((5083..5083 + 9).contains(&solved.schedule.minutes()));
    assert!((chain.deviation.powi(2) / 1e4 - 11.19).abs() < 0.01);
}

/// The job shop ft06 of Fisher and Thompson (1963): six jobs on six machines, optimum 55. The data are from memory; the optimum was read
/// in two collections and proved anew with another solver.
#[test]
fn the_job_shop_of_six_by_six_takes_its_optimum() {
    let jobs = [
        [2, 1, 0, 3, 1, 6, 3, 7, 5, 3, 4, 6],
        [1, 8, 2, 5, 4, 10, 5, 10, 0, 10, 3, 4],
        [2, 5, 3, 4, 5, 8, 0, 9, 1, 1, 4, 7],
        [1, 5, 0, 5, 2, 5, 3, 3, 4, 8, 5, 9],
        [2, 9, 1, 3, 4, 5, 5, 4, 0, 3, 3, 1],
        [1, 3, 3, 3, 5, 9, 0, 10, 4, 4, 2, 1],
    ];
    let mut network = Network {
        things: vec![1; 6],
        ..Network::default()
    };
    for job in jobs {
        for (step, pair) in job.chunks(2).enumerate() {
            let before = network.tasks.len().wrapping_sub(1);
            let after: &[usize] = if step == 0 { &[] } else { &[before] };
            let mut task = plain("step", pair[1], after);
            task.things = vec![pair[0] as usize];
            network.tasks.push(task);
        }
    }
    let solved = solve(&network).unwrap();
    assert_eq!(solved.schedule.minutes(), 55);
    assert!(solved.bound.minutes <= 55);
}

/// The raw numbers of a task: minutes, what comes before, seats, and a bit for each thing that may be said of it.
type Raw = (u32, Vec<prop::sample::Index>, usize, u8);

/// The tasks of a network of so many people.
fn tasks(rows: Vec<Raw>, count: usize) -> Vec<Activity> {
    let mut tasks: Vec<Activity> = Vec::new();
    for (number, (minutes, before, seats, bits)) in rows.into_iter().enumerate() {
        let mut after: Vec<usize> = before
            .iter()
            .filter(|_| number > 0)
            .map(|index| index.index(number))
            .collect();
        after.sort_unstable();
        after.dedup();
        let seats = (0..seats).map(|seat| Seat {
            part: if seat == 0 {
                Share::Leads
            } else {
                Share::Signs
            },
            who: if bits & 1 == 1 && seat == 0 {
                vec![0, 1]
            } else {
                (0..count).collect()
            },
        });
        let apart = (bits & 8 == 8 && number > 1).then_some(number / 2);
        let waits = after.first().filter(|_| bits & 16 == 16);
        if let Some(other) = apart {
            tasks[other].apart.push(number);
        }
        tasks.push(Activity {
            apart: apart.into_iter().collect(),
            waits: waits
                .map(|after| Lag {
                    after: *after,
                    least: i64::from(bits) * 5,
                })
                .into_iter()
                .collect(),
            id: format!("t{number}"),
            minutes: if bits & 4 == 4 {
                minutes.min(60)
            } else {
                minutes
            },
            after,
            seats: seats.collect(),
            things: if bits & 2 == 2 { vec![0] } else { Vec::new() },
            whole: bits & 4 == 4,
            ..Activity::default()
        });
    }
    tasks
}

/// A network of a few people with hours, a thing, tasks that may not pause, and a bout.
fn networks() -> impl Strategy<Value = Network> {
    let hours = prop_oneof![
        3 => Just(Calendar::always(DAY * 60)),
        1 => (0..200u32, 300..DAY).prop_map(|(from, to)| {
            Calendar::new((0..60).map(|day| (day * DAY + from, day * DAY + to)).collect())
        }),
    ];
    let people = prop::collection::vec((hours, any::<bool>()), 3..6);
    let task = (
        1..150u32,
        prop::collection::vec(any::<prop::sample::Index>(), 0..3),
        1..4usize,
        any::<u8>(),
    );
    (people, prop::collection::vec(task, 1..16)).prop_map(|(people, rows)| {
        let count = people.len();
        let tasks = tasks(rows, count);
        let people = people
            .into_iter()
            .map(|(calendar, on_call)| Person { calendar, on_call });
        Network {
            tasks,
            people: people.collect(),
            things: vec![1],
            unbroken: BTreeSet::from([0]),
            breaks: (1..120).map(|half| half * DAY / 2).collect(),
            nights: (1..60).map(|day| day * DAY).collect(),
            wall: (0..60)
                .map(|day| (day * DAY, i64::from(day) * 1440 + 450))
                .collect(),
            grid: 1,
        }
    })
}

/// A minute of these networks on the wall, as the beginning of what follows it or the end of what was before.
fn on_wall(minute: u32, ends: bool) -> i64 {
    let day = if ends { minute.max(1) - 1 } else { minute } / DAY;
    i64::from(day) * 1440 + 450 + i64::from(minute - day * DAY)
}

/// A night parts no short work, and no longer work is begun for the last minutes before it.
fn at_night(network: &Network, (number, task, (start, end)): (usize, &Activity, (u32, u32))) {
    let night = network.night_after(start).filter(|night| *night < end);
    let kept = |night: u32| task.minutes >= 60 && night - start >= 15;
    assert!(night.is_none_or(kept), "{number} is cut by a night");
}

/// Every promise of a schedule, looked at anew.
fn keeps(network: &Network, solved: &Solved) {
    let placed = &solved.schedule.placed;
    for (number, (task, at)) in network.tasks.iter().zip(placed).enumerate() {
        for before in &task.after {
            assert!(
                placed[*before].end <= at.start,
                "{number} begins before {before} ends"
            );
        }
        for wait in &task.waits {
            let since = on_wall(at.start, false) - on_wall(placed[wait.after].end, true);
            assert!(since >= wait.least, "{number} waits only {since}");
        }
        for other in &task.apart {
            let other = &placed[*other];
            let meets = other.start < at.end && at.start < other.end;
            assert!(!meets, "{number} is done where somebody is shut out");
        }
        at_night(network, (number, task, (at.start, at.end)));
        assert_eq!(at.who.len(), task.seats.len());
        for (seat, who) in task.seats.iter().zip(&at.who) {
            assert!(seat.who.contains(who), "{who} may not sit there");
        }
        let mut different = at.who.clone();
        different.sort_unstable();
        different.dedup();
        assert_eq!(different.len(), at.who.len(), "one person on two seats");
        let worked = (at.start..at.end).filter(|minute| {
            at.who
                .iter()
                .all(|who| network.people[*who].calendar.is_there(*minute))
        });
        assert_eq!(
            worked.count(),
            task.minutes as usize,
            "minutes worked in everybody's hours"
        );
        if task.whole {
            assert_eq!(at.end - at.start, task.minutes);
            assert!(
                !network.breaks.iter().any(|b| at.start < *b && *b < at.end),
                "paused"
            );
        }
        for (other, theirs) in placed.iter().enumerate().take(number) {
            let meets = theirs.start < at.end && at.start < theirs.end;
            let people = theirs.who.iter().any(|who| at.who.contains(who));
            let things = network.tasks[other]
                .things
                .iter()
                .any(|t| task.things.contains(t));
            assert!(
                !meets || !(people || things),
                "{other} and {number} at once"
            );
        }
    }
    assert!(solved.bound.minutes <= solved.schedule.minutes());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn every_schedule_keeps_its_promises(network in networks()) {
        keeps(&network, &solve(&network).unwrap());
    }

    #[test]
    fn a_person_more_never_makes_it_longer(network in networks(), gone in any::<prop::sample::Index>()) {
        let gone = gone.index(network.people.len());
        let mut smaller = network.clone();
        for seat in smaller.tasks.iter_mut().flat_map(|task| &mut task.seats) {
            seat.who.retain(|who| *who != gone);
        }
        if let Ok(fewer) = solve(&smaller) {
            let all = solve(&network).unwrap();
            prop_assert!(all.schedule.minutes() <= fewer.schedule.minutes());
            prop_assert!(all.bound.minutes <= fewer.bound.minutes);
        }
    }
}

#[test]
fn what_cannot_be_scheduled_is_told() {
    let circle = Network {
        tasks: vec![plain("a", 1, &[1]), plain("b", 1, &[0]), plain("c", 1, &[])],
        ..Network::default()
    };
    assert_eq!(solve(&circle).unwrap_err(), Stuck::Circle(vec![0, 1]));
    let seat = Seat {
        part: Share::Leads,
        who: vec![0],
    };
    let one = |minutes, whole, hours: Vec<(u32, u32)>| Network {
        tasks: vec![Activity {
            seats: vec![seat.clone()],
            whole,
            ..plain("a", minutes, &[])
        }],
        people: vec![Person {
            calendar: Calendar::new(hours),
            ..Person::default()
        }],
        breaks: vec![DAY, 2 * DAY],
        nights: vec![DAY, 2 * DAY],
        ..Network::default()
    };
    let long = one(DAY + 1, true, vec![(0, 2 * DAY)]);
    assert_eq!(solve(&long).unwrap_err(), Stuck::TooLong(0));
    let away = one(10, false, vec![]);
    assert_eq!(solve(&away).unwrap_err(), Stuck::NoTime(0));
    let mut nobody = one(10, false, vec![(0, DAY)]);
    nobody.tasks[0].seats.push(seat.clone());
    assert_eq!(solve(&nobody).unwrap_err(), Stuck::Nobody(0));
}

#[test]
fn tasks_of_a_bout_wait_for_the_next_day_together() {
    let mut tasks = vec![
        plain("before", DAY - 50, &[]),
        plain("up", 30, &[0]),
        plain("stands", 30, &[1]),
    ];
    tasks[1].bout = Some(7);
    tasks[2].bout = Some(7);
    let mut network = Network {
        tasks,
        nights: vec![DAY, 2 * DAY],
        breaks: vec![DAY, DAY + 45, DAY + 60, 2 * DAY],
        ..Network::default()
    };
    let solved = solve(&network).unwrap();
    assert_eq!(solved.schedule.placed[1].start, DAY);
    assert_eq!(solved.schedule.minutes(), DAY + 60);
    // An engine that runs is not left over a break either.
    network.unbroken = BTreeSet::from([7]);
    let solved = solve(&network).unwrap();
    assert_eq!(solved.schedule.placed[1].start, DAY + 60);
    assert_eq!(solved.schedule.minutes(), DAY + 120);
}

/// The JSON of a job for a crew, or of the demo.
fn json(job: Option<&str>, with: Option<&str>) -> Value {
    let bench = Bench::new();
    let mut call = bench.call(["crew", "--format", "json"]);
    let job = job.map(|job| case(job).to_str().unwrap().to_owned());
    if let Some(job) = &job {
        call = call.arg(job);
    }
    if let Some(with) = with {
        call = call.arg("--with").arg(with);
    }
    serde_json::from_str(&call.run().stdout).unwrap()
}

/// Each lane: person, task, part, start, end.
fn lanes(crew: &Value) -> Vec<(&str, &str, &str, u64, u64)> {
    let lanes = crew["lanes"].as_array().unwrap().iter();
    lanes
        .map(|lane| {
            let text = |name: &str| lane[name].as_str().unwrap();
            let number = |name: &str| lane[name].as_u64().unwrap();
            (
                text("person"),
                text("task"),
                text("part"),
                number("start"),
                number("end"),
            )
        })
        .collect()
}

#[test]
fn the_demo_and_a_big_job_are_near_their_bounds_and_keep_every_rule() {
    let sixty = Some("jobs/sixty-links.yaml");
    for (job, with) in [
        (None, None),
        (sixty, None),
        (None, Some("fitter")),
        (None, Some("2fitter+apprentice")),
        (sixty, Some("fitter+apprentice")),
    ] {
        let crew = json(job, with);
        let gap = crew["gap_percent"].as_f64().unwrap();
        // The bound does not see that nothing short is left half done over a night, and that no hold point is cut. The shorter the job, the
        // more of it that is: on the demo the jacks that hold point 2 certifies put the last body's raising off to the next morning.
        assert!((0.0..11.0).contains(&gap), "{job:?} {with:?}: {gap}");
        let people: BTreeMap<&str, &Value> = crew["people"]
            .as_array()
            .unwrap()
            .iter()
            .map(|person| (person["id"].as_str().unwrap(), person))
            .collect();
        let has = |person: &str, field: &str, word: &str| {
            people[person][field]
                .as_array()
                .unwrap()
                .iter()
                .any(|own| own == word)
        };
        let lanes = lanes(&crew);
        for task in crew["tasks"].as_array().unwrap() {
            let id = task["id"].as_str().unwrap();
            let own: Vec<_> = lanes.iter().filter(|lane| lane.1 == id).collect();
            let who = |part: &str| own.iter().find(|lane| lane.2 == part).map(|lane| lane.0);
            let leader = who("does").unwrap();
            if let Some(trade) = task["trade"].as_str() {
                assert!(has(leader, "licences", trade), "{id} by {leader}");
            }
            if !task["hold"].is_null() {
                let signer = who("signs").unwrap();
                assert!(
                    signer != leader && has(signer, "roles", "supervisor"),
                    "{id}"
                );
            }
            if let Some(watcher) = who("watches") {
                assert_eq!(task["whole"], true, "{id}");
                assert_eq!(
                    own.iter().filter(|lane| lane.0 == watcher).count(),
                    1,
                    "{id}"
                );
            }
        }
        for (number, one) in lanes.iter().enumerate() {
            for other in lanes
                .iter()
                .skip(number + 1)
                .filter(|other| other.0 == one.0)
            {
                assert!(one.4 <= other.3 || other.4 <= one.3, "{one:?} {other:?}");
            }
        }
    }
}

#[test]
fn hours_days_and_absences_of_the_job_are_kept() {
    let text = std::fs::read_to_string(case("jobs/sixty-links.yaml")).unwrap();
    let text = text.replace(
        "roles: apprentice}",
        "roles: apprentice, hours: {mon: \"08:00-12:00\", tue: \"07:00-15:00\"}, away: 2026-03-04}",
    );
    assert!(text.contains("away: 2026-03-04"));
    let bench = Bench::new().file("job.yaml", text);
    let outcome = bench.run(["crew", "job.yaml", "--format", "json"]).code(0);
    let crew: Value = serde_json::from_str(&outcome.stdout).unwrap();
    let mut worked = 0;
    for lane in crew["lanes"].as_array().unwrap() {
        if lane["person"] == "shoal" {
            worked += 1;
            let (start, end) = (
                lane["start_at"].as_str().unwrap(),
                lane["end_at"].as_str().unwrap(),
            );
            assert!(!start.starts_with("2026-03-04"), "{start}");
            assert!(
                !(start.starts_with("2026-03-02") && start < "2026-03-02T08:00"),
                "{start}"
            );
            assert!(
                !(end.starts_with("2026-03-02") && end > "2026-03-02T12:00"),
                "{end}"
            );
        }
    }
    assert!(worked > 0);
}

#[test]
fn more_hands_take_fewer_minutes_and_the_same_input_gives_the_same_bytes() {
    let minutes = |with| json(None, Some(with))["minutes"].as_u64().unwrap();
    let (one, two, three) = (
        minutes("fitter"),
        minutes("fitter+apprentice"),
        minutes("2fitter+apprentice"),
    );
    assert!(one > two && two > three, "{one} {two} {three}");
    assert_eq!(
        json(None, Some("fitter + fitter+apprentice")),
        json(None, Some("2fitter+apprentice"))
    );
}

#[test]
fn the_page_books_the_licensed_and_shows_every_day() {
    let bench = Bench::new();
    let page = bench.run(["crew"]).code(0).stdout;
    assert!(page.contains("licensed brakes | day "), "{page}");
    let days = json(None, None)["days"].as_u64().unwrap();
    for day in 1..=days {
        assert!(page.contains(&format!("\n## Day {day}\n")));
    }
    // Nobody is booked over night, and a single task is no "tasks".
    let booked = page.split("## Book").nth(1).unwrap();
    let booked = booked.split("\n## ").next().unwrap().lines();
    let booked: Vec<&str> = booked.filter(|line| line.contains("| day ")).collect();
    assert!(!booked.is_empty());
    for line in booked {
        let cells: Vec<&str> = line.split(" | ").collect();
        let (_, hours) = cells[1]
            .split_once("day ")
            .unwrap()
            .1
            .split_once(' ')
            .unwrap();
        let (from, to) = hours.split_once('–').unwrap();
        assert!(from < to && from.len() == 5 && to.len() == 5, "{line}");
        let several = cells[2].contains(", ") || cells[2].contains(" to ");
        assert_eq!(cells[2].starts_with("tasks "), several, "{line}");
    }
    // Each person has a list of what the lanes say, and the whole job names everybody at work.
    for name in ["Ash (invented)", "Birch (invented)"] {
        let typed = name.replace('(', "\\(").replace(')', "\\)");
        let heads = [name.to_owned(), typed];
        assert!(
            heads
                .iter()
                .any(|name| page.contains(&format!("\n## For {name}\n"))),
            "{page}"
        );
    }
    for lane in json(None, None)["lanes"].as_array().unwrap() {
        let start = lane["start"].as_u64().unwrap();
        assert_eq!(start % 5, 0, "{lane}");
    }
    let html = bench.run(["crew", "--format", "html"]).code(0).stdout;
    // Each day for the wall, and the whole job on one chart.
    assert_eq!(html.matches("<svg").count() as u64, days + 1);
    let (_, chart) = html.split_once("whole-job").unwrap();
    let chart = chart.split_once("</svg>").unwrap().0;
    let plan = Bench::new()
        .run(["sheet", "--format", "json"])
        .code(0)
        .json();
    let holds = plan["tasks"].as_array().unwrap().iter();
    let holds = holds.filter(|task| !task["hold"].is_null() && task["due"].is_null());
    for hold in holds {
        assert!(chart.contains(&format!(">{}<", hold["number"])), "{hold}");
    }
}

/// The rest of a job that is under way begins when it is said to, without what is signed as done.
#[test]
fn the_rest_of_a_job_is_what_nobody_has_signed_as_done() {
    let bench = crate::record::whole::signed_until("before-release");
    let crew = |more: &[&str]| bench.run([&["crew", "job.yaml"], more].concat());
    let json = |more: &[&str]| crew(&[more, &["--format", "json"]].concat()).done().json();
    let ids = |crew: &Value| -> Vec<String> {
        let tasks = crew["tasks"].as_array().unwrap().iter();
        tasks
            .map(|task| task["id"].as_str().unwrap().to_owned())
            .collect()
    };
    let from = ["--from", "2025-03-05 13:00"];
    let (whole, rest) = (json(&[]), json(&from));
    let all = ids(&whole);
    let first = all.iter().position(|id| id == "before-release").unwrap();
    assert!(first > 5);
    assert_eq!(ids(&rest), all[first..]);
    assert_eq!([&whole["rest"], &rest["rest"]], [false, true]);
    assert_eq!(rest["start_at"], "2025-03-05T13:00");
    assert!(rest["minutes"].as_u64() < whole["minutes"].as_u64());
    let page = crew(&from).done().stdout;
    assert!(
        page.contains("- **Still to do:** 8") && page.contains(" tasks, without what is signed"),
        "{page}"
    );
    // A calendar keeps the appointments that were made before beside those of the rest.
    let names = |more: &[&str]| -> BTreeSet<String> {
        let text = crew(&[more, &["--format", "ics"]].concat()).done().stdout;
        let names = text.lines().filter(|line| line.starts_with("UID:"));
        names.map(ToOwned::to_owned).collect()
    };
    assert!(names(&from).is_disjoint(&names(&["--from", "2025-03-06"])));
    crew(&["--from", "soon"])
        .code(2)
        .complains("`soon` is no day and no time");
    bench.run(["crew", "--from", "2025-03-05"]).code(2);
    let signed = crate::record::whole::signed_until("no such task");
    let nothing = signed.run(["crew", "job.yaml", "--from", "2025-03-05"]);
    nothing.failed().complains("nothing is left to be done");
}

#[test]
fn what_goes_on_tomorrow_says_so_and_is_two_visits() {
    let bench = Bench::new().file("job.yaml", sixty_links());
    let with = ["crew", "job.yaml", "--with", "fitter"];
    let page = bench.run(with).code(0).stdout;
    let goes_on = page.matches("; **goes on the next day**").count();
    assert!(goes_on > 0, "{page}");
    assert_eq!(goes_on, page.matches("** goes on: ").count());
    let crew = bench.run(with.iter().chain(&["--format", "json"]).copied());
    let crew = crew.code(0).json();
    let day = |at: &Value| at.as_str().unwrap().split('T').next().unwrap().to_owned();
    for visit in crew["visits"].as_array().unwrap() {
        assert_eq!(day(&visit["start_at"]), day(&visit["end_at"]), "{visit}");
    }
}

/// The big job with something else in it, for a crew; what is said is kept.
fn sixty_links() -> String {
    std::fs::read_to_string(case("jobs/sixty-links.yaml")).unwrap()
}

fn refused(name: &str, (from, to): (&str, &str), with: &[&str]) {
    assert!(sixty_links().contains(from));
    refused_as(name, sixty_links().replace(from, to), with);
}

fn refused_as(name: &str, job: String, with: &[&str]) {
    let bench = Bench::new().file("job.yaml", job);
    let mut call = bench.call(["crew", "job.yaml"]);
    for word in with {
        call = call.arg(word);
    }
    let outcome = call.run().failed();
    assert!(NAMES.contains(&name));
    snapshot(name, &outcome.stderr);
}

/// Nobody checks what they did: with one supervisor another answers for whatever is signed and checked, and the supervisor lends a hand.
#[test]
fn the_only_supervisor_answers_for_nothing_that_is_checked() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let elm = "  - {id: elm, name: Elm (invented), roles: supervisor}\n";
    let bench = Bench::new().file("job.yaml", demo.replace(elm, ""));
    let json = |words: [&str; 4]| bench.run(words).done().json();
    let plan = json(["sheet", "job.yaml", "--format", "json"]);
    let checked = plan["tasks"].as_array().unwrap().iter();
    let checked = checked.filter(|task| task["sign"] != "tick" && task["hold"].is_null());
    let checked: Vec<&Value> = checked.map(|task| &task["id"]).collect();
    let crew = json(["crew", "job.yaml", "--format", "json"]);
    let lanes = crew["lanes"].as_array().unwrap();
    let of_birch = |part: &str| {
        let own = |lane: &&Value| lane["person"] == "birch" && lane["part"] == part;
        let own = lanes.iter().filter(own);
        own.filter(|lane| checked.contains(&&lane["task"])).count()
    };
    assert_eq!(of_birch("does"), 0);
    assert!(of_birch("helps") > 0);
    // Nor for what is signed off with a hold point that is his.
    let raises = |lane: &&Value| lane["task"].as_str().unwrap().starts_with("raise-");
    let mut raising = lanes.iter().filter(raises).peekable();
    assert!(raising.peek().is_some());
    assert!(!raising.any(|lane| lane["person"] == "birch" && lane["part"] == "does"));
}

#[test]
fn what_no_crew_can_do_is_refused_with_a_way_out() {
    let nothing = ("job: ", "job: ");
    refused("unknown-role", nothing, &["--with", "fitter+aprentice"]);
    refused("empty-crew", nothing, &["--with", ""]);
    let reef = "licences: [brakes]";
    refused("nobody-licensed", (reef, "licences: [restraint]"), &[]);
    // Two can do it, one who signs among them; so all but one of those who may raise are taken away.
    let dune = "Dune (invented), roles: fitter}";
    let other = "Spit (invented), roles: supervisor}";
    let as_apprentice = |text: &str| text.replace(other, "Spit (invented), roles: apprentice}");
    let few = as_apprentice(&sixty_links()).replace(dune, "Dune (invented), roles: apprentice}");
    refused_as("too-few-people", few, &[]);
    let gone = "Dune (invented), roles: fitter, away: 2026-01-01 to 2036-12-31}";
    refused_as(
        "never-there",
        as_apprentice(&sixty_links()).replace(dune, gone),
        &[],
    );
    let none = ("things: {hoist: 1", "things: {hoist: 0");
    refused("never-there-no-hoist", none, &[]);
    let short = "hours: \"07:30-07:40\", roles:";
    refused("longer-than-a-day", ("roles:", short), &[]);
}

#[test]
fn an_estimate_gives_days_minutes_and_their_range() {
    let mut report = Report::new();
    let source = Source::read(&case("jobs/sixty-links.yaml")).unwrap();
    let job = job::read(&source, false, &mut report).unwrap();
    let files = Files::overlaid(BTreeMap::new(), true);
    let classes = files.class_ids();
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: job.region.as_deref().into_iter().collect(),
    };
    let rules = rules::load(&files, &wanted, &mut report);
    let (alone, two) = pipeline::run(&job, &rules, &mut report, |made| {
        let of = |with| {
            liftsheet::crew::crew(&made, Some(with), None)
                .unwrap()
                .estimate()
        };
        (of("fitter"), of("fitter+apprentice"))
    })
    .unwrap();
    assert!(alone.minutes > two.minutes && alone.days > two.days);
    let (low, high) = two.range;
    assert!(low < f64::from(two.minutes) && f64::from(two.minutes) < high);
    // The usual hours are eight a day.
    assert_eq!(two.days, two.minutes.div_ceil(DAY) as usize);
}

#[test]
fn there_may_be_none_of_a_thing_that_nothing_takes() {
    let text = std::fs::read_to_string(case("jobs/sixty-links.yaml")).unwrap();
    let bench = Bench::new().file("job.yaml", text.replace("press: 1", "press: 0"));
    let crew = bench.run(["crew", "job.yaml", "--format", "json"]).code(0);
    let takes = |task: &Value| task["things"].as_array().unwrap().contains(&"press".into());
    assert!(!crew.json()["tasks"].as_array().unwrap().iter().any(takes));
}

/// How many waits of a task are on the wall, each kept.
fn waits_kept(task: &Value, timed: &BTreeMap<&str, &Value>) -> usize {
    // A job without a start counts days, and has no time on the wall.
    let at = |task: &Value, end: &str| -> Option<jiff::civil::DateTime> {
        task[end].as_str()?.parse().ok()
    };
    let mut kept = 0;
    for wait in task["waits"].as_array().unwrap() {
        let first = timed[wait["after"].as_str().unwrap()];
        let (Some(start), Some(end)) = (
            at(timed[task["id"].as_str().unwrap()], "start_at"),
            at(first, "end_at"),
        ) else {
            continue;
        };
        kept += 1;
        let hours = (start - end).total(jiff::Unit::Hour).unwrap();
        assert!(
            hours >= wait["hours"].as_f64().unwrap(),
            "{} after {hours} h",
            task["id"]
        );
    }
    kept
}

/// Whether one of these minutes lies between the start of a task and the end of another.
fn parted(minutes: &Value, first: &Value, last: &Value) -> bool {
    let (start, end) = (
        first["start"].as_u64().unwrap(),
        last["end"].as_u64().unwrap(),
    );
    let mut minutes = minutes.as_array().unwrap().iter();
    minutes.any(|minute| (start + 1..end).contains(&minute.as_u64().unwrap()))
}

/// How often something stands that may not stay so over a night, each time put right on the same day.
fn put_right_the_same_day(plan: &Value, crew: &Value, timed: &BTreeMap<&str, &Value>) -> usize {
    let mut kept = 0;
    for state in plan["states"].as_object().unwrap().values() {
        let list = |field: &str| -> Vec<&str> {
            let list = state[field].as_array().unwrap().iter();
            list.map(|word| word.as_str().unwrap()).collect()
        };
        let bad = list("not_overnight");
        for instance in list("instances").into_iter().filter(|_| !bad.is_empty()) {
            let mut since = None;
            for task in plan["tasks"].as_array().unwrap() {
                let Some(step) = task["makes"][instance].as_str() else {
                    continue;
                };
                let at = timed[task["id"].as_str().unwrap()];
                let first = *since.get_or_insert(at);
                assert!(!parted(&crew["day_ends"], first, at), "{instance}: {step}");
                if !bad.contains(&step) {
                    kept += usize::from(first != at);
                    since = None;
                }
            }
            assert_eq!(since, None, "{instance}");
        }
    }
    kept
}

/// An engine that runs is not left over a break.
fn attended_without_a_break(tasks: &[&Value], crew: &Value, timed: &BTreeMap<&str, &Value>) {
    let attended = tasks.iter().filter(|task| task["attended"] == true);
    let at: Vec<&Value> = attended
        .map(|task| timed[task["id"].as_str().unwrap()])
        .collect();
    let first = at.iter().min_by_key(|task| task["start"].as_u64()).unwrap();
    let last = at.iter().max_by_key(|task| task["end"].as_u64()).unwrap();
    assert!(!parted(&crew["breaks"], first, last), "{first} to {last}");
}

/// Read again by the minute: nobody works in a place that somebody else's task shuts, and what soaks or dries has its time on the wall.
#[test]
fn nobody_is_shut_out_no_wait_is_cut_short_and_nothing_is_left_as_it_may_not_stay() {
    let mut waited = 0;
    for (job, with) in [
        (None, None),
        (None, Some("2fitter+apprentice")),
        (Some("jobs/sixty-links.yaml"), None),
    ] {
        let bench = Bench::new();
        let job = job.map(|job| case(job).display().to_string());
        let plan = bench
            .run(
                ["sheet"]
                    .into_iter()
                    .chain(job.as_deref())
                    .chain(["--format", "json"]),
            )
            .json();
        let with = with.map(|with| ["--with", with]);
        let call = ["crew"]
            .into_iter()
            .chain(job.as_deref())
            .chain(with.into_iter().flatten());
        let crew = bench.run(call.chain(["--format", "json"])).done().json();
        let timed: BTreeMap<&str, &Value> = crew["tasks"]
            .as_array()
            .unwrap()
            .iter()
            .map(|task| (task["id"].as_str().unwrap(), task))
            .collect();
        let tasks: Vec<&Value> = plan["tasks"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|task| timed.contains_key(task["id"].as_str().unwrap()))
            .collect();
        assert!(put_right_the_same_day(&plan, &crew, &timed) >= 4);
        attended_without_a_break(&tasks, &crew, &timed);
        let mut shut = 0;
        for task in &tasks {
            let own = timed[task["id"].as_str().unwrap()];
            for other in tasks.iter().filter(|other| other["id"] != task["id"]) {
                let meanwhile = timed[other["id"].as_str().unwrap()];
                let shuts = task["shuts_out"].as_array().unwrap();
                let also = other["also_at"].as_array().unwrap().iter();
                if !also
                    .chain([&other["place"]])
                    .any(|place| shuts.contains(place))
                {
                    continue;
                }
                shut += 1;
                let apart = own["end"].as_u64() <= meanwhile["start"].as_u64()
                    || meanwhile["end"].as_u64() <= own["start"].as_u64();
                assert!(apart, "{} while {}", other["id"], task["id"]);
            }
            waited += waits_kept(task, &timed);
        }
        assert!(shut > 100, "{shut}");
    }
    assert!(waited > 0, "no job has a start and a wait");
}

/// The value of a property as another library reads it: a text, or a time as it is written.
fn property(component: &ICalendarComponent, name: &str) -> String {
    let entry = component
        .entries
        .iter()
        .find(|entry| entry.name.as_str() == name);
    match entry.and_then(|entry| entry.values.first()) {
        Some(ICalendarValue::Text(text)) => text.clone(),
        Some(ICalendarValue::PartialDateTime(time)) => format!(
            "{:04}{:02}{:02}T{:02}{:02}{:02}{}",
            time.year.unwrap(),
            time.month.unwrap(),
            time.day.unwrap(),
            time.hour.unwrap(),
            time.minute.unwrap(),
            time.second.unwrap(),
            if time.tz_hour.is_some() { "Z" } else { "" }
        ),
        other => panic!("{name}: {other:?}"),
    }
}

/// What is written is read back by a library of another author, and holds what the schedule says.
#[test]
fn the_calendar_has_the_appointments_of_the_schedule() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let dated = demo.replacen("\npeople:", "\nstart: 2026-07-06\npeople:", 1);
    let bench = Bench::new().file("job.yaml", dated);
    bench.run(["crew", "job.yaml", "-o", "crew.ics"]).done();
    let read = |name: &str| std::fs::read_to_string(bench.path().join(name)).unwrap();
    let file = read("crew.ics");
    // RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets.
    assert!(
        file.split("\r\n")
            .all(|line| line.len() <= 75 && !line.contains('\n'))
    );
    let calendar = ICalendar::parse(file.as_str()).unwrap();
    let (head, events) = calendar.components.split_first().unwrap();
    assert!(property(head, "PRODID").contains("Made with liftsheet"));
    let crew = bench
        .run(["crew", "job.yaml", "--format", "json"])
        .done()
        .json();
    let mut names = BTreeSet::new();
    let mut stays = Vec::new();
    for event in events {
        let (uid, summary) = (property(event, "UID"), property(event, "SUMMARY"));
        assert!(names.insert(uid.clone()), "two of one name");
        assert_eq!(property(event, "DTSTAMP"), "20260706T000000Z");
        assert!(
            summary.ends_with(": Forestry crew, double-cab, 40 mm body lift"),
            "{summary}"
        );
        assert!(!property(event, "DESCRIPTION").is_empty());
        let (from, to) = (property(event, "DTSTART"), property(event, "DTEND"));
        assert!(from < to && from[..9] == to[..9], "{from} {to}");
        stays.push((uid, from, to));
    }
    // Each part of somebody in a task lies within one of that person's appointments, and each visit is one.
    let plain = |moment: &Value| moment.as_str().unwrap().replace(['-', ':'], "") + "00";
    for lane in crew["lanes"].as_array().unwrap() {
        let (from, to) = (plain(&lane["start_at"]), plain(&lane["end_at"]));
        let whose = format!("-{}-", lane["person"].as_str().unwrap());
        let own = stays.iter().filter(|(uid, ..)| uid.contains(&whose));
        let begins = own
            .clone()
            .any(|(_, start, end)| *start <= from && from < *end);
        let ends = own.clone().any(|(_, start, end)| *start < to && to <= *end);
        assert!(begins && ends, "{lane}");
    }
    for visit in crew["visits"].as_array().unwrap() {
        let from = plain(&visit["start_at"]);
        assert!(stays.iter().any(|(_, start, _)| *start == from), "{visit}");
    }
    assert!(!crew["visits"].as_array().unwrap().is_empty());
    bench.run(["crew", "job.yaml", "-o", "again.ics"]).done();
    assert_eq!(read("again.ics"), file);
}

/// With a zone times are exact; without a day there is nothing to book; nothing else makes a calendar.
#[test]
fn a_calendar_needs_a_day_and_takes_a_zone() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let start = "\nstart: 2026-07-06\nzone: Australia/Hobart\npeople:";
    let bench = Bench::new().file("zoned.yaml", demo.replacen("\npeople:", start, 1));
    // Hobart's winter is ten hours before UTC: half past seven there is half past nine in the evening of the day before.
    bench.run(["crew", "zoned.yaml", "-o", "zoned.ics"]).done();
    let zoned = std::fs::read_to_string(bench.path().join("zoned.ics")).unwrap();
    assert!(
        zoned.contains("DTSTART:20260705T213000Z") && !zoned.contains("DTSTART:20260706T073000\r")
    );
    // Without a day there is nothing to book, and nothing else makes a calendar.
    let none = Bench::new().run(["crew", "--format", "ics"]);
    none.failed()
        .complains("error[missing-field]")
        .complains("start: 2026-03-02");
    let none = Bench::new().run(["heights", "-o", "heights.ics"]);
    none.failed()
        .complains("only `liftsheet crew` makes a calendar");
}
