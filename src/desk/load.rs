//! Files in: job files, folders of rules, standard input. Every problem goes to the report with the text it is about.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

use clap::Args;

use super::staff::staff;
use crate::job::{self, Job};
use crate::report::{Code, Place, Problem, Report, or_list};
use crate::rules::{self, FileUse, Files, Rules, Wanted, builtin};
use crate::sorted::Sorted as _;
use crate::source::{Source, Sources};

/// The embedded demo, below `rules/`.
pub(crate) const DEMO: &str = "demo/forestry-crew.yaml";
/// The same vehicle while it is still being surveyed.
pub(crate) const DEMO_SURVEY: &str = "demo/forestry-crew-survey.yaml";

/// Where the rules come from, as a command line gives it.
#[derive(Debug, Clone, Default, Args)]
pub(crate) struct RulesArgs {
    /// A folder of rule files to lay over the built-in ones (may be given again)
    #[arg(long, value_name = "DIR")]
    pub(crate) rules: Vec<PathBuf>,
    /// Use the folders of --rules alone, without the built-in rules
    #[arg(long, requires = "rules")]
    pub(crate) only_own_rules: bool,
}

/// What was read so far, and what was wrong with it.
#[derive(Default)]
pub(crate) struct Loaded {
    pub(crate) report: Report,
    pub(crate) sources: Sources,
    /// Job files that stand in a folder of rules: no rule is looked for in them.
    jobs: BTreeSet<PathBuf>,
    /// Which rule files the rules were read from.
    pub(crate) files: Files,
    /// What of the user's lies over ours, for whoever asks.
    pub(crate) laid_over: String,
}

impl Loaded {
    /// The text of a job file: the path given, standard input for `-`.
    pub(crate) fn source(&mut self, path: &Path) -> Option<Source> {
        let source = if path == Path::new("-") {
            Source::from_reader("<stdin>", io::stdin().lock())
        } else {
            Source::read(path)
        };
        match source {
            Ok(source) => {
                self.sources.add(source.clone());
                Some(source)
            }
            Err(problem) => {
                self.report.push(problem);
                None
            }
        }
    }

    /// A checked job, the demo for no path; none when it has a problem.
    pub(crate) fn job(&mut self, path: Option<&Path>, demo: &str) -> Option<Job> {
        let Some(path) = path else {
            let source = builtin::file(demo)?;
            self.sources.add(source.clone());
            return job::read_demo(demo, &source, &mut self.report);
        };
        let source = self.source(path)?;
        let mut job = job::read(&source, false, &mut self.report)?;
        if path != Path::new("-") {
            staff(&mut job, path);
        }
        Some(job)
    }

    /// The rule files: the built-in ones with the user's folders over them.
    pub(crate) fn rule_files(&mut self, args: &RulesArgs) -> Option<Files> {
        if args.rules.is_empty() {
            return Some(Files::builtin());
        }
        let mut own = BTreeMap::new();
        let mut settings = Vec::new();
        let before = self.report.problems.len();
        for folder in &args.rules {
            for (path, source) in self.read_folder(folder) {
                // Other files take the place of those of the same name; values lie over values.
                if path == rules::SETTINGS {
                    settings.push(source);
                } else {
                    own.insert(path, source);
                }
            }
        }
        let fine = self.report.problems.len() == before;
        let files = Files::overlaid(own, !args.only_own_rules).with_settings(settings);
        fine.then_some(files)
    }

    /// The job files in a folder and the folders below it, and whether there is nothing else in it. A folder that cannot be read holds none.
    pub(crate) fn jobs_in(&mut self, folder: &Path) -> (Vec<PathBuf>, bool) {
        let files = files_below(folder).unwrap_or_default();
        let is_job = |file: &PathBuf| {
            let yaml = file.extension().is_some_and(|ending| ending == "yaml");
            let inside = file.strip_prefix(folder).unwrap_or(file);
            // What is kept beside a record is no job of its own.
            let kept = file.parent().and_then(Path::extension);
            yaml && is_file(file)
                && kept.is_none_or(|ending| ending != "kept")
                && rules::standing(&inside.to_string_lossy()) == FileUse::Unknown
                && begins_a_job(file)
        };
        let (jobs, others): (Vec<PathBuf>, Vec<PathBuf>) = files.into_iter().partition(is_job);
        self.jobs.extend(jobs.iter().cloned());
        let only = !jobs.is_empty() && others.is_empty();
        (jobs, only)
    }

    /// The rule files of a folder by their paths in it. Whatever else is there is refused: nobody would see that it has no effect.
    fn read_folder(&mut self, folder: &Path) -> Vec<(String, Source)> {
        let files = match files_below(folder) {
            Ok(files) => files,
            Err(error) => {
                let message = format!("the rules folder cannot be read: {error}");
                let problem = Problem::error(Code::UnreadableFile, message)
                    .at(Place::at(folder))
                    .help(
                        "give a folder that holds `connections/`, `procedure/` or `settings.yaml`",
                    );
                self.report.push(problem);
                return Vec::new();
            }
        };
        let mut read = Vec::new();
        for file in files {
            let inside = file.strip_prefix(folder).unwrap_or(&file);
            let parts: Vec<String> = inside
                .iter()
                .map(|part| part.to_string_lossy().into_owned())
                .collect();
            let inside = parts.join("/");
            if self.jobs.contains(&file) {
                continue;
            }
            // A pipe or a device is never opened: reading it might not end.
            if !is_file(&file) {
                self.report.push(no_file(&file));
                continue;
            }
            let standing = rules::standing(&inside);
            if standing == FileUse::Unknown {
                self.report.push(unknown_rule_file(&file, &inside));
                continue;
            }
            match Source::read(&file) {
                Ok(source) if standing == FileUse::Rule => {
                    self.sources.add(source.clone());
                    read.push((inside, source));
                }
                Ok(source) => self.look_at_fixed(&inside, &source),
                Err(problem) => self.report.push(problem),
            }
        }
        read
    }

