//! What the record says of a task, in the words of a page: who and when, what was written down, what came back.
//!
//! Takes a task as it stands; gives plain text, not yet escaped. Times are those of the workshop's own clock.

use crate::quantity::{self, Quantity, Unit, Units};
use crate::record::{
    Act, Asked, Entered, Entry, Footing, ODOMETER, Photo, Record, Standing, Status, change_words,
    ran_behind, soon,
};

use super::words;

/// What pages of a record are made of.
#[derive(Clone, Copy)]
pub(super) struct Account<'s, 'a> {
    pub(super) footing: &'s Footing,
    pub(super) status: &'s Status<'a>,
    pub(super) record: &'a Record,
    pub(super) units: Units,
}

/// An entry that did not go straight: late, refused, put right, opened again, a remark, or no longer standing.
pub(super) struct Event<'a> {
    pub(super) entry: &'a Entry,
    pub(super) what: String,
}

impl<'a> Account<'_, 'a> {
    /// Who signed and when: `Kim, fitter, 2025-03-04 05:06 UTC`; where somebody says when it was done, that.
    pub(super) fn signature(&self, entry: &Entry) -> String {
        let (pin, wrench) = by(entry);
        let (late, km, rows) = self.beside(entry);
        let km = km.map(|km| format!(", odometer {km}")).unwrap_or_default();
        let time = self.footing.zone.print(entry.time);
        let role = self.role(entry);
        format!(
            "{}, {role}{pin}, {time}{late}{km}{wrench}{rows}",
            entry.name
        )
    }

    /// A signature in short, for a table that has many: the signer's letter, month and day, hour and minute.
    pub(super) fn mark(&self, entry: &Entry, signers: &mut Vec<String>) -> String {
        let (pin, wrench) = by(entry);
        let who = format!("{}, {}{pin}{wrench}", entry.name, self.role(entry));
        let known = signers.iter().position(|signer| *signer == who);
        let place = known.unwrap_or(signers.len());
        if known.is_none() {
            signers.push(who);
        }
        let (late, km, rows) = self.beside(entry);
        let km = km.map(|km| format!(", {km}")).unwrap_or_default();
        let time = self.footing.zone.print(entry.time);
        let time = time.get(5..16).unwrap_or(&time);
        format!("{} {time}{late}{km}{rows}", words::letter(place))
    }

    /// What is told beside a signature: that it came late, the odometer, at what it was done.
    fn beside(&self, entry: &Entry) -> (String, Option<String>, String) {
        let effective = &self.status.effective;
        let late = effective.late(entry);
        let late = late.map(|at| format!(" (late: done {})", self.footing.zone.print(at)));
        // Where it is one of the readings it stands among them.
        let km = effective.odometer(entry);
        let km = km.filter(|_| !entry.values.contains_key(ODOMETER));
        let km = km.map(|km| Quantity::exact(km, Unit::Km).print(Units::Metric));
        let rows = match entry.rows.as_slice() {
            [] => String::new(),
            rows => format!(", at {}", rows.join(", ")),
        };
        (late.unwrap_or_default(), km, rows)
    }

    /// The role at the time; marked where it is no longer that person's.
    fn role(&self, entry: &Entry) -> String {
        let who = self.footing.people.get(&entry.person);
        let still = who.is_some_and(|who| who.roles.contains(&entry.role));
        if still {
            entry.role.clone()
        } else {
            format!("{} at that time", entry.role)
        }
    }

    /// What was done before its wait was over: `31: 3 h after 12, and at least 12 h must lie between`.
    pub(super) fn too_soon(&self) -> Vec<String> {
        let pairs = soon(self.status).into_iter();
        let said = pairs.map(|pair| {
            format!(
                "{}: said to be done {} after {}, and at least {} must lie between",
                words::tasks(vec![pair.task.number]),
                words::duration(pair.minutes),
                words::tasks(vec![pair.after.number]),
                words::duration(pair.least)
            )
        });
        said.collect()
    }

    /// Who did and who measured what stands.
    pub(super) fn doers(&self, standing: &Standing<'a>) -> Vec<String> {
        let said = done_by(standing).into_iter().map(|entry| match entry.act {
            Act::Measured => format!("measured: {}", self.signature(entry)),
            _ => self.signature(entry),
        });
        said.collect()
    }

    /// What was written down, in the order in which it is asked for; the same thing at several mounts is one phrase. Limits stand with what
    /// is outside them. With it, how often yes was answered.
    pub(super) fn values(&self, standing: &Standing<'_>) -> (Vec<String>, usize) {
        let mut phrases: Vec<(String, String)> = Vec::new();
        let mut ticks = 0;
        for (_, one) in standing.task.asks() {
            let Some((value, _)) = standing.values.get(one.name.as_str()) else {
                continue;
            };
            if matches!(value, Entered::Yes(true)) {
                ticks += 1;
                continue;
            }
            let wrong = standing.wrong().any(|(asked, _)| asked.name == one.name);
            let asked = one.ask.print(self.units);
            let ask = match self.limits(one).filter(|_| wrong) {
                Some(limits) => format!("{asked} ({limits})"),
                None => asked,
            };
            let printed = value.print(self.units);
            let said = match &one.item {
                Some(item) => format!("{} {printed}", item.trim_start_matches("mount ")),
                None => printed,
            };
            phrases.push((ask, said));
        }
        let phrases = words::drawn_together(phrases.into_iter()).into_iter();
        let phrases = phrases.map(|(ask, all)| format!("{ask}: {}", all.join(", ")));
        (phrases.collect(), ticks)
    }

    /// The photographs of a task: those that stand for a value, and those that were only added.
    pub(super) fn photos(&self, standing: &Standing<'a>) -> Vec<&'a Photo> {
        let history = standing.history.iter().copied();
        let entries: Vec<&Entry> = history
            .filter(|entry| self.status.effective.counts(entry))
            .collect();
        let stands = |name: &str, entry: &Entry| {
            let value = standing.values.get(name);
            value.is_some_and(|(_, from)| from.number == entry.number)
        };
        let of_entry = |entry: &&'a Entry| {
            let entry: &'a Entry = entry;
            let values = entry.values.iter();
            let values = values.filter_map(move |(name, value)| match value {
                Entered::Photo(photo) if stands(name, entry) => Some(photo),
                _ => None,
            });
            values.chain(&entry.photos).collect::<Vec<_>>()
        };
        let mut photos: Vec<&Photo> = entries.iter().flat_map(of_entry).collect();
        photos.dedup();
        photos
    }

    fn limits(&self, asked: &Asked) -> Option<String> {
        quantity::limits(asked.unit, (asked.least, asked.most), self.units)
    }

    /// What is outside its limits: `gap 47 mm, 37 mm to 43 mm needed`.
    pub(super) fn wrong(&self, standing: &Standing<'_>) -> Vec<String> {
        let wrong = standing.wrong().map(|(asked, value)| {
            let needed = self.limits(asked).unwrap_or_else(|| "yes".to_owned());
            format!(
                "{} is {}, {needed} needed",
                asked.name,
                value.print(self.units)
            )
        });
        wrong.collect()
    }

    /// Every entry that did not go straight, in the order of the record.
    pub(super) fn events(&self) -> Vec<Event<'a>> {
        let mut events: Vec<Event<'a>> = Vec::new();
        for standing in &self.status.tasks {
            let stands = standing.done().into_iter();
            let stands = stands.chain(standing.rows.iter().filter_map(|row| row.checked));
            let stands = stands.chain(standing.values.values().map(|(_, entry)| *entry));
            let rounds = standing.rounds.iter();
            let rounds = rounds.flat_map(|(done, checked)| done.iter().chain([checked]).copied());
            let stands: Vec<u64> = stands.chain(rounds).map(|entry| entry.number).collect();
            events.extend(standing.history.iter().filter_map(|entry| {
                let lost = self.lost(entry, Some(standing));
                let what = self.what(entry, stands.contains(&entry.number), &lost)?;
                Some(Event { entry, what })
            }));
        }
        events.extend(self.status.gone.iter().map(|entry| Event {
            entry,
            what: format!(
                "{}, for a task that the plan has no longer{}",
                entry.act.word(),
                behind(": ", &self.lost(entry, None))
            ),
        }));
        let record = self.record.entries.iter();
        let record = record.filter(|entry| entry.act.is_of_record() && entry.act != Act::Bound);
        events.extend(record.map(|entry| Event {
            entry,
            what: of_record(entry),
        }));
        for number in ran_behind(self.record) {
            let entry = self
                .record
                .entries
                .iter()
                .find(|entry| entry.number == number);
            events.extend(entry.map(|entry| Event {
                entry,
                what: "the machine's clock ran behind the entry before".to_owned(),
            }));
        }
        events.sort_by_key(|event| event.entry.number);
        events
    }

    /// What of an entry does not stand, where it was not as it must be; of a measurement all of it: `torque.C1L 68 N·m (59 N·m to 65 N·m
    /// needed)`.
    fn lost(&self, entry: &Entry, standing: Option<&Standing<'_>>) -> String {
        let stands = |name: &str| {
            let value = standing.and_then(|one| one.values.get(name));
            value.is_some_and(|(_, from)| from.number == entry.number)
        };
        let lost = entry.values.iter().filter(|(name, value)| {
            !stands(name) && (entry.act == Act::Measured || !value.was_right())
        });
        let lost = lost.map(|(name, value)| {
            let needed = match value {
                _ if value.was_right() => None,
                Entered::Number(number) => {
                    let limits = (number.least, number.most);
                    quantity::limits(number.unit.parse().ok(), limits, self.units)
                }
                _ => Some("yes".to_owned()),
            };
            let needed = needed.map(|needed| format!(" ({needed} needed)"));
            let needed = needed.unwrap_or_default();
            format!("{name} {}{needed}", value.print(self.units))
        });
        lost.collect::<Vec<_>>().join(", ")
    }

    fn what(&self, entry: &Entry, stands: bool, lost: &str) -> Option<String> {
        let word = entry.act.word();
        if !self.status.effective.counts(entry) {
            return Some(format!("{word}, taken back{}", behind(": ", lost)));
        }
        let opened: Vec<&str> = entry
            .fell
            .keys()
            .chain(&entry.opens)
            .map(String::as_str)
            .collect();
        match entry.act {
            Act::Corrected => Some(corrected(entry, self.units)),
            Act::Withdrawn => Some(format!(
                "takes back entry {}",
                entry.entry.unwrap_or_default()
            )),
            Act::Rejected | Act::Reopened if !opened.is_empty() => {
                Some(format!("{word}; with it fell open {}", opened.join(", ")))
            }
            Act::Rejected | Act::Reopened | Act::Noted => Some(word.to_owned()),
            _ if !stands => Some(format!("{word}, no longer stands{}", behind(": ", lost))),
            _ => {
                let late = self.status.effective.late(entry).map(|_| ", late");
                let lost = behind("; no longer stands: ", lost);
                (late.is_some() || !lost.is_empty())
                    .then(|| format!("{word}{}{lost}", late.unwrap_or_default()))
            }
        }
    }
}

