//! Whose record it is: bound to one vehicle, one file for one job, people and roles as they were signed for, records of the first program.

use serde_json::json;

use super::desk::Desk;
use super::refused::{kept, refused};
use super::whole::signed_until;
use crate::support::run::case;

const CHOCKED: [&str; 2] = ["--value", "chocked=yes"];

#[test]
fn the_first_line_says_whose_record_it_is() {
    let desk = Desk::new();
    desk.through("chocks", &CHOCKED);
    let first = &desk.lines()[0];
    assert_eq!(first["act"], "bound");
    let binds = &first["binds"];
    assert_eq!(binds["identification"], "INVENTED-1");
    assert_eq!(binds["job"], "An invented job");
    assert_eq!(binds["vehicle"], "Invented vehicle");
    assert_eq!(binds["plan"], desk.plan().0["plan_digest"]);
    assert_eq!(
        binds["people"]["birch"]["roles"],
        json!(["fitter", "supervisor"])
    );
    assert_eq!(binds["people"]["rowan"]["licences"], json!(["refrigerant"]));
    assert_eq!(binds["program"], env!("CARGO_PKG_VERSION"));
    assert_eq!(binds["id"].as_str().unwrap().len(), 32);
    let other = Desk::new();
    other.through("chocks", &CHOCKED);
    assert_ne!(
        other.lines()[0]["binds"]["id"],
        binds["id"],
        "two records of one id"
    );
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("bound to INVENTED-1 (");
}

#[test]
fn nothing_is_signed_for_a_vehicle_without_identification() {
    let desk = Desk::with(|job| {
        job["vehicle"]
            .as_object_mut()
            .unwrap()
            .remove("identification");
    });
    refused("no-identification", &desk, ("chocks", "ash"), &CHOCKED);
    assert!(!desk.path().exists());
}

#[test]
fn a_record_beside_another_vehicles_job_is_refused_until_a_supervisor_says_that_it_is_the_same() {
    let desk = Desk::new();
    desk.through_all_to("bonnet-off");
    desk.rewrite(|job| {
        job["vehicle"]["identification"] = json!("INVENTED-7");
        job["job"] = json!("Another job");
    });
    refused("other-vehicle", &desk, ("grille-off", "ash"), &[]);
    desk.call("record", &[]).run().failed().complains(
        "the identification is `INVENTED-1` in the record and `INVENTED-7` in the job file",
    );
    let same = |by| {
        let more = [
            "--act",
            "identified",
            "--by",
            by,
            "--note",
            "the plate was misread",
        ];
        desk.call("sign", &more).run()
    };
    same("ash").failed().complains("error[wrong-role]");
    same("birch")
        .done()
        .prints("signed: record identified by Birch (invented) as supervisor");
    assert_eq!(
        desk.open_up_to("bonnet-off"),
        Vec::<String>::new(),
        "it opened something"
    );
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(
        sheet.contains("the plate was misread") && sheet.contains("INVENTED"),
        "{sheet}"
    );
    desk.through("grille-off", &[]);
}

#[test]
fn which_file_is_the_record_is_one_rule() {
    let desk = Desk::new();
    desk.through("chocks", &CHOCKED);
    let path = |name: &str| desk.bench.path().join(name);
    // Another file of the same name would share it.
    std::fs::copy(path("job.yaml"), path("job.yml")).unwrap();
    refused("record-shared", &desk, ("safe", "ash"), &[]);
    desk.call("record", &[])
        .run()
        .failed()
        .complains("error[record-shared]");
    std::fs::remove_file(path("job.yml")).unwrap();
    // The same file by another way is the same record.
    desk.sign("safe", "ash", &[]).done();
}

#[cfg(unix)]
#[test]
fn a_link_to_a_job_file_shares_its_record() {
    let desk = Desk::new();
    desk.through("chocks", &CHOCKED);
    let path = |name: &str| desk.bench.path().join(name);
    std::fs::create_dir(path("linked")).unwrap();
    std::os::unix::fs::symlink("../job.yaml", path("linked/job.yaml")).unwrap();
    let rules = ["--only-own-rules", "--rules", "small", "--rules", "signing"];
    let sign = ["sign", "linked/job.yaml", "safe", "--by", "ash"];
    desk.bench.run(sign.into_iter().chain(rules)).done();
    assert_eq!(desk.state("safe"), "waiting for the supervisor");
    // A second record beside the link would split the signatures unseen.
    std::fs::write(path("linked/job.record.jsonl"), desk.bytes()).unwrap();
    desk.bench
        .run(sign.into_iter().chain(rules))
        .failed()
        .complains("error[record-shared]");
}

/// Whoever forgets `--rules` does not sign the workshop's own limits away.
#[test]
fn rules_that_were_laid_over_are_not_left_out_by_a_slip() {
    let settings = "by: Birch (invented)\non: 2026-03-02\nsettings:\n  fuel-filler-hose.least_overlap: 30 mm\n";
    let bench = signed_until("taken-in").file("own/settings.yaml", settings);
    std::fs::create_dir(bench.path().join("none")).unwrap();
    let sign = |words: &[&str], rules: &[&str]| {
        let head = ["sign", "job.yaml", "--by", "birch"];
        bench.run(head.iter().chain(words).chain(rules).copied())
    };
    let noted = ["read-faults", "--act", "noted", "--note", "two codes"];
    let changed = ["--act", "changed", "--note", "signed for", "--yes"];
    sign(&["taken-in", "--ticks"], &["--rules", "own"]).done();
    for words in [&["read-faults"][..], &changed] {
        sign(words, &[])
            .failed()
            .complains("error[job-changed]")
            .complains("it was signed with rules laid over, and none are laid over now")
            .complains("give `--rules DIR` with the rules that it was signed with");
    }
    bench
        .run(["record", "job.yaml"])
        .code(1)
        .prints("it was signed with rules laid over, and none are laid over now");
    sign(&noted, &["--rules", "own"]).done();
    // Who means it says so with a folder in which nothing stands.
    sign(&changed, &["--rules", "none"]).done();
    sign(&["read-faults"], &[]).done();
}

