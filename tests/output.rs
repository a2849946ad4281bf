//! Where pages go: endings that are none, files that must not be overwritten, what an interrupt leaves.

use std::path::Path;

use crate::support::run::Bench;

fn demo() -> &'static str {
    include_str!("../rules/demo/forestry-crew.yaml")
}

#[test]
fn an_ending_that_a_command_does_not_make_is_refused_with_those_it_does() {
    let bench = Bench::new();
    for (arguments, told) in [
        (["sheet", "-o", "x.pdf"], "`.md`, `.html` or `.json`"),
        (
            ["sheet", "-o", "x.pdf"],
            "--print-to-pdf=page.pdf page.html",
        ),
        (["brief", "-o", "x.txt"], "Markdown reads as plain text"),
        (["parts", "-o", "x.xlsx"], "`.csv`"),
        (
            ["sheet", "-o", "x.csv"],
            "only `liftsheet parts` and `liftsheet survey` make a table",
        ),
    ] {
        bench.run(arguments).failed().complains(told);
        assert!(!bench.path().join(arguments[2]).exists());
    }
    // Whoever says what it is may call it what they like.
    bench
        .run(["brief", "-o", "brief.txt", "--format", "md"])
        .done()
        .prints("brief.txt written");
}

#[test]
fn a_page_never_takes_the_place_of_its_job() {
    let text = format!("# Made with liftsheet\n{}", demo());
    let bench = Bench::new().file("job.yaml", &text).file("out/a", "");
    for arguments in [
        &[
            "sheet", "job.yaml", "-o", "job.yaml", "--force", "--format", "md",
        ][..],
        &[
            "brief",
            "job.yaml",
            "-o",
            "out/../job.yaml",
            "--format",
            "md",
        ],
        &[
            "record", "job.yaml", "-o", "job.yaml", "--force", "--format", "md",
        ],
    ] {
        bench
            .run(arguments.iter().copied())
            .failed()
            .complains("this is the job file itself");
    }
    let kept = std::fs::read_to_string(bench.path().join("job.yaml")).unwrap();
    assert_eq!(kept, text);
}

#[test]
fn a_fault_names_the_file_that_was_asked_for() {
    let bench = Bench::new().file("file", "x");
    for (output, told) in [
        ("none/x.md", "none/x.md: there is no folder `none`"),
        ("file/x.md", "file/x.md: "),
    ] {
        let outcome = bench.run(["brief", "-o", output]).failed().complains(told);
        assert!(!outcome.stderr.contains(".tmp"), "{}", outcome.stderr);
    }
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_refused_and_a_link_is_followed() {
    use std::os::unix::fs::symlink;
    let bench = Bench::new();
    let at = |name: &str| bench.path().join(name);
    symlink("/dev/full", at("device.md")).unwrap();
    symlink("gone.md", at("broken.md")).unwrap();
    symlink("real.md", at("link.md")).unwrap();
    std::fs::write(at("real.md"), "").unwrap();
    let fifo = std::process::Command::new("mkfifo")
        .arg(at("fifo.md"))
        .status();
    for (name, told) in [
        ("device.md", "this is no file but a device or a pipe"),
        ("fifo.md", "this is no file but a device or a pipe"),
        ("broken.md", "this is a link to a file that is not there"),
    ] {
        if name == "fifo.md" && !fifo.as_ref().is_ok_and(std::process::ExitStatus::success) {
            continue;
        }
        bench.run(["brief", "-o", name]).failed().complains(told);
    }
    bench.run(["brief", "-o", "link.md"]).done();
    assert!(at("link.md").is_symlink());
    assert!(std::fs::read_to_string(at("real.md")).unwrap().len() > 1_000);
}

/// Whenever it comes, an interrupt leaves a whole page or none, and nothing beside it.
#[cfg(unix)]
#[test]
fn an_interrupt_leaves_nothing_behind() {
    let bench = Bench::new();
    for wait in 0..20 {
        let mut child = std::process::Command::new(crate::support::run::PROGRAM)
            .args(["brief", "-o", "brief.html"])
            .current_dir(bench.path())
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(wait * 10));
        let told = std::process::Command::new("kill")
            .args(["-INT", &child.id().to_string()])
            .status();
        assert!(told.is_ok());
        child.wait().unwrap();
        for entry in std::fs::read_dir(bench.path()).unwrap() {
            let name = entry.unwrap().file_name();
            assert_eq!(name, "brief.html", "after {wait}");
        }
        let page = bench.path().join("brief.html");
        if Path::exists(&page) {
            let text = std::fs::read_to_string(&page).unwrap();
            assert!(text.trim_end().ends_with("</html>"));
            std::fs::remove_file(page).unwrap();
        }
    }
}

#[test]
fn a_folder_of_jobs_is_checked_job_by_job() {
    let bad = demo().replace("construction: ladder frame", "construction: ladder");
    let bench = Bench::new()
        .file("jobs/one.yaml", demo())
        .file("jobs/old/two.yaml", bad)
        .file(
            "rules/settings.yaml",
            include_str!("../rules/settings.yaml"),
        )
        .file("rules/job.yaml", demo());
    bench
        .run(["check", "jobs"])
        .failed()
        .complains("two.yaml:")
        .complains("unknown-choice");
    std::fs::remove_file(bench.path().join("jobs/old/two.yaml")).unwrap();
    bench
        .run(["check", "jobs"])
        .code(0)
        .complains("1 file checked");
    // A job among rules is checked by them, and is no rule.
    let outcome = bench.run(["check", "rules"]).code(0);
    assert!(
        !outcome.stderr.contains("unknown-rule-file"),
        "{}",
        outcome.stderr
    );
}

#[test]
fn check_ends_with_what_is_still_to_be_measured() {
    let text = include_str!("../rules/demo/forestry-crew-survey.yaml");
    let bench = Bench::new().file("job.yaml", text);
    bench
        .run(["check", "job.yaml"])
        .code(0)
        .complains("still to be measured; `liftsheet survey job.yaml` says how")
        .complains("1 file checked, no problem found");
}