/// A text behind what leads to it; nothing where there is none.
fn behind(lead: &str, text: &str) -> String {
    if text.is_empty() {
        String::new()
    } else {
        format!("{lead}{text}")
    }
}

/// By what it was signed, and the wrench that it was done with.
fn by(entry: &Entry) -> (&'static str, String) {
    let wrench = entry.wrench.as_ref().map(|id| format!(", wrench {id}"));
    let pin = if entry.is_proved() { ", by PIN" } else { "" };
    (pin, wrench.unwrap_or_default())
}

/// The entries by which a task was done and its values measured, in the order of the record.
pub(super) fn done_by<'a>(standing: &Standing<'a>) -> Vec<&'a Entry> {
    let mut entries: Vec<&Entry> = standing.done();
    let values = standing.values.values().map(|(_, entry)| *entry);
    entries.extend(values.filter(|entry| entry.act == Act::Measured));
    in_order(entries)
}

/// The entries by which a task was signed off, one after the other where it was done row by row; none while anything of it is open.
pub(super) fn checked_by<'a>(standing: &Standing<'a>) -> Vec<&'a Entry> {
    if standing.checked().is_none() {
        return Vec::new();
    }
    in_order(standing.rows.iter().filter_map(|row| row.checked).collect())
}

fn in_order(mut entries: Vec<&Entry>) -> Vec<&Entry> {
    entries.sort_by_key(|entry| entry.number);
    entries.dedup_by_key(|entry| entry.number);
    entries
}

