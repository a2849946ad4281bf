//! What a printed task asks for and what is written down of it: fields and lines of a screen.
//!
//! Takes how the pieces of a task stand; gives values for templates. Of several pieces each line says which it is of, in the words of the
//! piece's title: two hoses are plugged each by itself.

use serde_json::{Value, json};

use super::ask::Ask;
use crate::document::limits_asked;
use crate::quantity::Units;
use crate::record::{
    Act, Asked, Entered, Footing, Photo, Row, RowStanding, Standing, State, is_torque, whose,
    worked_out,
};
use crate::report::listed;
use crate::sorted::Sorted as _;

/// The pieces that somebody may do, all of them where that is nobody.
pub(super) fn own<'s, 'a>(
    footing: &Footing,
    pieces: &[&'s Standing<'a>],
    person: Option<&str>,
) -> Vec<&'s Standing<'a>> {
    let may = |one: &&&Standing<'_>| {
        person.is_none_or(|person| whose(footing, Act::Done, one).contains(&person))
    };
    pieces.iter().filter(may).copied().collect()
}

/// Who else does what is left of a printed task, a line for each piece.
pub(super) fn others(
    footing: &Footing,
    pieces: &[&Standing<'_>],
    own: &[&Standing<'_>],
) -> Vec<String> {
    let open = |one: &&&Standing<'_>| one.state() < State::Done;
    let left = pieces.iter().filter(open);
    let left = left.filter(|one| !own.iter().any(|own| own.task.id == one.task.id));
    let lines = left.map(|one| {
        let people = whose(footing, Act::Done, one).into_iter();
        let names = people.filter_map(|id| footing.people.get(id));
        let names: Vec<&str> = names.map(|who| who.name.as_str()).collect();
        let who = if names.is_empty() {
            "nobody of this job".to_owned()
        } else {
            listed(&names, "or")
        };
        format!("{}: {who}", one.task.title.print(Units::Metric))
    });
    lines.collect()
}

/// What a piece is called among others: its title, and its number where that tells them apart; nothing where there is only one.
fn title(pieces: &[&Standing<'_>], one: &Standing<'_>) -> Option<String> {
    let first = pieces.first().filter(|_| pieces.len() > 1)?;
    let title = one.task.title.print(Units::Metric);
    let other = pieces
        .iter()
        .any(|one| one.task.number != first.task.number);
    Some(if other {
        format!("{}. {title}", one.task.number)
    } else {
        title
    })
}

/// What a row is called among those of several pieces, or of one: a task, a mount.
fn called(pieces: &[&Standing<'_>], one: &Standing<'_>, row: &Row) -> String {
    let title = title(pieces, one);
    let item = row.asks.iter().find_map(|asked| asked.item.clone());
    let item = item.or_else(|| Some(row.id.clone()).filter(|id| !id.is_empty()));
    let parts: Vec<String> = title.into_iter().chain(item).collect();
    parts.join(", ")
}

/// One thing to be written down, as a field with what was typed there.
pub(super) fn field(ask: &Ask, one: &Standing<'_>, asked: &Asked) -> Value {
    let key = format!("{}:{}", one.task.id, asked.name);
    let what = asked.ask.print(Units::Metric);
    json!({
        "ask": asked.item.as_ref().map_or_else(|| what.clone(), |of| format!("{of}: {what}")),
        "kind": asked.kind,
        "unit": asked.unit.map_or("", |unit| Units::Metric.suffix(unit)),
        "limits": limits_asked(asked),
        "least": asked.least,
        "most": asked.most,
        "typed": ask.form.get(&format!("a:{key}")).unwrap_or_default(),
        "key": key,
    })
}

/// What is still to be written down of a piece.
pub(super) fn open<'a>(one: &'a Standing<'_>) -> impl Iterator<Item = &'a Asked> {
    let worked_out = worked_out(one.task);
    let asks = one.task.asks().map(|(_, asked)| asked);
    asks.filter(move |asked| {
        let written = one.values.get(asked.name.as_str());
        !written.is_some_and(|(value, _)| value.is_right(asked))
            && !worked_out.contains(&asked.name.as_str())
    })
}

/// What of that is answered with yes or no, by the names of a form.
pub(super) fn yeses(pieces: &[&Standing<'_>]) -> Vec<String> {
    let yeses = pieces.iter().flat_map(|one| {
        let yeses = open(one).filter(|asked| asked.kind == "yes");
        yeses.map(|asked| format!("{}:{}", one.task.id, asked.name))
    });
    yeses.collect()
}

/// The same of several pieces, as fields under the name of each among all that are shown.
pub(super) fn asks(ask: &Ask, (shown, asked): (&[&Standing<'_>], &[&Standing<'_>])) -> Vec<Value> {
    let groups = asked.iter().map(|one| {
        let fields: Vec<Value> = open(one).map(|asked| field(ask, one, asked)).collect();
        json!({"title": title(shown, one), "fields": fields})
    });
    groups
        .filter(|group| group["fields"] != json!([]))
        .collect()
}

/// What is written down.
pub(super) fn written(pieces: &[&Standing<'_>]) -> Vec<Value> {
    let asks = pieces.iter().flat_map(|one| {
        let asks = one.task.asks();
        asks.map(move |(row, asked)| (*one, row, asked))
    });
    let lines = asks.filter_map(|(one, row, asked)| {
        let (value, _) = one.values.get(asked.name.as_str())?;
        let photo = match value {
            Entered::Photo(Photo { sha256, .. }) => Some(sha256),
            _ => None,
        };
        let of = called(pieces, one, row);
        let what = asked.ask.print(Units::Metric);
        Some(json!({
            "key": format!("{}:{}", one.task.id, asked.name),
            "ask": if of.is_empty() { what } else { format!("{of}: {what}") },
            "value": value.print(Units::Metric),
            "photo": photo,
            "limits": limits_asked(asked),
            "wrong": !value.is_right(asked),
        }))
    });
    lines.collect()
}

/// Who did those pieces of which nothing is written down, where there are several.
pub(super) fn ticked(pieces: &[&Standing<'_>]) -> Vec<String> {
    let bare = pieces.iter().filter(|one| one.task.asks().next().is_none());
    let lines = bare.filter_map(|one| {
        let done = one.done();
        let names = done.iter().map(|entry| entry.name.as_str()).sorted_set();
        let names: Vec<&str> = names.into_iter().collect();
        let title = title(pieces, one).filter(|_| !names.is_empty())?;
        Some(format!("{title}: done by {}", listed(&names, "and")))
    });
    lines.collect()
}

/// The rows of which something is signed, each with what is written down there, by the words that the record knows them by.
pub(super) fn signed(pieces: &[&Standing<'_>]) -> Vec<Value> {
    let rows = pieces.iter().flat_map(|one| {
        let rows = one.rows.iter().map(move |row| (*one, row));
        rows.filter(|(one, row)| one.row_state(row) != State::Open)
    });
    let says = |one: &Standing<'_>, row: &RowStanding<'_>| {
        let values = row.row.asks.iter().filter_map(|asked| {
            let (value, _) = one.values.get(asked.name.as_str())?;
            let what = asked.ask.print(Units::Metric);
            Some(format!("{what}: {}", value.print(Units::Metric)))
        });
        values.collect::<Vec<_>>().join("; ")
    };
    let lines = rows.map(|(one, row)| {
        let (task, id) = (&one.task.id, &row.row.id);
        let whole = one.rows.len() == 1;
        let called = called(pieces, one, row.row);
        json!({
            "word": if whole { task.clone() } else { format!("{task}:{id}") },
            "called": if called.is_empty() { "all of the rest".to_owned() } else { called },
            "says": says(one, row),
        })
    });
    lines.collect()
}

/// Whether a torque is written down, which takes the wrench's name.
pub(super) fn wrench(pieces: &[&Standing<'_>]) -> bool {
    let mut asks = pieces.iter().flat_map(|one| one.task.asks());
    asks.any(|(_, asked)| is_torque(asked))
}
