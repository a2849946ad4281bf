//! The rules: connection classes, the procedure, settings; domain knowledge as data.
//!
//! Takes the embedded rule files and, laid over them, the files of the user's folders; gives checked [`Rules`] with the
//! classes that were asked for. Which classes a job needs is the caller's question; what they mean for a vehicle is
//! left to `assess` and `plan`.

mod behind;
pub mod builtin;
mod check;
pub(crate) mod counts;
pub mod expression;
pub(crate) mod facts;
pub(crate) mod like;
mod model;
pub mod names;
mod over;
mod part;
pub mod pattern;
mod reads;
pub(crate) mod sharing;
mod stamp;
mod trades;
mod words;
pub(crate) mod written;

use std::collections::{BTreeMap, BTreeSet};

pub use model::{Address, Answer, Class, Measurement, SpanRole};
pub(crate) use model::{
    Branch, Check, ClassId, Course, Limit, Need, Per, ProcedureTask, Region, Release, Setting,
    Slots, StateRun, Wait,
};
pub use words::{Area, Verdict};
pub(crate) use words::{Moment, Of, Spot, Stage};

pub(crate) use like::HELPERS as SHARING_KEYS;
pub(crate) use sharing::at_origins;

pub(crate) use over::{DECIDED, LaidOver};
pub use part::Size;
pub(crate) use part::{COUNTED, CUSTOMER_GROUPS, PartKind};

pub(crate) use reads::root;
pub use trades::TRADES;
pub(crate) use trades::{WORKSHOP, licences, unknown_trade};

use crate::embedded;
use crate::report::{Report, did_you_mean, or_list, unknown_help};
use crate::sha256;
use crate::source::{self, Source};

/// Rule files by their path below the rules folder (`connections/gear-lever.yaml`), before anything is read.
#[derive(Debug, Clone, Default)]
pub struct Files {
    /// Whether the embedded rule set lies under the user's files.
    with_builtin: bool,
    /// The user's files.
    own: BTreeMap<String, Source>,
    /// The user's settings, each over those before it.
    settings: Vec<Source>,
}

/// The file of settings, below the rules folder.
pub(crate) const SETTINGS: &str = "settings.yaml";
/// The file of the states of the vehicle, below the rules folder.
pub(crate) const STATES: &str = "states.yaml";

impl Files {
    /// The embedded rule set alone.
    pub fn builtin() -> Self {
        Self {
            with_builtin: true,
            ..Self::default()
        }
    }

    /// The user's files, over the embedded rule set or in its place.
    pub fn overlaid(mut own: BTreeMap<String, Source>, with_builtin: bool) -> Self {
        let settings = own.remove(SETTINGS);
        Self {
            with_builtin,
            own,
            settings: settings.into_iter().collect(),
        }
    }

    /// The same files, with more settings over theirs.
    #[must_use]
    pub(crate) fn with_settings(mut self, more: impl IntoIterator<Item = Source>) -> Self {
        self.settings.extend(more);
        self
    }

    /// SHA-256 over all that is in effect: ours, where they lie under, and each of the user's files with its path.
    pub(crate) fn digest(&self) -> String {
        let mut hash = sha256::Written::new();
        let ours = if self.with_builtin {
            embedded::digest()
        } else {
            ""
        };
        hash.add(ours.as_bytes());
        if self.own().next().is_none() {
            return ours.to_owned();
        }
        for (path, source) in self.own() {
            // Lengths first, so that no other files can give the same bytes.
            for text in [path, source.text()] {
                hash.add(&text.len().to_le_bytes());
                hash.add(text.as_bytes());
            }
        }
        format!("sha256:{}", hash.digest())
    }

    /// The user's own files.
    pub(crate) fn own(&self) -> impl Iterator<Item = (&str, &Source)> {
        let settings = self.settings.iter().map(|source| (SETTINGS, source));
        self.own
            .iter()
            .map(|(path, source)| (path.as_str(), source))
            .chain(settings)
    }

    /// Whether the file of that path is the user's.
    pub(crate) fn is_own(&self, path: &str) -> bool {
        self.own.contains_key(path)
    }

    /// The path below the rules folder of a file as it is shown to the user.
    pub(crate) fn path_of(&self, shown: &str) -> Option<String> {
        let mut own = self.own.iter();
        let own = own.find(|(_, source)| source.name() == shown);
        own.map(|(path, _)| path.clone())
            .or_else(|| builtin::path_of(shown).map(str::to_owned))
    }

