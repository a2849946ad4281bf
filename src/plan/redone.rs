//! What is done again with what: which earlier tasks a task rests on, and what it needs again when it is done again.
//!
//! Takes drafts in the order of work; [`tell`] writes into the task of each what a record asks for. Undoing runs along what a task does to one
//! body, side or connection, along the courses of its states, and to the hold points that certify them; not along everything that merely
//! comes later: new bolts undo the torque on the old ones, chocks set again undo what certified them and nothing that was done while they
//! stood. What then falls open is left to `record`.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::follows::all_before;
use super::states::{Courses, OfLink, Steps, of_link};
use super::task::{Task, TaskId};
use crate::cut::Cut;
use crate::rules::{Moment, Of, Spot, Stage};
use crate::sorted::Sorted as _;

/// Tasks that bring something about, each with the first that ends it.
type Pairs = BTreeMap<TaskId, TaskId>;

/// A draft that brings a state to a step.
struct Maker<'a> {
    draft: &'a Draft,
    place: usize,
    to: usize,
}

/// The makers of every state, in the order of work.
struct Makers<'a>(BTreeMap<&'a str, Vec<Maker<'a>>>);

/// The raising of one side of a body.
struct Raising<'a> {
    /// The body.
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
        let mut stood = makers.stood(place, draft);
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
    fn stood(&self, place: usize, draft: &Draft) -> Pairs {
        let pair = |during: &Steps| {
            let (brought, ends) = self.around(place, during, |maker| {
                of_the_same(&draft.task, &maker.draft.task)
            })?;
            Some((brought.draft.task.id.clone(), ends.draft.task.id.clone()))
        };
        draft.during.iter().filter_map(pair).sorted_map()
    }

    /// The last fitting maker of a state before a place, and the first behind it that takes the state past what holds there.
    fn around(
        &self,
        place: usize,
        during: &Steps,
        fits: impl Fn(&Maker<'a>) -> bool,
    ) -> Option<(&Maker<'a>, &Maker<'a>)> {
        let of = self.of(&during.instance);
        let ends = |maker: &&Maker<'_>| maker.place > place && maker.to > during.to;
        let ends = of.iter().find(ends)?;
        let mut before = of.iter().rev().filter(|maker| maker.place < place);
        Some((before.find(|maker| fits(maker))?, ends))
    }

    /// What of the whole vehicle stands while work on a connection or a body is done, where that ends later: what it says itself, and what its
    /// stage asks for.
    fn set_up(&self, place: usize, draft: &Draft, courses: &Courses<'_>) -> Pairs {
        if draft.task.links.is_empty() && draft.task.group.is_none() {
            return Pairs::new();
        }
        // An engine that runs for a look is started by whoever looks.
        let of_vehicle = |during: &Steps| {
            let course = courses.of(&during.instance);
            course.is_some_and(|course| course.of == Of::Vehicle) && !courses.attended(during)
        };
        let asked = courses.again(draft.task.stage);
        let during = draft.during.iter().chain(&asked);
        let pair = |during: &Steps| {
            let fits = |maker: &Maker<'_>| self.is_set_up(place, maker);
            let (brought, ends) = self.around(place, during, fits)?;
            Some((brought.draft.task.id.clone(), ends.draft.task.id.clone()))
        };
        let during = during.filter(|during| of_vehicle(during));
        during.filter_map(pair).sorted_map()
    }

    /// Whether a task only sets the vehicle up, and nothing else of what it does was ended before a place: whoever did it again there would
    /// undo that.
    fn is_set_up(&self, place: usize, maker: &Maker<'_>) -> bool {
        let task = &maker.draft.task;
        let ended = |made: &Steps| {
            let later = self.of(&made.instance).iter();
            let mut later = later.filter(|other| (maker.place + 1..place).contains(&other.place));
            later.any(|other| other.to > made.to)
        };
        task.links.is_empty() && task.group.is_none() && !maker.draft.makes.iter().any(ended)
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

/// For each draft the earlier tasks that it rests on, however far back.
fn rests_on(drafts: &[Draft]) -> Vec<Vec<TaskId>> {
    let ids = drafts.iter().map(|draft| draft.task.id.as_str());
    let places: BTreeMap<&str, usize> = ids.zip(0..).sorted_map();
    let mut found = Vec::with_capacity(drafts.len());
    let mut known: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut begun = 0;
    for of_slot in drafts.chunk_by(|one, next| one.task.slot == next.task.slot) {
        let before = all_before(of_slot.iter().map(|draft| {
            let after = draft.task.after.own().iter();
            after.filter_map(|id| places.get(id.as_str())?.checked_sub(begun))
        }));
        for (draft, before) in of_slot.iter().zip(before) {
            let number = begun + before.len();
            let alike = about(draft).filter_map(|name| known.get(name));
            let earlier: BTreeSet<usize> = if certifies_all(&draft.task) {
                (0..number).sorted_set()
            } else {
                alike.flatten().copied().sorted_set()
            };
            // A slot begins when all of the slots before it is done.
            let is_before = |place: &usize| {
                let within = place.checked_sub(begun);
                within.is_none_or(|place| before.get(place) == Some(&true))
            };
            let earlier = earlier.into_iter().filter(is_before);
            let earlier = earlier.filter_map(|place| drafts.get(place));
            let earlier = earlier.filter(|earlier| rests(draft, earlier));
            found.push(earlier.map(|earlier| earlier.task.id.clone()).collect());
            for name in about(draft) {
                known.entry(name).or_default().push(number);
            }
        }
        begun += of_slot.len();
    }
    found
}

/// What a task is for, and what it does or certifies: unless one certifies all, one task rests on another only where they have a name in common.
fn about(draft: &Draft) -> impl Iterator<Item = &str> {
    let task = &draft.task;
    let whom = task.links.iter().chain(&task.group);
    whom.chain(courses(draft).map(|steps| &steps.instance))
        .map(String::as_str)
}

/// What a task makes, and what it certifies.
fn courses(draft: &Draft) -> impl Iterator<Item = &Steps> {
    // A drive proves the brakes as they were, and a look of the procedure's own is of how things then stood.
    let drives = matches!(draft.task.moment, Some(Moment::Yard | Moment::Road));
    let looks = (draft.task.looks || drives) && draft.rule.is_some();
    let proves = draft.task.hold.is_some() || looks;
    let certified = draft.during.iter().filter(move |_| proves);
    draft.makes.iter().chain(certified)
}

/// Whether a task certifies all that was done to bodies and connections.
fn certifies_all(task: &Task) -> bool {
    task.hold.is_some() && task.links.is_empty() && task.group.is_none()
}

/// Whether a task rests on one before it.
fn rests(draft: &Draft, earlier: &Draft) -> bool {
    // A hold point does nothing to the vehicle that could be undone.
    earlier.task.hold.is_none()
        && (of_the_same(&draft.task, &earlier.task) || of_a_course(draft, earlier))
}

/// Both are for one connection, or for one body and side; or the one certifies all that was done to bodies and connections.
fn of_the_same(task: &Task, earlier: &Task) -> bool {
    if task.links.iter().any(|link| earlier.links.contains(link)) {
        return true;
    }
    match (&task.group, &earlier.group) {
        (Some(own), Some(other)) => {
            let side = task.side.zip(earlier.side);
            own == other && side.is_none_or(|(own, other)| own == other)
        }
        (_, of) => certifies_all(task) && (of.is_some() || !earlier.links.is_empty()),
    }
}

/// The one takes a course on from where the other brought it, or certifies that it stands there. Of two connections that open and close one
/// thing each closes what it opened itself.
fn of_a_course(draft: &Draft, earlier: &Draft) -> bool {
    if !draft.task.links.is_empty() && !earlier.task.links.is_empty() {
        return false;
    }
    let brought = |own: &Steps| {
        let mut made = earlier.makes.iter();
        made.any(|made| made.instance == own.instance && made.to <= own.to)
    };
    courses(draft).any(brought)
}
