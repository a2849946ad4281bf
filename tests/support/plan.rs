//! Reads the plan's JSON: links and tasks by id, the order of work, everything that a task waits for.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

/// A plan as `sheet --format json` prints it.
pub(crate) struct Plan(pub(crate) Value);

impl Plan {
    /// The link of that id.
    #[track_caller]
    pub(crate) fn link(&self, id: &str) -> &Value {
        let links = self.0["links"].as_array().unwrap();
        let found = links.iter().find(|link| link["id"] == id);
        found.unwrap_or_else(|| panic!("there is no link `{id}`"))
    }

    /// The verdict on a link.
    #[track_caller]
    pub(crate) fn verdict(&self, id: &str) -> &str {
        self.link(id)["verdict"].as_str().unwrap()
    }

    /// Every task in the order of work.
    pub(crate) fn tasks(&self) -> &[Value] {
        self.0["tasks"].as_array().unwrap()
    }

    /// The ids of the tasks in the order of work.
    pub(crate) fn ids(&self) -> Vec<&str> {
        self.tasks().iter().map(id).collect()
    }

    /// The task of that id.
    #[track_caller]
    pub(crate) fn task(&self, wanted: &str) -> &Value {
        let found = self.tasks().iter().find(|task| id(task) == wanted);
        found.unwrap_or_else(|| panic!("there is no task `{wanted}` in {:#?}", self.ids()))
    }

    /// Where a task stands in the order of work.
    #[track_caller]
    pub(crate) fn position(&self, wanted: &str) -> usize {
        let found = self.ids().iter().position(|id| *id == wanted);
        found.unwrap_or_else(|| panic!("there is no task `{wanted}` in {:#?}", self.ids()))
    }

    /// Asserts that these tasks stand in this order.
    #[track_caller]
    pub(crate) fn in_order(&self, ids: &[&str]) {
        for pair in ids.windows(2) {
            assert!(
                self.position(pair[0]) < self.position(pair[1]),
                "`{}` does not come before `{}`: {:#?}",
                pair[0],
                pair[1],
                self.ids()
            );
        }
    }

    /// Every task that a task waits for, however indirectly.
    pub(crate) fn waits_for(&self, wanted: &str) -> BTreeSet<&str> {
        let after: BTreeMap<&str, Vec<&str>> = self
            .tasks()
            .iter()
            .map(|task| (id(task), after(task)))
            .collect();
        let mut found = BTreeSet::new();
        let mut open = vec![wanted];
        while let Some(here) = open.pop() {
            for before in &after[here] {
                if found.insert(*before) {
                    open.push(before);
                }
            }
        }
        found
    }
}

/// A task's id.
pub(crate) fn id(task: &Value) -> &str {
    task["id"].as_str().unwrap()
}

/// The tasks that a task directly waits for.
pub(crate) fn after(task: &Value) -> Vec<&str> {
    let list = task["after"].as_array().unwrap();
    list.iter().map(|id| id.as_str().unwrap()).collect()
}

/// How heavy a verdict is.
pub(crate) fn weight(verdict: &str) -> usize {
    let order = [
        "leave",
        "reposition",
        "extend",
        "replace",
        "fabricate",
        "refer",
        "measure",
        "stop",
    ];
    order.iter().position(|word| *word == verdict).unwrap()
}
