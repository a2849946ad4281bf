//! A workshop's secret: what goes into its PINs, and the key by which this machine signs.
//!
//! Takes a workshop's number; gives its [`Secret`]. Signatures are Ed25519, and anybody can verify them who has the public key.

use std::fmt;
use std::io;

use ring::signature::{ED25519, Ed25519KeyPair, KeyPair as _, UnparsedPublicKey};

use super::home::{Home, named};
use crate::sha256::hex;

/// What stands before a public key.
const KIND: &str = "ed25519:";

/// A workshop's secret.
pub struct Secret {
    pepper: [u8; 32],
    pair: Ed25519KeyPair,
}

// Nothing of it is ever printed.
impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Secret({})", self.public())
    }
}

impl Secret {
    fn of(text: &str) -> Option<Self> {
        let bytes = bytes(text.trim())?;
        let (pepper, seed) = bytes.split_at_checked(32)?;
        Some(Self {
            pepper: pepper.try_into().ok()?,
            pair: Ed25519KeyPair::from_seed_unchecked(seed).ok()?,
        })
    }

    /// The public key, as records and pages have it.
    pub fn public(&self) -> String {
        format!("{KIND}{}", hex(self.pair.public_key().as_ref()))
    }

    /// What goes into PINs.
    pub fn pepper(&self) -> &[u8] {
        &self.pepper
    }

    /// The signature of a text.
    pub fn sign(&self, text: &[u8]) -> String {
        hex(self.pair.sign(text).as_ref())
    }
}

/// Whether a signature is that of a text by a public key.
pub fn fits(key: &str, text: &[u8], signature: &str) -> bool {
    let key = key.strip_prefix(KIND).and_then(bytes);
    let (Some(key), Some(signature)) = (key, bytes(signature)) else {
        return false;
    };
    let key = UnparsedPublicKey::new(&ED25519, key);
    key.verify(text, &signature).is_ok()
}

impl Home {
    /// A workshop's secret; none where this machine has none.
    pub fn secret(&self, workshop: &str) -> io::Result<Option<Secret>> {
        let Some(bytes) = self.read(&file(workshop))? else {
            return Ok(None);
        };
        let read = String::from_utf8(bytes).ok();
        let secret = read.as_deref().and_then(Secret::of);
        let spoilt = || io::Error::new(io::ErrorKind::InvalidData, "the secret is not as it was");
        secret.ok_or_else(spoilt).map(Some)
    }

    /// A workshop's secret, drawn where this machine has none.
    pub fn secret_or_new(&self, workshop: &str) -> io::Result<Secret> {
        self.alone("secret", || match self.secret(workshop)? {
            Some(secret) => Ok(secret),
            None => self.draw(workshop),
        })
    }

    /// A new secret in the place of a workshop's own. The old one stays beside it: what was signed with it may be asked about.
    pub fn secret_anew(&self, workshop: &str) -> io::Result<Secret> {
        self.alone("secret", || {
            if let Some(old) = self.read(&file(workshop))? {
                let named = named(&String::from_utf8_lossy(&old));
                self.write(&format!("{}.old-{named}", file(workshop)), &old)?;
            }
            self.draw(workshop)
        })
    }

    fn draw(&self, workshop: &str) -> io::Result<Secret> {
        let bytes: [u8; 64] = draw()?;
        self.write(&file(workshop), format!("{}\n", hex(&bytes)).as_bytes())?;
        let unread = || io::Error::other("the secret cannot be read back");
        self.secret(workshop)?.ok_or_else(unread)
    }
}

fn file(workshop: &str) -> String {
    format!("{}.secret", named(workshop))
}

/// A number that nothing else has: 128 bits of the system's own lots.
pub(crate) fn number() -> io::Result<String> {
    draw::<16>().map(|bytes| hex(&bytes))
}

/// Bytes of the system's own lots.
pub fn draw<const N: usize>() -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|error| io::Error::other(error.to_string()))?;
    Ok(bytes)
}

/// The bytes of a text in hexadecimal, in small letters: there is one text for them.
fn bytes(text: &str) -> Option<Vec<u8>> {
    let pairs = text.as_bytes().chunks(2).map(str::from_utf8);
    let bytes = pairs.map(|pair| u8::from_str_radix(pair.ok()?, 16).ok());
    let bytes: Option<Vec<u8>> = bytes.collect();
    // What else reads as a number, such as a sign, a large letter or half a pair, is written otherwise.
    bytes.filter(|bytes| hex(bytes) == text)
}

#[cfg(test)]
mod tests {
    use super::*;

    // RFC 8032, section 7.1, tests 1 and 2: keys, message and signature.
    #[test]
    fn signatures_are_those_of_the_standard() {
        let seed = "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb";
        let public = "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c";
        let signature = "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00";
        let secret = Secret::of(&format!("{}{seed}", "00".repeat(32))).unwrap();
        assert_eq!(secret.public(), format!("ed25519:{public}"));
        assert_eq!(secret.sign(&[0x72]), signature);
        assert!(fits(&secret.public(), &[0x72], signature));
        assert!(!fits(&secret.public(), &[0x73], signature));
        assert!(!fits(&secret.public(), &[0x72], &signature.to_uppercase()));
        assert!(!fits(public, &[0x72], signature));
    }

    #[test]
    fn bytes_have_one_text() {
        assert_eq!(bytes("0fa0"), Some(vec![15, 160]));
        for other in ["0FA0", "0fa", "+f", " f", "\u{e9}", "0g"] {
            assert_eq!(bytes(other), None, "{other}");
        }
    }
}
