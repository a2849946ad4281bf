//! What the integration tests share: running the program, writing job files, reading its plan, judging geometry anew.

pub mod geometry;
pub mod plan;
pub mod run;
pub mod vehicle;
