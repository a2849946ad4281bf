//! Whole pages of small jobs, as Markdown and as HTML.

mod markup;
mod readers;

use std::collections::BTreeMap;

use super::{Look, Page, Paper, html, sheet, survey, words};
use crate::pipeline;
use crate::quantity::Units;
use crate::report::Report;
use crate::rules::{self, Files, Wanted};
use crate::source::Source;
use crate::{job, plan::Plan};

const STRAP: &str = r#"
title: Earth strap
area: engine bay
where: between engine and bulkhead
why: the body goes up and the engine does not
if_missed: the strap tears
left_alone: both ends ride together here
source: [{document: common practice, status: common practice}]
measurements:
  slack: {label: slack of the strap, how: Pull it tight and measure., unit: mm, range: [0, 200], tolerance: 2}
checks:
  - id: pull
    verdicts:
      - when: slack >= rise
        verdict: leave
        because: "it has {{ slack | mm }} of slack"
      - {when: slack < 1, verdict: stop, because: nothing gives here}
      - verdict: replace
        because: "it has {{ slack | mm }} of slack and needs {{ rise | mm_up }}"
        task:
          title: "Fit a longer {{ link }}"
          steps: ["Unbolt {{ link }} from {{ from }}.", Bolt on the longer one.]
          parts: [{what: earth strap, count: 2, kind: cable}]
          tools: [wire brush]
          minutes: [10, 15, 30]
          hold: supervisor
          cautions: [Battery off.]
          evidence:
            - {name: gap, ask: slack left, kind: number, unit: mm, least: rise / 3}
            - {name: bright, ask: metal bright, kind: "yes"}
            - {name: maker, ask: "maker of {{ link }}", kind: text}
        check: {title: "Check {{ link }}", minutes: [1, 2, 3], due: {km: 100}, evidence: [{name: ok, ask: tight, kind: "yes"}]}
"#;

const PAD: &str = r"
title: Body pad
area: left under
where: under the body
why: the block goes here
if_missed: nothing holds the body
left_alone: it rides along
source: [{document: common practice, status: common practice}]
checks:
  - id: always
    verdicts:
      - {verdict: leave, because: the pad takes the block}
";

const REGION: &str = r#"
title: Testland
authority: the office of Testland
limits:
  - id: height
    title: height of the blocks
    source: {document: an invented rule, clause: "1", year: 2020, status: from memory}
    value: lift.spacer
    unit: mm
    most: 30
    over: refer
    because: "{{ value | mm }} is above {{ most | mm }}"
  - {id: track, title: track, source: {document: an invented rule, status: from memory}, value: vehicle.track, unit: mm, most: 2000, over: stop, because: too wide}
"#;

/// What a job's author may type to break a page; every kind of it in one line.
const HOSTILE: &str = r#"# | a* **b** _c_ `d` <script>alert(1)</script> <!-- [x](javascript:alert(2)) ![y](https://z.example/p.png) &lt;&#60; {{ 7 * 7 }} {% raw %} https://w.example w@x.example \ ~~e~~ $f$ - [ ] "q" 'r' | tail"#;

struct Pages {
    sheet: Page,
    survey: Page,
    plan: Plan,
    digest: String,
}

fn yaml(text: &str) -> String {
    serde_json::to_string(text).unwrap()
}

