//! Quick to sign: printed numbers, ranges, whose turn it is, tables; and what cannot be waited for.

use std::path::Path;

use serde_json::json;

use super::desk::{Desk, gaps, values};
use super::photos::picture;
use super::refused::kept;
use super::whole::signed_until;
use crate::support::run::Bench;

#[test]
fn tasks_are_named_by_their_printed_numbers() {
    let desk = Desk::new();
    desk.sign("1-2", "ash", &["--ticks"])
        .done()
        .prints("signed: 1 chocks (Chock the wheels) done");
    desk.sign("1-2", "birch", &["--act", "checked"]).done();
    desk.sign("3", "ash", &[])
        .done()
        .prints("signed: 3 bonnet-off (Take the bonnet off) done");
    for wrong in ["0", "99", "5-3", "3-99"] {
        desk.sign(wrong, "ash", &[])
            .failed()
            .complains("error[task-not-in-plan]");
    }
    let sheet = desk.plan().0["plan_digest"].as_str().unwrap()[7..11].to_owned();
    desk.sign("3", "birch", &["--act", "checked", "--sheet", &sheet])
        .done();
    // Once the plan has changed, a number says nothing without its sheet.
    desk.rewrite(|job| job["links"][0]["measured"]["slack"] = "20 mm".into());
    desk.call(
        "sign",
        &[
            "--act",
            "changed",
            "--by",
            "ash",
            "--note",
            "measured again",
        ],
    )
    .run()
    .done();
    let now = desk.plan().0["plan_digest"].as_str().unwrap()[7..11].to_owned();
    let before = desk.bytes();
    let mut outcome = desk.sign("4", "ash", &[]).failed();
    outcome.stderr = outcome.stderr.replace(&now, "<4>");
    kept("other-sheet", &desk, &before, &outcome);
    desk.sign("4", "ash", &["--sheet", &sheet])
        .failed()
        .complains("error[other-sheet]: the sheet");
    desk.sign("released", "ash", &["--dry-run"]).done();
    desk.sign("4", "ash", &["--sheet", &now]).done();
}

#[test]
fn values_of_several_tasks_are_told_apart_by_their_tasks() {
    let desk = Desk::new();
    desk.through_all_to("square.body");
    desk.sign("gas", "rowan", &["--value", "gas:certificate=R-1"])
        .done();
    desk.sign("gas", "rowan", &["--value", "chocks:certificate=R-1"])
        .failed()
        .complains("error[bad-evidence]");
}

#[test]
fn whose_turn_it_is() {
    let desk = Desk::new();
    let next = |person: &[&str]| {
        let all = [&["--next"], person].concat();
        desk.call("record", &all).run().code(1).stdout
    };
    assert_eq!(
        next(&[]),
        "   1 do (ash, birch, cedar): Chock the wheels, chocks; writes chocked\n"
    );
    desk.sign("chocks", "ash", &["--ticks"]).done();
    assert_eq!(next(&[]), "   1 check (birch): Chock the wheels, chocks\n");
    assert_eq!(next(&["cedar"]), "nothing is this person's turn now\n");
    assert_eq!(next(&["rowan"]), "nothing is this person's turn now\n");
    desk.call("sign", &["--next", "--by", "birch"])
        .run()
        .done()
        .prints("   1 check: Chock the wheels, chocks\n");
    // What is finished does not fill the screen.
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    let account = desk.call("record", &[]).run().code(1).stdout;
    assert!(
        !account.contains("chocks") && account.contains("not released: 1 of "),
        "{account}"
    );
}

/// The table of what is to be signed, as rows of cells by the names of the columns.
fn table(desk: &Desk) -> (Vec<String>, Vec<Vec<String>>) {
    desk.call("record", &["-o", "to-sign.csv", "--force"]).run();
    read(desk.bench.path())
}

