//! One copy of what many tasks say alike.
//!
//! Takes drafts as the rules made them, one link after the other; gives them back sharing their texts and what is written down. A vehicle
//! with ten thousand links of one class would else hold each of its steps ten thousand times.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::draft::Draft;
use super::task::Evidence;
use crate::text::Text;

/// What the drafts so far say.
#[derive(Default)]
pub(super) struct Shared {
    texts: BTreeSet<Text>,
    /// The latest of each name: one that asks for the same has the same name.
    evidence: BTreeMap<String, Arc<Evidence>>,
}

impl Shared {
    /// Lets a draft share what earlier ones say.
    pub(super) fn share(&mut self, draft: &mut Draft) {
        let task = &mut draft.task;
        self.text(&mut task.title);
        let texts = task.steps.iter_mut().chain(&mut task.tools);
        texts
            .chain(&mut task.cautions)
            .for_each(|text| self.text(text));
        for part in &mut task.parts {
            self.text(&mut part.what);
        }
        for evidence in &mut task.evidence {
            self.evidence(evidence);
        }
    }

    fn text(&mut self, text: &mut Text) {
        match self.texts.get(text) {
            Some(known) => text.clone_from(known),
            None => drop(self.texts.insert(text.clone())),
        }
    }

    fn evidence(&mut self, evidence: &mut Arc<Evidence>) {
        match self.evidence.get(&evidence.name) {
            Some(known) if known == evidence => evidence.clone_from(known),
            _ => drop(
                self.evidence
                    .insert(evidence.name.clone(), Arc::clone(evidence)),
            ),
        }
    }
}
