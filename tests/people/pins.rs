//! PINs that are set, changed, reset, forgotten and guessed.

use liftsheet::keys::{Home, wait_after};
use serde_json::{Value, json};

use super::shop::{Shop, digits, kept};
use crate::errors::snapshot;
use crate::support::run::Bench;

#[test]
fn wrong_pins_wait_and_are_written_down() {
    let shop = Shop::new();
    let wrong = |person: &str| {
        shop.sign(&["chocks", "--by", person, "--ticks"], "not this")
            .failed()
    };
    kept("wrong-pin", &wrong("ash"));
    wrong("ash").complains("give it again");
    wrong("ash").complains("the next one waits 10 seconds");
    let waits = wrong("ash").complains("error[pin-wait]");
    // However busy the machine is meanwhile.
    let said = (1..10).fold(waits.stderr, |said, left| {
        said.replace(&format!("waits {left} seconds"), "waits 10 seconds")
    });
    snapshot("pin-wait", &said);
    // Not even the right one, and nobody else waits for it.
    shop.chocks().failed().complains("error[pin-wait]");
    shop.sign(
        &["safe", "--by", "birch", "--act", "noted", "--note", "dry"],
        &shop.birch,
    )
    .done();
    let failed = shop.entries().into_iter();
    let failed = failed.filter(|entry| entry["act"] == "failed");
    let at: Vec<Value> = failed
        .map(|entry| json!([entry["person"], entry["device"]]))
        .collect();
    assert_eq!(at, vec![json!(["ash", "this machine"]); 3]);
}

#[test]
fn waits_double_up_to_a_quarter_of_an_hour_for_each_person_and_device() {
    let folder = tempfile::TempDir::new().unwrap();
    let try_at = |who: (&str, &str), now: i64| {
        // Each time anew, as after a restart.
        Home::at(folder.path()).attempt("w", who, now).unwrap()
    };
    let ash = ("ash", "tablet 1");
    let mut now = 1_000_000;
    let mut waited = Vec::new();
    for times in 1..=12 {
        match try_at(ash, now) {
            Ok(counted) => assert_eq!(counted, times),
            Err(left) => {
                assert_eq!(try_at(ash, now + left - 1), Err(1));
                now += left;
                waited.push(left);
                assert_eq!(try_at(ash, now), Ok(times));
            }
        }
    }
    assert_eq!(waited, [10, 20, 40, 80, 160, 320, 640, 900, 900]);
    assert_eq!(wait_after(12), 900);
    assert_eq!(try_at(("ash", "this machine"), now), Ok(1));
    assert_eq!(try_at(("birch", "tablet 1"), now), Ok(1));
    // A clock that is put back makes no longer wait of it.
    assert_eq!(try_at(ash, now - 500_000), Err(900));
    assert_eq!(try_at(ash, now - 500_000 + 900), Ok(13));
    Home::at(folder.path()).was_right("w", ash).unwrap();
    assert_eq!(try_at(ash, now), Ok(1));
}

/// A PIN that somebody else set is seen by whoever looks at the list.
#[test]
fn the_list_says_who_set_each_pin_last() {
    let shop = Shop::new();
    let list = || shop.desk.bench.run(["people", "."]).done().stdout;
    let of = |person: &str| {
        let all = list();
        let line = all
            .lines()
            .find(|line| line.starts_with(&format!("{person}:")));
        line.unwrap().to_owned()
    };
    assert!(
        of("ash").contains(" UTC by birch; here since"),
        "{}",
        of("ash")
    );
    assert!(of("birch").contains("has a PIN, set 20"), "{}", of("birch"));
    assert!(!of("birch").contains(" by "), "{}", of("birch"));
    assert!(of("elm").contains("no PIN yet"), "{}", of("elm"));
    shop.typing(&["pin", ".", "ash"], &[&shop.ash]).done();
    assert!(
        of("ash").contains(" UTC by ash; here since"),
        "{}",
        of("ash")
    );
}