fn read(folder: &Path) -> (Vec<String>, Vec<Vec<String>>) {
    let text = std::fs::read(folder.join("to-sign.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(&text[..]);
    let head = reader
        .headers()
        .unwrap()
        .iter()
        .map(ToOwned::to_owned)
        .collect();
    let rows = reader
        .records()
        .map(|row| row.unwrap().iter().map(ToOwned::to_owned).collect());
    (head, rows.collect())
}

fn filled(desk: &Desk, fill: impl Fn(&dyn Fn(&str) -> String) -> Vec<(&'static str, String)>) {
    table(desk);
    fill_in(desk.bench.path(), fill);
}

/// Fills the table of a folder in, as `signed.csv`.
fn fill_in(folder: &Path, fill: impl Fn(&dyn Fn(&str) -> String) -> Vec<(&'static str, String)>) {
    let (head, rows) = read(folder);
    let place = |name: &str| head.iter().position(|own| own == name).unwrap();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&head).unwrap();
    for mut row in rows {
        let cell = |name: &str| row[place(name)].clone();
        for (name, value) in fill(&cell) {
            row[place(name)] = value;
        }
        writer.write_record(&row).unwrap();
    }
    std::fs::write(folder.join("signed.csv"), writer.into_inner().unwrap()).unwrap();
}

/// What a right table holds for each row.
fn right(cell: &dyn Fn(&str) -> String) -> Vec<(&'static str, String)> {
    let task = cell("task");
    let pairs = values(&task);
    let value = |name: &str| {
        let mut pairs = pairs.iter().filter_map(|pair| pair.split_once('='));
        pairs
            .find(|(own, _)| *own == name)
            .map(|(_, value)| value.to_owned())
    };
    if task.starts_with("retorque") {
        return Vec::new();
    }
    let mut filled = vec![("value", value(&cell("name")).unwrap_or_default())];
    let by = if task == "gas" { "rowan" } else { "ash" };
    filled.push(("done_by", by.to_owned()));
    filled.push(("checked_by", "birch".to_owned()));
    if task == "tight.body" {
        filled.push(("wrench", "W7".to_owned()));
    }
    if task == "handed-over" {
        filled.push(("odometer", "45210".to_owned()));
    }
    filled
}

#[test]
fn a_job_is_signed_by_a_table() {
    let desk = Desk::new();
    filled(&desk, right);
    let sign = ["--from", "signed.csv", "--by", "ash"];
    desk.call("sign", &sign).run().done();
    desk.call("record", &[]).run().done().prints("released");
    // It is signed once.
    desk.call("sign", &sign)
        .run()
        .failed()
        .complains("error[already-signed]");
}

#[test]
fn a_table_is_signed_all_or_not_and_every_fault_is_named_by_its_row() {
    let desk = Desk::new();
    let wrong = |cell: &dyn Fn(&str) -> String| {
        let mut filled = right(cell);
        match cell("task").as_str() {
            "chocks" => filled[0].1 = "perhaps".to_owned(),
            "gas" => filled[1].1 = "ash".to_owned(),
            _ => {}
        }
        filled
    };
    filled(&desk, wrong);
    let outcome = desk
        .call("sign", &["--from", "signed.csv", "--by", "ash"])
        .run()
        .failed();
    let (_, rows) = table(&desk);
    let row = |task: &str| rows.iter().position(|row| row[2] == task).unwrap() + 2;
    let outcome = outcome.complains(&format!(
        "error[unknown-choice]: row {}: `chocked` takes yes or no",
        row("chocks")
    ));
    outcome.complains(&format!(
        "error[no-licence]: row {}: `gas` is for the trade",
        row("gas")
    ));
    assert!(!desk.path().exists());
    // A table that somebody may have filled in is not overwritten.
    desk.call("record", &["-o", "signed.csv"])
        .run()
        .code(2)
        .complains("there already");
}

#[test]
fn a_row_that_was_refused_is_done_again_by_a_table() {
    let desk = Desk::new();
    desk.through_all_to("gaps-before.body");
    let why = ["--act", "rejected", "--note", "read at the wrong place"];
    desk.sign("gaps-before.body:BODY-2R", "birch", &why).done();
    // Who did the others stands in the table, and they are not signed again.
    let (_, rows) = table(&desk);
    let own = |row: &&Vec<String>| row[2] == "gaps-before.body";
    let by: Vec<&str> = rows
        .iter()
        .filter(own)
        .map(|row| row[13].as_str())
        .collect();
    assert_eq!(by, ["ash", "ash", "ash", ""]);
    let again = |cell: &dyn Fn(&str) -> String| match cell("row").as_str() {
        "BODY-2R" if cell("task") == "gaps-before.body" => vec![
            ("value", "31".to_owned()),
            ("done_by", "ash".to_owned()),
            ("checked_by", "birch".to_owned()),
        ],
        _ => Vec::new(),
    };
    filled(&desk, again);
    let sign = ["--from", "signed.csv", "--by", "ash"];
    desk.call("sign", &sign).run().done();
    assert_eq!(desk.state("gaps-before.body"), "signed off");
}

#[test]
fn what_is_filled_in_without_a_name_is_not_passed_over() {
    let desk = Desk::new();
    desk.sign("chocks", "cedar", &["--value", "chocked=yes"])
        .done();
    // What was signed before stands in the table already, and asks for nobody again.
    let nobody = |cell: &dyn Fn(&str) -> String| match cell("task").as_str() {
        "tight.body" => vec![("value", "65".to_owned())],
        _ => Vec::new(),
    };
    filled(&desk, nobody);
    let (_, rows) = table(&desk);
    let row = rows.iter().position(|row| row[2] == "tight.body").unwrap() + 2;
    let before = desk.bytes();
    let sign = ["--from", "signed.csv", "--by", "ash"];
    let outcome = desk.call("sign", &sign).run().failed();
    outcome.complains(&format!(
        "error[bad-table]: row {row}: something is filled in, and nobody is named who did it"
    ));
    assert_eq!(desk.bytes(), before);
}

#[test]
fn what_is_no_table_is_refused() {
    let desk = Desk::new();
    std::fs::write(
        desk.bench.path().join("signed.csv"),
        "what,who\nchocks,ash\n",
    )
    .unwrap();
    let before = desk.bytes();
    let outcome = desk
        .call("sign", &["--from", "signed.csv", "--by", "ash"])
        .run()
        .failed();
    kept("bad-table", &desk, &before, &outcome);
}

#[test]
fn work_of_five_minutes_says_so_and_an_evenings_entry_with_its_times_does_not() {
    let signed = |times: bool| {
        let desk = Desk::new();
        let steps = [
            ("chocks", 0),
            ("safe", 10),
            ("bonnet-off", 30),
            ("grille-off", 50),
        ];
        for (task, minute) in steps {
            let at = format!("2026-03-02 08:{minute:02}");
            let more: Vec<&str> = if times { vec!["--at", &at] } else { Vec::new() };
            desk.sign(task, "ash", &[&["--ticks"], &more[..]].concat())
                .done();
            desk.sign(task, "birch", &[&["--act", "checked"], &more[..]].concat())
                .done();
        }
        desk
    };
    let fast = signed(false);
    fast.call("record", &[])
        .run()
        .code(1)
        .prints("Times that do not fit (1):\n  tasks 2, 3: said to be done from");
    let sheet = fast
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(
        sheet.contains("## Times that do not fit") && sheet.contains("| tasks 2, 3 |"),
        "{sheet}"
    );
    let slow = signed(true);
    let account = slow.call("record", &[]).run().code(1).stdout;
    assert!(!account.contains("clock"), "{account}");
}

#[test]
fn what_must_lie_a_night_apart_and_does_not_is_listed() {
    for (day, said) in [("02", true), ("03", false)] {
        let desk = Desk::new();
        let states = desk.bench.path().join("small/states.yaml");
        let text = std::fs::read_to_string(&states).unwrap();
        let more = text.replace(
            "[on, taken off, on again]}",
            "[on, taken off, on again], waits: {taken off: {hours: 12, because: it sets overnight}}}",
        );
        assert_ne!(more, text);
        std::fs::write(&states, more).unwrap();
        let last = format!("{day} 10:00");
        for (task, at) in [
            ("chocks", "02 08:00"),
            ("safe", "02 08:30"),
            ("bonnet-off", "02 09:00"),
            ("grille-off", &last),
        ] {
            let at = format!("2026-03-{at}");
            desk.sign(task, "ash", &["--ticks", "--at", &at]).done();
            desk.sign(task, "birch", &["--act", "checked", "--at", &at])
                .done();
        }
        let lines = [
            "said to be done 1 h after",
            "at least 12 h must lie between",
        ];
        let account = desk.call("record", &[]).run().code(1).stdout;
        let sheet = desk
            .call("record", &["--format", "md"])
            .run()
            .code(1)
            .stdout;
        for line in lines {
            assert_eq!(account.contains(line), said, "{account}");
            assert_eq!(sheet.contains(line), said, "{sheet}");
        }
    }
}

/// A hold point is held to its wait as work is, though nobody does it.
#[test]
fn a_hold_point_that_is_signed_before_its_wait_is_over_is_listed() {
    let desk = Desk::new();
    for (file, from, to) in [
        (
            "states.yaml",
            "course: *access",
            "course: *access, waits: {taken off: {hours: 2, because: it dries}}",
        ),
        (
            "procedure/20-strip.yaml",
            "{title: Stripped,",
            "{hold: supervisor, while: {grille: taken off}, title: Stripped,",
        ),
    ] {
        let file = desk.bench.path().join("small").join(file);
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(text.contains(from), "{text}");
        std::fs::write(&file, text.replace(from, to)).unwrap();
    }
    for (task, at) in [
        ("chocks", "08:00"),
        ("safe", "08:30"),
        ("bonnet-off", "09:00"),
        ("grille-off", "10:00"),
    ] {
        let at = format!("2026-03-02 {at}");
        desk.sign(task, "ash", &["--ticks", "--at", &at]).done();
        desk.sign(task, "birch", &["--act", "checked", "--at", &at])
            .done();
    }
    for (at, said) in [("11:00", true), ("12:00", false)] {
        let at = format!("2026-03-02 {at}");
        desk.sign("stripped", "birch", &["--act", "checked", "--at", &at])
            .done();
        let account = desk.call("record", &[]).run().code(1).stdout;
        let line = "said to be done 1 h after task 3, and at least 2 h must lie between";
        assert_eq!(account.contains(line), said, "{account}");
        desk.sign("stripped", "birch", &["--act", "withdrawn"])
            .done();
    }
}

/// A row that is done anew is held to its own wait, however long before the others were done.
#[test]
fn a_row_that_is_done_anew_has_its_own_wait() {
    let desk = Desk::new();
    let small = desk.bench.path();
    for (file, from, to) in [
        (
            "small/states.yaml",
            "states:",
            "states:\n  bolts: {of: side, course: [as found, torqued], waits: {torqued: {hours: 1, because: they settle}}}",
        ),
        (
            "signing/procedure/60-lower.yaml",
            "most: 100, per: mount}]",
            "most: 100, per: mount}]\n      makes: {bolts: torqued}\n    always: true",
        ),
        (
            "signing/procedure/60-lower.yaml",
            "title: \"Gaps of {{ group }} after\"",
            "while: {bolts: torqued}\n      title: \"Gaps of {{ group }} after\"",
        ),
    ] {
        let text = std::fs::read_to_string(small.join(file)).unwrap();
        assert!(text.contains(from), "{text}");
        std::fs::write(small.join(file), text.replace(from, to)).unwrap();
    }
    let plan = desk.plan();
    let at = ["--at", "2026-03-02 07:00"];
    for task in &plan.ids()[..=plan.position("mounts-BODY-1L-to-BODY-2R.torque")] {
        desk.sign(task, "ash", &[&values(task)[..], &at].concat())
            .done();
        desk.sign(task, "birch", &[&["--act", "checked"][..], &at].concat())
            .done();
    }
    let done = |task: &str, at: &str| {
        let at = format!("2026-03-02 {at}");
        desk.sign(task, "ash", &["--at", &at]).done();
        desk.call("record", &[]).run().code(1).stdout
    };
    let line = "said to be done 5 min after";
    done("tight.body", "08:00");
    let account = done("square.body:BODY-1L", "10:30");
    assert!(!account.contains("must lie between"), "{account}");
    done("tight.body:BODY-1R", "10:35");
    let account = done("square.body:BODY-1R", "10:40");
    assert!(account.contains(line), "{account}");
}

/// A number that is signed at once is one piece of work: its tasks are not held against one another, all of them against what lies before.
#[test]
fn the_tasks_of_one_number_have_the_time_of_all_of_them() {
    for (at, said) in [("12:00", false), ("06:20", true)] {
        let bench = signed_until("brake-pipe-down.release");
        let at = format!("2025-03-04T{at}Z");
        let words = [
            "sign", "job.yaml", "11", "--by", "ash", "--ticks", "--at", &at,
        ];
        bench.run(words).done();
        let account = bench.run(["record", "job.yaml"]).code(1).stdout;
        let listed = account.split("Times that do not fit").nth(1).unwrap();
        let own = listed.lines().find(|line| line.contains("11:"));
        assert_eq!(own.is_some(), said, "{account}");
        assert!(
            own.is_none_or(|own| own.contains("05:15 UTC to 2025-03-04 06:20")),
            "{account}"
        );
    }
}

/// So is a range of numbers with one time.
#[test]
fn the_tasks_of_a_range_have_the_time_of_all_of_them() {
    for (at, said) in [("08:12", false), ("08:08", true)] {
        let desk = Desk::new();
        let at = format!("2026-03-02 {at}");
        let began = ["--at", "2026-03-02 08:00"];
        desk.sign("1", "ash", &["--ticks", "--at", "2026-03-02 07:50"])
            .done();
        desk.sign("safe", "ash", &began).done();
        desk.sign(
            "1-2",
            "birch",
            &[&["--act", "checked"][..], &began].concat(),
        )
        .done();
        desk.sign("3-4", "ash", &["--at", &at]).done();
        let account = desk.call("record", &[]).run().code(1).stdout;
        let line = "tasks 3, 4: said to be done from";
        assert_eq!(account.contains("Times that do not fit"), said, "{account}");
        assert_eq!(account.contains(line), said, "{account}");
    }
}

/// What was done anew says nothing of work that stayed signed behind it.
#[test]
fn work_that_stays_behind_work_done_anew_is_no_misfit() {
    let desk = Desk::new();
    for (task, at) in [
        ("chocks", "08:00"),
        ("safe", "08:30"),
        ("bonnet-off", "09:00"),
    ] {
        let at = format!("2026-03-02 {at}");
        desk.sign(task, "ash", &["--ticks", "--at", &at]).done();
        desk.sign(task, "birch", &["--act", "checked", "--at", &at])
            .done();
    }
    let why = ["--act", "reopened", "--note", "a chock was kicked away"];
    desk.sign("chocks", "birch", &why).done();
    desk.sign("chocks", "ash", &["--ticks"]).done();
    let account = desk.call("record", &[]).run().code(1).stdout;
    assert!(!account.contains("Times that do not fit"), "{account}");
}

/// What was done in the very minute in which it is signed is not late.
#[test]
fn a_time_of_the_very_minute_of_signing_is_not_late() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--ticks"]).done();
    let time = desk.signed()[0]["time"].as_str().unwrap().to_owned();
    let at = format!("{}:00Z", &time[..16]);
    desk.sign("safe", "ash", &["--at", &at]).done();
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    // The clock may have gone on to the next minute meanwhile.
    let same = desk.signed()[1]["time"].as_str().unwrap()[..16] == time[..16];
    assert_eq!(sheet.contains("(late: done"), !same, "{sheet}");
}

#[cfg(unix)]
#[test]
fn a_pipe_is_refused_and_nobody_hangs_on_it() {
    let desk = Desk::new();
    let made = std::process::Command::new("mkfifo")
        .arg(desk.path())
        .status()
        .unwrap();
    assert!(made.success());
    desk.sign("chocks", "ash", &["--ticks"])
        .failed()
        .complains("a pipe or a device");
    desk.call("record", &[])
        .run()
        .failed()
        .complains("a pipe or a device");
}

#[test]
fn whoever_waits_for_a_lock_is_told_and_gives_up() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--ticks"]).done();
    let before = desk.bytes();
    let held = std::fs::File::open(desk.path()).unwrap();
    held.lock_shared().unwrap();
    let outcome = desk.sign("safe", "ash", &[]).failed();
    let (said, problem) = outcome.stderr.split_once('\n').unwrap();
    assert!(
        said.contains("somebody else has job.record.jsonl open; waiting for them"),
        "{said}"
    );
    let problem = problem.to_owned();
    let outcome = crate::support::run::Outcome {
        stderr: problem,
        ..outcome
    };
    kept("record-held", &desk, &before, &outcome);
    drop(held);
    desk.sign("safe", "ash", &[]).done();
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_signed_is_signed_though_nobody_can_be_told() {
    let desk = Desk::new();
    let rules = "--only-own-rules --rules small --rules signing";
    let sign = format!("\"$0\" sign job.yaml chocks --by ash --ticks {rules} > /dev/full");
    let output = std::process::Command::new("sh")
        .args(["-c", &sign, crate::support::run::PROGRAM])
        .current_dir(desk.bench.path())
        .env(desk.bench.home().0, desk.bench.home().1)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("standard output")
    );
    assert_eq!(desk.signed().len(), 1);
}

fn plan_of(bench: &Bench) -> serde_json::Value {
    let sheet = ["sheet", "job.yaml", "--format", "json"];
    bench.run(sheet).done().json()
}

/// The demo with one who does everything and one who checks it, as two people do.
fn two_people() -> Bench {
    let demo = liftsheet::rules::builtin::file("demo/forestry-crew.yaml").unwrap();
    let (before, _) = demo.text().split_once("\npeople:").unwrap();
    let people = "\npeople:\n  - {id: ash, name: Ash (invented), roles: [fitter, tradesperson], licences: [refrigerant, brakes, restraint, engineer, windscreen-and-sensors, fuel, electrical]}\n  - {id: birch, name: Birch (invented), roles: [fitter, supervisor]}\n";
    let bench = Bench::new().file("job.yaml", format!("{before}{people}"));
    std::fs::write(bench.path().join("work.png"), picture(90, (12, 8))).unwrap();
    bench
}

/// Signs some printed tasks, with all that their pieces ask for.
fn act(bench: &Bench, tasks: &[&serde_json::Value], (by, checks): (&str, bool), first: &str) {
    let mut call = bench.call([
        "sign", "job.yaml", first, "--by", by, "--ticks", "--wrench", "W7",
    ]);
    if checks {
        call = call.arg("--act").arg("checked");
    }
    for task in tasks {
        for asked in task["evidence"].as_array().unwrap() {
            let (id, name) = (
                task["id"].as_str().unwrap(),
                asked["name"].as_str().unwrap(),
            );
            if asked["kind"] == "photo" {
                call = call.arg("--photo").arg(format!("{id}:{name}=work.png"));
            } else if let Some(value) = answer(asked) {
                call = call.arg("--value").arg(format!("{id}:{name}={value}"));
            }
        }
    }
    call.run().done();
}

/// A call is one person's one act, of any number of rows. Who ticks a box signs nothing: the check behind it does.
#[test]
fn the_demo_goes_from_nothing_to_released_in_sixty_calls_of_two_people() {
    let bench = two_people();
    let plan = plan_of(&bench);
    let tasks = plan["tasks"].as_array().unwrap();
    let entries = plan["entries"].as_array().unwrap();
    let pieces = |number: u64| tasks.iter().filter(move |task| task["number"] == number);
    let due = |number: u64| pieces(number).any(|task| !task["due"].is_null());
    let number = |entry: &serde_json::Value| entry["number"].as_u64().unwrap();
    let lift: Vec<_> = entries.iter().filter(|entry| !due(number(entry))).collect();
    let card = || bench.run(["record", "job.yaml", "--card"]).stdout;
    let mut acts = 0;
    let mut from = 1;
    for check in lift.iter().filter(|entry| entry["sign"] == "checked") {
        let to = number(check);
        // Nobody does a hold point, and what is only ticked is signed by nobody.
        let own = (from..=to).flat_map(pieces);
        let done: Vec<_> = own
            .filter(|task| task["sign"] != "tick" && task["hold"].is_null())
            .collect();
        let rows = |task: &serde_json::Value| task["sign"] == "checked" || !task["hold"].is_null();
        if !done.is_empty() {
            act(&bench, &done, ("ash", false), &format!("{from}-{to}"));
            acts += 1;
        }
        let holds: Vec<_> = (from..=to)
            .flat_map(pieces)
            .filter(|task| rows(task) && !task["hold"].is_null())
            .collect();
        act(&bench, &holds, ("birch", true), &to.to_string());
        acts += 1;
        from = to + 1;
        if pieces(to).any(|task| task["id"] == "before-lowering.tub.left") {
            let card = card();
            for stands in [
                "# Do not start, do not move: ",
                "- chocks in\n",
                "- body tub left on stands\n",
                "apart: 14 connections",
            ] {
                assert!(card.contains(stands), "{stands}: {card}");
            }
            assert!(!card.contains("bolts cab"), "{card}");
        }
    }
    let card = card();
    assert!(
        card.starts_with("# Released: ") && !card.contains("chocks"),
        "{card}"
    );
    bench
        .run(["record", "job.yaml"])
        .done()
        .prints("released: ");
    assert_eq!(from, number(lift.last().unwrap()) + 1);
    assert!(acts <= 60, "{acts} calls");
    assert!(entries.len() <= 100, "{} printed tasks", entries.len());
}

#[test]
fn the_demo_is_signed_by_one_table() {
    let bench = two_people();
    let plan = plan_of(&bench);
    let tasks = plan["tasks"].as_array().unwrap();
    let lift = tasks.iter().filter(|task| task["due"].is_null());
    let lift: Vec<&str> = lift.map(|task| task["id"].as_str().unwrap()).collect();
    bench.run(["record", "job.yaml", "-o", "to-sign.csv"]);
    fill_in(bench.path(), |cell| {
        if !lift.contains(&cell("task").as_str()) {
            return Vec::new();
        }
        let limit = |name: &str| cell(name).parse::<f64>().ok();
        let asked = json!({
            "name": cell("name"), "kind": cell("kind"), "least": limit("least"), "most": limit("most"),
        });
        let value = match cell("kind").as_str() {
            "" => String::new(),
            "yes" => "yes".to_owned(),
            "photo" => "work.png".to_owned(),
            _ => answer(&asked).unwrap_or_default(),
        };
        vec![
            ("value", value),
            ("wrench", "W7".to_owned()),
            ("done_by", "ash".to_owned()),
            ("checked_by", "birch".to_owned()),
        ]
    });
    bench
        .run([
            "sign",
            "job.yaml",
            "--from",
            "signed.csv",
            "--by",
            "birch",
            "--yes",
        ])
        .done();
    bench
        .run(["record", "job.yaml"])
        .done()
        .prints("released: ");
}

/// Something right for what is asked; nothing for a tick or what is worked out.
fn answer(asked: &serde_json::Value) -> Option<String> {
    let name = asked["name"].as_str().unwrap();
    if matches!(name, "nose_up" | "left_up" | "out_of_plane") {
        return None;
    }
    let limit = |key: &str| asked[key].as_f64();
    Some(match asked["kind"].as_str().unwrap() {
        "yes" | "worked out" => return None,
        "number" if name == "odometer" => "45210".to_owned(),
        "number" if name.starts_with("gap_before.") => "30".to_owned(),
        "number" if name.starts_with("gap_after.") => "70".to_owned(),
        "number" => match (limit("least"), limit("most")) {
            (Some(least), Some(most)) => f64::midpoint(least, most).to_string(),
            (Some(least), None) => (least + 1.0).to_string(),
            (None, Some(most)) => (most - 1.0).to_string(),
            (None, None) => "30".to_owned(),
        },
        "date" => "2026-03-02".to_owned(),
        "until" => "2099-03-02".to_owned(),
        "time" => "08:30".to_owned(),
        "person" => "Birch (invented)".to_owned(),
        _ => "none, A-1".to_owned(),
    })
}

#[test]
fn of_what_a_number_names_that_is_signed_whose_turn_it_is() {
    let desk = Desk::new();
    desk.through_all_to("down.body.right");
    let tight = |last: &str| {
        let torques = gaps("torque", ["90", "90", "90", last]);
        let all = [&["--wrench", "W-1"], torques.as_slice()].concat();
        desk.sign("15", "ash", &all).done()
    };
    // Measuring whether the body is square waits for all torques, and the torques themselves are not lost by that.
    let left = "  not signed: 15 square.body (";
    tight("900").prints(left);
    assert_eq!(desk.state("tight.body"), "out of limits");
    assert_eq!(desk.state("square.body"), "open");
    tight("90").prints(left);
    let before = desk.bytes();
    desk.sign("square.body", "ash", &[]).failed();
    assert_eq!(desk.bytes(), before);
    // Whoever names one of its tasks has not named the rest.
    let row = ["--wrench", "W-1", "--value", "torque.BODY-1L=91"];
    let said = desk.sign("tight.body:BODY-1L", "birch", &row).done().stdout;
    assert!(!said.contains("not signed"), "{said}");
}
