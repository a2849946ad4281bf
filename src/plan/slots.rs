//! The order of work as slots: the stages in turn, the raising stages once for each body and side.
//!
//! For each body: its `raise` tasks; for each side `raise`, `space` and `lower`; then its `lower` tasks. So the body stands on
//! its blocks on both sides before it is tightened down, and the next body goes up after that.

use crate::job::{Job, Side};
use crate::rules::{Moment, Stage};
use strum::IntoEnumIterator;

/// A stretch of the work: a stage, and in the raising stages the body and side that it is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Slot {
    /// Its number in the order of work.
    pub(super) number: usize,
    pub(super) stage: Stage,
    /// The raised body.
    pub(super) group: Option<String>,
    pub(super) side: Option<Side>,
    /// The moment of the check.
    pub(super) moment: Option<Moment>,
}

/// Every slot of a job, in order.
#[derive(Debug, Clone)]
pub(super) struct Slots(Vec<Slot>);

impl Slots {
    pub(super) fn of(job: &Job) -> Self {
        let mut slots = Self(Vec::new());
        for stage in [
            Stage::Measure,
            Stage::AsFound,
            Stage::MakeSafe,
            Stage::Strip,
            Stage::Release,
        ] {
            slots.push(stage, None, None);
        }
        for raise in &job.lift.raise {
            let group = Some(raise.group.as_str());
            slots.push(Stage::Raise, group, None);
            for side in raise.sides() {
                for stage in [Stage::Raise, Stage::Space, Stage::Lower] {
                    slots.push(stage, group, Some(side));
                }
            }
            slots.push(Stage::Lower, group, None);
        }
        for stage in [Stage::Correct, Stage::Refit] {
            slots.push(stage, None, None);
        }
        slots.moment(Moment::Open);
        slots.push(Stage::CloseUp, None, None);
        for moment in Moment::iter().filter(|one| *one != Moment::Open) {
            slots.moment(moment);
        }
        slots.push(Stage::HandOver, None, None);
        slots
    }

    fn push(&mut self, stage: Stage, group: Option<&str>, side: Option<Side>) {
        self.0.push(Slot {
            number: self.0.len(),
            stage,
            group: group.map(ToOwned::to_owned),
            side,
            moment: None,
        });
    }

    fn moment(&mut self, moment: Moment) {
        self.push(Stage::Check, None, None);
        if let Some(last) = self.0.last_mut() {
            last.moment = Some(moment);
        }
    }

    pub(super) fn numbered(&self, number: usize) -> Option<&Slot> {
        self.0.get(number)
    }

    pub(super) fn at(&self, moment: Moment) -> Option<&Slot> {
        self.0.iter().find(|slot| slot.moment == Some(moment))
    }

    /// The slot of a stage for a body and side. A stage without bodies ignores them; `space` without a side is the last
    /// side's, and a raising stage without a body is the last body's.
    pub(super) fn find(
        &self,
        stage: Stage,
        group: Option<&str>,
        side: Option<Side>,
    ) -> Option<&Slot> {
        let of_stage = |slot: &&Slot| slot.stage == stage;
        let of_group = |slot: &&Slot| slot.group.as_deref() == group;
        let exact = self
            .0
            .iter()
            .filter(of_stage)
            .filter(of_group)
            .find(|slot| slot.side == side);
        exact
            .or_else(|| self.0.iter().filter(of_stage).rfind(of_group))
            .or_else(|| self.0.iter().rfind(of_stage))
    }
}
