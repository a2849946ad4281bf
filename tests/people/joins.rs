//! Who joins, leaves and may do what.

use super::shop::{Shop, digits, join};
use crate::support::commands::demo;
use crate::support::run::Bench;

#[test]
fn who_joins_and_leaves() {
    let bench = Bench::new();
    let people = |words: &str| bench.run(["people", "."].into_iter().chain(words.split(' ')));
    people("--join ash --name Ash --role fitter")
        .failed()
        .complains("the first who joins is a supervisor");
    assert_eq!(std::fs::read_dir(bench.path()).unwrap().count(), 0);
    people("--join birch --name Birch --role supervisor").done();
    people("--join ash --name Ash --role fitter")
        .failed()
        .complains("say who: `--by ID`");
    people("--join ash --name Ash --role fitter --by birch").done();
    people("--join elm --name Elm --role supervisor --by ash")
        .failed()
        .complains("`ash` is no supervisor");
    people("--join b1rch --name birch --role fitter --by birch")
        .failed()
        .complains("error[people-alike]");
    people("--join ../x --name X --role fitter --by birch")
        .failed()
        .complains("error[bad-id]");
    people("--leave birch --by birch")
        .failed()
        .complains("nobody would be a supervisor");
    people("--change birch --role fitter --by birch").failed();
    people("--change ash --licence brakes --licence gas --by birch")
        .done()
        .prints("ash: Ash, fitter, licensed for brakes and gas");
    people("--change ash --licence brake --role fitter --by birch")
        .failed()
        .complains("error[unknown-choice]: `brake` is no trade that a licence is for");
    people("--change ash --by birch").failed();
    people("--role fitter").failed();
    people("--change ash --role supervisor --licence none --by birch").done();
    bench.run(["pin", ".", "ash"]).done();
    people("--change birch --role fitter --by birch")
        .failed()
        .complains("error[pin-needed]");
}

#[test]
fn whoever_comes_back_has_no_old_pin() {
    let shop = Shop::new();
    let by = |words: &[&str]| {
        let head = ["people", "."]
            .iter()
            .chain(words)
            .chain(&["--by", "birch"]);
        shop.typing(&head.copied().collect::<Vec<_>>(), &[&shop.birch])
    };
    by(&["--leave", "ash"]).done();
    shop.chocks().failed().complains("error[unknown-person]");
    by(&join("ash", "Ash (invented)", "fitter"))
        .done()
        .prints("ash: Ash (invented), fitter; needs a new PIN");
    shop.chocks().failed().complains("error[pin-lost]");
    shop.desk
        .sign("chocks", "ash", &["--ticks"])
        .failed()
        .complains("error[pin-needed]");
    let pin = digits(
        &shop
            .typing(&["pin", ".", "ash", "--by", "birch"], &[&shop.birch])
            .done(),
    );
    shop.sign(&["chocks", "--by", "ash", "--ticks"], &pin)
        .done();
}

#[test]
fn the_people_of_the_folder_are_the_crew_in_the_hours_of_the_job_file() {
    let bench = Bench::new().file("job.yaml", demo());
    let people = |words: &[&str]| bench.run(["people", "."].iter().chain(words).copied());
    let crew = || {
        let outcome = bench.run(["crew", "job.yaml", "--format", "json"]).done();
        let crew: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        let people = crew["people"].as_array().unwrap().clone();
        people
            .iter()
            .map(|person| person["id"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert!(crew().contains(&"willow".to_owned()));
    people(&join("birch", "Birch (invented)", "supervisor")).done();
    let more = |person, name, role| [join(person, name, role), vec!["--by", "birch"]].concat();
    people(&more("hazel", "Hazel (invented)", "fitter")).done();
    let trade = [
        more("rowan", "Rowan (invented)", "tradesperson"),
        vec!["--licence", "refrigerant", "--licence", "brakes"],
    ];
    people(&trade.concat()).done();
    let mut all = crew();
    all.sort();
    assert_eq!(all, ["birch", "hazel", "rowan"]);
}

/// Where the folder has people of its own nobody is sent to the job file for a licence or a role.
#[test]
fn a_missing_licence_is_given_in_the_list_of_the_folder() {
    let bench = Bench::new().file("job.yaml", demo());
    let people = |words: &[&str]| bench.run(["people", "."].iter().chain(words).copied());
    people(&join("birch", "Birch (invented)", "supervisor")).done();
    let add = |person, name, role| {
        people(&[join(person, name, role), vec!["--by", "birch"]].concat()).done();
    };
    let gives = "`liftsheet people DIR --change ID --role … --by …` says all that one holds";
    let crew = || bench.run(["crew", "job.yaml"]);
    crew()
        .failed()
        .complains("error[too-few-people]")
        .complains(gives);
    add("hazel", "Hazel (invented)", "fitter");
    add("cedar", "Cedar (invented)", "apprentice");
    add("elm", "Elm (invented)", "fitter");
    crew()
        .failed()
        .complains("error[nobody-licensed]")
        .complains(
            "`liftsheet people DIR --join ID --name … --role … --licence … --by …` adds somebody",
        );
    let shop = Shop::new();
    shop.sign(&["chocks", "--by", "elm"], "")
        .failed()
        .complains("error[wrong-role]")
        .complains(gives);
    shop.sign(&["gas", "--by", "ash"], &shop.ash)
        .failed()
        .complains("error[no-licence]")
        .complains("let somebody sign who has the licence; this folder has its own list of people")
        .complains("`liftsheet people DIR --change ID --licence … --by …`");
}
