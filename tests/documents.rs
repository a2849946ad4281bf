//! Pages: what is printed of a small job, whole; what must stand on the demo's sheet; text typed by people as text everywhere.

use std::collections::BTreeMap;

use pulldown_cmark::{Event, Options, Parser, Tag};
use serde_json::Value;

use crate::support::run::{Bench, case};

/// The small job with the few rules of `cases/rules/small`, which nobody rewords.
fn small() -> Bench {
    let job = std::fs::read_to_string(case("pages/wagon.yaml")).unwrap();
    Bench::new()
        .folder(&case("rules/small"), "rules")
        .file("job.yaml", job)
}

const RULES: [&str; 3] = ["--only-own-rules", "--rules", "rules"];

fn page(bench: &Bench, command: &str, more: &[&str]) -> String {
    let call = [command, "job.yaml"].into_iter().chain(RULES);
    bench.run(call.chain(more.iter().copied())).done().stdout
}

#[test]
fn the_whole_sheet_of_a_small_job() {
    insta::assert_snapshot!("sheet-of-a-small-job", page(&small(), "sheet", &[]));
}

#[test]
fn the_whole_survey_of_a_small_job() {
    insta::assert_snapshot!("survey-of-a-small-job", page(&small(), "survey", &[]));
}

#[test]
fn inches_are_printed_and_nothing_else_changes() {
    let metric = page(&small(), "sheet", &[]);
    let inches = page(&small(), "sheet", &["--units", "in"]);
    // The job's own title names its height, and is printed as it was typed.
    let title = "Small wagon, 30 mm".to_owned();
    assert!(metric.contains(" mm") && inches.contains(" in"));
    // The arithmetic is done, and shown, in the units of the calculations.
    let left = inches.replace(&title, "");
    let left = left.split("## The arithmetic").next().unwrap();
    assert!(!left.contains(" mm"), "a length was left in millimetres");
    let plan = |text: &str| text.lines().last().unwrap().to_owned();
    assert_eq!(
        plan(&metric),
        plan(&inches),
        "the digest changed with the units"
    );
    let shape = |text: &str| (headings(text), task_items(text));
    assert_eq!(shape(&metric).1, shape(&inches).1);
}

fn read(markdown: &str) -> impl Iterator<Item = Event<'_>> {
    let options = Options::ENABLE_TABLES
        | Options::ENABLE_TASKLISTS
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_MATH;
    Parser::new_ext(markdown, options)
}

/// The text of every heading, as a second reader of Markdown finds it.
fn headings(markdown: &str) -> Vec<String> {
    let mut headings = Vec::new();
    let mut inside: Option<String> = None;
    for event in read(markdown) {
        match event {
            Event::Start(Tag::Heading { .. }) => inside = Some(String::new()),
            Event::End(pulldown_cmark::TagEnd::Heading(_)) => headings.extend(inside.take()),
            Event::Text(text) | Event::Code(text) => {
                if let Some(heading) = &mut inside {
                    heading.push_str(&text);
                }
            }
            _ => {}
        }
    }
    headings
}

fn task_items(markdown: &str) -> usize {
    read(markdown)
        .filter(|event| matches!(event, Event::TaskListMarker(_)))
        .count()
}

fn rows(markdown: &str) -> usize {
    read(markdown)
        .filter(|event| matches!(event, Event::Start(Tag::TableRow)))
        .count()
}

#[test]
fn a_second_reader_finds_the_same_headings_rows_and_boxes() {
    let bench = Bench::new();
    let markdown = bench.run(["sheet"]).done().stdout;
    let html = bench.run(["sheet", "--format", "html"]).done().stdout;
    let body = html.split_once("<body>").unwrap().1;
    let count = |tag: &str| body.matches(tag).count();
    let heading_tags: usize = (1..=6).map(|level| count(&format!("<h{level}"))).sum();
    assert_eq!(headings(&markdown).len(), heading_tags);
    assert_eq!(task_items(&markdown), count("type=\"checkbox\""));
    // The head of each table is a row in HTML, and not one to the reader.
    assert_eq!(rows(&markdown) + count("<thead"), count("<tr"));
}

