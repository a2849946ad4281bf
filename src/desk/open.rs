//! What signing and the record's pages open before anything else: the record, the job beside it, and what is kept of what was signed.
//!
//! Takes the job file's place; gives everything on the table, or problems in the report.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::file;
use super::load::{Loaded, RulesArgs};
use super::trust::Trust;
use crate::VERSION;
use crate::document;
use crate::job;
use crate::people::Workshop;
use crate::pipeline::{self, Made};
use crate::quantity::Units;
use crate::record::{self, Agreed, Binding, Folder, Footing, KeptPlan, Lost, Now, Record};
use crate::report::{Code, Place, Problem};
use crate::rules::{Files, Rules};
use crate::sorted::Sorted as _;
use crate::source::Source;

/// A record, and everything that its pages and signatures are made from.
pub(crate) struct Desk {
    /// Where the record stands.
    pub(crate) path: PathBuf,
    /// What is kept beside it.
    pub(crate) folder: Folder,
    pub(crate) record: Record,
    /// What it stands on.
    pub(crate) footing: Footing,
    /// What should be kept beside it and is not.
    pub(crate) lost: Vec<Problem>,
    kept: KeptPlan,
    tell: Tell,
}

/// How somebody is told that others are waited for.
pub(crate) type Tell = fn(&str);

/// What is said when a job has no place beside which a record could stand.
pub(crate) const NO_PLACE: &str = "a record stands beside its job file; give the file's name";

/// Opens the record of a job; nothing where what is wrong went to the report.
pub(crate) fn open(
    job: &Path,
    (rules, tell): (&RulesArgs, Tell),
    loaded: &mut Loaded,
) -> Option<Desk> {
    opened(job, (rules, tell), loaded).unwrap_or_else(|problem| {
        loaded.report.push(problem);
        None
    })
}

fn opened(
    job: &Path,
    (rules, tell): (&RulesArgs, Tell),
    loaded: &mut Loaded,
) -> Result<Option<Desk>, Problem> {
    let path = record::place_of(job)?;
    let record = read(&path, tell)?;
    let Some(source) = loaded.source(job) else {
        return Ok(None);
    };
    let trust = Trust::of(&path, &record, false)?;
    let (kept, lost) = kept(&Folder::beside(&path), &record);
    let now = now(&source, rules, loaded, held(&record, &kept));
    if now.is_none() && record.bound().is_none() {
        return Ok(None);
    }
    let warnings = trust.warnings.clone();
    let desk = laid_out((path, record), now, (kept, lost), (trust, tell))?;
    loaded.report.extend(warnings);
    Ok(Some(desk))
}

fn read(path: &Path, tell: Tell) -> Result<Record, Problem> {
    let record = record::read(path, &waiting(path, tell));
    record.map_err(|error| error.problem(path))
}

/// Opens the record of a job of which it is known what the program makes of it, or need not be.
pub(crate) fn with(job: &Path, now: Option<Now>, tell: Tell) -> Result<Desk, Problem> {
    let path = record::place_of(job)?;
    let record = read(&path, tell)?;
    let trust = Trust::of(&path, &record, false)?;
    let kept = kept(&Folder::beside(&path), &record);
    laid_out((path, record), now, kept, (trust, tell))
}

fn laid_out(
    (path, record): (PathBuf, Record),
    mut now: Option<Now>,
    (kept, lost): (KeptPlan, Vec<Problem>),
    (trust, tell): (Trust, Tell),
) -> Result<Desk, Problem> {
    in_workshop(now.as_mut(), trust.workshop.as_ref());
    let footing = record::footing(&record, now, &kept);
    let mut footing = footing.map_err(|problem| problem.at(Place::at(&path)))?;
    (footing.workshop, footing.doubt) = (trust.workshop, trust.doubt);
    Ok(Desk {
        folder: Folder::beside(&path),
        path,
        record,
        footing,
        lost,
        kept,
        tell,
    })
}

impl Desk {
    /// What a record stands on that others may have added to since it was opened.
    pub(crate) fn footing_of(&self, record: &Record) -> Result<Footing, Problem> {
        let binding = |record: &Record| record.bound().map(|(binding, _)| binding.clone());
        let other = binding(record) != binding(&self.record);
        let other = other.then(|| kept(&self.folder, record).0);
        let trust = Trust::of(&self.path, record, true)?;
        let mut now = self.footing.now.clone();
        in_workshop(now.as_mut(), trust.workshop.as_ref());
        let mut footing = record::footing(record, now, other.as_ref().unwrap_or(&self.kept))?;
        (footing.workshop, footing.doubt) = (trust.workshop, trust.doubt);
        Ok(footing)
    }

