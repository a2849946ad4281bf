//! What the integration tests share: running the program, each of its commands, writing job files, reading its plan, judging geometry anew.

pub(crate) mod commands;
pub(crate) mod geometry;
pub(crate) mod http;
pub(crate) mod in_process;
pub(crate) mod plan;
pub(crate) mod reader;
pub(crate) mod run;
#[cfg(unix)]
pub(crate) mod terminal;
pub(crate) mod vehicle;
