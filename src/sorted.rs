//! Sorted maps and sets of what comes one by one, and lists of it in which nothing is said twice.
//!
//! Takes an iterator; gives what comes of it sorted, of two pairs with one key the later. `collect` does the same, but sorts a list before, and
//! the sorts of each pair of types were 0.4 MB of the program. Lists keep the order in which something first comes.

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

/// These things, each once; of few, since each is looked for among all.
pub(crate) fn each_once<T: PartialEq>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut kept = Vec::new();
    for one in all {
        if !kept.contains(&one) {
            kept.push(one);
        }
    }
    kept
}

/// What is said of several things, each with all that it is said of.
pub(crate) fn drawn_together<K: Ord + Clone, T>(
    said: impl Iterator<Item = (K, T)>,
) -> Vec<(K, Vec<T>)> {
    let mut kept: Vec<(K, Vec<T>)> = Vec::new();
    let mut places: BTreeMap<K, usize> = BTreeMap::new();
    for (said, of) in said {
        let place = places.get(&said);
        if let Some((_, all)) = place.and_then(|place| kept.get_mut(*place)) {
            all.push(of);
        } else {
            places.insert(said.clone(), kept.len());
            kept.push((said, vec![of]));
        }
    }
    kept
}

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
