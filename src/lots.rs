//! Numbers that look like chance and are the same for a seed on every machine and in every version.
//!
//! Takes a seed; gives numbers, and orders drawn by lot. For questions, searches and tests: nothing here keeps a secret.

/// One row of lots: `SplitMix64` (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014, from memory).
#[derive(Debug, Clone)]
pub(crate) struct Lots(u64);

/// The golden ratio as a share of 2^64, by which the row steps on.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

impl Lots {
    /// The row of a seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A row of its own for each seed and number, so that drawing from one does not change another.
    pub(crate) fn apart(seed: u64, number: u64) -> Self {
        let mut first = Self(seed ^ Self(number).next());
        Self(first.next())
    }

    /// The next number.
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(STEP);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// The next number as a share: at least 0 and at most 1.
    pub(crate) fn share(&mut self) -> f64 {
        f64::from(u32::try_from(self.next() >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    }

    /// A number below the bound, each as likely as any other; 0 when the bound is 0.
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        let bound = u64::try_from(bound).unwrap_or(0);
        if bound == 0 {
            return 0;
        }
        // What lies above the last whole multiple of the bound would favour small numbers.
        let fair = u64::MAX - u64::MAX % bound;
        loop {
            let lot = self.next();
            if lot < fair {
                return usize::try_from(lot % bound).unwrap_or(0);
            }
        }
    }

    /// The list in an order drawn by lot (Fisher and Yates).
    pub(crate) fn shuffled<T>(&mut self, list: impl IntoIterator<Item = T>) -> Vec<T> {
        let mut list: Vec<T> = list.into_iter().collect();
        for last in (1..list.len()).rev() {
            let other = self.below(last + 1);
            list.swap(last, other);
        }
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers that the method's reference program prints for this seed (from memory).
    #[test]
    fn the_row_is_the_published_one() {
        let mut lots = Lots::new(1_234_567);
        let row = [(); 3].map(|()| lots.next());
        let published = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
        ];
        assert_eq!(row, published);
    }

    #[test]
    fn an_order_is_one_of_all_and_stays_the_same() {
        let order = |seed, number| Lots::apart(seed, number).shuffled(0..20);
        let mut sorted = order(1, 3);
        assert_eq!(order(1, 3), sorted);
        assert_ne!(order(1, 3), order(2, 3));
        assert_ne!(order(1, 3), order(1, 2));
        sorted.sort_unstable();
        assert_eq!(sorted, (0..20).collect::<Vec<_>>());
    }

    #[test]
    fn every_number_below_the_bound_comes_up() {
        let mut lots = Lots::new(7);
        let mut seen = [0; 3];
        for _ in 0..300 {
            seen[lots.below(3)] += 1;
        }
        assert!(seen.iter().all(|&count| count > 60), "{seen:?}");
        assert_eq!(lots.below(0), 0);
    }
}
