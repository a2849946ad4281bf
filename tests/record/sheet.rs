//! How the tasks stand, as an account, as a page to print, and for programs.

use super::desk::{Desk, RULES};

#[test]
fn a_job_without_a_record_is_all_open() {
    let desk = Desk::new();
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("not released: 0 of ")
        .prints("0 entries, every line as it was written")
        .prints(&format!("last digest sha256:{}", "0".repeat(64)))
        .prints("\nOpen: tasks 1 to ");
    assert!(!desk.path().exists());
}

#[test]
fn the_account_says_what_waits_and_what_is_out_of_limits() {
    let desk = Desk::new();
    desk.sign("chocks", "cedar", &["--value", "chocked=no"])
        .done();
    desk.call("record", &[])
        .run()
        .code(1)
        .prints("Out of limits (1):\n  1 chocks: chocked is no, yes needed");
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    let account = desk.call("record", &[]).run().code(1);
    account.prints("Waiting for the supervisor (1):\n  1 chocks: Cedar (invented), apprentice");
}

#[test]
fn the_signed_sheet_prints_the_digest_that_fixes_the_record() {
    let desk = Desk::new();
    desk.through_all_to("gaps-before.body");
    let there = desk.bench.path().join("job.yaml");
    let there = ["record", there.to_str().unwrap(), "-o", "signed.html"];
    let made = desk.bench.call(there.into_iter().chain(RULES)).run();
    made.code(1).prints("not released");
    desk.call("record", &["-o", "signed.md"]).run().code(1);
    let read = |name: &str| std::fs::read_to_string(desk.bench.path().join(name)).unwrap();
    let (html, markdown) = (read("signed.html"), read("signed.md"));
    let last = desk.status()["last_digest"].as_str().unwrap().to_owned();
    for text in [&html, &markdown] {
        assert!(text.contains(&last), "the digest is not printed");
        assert!(text.contains("NOT RELEASED"));
        assert!(text.contains("BODY-2R 30.5 mm"));
        assert!(text.contains("B: Birch (invented), supervisor"));
        // Which folder the record lies in is the machine's: the page is the same in another, and as long.
        let folder = desk.bench.path().to_str().unwrap();
        assert!(!text.contains(folder), "{folder} is printed");
    }
    assert!(markdown.contains("- **Open:** tasks 5 to "), "{markdown}");
    // The paper still fits after more was signed, and no longer when the record was cut short.
    let expect = ["--expect", last.as_str()];
    desk.through("bolts-loose.body", &[]);
    let after = desk.call("record", &expect).run().code(1);
    assert_eq!(after.stderr, "");
    // So does what stands there for the hold point, and less than that is not enough.
    let (_, held) = markdown
        .split_once("- **Digests at the hold points:** task 2, entry ")
        .unwrap();
    let held = held.split([' ', '\n', ';']).nth(1).unwrap();
    assert_eq!(held.len(), 16, "{held}");
    desk.call("record", &["--expect", held]).run().code(1);
    let short = ["--expect", &held[..15]];
    desk.call("record", &short)
        .run()
        .complains("digest-not-found");
    let bytes = desk.bytes();
    let text = String::from_utf8(bytes).unwrap();
    let cut: String = text.split_inclusive('\n').take(3).collect();
    desk.replace(cut);
    desk.call("record", &expect)
        .run()
        .code(4)
        .complains("error[digest-not-found]");
}

#[test]
fn names_and_remarks_are_text_everywhere() {
    let hostile = "<script>alert(1)</script> | **bold** \u{1b}[31m";
    let desk = Desk::with(|job| job["people"][0]["name"] = "<b>Ash</b> | `x`".into());
    desk.sign(
        "chocks",
        "ash",
        &["--value", "chocked=no", "--note", hostile],
    )
    .code(0);
    let reason = ["--act", "rejected", "--note", hostile];
    desk.sign("chocks", "birch", &reason).done();
    let html = desk
        .call("record", &["--format", "html"])
        .run()
        .code(1)
        .stdout;
    assert!(!html.contains("<script>") && !html.contains("<b>Ash"));
    let account = desk.call("record", &[]).run().code(1).stdout;
    assert!(!account.contains('\u{1b}') && account.contains("\\u{1b}"));
}

#[test]
fn inches_change_the_page_and_not_the_record() {
    let desk = Desk::new();
    desk.through_all_to("gaps-before.body");
    let page = |units: &str| {
        let look = ["--format", "md", "--units", units];
        desk.call("record", &look).run().code(1).stdout
    };
    assert!(page("in").contains("BODY-1L 1.22 in") && page("mm").contains("BODY-1L 31 mm"));
    let json = |units: &str| {
        let look = ["--format", "json", "--units", units];
        desk.call("record", &look).run().code(1).stdout
    };
    assert_eq!(json("in"), json("mm"));
}
