//! A new user's first ten minutes: the demo, a job of one's own with three mistakes in it, its survey, its sheet.

use serde_json::Value;

use crate::support::run::Bench;

/// Replaces what must be there once.
#[track_caller]
fn edit(text: &str, from: &str, to: &str) -> String {
    assert_eq!(text.matches(from).count(), 1, "{from:?} in:\n{text}");
    text.replacen(from, to, 1)
}

/// Line and column of a word that stands once in a text, both counted from 1.
#[track_caller]
fn place(text: &str, word: &str) -> String {
    let (before, _) = text.split_once(word).unwrap();
    let line = before.matches('\n').count() + 1;
    let column = before.lines().last().map_or(0, |line| line.chars().count()) + 1;
    format!("--> ridge-gang.yaml:{line}:{column}\n")
}

#[test]
fn from_nothing_to_a_sheet() {
    let bench = Bench::new();
    let help = bench.run(["--help"]).done();
    help.prints("new ")
        .prints("Without a JOB, pages use the built-in demo");
    let demo = bench.run(["sheet", "-o", "sheet.html"]).done();
    assert_eq!(demo.stdout, "sheet.html written\n");
    let page = std::fs::read_to_string(bench.path().join("sheet.html")).unwrap();
    assert!(
        page.contains("<!DOCTYPE html>") && page.contains("NOT A VEHICLE"),
        "{page}"
    );

    bench.run(["new"]).done().prints("dual-cab: ");
    let begun = ["new", "ridge-gang", "--pattern", "dual-cab", "fuel=diesel"];
    bench.run(begun).done().prints("ridge-gang.yaml written");
    bench.run(begun).failed().complains("there already");
    let path = bench.path().join("ridge-gang.yaml");
    let good = std::fs::read_to_string(&path).unwrap();
    bench
        .run(["check", "ridge-gang.yaml"])
        .code(0)
        .complains("no problem found");

    let wrong = spoilt(&good);
    std::fs::write(&path, &wrong).unwrap();
    let checked = bench.run(["check", "ridge-gang.yaml"]).failed();
    checked
        .complains("error[unknown-part]: ")
        .complains("did you mean `filler-neck`?")
        .complains(&place(&wrong, "filler-nock"))
        .complains("error[not-a-number]: ")
        .complains(&place(&wrong, "forty"))
        .complains("error[unknown-field]: ")
        .complains(&place(&wrong, "colour"));
    bench.run(["explain", "unknown-part"]).done().prints("part");
    bench.run(["sheet", "ridge-gang.yaml"]).failed();

    std::fs::write(&path, &good).unwrap();
    mended_and_measured(&bench, &good);
}

/// The job as it was begun, then with what the survey asked for.
fn mended_and_measured(bench: &Bench, good: &str) {
    let path = bench.path().join("ridge-gang.yaml");
    bench.run(["check", "ridge-gang.yaml"]).code(0);
    let survey = bench.run(["survey", "ridge-gang.yaml"]).done();
    survey
        .prints("still to be measured")
        .prints("pushed over the shorter spigot")
        .prints("What it decides");
    let begun = bench
        .run(["sheet", "ridge-gang.yaml", "--format", "json"])
        .done();
    assert_eq!(begun.json()["provisional"], true);

    let open = missing(&begun.json());
    std::fs::write(&path, measured(good)).unwrap();
    bench.run(["check", "ridge-gang.yaml"]).code(0);
    let sheet = bench
        .run(["sheet", "ridge-gang.yaml", "--format", "json"])
        .done();
    let left = missing(&sheet.json());
    assert!(left < open, "{left} of {open} are still open");
    assert_eq!(verdict(&begun.json()), "measure");
    assert_eq!(verdict(&sheet.json()), "reposition", "{}", sheet.stdout);
    bench
        .run(["sheet", "ridge-gang.yaml", "-o", "ridge.html"])
        .done();
}

/// Three slips: a part misspelt, a height without sense, a key that does not exist.
fn spoilt(good: &str) -> String {
    let wrong = edit(
        good,
        "class: fuel-filler-hose\n    ends: [filler-neck, tank]",
        "class: fuel-filler-hose\n    ends: [filler-nock, tank]",
    );
    let spacer = wrong
        .lines()
        .find(|line| line.trim_start().starts_with("spacer: "))
        .unwrap();
    let wrong = edit(&wrong, spacer, "  spacer: forty");
    edit(
        &wrong,
        "  construction: ladder frame",
        "  colour: blue\n  construction: ladder frame",
    )
}

/// The filler hose measured: what waited for its value, with the mark in front taken away.
fn measured(text: &str) -> String {
    let (before, after) = text.split_once("- id: filler-hose\n").unwrap();
    let (hose, after) = after.split_once("\n\n").unwrap();
    let values = [
        ("flexible", "yes"),
        ("level", "90 mm"),
        ("overlap", "90 mm"),
        ("plan", "260 mm"),
        ("slide", "0 mm"),
    ];
    let mut hose = edit(hose, "#held_by: none", "held_by: none");
    for (name, value) in values {
        hose = edit(&hose, &format!("#{name}:"), &format!("{name}: {value}"));
    }
    format!("{before}- id: filler-hose\n{hose}\n\n{after}")
}

fn missing(sheet: &Value) -> usize {
    let links = sheet["links"].as_array().unwrap();
    links
        .iter()
        .map(|link| link["missing"].as_array().map_or(0, Vec::len))
        .sum()
}

fn verdict(sheet: &Value) -> String {
    let links = sheet["links"].as_array().unwrap();
    let hose = links
        .iter()
        .find(|link| link["id"] == "filler-hose")
        .unwrap();
    hose["verdict"].as_str().unwrap().to_owned()
}
