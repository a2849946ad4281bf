//! The page of reasons: every connection with why, its numbers, and what its symbols mean; the job sheet has none of it.

use crate::support::run::Bench;

#[test]
fn every_connection_stands_there_with_its_number_and_verdict() {
    let bench = Bench::new();
    let page = bench.run(["reasons"]).done().stdout;
    let plan = bench.run(["sheet", "--format", "json"]).json();
    let links = plan["links"].as_array().unwrap();
    for link in links.iter().filter(|link| link["kind"] == "link") {
        let title = link["title"].as_str().unwrap();
        let heading = page.lines().find(|line| {
            line.starts_with("## ") && line.contains(title) && line.contains(" (no. ")
        });
        assert!(heading.is_some(), "{title}");
    }
    // One heading stands for all mounts of which the same is to be said.
    assert!(page.contains("## Mounts C1L, C2L, C3L, "), "{page}");
}

#[test]
fn a_symbol_is_explained_once_for_each_calculation() {
    let page = Bench::new().run(["reasons"]).done().stdout;
    let meaning = "reserve: slack that must be left";
    assert_eq!(page.matches(meaning).count(), 1, "{page}");
    // Before its first formula.
    let (before, after) = page.split_once(meaning).unwrap();
    assert!(!before.contains("max(0, reserve"));
    assert!(after.contains("max(0, reserve"));
}

#[test]
fn the_job_sheet_names_the_page_and_has_no_arithmetic() {
    let sheet = Bench::new().run(["sheet"]).done().stdout;
    assert!(sheet.contains("`liftsheet reasons`"));
    for gone in ["## The arithmetic", "### Assumed", "## Left alone, and why"] {
        assert!(!sheet.contains(gone), "{gone}");
    }
}