    /// The file of that path, and whether it is one of ours.
    pub(crate) fn get(&self, path: &str) -> Option<(Source, bool)> {
        if let Some(own) = self.own.get(path) {
            return Some((own.clone(), false));
        }
        self.ours(path).map(|source| (source, true))
    }

    /// Our file of that path, where the embedded rule set lies under the user's.
    fn ours(&self, path: &str) -> Option<Source> {
        self.with_builtin.then(|| builtin::file(path)).flatten()
    }

    /// The paths of the files in a folder, without those in folders below it, sorted.
    pub(crate) fn list(&self, folder: &str) -> Vec<String> {
        let prefix = format!("{folder}/");
        let own = self.own.keys().filter(|path| {
            let name = path.strip_prefix(&prefix);
            name.is_some_and(|name| !name.contains('/'))
        });
        let mut paths: Vec<String> = own.cloned().collect();
        if self.with_builtin {
            paths.extend(builtin::list(folder));
        }
        paths.sort();
        paths.dedup();
        paths
    }

    /// How many rule files there are.
    pub(crate) fn count(&self) -> usize {
        let folders = FOLDERS.into_iter().chain([sharing::SHARED, pattern::LISTS]);
        let folders = folders.map(|folder| self.list(folder).len());
        let settings = self.settings.len() + usize::from(self.with_builtin);
        let states = usize::from(self.get(STATES).is_some());
        folders.sum::<usize>() + settings + states
    }

    /// The ids of every connection class there is a file for.
    pub fn class_ids(&self) -> Vec<ClassId> {
        self.ids("connections")
    }

    /// The ids of the files in a folder: their names without `.yaml`.
    pub fn ids(&self, folder: &str) -> Vec<String> {
        let files = self.list(folder);
        let id = |path: &String| {
            let (_, name) = path.rsplit_once('/')?;
            Some(name.strip_suffix(".yaml")?.to_owned())
        };
        files.iter().filter_map(id).collect()
    }
}

/// The folders that rule files stand in.
pub const FOLDERS: [&str; 5] = [
    "connections",
    "consequences",
    "limits",
    "patterns",
    "procedure",
];

/// What becomes of a file below a rules folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FileUse {
    /// It is read as a rule.
    Rule,
    /// A table of standards, or a demo: ours hold.
    Fixed,
    /// No rule is read from such a path.
    Unknown,
}

/// What becomes of a file of this path below a rules folder.
pub(crate) fn standing(path: &str) -> FileUse {
    let (folder, name) = path.rsplit_once('/').unwrap_or(("", path));
    let shared = [sharing::SHARED, pattern::LISTS].contains(&folder);
    let rule = [SETTINGS, STATES].contains(&path) || shared || FOLDERS.contains(&folder);
    match name.strip_suffix(".yaml") {
        Some(stem) if rule && !stem.is_empty() => FileUse::Rule,
        Some(_) if ["demo", "tables"].contains(&folder) => FileUse::Fixed,
        _ => FileUse::Unknown,
    }
}

/// Checked rules.
#[derive(Debug, Default)]
pub struct Rules {
    /// The classes that were asked for, by id.
    pub classes: BTreeMap<ClassId, Class>,
    /// The ids of every class there is, loaded or not.
    pub known_classes: Vec<ClassId>,
    /// What the lift brings about beside the connections, by id: in the shape of classes.
    pub consequences: BTreeMap<ClassId, Class>,
    /// The jurisdictions that were asked for, by id.
    pub regions: BTreeMap<String, Region>,
    /// The ids of every jurisdiction there is, loaded or not.
    pub known_regions: Vec<String>,
    /// SHA-256 over the rule files in effect.
    pub digest: String,
    /// The user's files by their paths below the rules folder, in order.
    pub files_laid_over: Vec<String>,
    /// Values of settings that a user's file lays over ours, in order.
    pub laid_over: Vec<LaidOver>,
    /// Settings of the whole rule set by name.
    pub settings: BTreeMap<String, Setting>,
    /// The settings' file as shown to the user.
    pub settings_file: String,
    /// The states of the vehicle by name.
    pub states: BTreeMap<String, Course>,
    /// What holds while something is looked at, for each moment of the check.
    pub moments: BTreeMap<String, BTreeMap<String, String>>,
    /// What is brought about again for work of a stage that is done again, by the stage.
    pub again: BTreeMap<String, BTreeMap<String, String>>,
    /// The place from which a connection's tasks are done, for each stage and moment at which that is not where it is.
    pub done_from: BTreeMap<String, Spot>,
    /// What several tasks that are printed as one are called, for each stage and for a `walk-round`.
    pub together: BTreeMap<String, String>,
    /// Where each procedure file comes from, by the file as shown to the user.
    pub procedure_sources: BTreeMap<String, Vec<written::Source>>,
    /// The whole-vehicle tasks, in the order of their files.
    pub procedure: Vec<ProcedureTask>,
}

