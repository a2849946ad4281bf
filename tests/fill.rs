//! `fill`: a value goes where it belongs and everything else stays as it was; a table goes out and comes back whole or not at all.
//!
//! The second opinion on what a file says is `serde_yaml`, which the program does not read job files with.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use liftsheet::fill::{ToWrite, fill, rows, without};
use proptest::prelude::*;
use serde_yaml::Value as Yaml;

use crate::errors::snapshot;
use crate::record::whole::signed_until;
use crate::support::run::Bench;

/// The kept texts of this file's cases.
pub(crate) const NAMES: &[&str] = &[
    "far-from-last-time",
    "not-filled",
    "read-elsewhere",
    "unknown-place",
];

const DEMO: &str = include_str!("../rules/demo/forestry-crew.yaml");
const SURVEY: &str = include_str!("../rules/demo/forestry-crew-survey.yaml");
const PATTERNS: [&str; 5] = ["wagon", "dual-cab", "extra-cab", "cab-chassis", "soft-top"];

fn change(place: &str, value: &str) -> ToWrite {
    ToWrite {
        place: place.to_owned(),
        value: value.to_owned(),
        line: None,
    }
}

fn write(bench: &Bench, name: &str, text: &str) {
    std::fs::write(bench.path().join(name), text).unwrap();
}

fn filled(text: &str, place: &str, value: &str) -> String {
    let found = fill(text, &[change(place, value)], &BTreeSet::new());
    found
        .unwrap_or_else(|problems| panic!("{place}={value}: {problems:?}"))
        .text
}

/// The lines that two texts differ by: those of the first, those of the second.
fn differing<'t>(before: &'t str, after: &'t str) -> (Vec<&'t str>, Vec<&'t str>) {
    let (before, after): (Vec<&str>, Vec<&str>) =
        (before.split('\n').collect(), after.split('\n').collect());
    let same = before
        .iter()
        .zip(&after)
        .take_while(|(one, other)| one == other)
        .count();
    let rest = |lines: &[&'t str]| lines[same..].to_vec();
    let (mut one, mut other) = (rest(&before), rest(&after));
    while !one.is_empty() && one.last() == other.last() {
        one.pop();
        other.pop();
    }
    (one, other)
}

fn new_job(pattern: &str) -> String {
    let bench = Bench::new();
    bench
        .run(["new", "ridge", "--pattern", pattern, "-o", "-"])
        .done()
        .stdout
}

/// Places and values in the demo, with the one line that they change, before and after.
const IN_DEMO: &[(&str, &str, &str, &str)] = &[
    (
        "filler-hose.overlap",
        "40 mm ±1",
        "    measured: {overlap: 38 mm ±2, slide: 0 mm, flexible: no, plan: 242 mm, level: 240 mm}",
        "    measured: {overlap: 40 mm ±1, slide: 0 mm, flexible: no, plan: 242 mm, level: 240 mm}",
    ),
    (
        "vehicle.body_mass",
        "777 kg",
        "  body_mass: 760 kg            # cab and tub, empty",
        "  body_mass: 777 kg            # cab and tub, empty",
    ),
    (
        "mounts.T1L.grip",
        "50",
        "  - {id: T1L, group: tub, at: [-1780, 520, 0]}",
        "  - {id: T1L, group: tub, at: [-1780, 520, 0], measured: {grip: 50}}",
    ),
    (
        "C1L.behind",
        "trim",
        "  - {id: C1L, group: cab, at: [900, 430, 60], measured: {behind: grille}}",
        "  - {id: C1L, group: cab, at: [900, 430, 60], measured: {behind: trim}}",
    ),
    (
        "front-axle.droop",
        "95",
        "  front-axle: {title: front axle, fixed_to: chassis, droop: 90 mm}",
        "  front-axle: {title: front axle, fixed_to: chassis, droop: 95}",
    ),
    (
        "headlamp-aim.height",
        "750 mm",
        "  headlamp-aim: {height: 745 mm, dip: 1.2 %}",
        "  headlamp-aim: {height: 750 mm, dip: 1.2 %}",
    ),
];

/// The same in a new job file, where lines wait for their values.
const IN_NEW: &[(&str, &str, &str, &str)] = &[
    (
        "filler-hose.overlap",
        "38 mm ±2",
        "      #overlap:                   # mm: hose pushed over the shorter spigot",
        "      overlap: 38 mm ±2           # mm: hose pushed over the shorter spigot",
    ),
    (
        "column-boot.held_by",
        "bulkhead, chassis",
        "    #held_by: none                # or what holds it, in order",
        "    held_by: [bulkhead, chassis]  # or what holds it, in order",
    ),
];

