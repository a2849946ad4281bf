//! What a task needs again when it is done again: how its body, side or connection stood, what sets the vehicle up for it, and the body that is
//! let down for it.
//!
//! Takes drafts in the order of work; [`tell`] writes into the task of each what a record asks for. What rests on what is left to `rests`, and what
//! then falls open to `record`.

use std::collections::BTreeMap;

use super::draft::Draft;
use super::rests::{certifies_all, of_the_same, rests_on};
use super::states::{Courses, OfLink, Steps, of_link};
use super::task::TaskId;
use crate::cut::Cut;
use crate::rules::{Of, Spot, Stage};
use crate::sorted::Sorted as _;

/// Tasks that bring something about, each with the first that ends it.
type Pairs = BTreeMap<TaskId, TaskId>;

/// A draft that brings a state to a step.
struct Maker<'a> {
    draft: &'a Draft,
    place: usize,
    to: usize,
}

/// What a task relies on of a state.
struct Relied<'a> {
    instance: &'a str,
    /// The first and the last step that it may have been brought to.
    steps: (usize, usize),
    /// The step past which that is ended.
    ended_past: usize,
}

impl<'a> Relied<'a> {
    fn during(steps: &'a Steps) -> Self {
        Self {
            instance: &steps.instance,
            steps: (steps.from, steps.to),
            ended_past: steps.to,
        }
    }

    /// What is closed was open.
    fn before(made: &'a Steps) -> Self {
        Self {
            instance: &made.instance,
            steps: (1, made.to.saturating_sub(1)),
            ended_past: made.to,
        }
    }
}

/// What a task relies on: what holds while it is done, and of what a connection closes that it was open. An engine that runs for a look is
/// started by whoever looks.
fn relied<'a>(draft: &'a Draft, courses: &'a Courses<'_>) -> impl Iterator<Item = Relied<'a>> {
    let during = draft.during.iter();
    let during = during.filter(|during| !courses.attended(during));
    let closes = draft.makes.iter().filter(|_| !draft.task.links.is_empty());
    let closes = closes.filter(|made| courses.of(&made.instance).is_some());
    during.map(Relied::during).chain(closes.map(Relied::before))
}

/// The makers of every state, in the order of work.
struct Makers<'a>(BTreeMap<&'a str, Vec<Maker<'a>>>);

/// The raising of one side of a body.
struct Raising<'a> {
    group: &'a str,
    /// What raises it, and brings it to stand raised, in order.
    ups: Vec<&'a Maker<'a>>,
    /// What brings it to rest.
    rest: &'a Draft,
    /// The places that nobody is in meanwhile.
    places: &'a [Spot],
}

/// Writes into each task what it rests on, and what it needs again when it is done again.
pub(super) fn tell(drafts: &mut [Draft], courses: &Courses<'_>, cut: &Cut) {
    let rests_on = rests_on(drafts);
    let makers = Makers::new(drafts);
    let raisings = makers.raisings(courses);
    let told = drafts.iter().enumerate().map(|(place, draft)| {
        let mut stood = makers.stood(place, draft, courses);
        stood.extend(makers.crossed(place, &raisings, cut));
        let set_up = makers.set_up(place, draft, courses);
        (stood, set_up, makers.raised(place, draft, &raisings))
    });
    let told: Vec<_> = told.collect();
    for ((draft, rests_on), (stood, set_up, raised)) in drafts.iter_mut().zip(rests_on).zip(told) {
        let task = &mut draft.task;
        task.rests_on = rests_on;
        (task.stood, task.set_up, task.raised) = (stood, set_up, raised);
    }
}

impl<'a> Makers<'a> {
    fn new(drafts: &'a [Draft]) -> Self {
        let mut makers: BTreeMap<&str, Vec<Maker<'_>>> = BTreeMap::new();
        for (place, draft) in drafts.iter().enumerate() {
            for made in &draft.makes {
                let to = made.to;
                let of = makers.entry(&made.instance).or_default();
                of.push(Maker { draft, place, to });
            }
        }
        Self(makers)
    }

    fn of(&self, instance: &str) -> &[Maker<'a>] {
        self.0.get(instance).map_or(&[], Vec::as_slice)
    }

    /// What of one's own body, side or connection stands while a task is done, where that ends later.
    fn stood(&self, place: usize, draft: &Draft, courses: &Courses<'_>) -> Pairs {
        let own = |maker: &Maker<'_>| of_the_same(&draft.task, &maker.draft.task);
        let found = relied(draft, courses);
        let found = found.filter_map(|relied| self.around(place, &relied, own));
        found.sorted_map()
    }