#[test]
fn an_apprentice_takes_nobody_s_pin() {
    let shop = Shop::new();
    let cedar = ["pin", ".", "cedar", "--by", "birch"];
    let cedar = digits(&shop.typing(&cedar, &[&shop.birch]).done());
    // The only supervisor who can prove it is who forgot it: a fitter serves, who learns does not.
    let reset = |by: &str, pin: &str| shop.typing(&["pin", ".", "birch", "--by", by], &[pin]);
    reset("cedar", &cedar)
        .failed()
        .complains("error[wrong-role]: an apprentice sets nobody else's PIN");
    reset("ash", &shop.ash).done();
}

#[test]
fn who_may_set_a_pin() {
    let shop = Shop::new();
    let pin = |more: &[&str], typed: &[&str]| {
        let words: Vec<&str> = ["pin", "."].iter().chain(more).copied().collect();
        shop.typing(&words, typed)
    };
    // Not without somebody's, not by a fitter where there is a supervisor, not by a wrong one.
    pin(&["elm"], &[]).failed().complains("error[pin-needed]");
    pin(&["birch", "--by", "ash"], &[&shop.ash]).code(0);
    pin(&["elm", "--by", "ash"], &[&shop.ash])
        .failed()
        .complains("let a supervisor do it: `--by birch`");
    pin(&["ash"], &["000 000"])
        .failed()
        .complains("error[wrong-pin]");
    let weak = pin(&["ash", "--passphrase"], &[&shop.ash, "Password1"]).failed();
    kept("weak-pin", &weak);
    pin(&["ash", "--passphrase"], &[&shop.ash, "moth-lamp-tin"]).done();
    shop.chocks().failed().complains("error[wrong-pin]");
    shop.sign(&["chocks", "--by", "ash", "--ticks"], "moth-lamp-tin")
        .done();
    // What the reset left of the old one serves nobody.
    shop.sign(
        &["chocks", "--by", "birch", "--act", "checked"],
        &shop.birch,
    )
    .failed()
    .complains("error[wrong-pin]");
    let acts: Vec<Value> = shop
        .entries()
        .into_iter()
        .map(|entry| entry["act"].clone())
        .collect();
    assert_eq!(acts.iter().filter(|act| *act == "pin-reset").count(), 1);
    // A hash that is put in the place of another is none.
    let pin_of = |person: &str| {
        let entries = shop.entries().into_iter().rev();
        let mut pins =
            entries.filter(|entry| entry["person"] == person && entry["pin"].is_string());
        pins.next().unwrap()["pin"].as_str().unwrap().to_owned()
    };
    let text = std::fs::read_to_string(shop.path("people.pins.json")).unwrap();
    let mut pins: Value = serde_json::from_str(&text).unwrap();
    pins[pin_of("birch")] = pins[pin_of("ash")].clone();
    std::fs::write(shop.path("people.pins.json"), pins.to_string()).unwrap();
    let lost = ["ash", "birch"].map(|by| {
        let words = ["safe", "--by", by, "--act", "noted", "--note", "x"];
        let outcome = shop.sign(&words, "moth-lamp-tin");
        outcome.stderr.contains("error[pin-lost]")
    });
    assert_eq!(lost.iter().filter(|lost| **lost).count(), 1);
}

#[cfg(unix)]
#[test]
fn a_passphrase_is_not_shown_while_it_is_typed() {
    use crate::support::terminal::sent;
    let bench = Bench::new();
    let words = [
        "people",
        ".",
        "--join",
        "birch",
        "--name",
        "Birch",
        "--role",
        "supervisor",
    ];
    bench.run(words).done();
    let typed = "moth-lamp-tin\nmoth-lamp-tin\n";
    let (shown, code) = sent(
        (&bench, 80),
        &["pin", ".", "birch", "--passphrase"],
        &[],
        typed,
    );
    assert_eq!(code, Some(0), "{shown}");
    assert!(shown.contains("the new passphrase again"), "{shown}");
    assert!(shown.contains("The passphrase of birch is set"), "{shown}");
    let after = shown.rfind("passphrase again").unwrap();
    assert!(!shown[after..].contains("moth"), "{shown}");
}