    /// A table of standards or a demo, which is not laid over: nothing is said of a copy of ours.
    fn look_at_fixed(&mut self, inside: &str, source: &Source) {
        let ours = builtin::file(inside);
        if ours.is_none_or(|ours| ours.text() != source.text()) {
            let message = format!("`{inside}` is not laid over ours: it would have no effect");
            let problem = Problem::error(Code::UnknownRuleFile, message)
                .at(Place::file(source.name()))
                .help("take it out of the folder; what a workshop may change are the settings");
            self.report.push(problem);
        }
    }

    pub(crate) fn rules_for(&mut self, job: &Job, files: &Files) -> Rules {
        self.rules_with(job, files, &[])
    }

    /// The rules that a job needs, and more classes beside those.
    pub(crate) fn rules_with(&mut self, job: &Job, files: &Files, more: &[&str]) -> Rules {
        let links = job.links.values().map(|link| link.class.as_str());
        let mounts = job.mounts.values().map(|mount| mount.class.as_str());
        let bridges = job.parts.values().filter_map(|part| part.class.as_deref());
        let wanted = Wanted {
            classes: links
                .chain(mounts)
                .chain(bridges)
                .chain(more.iter().copied())
                .sorted_set(),
            regions: job.region.as_deref().into_iter().sorted_set(),
        };
        self.rules(files, &wanted)
    }

    /// The rules with every class and jurisdiction.
    pub(crate) fn all_rules(&mut self, files: &Files) -> Rules {
        let (classes, regions) = (files.class_ids(), files.ids("limits"));
        let wanted = Wanted {
            classes: classes.iter().map(String::as_str).sorted_set(),
            regions: regions.iter().map(String::as_str).sorted_set(),
        };
        self.rules(files, &wanted)
    }

    fn rules(&mut self, files: &Files, wanted: &Wanted<'_>) -> Rules {
        let rules = rules::load(files, wanted, &mut self.report);
        rules::read_rest(files, wanted, &mut self.report);
        self.show_builtin();
        self.files = files.clone();
        rules
    }

    /// Adds the texts of our own files when there is a problem to show; otherwise nobody needs them.
    pub(crate) fn show_builtin(&mut self) {
        if !self.report.is_empty() {
            for (_, source) in builtin::all() {
                self.sources.add(source);
            }
        }
    }
}

/// The text of a table that somebody filled in: of the path given, of standard input for `-`.
pub(crate) fn table(path: &Path) -> Result<String, String> {
    let text = if path == Path::new("-") {
        io::read_to_string(io::stdin())
    } else {
        std::fs::read_to_string(path)
    };
    text.map_err(|error| format!("the table cannot be read: {error}"))
}

/// What is said when standard input is named more than once; nothing otherwise.
pub(crate) fn read_twice(paths: &[PathBuf]) -> Option<&'static str> {
    let named = paths.iter().filter(|path| path.as_os_str() == "-").count();
    (named > 1)
        .then_some("standard input can be read only once; give the other files by their names")
}

fn no_file(file: &Path) -> Problem {
    let message = "this is no file that can be read to its end";
    Problem::error(Code::UnknownRuleFile, message)
        .at(Place::at(file))
        .help("take it out of the folder of rules")
}

fn unknown_rule_file(file: &Path, inside: &str) -> Problem {
    let meant = format!(
        "{}.yaml",
        inside.rsplit_once('.').map_or(inside, |(stem, _)| stem)
    );
    let (message, help) = if rules::standing(&meant) == FileUse::Rule {
        (
            "no rule is read from a file with this ending",
            format!("name it `{meant}`"),
        )
    } else {
        (
            "no rule is read from a file of this name in this folder",
            format!(
                "rule files end in `.yaml` and stand as `settings.yaml` or `states.yaml`, or in {}; a job file is named by itself",
                or_list(&rules::FOLDERS.map(|folder| format!("{folder}/")))
            ),
        )
    };
    Problem::error(Code::UnknownRuleFile, message)
        .at(Place::at(file))
        .help(help)
}

/// Whether a file has what every job file has and no rule file: a vehicle to be lifted.
pub(crate) fn begins_a_job(file: &Path) -> bool {
    let source = Source::read(file);
    source.is_ok_and(|source| {
        let has = |key: &str| source.text().lines().any(|line| line.starts_with(key));
        has("vehicle:") || has("lift:")
    })
}

/// Whether something is a file that can be read to its end.
fn is_file(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|data| data.is_file())
}

/// Whatever is in a folder and the folders below it and is no folder, sorted; without what the system hides.
fn files_below(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder)? {
            let entry = entry?;
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            // Links are not followed, so a link to a folder above cannot make this go round.
            if entry.file_type()?.is_dir() {
                folders.push(entry.path());
            } else {
                files.push(entry.path());
            }
        }
    }
    files.sort();
    Ok(files)
}