    /// The last fitting maker of what is relied on before a place, and the first behind it that ends it.
    fn around(
        &self,
        place: usize,
        relied: &Relied<'_>,
        fits: impl Fn(&Maker<'a>) -> bool,
    ) -> Option<(TaskId, TaskId)> {
        let of = self.of(relied.instance);
        let ends = |maker: &&Maker<'_>| maker.place > place && maker.to > relied.ended_past;
        let ends = of.iter().find(ends)?;
        let (from, to) = relied.steps;
        let steps = from..=to;
        let before = |maker: &&Maker<'_>| maker.place < place && steps.contains(&maker.to);
        let mut before = of.iter().rev().filter(before);
        let brought = before.find(|maker| fits(maker))?;
        Some((brought.draft.task.id.clone(), ends.draft.task.id.clone()))
    }

    /// What of the whole vehicle stands while a task is done, where that ends later: what it says itself, and what its stage asks for. A hold
    /// point of the vehicle that clears the task is asked again with it.
    fn set_up(&self, place: usize, draft: &Draft, courses: &Courses<'_>) -> Pairs {
        let asked = courses.again(draft.task.stage);
        let asked = asked.iter().map(Relied::during);
        let found = relied(draft, courses).chain(asked).filter(|relied| {
            let course = courses.of(relied.instance);
            course.is_some_and(|course| course.of == Of::Vehicle)
        });
        let found = found.filter_map(|relied| {
            let sets_up = |maker: &Maker<'_>| self.is_set_up(place, &relied, maker);
            self.around(place, &relied, sets_up)
        });
        let found: Vec<_> = found.collect();
        let cleared = draft.during.iter().filter_map(|during| {
            let of = self.of(&during.instance).iter();
            let mut before = of.rev().filter(|maker| maker.place < place);
            let hold = before.next().map(|maker| &maker.draft.task)?;
            let whole = hold.hold.is_some() && certifies_all(hold);
            whole.then(|| (hold.id.clone(), draft.task.id.clone()))
        });
        found.into_iter().chain(cleared).sorted_map()
    }

    /// Whether a task only sets the vehicle up, and nothing else of what it does was ended before a place: whoever did it again there would
    /// undo that.
    fn is_set_up(&self, place: usize, relied: &Relied<'_>, maker: &Maker<'_>) -> bool {
        let task = &maker.draft.task;
        let others = maker.draft.makes.iter();
        let mut others = others.filter(|made| made.instance != relied.instance);
        let ended = |made: &Steps| {
            let later = self.of(&made.instance).iter();
            let mut later = later.filter(|other| (maker.place + 1..place).contains(&other.place));
            later.any(|other| other.to > made.to)
        };
        task.links.is_empty() && task.group.is_none() && !others.any(ended)
    }

    fn raisings(&'a self, courses: &Courses<'a>) -> Vec<Raising<'a>> {
        let mut raisings = Vec::new();
        for (instance, of) in &self.0 {
            let raises = of
                .iter()
                .any(|maker| maker.draft.task.stage == Stage::Raise);
            let course = courses.of(instance).filter(|_| raises);
            let runs = course.into_iter().flat_map(|course| &course.shuts_out);
            for ((from, to), places) in runs {
                let up = |maker: &&Maker<'_>| (*from..=*to).contains(&maker.to);
                let ups: Vec<&Maker<'_>> = of.iter().filter(up).collect();
                let rest = of.iter().find(|maker| maker.to > *to);
                let group = ups
                    .first()
                    .and_then(|maker| maker.draft.task.group.as_deref());
                if let (Some(group), Some(rest)) = (group, rest) {
                    raisings.push(Raising {
                        group,
                        ups,
                        rest: rest.draft,
                        places,
                    });
                }
            }
        }
        raisings
    }

    /// Of a task that begins to raise a body what parts each connection that crosses there, where that is joined later.
    fn crossed(&self, place: usize, raisings: &[Raising<'_>], cut: &Cut) -> Pairs {
        let begins =
            |raising: &&Raising<'_>| raising.ups.first().is_some_and(|up| up.place == place);
        let Some(raising) = raisings.iter().find(begins) else {
            return Pairs::new();
        };
        let crosses = |link: &&String| {
            let spans = cut.links.get(*link).map_or(&[][..], |link| &link.spans);
            spans.iter().any(|span| {
                span.groups.0.contains(raising.group) != span.groups.1.contains(raising.group)
            })
        };
        let parts =
            |maker: &&Maker<'_>| maker.place < place && maker.draft.task.stage == Stage::Release;
        let released = cut.links.keys().filter(crosses).filter_map(|link| {
            let state = of_link(link, OfLink::Released, OfLink::Released);
            let of = self.of(&state.instance);
            let parted = of.iter().find(parts)?;
            let joined = of
                .iter()
                .find(|maker| maker.place > place && maker.to > state.to)?;
            Some((parted.draft.task.id.clone(), joined.draft.task.id.clone()))
        });
        released.sorted_map()
    }

    /// What raises a body under or in which a task is done, or whose raising it makes ready, and what clears that or makes it ready, each with
    /// the one that brings the body to rest.
    fn raised(&self, place: usize, draft: &Draft, raisings: &[Raising<'_>]) -> Pairs {
        let task = &draft.task;
        let mut found = Pairs::new();
        for raising in raisings {
            let (Some(first), Some(on)) = (raising.ups.first(), raising.ups.get(1)) else {
                continue;
            };
            let to =
                |maker: &&Maker<'_>| (maker.draft.task.id.clone(), raising.rest.task.id.clone());
            if task.stage == Stage::Release && raising.places.contains(&task.place) {
                found.extend(raising.ups.iter().take(1).map(to));
                found.extend(self.ready_for(first.draft).iter().map(to));
            } else if task.stage == Stage::Raise
                && task.slot == first.draft.task.slot
                && place < on.place
            {
                let later = raising.ups.iter().filter(|up| up.place > place);
                found.extend(later.map(to));
            }
        }
        found
    }

    /// What brings about what a task needs of its own body and side.
    fn ready_for(&self, draft: &Draft) -> Vec<&Maker<'a>> {
        let ready = draft.during.iter().flat_map(|during| {
            let makers = self.of(&during.instance).iter();
            makers.filter(|maker| {
                maker.to == during.from && of_the_same(&draft.task, &maker.draft.task)
            })
        });
        ready.collect()
    }
}