/// The pages of a small job in which everything that a person types is this text.
fn pages(typed: &str, slack: &str, look: Look) -> Pages {
    let typed = yaml(typed);
    let mounts: Vec<String> = [
        "[1000, 500, 0]",
        "[1000, -500, 0]",
        "[0, 500, 0]",
        "[0, -500, 0]",
    ]
    .iter()
    .zip(["fl", "fr", "rl", "rr"])
    .map(|(at, id)| format!("{{id: {id}, group: cab, class: pad, at: {at}}}"))
    .collect();
    let text = format!(
        "job: {typed}\nnote: {typed}\nvehicle: {{name: {typed}, identification: {typed}, construction: ladder frame}}\n\
         lift: {{spacer: 40 mm, raise: [{{group: cab, first_side: left}}]}}\nmounts: [{}]\n\
         parts: {{chassis: {{}}, cab: {{title: {typed}}}, engine: {{title: {typed}, fixed_to: chassis}}, bulkhead: {{title: {typed}, fixed_to: cab}}}}\n\
         links:\n  - {{id: strap, class: strap, title: {typed}, ends: [engine, bulkhead], held_by: none, measured: {{{slack}}}}}\n\
         \x20 - {{id: loom, class: strap, ends: [bulkhead, cab], held_by: none}}\n\
         people: [{{id: a, name: {typed}, roles: fitter}}]\nregion: testland\n",
        mounts.join(", ")
    );
    let mut report = Report::default();
    let job = job::read(&Source::from_text("job.yaml", text), true, &mut report);
    let job = job.unwrap_or_else(|| panic!("{report:?}"));
    let files = [
        ("connections/strap.yaml", STRAP),
        ("connections/pad.yaml", PAD),
        ("limits/testland.yaml", REGION),
    ];
    let files = files.map(|(path, text)| (path.to_owned(), Source::from_text(path, text)));
    let files = Files::overlaid(BTreeMap::from(files), false);
    let wanted = Wanted {
        classes: ["strap", "pad"].into(),
        regions: ["testland"].into(),
    };
    let rules = rules::load(&files, &wanted, &mut report);
    let made = pipeline::run(&job, &rules, &mut report, |made| Pages {
        sheet: sheet(&made, look).unwrap(),
        survey: survey(&made, look).unwrap(),
        plan: made.plan.clone(),
        digest: made.digest().to_owned(),
    });
    made.unwrap_or_else(|| panic!("{report:?}"))
}

#[test]
fn what_people_type_is_text_in_html() {
    let hostile = pages(HOSTILE, "slack: 10 mm", Look::default()).sheet;
    let page = html(&hostile, Look::default()).unwrap();
    // Links lead to places of the page, those to the sections stand first.
    let (before, page) = page.split_once("</nav>").unwrap();
    let links = before.matches("<a href=\"#").count();
    assert_eq!(before.matches("<a ").count(), links);
    assert_eq!(links, page.matches("<h2").count());
    let within = page.matches("<a href=\"#").count();
    assert_eq!(page.matches("href").count(), within);
    assert_eq!(page.matches("<a ").count(), within);
    for mark in ["<script", "<!--", "<img", "src=", "<em", "<del"] {
        assert!(!page.contains(mark), "{mark}");
    }
    assert!(before.contains("<title>Job sheet: # | a* **b** _c_ `d` &lt;script&gt;"));
    assert!(
        page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &lt;!-- [x](javascript:alert(2))")
    );
    assert!(page.contains("{{ 7 * 7 }} {% raw %}"));
    assert_eq!(before.matches("</style>").count(), 1);
}

#[test]
fn every_task_stands_once_in_the_order_of_work() {
    let made = pages("strap", "slack: 10 mm", Look::default());
    let numbers: Vec<String> = made
        .sheet
        .markdown
        .lines()
        .filter_map(|line| line.strip_prefix("- [ ] **")?.split_once(". "))
        .map(|(number, _)| number.to_owned())
        .collect();
    let wanted: Vec<String> = (1..=made.plan.entries.len())
        .map(|n| n.to_string())
        .collect();
    assert_eq!(numbers, wanted);
    let page = html(&made.sheet, Look::default()).unwrap();
    let tasks = page.matches("<li class=\"task").count();
    assert_eq!(tasks, made.plan.entries.len());
    for task in &made.plan.tasks {
        let title = words::capital(&task.title.print(Units::Metric));
        assert!(made.sheet.markdown.contains(&title), "{title}");
    }
}

