//! Values into the job file by the page: written as `fill` writes them, and never over what somebody else wrote meanwhile.

use super::ridge;

const PAGE: &str = "/job/ridge/survey/filler-hose";

#[test]
fn a_value_is_written_with_what_it_comes_to() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let page = device.get(PAGE).is(200);
    let was = page.input("w:filler-hose.overlap").unwrap();
    device
        .post(
            "/job/ridge/verdict",
            &[
                ("v:filler-hose.overlap", "70 mm"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(200)
        .says("reposition");
    device
        .post(
            PAGE,
            &[
                ("v:filler-hose.overlap", "70 mm"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(303);
    device.get("/job/ridge/survey").is(200).says("reposition");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    let changed = text
        .lines()
        .zip(
            crate::support::commands::demo()
                .lines()
                .map(str::to_owned)
                .collect::<Vec<_>>(),
        )
        .filter(|(now, before)| now != before)
        .count();
    assert_eq!(changed, 1);
}

#[test]
fn what_somebody_else_wrote_meanwhile_is_shown_and_not_written_over() {
    let (_bench, served) = ridge();
    let (mut one, mut other) = (served.device(), served.device());
    one.sign_in("ash", None);
    other.sign_in("birch", None);
    let was = one.get(PAGE).input("w:filler-hose.overlap").unwrap();
    let typed = |value| {
        [
            ("v:filler-hose.overlap", value),
            ("w:filler-hose.overlap", was.as_str()),
        ]
        .to_vec()
    };
    other.get(PAGE).is(200);
    other.post(PAGE, &typed("70 mm")).is(303);
    one.post(PAGE, &typed("66 mm"))
        .is(200)
        .says("somebody else has written 70 mm meanwhile, and 66 mm was typed here");
    // Whoever has seen it may still write the other.
    one.post(
        PAGE,
        &[
            ("v:filler-hose.overlap", "66 mm"),
            ("w:filler-hose.overlap", "70 mm"),
        ],
    )
    .is(303);
}

#[test]
fn what_check_would_refuse_is_not_written_and_stays_in_its_field() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    let was = device.get(PAGE).input("w:filler-hose.overlap").unwrap();
    device
        .post(
            PAGE,
            &[
                ("v:filler-hose.overlap", "7 furlongs"),
                ("w:filler-hose.overlap", &was),
            ],
        )
        .is(200)
        .says("role=\"alert\"")
        .says("value=\"7 furlongs\"");
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert_eq!(text, crate::support::commands::demo());
}

#[test]
fn a_connection_that_is_not_there_is_taken_out() {
    let (bench, served) = ridge();
    let mut device = served.device();
    device.sign_in("ash", None);
    device.get("/job/ridge/survey/snorkel-duct").is(200);
    device
        .post("/job/ridge/without", &[("connection", "snorkel-duct")])
        .is(303);
    device.get("/job/ridge/survey/snorkel-duct").is(404);
    let text = std::fs::read_to_string(bench.path().join("ridge.yaml")).unwrap();
    assert!(!text.contains("id: snorkel-duct"));
}
