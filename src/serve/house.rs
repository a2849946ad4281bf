//! The workshop as the page sees it: which jobs there are, how each stands, read anew when a file has changed, and who may stay signed in.
//!
//! Takes a folder or one job file; gives jobs by the names that stand in addresses. Nothing that a device sends is ever a path: it is looked
//! up among the jobs that are there.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};
use std::time::SystemTime;

use super::Opened;
use tokio::sync::Semaphore;

use super::known::Known;
use super::sessions::{Sessions, locked};
use crate::desk::load::{Loaded, RulesArgs, begins_a_job};
use crate::desk::open::{self, Desk};
use crate::people::{self, Proof, Workshop};
use crate::record::{self, Act, Footing, Standing, State, Status, turns, whose};
use crate::report::{Code, Problem};
use crate::rules::Files;
use crate::sorted::Sorted as _;
use crate::whole;

/// The files, and who is signed in.
pub(super) struct House {
    /// A folder of job files, or one of them.
    pub(super) place: PathBuf,
    pub(super) rules: RulesArgs,
    pub(super) files: Files,
    pub(super) sessions: Mutex<Sessions>,
    /// Whether devices reach it by TLS.
    pub(super) secure: bool,
    /// The names under which it may be asked for, and its port.
    pub(super) names: (Vec<String>, u16),
    /// Where other devices find it, and its certificate.
    pub(super) opened: Opened,
    /// As many requests as are answered at once; the others wait their turn.
    pub(super) seats: Semaphore,
    /// The record of the people as it was when somebody last looked whose PIN still counts.
    pub(super) people: Mutex<Stamp>,
    boards: Mutex<BTreeMap<PathBuf, Arc<Board>>>,
}

/// A job with its record, as they are now.
pub(super) struct Board {
    pub(super) id: String,
    pub(super) path: PathBuf,
    pub(super) known: Arc<Known>,
    /// The record; nothing where there is neither a plan nor a record.
    pub(super) desk: Result<Desk, Problem>,
    turns: OnceLock<Vec<Next>>,
    stamps: [Stamp; 3],
}

/// What somebody may sign next, as long as the record does not change.
pub(super) struct Next {
    /// The number of the printed task.
    pub(super) number: usize,
    pub(super) task: String,
    pub(super) act: Act,
    /// Who may sign it, by id.
    pub(super) people: Vec<String>,
    /// The number whose check signs it off with others, once all of them are done, and who may check all of them, by id.
    pub(super) together: Option<(usize, Vec<String>)>,
}

impl Board {
    /// Everything that may be signed now, in the order of work.
    pub(super) fn turns(&self) -> &[Next] {
        self.turns.get_or_init(|| {
            let Ok(desk) = &self.desk else {
                return Vec::new();
            };
            let status = desk.footing.status(&desk.record);
            let turns = turns(&desk.footing, &status, None).into_iter();
            let mut by_number = BTreeMap::new();
            let mut all = |number| {
                let known = by_number.entry(number);
                known
                    .or_insert_with(|| together(&desk.footing, &status, number))
                    .clone()
            };
            let owned = turns.map(|turn| Next {
                number: turn.standing.task.number,
                task: turn.standing.task.id.clone(),
                act: turn.act,
                people: turn.people.into_iter().map(ToOwned::to_owned).collect(),
                together: (turn.act == Act::Checked)
                    .then(|| all(turn.standing.task.signed_with))
                    .flatten(),
            });
            owned.collect()
        })
    }
}

/// Who may check all at once that one number signs off, by id; nothing before all of it is done but for a hold point, which nobody does.
fn together(footing: &Footing, status: &Status<'_>, number: usize) -> Option<(usize, Vec<String>)> {
    let all = status.signed_off_with(number).into_iter();
    let open: Vec<&Standing<'_>> = all.filter(|one| one.state() != State::Checked).collect();
    let done = |one: &&Standing<'_>| one.state() == State::Done || one.task.hold.is_some();
    if !open.iter().all(done) {
        return None;
    }
    let may = open.iter().map(|one| whose(footing, Act::Checked, one));
    let people = may.reduce(|mut all, own| {
        all.retain(|id| own.contains(id));
        all
    });
    let people = people.unwrap_or_default().into_iter();
    Some((number, people.map(ToOwned::to_owned).collect()))
}

/// With the largest forms at all of them the memory stays below half a gigabyte.
const SEATS: usize = 12;

/// What tells that a file has changed.
pub(super) type Stamp = Option<(u64, SystemTime, u64)>;

pub(super) fn stamp(path: &Path) -> Stamp {
    let data = std::fs::metadata(path).ok()?;
    Some((data.len(), data.modified().ok()?, inode(&data)))
}

#[cfg(unix)]
fn inode(data: &std::fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(data)
}

#[cfg(not(unix))]
fn inode(_: &std::fs::Metadata) -> u64 {
    0
}