#[test]
fn a_value_may_stand_in_the_quotes_of_a_job_file_and_the_blocks_are_called_by_their_name() {
    let bench = Bench::new().file("job.yaml", DEMO);
    let words = ["spacer=45", "every_mount.class=\"10.9\""];
    bench.run(["fill", "job.yaml", words[0], words[1]]).done();
    let plan = bench.run(["sheet", "job.yaml", "--format", "json"]).json();
    assert_eq!(plan["rise"]["value"], 45.0);
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    assert!(text.contains("  spacer: 45\n") && text.contains("  class: 10.9\n"));
}

/// A thread that is in no table is told at once, once, and not when all that its check takes is measured.
#[test]
fn a_thread_that_does_not_exist_is_refused_before_anything_else_is_measured() {
    let bench = Bench::new();
    bench.run(["new", "job", "--pattern", "dual-cab"]).done();
    for thread in ["M13", "M12x2.5"] {
        let write = format!("every_mount.thread={thread}");
        let said = bench.run(["fill", "job.yaml", &write]).failed().stderr;
        let wanted = format!("`{thread}` is neither a thread nor a tyre size that is known");
        assert_eq!(said.matches(&wanted).count(), 1, "{said}");
    }
    bench
        .run(["fill", "job.yaml", "every_mount.thread=M12"])
        .done();
}

#[test]
fn what_is_otherwise_than_was_signed_for_is_told_with_what_it_opens_again() {
    let told = |bench: &Bench| {
        let write = ["fill", "job.yaml", "spacer=45 mm", "--dry-run"];
        bench.run(write).done().stdout
    };
    let bench = Bench::new().file("job.yaml", DEMO);
    assert!(!told(&bench).contains("signed for"));
    let first = ["sign", "job.yaml", "taken-in", "--by", "ash"];
    bench.run(first).done();
    let words = "taking it with `sign --act changed` opens";
    assert!(told(&bench).contains(&format!("{words} nothing again\n")));
    let opened = told(&signed_until(""));
    assert!(opened.contains(&format!("{words} again (")), "{opened}");
    let (_, tasks) = opened.split_once("again (").unwrap();
    let numbers = tasks
        .lines()
        .filter_map(|line| line.trim().split_once(". "));
    let numbers: Vec<usize> = numbers.map(|(number, _)| number.parse().unwrap()).collect();
    assert!(numbers.len() > 10 && numbers.is_sorted(), "{opened}");
    // What is off stays in the plan until it is on again.
    let without = ["fill", "job.yaml", "--without", "intake", "--dry-run"];
    let left = signed_until("loosen-all-bolts").run(without).done().stdout;
    assert!(left.contains("and is refused so:"), "{left}");
    assert!(left.contains("link intake (`intake.release`)"), "{left}");
}

#[test]
fn a_value_goes_where_it_belongs_and_what_is_said_of_it_stays() {
    let new = new_job("dual-cab");
    let in_demo = IN_DEMO.iter().map(|case| (DEMO, case));
    let in_new = IN_NEW.iter().map(|case| (new.as_str(), case));
    for (text, (place, value, before, after)) in in_demo.chain(in_new) {
        let now = filled(text, place, value);
        assert_eq!(
            differing(text, &now),
            (vec![*before], vec![*after]),
            "{place}"
        );
    }
}

#[test]
fn a_comma_among_words_is_no_decimal_comma() {
    // Nor is a dash at its end the beginning of a list.
    let dashed = filled(DEMO, "filler-hose.overlap", "a -");
    assert!(dashed.contains("{overlap: 'a -', slide"), "{dashed}");
    for (place, words) in [
        (
            "note",
            "1,350 kg on the first weighbridge, 1,5 kg less on the second",
        ),
        ("vehicle.name", "2,5 litre hack"),
        ("tail-loom.title", "3,200 mm of loom"),
    ] {
        let said: Yaml = serde_yaml::from_str(&filled(DEMO, place, words)).unwrap();
        let links = said["links"].as_sequence().unwrap();
        let loom = links.iter().find(|link| link["id"] == "tail-loom").unwrap();
        let found = match place {
            "note" => &said["note"],
            "vehicle.name" => &said["vehicle"]["name"],
            _ => &loom["title"],
        };
        assert_eq!(found.as_str(), Some(words), "{place}");
    }
    let text = filled(DEMO, "filler-hose.overlap", "38,5 mm");
    assert!(text.contains("overlap: 38.5 mm,"), "{text}");
}

