//! What a record stands on: which plan holds, who may do what, and what the job file says otherwise than was signed for.
//!
//! Takes the record, what the program makes of the job now, and what is kept beside the record; gives a [`Footing`]. The plan that was
//! signed on holds until somebody signs for another. A changed job file or changed rules count at once as what falls open by them, so that
//! nothing is released that they undo; another version of the program alone opens nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::agreed::{Agreed, SignedTask};
use super::binding::{Binding, JobChange, Who};
use super::entry::Record;
use super::rests;
use super::said::{self, change};
use super::status::Status;
use crate::chain::Zone;
use crate::people::Workshop;
use crate::plan::puts_back;
use crate::report::{Code, Problem, listed, quoted};
use crate::sorted::Sorted as _;

/// What the program makes of a job now.
#[derive(Debug, Clone)]
pub struct Now {
    /// The plan.
    pub agreed: Arc<Agreed>,
    /// What would bind a record to it; its id is empty.
    pub binding: Binding,
    /// The text of the job file.
    pub job: String,
}

/// What is kept beside a record for the binding that holds.
#[derive(Debug, Clone, Default)]
pub struct KeptPlan {
    /// The plan.
    pub agreed: Option<Arc<Agreed>>,
    /// The text of the job file.
    pub job: Option<String>,
}

/// What a record stands on.
#[derive(Debug)]
pub struct Footing {
    /// The plan that tasks are judged by.
    pub agreed: Arc<Agreed>,
    /// Who may do what.
    pub people: BTreeMap<String, Who>,
    /// The workshop's time zone.
    pub zone: Zone,
    /// What binds the record; none while nothing is signed, or in one that was begun before there were bindings.
    pub binding: Option<Binding>,
    /// What the program makes of the job now; none where it makes nothing of it.
    pub now: Option<Now>,
    /// What is otherwise now than was signed for.
    pub difference: Difference,
    /// The workshop whose people sign; none where they are the job file's own, whom nothing proves.
    pub workshop: Option<Workshop>,
    /// What a supervisor must say something to before anything is signed.
    pub doubt: Option<Problem>,
    /// Whether the record's last line was cut off while it was written.
    pub torn: bool,
}

/// What is otherwise now than was signed for.
#[derive(Debug, Default)]
pub struct Difference {
    /// The vehicle's identification and the job's name.
    pub identity: Vec<JobChange>,
    /// Everything else that the job file says.
    pub changes: Vec<JobChange>,
    /// Whether people, their roles or licences are among it.
    pub people: bool,
    /// Whether the workshop's own rules are others.
    pub rules: bool,
    /// Whether the plan is another one.
    pub plan: bool,
    /// What falls open by it of what is signed, each with why.
    pub fell: BTreeMap<String, String>,
    /// What was taken apart, off or out by a task that is signed, and what the plan now puts back no more: states, each with the task.
    pub left_apart: BTreeMap<String, String>,
}

impl Difference {
    /// Whether only the program made another plan, of the same job and the same rules.
    pub fn is_of_program(&self) -> bool {
        self.plan && !self.counts()
    }

    /// Whether it is another lift than the customer agreed to: how high, which bodies, in which order.
    pub fn lift(&self) -> bool {
        let mut changes = self.changes.iter().map(|change| change.place.as_str());
        changes.any(|place| place.starts_with("lift.") || place.ends_with(".spacer"))
    }

    /// Whether something must be signed for before anything else is.
    pub fn counts(&self) -> bool {
        !self.changes.is_empty() || self.rules
    }
}

