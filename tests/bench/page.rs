//! From a parsed job to HTML, in one process, against what the template engine and the Markdown writer alone need for that page.
//!
//! The engine's share is a page of as many bytes put together from as many values; comrak's is the very Markdown of the page with the
//! extensions that the program uses.

use liftsheet::document::{self, Look};
use liftsheet::job::{self, Job, Measured};
use liftsheet::pipeline;
use liftsheet::quantity::Quantity;
use liftsheet::report::Report;
use liftsheet::rules::{self, Answer, Files, Rules, Wanted, builtin};

use super::{Budget, Line, least};

const RUNS: usize = 40;

pub(super) fn table() -> Vec<Line> {
    let (job, rules) = demo();
    let markdown = page(&job, &rules).markdown;
    let whole = least(RUNS, || {
        document::html(&page(&job, &rules), Look::default()).unwrap();
    });
    let lines: Vec<String> = markdown.lines().map(ToOwned::to_owned).collect();
    let mut engine = minijinja::Environment::new();
    let template = "{% for line in lines %}{{ line }}\n{% endfor %}";
    engine.add_template("page", template).unwrap();
    let alone = least(RUNS, || {
        let template = engine.get_template("page").unwrap();
        let filled = template
            .render(minijinja::context! { lines => &lines })
            .unwrap();
        assert!(filled.len() > markdown.len() / 2);
        assert!(written(&markdown).len() > markdown.len());
    });
    let loose = loosened(&job, &rules);
    let within = least(RUNS, || {
        page(&loose, &rules);
    });
    let exact = least(RUNS, || {
        page(&job, &rules);
    });
    vec![
        Line {
            what: "parsed job to HTML : minijinja and comrak alone".to_owned(),
            baseline: alone,
            measured: whole,
            unit: "ms",
            budget: Budget::Times(2.0),
        },
        Line {
            what: "the same with every tolerance that the survey asks for : without".to_owned(),
            baseline: exact,
            measured: within,
            unit: "ms",
            budget: Budget::None,
        },
    ]
}

/// The job with each reading known to the tolerance that its class asks for.
fn loosened(job: &Job, rules: &Rules) -> Job {
    let mut job = job.clone();
    let links = job.links.values_mut();
    let links = links.map(|link| (link.class.clone(), &mut link.measured));
    let mounts = job.mounts.values_mut();
    let mounts = mounts.map(|mount| (mount.class.clone(), &mut mount.measured));
    for (class, measured) in links.chain(mounts) {
        let Some(class) = rules.classes.get(&class) else {
            continue;
        };
        for (name, (value, _)) in measured {
            let (Measured::One(written), Some(measurement)) = (value, class.measurements.get(name))
            else {
                continue;
            };
            let (Answer::Number { unit, range }, Some(half)) =
                (&measurement.kind, measurement.tolerance)
            else {
                continue;
            };
            let read = Quantity::parse(written.as_str(), *unit).unwrap().value;
            if read - half >= range.0 && read + half <= range.1 {
                written.0 = format!("{read} {} ±{half}", unit.code());
            }
        }
    }
    job
}

fn written(markdown: &str) -> String {
    let mut options = comrak::Options::default();
    options.extension.table = true;
    options.extension.tasklist = true;
    options.render.escape = true;
    comrak::markdown_to_html(markdown, &options)
}

fn demo() -> (Job, Rules) {
    let mut report = Report::new();
    let source = builtin::file("demo/forestry-crew.yaml").unwrap();
    let job = job::read(&source, true, &mut report).unwrap();
    let classes = Files::builtin().class_ids();
    let mut wanted = Wanted::classes(classes.iter().map(String::as_str));
    wanted.regions.extend(job.region.as_deref());
    let rules = rules::load(&Files::builtin(), &wanted, &mut report);
    assert!(report.is_empty());
    (job, rules)
}

fn page(job: &Job, rules: &Rules) -> document::Page {
    let mut report = Report::new();
    let made = pipeline::run(job, rules, &mut report, |made| {
        document::sheet(&made, Look::default()).unwrap()
    });
    made.unwrap()
}
