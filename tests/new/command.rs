//! The command: where the file goes, what it refuses, names that are made to do harm, patterns of one's own.

use liftsheet::job;
use liftsheet::report::Report;
use liftsheet::source::Source;

use crate::support::run::Bench;

const FILE: &str = "ridge-gang.yaml";

fn read(bench: &Bench, path: &str) -> String {
    std::fs::read_to_string(bench.path().join(path)).unwrap()
}

/// What the job is called in a file; the file must be a job file.
#[track_caller]
fn title(text: &str) -> String {
    let mut report = Report::new();
    let job = job::read(&Source::from_text("job.yaml", text), false, &mut report);
    assert!(report.is_empty(), "{:?}\n{text}", report.problems);
    job.unwrap().title
}

#[test]
fn a_new_file_carries_the_jobs_name_and_passes_check() {
    let bench = Bench::new();
    let call = [
        "new",
        "ridge-gang",
        "--pattern",
        "soft-top",
        "transfer=none",
        "refrigerant=no",
    ];
    bench.run(call).done().prints("ridge-gang.yaml written");
    let text = read(&bench, FILE);
    assert_eq!(title(&text), "ridge-gang");
    assert!(text.contains("# Options chosen: bar=no built=early fuel=petrol gearbox=manual hybrid=no long_range_tank=no refrigerant=no remote=no second_battery=no side_bars=no snorkel=no transfer=none winch=no\n"));
    assert!(text.contains("\n  transfer_case: no "));
    assert!(!text.contains("class: transfer-lever") && !text.contains("class: refrigerant-lines"));
    bench
        .run(["check", FILE])
        .code(0)
        .complains("1 file checked, no problem found");
}