impl House {
    /// Opens a folder, or the place of one job file; fails when the rules have mistakes.
    pub(super) fn open(
        (place, rules): (PathBuf, RulesArgs),
        secure: bool,
        names: (Vec<String>, u16),
        opened: Opened,
    ) -> Result<Self, Loaded> {
        let mut loaded = Loaded::default();
        let Some(files) = loaded.rule_files(&rules) else {
            return Err(loaded);
        };
        Ok(Self {
            place,
            rules,
            files,
            sessions: Mutex::default(),
            secure,
            names,
            opened,
            seats: Semaphore::new(SEATS),
            people: Mutex::default(),
            boards: Mutex::default(),
        })
    }

    /// Whether it may be asked for under a name. A number is no name that another site could lead here.
    pub(super) fn answers_to(&self, host: &str) -> bool {
        let (names, own) = &self.names;
        let usual = if self.secure { 443 } else { 80 };
        let (name, port) = match host.rsplit_once(':') {
            Some((name, port)) if !port.ends_with(']') => (name, port.parse().ok()),
            _ => (host, Some(usual)),
        };
        let bare = name.trim_start_matches('[').trim_end_matches(']');
        let known = names.iter().any(|own| own.eq_ignore_ascii_case(name));
        port == Some(*own) && (known || bare.parse::<IpAddr>().is_ok())
    }

    /// The workshop's people, where it has some written down.
    pub(super) fn workshop(&self) -> Option<Workshop> {
        Workshop::open(self.folder()).ok().flatten()
    }

    /// Signs out whoever has left, whose PIN is another one now, and who has one now and did not give it, as soon as the record of the people says so.
    pub(super) fn sign_out(&self) {
        let now = stamp(&people::record_of(self.folder()));
        let mut before = locked(&self.people);
        if *before == now {
            return;
        }
        *before = now;
        let workshop = self.workshop();
        let stays = |person: &str, proof: Option<&Proof>| match (&workshop, proof) {
            (Some(workshop), Some(proof)) => proof.holds(workshop),
            (Some(workshop), None) => {
                let member = workshop.people.get(person);
                member.is_some_and(|member| !member.has_pin)
            }
            (None, proof) => proof.is_none(),
        };
        locked(&self.sessions).sign_out(stays);
    }

    /// The folder in which the jobs stand.
    pub(super) fn folder(&self) -> &Path {
        if self.place.is_dir() {
            return &self.place;
        }
        whole::folder(&self.place)
    }

    /// The job files by their names in addresses.
    pub(super) fn jobs(&self) -> BTreeMap<String, PathBuf> {
        let mut jobs = self.files();
        jobs.retain(|_, path| self.is_job(path));
        jobs
    }

    /// Whether a file is a job's; one that was opened before was looked at then.
    fn is_job(&self, path: &Path) -> bool {
        locked(&self.boards).contains_key(path) || begins_a_job(path)
    }

    fn files(&self) -> BTreeMap<String, PathBuf> {
        let named = |path: PathBuf| {
            let name = path.file_stem()?.to_str()?.to_owned();
            Some((name, path))
        };
        if !self.place.is_dir() {
            return named(self.place.clone()).into_iter().collect();
        }
        let entries = std::fs::read_dir(&self.place).into_iter().flatten();
        let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
        let yaml = paths.filter(|path| {
            let yaml = path.extension().is_some_and(|ending| ending == "yaml");
            yaml && path.is_file()
        });
        yaml.filter_map(named).sorted_map()
    }

    /// A job by its name.
    pub(super) fn board(&self, id: &str) -> Result<Arc<Board>, Problem> {
        let path = self.files().remove(id);
        let Some(path) = path.filter(|path| self.is_job(path)) else {
            let problem = Problem::error(Code::UnreadableFile, "there is no such job here");
            return Err(problem.help("go back to the jobs"));
        };
        let record = record::place_of(&path)?;
        let people = people::record_of(self.folder());
        let stamps = [&path, &record, &people].map(|path| stamp(path));
        let before = locked(&self.boards).get(&path).cloned();
        if let Some(board) = before.as_ref().filter(|board| board.stamps == stamps) {
            return Ok(Arc::clone(board));
        }
        let known =
            before.filter(|board| board.stamps[0] == stamps[0] && board.stamps[2] == stamps[2]);
        let known = match known {
            Some(board) => Arc::clone(&board.known),
            None => Arc::new(Known::read(&path, &self.files)?),
        };
        let now = known.made.as_ref().map(|made| made.now.clone());
        let desk = open::with(&path, now, |_| {});
        let board = Arc::new(Board {
            id: id.to_owned(),
            path: path.clone(),
            known,
            desk,
            turns: OnceLock::new(),
            stamps,
        });
        locked(&self.boards).insert(path, Arc::clone(&board));
        Ok(board)
    }
}
