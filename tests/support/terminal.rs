//! Runs the program in a pseudo-terminal.

use std::ffi::OsStr;
use std::io::{Read as _, Write as _};

use pty_process::Size;
use pty_process::blocking::{Command, open};

use super::run::{Bench, LOOKED_AT, PROGRAM};

/// What a terminal of so many columns is sent while somebody types these lines, and the exit code.
pub(crate) fn sent(
    (bench, columns): (&Bench, u16),
    words: &[impl AsRef<OsStr>],
    environment: &[(&str, &str)],
    typing: &str,
) -> (String, Option<i32>) {
    let (mut terminal, end) = open().unwrap();
    terminal.resize(Size::new(24, columns)).unwrap();
    let mut command = Command::new(PROGRAM).args(words).current_dir(bench.path());
    for name in LOOKED_AT {
        command = command.env_remove(name);
    }
    let (name, home) = bench.home();
    command = command
        .env(name, home)
        .env("TERM", "xterm")
        .envs(environment.iter().copied());
    let mut child = command.spawn(end).unwrap();
    terminal.write_all(typing.as_bytes()).unwrap();
    let mut sent = Vec::new();
    let mut part = [0; 4096];
    // At its end a terminal gives an error on some systems, and nothing on others.
    while let Ok(count @ 1..) = terminal.read(&mut part) {
        sent.extend_from_slice(&part[..count]);
    }
    let code = child.wait().unwrap().code();
    (String::from_utf8(sent).unwrap().replace("\r\n", "\n"), code)
}