#[test]
fn a_stretch_that_is_not_there_yet_is_added() {
    let spans = |text: &str| -> Vec<(Yaml, Yaml)> {
        let said: Yaml = serde_yaml::from_str(text).unwrap();
        let mut links = said["links"].as_sequence().unwrap().iter();
        let link = links.find(|link| link["id"] == "rear-breather").unwrap();
        let spans = link["spans"].as_sequence().unwrap().iter();
        let spans = spans.map(|span| (span["to"].clone(), span["measured"].clone()));
        spans.collect()
    };
    let text = filled(DEMO, "rear-breather.rear-axle/chassis.slack", "12 mm");
    let text = filled(&text, "rear-breather.rear-axle/chassis.slack", "13 mm");
    let one_by_one = spans(&filled(&text, "rear-breather.chassis/cab.slack", "14 mm"));
    assert_eq!(one_by_one.len(), 2);
    assert_eq!(one_by_one[0].1["slack"], "13 mm");
    assert_eq!(
        (&one_by_one[1].0, &one_by_one[1].1["slack"]),
        (&"cab".into(), &"14 mm".into())
    );
    // All at once, as a table has them.
    let changes = [
        ("rear-breather.rear-axle/chassis.slack", "13 mm"),
        ("rear-breather.rear-axle/chassis.straight", "90 mm"),
        ("rear-breather.chassis/cab.slack", "14 mm"),
    ];
    let changes = changes.map(|(place, value)| change(place, value));
    let text = fill(DEMO, &changes, &BTreeSet::new()).unwrap().text;
    let at_once = spans(&text);
    assert_eq!(at_once.len(), 2, "{text}");
    assert_eq!(
        (&at_once[0].1["slack"], &at_once[0].1["straight"]),
        (&"13 mm".into(), &"90 mm".into())
    );
    assert_eq!(at_once[1], one_by_one[1]);
    // A reading of the whole would count nowhere then, and be lost.
    let bench = Bench::new().file("job.yaml", text.as_str());
    bench
        .run(["fill", "job.yaml", "rear-breather.slack=20 mm"])
        .failed()
        .complains("every stretch has its own `slack`, so that this one counts nowhere");
    let twice = [changes[0].clone(), changes[0].clone()];
    let refused = fill(DEMO, &twice, &BTreeSet::new()).unwrap_err();
    assert!(refused[0].message.contains("given twice"), "{refused:?}");
}

#[test]
fn what_a_value_comes_to_is_said_at_once() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    bench
        .run(["fill", "job.yaml", "filler-hose.overlap=80 mm"])
        .done()
        .prints("filler-hose.overlap: 80 mm, was 38 mm ±2\n  Fuel filler hose: reposition; 40 mm of overlap is left")
        .prints("job.yaml written");
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    assert_eq!(text, filled(DEMO, "filler-hose.overlap", "80 mm"));
    // And back.
    bench
        .run(["fill", "job.yaml", "filler-hose.overlap=38 mm ±2"])
        .done()
        .prints("Fuel filler hose: extend");
    assert_eq!(
        std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
        DEMO
    );
    bench
        .run(["fill", "job.yaml", "filler-hose.overlap=80 mm", "--dry-run"])
        .done()
        .prints("job.yaml would be written");
    assert_eq!(
        std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
        DEMO
    );
}

/// Values that are refused, and what is said.
const WRONG: &[(&[&str], &str)] = &[
    (
        &["filler-hose.overlap=40 kg"],
        "`filler-hose.overlap`: this is a mass",
    ),
    (
        &["filler-hose.overlap=40 mm", "filler-hose.ovrlap=4"],
        "has no measurement `ovrlap`",
    ),
    (
        &["filer-hose.overlap=40 mm"],
        "the job has no `filer-hose`; did you mean `filler-hose`?",
    ),
    (
        &["vehicle.total_mass=1,350 kg"],
        "`1,350 kg` can be read in two ways",
    ),
    (&["filler-hose.overlap="], "no value is given"),
    (
        &["filler-hose.overlap"],
        "`filler-hose.overlap` is not a value",
    ),
    (
        &["filler-hose=40"],
        "`filler-hose` says not what is measured",
    ),
    (&["vehicle=40"], "`vehicle` holds several values"),
    (
        &["filler-hose.overlap=40", "filler-hose.measured.overlap=41"],
        "is given twice",
    ),
    (&["filler-hose.held_by=[cab"], "`filler-hose.held_by`: "),
    (&["mounts.C9L.grip=40"], "the job has no `C9L`"),
];

