//! Help, manual pages and completions: every command has them, and the examples are command lines that can be typed.

use std::process::Command;

use crate::support::commands::{commands, named};
use crate::support::run::{Bench, PROGRAM};

/// The examples of a command: lines of its help that begin with the program's name.
fn examples(command: &clap::Command) -> Vec<String> {
    let help = command.get_after_help().map(ToString::to_string);
    let help = help.unwrap_or_default();
    assert!(
        help.starts_with("Examples:\n"),
        "`{command}` has no examples"
    );
    let lines = help.lines().map(str::trim);
    let lines = lines.filter(|line| line.starts_with("liftsheet "));
    lines.map(ToOwned::to_owned).collect()
}

/// The words of a line: quotes taken off, without what is explained behind three spaces or goes through a shell.
fn words(line: &str) -> Vec<String> {
    let line = line.split("   ").next().unwrap();
    let line = line.split(" > ").next().unwrap();
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '\'' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words
}

#[test]
fn every_command_has_examples_that_can_be_typed() {
    for command in commands() {
        let examples = examples(&command);
        assert!(examples.len() >= 2, "`{command}` has one example only");
        for example in examples {
            let words = words(&example);
            assert_eq!(words[1], command.get_name(), "{example}");
            let read = liftsheet::cli::command().try_get_matches_from(&words);
            assert!(read.is_ok(), "{example}\n{}", read.unwrap_err());
        }
    }
}

#[test]
fn every_command_and_every_option_is_explained() {
    for called in named() {
        let help = Bench::new().call(called.words()).arg("--help").run().done();
        for argument in called.command.get_arguments() {
            let said = argument.get_help().map(ToString::to_string);
            let said = said.unwrap_or_default();
            assert!(said.len() > 5, "{} {}", called.words[0], argument.get_id());
        }
        help.prints("Examples:\n").prints("Usage: liftsheet ");
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let bench = Bench::new();
    bench.run(["manual", "-o", "man/"]).done();
    let program = std::fs::read_to_string(bench.path().join("man/liftsheet.1")).unwrap();
    for command in commands() {
        let name = command.get_name();
        assert!(
            program.contains(&format!("liftsheet\\-{name}(1)")),
            "{name}"
        );
        let file = bench.path().join(format!("man/liftsheet-{name}.1"));
        let page = std::fs::read_to_string(file).unwrap();
        for section in [".SH NAME", ".SH SYNOPSIS", ".SH OPTIONS", ".SH EXAMPLES"] {
            assert!(page.contains(section), "{name} has no {section}");
        }
        // A topic of the same name says more than the page of its command.
        if liftsheet::document::manual::find(name).is_none() {
            assert_eq!(bench.run(["manual", name]).done().stdout, page);
        }
    }
    // Written again without being asked whether it may, since the pages are its own.
    bench.run(["manual", "-o", "man/"]).done();
    bench
        .run(["manual", "shet"])
        .failed()
        .complains("did you mean `sheet`?");
    let other = Bench::new().file("man/liftsheet.1", "mine");
    other
        .run(["manual", "-o", "man/"])
        .failed()
        .complains("--force");
}

/// Whether a program is installed here. What needs it is not tried otherwise, and the test says so.
#[allow(clippy::print_stdout)]
fn installed(program: &str, version: &str) -> bool {
    let there = Command::new(program).arg(version).output().is_ok();
    if !there {
        println!("not tried: `{program}` is not installed");
    }
    there
}

#[test]
fn the_formatter_of_manual_pages_has_no_complaint() {
    if !installed("groff", "--version") {
        return;
    }
    let bench = Bench::new();
    bench.run(["manual", "-o", "man/"]).done();
    for entry in std::fs::read_dir(bench.path().join("man")).unwrap() {
        let path = entry.unwrap().path();
        let arguments = ["-man", "-Tutf8", "-z", "-ww", "-k"];
        let output = Command::new("groff").args(arguments).arg(&path).output();
        let output = output.unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(
            output.status.success() && said.is_empty(),
            "{path:?}: {said}"
        );
        let mut shown = Command::new("groff");
        let shown = shown.args(["-man", "-Tutf8", "-k"]).arg(&path).output();
        let shown = shown.unwrap();
        let shown = String::from_utf8_lossy(&shown.stdout).into_owned();
        assert!(
            shown.contains("liftsheet ") || path.ends_with("liftsheet.1"),
            "{shown}"
        );
    }
}

#[test]
fn each_shell_has_its_completions() {
    let shells = ["bash", "elvish", "fish", "powershell", "zsh"];
    let bench = Bench::new();
    for shell in shells {
        let script = bench.run(["completions", shell]).done().stdout;
        for command in commands() {
            assert!(script.contains(command.get_name()), "{shell}");
        }
    }
    bench.run(["completions", "csh"]).failed().complains("bash");
}

/// What bash offers when a line is completed at its end.
#[cfg(unix)]
fn offered(bench: &Bench, words: &[&str]) -> Vec<String> {
    let quoted: Vec<String> = words.iter().map(|word| format!("'{word}'")).collect();
    let script = format!(
        "set -eu\nsource completions.bash\ncomplete -p liftsheet > /dev/null\n\
         COMP_WORDS=({})\nCOMP_CWORD={}\nCOMP_LINE='{}'\nCOMP_POINT=${{#COMP_LINE}}\n\
         _liftsheet liftsheet '{}' '{}' || true\nprintf '%s\\n' \"${{COMPREPLY[@]}}\"\n",
        quoted.join(" "),
        words.len() - 1,
        words.join(" "),
        words[words.len() - 1],
        words[words.len() - 2],
    );
    let mut bash = Command::new("bash");
    bash.args(["--norc", "-c", &script])
        .current_dir(bench.path());
    let output = bash.output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success() && said.is_empty(),
        "{said}\n{script}"
    );
    let offered = String::from_utf8(output.stdout).unwrap();
    offered.lines().map(ToOwned::to_owned).collect()
}

#[cfg(unix)]
#[test]
fn bash_completes_every_command_and_every_option() {
    if !installed("bash", "--version") {
        return;
    }
    let script = Bench::new().run(["completions", "bash"]).done().stdout;
    let bench = Bench::new().file("completions.bash", script);
    for command in commands() {
        let name = command.get_name();
        let begun = &name[..name.len() - 1];
        let commands = offered(&bench, &["liftsheet", begun]);
        assert!(
            commands.iter().any(|one| one == name),
            "{begun}: {commands:?}"
        );
        for option in command.get_arguments().filter_map(clap::Arg::get_long) {
            let (whole, begun) = (format!("--{option}"), format!("--{}", &option[..1]));
            let options = offered(&bench, &["liftsheet", name, &begun]);
            assert!(options.contains(&whole), "{name} {begun}: {options:?}");
        }
    }
    let formats = offered(&bench, &["liftsheet", "sheet", "--format", "h"]);
    assert_eq!(formats, ["html"]);
}

#[test]
fn the_name_in_help_is_not_that_of_the_file() {
    let mut named = Command::new(PROGRAM);
    #[cfg(unix)]
    std::os::unix::process::CommandExt::arg0(&mut named, "\u{1b}[31mother");
    let output = named.arg("--help").output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("Usage: liftsheet <COMMAND>"), "{said:?}");
}

#[test]
fn a_page_that_is_not_there_is_told_where_all_are_listed() {
    let outcome = Bench::new().run(["manual", "zzz"]).failed();
    outcome
        .complains("the first are backup, brief, calc, check,")
        .complains("`liftsheet manual --help` lists the topics");
}
