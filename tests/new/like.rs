//! A job like another: what comes over, what does not, and what is said of a reading that is far from what it was last time. Beside it
//! what else `new` is told at once: how many mounts there are, connections more and fewer.

use std::collections::BTreeMap;

use liftsheet::job::{self, Job};
use liftsheet::report::Report;
use liftsheet::source::Source;
use serde_json::Value;

use crate::errors::snapshot;
use crate::support::run::Bench;

const DEMO: &str = include_str!("../../rules/demo/forestry-crew.yaml");

fn read(text: &str) -> Job {
    let mut report = Report::new();
    let job = job::read(&Source::from_text("job.yaml", text), false, &mut report);
    assert!(report.is_empty(), "{:?}\n{text}", report.problems);
    job.unwrap()
}

fn file(bench: &Bench, name: &str) -> String {
    std::fs::read_to_string(bench.path().join(name)).unwrap()
}

/// The demo as `ridge.yaml`, and `gully.yaml` begun like it.
fn gully() -> (Bench, String) {
    let bench = Bench::new().file("ridge.yaml", DEMO);
    bench.run(["new", "gully", "--like", "ridge.yaml"]).done();
    let text = file(&bench, "gully.yaml");
    (bench, text)
}

#[test]
fn what_is_the_same_on_every_vehicle_of_the_kind_comes_over() {
    let (_, text) = gully();
    let (old, new) = (read(DEMO), read(&text));
    let places = |job: &Job| -> Vec<_> {
        let mounts = job.mounts.iter();
        mounts
            .map(|(id, mount)| {
                (
                    id.clone(),
                    mount.group.clone(),
                    mount.class.clone(),
                    mount.at,
                    mount.spacer,
                )
            })
            .collect()
    };
    assert_eq!(places(&new), places(&old));
    let held = |job: &Job| -> Vec<_> {
        let links = job.links.iter();
        links
            .map(|(id, link)| {
                let area = link.area.as_ref().map(|(area, _)| area.clone());
                (
                    id.clone(),
                    link.class.clone(),
                    link.title.clone(),
                    link.fixings.clone(),
                    link.held_known,
                    area,
                )
            })
            .collect()
    };
    assert_eq!(held(&new), held(&old));
}

#[test]
fn so_do_the_parts_the_people_and_the_lift() {
    let (bench, text) = gully();
    let (old, new) = (read(DEMO), read(&text));
    let bolted = |job: &Job| -> Vec<_> {
        let parts = job.parts.iter();
        parts
            .map(|(id, part)| {
                (
                    id.clone(),
                    part.title.clone(),
                    part.fixed_to.clone(),
                    part.class.clone(),
                )
            })
            .collect()
    };
    assert_eq!(bolted(&new), bolted(&old));
    let who = |job: &Job| -> Vec<_> {
        let people = job.people.iter();
        people
            .map(|(id, person)| {
                (
                    id.clone(),
                    person.name.clone(),
                    person.roles.clone(),
                    person.licences.clone(),
                    person.hours.clone(),
                )
            })
            .collect()
    };
    assert_eq!(who(&new), who(&old));
    assert_eq!(
        (new.lift.spacer, new.lift.clearance),
        (old.lift.spacer, old.lift.clearance)
    );
    assert_eq!(
        (new.lift.block.outer, &new.region, &new.things),
        (old.lift.block.outer, &old.region, &old.things)
    );
    assert_eq!(new.vehicle.flags, old.vehicle.flags);
    bench
        .run(["check", "gully.yaml"])
        .code(0)
        .complains("no problem found");
}

#[test]
fn nothing_that_was_measured_comes_over_but_as_what_it_was_last_time() {
    let (bench, text) = gully();
    let new = read(&text);
    assert_eq!((new.vehicle.identification, new.note), (None, None));
    assert!(new.vehicle.numbers.is_empty(), "{:?}", new.vehicle.numbers);
    assert!(
        new.links
            .values()
            .all(|link| link.measured.is_empty() && link.by_span.is_empty())
    );
    assert!(new.mounts.values().all(|mount| mount.measured.is_empty()));
    assert!(new.consequences.values().all(BTreeMap::is_empty));
    for line in [
        "      #overlap:                   # mm: hose pushed over the shorter spigot; last time 38 mm ±2",
        "  #track:                         # mm: track; last time 1520 mm",
        "  #class:                         # 8.8 | 10.9 | 12.9 | grade 5 | grade 8: class of the bolt; last time 10.9",
        "      #    throw:                 # last time 8 deg",
        "  - {id: C3R, group: cab, at: [-1420, -610, 0]}  # last time behind carpet, rubber torn",
    ] {
        assert!(text.lines().any(|found| found == line), "{line}\n{text}");
    }
    // What is written takes it out, and what else is said of it stays; in a list that waits whole, the others go on waiting.
    let values = ["filler-hose.overlap=39", "gear-lever.swings.aft.lean=5 deg"];
    bench
        .run(["fill", "gully.yaml"].into_iter().chain(values))
        .done();
    let text = file(&bench, "gully.yaml");
    for line in [
        "      overlap: 39                 # mm: hose pushed over the shorter spigot",
        "        #fore:",
        "          #lean:                  # deg: lean of the resting lever toward this swing; last time -4 deg",
        "        aft:",
        "          #aperture:              # last time 60 mm",
        "          lean: 5 deg",
    ] {
        assert!(text.lines().any(|found| found == line), "{line}\n{text}");
    }
}

