//! Who sits at this device: signing in, somebody else taking over, and leaving.

use std::time::Instant;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::House;
use super::known::said;
use super::sessions::locked;
use super::{look, people};

/// `GET` and `POST /sign-in`
pub(super) fn page(house: &House, ask: &Ask) -> Answer {
    let faults = if ask.sent {
        match enter(house, ask) {
            Ok(answer) => return answer,
            Err(faults) => faults,
        }
    } else {
        Vec::new()
    };
    let all = people::all(house);
    let who = ask.form.get("who").or_else(|| ask.query.get("who"));
    let who = who.and_then(|id| Some((id, all.get(id)?)));
    let list = all
        .iter()
        .map(|(id, (who, _))| json!({"id": id, "name": who.name}));
    let values = json!({
        "title": "Sign in",
        "faults": faults,
        "people": list.collect::<Vec<Value>>(),
        "who": who.map(|(id, (who, said))| json!({"id": id, "name": who.name, "pin": !said})),
        "shared": ask.session.shared,
    });
    look::page("sign-in.html", (house, ask), values)
}

fn enter(house: &House, ask: &Ask) -> Result<Answer, Vec<String>> {
    let who = ask.form.get("who").unwrap_or_default();
    let all = people::all(house);
    let Some((known, _)) = all.get(who) else {
        return Err(vec!["Nobody of that name works here.".to_owned()]);
    };
    let proof = people::proved(house, ask, who).map_err(|problem| vec![said(&problem)])?;
    if proof.is_none() && house.secure {
        return Err(vec![
            "Without a PIN nobody signs in from the network.".to_owned(),
        ]);
    }
    let shared = ask.form.get("shared").is_some();
    let mut sessions = locked(&house.sessions);
    let begun = sessions.sign_in(
        &ask.session.token,
        (who, &known.name, proof),
        shared,
        Instant::now(),
    );
    match begun {
        Some(session) => Ok(Answer::In(session.token, house.secure)),
        None => Err(vec!["The system gives no random numbers.".to_owned()]),
    }
}

/// `POST /leave`
pub(super) fn leave(house: &House, ask: &Ask) -> Answer {
    locked(&house.sessions).end(&ask.session.token);
    Answer::Go("/".to_owned())
}
