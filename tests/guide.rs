//! The README: what it shows is what the program prints, and every command in it runs.

use crate::support::run::Bench;

const README: &str = include_str!("../README.md");

/// The code blocks of a language, in order.
fn blocks(language: &str) -> Vec<&'static str> {
    let opening = format!("```{language}\n");
    let starts = README.split(opening.as_str()).skip(1);
    starts
        .map(|rest| rest.split("```").next().unwrap())
        .collect()
}

#[test]
fn the_job_file_of_the_readme_can_be_surveyed() {
    let job = blocks("yaml")[0];
    let bench = Bench::new().file("job.yaml", job);
    bench
        .run(["check", "job.yaml"])
        .code(0)
        .complains("no problem found");
    let survey = bench.run(["survey", "job.yaml"]).done();
    assert!(survey.stdout.contains("still to be measured"));
    bench.run(["sheet", "job.yaml", "-o", "sheet.html"]).done();
}

#[test]
fn the_consequences_of_the_readme_can_be_added_to_the_job_file() {
    let yaml = blocks("yaml");
    let job = format!("{}{}", yaml[0], yaml[1]);
    let bench = Bench::new().file("job.yaml", job);
    bench
        .run(["check", "job.yaml"])
        .code(0)
        .complains("no problem found");
}

/// The words of a command line, quotes taken off.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '\'' => quoted = !quoted,
            ' ' if !quoted => words.push(std::mem::take(&mut word)),
            _ => word.push(c),
        }
    }
    words.push(word);
    words.retain(|word| !word.is_empty());
    words
}

#[test]
fn every_command_of_the_readme_runs() {
    let job = blocks("yaml")[0];
    let mut ran = 0;
    for line in blocks("sh").iter().flat_map(|block| block.lines()) {
        let command = line
            .strip_prefix("cargo run --release -- ")
            .or_else(|| line.strip_prefix("liftsheet "));
        let Some(command) = command else { continue };
        let bench = Bench::new().file("job.yaml", job);
        let words = words(command);
        bench.run(words.iter().map(String::as_str)).done();
        ran += 1;
    }
    assert!(ran >= 2, "only {ran} commands were found");
}

/// Whether every line of an excerpt stands in a text, in that order.
fn stands_in(excerpt: &str, text: &str) -> bool {
    let mut lines = text.lines();
    excerpt
        .lines()
        .filter(|line| !line.trim().is_empty())
        .all(|wanted| lines.any(|line| line.trim() == wanted.trim()))
}

#[test]
fn what_the_readme_shows_is_what_the_program_prints() {
    let bench = Bench::new();
    let survey = bench.run(["survey"]).done().stdout;
    let sheet = bench.run(["sheet"]).done().stdout;
    let crew = bench.run(["crew"]).done().stdout;
    let wrong = blocks("yaml")[0].replace("ends: [airbox,", "ends: [airbix,");
    let wrong = Bench::new().file("job.yaml", wrong);
    let mistake = wrong.run(["check", "job.yaml"]).failed().stderr;
    let begun = ["new", "x", "--pattern", "dual-cab", "-o", "-"];
    let begun = bench.run(begun).done().stdout;
    let printed = [survey, sheet, crew, mistake, begun];
    for excerpt in blocks("text")
        .iter()
        .filter(|block| !block.starts_with('{'))
    {
        let found = printed.iter().any(|text| stands_in(excerpt, text));
        assert!(found, "this excerpt is not printed:\n{excerpt}");
    }
}