/// What somebody could type in every free field, to see whether it comes out as anything but text.
const HOSTILE: [&str; 12] = [
    "| a | b | *c* _d_ `e` # f $g$ w@x.example \"q\" 'r' | tail",
    "<script>alert(1)</script><b>bold</b> <!-- </style>",
    "[here](javascript:alert(1)) ![x](http://127.0.0.1/x.png) https://example.org",
    "{{ 7 * 7 }} {% for x in y %} &lt;i&gt; &#60; \\ ~~gone~~",
    "- [x] done\n# heading\n\n> quote\n---",
    "\u{202e}backwards\u{202c} \u{e000}mm|up|3\u{e001}\u{2028}\u{a0}[\u{a0}\u{a0}]",
    "1. one\n2) two\n\n# three\n    four\r\n- five",
    "> a\n\n---\n***\n```\n[b]: c",
    "![",
    "HOLD POINT",
    "\\",
    "**STOP** _a_",
];

fn hostile_job(text: &str) -> String {
    let quoted = serde_json::to_string(text).unwrap();
    let job = std::fs::read_to_string(case("pages/wagon.yaml")).unwrap();
    let free = BTreeMap::from([
        ("job: Small wagon, 30 mm", format!("job: {quoted}")),
        ("note: Invented for a test.", format!("note: {quoted}")),
        (
            "{name: Small wagon,",
            format!("{{name: {quoted}, identification: {quoted},"),
        ),
        ("{title: engine,", format!("{{title: {quoted},")),
        ("title: Heater feed hose", format!("title: {quoted}")),
        ("title: Drain hose", format!("title: {quoted}")),
        ("title: Bypass hose", format!("title: {quoted}")),
        ("name: Kim (invented)", format!("name: {quoted}")),
    ]);
    free.into_iter().fold(job, |job, (from, to)| {
        assert!(job.contains(from), "{from} is not in the case");
        job.replace(from, &to)
    })
}