/// What was put right: `puts entry 12 right: torque.C1L 108 N·m`.
fn corrected(entry: &Entry, units: Units) -> String {
    let values = entry.values.iter();
    let mut said: Vec<String> = values
        .map(|(name, value)| format!("{name} {}", value.print(units)))
        .collect();
    let km = entry.odometer;
    let km = km.filter(|_| !entry.values.contains_key(ODOMETER));
    let km = km.map(|km| Quantity::exact(km, Unit::Km).print(units));
    said.extend(km.map(|km| format!("odometer {km}")));
    said.extend(entry.at.map(|at| format!("done at {at}")));
    format!(
        "puts entry {} right: {}",
        entry.entry.unwrap_or_default(),
        said.join(", ")
    )
}

/// What an entry about the whole record says: `changed: lift.spacer was 40 mm and is 45 mm; with it fell open …`.
fn of_record(entry: &Entry) -> String {
    let mut said = entry.act.word().to_owned();
    let changes: Vec<String> = entry.changes.iter().map(change_words).collect();
    if !changes.is_empty() {
        said = format!("{said}: {}", changes.join("; "));
    }
    let fell: Vec<&str> = entry.fell.keys().map(String::as_str).collect();
    if !fell.is_empty() {
        said = format!("{said}; with it fell open {}", fell.join(", "));
    }
    said
}