    /// What falls open of what is signed, a sentence each.
    pub(crate) fn open_again(&self) -> Vec<String> {
        fallen(&self.footing)
    }

    /// What more would fall open by another job file, and why nobody could sign for it; nothing where that would not have to be signed for.
    pub(crate) fn would_open(
        &self,
        job: &Source,
        files: &Files,
    ) -> Option<(Vec<String>, Option<Problem>)> {
        self.record.bound()?;
        let mut now = made_of(job, files, &mut Loaded::default(), None)?;
        in_workshop(Some(&mut now), self.footing.workshop.as_ref());
        let then = record::footing(&self.record, Some(now), &self.kept).ok()?;
        let before = self.open_again();
        let mut more = fallen(&then);
        more.retain(|one| !before.contains(one));
        let left = then.left_apart();
        let left = left.filter(|_| self.footing.difference.left_apart.is_empty());
        let counts = then.difference.counts() && !self.footing.difference.counts();
        (counts || left.is_some() || !more.is_empty()).then_some((more, left))
    }

    /// Tells, once, that somebody else has the record.
    pub(super) fn waiting(&self) -> impl Fn() + use<> {
        waiting(&self.path, self.tell)
    }

    /// Keeps the plan and the job file as they are now, before a line names them.
    pub(crate) fn keep(&self) -> std::io::Result<()> {
        let Some(now) = &self.footing.now else {
            return Ok(());
        };
        let bound = self.record.bound().filter(|_| self.lost.is_empty());
        let are_kept = bound.is_some_and(|(binding, _)| {
            let kept = (&binding.kept_plan, &binding.kept_job);
            kept == (&now.binding.kept_plan, &now.binding.kept_job)
        });
        if !are_kept {
            self.folder.keep(now.agreed.text().as_bytes(), "json")?;
            self.folder.keep(now.job.as_bytes(), "yaml")?;
        }
        Ok(())
    }
}

/// What binds a record, and the plan that is kept for it.
type Held<'h> = Option<(&'h Binding, &'h Arc<Agreed>)>;

fn held<'h>(record: &'h Record, kept: &'h KeptPlan) -> Held<'h> {
    let (binding, _) = record.bound()?;
    Some((binding, kept.agreed.as_ref()?))
}

/// What the program makes of a job now; nothing when the job or the rules are wrong.
fn now(source: &Source, rules: &RulesArgs, loaded: &mut Loaded, held: Held<'_>) -> Option<Now> {
    let files = loaded.rule_files(rules)?;
    let now = made_of(source, &files, loaded, held);
    loaded.show_builtin();
    now
}

fn made_of(source: &Source, files: &Files, loaded: &mut Loaded, held: Held<'_>) -> Option<Now> {
    let job = job::read(source, false, &mut loaded.report)?;
    let rules = loaded.rules_for(&job, files);
    pipeline::run(&job, &rules, &mut loaded.report, |made| {
        now_of(&made, (source, files), held)
    })
}

/// What falls open of what is signed, by the numbers and titles of the tasks: `12. Filler neck, rod: its limits changed`.
fn fallen(footing: &Footing) -> Vec<String> {
    let fell = footing.difference.fell.iter().map(|(id, why)| {
        let (task, row) = id.split_once(':').unwrap_or((id, ""));
        let found = footing.agreed.find(task);
        let number = found.map(|task| task.number);
        let title = found.map_or_else(
            || task.to_owned(),
            |task| format!("{}. {}", task.number, task.title.print(Units::Metric)),
        );
        let row = if row.is_empty() {
            String::new()
        } else {
            format!(", {row}")
        };
        (number, format!("{title}{row} ({why})"))
    });
    let fell: BTreeSet<(Option<usize>, String)> = fell.sorted_set();
    fell.into_iter().map(|(_, told)| told).collect()
}

