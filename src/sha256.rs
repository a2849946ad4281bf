//! Bytes → their SHA-256 in hexadecimal, as `sha256sum` prints it.
//!
//! Takes bytes at once or as they are written; what they mean is left to those who ask.

use std::io;

use ring::digest::{Context, SHA256, digest};

/// SHA-256 in hexadecimal, as `sha256sum` prints it.
pub fn sha256(bytes: &[u8]) -> String {
    hex(digest(&SHA256, bytes).as_ref())
}

/// Bytes in hexadecimal.
pub(crate) fn hex(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 2);
    for digit in bytes.iter().flat_map(|byte| [byte >> 4, byte & 15]) {
        let letter = if digit < 10 { b'0' } else { b'a' - 10 };
        text.push(char::from(letter + digit));
    }
    text
}

/// Bytes that are digested as they are written, so that a large text is never whole in memory.
#[derive(Clone)]
pub(crate) struct Written(Context);

impl Written {
    /// Nothing yet.
    pub(crate) fn new() -> Self {
        Self(Context::new(&SHA256))
    }

    /// Adds bytes.
    pub(crate) fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The digest of all that was added.
    pub(crate) fn digest(self) -> String {
        hex(self.0.finish().as_ref())
    }
}

impl io::Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.add(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use super::*;

    /// The example of FIPS 180-4, and the digest of nothing: from memory, and as `sha256sum` prints them.
    #[test]
    fn published_examples() {
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            sha256(b""),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }

    #[test]
    fn what_is_written_in_pieces_has_the_digest_of_the_whole() {
        let mut written = Written::new();
        written.write_all(b"a").unwrap();
        written.add(b"bc");
        assert_eq!(written.digest(), sha256(b"abc"));
    }
}