/// The second opinion on where each value belongs: with all of them as they were last time, the vehicle comes to what the other came to.
#[test]
fn the_same_values_come_to_the_same() {
    let (bench, text) = gully();
    let table = bench
        .run(["survey", "gully.yaml", "--format", "csv"])
        .done()
        .stdout;
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows = reader.deserialize().map(Result::unwrap);
    let rows: Vec<BTreeMap<String, String>> = rows.collect();
    assert!(rows.len() > 200, "{}", rows.len());
    for row in rows {
        assert_ne!(row["last_time"], "", "{row:?}");
    }
    // What may be left out is in no survey.
    let written: serde_yaml::Value = serde_yaml::from_str(&text).unwrap();
    let mut filled = csv::Writer::from_writer(Vec::new());
    filled.write_record(["place", "value"]).unwrap();
    for (place, value) in written["last_time"].as_mapping().unwrap() {
        let value = value.as_str().unwrap();
        filled
            .write_record([place.as_str().unwrap(), value])
            .unwrap();
    }
    let filled = filled.into_inner().unwrap();
    std::fs::write(bench.path().join("filled.csv"), filled).unwrap();
    let said = bench
        .run(["fill", "gully.yaml", "--from", "filled.csv"])
        .done();
    assert_eq!(said.stderr, "");
    let verdicts = |job: &str| -> Vec<(Value, Value)> {
        let json = bench.run(["sheet", job, "--format", "json"]).done().json();
        let links = json["links"].as_array().unwrap().iter();
        links
            .map(|link| (link["id"].clone(), link["verdict"].clone()))
            .collect()
    };
    assert_eq!(verdicts("gully.yaml"), verdicts("ridge.yaml"));
}

#[test]
fn the_survey_says_what_it_was_last_time() {
    let (bench, _) = gully();
    let page = bench
        .run(["survey", "gully.yaml", "--format", "md"])
        .done()
        .stdout;
    for text in [
        "*Last time* is what another vehicle of the kind had there",
        "; *last time* 38 mm ±2 |",
        "| clean / pitted; *last time* clean |",
        "] (carpet) |",
        "8.8 / 10.9 / 12.9 / grade 5 / grade 8; *last time* 10.9; `class`",
    ] {
        assert!(page.contains(text), "{text}\n{page}");
    }
    let inches = bench
        .run(["survey", "gully.yaml", "--units", "in", "--format", "md"])
        .done()
        .stdout;
    assert!(inches.contains("*last time* 1.5 in ±0.08 |"), "{inches}");
    let before = bench.run(["survey", "--demo", "--format", "md"]);
    assert!(!before.stdout.to_lowercase().contains("last time"));
}

#[test]
fn a_reading_far_from_last_time_is_told_of() {
    let (bench, _) = gully();
    let far = bench
        .run([
            "fill",
            "gully.yaml",
            "filler-hose.overlap=83",
            "mounts.C1L.grip=47,5 mm",
        ])
        .code(0);
    snapshot("far-from-last-time", &far.stderr);
    assert!(file(&bench, "gully.yaml").contains("overlap: 83 "));
    // However its place is spelled, on one stretch, or when it stands there already.
    for (value, said) in [
        (
            "links.filler-hose.measured.overlap=83,5 mm",
            "38 mm ±2 last time, 83.5 mm now",
        ),
        (
            "front-brake-pipe.chassis-clip-front/inner-guard.length=35 mm",
            "305 mm last time, 35 mm now",
        ),
        ("every_mount.grip=25", "52 mm last time, 25 mm now"),
        ("T2L.bolt_length=35", "60 mm last time, 35 mm now"),
        ("vehicle.body_mass=1760", "760 kg last time, 1760 kg now"),
        ("gear-lever.swings.left.lean=8 deg", "0° last time, 8° now"),
        ("headlamp-aim.height=475", "745 mm last time, 475 mm now"),
    ] {
        bench
            .run(["fill", "gully.yaml", "--dry-run", value])
            .code(0)
            .complains(said);
    }
}

