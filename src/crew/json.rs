//! A crew's schedule for other programs, with all that a program needs to check it or to find a better one.
//!
//! Takes everything made of a job and its [`Crew`]; gives one JSON value. The shape is described in the manual, `crew`.

use serde_json::{Value, json};

use super::{Crew, Minute, Reason};
use crate::job::{Role, THINGS};
use crate::pipeline::Made;

/// The schedule as JSON.
pub(crate) fn to_json(made: &Made<'_>, crew: &Crew<'_>) -> Value {
    let minutes = crew.solved.schedule.minutes();
    let bound = &crew.solved.bound;
    let chain: Vec<&str> = crew
        .chain
        .tasks
        .iter()
        .map(|task| crew.task_id(*task))
        .collect();
    json!({
        "provisional": made.plan.provisional,
        "rest": crew.rest,
        "minutes": minutes,
        "days": crew.days(),
        "lower_bound": bound.minutes,
        "gap_percent": crew.solved.gap(),
        "held_by": bound.reasons.iter().map(|(reason, held)| crew.reason(reason, *held)).collect::<Vec<_>>(),
        "standard_deviation": crew.chain.deviation,
        "chain": {"tasks": chain, "low": crew.chain.range.0, "high": crew.chain.range.1},
        "start_at": crew.begins_at(0),
        "end_at": crew.ends_at(minutes),
        "breaks": within(&crew.network.breaks, minutes),
        "day_ends": within(&crew.network.nights, minutes),
        "people": crew.people(minutes),
        "things": THINGS.iter().zip(&crew.network.things)
            .map(|(thing, count)| json!({"thing": thing, "count": count})).collect::<Vec<_>>(),
        "tasks": crew.task_list(),
        "lanes": crew.lanes(),
        "visits": crew.visit_list(),
    })
}

/// The minutes of a list up to the end of the work and the one after.
fn within(list: &[Minute], end: Minute) -> Vec<Minute> {
    let count = list.partition_point(|minute| *minute < end);
    list.iter().take(count + 1).copied().collect()
}

impl Crew<'_> {
    fn task_id(&self, position: usize) -> &str {
        self.tasks.get(position).map_or("", |task| task.id.as_str())
    }

    pub(super) fn person_id(&self, position: usize) -> &str {
        let member = self.team.members.get(position);
        member.map_or("", |member| member.id.as_str())
    }

    fn begins_at(&self, minute: Minute) -> Option<String> {
        let moment = self.clock.begins(minute)?;
        Some(format!("{}T{}", moment.date?, moment.time))
    }

    fn ends_at(&self, minute: Minute) -> Option<String> {
        let moment = self.clock.ends(minute)?;
        Some(format!("{}T{}", moment.date?, moment.time))
    }

    fn reason(&self, reason: &Reason, minutes: Minute) -> Value {
        match reason {
            Reason::Chain => json!({"by": "chain", "minutes": minutes}),
            Reason::People(people) => {
                let ids: Vec<&str> = people
                    .iter()
                    .map(|person| self.person_id(*person))
                    .collect();
                json!({"by": "people", "people": ids, "minutes": minutes})
            }
            Reason::Thing(thing) => {
                json!({"by": "thing", "thing": THINGS.get(*thing), "minutes": minutes})
            }
        }
    }

    fn people(&self, end: Minute) -> Vec<Value> {
        let people = self.team.members.iter().zip(&self.network.people);
        let people = people.map(|(member, person)| {
            let hours = person.calendar.stretches().iter();
            let hours: Vec<&(Minute, Minute)> =
                hours.take_while(|(from, _)| *from <= end).collect();
            let roles: Vec<&str> = member.roles.iter().copied().map(Role::word).collect();
            json!({
                "id": member.id, "name": member.name, "roles": roles, "licences": member.licences,
                "on_call": person.on_call, "hours_assumed": member.hours.assumed, "hours": hours,
            })
        });
        people.collect()
    }

    fn task_list(&self) -> Vec<Value> {
        let placed = self
            .network
            .tasks
            .iter()
            .zip(&self.tasks)
            .zip(&self.solved.schedule.placed);
        let tasks = placed.map(|((task, plan), placed)| {
            let seats: Vec<Value> = task.seats.iter().map(|seat| {
                let who: Vec<&str> = seat.who.iter().map(|person| self.person_id(*person)).collect();
                json!({"part": seat.part.word(), "who": who})
            }).collect();
            let after: Vec<&str> = task.after.iter().map(|before| self.task_id(*before)).collect();
            json!({
                "id": task.id, "title": plan.title.written(), "minutes": task.minutes,
                "low": task.range.0, "high": task.range.1, "after": after, "seats": seats,
                "trade": plan.trade, "hold": plan.hold, "things": plan.uses,
                "whole": task.whole, "same_day": task.bout, "start": placed.start, "end": placed.end,
                "start_at": self.begins_at(placed.start), "end_at": self.ends_at(placed.end),
            })
        });
        tasks.collect()
    }

    /// Who does what when, by person and time.
    fn lanes(&self) -> Vec<Value> {
        let mut lanes = Vec::new();
        for (person, member) in self.team.members.iter().enumerate() {
            for (task, placed, part) in self.lane(person) {
                lanes.push(json!({
                    "person": member.id, "task": task.id, "part": part.word(),
                    "start": placed.start, "end": placed.end,
                    "start_at": self.begins_at(placed.start), "end_at": self.ends_at(placed.end),
                }));
            }
        }
        lanes
    }

    fn visit_list(&self) -> Vec<Value> {
        let visits = self.visits.iter().map(|visit| {
            let tasks: Vec<&str> = visit.tasks.iter().map(|task| self.task_id(*task)).collect();
            json!({
                "person": self.person_id(visit.person), "start": visit.start, "end": visit.end, "tasks": tasks,
                "start_at": self.begins_at(visit.start), "end_at": self.ends_at(visit.end),
            })
        });
        visits.collect()
    }
}