#[test]
fn values_that_are_known_already_stand_in_the_new_file() {
    let bench = Bench::new();
    let values = [
        "fuel=petrol",
        "spacer=50 mm",
        "vehicle.body_mass=760 kg",
        "filler-hose.held_by=none",
    ];
    let call = ["new", "x", "-p", "dual-cab", "-o", "-"]
        .into_iter()
        .chain(values);
    let text = bench.run(call).done().stdout;
    for line in [
        "  spacer: 50 mm ",
        "  body_mass: 760 kg ",
        "    held_by: none ",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    title(&text);
    for (value, said) in [
        ("spacer=50 kg", "`lift.spacer`: this is a mass"),
        ("vehicle.bodymass=760", "did you mean `body_mass`?"),
        ("nothing.slack=4", "the job has no `nothing`"),
    ] {
        bench
            .run(["new", "x", "-p", "dual-cab", value])
            .failed()
            .complains(said);
    }
    assert!(!bench.path().join("x.yaml").exists());
    // That file is the workshop's, and would be written over.
    let people = bench.run(["new", "People", "-p", "dual-cab"]);
    people.failed().complains("take another name for the job");
}

#[test]
fn a_waiting_line_names_the_unit_the_label_and_the_choices() {
    let bench = Bench::new();
    let text = bench
        .run(["new", "x", "-p", "wagon", "-o", "-"])
        .done()
        .stdout;
    for line in [
        "      #overlap:                   # mm: hose pushed over the shorter spigot",
        "  #joint:                         # nut | captive: what the bolt screws into",
        "    #held_by: none                # or what holds it, in order",
        "  #body_mass:                     # kg: mass of all that is raised",
    ] {
        assert!(text.lines().any(|found| found == line), "{line}\n{text}");
    }
}

#[test]
fn an_option_that_is_not_chosen_is_no_and_a_condition_that_always_holds_is_not_told() {
    let bench = Bench::new();
    for (word, answer) in [("hybrid=no", "hybrid: no"), ("hybrid=yes", "hybrid: yes")] {
        let text = bench
            .run(["new", "job", "--pattern", "wagon", word, "-o", "-"])
            .done()
            .stdout;
        assert!(text.contains(answer), "{text}");
        assert!(
            text.contains("#thread:") && !text.contains("only when true"),
            "{text}"
        );
    }
}

#[test]
fn a_file_that_is_there_is_overwritten_only_by_force() {
    let bench = Bench::new().file(FILE, "filled in since\n");
    let call = ["new", "ridge-gang", "--pattern", "wagon"];
    bench.run(call).failed().complains("--force");
    assert_eq!(read(&bench, FILE), "filled in since\n");
    bench.call(call).arg("--force").run().code(0);
    assert_eq!(title(&read(&bench, FILE)), "ridge-gang");
    // Not even a file of our own: somebody may have filled it in.
    bench.run(call).failed().complains("is there already");
}

#[test]
fn the_file_goes_where_it_is_told() {
    let bench = Bench::new();
    let call = ["new", "Ridge gang, 40 mm", "--pattern", "wagon"];
    bench
        .run(call)
        .done()
        .prints("Ridge-gang-40-mm.yaml written");
    bench.call(call).arg("-o").arg("jobs/").run().code(0);
    assert_eq!(
        title(&read(&bench, "jobs/Ridge-gang-40-mm.yaml")),
        "Ridge gang, 40 mm"
    );
    bench
        .call(call)
        .arg("-o")
        .arg("deep/in/here.yaml")
        .run()
        .code(0);
    assert_eq!(
        title(&read(&bench, "deep/in/here.yaml")),
        "Ridge gang, 40 mm"
    );
    let printed = bench.call(call).arg("-o").arg("-").run().done();
    assert_eq!(title(&printed.stdout), "Ridge gang, 40 mm");
}

#[test]
fn a_hostile_name_is_text() {
    let bench = Bench::new();
    let names = [
        "a: b # c",
        "\"quoted\" 'twice' \\ back",
        "two\nlines: yes",
        "- {id: x}\r\n---\n",
        "no",
        "~",
        "40",
        "!!map {}",
        "*alias &anchor",
        "../../outside",
        "/etc/passwd",
        "\u{1b}[31mred\u{7}",
        "\u{2028}\u{85}\u{feff}",
        "<script>{{ fuel }}</script>",
        "Ünïcode 車",
        "trailing space ",
    ];
    for name in names {
        let printed = bench
            .run(["new", "-p", "soft-top", "-o", "-", "--", name])
            .done();
        assert_eq!(title(&printed.stdout), name);
    }
    assert!(std::fs::read_dir(bench.path()).unwrap().next().is_none());
}

#[test]
fn a_name_never_leaves_the_folder() {
    let bench = Bench::new();
    for name in ["../../outside", "/etc/outside", "..\\outside", "t/soft-top"] {
        let call = ["new", name, "-p", "soft-top", "--force"];
        let refused = [bench.call(call), bench.call(call).arg("-o").arg("jobs/")];
        for call in refused {
            call.run()
                .failed()
                .complains(&format!("`{name}` is the job's name"))
                .complains("say with -o where the file goes, such as `-o jobs/ridge-gang.yaml`");
        }
    }
    assert!(std::fs::read_dir(bench.path()).unwrap().next().is_none());
    let call = ["new", "Bay 4/5", "-p", "soft-top", "-o", "jobs/bay.yaml"];
    bench.run(call).code(0);
    assert_eq!(title(&read(&bench, "jobs/bay.yaml")), "Bay 4/5");
}

#[test]
fn a_name_that_cannot_name_a_file_is_refused() {
    let bench = Bench::new();
    for name in ["", "..", "///", "\n"] {
        let call = ["new", name, "-p", "soft-top"];
        bench
            .run(call)
            .failed()
            .complains("say with -o where the file goes");
    }
    let long = "x".repeat(300);
    bench
        .run(["new", &long, "-p", "soft-top"])
        .failed()
        .complains("too long");
}

#[track_caller]
fn lists(text: &str) {
    for part in [
        "cab-chassis: ",
        "dual-cab: ",
        "extra-cab: ",
        "soft-top: ",
        "wagon: ",
        "  fuel=petrol|diesel|lpg: ",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

#[test]
fn without_a_pattern_the_patterns_are_listed() {
    let bench = Bench::new();
    lists(&bench.run(["new"]).done().stdout);
    lists(&bench.run(["new", "ridge-gang"]).failed().stderr);
    let unknown = bench.run(["new", "ridge-gang", "-p", "wagen"]).failed();
    lists(&unknown.complains("did you mean `wagon`?").stderr);
    let nameless = bench.run(["new", "-p", "wagon"]).failed();
    nameless.complains("the job has no name");
}

#[test]
fn every_choice_that_cannot_be_made_is_named() {
    let bench = Bench::new();
    let call = [
        "new",
        "x",
        "-p",
        "wagon",
        "feul=petrol",
        "gearbox=manuel",
        "bar",
        "bar=yes",
        "bar=no",
    ];
    let outcome = bench.run(call).failed();
    for text in [
        "has no option `feul`; did you mean `fuel`?",
        "`gearbox` cannot be `manuel`; did you mean `manual`?",
        "`bar` is not an option; write it as `name=word`",
        "`bar` is chosen twice",
        "  refrigerant=yes|no: ",
    ] {
        assert!(outcome.stderr.contains(text), "{text}: {}", outcome.stderr);
    }
}

/// A pattern of somebody's own, on shipped rules: an invented carrier.
const CARRIER: &str = "\
title: Carrier
what: An invented carrier.
options:
  hood: {label: hood, choices: [short, long], default: short}
lift:
  spacer: 25 mm
  raise: [{group: cab}]
mounts:
  - {id: A, group: cab, at: [0, 500, 0]}
  - {id: B, group: cab, at: [0, -500, 0]}
  - {id: C, group: cab, at: [-900, 500, 0]}
parts:
  engine: {fixed_to: chassis}
  box: {title: \"box: with # signs\", fixed_to: cab, when: hood.long}
links:
  - {id: intake, class: intake-duct, ends: [box, engine], when: hood.long}
";

#[test]
fn a_pattern_of_ones_own_is_laid_over_the_others() {
    let bench = Bench::new().file("own/patterns/carrier.yaml", CARRIER);
    let call = [
        "new",
        "x",
        "-p",
        "carrier",
        "-o",
        "-",
        "--rules",
        "own",
        "hood=long",
    ];
    let text = bench.run(call).done().stdout;
    assert_eq!(title(&text), "x");
    assert!(text.contains("  - id: intake\n"));
    let short = bench
        .run(["new", "x", "-p", "carrier", "-o", "-", "--rules", "own"])
        .done();
    assert!(!short.stdout.contains("intake"));
    bench
        .run(["new", "--rules", "own"])
        .done()
        .prints("carrier: Carrier\n")
        .prints("wagon: ");
}

/// What is written in place of what, and what is said of it.
const MISTAKES: [(&str, &str, &str); 10] = [
    (
        "class: intake-duct",
        "class: intake-dukt",
        "did you mean `intake-duct`?",
    ),
    (
        "ends: [box, engine]",
        "ends: [bocks, engine]",
        "called `bocks`",
    ),
    (
        "when: hood.long}\nlinks",
        "when: hood.lang}\nlinks",
        "option `hood` has no choice `lang`",
    ),
    (
        "engine], when: hood.long",
        "engine]",
        "`intake` needs the part `box`, which is left out with hood=short",
    ),
    (
        "default: short",
        "default: none",
        "`none` is not `short` or `long`",
    ),
    (
        "choices: [short, long]",
        "yes_no: true",
        "`short` is not `yes` or `no`",
    ),
    (
        "title: Carrier",
        "title: Carrier\nlists: [ladder-fram]",
        "did you mean `ladder-frame`?",
    ),
    (
        "title: Carrier",
        "title: Carrier\nvehicle: {colour: red}",
        "`colour` is not known here",
    ),
    (
        "group: cab, at: [0, 500",
        "group: cap, at: [0, 500",
        "did you mean `cab`?",
    ),
    (
        "when: hood.long}\nlinks",
        "when: hood}\nlinks",
        "not yes or no",
    ),
];

#[test]
fn what_is_wrong_with_a_pattern_is_shown_with_its_place() {
    for (right, wrong, message) in MISTAKES {
        assert!(CARRIER.contains(right), "{right}");
        let bench = Bench::new().file("own/patterns/carrier.yaml", CARRIER.replace(right, wrong));
        let call = ["new", "x", "-p", "carrier", "-o", "-", "--rules", "own"];
        let outcome = bench.run(call).failed().complains(message);
        assert!(
            outcome.stderr.contains("own/patterns/carrier.yaml:"),
            "{}",
            outcome.stderr
        );
    }
}

#[test]
fn check_tries_every_choice_of_a_pattern() {
    let wrong = CARRIER
        .replace("default: short", "default: long")
        .replace("engine], when: hood.long", "engine]");
    let bench = Bench::new().file("own/patterns/carrier.yaml", wrong);
    bench
        .run(["new", "x", "-p", "carrier", "-o", "-", "--rules", "own"])
        .done();
    let outcome = bench.run(["check", "own"]).failed();
    outcome.complains("which is left out with hood=short");
}