#[test]
fn a_role_that_is_given_later_counts_once_a_supervisor_signs_for_it() {
    let desk = Desk::new();
    desk.through_all_to("safe");
    desk.sign("bonnet-off", "birch", &[]).done();
    let ash_supervises =
        |job: &mut serde_json::Value| job["people"][0]["roles"] = json!(["fitter", "supervisor"]);
    desk.rewrite(ash_supervises);
    desk.sign("bonnet-off", "ash", &["--act", "checked"])
        .failed()
        .complains("error[job-changed]")
        .complains("a supervisor of before signs for it");
    let changed = |by| {
        let more = [
            "--act",
            "changed",
            "--by",
            by,
            "--note",
            "passed the course",
        ];
        desk.call("sign", &more).run()
    };
    changed("ash").failed().complains("error[wrong-role]");
    changed("birch").done();
    desk.sign("bonnet-off", "ash", &["--act", "checked"]).done();
    // Set back for the next day: the check stays, with the role that it was given in.
    desk.rewrite(|_| ());
    changed("birch").done();
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    assert!(
        sheet.contains(": Ash (invented), supervisor at that time"),
        "{sheet}"
    );
}

#[test]
fn a_record_of_the_first_program_verifies_and_goes_on_once_it_is_adopted() {
    let job = std::fs::read_to_string(case("records/first.yaml")).unwrap();
    let record = std::fs::read(case("records/first.record.jsonl")).unwrap();
    let desk = Desk::new();
    std::fs::write(desk.bench.path().join("job.yaml"), &job).unwrap();
    desk.replace(&record);
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("20 entries, every line as it was written")
        .prints("not bound to a vehicle: begun by an earlier program; people were known by what was said")
        .prints("not released: 4 of 24 tasks signed off");
    let sheet = desk
        .call("record", &["--format", "md"])
        .run()
        .code(1)
        .stdout;
    for wanted in [
        "not bound to a vehicle",
        "a plug is open",
        "a \"quoted\" remark, é, over",
        "Cedar (invented)",
    ] {
        assert!(sheet.contains(wanted), "no {wanted:?} in {sheet}");
    }
    refused(
        "not-adopted",
        &desk,
        ("gaps-before.body", "birch"),
        &["--act", "checked"],
    );
    let adopt = |by| {
        desk.call(
            "sign",
            &["--act", "adopted", "--by", by, "--note", "the same vehicle"],
        )
        .run()
    };
    adopt("birch")
        .failed()
        .complains("error[no-identification]");
    let named = job.replace(
        "  name: Invented vehicle\n",
        "  name: Invented vehicle\n  identification: INVENTED-1\n",
    );
    std::fs::write(desk.bench.path().join("job.yaml"), named).unwrap();
    adopt("ash").failed().complains("error[wrong-role]");
    adopt("birch").done();
    assert_eq!(desk.state("released"), "signed off");
    desk.sign("gaps-before.body", "birch", &["--act", "checked"])
        .done();
    assert!(desk.bytes().starts_with(&record), "an old line was changed");
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("bound to INVENTED-1");
    adopt("birch")
        .failed()
        .complains("bound to its vehicle already");
}

#[test]
fn every_changed_line_of_a_record_of_the_first_program_is_found() {
    let text = std::fs::read_to_string(case("records/first.record.jsonl")).unwrap();
    assert!(liftsheet::record::verify(text.as_bytes()).is_ok());
    for (number, line) in text.lines().enumerate() {
        let changed = text.replace(line, &line.replacen("invented", "Invented", 1));
        let broken = liftsheet::record::verify(changed.as_bytes()).unwrap_err();
        assert_eq!(broken.line, number + 1);
    }
}

#[test]
fn what_is_kept_beside_the_record_is_verified_with_it() {
    let desk = Desk::new();
    desk.through("chocks", &CHOCKED);
    let folder = desk.bench.path().join("job.kept");
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert_eq!(files.len(), 2, "the plan and the job file");
    let plan = files
        .iter()
        .find(|path| path.extension().unwrap() == "json")
        .unwrap();
    let whole = std::fs::read(plan).unwrap();
    std::fs::write(plan, [&whole[..], b" "].concat()).unwrap();
    let before = desk.bytes();
    let mut outcome = desk.call("record", &[]).run().code(4);
    outcome.stderr = outcome
        .stderr
        .replace(plan.file_name().unwrap().to_str().unwrap(), "<digest>.json");
    kept("not-kept", &desk, &before, &outcome);
    std::fs::write(plan, whole).unwrap();
    desk.call("record", &[]).run().code(1);
}

#[test]
fn the_signed_sheet_is_printed_from_the_plan_that_was_signed_whatever_became_of_the_job_file() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    let sheet = || desk.call("record", &["--format", "md"]).run().stdout;
    let whole = sheet();
    assert!(whole.contains("**RELEASED**"));
    std::fs::write(desk.bench.path().join("job.yaml"), "job: [").unwrap();
    let outcome = desk.call("record", &["--format", "md"]).run().code(0);
    assert_eq!(outcome.stdout, whole);
    assert!(
        outcome.stderr.contains("error["),
        "nothing is said of the job file"
    );
    // The rules of another year.
    std::fs::remove_dir_all(desk.bench.path().join("signing")).unwrap();
    std::fs::create_dir(desk.bench.path().join("signing")).unwrap();
    assert_eq!(sheet(), whole);
}
