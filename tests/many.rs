//! Many jobs at once: the same pages as one by one, complaints in order and never mixed, one bad job no harm to the others.

use crate::support::run::{Bench, Outcome, case};

/// A folder with so many copies of a whole job, each with a title of its own, and the names of the files.
fn jobs(count: usize) -> (Bench, Vec<String>) {
    let text = std::fs::read_to_string(case("jobs/sixty-links.yaml")).unwrap();
    let mut bench = Bench::new();
    let mut names = Vec::new();
    for number in 0..count {
        let name = format!("j{number:02}.yaml");
        let own = text.replacen("\njob: ", &format!("\njob: {number} "), 1);
        assert_ne!(own, text, "the job's title was not found");
        bench = bench.file(&name, own);
        names.push(name);
    }
    (bench, names)
}

fn sheets<'a>(
    bench: &Bench,
    names: impl IntoIterator<Item = &'a String>,
    more: &[&'a str],
) -> Outcome {
    let names = names.into_iter().map(String::as_str);
    let more = more.iter().copied();
    bench
        .run(["sheet"].into_iter().chain(names).chain(more))
        .code_or_findings()
}

impl Outcome {
    /// A whole job may have findings; nothing here is about them.
    fn code_or_findings(self) -> Self {
        assert!(!self.stderr.contains("panicked"), "{}", self.stderr);
        self
    }
}

#[test]
fn many_jobs_give_the_pages_that_each_gives_alone() {
    let (bench, names) = jobs(7);
    for format in ["html", "md", "json"] {
        sheets(&bench, &names, &["-o", "out/", "--format", format])
            .complains("7 of 7 jobs written\n");
        for name in &names {
            sheets(&bench, [name], &["-o", "alone/", "--format", format]);
            let page = name.replace(".yaml", &format!(".sheet.{format}"));
            let read = |folder: &str| std::fs::read(bench.path().join(folder).join(&page)).unwrap();
            assert!(read("out").len() > 1000);
            assert!(read("out") == read("alone"), "{page} differs");
        }
    }
}

#[test]
fn complaints_come_in_the_order_of_the_jobs_and_the_good_ones_are_written() {
    let (bench, mut names) = jobs(4);
    // The slowest to be refused comes first, so that order is not luck.
    let long = format!("job: x\nnope: 1\nnote: {}\n", "words ".repeat(200_000));
    let bench = bench
        .file("bad-1.yaml", long)
        .file("bad-2.yaml", "job: y\nnope: 2\n");
    names.insert(0, "bad-1.yaml".to_owned());
    names.insert(2, "bad-2.yaml".to_owned());
    names.push("missing.yaml".to_owned());
    let outcome = sheets(&bench, &names, &["-o", "out/"]).code(1);
    let lines: Vec<&str> = outcome.stderr.lines().collect();
    let about = |name: &str| {
        let found = lines
            .iter()
            .enumerate()
            .filter(|(_, line)| line.contains(name));
        let numbers: Vec<usize> = found.map(|(number, _)| number).collect();
        (*numbers.first().unwrap(), *numbers.last().unwrap())
    };
    let (first, second, third) = (
        about("bad-1.yaml"),
        about("bad-2.yaml"),
        about("missing.yaml"),
    );
    assert!(
        first.1 < second.0 && second.1 < third.0,
        "{}",
        outcome.stderr
    );
    assert_eq!(*lines.last().unwrap(), "4 of 7 jobs written");
    let mut written: Vec<_> = std::fs::read_dir(bench.path().join("out"))
        .unwrap()
        .collect();
    written.sort_by_key(|entry| entry.as_ref().unwrap().file_name());
    assert_eq!(written.len(), 4);
}

#[test]
fn two_jobs_for_one_file_are_refused_before_anything_is_written() {
    let (bench, mut names) = jobs(2);
    let text = std::fs::read(bench.path().join("j00.yaml")).unwrap();
    let bench = bench.file("other/j00.yaml", text);
    names.push("other/j00.yaml".to_owned());
    sheets(&bench, &names, &["-o", "out/"])
        .failed()
        .complains("`j00.yaml` and `other/j00.yaml` would both become `out/j00.sheet.html`");
    assert!(!bench.path().join("out").exists());
}

#[test]
fn several_jobs_need_a_folder() {
    let (bench, names) = jobs(2);
    sheets(&bench, &names, &[])
        .failed()
        .complains("need a folder");
    sheets(&bench, &names, &["-o", "one.html"]).failed();
    assert!(!bench.path().join("one.html").exists());
}

#[test]
fn no_progress_is_drawn_into_a_file() {
    let (bench, names) = jobs(3);
    let outcome = sheets(&bench, &names, &["-o", "out/"]);
    assert!(
        !outcome.stderr.contains(['\r', '\u{1b}', '#']),
        "{}",
        outcome.stderr
    );
}
