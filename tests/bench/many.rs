//! Many jobs in one call against each in a call of its own: what all cores together save.

use std::path::Path;
use std::process::{Command, Stdio};

use super::{least, line, vehicle};

const JOBS: usize = 24;

pub(super) fn table() {
    let folder = tempfile::tempdir().unwrap();
    let names: Vec<String> = (0..JOBS).map(|number| format!("j{number}.yaml")).collect();
    for name in &names {
        std::fs::write(folder.path().join(name), vehicle::job(200)).unwrap();
    }
    let alone = least(3, || {
        for name in &names {
            sheet(folder.path(), std::slice::from_ref(name));
        }
    });
    let together = least(3, || sheet(folder.path(), &names));
    line(
        &format!("{JOBS} jobs in one call : one after the other"),
        alone,
        together,
        "ms",
        "",
    );
}

fn sheet(folder: &Path, jobs: &[String]) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_liftsheet"));
    let command = command
        .current_dir(folder)
        .arg("sheet")
        .args(jobs)
        .args(["-o", "out/"]);
    let status = command.stderr(Stdio::null()).status().unwrap();
    assert!(status.code().is_some_and(|code| code < 2));
}
