//! Writers that are cut off, folders and disks that do not take the line, tampering, and a stranger with a shell.

use std::process::{Command, Output};

use super::desk::Desk;

/// The folder's files that hold torn tails.
fn set_aside(desk: &Desk) -> Vec<Vec<u8>> {
    let entries = std::fs::read_dir(desk.bench.path()).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let torn = paths.filter(|path| path.to_string_lossy().contains(".torn-"));
    torn.map(|path| std::fs::read(path).unwrap()).collect()
}

#[test]
fn a_write_cut_off_at_any_byte_loses_nothing_that_was_signed() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    let before = desk.bytes();
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    let after = desk.bytes();
    let line = &after[before.len()..];
    let note = ["--act", "noted", "--note", "after the cut"];
    // Every length near the ends, and steps between them: each is one run of the program.
    let near = (0..4).chain(line.len() - 4..line.len());
    for kept in near.chain((5..line.len()).step_by(61)) {
        desk.replace([&before, &line[..kept]].concat());
        // A machine that is cut off while it writes did not see the line written.
        desk.bench.forget();
        let outcome = desk.sign("chocks", "cedar", &note).code(0);
        assert_eq!(
            kept > 0,
            outcome.stderr.contains("warning[record-torn]"),
            "{kept}"
        );
        let stands = desk.bytes();
        assert!(stands.starts_with(&before), "{kept}");
        assert_eq!(desk.signed().len(), 2, "{kept}");
        assert!(
            kept == 0 || set_aside(&desk).contains(&line[..kept].to_vec()),
            "{kept}"
        );
        desk.call("record", &[])
            .run()
            .code(1)
            .prints("every line as it was written");
    }
}