#[test]
fn a_job_that_is_wrong_or_other_words_for_it_are_refused() {
    let broken = DEMO.replace("ends: [{part: filler-neck, ", "ends: [{part: filler-nek, ");
    let bench = Bench::new()
        .file("ridge.yaml", DEMO)
        .file("broken.yaml", broken);
    for (words, said) in [
        (
            &["--like", "broken.yaml"][..],
            "did you mean `filler-neck`?",
        ),
        (&["--like", "none.yaml"], "none.yaml"),
        (
            &["--like", "ridge.yaml", "fuel=petrol"],
            "`fuel=petrol` is an option of a pattern",
        ),
        (
            &["--like", "ridge.yaml", "mounts=8"],
            "the mounts are those of that job",
        ),
        (
            &["--like", "ridge.yaml", "-p", "wagon"],
            "cannot be used with",
        ),
    ] {
        bench
            .run(
                ["new", "x", "-o", "x.yaml"]
                    .into_iter()
                    .chain(words.iter().copied()),
            )
            .failed()
            .complains(said);
        assert!(!bench.path().join("x.yaml").exists());
    }
    // What is wished beside it goes over it.
    let words = [
        "spacer=50",
        "filler-hose.held_by=tank",
        "--without",
        "snorkel-duct",
        "--add",
        "tow-bar",
    ];
    let text = bench
        .run(
            ["new", "x", "-o", "-", "--like", "ridge.yaml"]
                .into_iter()
                .chain(words),
        )
        .done()
        .stdout;
    let job = read(&text);
    assert_eq!(job.lift.spacer.value, 50.0);
    assert!(!job.links.contains_key("snorkel-duct") && job.links["tow-bar"].class == "tow-bar");
    assert_eq!(job.links["filler-hose"].fixings.len(), 3);
}

/// The mounts of a new file of a pattern: body and row, with the place on the left.
fn mounts(pattern: &str, wished: &str) -> Vec<(String, [f64; 3])> {
    let bench = Bench::new();
    let text = bench
        .run(["new", "x", "-o", "-", "-p", pattern, wished])
        .done()
        .stdout;
    let job = read(&text);
    for (id, mount) in job.mounts.iter().filter(|(id, _)| id.ends_with('R')) {
        let left = &job.mounts[&id.replace('R', "L")];
        let [x, y, z] = left.at;
        assert_eq!((mount.at, &mount.group), ([x, -y, z], &left.group));
    }
    let left = job.mounts.iter().filter(|(id, _)| id.ends_with('L'));
    left.map(|(id, mount)| (id.clone(), mount.at)).collect()
}

#[test]
fn as_many_mounts_as_the_vehicle_has() {
    let rows = |wished: &str| -> Vec<String> {
        mounts("dual-cab", wished)
            .into_iter()
            .map(|(id, _)| id)
            .collect()
    };
    assert_eq!(rows("mounts=8"), ["C1L", "C2L", "T1L", "T2L"]);
    assert_eq!(rows("mounts=10"), ["C1L", "C2L", "C3L", "T1L", "T2L"]);
    assert_eq!(rows("mounts=4+6"), ["C1L", "C2L", "T1L", "T2L", "T3L"]);
    assert_eq!(
        mounts("dual-cab", "mounts=12"),
        mounts("dual-cab", "spacer=40")
    );
    // The ends stay where they are, the others lie between.
    let places = mounts("soft-top", "mounts=6");
    assert_eq!(
        places,
        [
            ("M1L".to_owned(), [750.0, 380.0, 60.0]),
            ("M2L".to_owned(), [-490.0, 560.0, 0.0]),
            ("M3L".to_owned(), [-1800.0, 480.0, 80.0]),
        ]
    );
    assert_eq!(mounts("wagon", "mounts=14").len(), 7);
    let bench = Bench::new();
    for (wished, said) in [
        ("mounts=7", "mounts come in pairs"),
        ("mounts=400", "40 at the most"),
        ("mounts=6", "so on 8 mounts here"),
        ("mounts=4+2", "two pairs of mounts at least"),
        (
            "mounts=4+4+4",
            "2 bodies go up, and `4+4+4` are mounts of 3",
        ),
        ("mounts=many", "is no number of mounts"),
    ] {
        bench
            .run(["new", "x", "-p", "dual-cab", wished])
            .failed()
            .complains(said);
    }
}

