//! Which part of the sheet is printed alone: a stage, a task, or what a person does.

use std::collections::BTreeSet;

/// A part of the sheet that is printed alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Extract {
    /// The stages whose headings begin with these words, whatever their case, or the stage of the task with this number.
    Stage(String),
    /// The task with this number alone.
    #[cfg_attr(
        not(feature = "serve"),
        expect(dead_code, reason = "only the workshop's page shows one task")
    )]
    Task(usize),
    /// What a person of the crew does.
    Person {
        name: String,
        tasks: BTreeSet<usize>,
    },
}

impl Extract {
    /// Whether anything of a stage belongs to it: the stage's heading and the numbers of its tasks.
    pub(crate) fn takes(&self, (heading, numbers): &(String, Vec<usize>)) -> bool {
        let mut own = numbers.iter();
        own.any(|number| self.has((heading, numbers), *number))
    }

    /// Whether a printed task of a stage belongs to it: the stage's heading and the numbers of its tasks, and the task's number.
    pub(super) fn has(&self, (heading, stage): (&str, &[usize]), number: usize) -> bool {
        match self {
            Self::Person { tasks, .. } => tasks.contains(&number),
            Self::Task(wanted) => *wanted == number,
            Self::Stage(wanted) => match wanted.parse::<usize>() {
                Ok(wanted) => stage.contains(&wanted),
                Err(_) => heading
                    .to_lowercase()
                    .starts_with(&wanted.trim().to_lowercase()),
            },
        }
    }
}
