//! Sorted maps and sets of what comes one by one.
//!
//! Takes an iterator; gives what comes of it sorted, of two pairs with one key the later. `collect` does the same, but sorts a list before, and
//! the sorts of each pair of types were 0.4 MB of the program.

use std::collections::{BTreeMap, BTreeSet};

/// What an iterator gives, sorted.
pub(crate) trait Sorted: Iterator + Sized {
    /// A map of these pairs.
    fn sorted_map<K: Ord, V>(self) -> BTreeMap<K, V>
    where
        Self: Iterator<Item = (K, V)>,
    {
        let mut map = BTreeMap::new();
        map.extend(self);
        map
    }

    /// A set of these things.
    fn sorted_set(self) -> BTreeSet<Self::Item>
    where
        Self::Item: Ord,
    {
        let mut set = BTreeSet::new();
        set.extend(self);
        set
    }
}

impl<I: Iterator> Sorted for I {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_later_counts_as_it_does_when_collected() {
        let pairs = [("b", 1), ("a", 2), ("b", 3)];
        let collected: BTreeMap<&str, i32> = pairs.into_iter().collect();
        assert_eq!(pairs.into_iter().sorted_map(), collected);
        assert_eq!(collected["b"], 3);
        let words = ["b", "a", "b"].into_iter().sorted_set();
        assert_eq!(Vec::from_iter(words), ["a", "b"]);
    }
}
