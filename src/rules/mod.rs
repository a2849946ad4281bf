//! The rules: connection classes, the procedure, settings; domain knowledge as data.
//!
//! Takes the embedded rule files and, laid over them, the files of the user's folders; gives checked [`Rules`] with the
//! classes that were asked for. Which classes a job needs is the caller's question; what they mean for a vehicle is
//! left to `assess` and `plan`.

pub mod builtin;
mod check;
pub mod counts;
pub mod expression;
pub mod facts;
pub(crate) mod like;
pub mod lint;
mod model;
pub mod names;
mod part;
pub mod pattern;
mod scope;
pub(crate) mod sharing;
mod trades;
pub mod written;

use std::collections::{BTreeMap, BTreeSet};

pub use model::{
    Answer, Area, Branch, Check, Class, ClassId, ClassText, Limit, Measurement, Per, ProcedureTask,
    Region, Release, Setting, Stage, Verdict,
};

pub(crate) use like::HELPERS as SHARING_KEYS;
pub use sharing::at_origins;

pub use part::{COUNTED, CUSTOMER_GROUPS, PartKind, Size};
pub use trades::{TRADES, licences};

use crate::embedded;
use crate::report::{Report, unknown_help};
use crate::source::{self, Source};

/// Rule files by their path below the rules folder (`connections/gear-lever.yaml`), before anything is read.
#[derive(Debug, Clone, Default)]
pub struct Files {
    /// Whether the embedded rule set lies under the user's files.
    with_builtin: bool,
    /// The user's files.
    own: BTreeMap<String, Source>,
}

impl Files {
    /// The embedded rule set alone.
    #[must_use]
    pub fn builtin() -> Self {
        Self {
            with_builtin: true,
            own: BTreeMap::new(),
        }
    }

    /// The user's files, over the embedded rule set or in its place.
    #[must_use]
    pub fn overlaid(own: BTreeMap<String, Source>, with_builtin: bool) -> Self {
        Self { with_builtin, own }
    }

    /// The user's own files.
    pub fn own(&self) -> impl Iterator<Item = (&str, &Source)> {
        self.own
            .iter()
            .map(|(path, source)| (path.as_str(), source))
    }

    /// Whether the file of that path is the user's.
    #[must_use]
    pub fn is_own(&self, path: &str) -> bool {
        self.own.contains_key(path)
    }

    /// The path below the rules folder of a file as it is shown to the user.
    #[must_use]
    pub fn path_of(&self, shown: &str) -> Option<String> {
        let mut own = self.own.iter();
        let own = own.find(|(_, source)| source.name() == shown);
        own.map(|(path, _)| path.clone())
            .or_else(|| builtin::path_of(shown).map(str::to_owned))
    }

    /// The file of that path, and whether it is one of ours.
    #[must_use]
    pub fn get(&self, path: &str) -> Option<(Source, bool)> {
        if let Some(own) = self.own.get(path) {
            return Some((own.clone(), false));
        }
        let ours = self.with_builtin.then(|| builtin::file(path))?;
        ours.map(|source| (source, true))
    }

    /// The paths of the files in a folder, without those in folders below it, sorted.
    #[must_use]
    pub fn list(&self, folder: &str) -> Vec<String> {
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
    #[must_use]
    pub fn count(&self) -> usize {
        const FOLDERS: [&str; 7] = [
            "connections",
            sharing::SHARED,
            "consequences",
            "limits",
            "patterns",
            "patterns/lists",
            "procedure",
        ];
        let folders = FOLDERS.map(|folder| self.list(folder).len());
        let settings = usize::from(self.get("settings.yaml").is_some());
        folders.iter().sum::<usize>() + settings
    }

    /// The ids of every connection class there is a file for.
    #[must_use]
    pub fn class_ids(&self) -> Vec<ClassId> {
        self.ids("connections")
    }

    /// The ids of the files in a folder: their names without `.yaml`.
    #[must_use]
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

/// Whether a rule is read from a file of this path below the rules folder. The demos and the standards' tables stand there too, and are
/// no rules to overlay.
#[must_use]
pub fn is_known_path(path: &str) -> bool {
    let folder = path.split_once('/').map_or("", |(folder, _)| folder);
    path == "settings.yaml" || ["demo", "tables"].contains(&folder) || FOLDERS.contains(&folder)
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
    /// Settings of the whole rule set by name.
    pub settings: BTreeMap<String, Setting>,
    /// The settings' file as shown to the user.
    pub settings_file: String,
    /// Where each procedure file comes from, by the file as shown to the user.
    pub procedure_sources: BTreeMap<String, Vec<written::Source>>,
    /// The whole-vehicle tasks, in the order of their files.
    pub procedure: Vec<ProcedureTask>,
}

impl Rules {
    /// What to say of a class that there is no file for.
    #[must_use]
    pub fn unknown_class_help(&self, given: &str) -> String {
        unknown_help(given, self.known_classes.iter().map(String::as_str))
    }
}

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
    #[must_use]
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
        ..Rules::default()
    };
    settings(files, &mut rules, report);
    procedure(files, &mut rules, report);
    for id in files.ids("consequences") {
        let class = class(files, "consequences", &id, report);
        rules.consequences.extend(class.map(|class| (id, class)));
    }
    for id in &wanted.classes {
        let class = class(files, "connections", id, report);
        rules
            .classes
            .extend(class.map(|class| ((*id).to_owned(), class)));
    }
    for id in &wanted.regions {
        let path = format!("limits/{id}.yaml");
        if let Some((source, ours)) = files.get(&path)
            && let Some(written) = read(&path, (&source, ours), report)
        {
            let region = check::limits(id, written, (source.name(), ours), report);
            rules.regions.insert((*id).to_owned(), region);
        }
    }
    rules
}

fn settings(files: &Files, rules: &mut Rules, report: &mut Report) {
    let path = "settings.yaml";
    if let Some((source, ours)) = files.get(path)
        && let Some(written) = read(path, (&source, ours), report)
    {
        rules.settings = check::settings(&written, (source.name(), ours), report);
        source.name().clone_into(&mut rules.settings_file);
    }
}

fn procedure(files: &Files, rules: &mut Rules, report: &mut Report) {
    for path in files.list("procedure") {
        if let Some((source, ours)) = files.get(&path)
            && let Some(written) = read::<written::Procedure>(&path, (&source, ours), report)
        {
            let file = source.name().to_owned();
            rules.procedure_sources.insert(file, written.source.clone());
            let tasks = check::procedure(written, (source.name(), ours), report);
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