/// Whatever is asked of the vehicle is asked with its answers: each that is offered is taken.
#[test]
fn what_is_asked_of_the_vehicle_names_its_answers() {
    let bench = Bench::new();
    let words = ["new", "x", "-o", "x.yaml", "-p", "dual-cab", "mounts=8"];
    bench.run(words).done();
    let table = bench
        .run(["survey", "x.yaml", "--format", "csv"])
        .done()
        .stdout;
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows = reader.deserialize().map(Result::unwrap);
    let rows: Vec<BTreeMap<String, String>> = rows.collect();
    let offered = rows
        .iter()
        .filter(|row| row["area"] == "the vehicle" && row["unit"].contains(" / "));
    let offered: Vec<(&str, &str)> = offered
        .map(|row| (row["place"].as_str(), row["unit"].as_str()))
        .collect();
    assert!(
        offered.contains(&("vehicle.driver_aids", "yes / no")),
        "{offered:?}"
    );
    assert!(
        offered.contains(&("lift.block.material", "steel / aluminium / plastic")),
        "{offered:?}"
    );
    let values = offered
        .iter()
        .map(|(place, answers)| format!("{place}={}", answers.rsplit(" / ").next().unwrap()));
    let values: Vec<String> = values.collect();
    bench
        .run(
            ["fill", "x.yaml", "--dry-run"]
                .into_iter()
                .chain(values.iter().map(String::as_str)),
        )
        .code(0);
    // Of the tyres both sizes are asked for, each in its place.
    for place in ["vehicle.done.tyre_before", "vehicle.done.tyre_after"] {
        assert!(rows.iter().any(|row| row["place"] == place), "{place}");
    }
}

#[test]
fn connections_more_and_fewer() {
    let bench = Bench::new();
    let words = [
        "new",
        "x",
        "-o",
        "-",
        "-p",
        "wagon",
        "--add",
        "snorkel",
        "--add",
        "heater-hoses=rear-hose",
        "--add",
        "ride-height-sensor-rod",
        "--without",
        "clutch-line",
        "rear-hose.title=Hose to the rear heater",
    ];
    let text = bench.run(words).done().stdout;
    let job = read(&text);
    assert!(!job.links.contains_key("clutch-line"));
    // Left out by the options, it comes with what it ends on.
    assert_eq!(job.links["raised-intake"].class, "snorkel");
    assert!(job.parts.contains_key("raised-intake"));
    assert_eq!(
        job.links["rear-hose"].title.as_deref(),
        Some("Hose to the rear heater")
    );
    assert!(
        text.contains(
            "    ends: [chassis, body]         # no pattern says where it ends: write the parts\n"
        ),
        "{text}"
    );
    for (word, value, said) in [
        (
            "--add",
            "snorkle",
            "there is no class of connection `snorkle`; did you mean `snorkel`?",
        ),
        (
            "--add",
            "snorkel=filler-hose",
            "the job has a `filler-hose` already",
        ),
        ("--add", "snorkel=two words", "two words"),
        ("--add", "body-mount", "such as `mounts=12`"),
        ("--without", "clutch-lime", "did you mean `clutch-line`?"),
    ] {
        bench
            .run(["new", "x", "-p", "wagon", word, value])
            .failed()
            .complains(said);
    }
    assert!(!bench.path().join("x.yaml").exists());
}

/// A reading may be called like a field of what it is read on; and what all mounts had alike is said once.
#[test]
fn a_reading_called_like_a_field_is_told_from_it() {
    let bench = Bench::new();
    bench
        .run([
            "new",
            "x",
            "-p",
            "dual-cab",
            "mounts=8",
            "radiator-support-mounts.fixed=bolted",
        ])
        .done();
    let place = "parts.radiator-support-mounts.measured.class";
    bench
        .run(["survey", "x.yaml", "--format", "csv"])
        .done()
        .prints(place);
    let all = ["C1L", "C1R", "C2L", "C2R", "T1L", "T1R", "T2L", "T2R"]
        .map(|id| format!("mounts.{id}.grip=52 mm"));
    let own = [
        format!("{place}=10.9"),
        "mounts.T2R.rust=surface".to_owned(),
    ];
    let values = all.iter().chain(&own).map(String::as_str);
    bench
        .run(["fill", "x.yaml"].into_iter().chain(values))
        .done();
    let said = read(&file(&bench, "x.yaml"));
    assert_eq!(
        said.parts["radiator-support-mounts"].class.as_deref(),
        Some("radiator-support-mount")
    );
    bench.run(["new", "y", "--like", "x.yaml"]).done();
    let text = file(&bench, "y.yaml");
    for line in [
        "  every_mount.grip: 52 mm",
        "  mounts.T2R.rust: surface",
        &format!("  {place}: \"10.9\""),
    ] {
        assert!(text.lines().any(|found| found == line), "{line}\n{text}");
    }
    assert!(!text.contains("mounts.C1L.grip"), "{text}");
    assert!(
        text.contains("class of the bolt; only when fixed is bolted; last time 10.9\n"),
        "{text}"
    );
}