impl Rules {
    /// What to say of a class that there is no file for: the nearest name, or those that share a word with it.
    pub(crate) fn unknown_class_help(&self, given: &str) -> String {
        let known = || self.known_classes.iter().map(String::as_str);
        if did_you_mean(given, known()).is_some() || known().count() <= FEW {
            return unknown_help(given, known());
        }
        let lower = given.to_lowercase();
        let shared = |id: &str| {
            let words = lower.split(|c: char| !c.is_alphanumeric());
            let own: Vec<&str> = id.split('-').collect();
            words
                .filter(|word| word.len() > 2 && own.contains(word))
                .count()
        };
        let most = known().map(shared).max().unwrap_or_default();
        let near: Vec<&str> = known().filter(|id| shared(id) == most).collect();
        if most == 0 || near.len() > FEW {
            return "`liftsheet classes` lists them, `liftsheet classes WORD` finds one".to_owned();
        }
        format!("did you mean {}?", or_list(&near))
    }

    /// The tasks of our file of that path that the rules no longer have.
    pub(crate) fn no_longer_done(&self, path: &str) -> Vec<String> {
        let folder = path.starts_with("procedure/");
        let ours = folder.then(|| embedded::values::<written::Procedure>(path));
        let ours = ours.flatten().into_iter().flat_map(|ours| ours.tasks);
        let done = |id: &str| self.procedure.iter().any(|task| task.id == id);
        ours.map(|task| task.id).filter(|id| !done(id)).collect()
    }
}

/// So many names can be taken in at a glance.
const FEW: usize = 8;

/// What a caller needs of the rule set.
#[derive(Debug, Default)]
pub struct Wanted<'a> {
    /// Connection classes, by id.
    pub classes: BTreeSet<&'a str>,
    /// Jurisdictions, by id.
    pub regions: BTreeSet<&'a str>,
}

impl<'a> Wanted<'a> {
    /// These connection classes and no jurisdiction.
    pub fn classes(ids: impl IntoIterator<Item = &'a str>) -> Self {
        Self {
            classes: ids.into_iter().collect(),
            regions: BTreeSet::new(),
        }
    }
}

/// Reads the settings, the procedure, the consequences, and what is wanted; unknown ids among that are skipped.
/// Every problem goes to the report.
pub fn load(files: &Files, wanted: &Wanted<'_>, report: &mut Report) -> Rules {
    let mut rules = Rules {
        known_classes: files.class_ids(),
        known_regions: files.ids("limits"),
        digest: files.digest(),
        files_laid_over: files.own().map(|(path, _)| path.to_owned()).collect(),
        ..Rules::default()
    };
    let said = settings(files, &mut rules, report);
    states(files, &mut rules, report);
    procedure(files, &mut rules, report);
    let consequences = files.ids("consequences");
    let consequences = consequences.iter().map(|id| ("consequences", id.as_str()));
    let classes = wanted.classes.iter().map(|id| ("connections", *id));
    for (folder, id) in consequences.chain(classes) {
        if let Some(mut class) = class(files, folder, id, report) {
            let laid = over::class(id, &mut class.settings, &said, report);
            rules.laid_over.extend(laid);
            let of_folder = match folder {
                "connections" => &mut rules.classes,
                _ => &mut rules.consequences,
            };
            of_folder.insert(id.to_owned(), class);
        }
    }
    for id in &wanted.regions {
        let region = region(files, id, report);
        let region = region.map(|region| ((*id).to_owned(), region));
        rules.regions.extend(region);
    }
    rules
}

/// Reads what a job does not need of the user's own files too, so that what is wrong with them is not found one day too late.
pub(crate) fn read_rest(files: &Files, wanted: &Wanted<'_>, report: &mut Report) {
    for (path, _) in files.own() {
        let Some((folder, name)) = path.rsplit_once('/') else {
            continue;
        };
        let id = name.strip_suffix(".yaml").unwrap_or(name);
        match folder {
            "connections" if !wanted.classes.contains(id) => {
                class(files, folder, id, report);
            }
            "limits" if !wanted.regions.contains(id) => {
                region(files, id, report);
            }
            "patterns" => {
                pattern::load(files, id, report);
            }
            sharing::SHARED => sharing::read_shared(path, files, report),
            _ => {}
        }
    }
}