#[test]
fn nothing_is_written_when_anything_is_wrong() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    for (values, said) in WRONG {
        let call = ["fill", "job.yaml"]
            .into_iter()
            .chain(values.iter().copied());
        bench.run(call).code(1).complains(said);
        assert_eq!(
            std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
            DEMO,
            "{values:?}"
        );
    }
    bench
        .run(["fill", "job.yaml", "--without", "nothing"])
        .code(1)
        .complains("the job has no connection `nothing`");
    bench
        .run(["fill", "-", "a.b=1"])
        .code(2)
        .complains("give the file's name");
    bench
        .run(["fill", "none.yaml", "a.b=1"])
        .code(2)
        .complains("unreadable-file");
    // A file with a mistake can still be written into: the mistake was there before.
    let wrong = DEMO.replace("gross_mass: 2950 kg", "gross_mass: 2950 mm");
    write(&bench, "job.yaml", &wrong);
    bench
        .run(["fill", "job.yaml", "filler-hose.overlap=40 mm"])
        .done();
    assert_eq!(
        std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
        filled(&wrong, "filler-hose.overlap", "40 mm")
    );
    // As it was written by somebody with a decimal comma.
    bench
        .run(["fill", "job.yaml", "filler-hose.overlap=38,5 ±0,5 mm"])
        .done();
    assert!(
        std::fs::read_to_string(bench.path().join("job.yaml"))
            .unwrap()
            .contains("overlap: 38.5 ±0.5 mm")
    );
}

#[test]
fn what_is_said_of_a_place_that_is_not_there_and_of_a_file_that_would_read_otherwise() {
    let bench = Bench::new();
    // What one value says another says, too: a change of the first would change both.
    let shared = DEMO
        .replace("total_mass: 2050 kg", "total_mass: &all 2050 kg")
        .replace("  track: 1520 mm", "  cg_height: *all\n  track: 1520 mm")
        .replace("  cg_height: 720 mm\n", "");
    write(&bench, "job.yaml", &shared);
    let refused = |value: &str| bench.run(["fill", "job.yaml", value]).failed().stderr;
    snapshot("not-filled", &refused("vehicle.total_mass=2100 kg"));
    snapshot("unknown-place", &refused("filer-hose.overlap=38 mm"));
    assert_eq!(
        std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
        shared
    );
}

#[test]
fn a_connection_that_is_not_there_is_taken_out_with_its_remark() {
    let new = new_job("dual-cab");
    let text = without(&new, &["column-boot".to_owned()]).unwrap();
    let (gone, instead) = differing(&new, &text);
    assert_eq!(instead, Vec::<&str>::new());
    assert!(
        gone.iter()
            .any(|line| line.contains("# Steering column boot:")),
        "{gone:?}"
    );
    assert!(
        gone.iter()
            .all(|line| !line.contains("====") && !line.contains("firewall-seals")),
        "{gone:?}"
    );
    // A part that lies over the cut, with the lines that wait below it.
    let text = without(&new, &["heat-shield".to_owned()]).unwrap();
    let (gone, instead) = differing(&new, &text);
    assert_eq!(instead, Vec::<&str>::new());
    let own: Vec<&str> = gone.iter().map(|line| line.trim()).collect();
    assert!(own.starts_with(&["# Heat shields: Thin sheets over the exhaust under the floor, before the tank and beside gearbox and brake lines.", "heat-shield:"]), "{own:?}");
    assert!(own.last().unwrap().starts_with("#slots:"), "{own:?}");
    let tied = "parts: {a: {class: b, fixed_to: [x, y]}, x: {title: x}}   # two\n";
    assert_eq!(
        without(tied, &["a".to_owned()]).unwrap(),
        "parts: {x: {title: x}}   # two\n"
    );
    // One that is only a part holds others.
    assert!(without(&new, &["tank".to_owned()]).is_err());
    // The only one.
    let only = "job: x\nlinks:\n  # One.\n  - id: a\n    class: b\nzone: Z\n";
    let text = without(only, &["a".to_owned()]).unwrap();
    let said: Yaml = serde_yaml::from_str(&text).unwrap();
    assert_eq!(said["links"], Yaml::Sequence(Vec::new()), "{text}");
    assert!(text.ends_with("zone: Z\n"), "{text}");
    // A list in the flow of a line.
    let flow = "job: x\nlinks: [{id: a, class: b}, {id: c, class: d}]   # two\n";
    assert_eq!(
        without(flow, &["a".to_owned()]).unwrap(),
        "job: x\nlinks: [{id: c, class: d}]   # two\n"
    );
}