/// Headings, rows, boxes, lines of lists and cells, as a second reader of Markdown finds them.
fn shape(markdown: &str) -> [usize; 5] {
    let count = |is: fn(&Event<'_>) -> bool| read(markdown).filter(is).count();
    [
        headings(markdown).len(),
        rows(markdown),
        task_items(markdown),
        count(|event| matches!(event, Event::Start(Tag::Item))),
        count(|event| matches!(event, Event::Start(Tag::TableCell))),
    ]
}

#[test]
fn whatever_people_type_is_text_in_markdown_and_html() {
    const TAGS: [&str; 11] = [
        "<h1", "<h2", "<h3", "<tr", "<td", "<li", "<p>", "<input", "<a ", "<figure", "<div",
    ];
    // What comrak reads in the same Markdown.
    let tags = |html: &str| {
        let (_, body) = html.split_once("<body>").unwrap();
        TAGS.map(|tag| body.matches(tag).count())
    };
    let tame = small().file("job.yaml", hostile_job("plain words"));
    for text in HOSTILE {
        let bench = small().file("job.yaml", hostile_job(text));
        for command in ["sheet", "survey"] {
            let markdown = page(&bench, command, &[]);
            for event in read(&markdown) {
                let active = matches!(
                    event,
                    Event::Html(_)
                        | Event::InlineHtml(_)
                        | Event::InlineMath(_)
                        | Event::DisplayMath(_)
                        | Event::FootnoteReference(_)
                        | Event::Start(
                            Tag::Link { .. }
                                | Tag::Image { .. }
                                | Tag::HtmlBlock
                                | Tag::Strikethrough
                        )
                );
                assert!(!active, "{text:?} became {event:?} on the {command}");
            }
            assert_eq!(
                shape(&markdown),
                shape(&page(&tame, command, &[])),
                "{text:?} on the {command}"
            );
            let html = page(&bench, command, &["--format", "html"]);
            let as_before = page(&tame, command, &["--format", "html"]);
            assert_eq!(tags(&html), tags(&as_before), "{text:?} on the {command}");
            let (head, body) = html.split_once("<body>").unwrap();
            assert_eq!(head.matches("</style>").count(), 1, "{text:?}");
            // Links to the page's own sections.
            let body = body.replace("<a href=\"#", "");
            for tag in [
                "<script",
                "<!--",
                "<b>",
                "<em",
                "<a ",
                "<img",
                "<i>",
                "<del",
                "javascript:alert(1)\"",
            ] {
                assert!(
                    !body.contains(tag),
                    "{text:?} became {tag} on the {command}"
                );
            }
        }
    }
}

#[test]
fn the_page_marks_every_task_its_hold_points_its_cautions_and_its_blanks() {
    let bench = Bench::new();
    let html = bench.run(["sheet", "--format", "html"]).done().stdout;
    for mark in [
        "<li class=\"task hold\" id=\"task-",
        "<div class=\"notice caution\" role=\"note\">",
        "<span class=\"ask\"><span class=\"box\"></span> mm: ",
        "<figure class=\"picture\" tabindex=\"0\">\n<svg ",
        "<figcaption>",
        "print-color-adjust: exact",
    ] {
        assert!(html.contains(mark), "{mark}");
    }
    assert!(!html.contains("<p><figure"));
    let entries = demo()["entries"].as_array().unwrap().len();
    assert_eq!(html.matches("<li class=\"task").count(), entries);
    let numbers = task_numbers(&bench.run(["sheet"]).done().stdout);
    assert_eq!(numbers, (1..=entries as u64).collect::<Vec<_>>());
    let measured = include_str!("../rules/demo/forestry-crew.yaml");
    let bench = bench.file("job.yaml", measured);
    let survey = bench.run(["survey", "job.yaml"]).done().stdout;
    assert!(survey.contains("Nothing is left to measure"));
}

#[test]
fn a_local_limit_is_held_or_said_to_be_unchecked() {
    let job = std::fs::read_to_string(case("pages/wagon.yaml")).unwrap();
    let limits = r#"
title: Testland
authority: the office of Testland
limits:
  - {id: height, title: height of the blocks, source: {document: an invented rule, clause: "1", year: 2020, status: from memory}, value: lift.spacer, unit: mm, most: 20, over: refer, because: "{{ value | mm }} is above {{ most | mm }}"}
  - {id: track, title: track, source: {document: an invented rule, status: from memory}, value: vehicle.track, unit: mm, most: 2000, over: stop, because: too wide}
"#;
    let bench = small()
        .file("rules/limits/testland.yaml", limits)
        .file("job.yaml", job + "region: testland\n");
    let sheet = page(&bench, "sheet", &[]);
    for line in [
        "- Height of the blocks: 30 mm, at most 20 mm; **refer**: 30 mm is above 20 mm (an invented rule, 1, 2020 (from memory))",
        "- Track: –, at most –; not checked: track not known (an invented rule (from memory))",
        "Testland; 2 local limits, 1 of them not checked; confirm with the office of Testland",
    ] {
        assert!(sheet.contains(line), "{sheet}");
    }
}

fn demo() -> Value {
    Bench::new()
        .run(["sheet", "--format", "json"])
        .done()
        .json()
}

#[test]
fn every_caution_stands_with_its_task_or_at_the_head_of_its_stage() {
    let bench = Bench::new();
    // As a reader of Markdown has it: without the escapes.
    let page = bench.run(["sheet"]).done().stdout.replace('\\', "");
    let json = bench.run(["sheet", "--format", "json"]).done().json();
    let mut at_the_head = 0;
    let tasks = json["tasks"].as_array().unwrap();
    for task in tasks {
        let number = task["number"].as_u64().unwrap();
        let start = format!("- [ ] **{number}. ");
        let (before, own) = page.split_once(&start).unwrap();
        let own = own.split("\n- [ ] **").next().unwrap();
        let head = before.rsplit("\n## ").next().unwrap();
        let head = head.split("\n- [ ] **").next().unwrap();
        for caution in task["cautions"].as_array().unwrap() {
            let words = caution.as_str().unwrap();
            if own.contains(&format!("**CAUTION** {words}")) {
                continue;
            }
            // Said once for several under the heading, by a letter that the task names.
            let notice = head
                .lines()
                .find(|line| line.starts_with("> **CAUTION** **A** "));
            let notice = notice.unwrap_or_else(|| panic!("{number}: {words}"));
            let (before, _) = notice
                .split_once(words)
                .unwrap_or_else(|| panic!("{number}: {words}"));
            let letter = before.rsplit("**").nth(1).unwrap();
            let refers = own.match_indices("aution ");
            let mut letters = refers.flat_map(|(at, found)| {
                let named = own.get(at + found.len()..).unwrap();
                named.split(['.', '\n', '*']).next().unwrap().split(", ")
            });
            assert!(letters.any(|one| one == letter), "{number}: {words}");
            at_the_head += 1;
        }
    }
    assert!(at_the_head > 10, "{at_the_head}");
}

#[test]
fn the_demo_shows_what_it_is_for() {
    let plan = demo();
    assert_eq!(plan["demo"], true);
    assert_eq!(plan["provisional"], false);
    let links = plan["links"].as_array().unwrap();
    let of_kind = |kind: &str| links.iter().filter(|link| link["kind"] == kind).count();
    assert!(of_kind("link") >= 25, "only {} links", of_kind("link"));
    for verdict in [
        "leave",
        "reposition",
        "extend",
        "replace",
        "fabricate",
        "refer",
    ] {
        let found = links.iter().any(|link| link["verdict"] == verdict);
        assert!(found, "no link of the demo is `{verdict}`");
    }
    let absent = |verdict: &str| links.iter().all(|link| link["verdict"] != verdict);
    assert!(absent("measure") && absent("stop"));
    let left_alone = |link: &Value| link["disturbed"] == false && link["verdict"] == "leave";
    assert!(links.iter().any(left_alone));
    // Torn only at a clip: both ends ride with the body, and a span in between is pulled apart.
    let at_a_clip = |link: &Value| {
        let spans = link["spans"].as_array().unwrap();
        let first = &spans[0]["groups"][0];
        let last = &spans[spans.len() - 1]["groups"][1];
        first == last && first != "chassis" && link["disturbed"] == true
    };
    assert!(links.iter().any(at_a_clip));
    // Disturbed only while one body is up and the other is not.
    let on_the_way = |link: &Value| {
        let spans = link["spans"].as_array().unwrap();
        link["disturbed"] == true && spans.iter().all(|span| span["rise"]["value"] == 0.0)
    };
    assert!(links.iter().any(on_the_way));
}

#[test]
fn the_demo_says_on_every_page_that_it_is_no_vehicle() {
    let bench = Bench::new();
    for command in ["sheet", "survey"] {
        let markdown = bench.run([command]).done().stdout;
        assert!(markdown.contains("DEMO – NOT A VEHICLE"), "{command}");
        let html = bench.run([command, "--format", "html"]).done().stdout;
        let style = html.split_once("</style>").unwrap().0;
        // In a band at the head and at the foot of every sheet of paper.
        assert_eq!(style.matches("VEHICLE\"").count(), 2, "{command}");
        assert!(style.contains("position: fixed"));
    }
}

#[test]
fn every_sheet_of_paper_carries_the_job_the_digest_and_its_number() {
    let plan = demo();
    let digest = plan["plan_digest"].as_str().unwrap();
    let html = Bench::new()
        .run(["sheet", "--format", "html"])
        .done()
        .stdout;
    let style = html.split_once("</style>").unwrap().0;
    let short = digest.strip_prefix("sha256:").unwrap().get(..12).unwrap();
    assert!(style.contains(short), "no digest at the foot of the page");
    assert!(
        style.contains("Forestry crew"),
        "no job at the foot of the page"
    );
    assert!(style.contains("counter(page)") && style.contains("counter(pages)"));
    for (paper, size) in [("a4", "A4"), ("letter", "letter")] {
        let html = Bench::new()
            .run(["sheet", "--format", "html", "--paper", paper])
            .done()
            .stdout;
        assert!(html.contains(&format!("size: {size}")), "{paper}");
    }
}

/// A number that decides is marked where it is used, and its origin stands below; JSON gives the same.
#[test]
fn a_limit_behind_a_verdict_says_where_it_comes_from() {
    let bench = Bench::new();
    let page = bench.run(["reasons"]).done().stdout;
    let lever = page.split_once("## Transfer lever").unwrap().1;
    let (_, marked) = lever.split_once("40 mm is needed [").unwrap();
    let letter = marked.split_once(']').unwrap().0;
    let limit = format!(
        "[{letter}] least room for a fist between knob and whatever is under or beside it: 40 mm"
    );
    let origin = page.lines().find(|line| line.contains(&limit)).unwrap();
    assert!(origin.starts_with("- **Common practice:** "), "{origin}");
    let shaft = page
        .lines()
        .find(|line| line.contains("most angle of one joint"));
    assert!(
        shaft
            .unwrap()
            .contains("from memory: ask the vehicle maker")
    );

    let json = bench.run(["sheet", "--format", "json"]).json();
    let links = json["links"].as_array().unwrap();
    let lever = links.iter().find(|link| link["id"] == "transfer-lever");
    let limit = &lever.unwrap()["limits"]["transfer-lever.knob_room"];
    assert_eq!(
        limit["value"]["value"],
        40.0,
        "{:#}",
        lever.unwrap()["limits"]
    );
    assert_eq!(limit["source"]["status"], "common practice");
}

#[test]
fn a_survey_says_what_its_readings_are_held_against() {
    let job = include_str!("../rules/demo/forestry-crew-survey.yaml");
    let bench = Bench::new().file("job.yaml", job);
    let page = bench.run(["survey", "job.yaml"]).done().stdout;
    let common = "44 mm or more: leave; less: replace | `earth-strap.slack`";
    assert!(page.contains(common), "{page}");
    let remembered = "65 mm or more: reposition; less: extend [c]";
    assert!(page.contains(remembered), "{page}");
    assert!(page.contains("[c] least overlap of the hose on each spigot: 25 mm"));
}

/// The numbers of the tasks on a sheet, in its order.
fn task_numbers(markdown: &str) -> Vec<u64> {
    let tasks = markdown
        .lines()
        .filter_map(|line| line.strip_prefix("- [ ] **"));
    tasks
        .filter_map(|task| task.split_once(". ")?.0.parse().ok())
        .collect()
}

#[test]
fn the_short_sheet_has_every_task_in_a_line_and_every_hold_point_in_full() {
    let bench = Bench::new();
    let whole = bench.run(["sheet"]).done().stdout;
    let short = bench.run(["sheet", "--short"]).done().stdout;
    // What comes due after the lift is named, and stands on the hand-over's page in full.
    let later = short
        .lines()
        .find(|line| line.starts_with("When it comes back: "));
    let later = later.unwrap();
    let named = task_numbers(&whole);
    let (own, due) = named.split_at(task_numbers(&short).len());
    assert_eq!(task_numbers(&short), own);
    assert_eq!(due.len(), 5);
    assert!(
        due.iter()
            .all(|number| later.contains(&format!("({number})"))),
        "{later}"
    );
    let task = |page: &str, number: u64| {
        let start = format!("- [ ] **{number}. ");
        let (_, own) = page.split_once(&start).unwrap();
        let own = own.split("\n- [ ] **").next().unwrap();
        let own = own.split("\nWhen it comes back: ").next().unwrap();
        own.split("\n## ").next().unwrap().trim().to_owned()
    };
    let plan = demo();
    let tasks = plan["tasks"].as_array().unwrap();
    let (mut holds, mut values) = (0, 0);
    for one in tasks {
        let number = one["number"].as_u64().unwrap();
        if due.contains(&number) {
            continue;
        }
        let own = task(&short, number);
        if !one["hold"].is_null() && one["looks"] != true {
            assert_eq!(own, task(&whole, number));
            holds += 1;
        }
        for asked in one["evidence"].as_array().unwrap() {
            if ["number", "text"].contains(&asked["kind"].as_str().unwrap()) {
                let ask = asked["ask"].as_str().unwrap();
                assert!(
                    own.replace('\\', "").contains(ask),
                    "{number}: {ask}: {own}"
                );
                values += 1;
            }
        }
    }
    assert!(holds > 10 && values > 100, "{holds} {values}");
    let words = |page: &str| page.split_whitespace().count();
    assert!(words(&short) * 2 < words(&whole));
    let html = bench.run(["sheet", "--short", "--format", "html"]).done();
    assert!(html.stdout.contains("<main class=\"short\">"));
}

#[test]
fn a_stage_is_printed_alone_by_its_first_words_or_the_number_of_a_task() {
    let bench = Bench::new();
    let whole = bench.run(["sheet"]).done().stdout;
    let of = |stage: &str| {
        let page = bench.run(["sheet", "--stage", stage]).done().stdout;
        (headings(&page), task_numbers(&page))
    };
    let (raised, tasks) = of("RAISE");
    let wanted = headings(&whole);
    let wanted: Vec<&String> = wanted
        .iter()
        .filter(|one| one.starts_with("Raise"))
        .collect();
    assert_eq!(raised.iter().skip(1).collect::<Vec<_>>(), wanted);
    assert!(wanted.len() > 3);
    let first = tasks[0];
    let (one, alone) = of(&first.to_string());
    assert_eq!(one.get(1), Some(wanted[0]));
    assert_eq!(one.len(), 2);
    assert!(tasks.starts_with(&alone) && alone.contains(&first));
    for nothing in ["nowhere", "0", "4000"] {
        let refused = bench.run(["sheet", "--stage", nothing]);
        assert_eq!(refused.code, Some(2), "{nothing}");
        assert!(
            refused.stderr.contains("Raise: cab, left side"),
            "{}",
            refused.stderr
        );
        assert!(refused.stdout.is_empty());
    }
}

#[test]
fn what_a_person_does_is_printed_alone_as_the_crew_s_plan_has_it() {
    let bench = Bench::new();
    let crew = bench.run(["crew", "--format", "json"]).done().json();
    let plan = demo();
    let number = |id: &Value| {
        let tasks = plan["tasks"].as_array().unwrap().iter();
        let mut own = tasks.filter(|task| &task["id"] == id);
        own.next().unwrap()["number"].as_u64().unwrap()
    };
    let lanes = crew["lanes"].as_array().unwrap();
    for person in ["ash", "cedar", "rowan"] {
        let own = lanes.iter().filter(|lane| lane["person"] == person);
        let mut wanted: Vec<u64> = own.map(|lane| number(&lane["task"])).collect();
        wanted.sort_unstable();
        wanted.dedup();
        let page = bench.run(["sheet", "--for", person]).done().stdout;
        assert_eq!(task_numbers(&page), wanted, "{person}");
        assert!(!wanted.is_empty());
    }
    let refused = bench.run(["sheet", "--for", "nobody"]);
    assert_eq!(refused.code, Some(2));
    assert!(
        refused.stderr.contains("its people are ash, birch"),
        "{}",
        refused.stderr
    );
}

#[test]
fn the_large_sheet_differs_only_in_its_type() {
    let bench = Bench::new();
    let usual = bench.run(["sheet", "--format", "html"]).done().stdout;
    let large = bench
        .run(["sheet", "--large", "--format", "html"])
        .done()
        .stdout;
    assert!(large.contains("main.large { font-size: 14pt;"));
    assert_eq!(large.replace("<main class=\"large\">", "<main>"), usual);
}

/// A sheet of paper may lie on the bench without the first: each says what none may be worked by.
#[test]
fn every_sheet_of_paper_says_that_it_is_not_to_be_worked_by() {
    let demo = |name: &str| {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("rules/demo")
            .join(name);
        std::fs::read_to_string(path).unwrap()
    };
    let stopped = demo("forestry-crew.yaml").replace("rust: surface", "rust: holed");
    let bench = Bench::new()
        .file("stopped.yaml", stopped)
        .file("open.yaml", demo("forestry-crew-survey.yaml"));
    let head = |document: &str, job: &str| {
        let page = bench.run([document, job, "--format", "html"]).stdout;
        let head = page
            .split_once("@top-center {")
            .map(|(_, rest)| rest.to_owned());
        head.map(|rest| rest.split_once(';').unwrap().0.to_owned())
    };
    let said = head("sheet", "stopped.yaml").unwrap();
    assert!(said.contains("STOP"), "{said}");
    let page = bench.run(["sheet", "stopped.yaml"]).stdout;
    let stop = page.find("> **STOP** This lift must not be done").unwrap();
    assert!(stop < page.find("## The job").unwrap());
    assert!(page.contains("cannot be signed off: the lift must not be done"));
    let said = head("sheet", "open.yaml").unwrap();
    assert!(said.contains("PROVISIONAL"), "{said}");
    // What is still to measure is what a survey is for.
    assert_eq!(head("survey", "open.yaml"), None);
}
