//! Character numbers, which the parser counts in, as byte numbers. Takes a text of at most 64 MiB once; gives spans.

use saphyr_parser::Marker;

use super::locator::Span;

/// The byte of each character of a text.
pub(super) struct Chars {
    /// Nothing for a text in ASCII, where both numbers are the same.
    bytes: Option<Vec<u32>>,
    length: u32,
}

impl Chars {
    pub(super) fn new(text: &str) -> Self {
        let byte = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let all = || text.char_indices().map(|(at, _)| byte(at)).collect();
        Self {
            bytes: (!text.is_ascii()).then(all),
            length: byte(text.len()),
        }
    }

    fn byte(&self, marker: Marker) -> u32 {
        let byte = match &self.bytes {
            Some(bytes) => bytes.get(marker.index()).copied(),
            None => u32::try_from(marker.index()).ok(),
        };
        byte.map_or(self.length, |byte| byte.min(self.length))
    }

    /// The bytes between two markers; none if they are in the wrong order.
    pub(super) fn span(&self, start: Marker, end: Marker) -> Span {
        let start = self.byte(start);
        let end = self.byte(end).max(start);
        Span { start, end }
    }
}
