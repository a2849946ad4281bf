//! The page of reasons: every connection with why, its numbers, and what its symbols mean; the job sheet has none of it.

use std::collections::BTreeSet;

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
fn a_result_stands_with_what_it_is_over_the_tolerances() {
    let page = Bench::new().run(["reasons"]).done().stdout;
    // The overlap is read to 2 mm, and the verdict is taken on the worse end.
    assert!(page.contains("the hose is 29 mm too short"), "{page}");
    assert!(
        page.contains("= 27 mm (25 mm to 29 mm within the tolerances)"),
        "{page}"
    );
}

#[test]
fn what_stays_of_an_earlier_lift_stands_with_the_block() {
    let demo = crate::support::commands::demo();
    let stays = demo.replace("body_lift: 0 mm", "body_lift: 10 mm");
    assert_ne!(stays, demo);
    for (job, stack) in [(demo.clone(), "·40/1000"), (stays, "·50/1000")] {
        let bench = Bench::new().file("job.yaml", job);
        let page = bench.run(["reasons", "job.yaml"]).stdout;
        let line = page.lines().find(|line| line.contains("tipping_moment = "));
        assert!(line.unwrap().contains(stack), "{line:?}");
    }
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

fn read(bench: &Bench, file: &str) -> String {
    std::fs::read_to_string(bench.path().join(file)).unwrap()
}

/// The places and the addresses of a page's links.
fn links(html: &str) -> (BTreeSet<&str>, BTreeSet<&str>) {
    let after = |sign: &'static str| {
        let pieces = html.split(sign).skip(1);
        pieces.filter_map(|piece| Some(piece.split_once('"')?.0))
    };
    (after(" id=\"").collect(), after(" href=\"").collect())
}

#[test]
fn a_verdict_leads_to_its_task_and_its_reasons_and_back() {
    let bench = Bench::new();
    let files = [
        ("sheet", "--reasons", "the reasons.html", "sheet.html"),
        ("reasons", "--sheet", "sheet.html", "the reasons.html"),
    ];
    let pages = files.map(|(command, option, beside, file)| {
        bench.run([command, option, beside, "-o", file]).done();
        read(&bench, file)
    });
    let [sheet, reasons] = pages.each_ref().map(|page| links(page));
    let plan = bench.run(["sheet", "--format", "json"]).json();
    for link in plan["links"].as_array().unwrap() {
        let id = link["id"].as_str().unwrap();
        let place = format!("connection-{}", id.replace([' ', '.'], "-"));
        assert!(sheet.0.contains(&*place), "the sheet has no {place}");
        assert!(reasons.0.contains(&*place), "the reasons have no {place}");
    }
    let there = |(places, _): &(BTreeSet<&str>, _), address: &str| {
        let (_, place) = address.split_once('#').unwrap();
        assert!(places.contains(place), "{address} leads nowhere");
    };
    let mut kinds = BTreeSet::new();
    for (own, other, file) in [
        (&sheet, &reasons, "the%20reasons.html#"),
        (&reasons, &sheet, "sheet.html#"),
    ] {
        for address in &own.1 {
            there(if address.starts_with('#') { own } else { other }, address);
            let place = address.trim_start_matches(['#']);
            kinds.insert(match place.strip_prefix(file) {
                Some(_) => "beside",
                None if place.starts_with("task-") => "task",
                None if place.starts_with("connection-") => "connection",
                None => "section",
            });
        }
    }
    assert_eq!(kinds.len(), 4, "{kinds:?}");
    // Nobody was told where the reasons are, so no link claims to know.
    bench.run(["sheet", "-o", "alone.html"]).done();
    let alone = read(&bench, "alone.html");
    assert!(
        links(&alone)
            .1
            .iter()
            .all(|address| address.starts_with('#'))
    );
    // In Markdown there is the text alone.
    assert!(!bench.run(["sheet"]).done().stdout.contains("](#"));
}
