//! How whoever signs is known, and what the machine signs of it.

use ed25519_dalek::{Signature, VerifyingKey};
use liftsheet::chain::ZEROS;
use liftsheet::keys::fits;
use serde_json::{Value, json};

use super::shop::{Shop, join, kept};
use crate::record::desk::Desk;

#[test]
fn a_pin_signs_and_the_machine_with_it() {
    let shop = Shop::new();
    let refused = shop.desk.sign("chocks", "ash", &["--ticks"]).failed();
    kept("pin-needed", &refused);
    assert!(!shop.desk.path().exists());
    shop.chocks().done();
    shop.sign(
        &["chocks", "--by", "birch", "--act", "checked"],
        &shop.birch,
    )
    .done();
    let lines = shop.desk.lines();
    assert_eq!(lines.len(), 3);
    let key = lines[0]["key"].as_str().unwrap();
    for line in &lines {
        assert_eq!(line["how"], "pin");
        let mut bare = line.clone();
        let machine = bare.as_object_mut().unwrap().remove("machine").unwrap();
        bare.as_object_mut().unwrap().remove("seal");
        let text = bare.to_string();
        let machine = machine.as_str().unwrap();
        assert!(fits(key, text.as_bytes(), machine));
        // RFC 8032 as another library reads it.
        let public: [u8; 32] = bytes(key).try_into().unwrap();
        let signature = Signature::from_slice(&bytes(machine)).unwrap();
        let key = VerifyingKey::from_bytes(&public).unwrap();
        key.verify_strict(text.as_bytes(), &signature).unwrap();
        let other = text.replacen("pin", "PIN", 1);
        assert!(key.verify_strict(other.as_bytes(), &signature).is_err());
    }
    // Cedar has no PIN, and is known by the name.
    let noted = ["--act", "noted", "--note", "wet"];
    shop.desk.sign("chocks", "cedar", &noted).done();
    let last = shop.desk.lines().pop().unwrap();
    assert_eq!(
        (&last["how"], &last["machine"]),
        (&json!("said"), &Value::Null)
    );
    let sheet = shop.desk.call("record", &["--format", "md"]).run().code(1);
    let sheet = sheet
        .prints("Ash (invented), fitter, by PIN")
        .prints("\n- **How people were known:** by their PIN")
        .prints("it shows that this machine asked for the PIN, not who typed it");
    sheet.prints(key);
    let status = shop.desk.task("chocks");
    assert_eq!(status["checked"]["how"], "pin");
}

/// The bytes of `ed25519:` and digits of sixteen.
fn bytes(text: &str) -> Vec<u8> {
    let hex = text.rsplit(':').next().unwrap();
    let digits = hex.as_bytes().chunks(2);
    let byte = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap();
    digits.map(byte).collect()
}

#[test]
fn several_sign_by_one_table() {
    let shop = Shop::new();
    let table = "task,name,value,done_by,checked_by\nchocks,chocked,yes,ash,birch\n";
    std::fs::write(shop.path("filled.csv"), table).unwrap();
    let sign = |pins: &str| {
        let call = shop
            .desk
            .call("sign", &["--from", "filled.csv", "--pin-stdin"]);
        call.stdin(pins).run()
    };
    sign(&format!("{}\n", shop.ash)).failed();
    assert!(!shop.desk.path().exists());
    sign(&format!("{}\n{}\n", shop.ash, shop.birch)).done();
    assert_eq!(shop.desk.state("chocks"), "signed off");
    assert!(shop.desk.lines().iter().all(|line| line["how"] == "pin"));
}

#[test]
fn a_job_with_its_own_people_goes_over_by_a_supervisor_of_before() {
    let desk = Desk::new();
    desk.sign("chocks", "ash", &["--ticks"]).done();
    let people = |words: &[&str]| desk.bench.run(["people", "."].iter().chain(words).copied());
    // Ash made a workshop, and a supervisor of it.
    people(&join("ash", "Ash (invented)", "supervisor")).done();
    people(
        &[
            join("birch", "Birch (invented)", "supervisor"),
            vec!["--by", "ash"],
        ]
        .concat(),
    )
    .done();
    let change = |by: &str| desk.sign("--act=changed", by, &["--note", "people of the workshop"]);
    desk.sign("safe", "ash", &["--act", "checked"])
        .failed()
        .complains("error[job-changed]");
    change("ash").failed().complains("error[wrong-role]");
    change("birch").done();
    assert!(desk.lines()[2]["binds"]["workshop"].is_string());
    // From here on a change of roles needs no signature on the job.
    people(&[
        "--change",
        "birch",
        "--role",
        "supervisor",
        "--role",
        "fitter",
        "--by",
        "ash",
    ])
    .done();
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
}

#[test]
fn a_record_begins_behind_nothing() {
    let shop = Shop::new();
    let first = &shop.entries()[0];
    assert_eq!(
        (&first["act"], &first["before"]),
        (&json!("joined"), &json!(ZEROS))
    );
    assert!(first["key"].is_string() && first["workshop"].is_string());
}
