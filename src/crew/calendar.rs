//! Hours of work on the workshop's clock: when a person is there, and how long a piece of work lasts over breaks.
//!
//! The workshop's clock counts only minutes at which somebody of the crew may work; nights and common breaks take none of it. A
//! [`Calendar`] says which of these minutes are a person's. Takes and gives minutes; what they are on the wall is left to `clock`.

/// A minute of the workshop's clock, counted from the start of work.
pub(crate) type Minute = u32;

/// When a person is there: stretches of minutes, in order and apart.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Calendar {
    stretches: Vec<(Minute, Minute)>,
}

impl Calendar {
    /// The stretches, joined where they touch; empty ones are dropped.
    pub fn new(stretches: Vec<(Minute, Minute)>) -> Self {
        Self {
            stretches: joined(stretches),
        }
    }

    /// There from the start to the end.
    pub fn always(end: Minute) -> Self {
        Self::new(vec![(0, end)])
    }

    pub(crate) fn stretches(&self) -> &[(Minute, Minute)] {
        &self.stretches
    }

    /// The stretch that holds a minute, or else the next one.
    pub(crate) fn at_or_after(&self, minute: Minute) -> Option<(Minute, Minute)> {
        let first = self.stretches.partition_point(|(_, to)| *to <= minute);
        self.stretches.get(first).copied()
    }

    /// Whether the person is there in this minute.
    pub fn is_there(&self, minute: Minute) -> bool {
        self.at_or_after(minute)
            .is_some_and(|(from, _)| from <= minute)
    }

    /// How many minutes the person is there before a minute.
    pub(crate) fn before(&self, minute: Minute) -> Minute {
        let before = self.stretches.iter().take_while(|(from, _)| *from < minute);
        before.map(|(from, to)| (*to).min(minute) - from).sum()
    }
}

/// Stretches in order, joined where they touch; empty ones are dropped.
pub(super) fn joined<T: Copy + Ord>(mut stretches: Vec<(T, T)>) -> Vec<(T, T)> {
    stretches.sort_unstable();
    let mut joined: Vec<(T, T)> = Vec::new();
    for (from, to) in stretches.into_iter().filter(|(from, to)| from < to) {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// When work of so many minutes ends that begins at a minute and goes on whenever everybody is there; none when it never does.
///
/// ```
/// use liftsheet::crew::{Calendar, finish};
/// let early = Calendar::new(vec![(0, 60), (100, 200)]);
/// let late = Calendar::new(vec![(30, 150)]);
/// assert_eq!(finish([&early, &late], 40, 50), Some(130));
/// assert_eq!(finish([&early, &late], 40, 500), None);
/// assert_eq!(finish([], 40, 50), Some(90));
/// ```
pub fn finish<'c>(
    everybody: impl IntoIterator<Item = &'c Calendar, IntoIter: Clone>,
    start: Minute,
    work: Minute,
) -> Option<Minute> {
    let everybody = everybody.into_iter();
    let (mut now, mut left) = (start, work);
    loop {
        let (from, to) = together(&everybody, now)?;
        if left <= to - from {
            return from.checked_add(left);
        }
        left -= to - from;
        now = to;
    }
}

/// The next stretch in which everybody is there, from a minute on.
fn together<'c>(
    everybody: &(impl Iterator<Item = &'c Calendar> + Clone),
    minute: Minute,
) -> Option<(Minute, Minute)> {
    let mut from = minute;
    while from < Minute::MAX {
        let (mut latest, mut to) = (from, Minute::MAX);
        for calendar in everybody.clone() {
            let (begins, ends) = calendar.at_or_after(from)?;
            latest = latest.max(begins);
            to = to.min(ends);
        }
        if latest < to && latest == from {
            return Some((from, to));
        }
        from = if latest > from { latest } else { to };
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_are_sorted_joined_and_counted() {
        let calendar = Calendar::new(vec![(50, 60), (0, 20), (20, 30), (40, 40)]);
        assert_eq!(calendar.stretches(), [(0, 30), (50, 60)]);
        assert_eq!(calendar.before(55), 35);
        assert!(calendar.is_there(29) && !calendar.is_there(30) && calendar.is_there(50));
    }

    #[test]
    fn work_of_no_minutes_waits_until_everybody_is_there() {
        let (one, other) = (Calendar::new(vec![(10, 20)]), Calendar::new(vec![(15, 40)]));
        assert_eq!(finish([&one, &other], 0, 0), Some(15));
        assert_eq!(finish([&one, &other], 20, 1), None);
    }
}