#[test]
fn every_row_of_every_new_job_s_table_has_its_place() {
    for pattern in PATTERNS {
        let (bench, job) = (Bench::new(), new_job(pattern));
        write(&bench, "job.yaml", &job);
        bench.run(["survey", "job.yaml", "-o", "survey.csv"]).done();
        let table = std::fs::read_to_string(bench.path().join("survey.csv")).unwrap();
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        let head = reader.headers().unwrap().clone();
        let place = head.iter().position(|name| name == "place").unwrap();
        let places: Vec<String> = reader
            .records()
            .map(|row| row.unwrap()[place].to_owned())
            .collect();
        assert!(places.len() > 200, "{pattern}: {}", places.len());
        let changes: Vec<ToWrite> = places.iter().map(|place| change(place, "1")).collect();
        let known = ["headlamp-aim"]
            .into_iter()
            .map(ToOwned::to_owned)
            .collect();
        let done = fill(&job, &changes, &known)
            .unwrap_or_else(|problems| panic!("{pattern}: {problems:?}"));
        assert!(done.was.iter().all(Option::is_none), "{pattern}");
        let said: Yaml = serde_yaml::from_str(&done.text).unwrap();
        assert_eq!(
            said["links"].as_sequence().unwrap().len(),
            done.text
                .lines()
                .filter(|line| line.starts_with("  - id: "))
                .count()
        );
        // Whoever fills in a table with an empty cell everywhere says nothing.
        bench
            .run(["fill", "job.yaml", "--from", "survey.csv"])
            .code(1)
            .complains("nothing is filled in");
    }
}

#[cfg(unix)]
#[test]
fn nothing_is_lost_when_several_fill_in_one_file_at_once() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    let places = ["C1L", "C1R", "C2L", "C2R", "C3L", "C3R"];
    let values: Vec<String> = places
        .iter()
        .map(|mount| format!("mounts.{mount}.grip=53 mm"))
        .collect();
    std::thread::scope(|scope| {
        for value in &values {
            scope.spawn(|| {
                bench
                    .run(["fill", "job.yaml", value])
                    .done()
                    .prints("job.yaml written")
            });
        }
    });
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    assert_eq!(text.matches("grip: 53 mm").count(), places.len(), "{text}");
}

#[test]
fn line_ends_and_who_may_read_the_file_stay() {
    let text = "job: x\r\nvehicle:\r\n  #name:\r\n  #fuel:   # petrol | diesel\r\nlinks: []\r\n";
    let now = filled(&filled(text, "vehicle.name", "Y"), "vehicle.fuel", "diesel");
    assert_eq!(
        now,
        "job: x\r\nvehicle:\r\n  name: Y\r\n  fuel: diesel  # petrol | diesel\r\nlinks: []\r\n"
    );
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;

        let bench = Bench::new();
        write(&bench, "job.yaml", DEMO);
        let path = bench.path().join("job.yaml");
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o600)).unwrap();
        // Through a link, too, which stays one.
        std::os::unix::fs::symlink("job.yaml", bench.path().join("link.yaml")).unwrap();
        bench
            .run(["fill", "link.yaml", "vehicle.track=1530 mm"])
            .done();
        assert!(bench.path().join("link.yaml").is_symlink());
        assert_eq!(
            std::fs::metadata(&path).unwrap().permissions().mode() & 0o777,
            0o600
        );
        assert_eq!(
            std::fs::read_to_string(&path).unwrap(),
            filled(DEMO, "vehicle.track", "1530 mm")
        );
    }
}

