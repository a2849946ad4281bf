//! The customer's page and the bench list: everything of the plan is on them once, and text typed by people is text, in tables
//! for spreadsheets, too.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::support::run::{Bench, case};

fn json(command: &str, job: Option<&str>, more: &[&str]) -> Value {
    let bench = Bench::new();
    let call = [command, "--format", "json"].into_iter().chain(job);
    bench.run(call.chain(more.iter().copied())).code(0).json()
}

fn sixty() -> String {
    case("jobs/sixty-links.yaml").to_str().unwrap().to_owned()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

#[test]
fn every_part_of_every_task_is_on_the_bench_once() {
    let sixty = sixty();
    for job in [None, Some(sixty.as_str())] {
        let plan = json("sheet", job, &[]);
        let bench = json("parts", job, &[]);
        let mut wanted: Vec<(String, String, u64)> = Vec::new();
        for task in list(&plan["tasks"]) {
            let parts = list(&task["parts"]).iter();
            wanted.extend(parts.map(|part| {
                let key = format!(
                    "{} {} {} {}",
                    part["kind"], part["what"], part["in"], part["size"]
                );
                (task["id"].to_string(), key, part["count"].as_u64().unwrap())
            }));
        }
        let mut found: Vec<(String, String, u64)> = Vec::new();
        for line in list(&bench["parts"]) {
            let key = format!(
                "{} {} {} {}",
                line["kind"], line["what"], line["in"], line["size"]
            );
            let counts = list(&line["tasks"]).iter();
            let counts: Vec<u64> = counts.map(|one| one["count"].as_u64().unwrap()).collect();
            let all = if line["shared"] == true {
                *counts.iter().max().unwrap()
            } else {
                counts.iter().sum()
            };
            assert_eq!(line["count"], all, "{key}");
            // Only what is cut off a roll has a length in all, m, and only the job's own blocks its material.
            let cut = ["hose", "tube", "cable"].contains(&line["kind"].as_str().unwrap());
            let length = line["size"]["length"]["value"].as_f64().filter(|_| cut);
            let pieces = line["count"].as_f64().unwrap();
            let in_all = length.map(|length| length * pieces / 1000.0);
            assert_eq!(line["to_cut"]["value"].as_f64(), in_all, "{key}");
            let own = line["kind"] == "spacer";
            assert_eq!(line["material"] == "aluminium", own, "{key}");
            let tasks = list(&line["tasks"]).iter().zip(&counts);
            found.extend(tasks.map(|(task, count)| (task["id"].to_string(), key.clone(), *count)));
        }
        wanted.sort();
        found.sort();
        assert!(wanted.len() > 20);
        assert_eq!(wanted, found);
        assert_eq!(plan["minutes"], bench["minutes"]);
        assert_eq!(plan["plan_digest"], bench["plan_digest"]);
    }
}

/// Kinds stand in the order in which they are laid out, what is shorter before what is longer.
#[test]
fn the_bench_is_laid_out_in_order() {
    const KINDS: [&str; 12] = [
        "spacer",
        "bolt",
        "nut",
        "washer",
        "hose",
        "tube",
        "cable",
        "bracket",
        "clamp",
        "fluid",
        "consumable",
        "other",
    ];
    let bench = json("parts", None, &[]);
    let lines = list(&bench["parts"]);
    let kind = |line: &Value| KINDS.iter().position(|kind| line["kind"] == *kind).unwrap();
    assert!(lines.is_sorted_by_key(kind));
    let bolts = lines.iter().filter(|line| line["what"] == "bolt");
    let lengths = bolts.map(|bolt| bolt["size"]["length"]["value"].as_f64().unwrap());
    assert_eq!(lengths.collect::<Vec<_>>(), [100.0, 110.0]);
}

#[test]
fn every_tool_and_every_trade_is_named() {
    let plan = json("sheet", None, &[]);
    let bench = json("parts", None, &[]);
    let of = |list: &Value, name: &str| -> BTreeMap<String, usize> {
        let all = self::list(list).iter();
        all.map(|one| (one[name].to_string(), self::list(&one["tasks"]).len()))
            .collect()
    };
    let (mut tools, mut trades) = (BTreeMap::new(), BTreeMap::new());
    for task in list(&plan["tasks"]) {
        for tool in list(&task["tools"]) {
            *tools.entry(tool.to_string()).or_insert(0) += 1;
        }
        if !task["trade"].is_null() {
            *trades.entry(task["trade"].to_string()).or_insert(0) += 1;
        }
    }
    assert_eq!(of(&bench["tools"], "what"), tools);
    assert_eq!(of(&bench["trades"], "trade"), trades);
}

#[test]
fn every_consequence_is_told_with_its_words() {
    let sixty = sixty();
    for job in [None, Some(sixty.as_str())] {
        let plan = json("sheet", job, &[]);
        let brief = json("brief", job, &[]);
        let ids = |links: &Value| -> Vec<String> {
            let links = list(links).iter();
            links.map(|link| link["id"].to_string()).collect()
        };
        let links = list(&plan["links"]).iter();
        let wanted = links.filter(|link| link["kind"] == "consequence").cloned();
        assert_eq!(
            ids(&Value::Array(wanted.collect())),
            ids(&brief["consequences"])
        );
        let page = Bench::new()
            .run(["brief"].into_iter().chain(job))
            .code(0)
            .stdout;
        for one in list(&brief["consequences"]) {
            assert!(page.contains(one["title"].as_str().unwrap()));
            assert!(!list(&one["told"]).is_empty());
        }
        assert_eq!(brief["limits"], plan["limits"]);
    }
}

#[test]
fn every_connection_that_is_worked_on_is_told() {
    let plan = json("sheet", None, &[]);
    let brief = json("brief", None, &[]);
    let links = list(&plan["links"]).iter();
    let worked = links.filter(|link| {
        link["kind"] != "consequence" && (link["verdict"] != "leave" || link["release"] == true)
    });
    let mut worked: Vec<&str> = worked.map(|link| link["id"].as_str().unwrap()).collect();
    let items = list(&brief["work"])
        .iter()
        .flat_map(|group| list(&group["items"]));
    let mut told: Vec<&str> = items
        .flat_map(|item| list(&item["links"]))
        .map(|id| id.as_str().unwrap())
        .collect();
    worked.sort_unstable();
    told.sort_unstable();
    assert_eq!(worked, told);
}

#[test]
fn clearance_under_the_axle_is_half_of_what_the_tyre_grows() {
    // 2 × 0.75 × (265 − 235) mm = 45 mm between 235/75R15 and 265/75R15, by the sizes' own figures; half of it lifts the axle.
    let gains = &json("brief", None, &[])["gains"];
    assert_eq!(gains["axle"]["value"], 22.5);
    assert_eq!(gains["blocks"]["value"], 40.0);
    assert_eq!(gains["body"]["value"], 62.5);
    Bench::new()
        .run(["brief"])
        .done()
        .prints("235/75R15 (733.5 mm) to 265/75R15 (778.5 mm)");
}

#[test]
fn one_size_in_two_spellings_is_no_other_tyre() {
    let demo = include_str!("../rules/demo/forestry-crew.yaml");
    let text = demo.replace("tyre_after: 265/75R15", "tyre_after: 235/75 r15");
    assert_ne!(text, demo);
    let brief = Bench::new()
        .file("job.yaml", text)
        .run(["brief", "job.yaml"]);
    let brief = brief
        .code(0)
        .prints("no other tyres are named for this job");
    assert!(!brief.stdout.contains("new tyres"), "{}", brief.stdout);
}

#[test]
fn inches_change_the_pages_and_nothing_else() {
    for command in ["brief", "parts"] {
        let inches = ["--units", "in"];
        assert_eq!(json(command, None, &inches), json(command, None, &[]));
        let page = Bench::new().run([command, "--units", "in"]).done().stdout;
        let title = "Forestry crew, double-cab, 40 mm body lift";
        let page = page.replace(title, "");
        assert!(page.contains(" in"), "{command}");
        assert!(
            !page.contains(" mm"),
            "{command} has millimetres left:\n{page}"
        );
    }
}

#[test]
fn days_are_those_of_the_crew_s_own_page() {
    let brief = json("brief", None, &[]);
    let page = Bench::new().run(["brief"]).done().stdout;
    let words = ["**One fitter:**", "**A fitter with an apprentice:**"];
    for (crew, words) in list(&brief["crews"]).iter().zip(words) {
        let with = crew["with"].as_str().unwrap();
        let own = json("crew", None, &["--with", with]);
        assert_eq!(crew["days"], own["days"], "{with}");
        // The page's first schedule is never shorter than the one that is searched for, and hardly longer.
        let [first, searched] =
            [&crew["minutes"]["likely"], &own["minutes"]].map(|m| m.as_f64().unwrap());
        assert!(
            (searched..searched * 1.05).contains(&first),
            "{with}: {first} {searched}"
        );
        let hours = (first / 60.0).ceil();
        let told = format!(
            "- {words} {} working days, {hours} working hours from start to finish.",
            own["days"]
        );
        assert!(page.contains(&told), "{told}");
    }
    assert_eq!(list(&brief["crews"]).len(), 2);
}

#[test]
fn a_provisional_job_is_not_agreed_to() {
    let survey = liftsheet::rules::builtin::file("demo/forestry-crew-survey.yaml").unwrap();
    let bench = Bench::new().file("job.yaml", survey.text());
    let page = bench.run(["brief", "job.yaml"]).done();
    let page = page
        .prints("PROVISIONAL")
        .prints("## Still to be measured")
        .prints("There is nothing to agree to yet");
    let page = page.prints("In how many days cannot be said: something is still to be measured.");
    assert!(!page.stdout.contains("Signature"));
    let brief = bench.run(["brief", "job.yaml", "--format", "json"]).done();
    for crew in list(&brief.json()["crews"]) {
        assert!(crew["days"].is_null() && crew["why_not"].is_string());
    }
}

/// The rows of a table, by column.
fn table(csv: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

#[test]
fn the_table_has_every_line_in_rfc_4180() {
    let csv = Bench::new().run(["parts", "--format", "csv"]).done().stdout;
    assert!(csv.starts_with("section,kind,what,count,count_unit,"));
    assert_eq!(csv.matches('\n').count(), csv.matches("\r\n").count());
    let rows = table(&csv);
    let bench = json("parts", None, &[]);
    let of = |section: &str| rows.iter().filter(|row| row["section"] == section).count();
    assert_eq!(of("part"), list(&bench["parts"]).len());
    assert_eq!(of("tool"), list(&bench["tools"]).len());
    assert_eq!(of("trade"), list(&bench["trades"]).len());
    for row in &rows {
        assert_eq!(row["made_with"], "Made with liftsheet");
        assert_eq!(row["demo"], "DEMO – NOT A VEHICLE");
    }
    let block = rows.iter().find(|row| row["kind"] == "spacer").unwrap();
    let told = [
        "count",
        "count_unit",
        "material",
        "height",
        "outer",
        "inner",
        "size_unit",
    ]
    .map(|name| block[name].as_str());
    assert_eq!(told, ["12", "piece", "aluminium", "40", "70", "14", "mm"]);
}

#[test]
fn a_table_overwrites_its_own_and_nobody_else_s() {
    let bench = Bench::new().file("other.csv", "count,what\n3,bolts\n");
    bench.run(["parts", "-o", "parts.csv"]).done();
    bench.run(["parts", "-o", "parts.csv"]).done();
    bench
        .run(["parts", "-o", "other.csv"])
        .failed()
        .complains("is no page that liftsheet wrote");
}

#[test]
fn only_parts_and_the_survey_make_a_table() {
    let bench = Bench::new();
    for command in ["sheet", "study", "brief"] {
        for call in [["--format", "csv"], ["-o", "x.csv"]] {
            bench
                .run([command].into_iter().chain(call))
                .failed()
                .complains("only `liftsheet parts` and `liftsheet survey` make a table");
        }
    }
    assert!(!bench.path().join("x.csv").exists());
}

#[test]
fn what_people_type_is_text_on_both_pages_and_in_the_table() {
    let demo = liftsheet::rules::builtin::file("demo/forestry-crew.yaml").unwrap();
    let hostile = "=1+1|<b>x</b> \\\"q\\\", [a](javascript:1)";
    let title = format!("job: \"{hostile}\"");
    let job = demo
        .text()
        .replace("job: Forestry crew, double-cab, 40 mm body lift", &title);
    let job = job.replace(
        "name: Crew double-cab of the ridge gang",
        &format!("name: \"{hostile}\""),
    );
    let bench = Bench::new().file("job.yaml", job);
    for command in ["brief", "parts"] {
        let html = bench
            .run([command, "job.yaml", "--format", "html"])
            .done()
            .stdout;
        let body = html.split_once("<body>").unwrap().1;
        // The table of contents leads to this page's own sections, and nothing else leads anywhere.
        let elsewhere = body.matches("<a ").count() - body.matches("<a href=\"#").count();
        assert!(!body.contains("<b>") && elsewhere == 0, "{command}");
        assert!(body.contains("&lt;b&gt;x"), "{command}");
    }
    let csv = bench
        .run(["parts", "job.yaml", "--format", "csv"])
        .done()
        .stdout;
    for row in table(&csv) {
        assert_eq!(row["job"], "'=1+1|<b>x</b> \"q\", [a](javascript:1)");
        assert_eq!(row["demo"], "");
        let formula = |cell: &String| cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
        assert!(!row.values().any(formula), "{row:?}");
    }
}

/// A job in which nothing but a hose is looked at, and that is not measured yet.
fn unmeasured() -> Bench {
    let text = std::fs::read_to_string(case("errors/unknown-choice-role.yaml")).unwrap();
    let (measured, roles) = ("{slack: 60 mm, sound: yes}", "[fitter, boss]");
    assert!(text.contains(measured) && text.contains(roles));
    let text = text.replace(measured, "{}").replace(roles, "fitter");
    Bench::new().file("job.yaml", text)
}

#[test]
fn nothing_is_said_of_other_connections_where_there_are_none() {
    let page = unmeasured().run(["brief", "job.yaml"]).code(0).stdout;
    assert!(page.contains("still to be measured: "), "{page}");
    let said = "\nThis job names no other connection. A body lift touches no suspension, so the wheel alignment stays as it is.\n";
    assert!(page.contains(said), "{page}");
}

#[test]
fn below_nothing_stands_a_minus_on_the_pages_and_a_hyphen_in_json() {
    let bench = Bench::new();
    let page = bench.run(["sheet"]).code(0).stdout;
    assert!(page.contains("changes by −5.8 %"));
    let json = bench.run(["sheet", "--format", "json"]).code(0).stdout;
    assert!(json.contains("changes by -5.8 %"));
    // To the customer it is said in words.
    let brief = bench.run(["brief"]).code(0).stdout;
    assert!(brief.contains("the engine turns 5.8 % slower"), "{brief}");
}

/// Forty tasks of ten hours are fifty days of eight hours more, which end after the sixty days of the calendar that are looked at first.
#[test]
fn a_job_that_takes_longer_than_the_days_looked_at_first_has_its_days_too() {
    let own = (0..40).map(|number| {
        format!(
            "  - {{id: own{number}, always: true, task: {{title: T, minutes: [600, 600, 600]}}}}\n"
        )
    });
    let source = "source: [{document: common practice, status: common practice}]";
    let own = format!(
        "stage: strip\n{source}\ntasks:\n{}",
        own.collect::<String>()
    );
    let bench = Bench::new().file("more/procedure/25-own.yaml", &own);
    let days = |more: &[&str]| {
        let call = ["brief", "--format", "json"].into_iter();
        let brief = bench.run(call.chain(more.iter().copied())).code(0).json();
        brief["crews"][0]["days"].as_u64().unwrap()
    };
    assert_eq!(days(&["--rules", "more"]), days(&[]) + 50);
}
