//! Drawing lots that come out the same for a seed on every machine and in every version.
//!
//! `ChaCha20` is a published cipher, so its stream cannot change; what is made of the stream (a number below a bound, an order) is made
//! here, and not left to a library that may do it otherwise some day.

use rand_chacha::ChaCha20Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

/// One stream of lots.
pub(super) struct Draw(ChaCha20Rng);

impl Draw {
    /// A stream of its own for each seed and number, so that one kind of question does not change another.
    pub(super) fn new(seed: u64, stream: u64) -> Self {
        let mut bytes = [0; 32];
        for (to, from) in bytes.iter_mut().zip(seed.to_le_bytes()) {
            *to = from;
        }
        let mut lots = ChaCha20Rng::from_seed(bytes);
        lots.set_stream(stream);
        Self(lots)
    }

    /// A number below the bound, each as likely as any other; 0 when the bound is 0.
    pub(super) fn below(&mut self, bound: usize) -> usize {
        let Ok(bound) = u32::try_from(bound) else {
            return 0;
        };
        if bound == 0 {
            return 0;
        }
        // What lies above the last whole multiple of the bound would favour small numbers.
        let fair = u32::MAX - u32::MAX % bound;
        loop {
            let lot = self.0.next_u32();
            if lot < fair {
                return usize::try_from(lot % bound).unwrap_or(0);
            }
        }
    }

    /// The list in an order drawn by lot (Fisher and Yates).
    pub(super) fn shuffled<T>(&mut self, list: impl IntoIterator<Item = T>) -> Vec<T> {
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

    /// RFC 8439, A.1, test vector 1: key, nonce and counter of zeros give the bytes 76 b8 e0 ad a0 f1 3d 90 40 5d 6a e5 (from memory).
    #[test]
    fn the_stream_is_the_published_one() {
        let mut draw = Draw::new(0, 0);
        let lots = [(); 3].map(|()| draw.0.next_u32());
        assert_eq!(lots, [0xade0_b876, 0x903d_f1a0, 0xe56a_5d40]);
    }

    #[test]
    fn an_order_is_one_of_all_and_stays_the_same() {
        let order = |seed| Draw::new(seed, 3).shuffled(0..20);
        let mut sorted = order(1);
        assert_eq!(order(1), sorted);
        assert_ne!(order(1), order(2));
        sorted.sort_unstable();
        assert_eq!(sorted, (0..20).collect::<Vec<_>>());
    }

    #[test]
    fn every_number_below_the_bound_comes_up() {
        let mut draw = Draw::new(7, 0);
        let mut seen = [0; 3];
        for _ in 0..300 {
            seen[draw.below(3)] += 1;
        }
        assert!(seen.iter().all(|&count| count > 60), "{seen:?}");
        assert_eq!(draw.below(0), 0);
    }
}