/// Paper goes further than what is said on the screen beside it.
#[test]
fn a_line_that_was_cut_off_is_told_on_every_page_and_releases_nothing() {
    let desk = Desk::new();
    desk.through_all_to("handed-over");
    desk.replace([&desk.bytes()[..], br#"{"act":"do"#].concat());
    desk.bench.forget();
    let account = desk.call("record", &[]).run().code(1);
    account.prints("not released: the last line was cut off");
    let json = desk.call("record", &["--format", "json"]).run().code(1);
    assert_eq!(json.json()["released"], false);
    for page in [["--format", "md"], ["--card", "--format=md"]] {
        let said = desk.call("record", &page).run().code(1).stdout;
        assert!(said.contains("was cut off while it was written"), "{said}");
        assert!(!said.contains("RELEASED** Every"), "{said}");
    }
}

#[test]
fn a_tail_that_is_no_text_is_set_aside_as_it_is() {
    let desk = Desk::new();
    desk.replace([0xff, 0, 0x7b]);
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .code(0)
        .complains("set aside");
    assert_eq!(set_aside(&desk), [[0xff, 0, 0x7b]]);
    assert_eq!(desk.signed().len(), 1);
}

/// Runs a shell in the desk's folder, with the program as `$0`.
#[cfg(unix)]
fn shell(desk: &Desk, script: &str) -> Output {
    let program = env!("CARGO_BIN_EXE_liftsheet");
    Command::new("sh")
        .args(["-c", script, program])
        .current_dir(desk.bench.path())
        .env(desk.bench.home().0, desk.bench.home().1)
        .output()
        .unwrap()
}

/// Signs a remark under a limit of the size of files, as a full disk has it; the signal is held off, so that the write fails.
#[cfg(unix)]
fn remark_within(desk: &Desk, blocks: usize) -> (bool, String) {
    let rules = "--only-own-rules --rules small --rules signing";
    let sign = format!("\"$0\" sign job.yaml chocks --by ash --act noted --note remark {rules}");
    let output = shell(
        desk,
        &format!("trap '' XFSZ; ulimit -f {blocks}; exec {sign}"),
    );
    let said = String::from_utf8(output.stderr).unwrap();
    (output.status.success(), said)
}

#[cfg(unix)]
#[test]
fn a_full_disk_is_a_clear_error_and_leaves_nothing_half_written() {
    let desk = Desk::new();
    // What is kept beside the record is there, so that it is the record that meets the limit.
    desk.sign("chocks", "ash", &["--act", "noted", "--note", "first"])
        .done();
    let mut refusals = 0;
    for _ in 0..8 {
        let before = desk.bytes();
        let (signed, said) = remark_within(&desk, 8);
        if signed {
            assert!(desk.bytes().len() > before.len());
            continue;
        }
        refusals += 1;
        assert!(
            said.contains("error[record-not-written]") && said.contains("nothing is signed"),
            "{said}"
        );
        assert_eq!(desk.bytes(), before, "something of the line was left");
        if refusals == 1 {
            crate::errors::snapshot("record-not-written", &said);
        }
    }
    assert!(refusals > 0, "the limit never held");
    assert!(
        set_aside(&desk).is_empty(),
        "each attempt left a file of nothing"
    );
    let (signed, said) = remark_within(&desk, 1000);
    assert!(signed, "{said}");
}

#[cfg(unix)]
#[test]
fn a_folder_that_nobody_may_write_in_is_a_clear_error() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    let mode = |mode| {
        std::fs::set_permissions(desk.bench.path(), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    mode(0o555);
    // Permissions do not hold for the superuser, so the program is then run as somebody else.
    let holds = std::fs::write(desk.bench.path().join("probe"), "").is_err();
    let other = "setpriv --reuid=65534 --regid=65534 --clear-groups";
    let rules = "--only-own-rules --rules small --rules signing";
    let prefix = if holds { "" } else { other };
    let sign = format!("{prefix} \"$0\" sign job.yaml chocks --by ash --value chocked=yes {rules}");
    let output = shell(&desk, &sign);
    mode(0o755);
    let said = String::from_utf8(output.stderr).unwrap();
    if !holds && (said.contains("setpriv") || output.status.code() == Some(126)) {
        // Nobody else can run the program here, and permissions do not hold for who can.
        return;
    }
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("error[record-not-written]") && said.contains("ermission denied"),
        "{said}"
    );
    assert!(!desk.path().exists());
}

/// The manual's script for verifying with a shell and `sha256sum`.
#[cfg(unix)]
fn verify_by_hand(desk: &Desk) -> Output {
    let manual = include_str!("../../templates/manual/record.md");
    let blocks = manual.split("```sh\n").skip(1);
    let mut scripts = blocks.filter_map(|rest| rest.split("```").next());
    let script = scripts.find(|block| block.contains("sha256sum")).unwrap();
    std::fs::write(desk.bench.path().join("verify.sh"), script).unwrap();
    shell(desk, "sh verify.sh job.record.jsonl")
}

#[cfg(unix)]
#[test]
fn a_stranger_verifies_the_record_with_a_shell_and_sha256sum() {
    let desk = Desk::new();
    desk.through_all_to("grille-off");
    let note = [
        "--act",
        "noted",
        "--note",
        "a \"quoted\" \"seal\":\"00\", note with \\ and é\nover two lines",
    ];
    desk.sign("chocks", "ash", &note).done();
    let whole = desk.bytes();
    let output = verify_by_hand(&desk);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}");
    let status = desk.status();
    let last = status["last_digest"].as_str().unwrap();
    assert_eq!(
        said,
        format!("10 lines, each as it was written; last digest {last}\n")
    );
    let text = String::from_utf8(whole).unwrap();
    for (line, from, to) in [(3, "birch", "ash"), (10, "quoted", "unquoted")] {
        let mut lines: Vec<String> = text.lines().map(ToOwned::to_owned).collect();
        lines[line - 1] = lines[line - 1].replacen(from, to, 1);
        desk.replace(lines.join("\n") + "\n");
        let output = verify_by_hand(&desk);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(
            !output.status.success() && said.contains(&format!("line {line} ")),
            "{said}"
        );
    }
    // What the shell itself would not see: bytes of nothing, and another end of the last line.
    let text_of = |output: &Output| String::from_utf8(output.stdout.clone()).unwrap();
    desk.replace(text.replacen("chocks", "cho\0cks", 1));
    let output = verify_by_hand(&desk);
    assert!(!output.status.success() && text_of(&output).contains("no text"));
    for end in [" ", "\r", "", "\n\u{1}"] {
        desk.replace(text.trim_end().to_owned() + end);
        let output = verify_by_hand(&desk);
        assert!(!output.status.success(), "{end:?}: {}", text_of(&output));
    }
    let without: Vec<&str> = text.lines().take(3).chain(text.lines().skip(4)).collect();
    desk.replace(without.join("\n") + "\n");
    assert!(!verify_by_hand(&desk).status.success());
}