/// Works out what a record stands on; fails where neither the kept plan nor one made now is there.
pub fn footing(record: &Record, now: Option<Now>, kept: &KeptPlan) -> Result<Footing, Problem> {
    let Some((binding, _)) = record.bound() else {
        return unbound(now);
    };
    let mut difference = Difference::default();
    if let Some(now) = &now {
        compare(&mut difference, binding, (now, kept));
    }
    let same = |now: &&Now| now.agreed.digest == binding.plan;
    let made = || now.as_ref().filter(same).map(|now| &now.agreed);
    let Some(held) = kept.agreed.as_ref().or_else(made) else {
        return Err(not_kept(binding));
    };
    let agreed = match &now {
        Some(now) if difference.plan => {
            difference.fell = fallen((held, record), &now.agreed);
            difference.left_apart = left_apart(&Status::of(held, record), &now.agreed);
            if difference.counts() {
                &now.agreed
            } else {
                held
            }
        }
        _ => held,
    };
    let zone = binding.zone.as_deref().and_then(Zone::named);
    // A workshop says by its own record who may do what, and when that changed.
    let people = now.as_ref().map(|now| &now.binding);
    let people = people.filter(|now| now.workshop.is_some() && now.workshop == binding.workshop);
    Ok(Footing {
        agreed: Arc::clone(agreed),
        people: people.unwrap_or(binding).people.clone(),
        workshop: None,
        doubt: None,
        zone: zone.unwrap_or_default(),
        binding: Some(binding.clone()),
        torn: record.torn > 0,
        now,
        difference,
    })
}

fn unbound(now: Option<Now>) -> Result<Footing, Problem> {
    let Some(now) = now else {
        let message = "nothing is kept beside this record, and the job file gives no plan";
        return Err(Problem::error(Code::NotKept, message).help("correct the job file"));
    };
    let zone = now.binding.zone.as_deref().and_then(Zone::named);
    Ok(Footing {
        agreed: Arc::clone(&now.agreed),
        people: now.binding.people.clone(),
        workshop: None,
        doubt: None,
        zone: zone.unwrap_or_default(),
        binding: None,
        torn: false,
        now: Some(now),
        difference: Difference::default(),
    })
}

fn not_kept(binding: &Binding) -> Problem {
    let message = format!(
        "the plan that was signed on (`{}`) is not kept beside the record, and the job file gives another one",
        binding.plan
    );
    Problem::error(Code::NotKept, message)
        .help("fetch the folder that ends in `.kept` from where the record came from, or the job file as it was")
}

/// What is otherwise now than the binding says.
fn compare(difference: &mut Difference, binding: &Binding, (now, kept): (&Now, &KeptPlan)) {
    let pairs = [
        ("job", &binding.job, &now.binding.job),
        (
            "vehicle.identification",
            &binding.identification,
            &now.binding.identification,
        ),
    ];
    let pairs = pairs
        .into_iter()
        .filter(|(_, before, after)| before != after);
    difference.identity = pairs
        .map(|(place, before, after)| change(place, Some(before), Some(after)))
        .collect();
    if binding.kept_job != now.binding.kept_job {
        difference.changes = match &kept.job {
            Some(job) => said::changes(job, &now.job),
            // Nobody can say what it was, but that it is another file is known.
            None => vec![change(
                "the job file",
                Some(&binding.kept_job),
                Some(&now.binding.kept_job),
            )],
        };
    }
    difference.people = binding.people != now.binding.people;
    if binding.workshop != now.binding.workshop {
        let (before, after) = (&binding.workshop, &now.binding.workshop);
        let workshop = change("people.yaml", before.as_ref(), after.as_ref());
        difference.changes.push(workshop);
        difference.people = true;
    } else if binding.workshop.is_some() {
        let own = |change: &JobChange| change.place.split('.').next() == Some("people");
        difference.changes.retain(|change| !own(change));
        difference.people = false;
    }
    difference.rules = binding.rules != now.binding.rules;
    difference.plan = binding.plan != now.agreed.digest;
}

/// What falls open of what is signed when one plan takes the place of another: tasks and rows that are otherwise, and what rests on them.
fn fallen((held, record): (&Agreed, &Record), now: &Agreed) -> BTreeMap<String, String> {
    let status = Status::of(held, record);
    let mut fell = BTreeMap::new();
    let mut seeds: BTreeMap<&str, usize> = BTreeMap::new();
    for standing in status.tasks.iter().filter(|one| one.is_signed()) {
        let Some(task) = now.find(&standing.task.id) else {
            continue;
        };
        let found = otherwise(standing.task, task);
        if !found.is_empty() {
            seeds.insert(&task.id, 0);
        }
        fell.extend(found);
    }
    // What is new is still to be done, and what rests on it was done without it.
    let known = held.places();
    let new = now.tasks.iter().map(|task| task.id.as_str());
    seeds.extend(new.filter(|id| !known.contains_key(id)).map(|id| (id, 0)));
    for (id, why) in rests::fallen((&status, now), &seeds, None) {
        // All of it, though only some of its rows are otherwise.
        let rows = format!("{id}:");
        fell.retain(|known, _| !known.starts_with(&rows));
        fell.entry(id.to_owned()).or_insert(why);
    }
    fell
}

