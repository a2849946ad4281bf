//! What cannot be forged by whoever has only the folder.

use liftsheet::keys::Home;
use serde_json::{Value, json};

use super::shop::{Shop, forge, kept};

#[test]
fn whoever_has_only_the_folder_forges_nothing() {
    let shop = Shop::new();
    shop.chocks().done();
    let whole = shop.desk.bytes();
    let broken = |why: &str, change: &dyn Fn(&mut Value)| {
        shop.desk.replace(&whole);
        forge(&shop.desk.path(), change);
        shop.record().code(4).complains(why);
        shop.sign(&["safe", "--by", "birch"], &shop.birch).code(4);
    };
    let machine = shop.desk.lines()[1]["machine"].clone();
    broken("must be", &|_| ());
    broken("signature does not fit", &|line| {
        line["machine"] = machine.clone();
    });
    broken("by somebody who has a PIN", &|line| {
        line["how"] = json!("said");
    });
    let own = Home::at(&shop.path("thief"))
        .secret_or_new("thief")
        .unwrap();
    broken("a key that it may not bring", &|line| {
        line["key"] = json!(own.public());
        let text = line.to_string();
        line["machine"] = json!(own.sign(text.as_bytes()));
    });
    // A supervisor's word for another key is whole in itself, and this machine does not have that key.
    shop.desk.replace(&whole);
    forge(&shop.desk.path(), |line| {
        line["act"] = json!("adopted");
        line["task"] = json!("");
        line["note"] = json!("mine now");
        line["person"] = json!("elm");
        line["key"] = json!(own.public());
        let text = line.to_string();
        line["machine"] = json!(own.sign(text.as_bytes()));
    });
    let refused = shop.sign(&["safe", "--by", "birch"], &shop.birch).code(1);
    kept("other-key", &refused);
    shop.record().code(1).complains("error[other-key]");
    // Elm signs here for the first time, without the PIN that was set before; the line says that it is older than that.
    shop.desk.replace(&whole);
    let elm = ["pin", ".", "elm", "--by", "birch"];
    shop.typing(&elm, &[&shop.birch]).done();
    std::thread::sleep(std::time::Duration::from_millis(1100));
    shop.sign(
        &["chocks", "--by", "birch", "--act", "checked"],
        &shop.birch,
    )
    .done();
    forge(&shop.desk.path(), |line| {
        line["person"] = json!("elm");
        line["how"] = json!("said");
        line["time"] = json!("2020-01-01T00:00:00Z");
    });
    shop.record()
        .code(4)
        .complains("entry 4 is by `elm`, who had a PIN by then");
    shop.sign(&["safe", "--by", "birch"], &shop.birch).code(4);
}

#[test]
fn nobody_gets_a_role_by_an_edited_file() {
    let shop = Shop::new();
    let path = shop.path("people.yaml");
    let text = std::fs::read_to_string(&path).unwrap();
    let edited = text.replacen("roles: [fitter]", "roles: [fitter, supervisor]", 1);
    assert_ne!(text, edited);
    std::fs::write(&path, &edited).unwrap();
    kept(
        "people-changed",
        &shop.desk.bench.run(["people", "."]).code(0),
    );
    shop.chocks().code(0).complains("warning[people-changed]");
    shop.sign(&["safe", "--by", "ash", "--act", "checked"], &shop.ash)
        .code(1)
        .complains("error[wrong-role]");
    // The record of the people itself takes no line that the machine did not sign.
    forge(&shop.path("people.record.jsonl"), |line| {
        line["act"] = json!("role");
        line["person"] = json!("ash");
        line["roles"] = json!(["supervisor"]);
        line.as_object_mut().unwrap().remove("pin");
    });
    shop.sign(&["safe", "--by", "ash"], &shop.ash)
        .code(4)
        .complains("is not signed by the machine");
}

#[test]
fn taking_files_away_brings_no_name_back() {
    let shop = Shop::new();
    shop.chocks().done();
    let checks = ["chocks", "--by", "birch", "--act", "checked"];
    let said = |code: &str| {
        let outcome = shop.desk.call("sign", &checks).run();
        assert!(matches!(outcome.code, Some(1 | 4)), "{}", outcome.stderr);
        outcome.complains(&format!("error[{code}]"));
    };
    let (pins, yaml, record) = ("people.pins.json", "people.yaml", "people.record.jsonl");
    let take = |name: &str| std::fs::rename(shop.path(name), shop.path("taken")).unwrap();
    let back = |name: &str| std::fs::rename(shop.path("taken"), shop.path(name)).unwrap();
    take(pins);
    said("pin-needed");
    kept("pin-lost", &shop.sign(&checks, &shop.birch).failed());
    back(pins);
    take(yaml);
    said("pin-needed");
    back(yaml);
    take(record);
    said("unknown-person");
    std::fs::remove_file(shop.path(yaml)).unwrap();
    said("other-key");
    back(record);
    shop.sign(&checks, &shop.birch).code(0);
}