/// What a record of a job stands on now. The plan that is held is taken where this program made it of the same job by the same rules.
pub(crate) fn now_of(made: &Made<'_>, (source, files): (&Source, &Files), held: Held<'_>) -> Now {
    let (job, rules) = (made.job, made.rules);
    let kept_job = record::sha256(source.text().as_bytes());
    let same = |(binding, plan): &(&Binding, &Arc<Agreed>)| {
        binding.program == VERSION
            && binding.kept_job == kept_job
            && binding.rule_set.as_ref() == Some(&rules.digest)
            && plan.digest == made.digest()
    };
    let (kept_plan, agreed) = if let Some((binding, plan)) = held.filter(same) {
        (binding.kept_plan.clone(), Arc::clone(plan))
    } else {
        let agreed = Agreed::of(made, document::to_keep(made));
        let kept = record::sha256(agreed.text().as_bytes());
        (kept, Arc::new(agreed))
    };
    let binding = Binding {
        id: String::new(),
        identification: job.vehicle.identification.clone().unwrap_or_default(),
        job: job.title.clone(),
        vehicle: job.vehicle.name.clone(),
        people: record::people(job),
        workshop: None,
        plan: agreed.digest.clone(),
        kept_plan,
        kept_job,
        rules: own_rules(files),
        rule_set: Some(rules.digest.clone()),
        laid_over: laid_over(rules),
        program: VERSION.to_owned(),
        zone: job.zone.clone().or_else(|| zone_of_folder(source)),
    };
    Now {
        agreed,
        binding,
        job: source.text().to_owned(),
    }
}

/// Where a folder has people of its own, only they sign.
fn in_workshop(now: Option<&mut Now>, workshop: Option<&Workshop>) {
    if let (Some(now), Some(workshop)) = (now, workshop) {
        now.binding.people = record::people_of(workshop);
        now.binding.workshop = Some(workshop.id.clone());
    }
}

/// The workshop's own files and values, in words.
fn laid_over(rules: &Rules) -> Vec<String> {
    let values = rules.laid_over.iter();
    let values = values.map(|laid| laid.print(Units::Metric));
    rules
        .files_laid_over
        .iter()
        .cloned()
        .chain(values)
        .collect()
}

/// The zone that a workshop writes down once for a folder of jobs, in a file called `zone`.
fn zone_of_folder(source: &Source) -> Option<String> {
    let text = std::fs::read_to_string(Path::new(source.name()).with_file_name("zone")).ok()?;
    let name = text.trim().to_owned();
    record::Zone::named(&name).map(|_| name)
}

/// The digest of the workshop's own rules; none where only the program's hold.
fn own_rules(files: &Files) -> Option<String> {
    let mut all = String::new();
    for (path, source) in files.own() {
        for text in [path, source.text()] {
            all.push_str(text);
            all.push('\0');
        }
    }
    (!all.is_empty()).then(|| format!("sha256:{}", record::sha256(all.as_bytes())))
}

/// What is kept for the binding that holds, and what of it is lost.
fn kept(folder: &Folder, record: &Record) -> (KeptPlan, Vec<Problem>) {
    let mut lost = Vec::new();
    let Some((binding, _)) = record.bound() else {
        return (KeptPlan::default(), lost);
    };
    let mut read = |digest: &str, ending: &str| {
        let bytes = folder
            .read(digest, ending)
            .map_err(|why| lost.push(not_kept(&why)))
            .ok()?;
        String::from_utf8(bytes).ok()
    };
    let plan = read(&binding.kept_plan, "json");
    let job = read(&binding.kept_job, "yaml");
    let kept = KeptPlan {
        agreed: plan.as_deref().and_then(Agreed::read).map(Arc::new),
        job,
    };
    (kept, lost)
}

/// The problem of something kept that cannot be had.
pub(crate) fn not_kept(lost: &Lost) -> Problem {
    Problem::error(Code::NotKept, lost.to_string()).help(
        "fetch the folder that ends in `.kept` from where the record came from, or from a copy",
    )
}

fn waiting(path: &Path, tell: Tell) -> impl Fn() + use<> {
    let shown = file::shown(path);
    move || {
        let text = format!(
            "liftsheet: somebody else has {shown} open; waiting for them, for half a minute at most\n"
        );
        tell(&text);
    }
}

/// The problem of a record that ends in a torn line, where it does.
pub(crate) fn torn(path: &Path, record: &Record) -> Option<Problem> {
    let message = format!(
        "the last line was cut off: {} bytes stand behind the last whole line",
        record.torn
    );
    let problem = Problem::warning(Code::RecordTorn, message)
        .at(Place::at(path))
        .help(
            "the next signature sets it aside in a file of its own; whatever it said is not signed",
        );
    (record.torn > 0).then_some(problem)
}