/// The table of the demo that is still being surveyed, filled in as the complete demo has it.
fn filled_table(separator: u8) -> String {
    let bench = Bench::new();
    write(&bench, "job.yaml", SURVEY);
    let table = bench
        .run(["survey", "job.yaml", "--format", "csv"])
        .done()
        .stdout;
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let head = reader.headers().unwrap().clone();
    let at = |name: &str| head.iter().position(|known| known == name).unwrap();
    let mut writer = csv::WriterBuilder::new()
        .delimiter(separator)
        .from_writer(Vec::new());
    writer.write_record(&head).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let asked = [change(&row[at("place")], "1")];
        let known = ["guard-to-tyre-clearance"]
            .into_iter()
            .map(ToOwned::to_owned)
            .collect();
        let whole = fill(DEMO, &asked, &known)
            .unwrap()
            .was
            .pop()
            .flatten()
            .unwrap();
        let cells = row.iter().enumerate().map(|(cell, text)| {
            if cell == at("value") {
                whole.as_str()
            } else {
                text
            }
        });
        writer.write_record(cells).unwrap();
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

#[test]
fn the_survey_goes_out_as_a_table_and_comes_back() {
    let separated = [(b',', ""), (b';', "\u{feff}"), (b'\t', "")];
    let tables = separated.map(|(separator, mark)| (mark, filled_table(separator)));
    for (mark, table) in &tables {
        let bench = Bench::new();
        write(&bench, "job.yaml", SURVEY);
        write(&bench, "survey.csv", &format!("{mark}{table}"));
        // What somebody may have filled in is not written over.
        bench
            .run(["survey", "job.yaml", "-o", "survey.csv"])
            .code(2)
            .complains("--force");
        bench
            .run(["fill", "job.yaml", "--from", "survey.csv"])
            .done()
            .prints("job.yaml written");
        bench.run(["check", "job.yaml"]).code(0);
    }
    let (one, other) = (rows(&tables[0].1).unwrap(), rows(&tables[1].1).unwrap());
    assert_eq!(one, other);
    assert!(one.changes.len() > 8, "{}", one.changes.len());
}

/// Tables that are refused, and what is said.
const BAD_TABLES: &[(&str, &[&str])] = &[
    (
        "filler-hose.overlap,40 kg,\nfiller-hose.plan,1 kg,\n",
        &[
            "line 2, `filler-hose.overlap`: this is a mass",
            "line 3, `filler-hose.plan`: this is a mass",
        ],
    ),
    (
        "filler-hose.overlap,40,yes\n",
        &["line 2: `filler-hose.overlap` is not there, and has a value"],
    ),
    (
        "filler-hose.overlap,40,\nfiller-hose.plan,,x\n",
        &["`filler-hose.overlap` has a value, and its connection is not there"],
    ),
    (
        "vehicle.body_mass,,yes\n",
        &["`vehicle.body_mass` is no connection"],
    ),
    (",40,\n", &["line 2: a value without its place"]),
    (
        "\"vehicle.body_mass\",\"1,350\",\n",
        &["line 2, `vehicle.body_mass`: `1,350` can be read in two ways"],
    ),
    ("", &["nothing is filled in"]),
];

#[test]
fn a_table_is_taken_whole_and_its_faults_are_named_by_line() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    let head = "place,value,not_there\n";
    for (table, said) in BAD_TABLES {
        write(&bench, "t.csv", &format!("{head}{table}"));
        let mut run = bench.run(["fill", "job.yaml", "--from", "t.csv"]).code(1);
        for one in *said {
            run = run.complains(one);
        }
        assert_eq!(
            std::fs::read_to_string(bench.path().join("job.yaml")).unwrap(),
            DEMO
        );
    }
    write(&bench, "t.csv", "what,value\na,b\n");
    bench
        .run(["fill", "job.yaml", "--from", "t.csv"])
        .code(1)
        .complains("no columns `place` and `value`");
    write(
        &bench,
        "t.csv",
        &format!(
            "{head}filler-hose.overlap,,yes\nfiller-hose.plan,,yes\nvehicle.body_mass,'-4 kg,\n"
        ),
    );
    bench
        .run(["fill", "job.yaml", "--from", "t.csv"])
        .code(1)
        .complains("line 4, `vehicle.body_mass`");
    write(
        &bench,
        "t.csv",
        &format!(
            "{head}filler-hose.overlap,,yes\nfiller-hose.plan,,yes\nvehicle.body_mass,755,no\n"
        ),
    );
    bench
        .run(["fill", "job.yaml", "--from", "t.csv"])
        .done()
        .prints("filler-hose: taken out");
}

#[test]
fn a_remark_stands_above_what_it_is_about() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    let table = "place,value,remark\nfiller-hose.overlap,40 mm,\"bead is\n cracked\"\nmounts.T1L.grip,,washer bent\nvehicle.track,,from the papers\n";
    write(&bench, "t.csv", table);
    bench
        .run(["fill", "job.yaml", "--from", "t.csv"])
        .done()
        .prints("mounts.T1L.grip: remark, washer bent");
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    for lines in [
        "  # overlap: bead is cracked\n  - id: filler-hose\n",
        "  # grip: washer bent\n  - {id: T1L,",
        "  # track: from the papers\n  track: 1520 mm\n",
    ] {
        assert!(text.contains(lines), "{lines}\n{text}");
    }
    assert_eq!(text.lines().count(), DEMO.lines().count() + 3);
    write(&bench, "t.csv", "place,value,remark\nnothing.slack,,hm\n");
    bench
        .run(["fill", "job.yaml", "--from", "t.csv"])
        .code(1)
        .complains("the remark has no place");
}

/// What the demo says.
fn demo() -> &'static Yaml {
    static SAID: OnceLock<Yaml> = OnceLock::new();
    SAID.get_or_init(|| serde_yaml::from_str(DEMO).unwrap())
}