/// What is not as it stays by what is signed, and what no task of the plan of now brings there.
fn left_apart(status: &Status<'_>, now: &Agreed) -> BTreeMap<String, String> {
    let open = status.tasks.iter().filter(|one| !one.is_signed());
    let open = put_back(open.map(|one| one.task));
    let now = put_back(now.tasks.iter());
    let signed = status.tasks.iter().filter(|one| one.is_signed());
    let begun = signed.flat_map(|one| one.task.makes.keys().map(|state| (state, &one.task.id)));
    let left = begun.filter(|(state, _)| open.contains(state) && !now.contains(state));
    left.map(|(state, task)| (state.clone(), task.clone()))
        .sorted_map()
}

/// The states that tasks bring back, or on their way there.
fn put_back<'a>(tasks: impl Iterator<Item = &'a SignedTask>) -> BTreeSet<&'a String> {
    let made = tasks.flat_map(|task| &task.makes);
    let made = made.filter(|(state, step)| puts_back(state, step));
    made.map(|(state, _)| state).sorted_set()
}

/// What of a task is otherwise: the whole of it, or only some of its rows.
fn otherwise(before: &SignedTask, after: &SignedTask) -> Vec<(String, String)> {
    let changed = said::differing(&before.parts, &after.parts);
    let changed: Vec<&str> = changed.map(String::as_str).collect();
    // What else comes before it undoes nothing by itself.
    let same = before.digest == after.digest || !before.parts.is_empty();
    if same && changed.is_empty() {
        return Vec::new();
    }
    let rows: Option<Vec<&str>> = changed
        .iter()
        .map(|name| name.strip_prefix("row "))
        .collect();
    match rows {
        Some(rows) if !rows.is_empty() => rows
            .into_iter()
            .map(|row| (format!("{}:{row}", after.id), changed_words(&["limits"])))
            .collect(),
        _ => vec![(after.id.clone(), changed_words(&changed))],
    }
}

/// Which parts of a task changed: `changed: its text and its time`.
fn changed_words(parts: &[&str]) -> String {
    let named: BTreeSet<&str> = parts.iter().map(|part| part_name(part)).sorted_set();
    let named: Vec<&str> = named.into_iter().collect();
    if named.is_empty() {
        return "changed: the task".to_owned();
    }
    format!("changed: {}", listed(&named, "and"))
}

fn part_name(part: &str) -> &'static str {
    match part {
        "order" => "when or where it is done",
        "people" => "who does or signs it",
        "time" => "its time",
        "text" => "its text",
        _ => "what is written down or its limits",
    }
}

impl Footing {
    /// How the tasks stand.
    pub fn status<'a>(&'a self, record: &'a Record) -> Status<'a> {
        if self.difference.counts() {
            Status::with(&self.agreed, record, &self.difference.fell)
        } else {
            Status::of(&self.agreed, record)
        }
    }

    /// Whether the vehicle may be handed over as its tasks stand.
    pub fn released(&self, status: &Status<'_>) -> bool {
        let difference = &self.difference;
        status.released()
            && status.refused_since().next().is_none()
            && self.agreed.signable().is_ok()
            && difference.identity.is_empty()
            && !difference.counts()
            && !self.torn
            && !self.cut_short()
    }

    /// Whether lines are missing that this machine saw, or were written past it.
    pub fn cut_short(&self) -> bool {
        let doubt = self.doubt.as_ref();
        doubt.is_some_and(|doubt| doubt.code != Code::OtherKey)
    }

