//! What was written down wrong: it stands until somebody answers it by its name, and stays visible when it is replaced.

use super::desk::Desk;

const CHECKED: [&str; 2] = ["--act", "checked"];

/// Whoever ticks what is left has not looked at what somebody found wrong.
#[test]
fn a_no_is_not_ticked_away() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--value", "chocked=no"])
        .done();
    for by in ["ash", "cedar"] {
        desk.sign("chocks", by, &["--ticks"])
            .done()
            .prints("`chocked` of `chocks` is no, and a yes is needed");
    }
    desk.sign("chocks", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .failed()
        .complains("error[outside-limits]: `chocked` of `chocks` is no, and a yes is needed");
    desk.sign("chocks", "ash", &["--value", "chocked=yes"])
        .done();
    desk.sign("chocks", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .done();
    assert!(
        desk.signed().last().unwrap()["values"]
            .as_object()
            .unwrap()
            .is_empty()
    );
    // What nobody answered, the check may answer.
    desk.through_all_from("safe", "handed-over");
    desk.sign("retorque", "ash", &["--odometer", "45310"])
        .done();
    desk.sign("retorque", "birch", &[&CHECKED[..], &["--ticks"]].concat())
        .done();
}
