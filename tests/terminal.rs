//! A terminal of forty columns: every command in a pseudo-terminal. Sentences, lists and help are broken to its width; bold is used there
//! and nowhere else; nothing that somebody typed acts on it.
//!
//! What may be longer than the terminal: a word that cannot be broken, such as a path, and the line with the place of a problem, which
//! is one. Pages (Markdown, HTML, JSON), schemas, completions and manual pages are the same as in a file.

use crate::support::commands::{Called, bench, named, usually, with_and_without};
use crate::support::run::Bench;
use crate::support::terminal;

const COLUMNS: u16 = 40;
/// Commands that print what another program reads.
const FOR_PROGRAMS: [&str; 3] = ["schema", "completions", "manual"];

/// What a terminal of forty columns is sent, and the exit code.
fn seen(bench: &Bench, words: &[String], environment: &[(&str, &str)]) -> (String, Option<i32>) {
    terminal::sent((bench, COLUMNS), words, environment, "")
}

/// The text without bold, after a look at what stands in for it: bold, faint, underlined and their ends, no colour.
fn plain(sent: &str) -> String {
    for escape in sent.split('\u{1b}').skip(1) {
        let codes = escape
            .strip_prefix('[')
            .and_then(|rest| rest.split_once('m'));
        let codes = codes.unwrap_or_else(|| panic!("{escape:?} is no style"));
        let fine = ["", "0", "1", "2", "4"];
        assert!(
            codes.0.split(';').all(|code| fine.contains(&code)),
            "{escape:?}"
        );
    }
    anstream::adapter::strip_str(sent).to_string()
}

/// Whether a line fits, or holds a single word behind the signs that open it.
#[track_caller]
fn fits(text: &str, words: &[String]) {
    for line in text.lines() {
        let width = textwrap::core::display_width(line);
        let content = line.trim_start_matches([' ', '|', '=']);
        let one_word = !content.trim_end().contains(' ') || content.starts_with("--> ");
        assert!(
            width <= usize::from(COLUMNS) || one_word,
            "{words:?} prints {width} columns: {line:?}"
        );
    }
}

fn unsafe_signs(text: &str) -> Vec<char> {
    let acts = |c: &char| liftsheet::report::is_unsafe_to_print(*c) && *c != '\n';
    let joiner = |c: &char| matches!(c, '\u{200c}' | '\u{200d}');
    text.chars().filter(|c| acts(c) && !joiner(c)).collect()
}

/// A command in a terminal: exit code as in a pipe, no panic, and lines that fit or the same page as in a file.
fn look_at(called: &Called) {
    let usual = usually(called);
    let (sent, code) = seen(&bench(), &called.words, &[]);
    let text = plain(&sent);
    assert_eq!(code, usual.code, "{:?}: {text}", called.words);
    assert!(!text.contains("panicked"), "{text}");
    assert!(!text.contains('\u{fffd}'), "{text}");
    assert!(unsafe_signs(&text).is_empty(), "{:?}", called.words);
    let help = called.words.iter().any(|word| word == "--help");
    let for_programs = FOR_PROGRAMS.contains(&called.words[0].as_str());
    if code != Some(2) && !help && (called.makes_pages() || for_programs) {
        assert!(
            text.contains(&usual.stdout),
            "{:?} is not the same page",
            called.words
        );
    } else {
        fits(&text, &called.words);
        assert!(!text.trim().is_empty(), "{:?}", called.words);
    }
}

#[test]
fn every_command_fits_into_forty_columns() {
    with_and_without().iter().for_each(look_at);
}

#[test]
fn every_help_and_every_refusal_fits_into_forty_columns() {
    for called in named() {
        look_at(&called.and(&["--help"]));
        look_at(&called.and(&["--no-such-option"]));
    }
}

#[test]
fn problems_fit_into_forty_columns() {
    let job = include_str!("cases/errors/ten-mistakes.yaml");
    let bench = Bench::new().file("job.yaml", job);
    let words = ["check", "job.yaml"].map(str::to_owned);
    let (sent, code) = seen(&bench, &words, &[]);
    let text = plain(&sent);
    assert_eq!(code, Some(1));
    assert!(
        text.contains("error[unknown-part]: link `heater hoses`\n"),
        "{text}"
    );
    assert!(text.contains("--> job.yaml:21:20"), "{text}");
    assert!(sent.contains("\u{1b}[1m"), "{sent:?}");
    fits(&text, &words);
}

#[test]
fn every_explanation_fits_into_forty_columns() {
    for code in liftsheet::report::Code::all() {
        let words = ["explain".to_owned(), code.as_str().to_owned()];
        let (sent, _) = seen(&Bench::new(), &words, &[]);
        fits(&plain(&sent), &words);
    }
}

#[test]
fn columns_may_be_wished_for_and_a_file_has_its_lines_whole() {
    let whole = Bench::new().run(["explain"]).done().stdout;
    assert!(whole.lines().any(|line| line.len() > 60));
    let narrow = Bench::new()
        .call(["explain"])
        .env("COLUMNS", "40")
        .run()
        .done();
    fits(&narrow.stdout, &["explain".to_owned()]);
    let joined: Vec<&str> = narrow.stdout.split_whitespace().collect();
    assert_eq!(joined, whole.split_whitespace().collect::<Vec<_>>());
    for odd in ["", "0", "-3", "wide"] {
        let outcome = Bench::new()
            .call(["explain"])
            .env("COLUMNS", odd)
            .run()
            .done();
        assert_eq!(outcome.stdout, whole, "{odd:?}");
    }
}

#[test]
fn bold_is_for_a_terminal_and_for_nobody_who_asked_for_plain_text() {
    let job = include_str!("cases/errors/unknown-part.yaml");
    let bench = Bench::new().file("job.yaml", job);
    for words in [&["check", "job.yaml"][..], &["sheet", "--help"]] {
        let owned: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
        let styled =
            |environment: &[(&str, &str)]| seen(&bench, &owned, environment).0.contains('\u{1b}');
        assert!(styled(&[]), "{words:?}");
        for asked in [("NO_COLOR", "1"), ("CLICOLOR", "0"), ("TERM", "dumb")] {
            assert!(!styled(&[asked]), "{words:?} {asked:?}");
        }
        let piped = |environment: &[(&str, &str)]| {
            let call = bench.call(words.iter().copied());
            let call = environment
                .iter()
                .fold(call, |call, (name, value)| call.env(name, value));
            let outcome = call.run();
            (outcome.stdout + &outcome.stderr).contains('\u{1b}')
        };
        assert!(!piped(&[]) && !piped(&[("CLICOLOR", "1")]), "{words:?}");
        assert!(piped(&[("CLICOLOR_FORCE", "1")]), "{words:?}");
        assert!(
            !piped(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]),
            "{words:?}"
        );
    }
}
