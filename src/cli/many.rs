//! Many jobs into one folder, on all cores.
//!
//! Takes the jobs of one call; gives a page for each, the same as one by one. A bad job is reported and the others are done. What is
//! said of the jobs comes in the order in which they were named, never mixed; two that would become one file are refused first.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

use super::page::{self, Request};
use super::progress::Progress;
use super::{End, output};
use crate::desk::load::read_twice;
use crate::report::numbered;

/// What a worker has to say of the job of that number.
type Said = (usize, End, String);

/// Makes a document of each job, into a folder.
pub(super) fn run(request: &Request<'_>, jobs: &[PathBuf]) -> Result<End, String> {
    let Some(folder) = request.folder() else {
        return Err("several jobs need a folder to go to, such as `-o out/`".to_owned());
    };
    let twice = read_twice(jobs).map(ToOwned::to_owned);
    if let Some(message) = twice.or_else(|| same_file(request, folder, jobs)) {
        return Err(message);
    }
    page::prepare_folder(request, jobs)?;
    let (ends, end) = all(request, jobs);
    let bad = ends
        .iter()
        .filter(|end| [End::Open, End::Failed].contains(end))
        .count();
    output::complain(&format!(
        "{} of {} written\n",
        jobs.len() - bad,
        numbered(jobs.len(), "job")
    ));
    Ok(end)
}

/// Says which two jobs would be written to the same file, if any.
fn same_file(request: &Request<'_>, folder: &Path, jobs: &[PathBuf]) -> Option<String> {
    let mut first: BTreeMap<PathBuf, &PathBuf> = BTreeMap::new();
    jobs.iter().find_map(|job| {
        let target = folder.join(request.named(Some(job)));
        let other = first.insert(target.clone(), job)?;
        Some(format!(
            "`{}` and `{}` would both become `{}`: rename one of them, or give each a folder of its own",
            other.display(),
            job.display(),
            target.display()
        ))
    })
}

/// Runs every job; gives how each ended, in no order, and how the whole ends.
fn all(request: &Request<'_>, jobs: &[PathBuf]) -> (Vec<End>, End) {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let (say, said) = mpsc::channel();
    let ends = thread::scope(|scope| {
        for _ in 0..cores.min(jobs.len()) {
            let say = say.clone();
            let next = &next;
            scope.spawn(move || work(request, jobs, next, &say));
        }
        // What is left of the channel are the workers' ends, so that it closes with the last of them.
        drop(say);
        listen(&said, jobs.len())
    });
    let whole = match ends.iter().max() {
        // The others were done.
        Some(End::Failed) => End::Open,
        Some(end) => *end,
        None => End::Done,
    };
    (ends, whole)
}

/// One worker: takes the next job until there is none.
fn work(request: &Request<'_>, jobs: &[PathBuf], next: &AtomicUsize, say: &mpsc::Sender<Said>) {
    loop {
        let number = next.fetch_add(1, Ordering::Relaxed);
        let Some(job) = jobs.get(number) else { return };
        let (end, complaints) = page::into_folder(request, job);
        if say.send((number, end, complaints)).is_err() {
            return;
        }
    }
}

/// Prints what is said of each job once everything of those before it is printed.
fn listen(said: &mpsc::Receiver<Said>, count: usize) -> Vec<End> {
    let mut progress = Progress::new(count);
    let mut early: BTreeMap<usize, String> = BTreeMap::new();
    let mut ends = Vec::new();
    let mut due = 0;
    for (number, end, complaints) in said {
        ends.push(end);
        early.insert(number, complaints);
        while let Some(complaints) = early.remove(&due) {
            if !complaints.is_empty() {
                progress.clear();
                output::complain_styled(&complaints);
            }
            due += 1;
        }
        progress.show(ends.len());
    }
    progress.clear();
    ends
}
