//! What is lost: keys, lines, a place outside; and what a copy brings back.

use serde_json::Value;

use super::shop::{Shop, digits, join, kept};
use crate::record::desk::Desk;

#[test]
fn a_lost_key_is_followed_by_another_and_old_entries_stand() {
    let shop = Shop::new();
    shop.chocks().done();
    shop.desk.bench.forget();
    let checks = ["chocks", "--by", "birch", "--act", "checked"];
    shop.sign(&checks, &shop.birch)
        .failed()
        .complains("error[pin-lost]");
    let anew = [
        "people",
        ".",
        "--new-secret",
        "--by",
        "birch",
        "--note",
        "the old machine burnt",
    ];
    shop.desk
        .bench
        .run(anew)
        .done()
        .prints("birch: Birch (invented), supervisor; needs a new PIN");
    shop.desk
        .call("sign", &checks)
        .run()
        .failed()
        .complains("error[pin-needed]");
    let birch = digits(&shop.desk.bench.run(["pin", ".", "birch"]).done());
    shop.sign(&checks, &birch)
        .failed()
        .complains("error[other-key]");
    shop.sign(&["--act", "adopted", "--by", "birch"], &birch)
        .failed()
        .complains("error[reason-missing]");
    shop.sign(
        &["--act", "adopted", "--by", "birch", "--note", "new machine"],
        &birch,
    )
    .done();
    shop.sign(&checks, &birch).done();
    let keys: Vec<Value> = shop
        .desk
        .lines()
        .into_iter()
        .map(|line| line["key"].clone())
        .collect();
    assert_eq!(keys.iter().filter(|key| key.is_string()).count(), 2);
    assert_eq!(shop.desk.state("chocks"), "signed off");
    shop.record().code(1).prints("every line as it was written");
}

#[test]
fn a_record_that_lost_lines_waits_for_a_supervisor() {
    let desk = Desk::new();
    desk.through("chocks", &["--value", "chocked=yes"]);
    let long = desk.bytes();
    let first = long.iter().position(|byte| *byte == b'\n').unwrap();
    std::fs::write(desk.bench.path().join("long.jsonl"), &long).unwrap();
    desk.replace(&long[..=first]);
    let short = desk.call("record", &[]).run().code(4);
    kept("record-cut-short", &short);
    short.prints("1 entry, every line as it was written");
    desk.bench
        .run(["record", "job.yaml", "--compare", "long.jsonl"])
        .code(1)
        .prints("line 2 is the first that differs: long.jsonl has 2 lines more, and job.record.jsonl ends after line 1");
    desk.sign("chocks", "ash", &["--ticks"])
        .code(4)
        .complains("error[record-cut-short]");
    desk.sign("--act=adopted", "ash", &["--note", "no"])
        .code(1)
        .complains("error[wrong-role]");
    desk.sign("--act=adopted", "birch", &["--note", "the disk died"])
        .done();
    desk.sign("chocks", "ash", &["--ticks"]).done();
    // The longer one is a branch now.
    desk.replace(&long);
    desk.call("record", &[])
        .run()
        .code(4)
        .complains("line 3 of this record is another one");
    desk.bench
        .run(["record", "job.yaml", "--compare", "long.jsonl"])
        .code(0)
        .prints("3 lines in both, each the same");
}

#[test]
fn a_copy_has_everything_but_secrets_and_an_old_one_is_noticed() {
    let shop = Shop::new();
    shop.chocks().done();
    std::fs::write(shop.path("job.record.torn-1"), "{\"act\":").unwrap();
    let copied = shop
        .desk
        .bench
        .run(["backup", ".", "-o", "copy.tar"])
        .done();
    copied
        .prints("copied 1 job into copy.tar")
        .prints("job.record.jsonl: 2 entries, last digest sha256:");
    shop.desk
        .bench
        .run(["backup", ".", "-o", "copy.tar"])
        .failed()
        .complains("--force");
    let bytes = std::fs::read(shop.path("copy.tar")).unwrap();
    let mut names = Vec::new();
    std::fs::create_dir(shop.path("back")).unwrap();
    let mut archive = tar::Archive::new(bytes.as_slice());
    for entry in archive.entries().unwrap() {
        let mut entry = entry.unwrap();
        names.push(entry.path().unwrap().display().to_string());
        entry.unpack_in(shop.path("back")).unwrap();
    }
    let place = |name: &str| names.iter().position(|own| own == name).unwrap();
    assert!(
        names[..place("job.record.jsonl")]
            .iter()
            .filter(|name| name.starts_with("job.kept/"))
            .count()
            == 2
    );
    for name in [
        "job.yaml",
        "people.yaml",
        "people.record.jsonl",
        "people.pins.json",
        "job.record.torn-1",
    ] {
        place(name);
    }
    let (_, home) = shop.desk.bench.home();
    for entry in std::fs::read_dir(home).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "secret") {
            let secret = std::fs::read_to_string(&path).unwrap();
            let half = &secret.trim()[..64];
            assert!(!bytes.windows(64).any(|part| part == half.as_bytes()));
        }
    }
}

#[test]
fn an_older_copy_that_is_put_back_is_noticed() {
    let shop = Shop::new();
    shop.chocks().done();
    for name in [
        "job.record.jsonl",
        "people.record.jsonl",
        "people.pins.json",
    ] {
        std::fs::copy(shop.path(name), shop.path(&format!("old-{name}"))).unwrap();
    }
    shop.sign(
        &["chocks", "--by", "birch", "--act", "checked"],
        &shop.birch,
    )
    .done();
    std::fs::copy(shop.path("old-job.record.jsonl"), shop.desk.path()).unwrap();
    shop.record()
        .code(4)
        .complains("this machine saw 3 lines of this record, and it has only 2");
    // So is an old record of the people, in which a PIN still counts that was reset since.
    shop.typing(&["pin", ".", "ash", "--by", "birch"], &[&shop.birch])
        .done();
    for name in ["people.record.jsonl", "people.pins.json"] {
        std::fs::copy(shop.path(&format!("old-{name}")), shop.path(name)).unwrap();
    }
    shop.chocks().code(4).complains("people FOLDER --adopt");
    let adopt = [
        "people",
        ".",
        "--adopt",
        "--by",
        "birch",
        "--note",
        "the disk died",
    ];
    shop.typing(&adopt, &[&shop.birch]).done();
    shop.sign(
        &["--act", "adopted", "--by", "birch", "--note", "likewise"],
        &shop.birch,
    )
    .done();
}

#[cfg(unix)]
#[test]
fn without_a_place_outside_names_sign_on_and_pins_are_refused() {
    let desk = Desk::new();
    let nowhere = |command: &str, more: &[&str]| {
        let words = [command].into_iter().chain(more.iter().copied());
        desk.bench
            .call(words)
            .env(liftsheet::keys::HOME, "/dev/null/none")
            .run()
    };
    let rules = ["--only-own-rules", "--rules", "small", "--rules", "signing"];
    let sign = ["job.yaml", "chocks", "--by", "ash", "--ticks"];
    nowhere("sign", &[&sign[..], &rules].concat()).done();
    let again = ["job.yaml", "chocks", "--by", "birch", "--act", "checked"];
    let outcome = nowhere("sign", &[&again[..], &rules].concat()).code(0);
    kept("keys-not-kept", &outcome);
    assert_eq!(desk.state("chocks"), "signed off");
    nowhere(
        "people",
        &[vec!["."], join("birch", "Birch", "supervisor")].concat(),
    )
    .code(0);
    nowhere("pin", &[".", "birch"])
        .code(1)
        .complains("error[keys-not-kept]");
}