    /// The problem of a record that is another vehicle's, or another job's.
    pub fn other_vehicle(&self) -> Option<Problem> {
        let pairs: Vec<String> = self
            .difference
            .identity
            .iter()
            .map(|change| {
                let what = match change.place.as_str() {
                    "job" => "the job",
                    _ => "the identification",
                };
                let quoted = |text: &Option<String>| quoted(text.as_deref().unwrap_or("nothing"));
                format!(
                    "{what} is `{}` in the record and `{}` in the job file",
                    quoted(&change.before),
                    quoted(&change.after)
                )
            })
            .collect();
        if pairs.is_empty() {
            return None;
        }
        let message = format!(
            "this record is bound to another vehicle: {}",
            pairs.join("; ")
        );
        let help = "put the right job file beside it; if it is the same vehicle and only a slip of the pen was corrected, a supervisor says so: `liftsheet sign JOB --act identified --by … --note '…'`";
        Some(Problem::error(Code::OtherVehicle, message).help(help))
    }

    /// How the vehicle stands by what is signed, in short phrases, with what the plan of now puts back no more.
    pub fn stands(&self, status: &Status<'_>) -> Vec<String> {
        let mut stands = status.stands();
        let left = self.difference.left_apart.keys();
        stands.extend(left.map(|state| format!("{state}: apart, and not in the plan any more")));
        let before: Vec<&str> = status.as_before().into_iter().collect();
        if !before.is_empty() {
            stands.push(format!(
                "as before, until done again: {}",
                listed(&before, "and")
            ));
        }
        stands
    }

    /// The problem of a plan that leaves apart what was taken apart.
    pub fn left_apart(&self) -> Option<Problem> {
        let left = &self.difference.left_apart;
        if left.is_empty() {
            return None;
        }
        let named = left
            .iter()
            .map(|(state, task)| format!("{state} (`{task}`)"));
        let message = format!(
            "what is signed as taken apart, nothing in the plan of now puts back: {}",
            named.collect::<Vec<_>>().join(", ")
        );
        let help = "write `apart: yes` at the connection, and the plan puts it together and checks it; or set the job file back, and a supervisor opens the task with `--act reopened` once it is as it was";
        Some(Problem::error(Code::LeftApart, message).help(help))
    }

    /// The problem of a job file or rules that are otherwise than was signed for.
    pub fn changed(&self) -> Option<Problem> {
        if !self.difference.counts() {
            return None;
        }
        let mut said: Vec<String> = self
            .difference
            .changes
            .iter()
            .take(5)
            .map(change_words)
            .collect();
        let more = self.difference.changes.len().saturating_sub(said.len());
        if more > 0 {
            said.push(format!("and {more} more"));
        }
        said.extend(self.rules_words().map(ToOwned::to_owned));
        let message = format!("what was signed on is otherwise now: {}", said.join("; "));
        let (who, rules) = if self.is_bare() {
            let who = "give `--rules DIR` with the rules that it was signed with, to `serve` too; whoever means to leave them out gives an empty folder, and signs";
            (who, " --rules DIR")
        } else if self.difference.people {
            ("a supervisor of before signs", "")
        } else {
            ("whoever changed it signs", "")
        };
        let help = format!(
            "{who} for it: `liftsheet sign JOB --act changed --by … --note '…'{rules}`; or set it back"
        );
        Some(Problem::error(Code::JobChanged, message).help(help))
    }

    /// Whether rules were laid over what was signed, and none are now: forgotten sooner than meant.
    pub(super) fn is_bare(&self) -> bool {
        let laid = |binding: Option<&Binding>| binding.is_some_and(|one| one.rules.is_some());
        let now = self.now.as_ref().map(|now| &now.binding);
        now.is_some() && laid(self.binding.as_ref()) && !laid(now)
    }

    /// What is otherwise with the workshop's own rules.
    pub fn rules_words(&self) -> Option<&'static str> {
        let words = if self.is_bare() {
            "it was signed with rules laid over, and none are laid over now"
        } else {
            "the workshop's own rules are others"
        };
        self.difference.rules.then_some(words)
    }
}

/// A change in words: `links.hose.measured.slack was 42 mm and is 60 mm`.
pub fn change_words(change: &JobChange) -> String {
    let place = quoted(&change.place);
    match (&change.before, &change.after) {
        (Some(before), Some(after)) => {
            format!(
                "{place} was `{}` and is `{}`",
                quoted(before),
                quoted(after)
            )
        }
        (Some(before), None) => format!("{place} was `{}` and is gone", quoted(before)),
        (None, Some(after)) => format!("{place} is `{}` and was not there", quoted(after)),
        (None, None) => place,
    }
}