/// The states of the vehicle; a workshop's file is laid over ours state by state and moment by moment. What it does not say of a state
/// (whom it shuts out, when it is not left, what takes its time) stays.
fn states(files: &Files, rules: &mut Rules, report: &mut Report) {
    let path = STATES;
    let ours = files.ours(path);
    let own = files.own.get(path).cloned();
    let mut known: BTreeMap<String, written::State> = BTreeMap::new();
    for (source, ours) in [(ours, true), (own, false)] {
        if let Some(source) = source
            && let Some(mut written) = read::<written::States>(path, (&source, ours), report)
        {
            for (name, state) in &mut written.states {
                if let Some(known) = known.get(name) {
                    state.keep(known);
                }
            }
            known.extend(written.states.clone());
            let file = source.name().to_owned();
            rules.procedure_sources.insert(file, written.source.clone());
            for (moment, holds) in &written.moments {
                let of = rules.moments.entry(moment.clone()).or_default();
                of.extend(holds.clone());
            }
            for (stage, holds) in &written.again {
                let of = rules.again.entry(stage.clone()).or_default();
                of.extend(holds.clone());
            }
            rules.together.extend(written.together.clone());
            let mut fields = check::Fields::new(source.name(), ours, report);
            let (states, from) = check::states(written, &mut fields);
            rules.done_from.extend(from);
            rules.states.extend(states);
        }
    }
}

fn region(files: &Files, id: &str, report: &mut Report) -> Option<Region> {
    let path = format!("limits/{id}.yaml");
    let (source, ours) = files.get(&path)?;
    let written = read(&path, (&source, ours), report)?;
    let mut fields = check::Fields::new(source.name(), ours, report);
    Some(check::limits(written, source.name(), &mut fields))
}

/// Our settings with the user's laid over; gives what is said of the settings of classes.
fn settings(files: &Files, rules: &mut Rules, report: &mut Report) -> over::OfClasses {
    let mut said = over::OfClasses::new();
    let ours = files.ours(SETTINGS).map(|source| (source, true));
    let own = files.settings.iter().map(|source| (source.clone(), false));
    for (source, ours) in ours.into_iter().chain(own) {
        if let Some(written) = read(SETTINGS, (&source, ours), report) {
            source.name().clone_into(&mut rules.settings_file);
            for (class, named) in over::settings(files, &source, written, rules, report) {
                said.entry(class).or_default().extend(named);
            }
        }
    }
    said
}

fn procedure(files: &Files, rules: &mut Rules, report: &mut Report) {
    for path in files.list("procedure") {
        if let Some((source, ours)) = files.get(&path)
            && let Some(written) = read::<written::Procedure>(&path, (&source, ours), report)
        {
            let file = source.name().to_owned();
            rules.procedure_sources.insert(file, written.source.clone());
            let mut fields = check::Fields::new(source.name(), ours, report);
            let tasks = check::procedure(written, &mut fields);
            rules.procedure.extend(tasks);
        }
    }
}

/// One class of a folder; none when there is no such file, or when it has a problem.
fn class(files: &Files, folder: &str, id: &str, report: &mut Report) -> Option<Class> {
    let path = format!("{folder}/{id}.yaml");
    let (source, ours) = files.get(&path)?;
    let written = sharing::read(&path, &(source.clone(), ours), files, report)?;
    check::class(id, written, (source.name(), ours), report)
}

/// Reads one rule file: the user's from its text with every check, ours as it was read when the program was built. Only where that
/// fails is our text looked at too, to say where the mistake is.
fn read<T: serde::de::DeserializeOwned>(
    path: &str,
    (source, ours): (&Source, bool),
    report: &mut Report,
) -> Option<T> {
    let values = ours.then(|| embedded::values(path)).flatten();
    values.or_else(|| {
        let read = source::read(source, report).map(|read| read.value);
        let mut counted = Report::new();
        counts::check(path, source, &mut counted);
        let too_many = counted.has_errors();
        report.extend(counted.problems);
        read.filter(|_| !too_many)
    })
}

#[cfg(test)]
pub(crate) fn shipped() -> Rules {
    let files = Files::overlaid(BTreeMap::new(), true);
    let classes = files.class_ids();
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: BTreeSet::new(),
    };
    load(&files, &wanted, &mut Report::new())
}