/// Every single value of the demo, by its place.
fn places() -> Vec<String> {
    let job = demo();
    let mut all = Vec::new();
    let simple = |map: &Yaml, prefix: &str| -> Vec<String> {
        let map = map.as_mapping();
        let keys = map
            .into_iter()
            .flatten()
            .filter(|(_, value)| !value.is_mapping() && !value.is_sequence());
        keys.map(|(key, _)| format!("{prefix}.{}", key.as_str().unwrap()))
            .collect()
    };
    for section in ["vehicle", "lift", "every_mount"] {
        all.extend(simple(&job[section], section));
    }
    for list in ["links", "mounts"] {
        for entry in job[list].as_sequence().unwrap() {
            let id = entry["id"].as_str().unwrap();
            all.extend(simple(&entry["measured"], &format!("{list}.{id}")));
        }
    }
    for (id, part) in job["parts"].as_mapping().unwrap() {
        all.extend(simple(part, &format!("parts.{}", id.as_str().unwrap())));
    }
    for (id, one) in job["consequences"].as_mapping().unwrap() {
        all.extend(simple(
            one,
            &format!("consequences.{}", id.as_str().unwrap()),
        ));
    }
    all
}

fn value() -> impl Strategy<Value = String> {
    prop_oneof![
        "[1-9][0-9]{0,3}( mm| kg|°| N·m)?( ±[1-9])?",
        "[a-z][a-z ]{0,12}[a-z]",
        "[ -~]{1,24}",
        prop::sample::select(vec![
            "yes",
            "no",
            "null",
            "~",
            "true",
            "'",
            "\"",
            "a: b",
            "a #b",
            "- a",
            "&x",
            "*x",
            "!t",
            "{}",
            "[]",
            "%",
            "@a",
            "ä € →",
            "0x1F",
            "1e3",
            "? a"
        ])
        .prop_map(ToOwned::to_owned),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    /// Whatever is typed, wherever it goes: the file says that and all else that it said, one line is another, and no remark is lost.
    #[test]
    fn everything_but_the_value_reads_as_before(place in prop::sample::select(places()), typed in value()) {
        match fill(DEMO, &[change(&place, &typed)], &BTreeSet::new()) {
            Err(problems) => {
                // Only what cannot be a value at all, or may mean two things.
                let typed = typed.trim();
                let odd = typed.is_empty() || typed.starts_with(['[', '{']) || typed.contains(',');
                prop_assert!(odd, "{place}={typed}: {problems:?}");
            }
            Ok(done) => {
                let (one, other) = differing(DEMO, &done.text);
                prop_assert!(one.len() <= 1 && one.len() == other.len(), "{one:?} {other:?}");
                let remark = |lines: &[&str]| lines.first().and_then(|line| line.split_once("   # ").map(|(_, remark)| remark.to_owned()));
                if let Some(said) = remark(&one) {
                    prop_assert!(other[0].ends_with(&said), "{one:?} {other:?}");
                }
                let is: Yaml = serde_yaml::from_str(&done.text).unwrap();
                prop_assert_eq!(count_differences(demo(), &is) <= 1, true, "{} {:?}", place, other);
            }
        }
    }
}

/// How many single values two trees differ by.
fn count_differences(one: &Yaml, other: &Yaml) -> usize {
    match (one, other) {
        (Yaml::Mapping(one), Yaml::Mapping(other)) if one.len() == other.len() => one
            .iter()
            .map(|(key, value)| {
                other
                    .get(key)
                    .map_or(100, |there| count_differences(value, there))
            })
            .sum(),
        (Yaml::Sequence(one), Yaml::Sequence(other)) if one.len() == other.len() => one
            .iter()
            .zip(other)
            .map(|(one, other)| count_differences(one, other))
            .sum(),
        (Yaml::Mapping(_), Yaml::Mapping(_)) | (Yaml::Sequence(_), Yaml::Sequence(_)) => 100,
        _ => usize::from(one != other),
    }
}

#[test]
fn what_was_read_before_its_holders_were_known_is_doubted() {
    let bench = Bench::new();
    write(&bench, "job.yaml", DEMO);
    // By what the pages call them, in capitals or not.
    let holders = "heater-hose.held_by=Pipe clip on the bulkhead, pipe clip on the left rail";
    let doubted = bench.run(["fill", "job.yaml", holders]).code(0);
    snapshot("read-elsewhere", &doubted.stderr);
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    assert!(
        text.contains("held_by: [bulkhead-clip, chassis-clip-front]"),
        "{text}"
    );
    // As it is held already, or read together with that: nothing is doubted.
    for words in [
        &["heater-hose.held_by=bulkhead-clip, chassis-clip-front"][..],
        &[
            "heater-hose.held_by=none",
            "heater-hose.slack=60 mm",
            "heater-hose.plan=231 mm",
            "heater-hose.level=60 mm",
        ],
    ] {
        let all = [&["fill", "job.yaml"], words].concat();
        let sure = bench.run(all).code(0);
        assert!(!sure.stderr.contains("read-elsewhere"), "{}", sure.stderr);
    }
}

/// What a terminal is sent while somebody types these lines, and the exit code.
#[cfg(unix)]
fn typed(bench: &Bench, words: &[&str], typing: &str) -> (String, Option<i32>) {
    let environment = [("NO_COLOR", "1")];
    crate::support::terminal::sent((bench, 200), words, &environment, typing)
}

#[cfg(unix)]
#[test]
fn on_a_terminal_everything_that_is_missing_is_asked_for() {
    let bench = Bench::new();
    write(&bench, "job.yaml", SURVEY);
    let typing = "1420\nlater\n40 kg\n30 mm\nback\n31 mm\nnot there\nnot there\nstop\n";
    let (said, code) = typed(&bench, &["fill", "job.yaml"], typing);
    assert_eq!(code, Some(0), "{said}");
    for text in [
        "the vehicle: Mass of the body with everyone and the load aboard (kg)",
        "vehicle.body_mass_laden: 1420",
        "battery-lead.held_by: ",
        "engine bay, Engine earth strap: Slack of the strap (mm, to 5 mm)",
        "`earth-strap.slack`: this is a mass",
        "earth-strap.slack: 31 mm, was 30 mm",
        "intake: taken out",
        "left to measure.",
    ] {
        assert!(said.contains(text), "{text}\n{said}");
    }
    let text = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    let job: Yaml = serde_yaml::from_str(&text).unwrap();
    let links = job["links"].as_sequence().unwrap();
    assert_eq!(job["vehicle"]["body_mass_laden"], 1420);
    let strap = links
        .iter()
        .find(|link| link["id"] == "earth-strap")
        .unwrap();
    assert_eq!(strap["measured"]["slack"], "31 mm");
    assert!(links.iter().all(|link| link["id"] != "intake"));
    // One part of the vehicle; what was put off comes again the next time.
    let (said, code) = typed(&bench, &["fill", "job.yaml", "--area", "tunnel"], "stop\n");
    assert!(
        code == Some(0) && said.contains("gear-lever.swings.aft.aperture: "),
        "{said}"
    );
    let (said, _) = typed(&bench, &["fill", "job.yaml"], "stop\n");
    assert!(said.contains("battery-lead.held_by: "), "{said}");
    let (said, code) = typed(&bench, &["fill", "job.yaml", "--area", "roof"], "");
    assert!(
        code == Some(2) && said.contains("its parts are the vehicle, cab, engine bay"),
        "{said}"
    );
    // A letter answers what is asked with yes or no.
    let asked = DEMO.replace("  steering_sensor: no\n", "");
    assert_ne!(asked, DEMO);
    write(&bench, "asked.yaml", &asked);
    let (said, _) = typed(&bench, &["fill", "asked.yaml"], "Y\nstop\n");
    assert!(said.contains("vehicle.steering_sensor: yes"), "{said}");
    // Without a terminal it says what else there is.
    bench
        .run(["fill", "job.yaml"])
        .code(2)
        .complains("`--from` and a filled table");
}

#[cfg(unix)]
#[test]
fn what_is_far_from_last_time_is_asked_once_more_and_all_mounts_are_answered_at_once() {
    let bench = Bench::new();
    write(&bench, "ridge.yaml", DEMO);
    bench.run(["new", "gully", "--like", "ridge.yaml"]).done();
    let (said, code) = typed(
        &bench,
        &["fill", "gully.yaml", "--area", "tunnel"],
        "51 mm\n51\n51\n105\nstop\n",
    );
    assert_eq!(code, Some(0), "{said}");
    for text in [
        "Last time 60 mm.",
        "`gear-lever.floor_height`: 150 mm last time, 51 mm now. Look again; the same once more is written.",
        "gear-lever.boot_spare: 51 mm",
        "gear-lever.floor_height: 51\n",
    ] {
        assert!(said.contains(text), "{text}\n{said}");
    }
    let (said, _) = typed(
        &bench,
        &["fill", "gully.yaml", "--area", "left under"],
        "later\n\n\n\nall nut\nAll trim\nall nothing\nstop\n",
    );
    assert!(said.contains("every_mount.also_holds: nothing"), "{said}");
    let text = std::fs::read_to_string(bench.path().join("gully.yaml")).unwrap();
    let job: Yaml = serde_yaml::from_str(&text).unwrap();
    assert_eq!(job["every_mount"]["also_holds"], "nothing");
    assert_eq!(job["every_mount"]["behind"], "trim");
}