#[test]
fn a_value_to_be_measured_has_a_box_and_its_limit_on_the_safe_side() {
    let made = pages("strap", "slack: 10 mm", Look::default());
    // 40 / 3 = 13.33, and a least is rounded up.
    let blank = "\u{a0}".repeat(8);
    let line = format!("[{blank}] mm: slack left, at least 14 mm `gap`.");
    assert!(
        made.sheet.markdown.contains(&line),
        "{}",
        made.sheet.markdown
    );
    let page = html(&made.sheet, Look::default()).unwrap();
    assert!(
        page.contains(
            "<span class=\"ask\"><span class=\"box\"></span> mm: slack left, at least 14 mm <code>gap</code>.</span>"
        )
    );
    let inch = Look {
        units: Units::Inch,
        ..Look::default()
    };
    let inches = pages("strap", "slack: 10 mm", inch);
    // 13.33 mm = 0.5249 in, read to 0.01 in.
    assert!(
        inches
            .sheet
            .markdown
            .contains("in: slack left, at least 0.53 in `gap`.")
    );
    assert_eq!(inches.digest, made.digest);
}

#[test]
fn a_hold_point_and_a_caution_are_marked_and_a_due_distance_is_told() {
    let made = pages("strap", "slack: 10 mm", Look::default());
    let page = html(&made.sheet, Look::default()).unwrap();
    assert!(page.contains("<li class=\"task hold\" id=\"task-1\">"));
    assert!(page.contains("<div class=\"notice caution\" role=\"note\">"));
    assert!(made.sheet.markdown.contains("100 km after the lift"));
    assert!(made.sheet.markdown.contains("] Supervisor"));
}

#[test]
fn a_provisional_sheet_says_so_and_cannot_be_signed_off() {
    let open = pages("strap", "", Look::default());
    assert!(
        open.sheet
            .markdown
            .contains("> **PROVISIONAL** 1 thing is still to be measured.")
    );
    assert!(open.sheet.markdown.contains("cannot be signed off"));
    assert!(open.survey.markdown.contains("| `strap.slack` |"));
    assert!(
        open.survey
            .markdown
            .contains("| 40 mm or more: leave; 1 mm to 39 mm: replace; less: stop |")
    );
    let closed = pages("strap", "slack: 10 mm", Look::default());
    assert!(!closed.sheet.markdown.contains("PROVISIONAL"));
    assert!(
        closed
            .survey
            .markdown
            .contains("Nothing is left to measure")
    );
}

#[test]
fn a_stop_is_named_at_the_head_and_cannot_be_signed_off() {
    let made = pages("strap", "slack: 0 mm", Look::default())
        .sheet
        .markdown;
    let stop = made.find("> **STOP** This lift must not be done").unwrap();
    assert!(
        made.get(stop..)
            .unwrap()
            .contains("> - Strap: nothing gives here.\n")
    );
    assert!(stop < made.find("## The job").unwrap());
    assert!(made.contains("cannot be signed off: the lift must not be done"));
}

#[test]
fn a_local_limit_is_held_or_said_to_be_unchecked() {
    let made = pages("strap", "slack: 10 mm", Look::default())
        .sheet
        .markdown;
    assert!(made.contains("- Height of the blocks: 40 mm, at most 30 mm; **refer**: 40 mm is above 30 mm (an invented rule, 1, 2020 (from memory))"));
    assert!(made.contains(
        "- Track: –, at most –; not checked: track not known (an invented rule (from memory))"
    ));
    assert!(made.contains(
        "Testland; 2 local limits, 1 of them not checked; confirm with the office of Testland"
    ));
}

#[test]
fn paper_and_demo_are_told_to_the_printer() {
    let made = pages("strap", "slack: 10 mm", Look::default());
    let a4 = html(&made.sheet, Look::default()).unwrap();
    let letter = Look {
        paper: Paper::Letter,
        ..Look::default()
    };
    let letter = html(&made.sheet, letter).unwrap();
    assert!(a4.contains("size: A4;") && letter.contains("size: letter;"));
    let band = "{ content: \"DEMO \\2013  NOT A VEHICLE\"; font-weight: bold;";
    assert!(a4.contains(&format!("@top-center {band}")));
    assert!(a4.contains("print-color-adjust: exact"));
    assert!(made.sheet.footer.contains(made.digest.get(..20).unwrap()));
}
