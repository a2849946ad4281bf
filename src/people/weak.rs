//! What is no passphrase: too short, on the list of common ones, a row or a repetition, or the person's own name.
//!
//! Takes a passphrase and whose it is; gives what is wrong with it.

/// The fewest characters.
const FEWEST: usize = 8;
/// The most, so that nobody's text fills the memory.
const MOST: usize = 256;
/// Common ones, and words that are common with digits around them, one a line, in small letters: written from memory and of this trade, no
/// published list. Names of makes are left out.
const COMMON: &str = include_str!("common.txt");
/// Neighbouring keys and signs in their order.
const ROWS: [&str; 8] = [
    "01234567890",
    "09876543210",
    "abcdefghijklmnopqrstuvwxyz",
    "zyxwvutsrqponmlkjihgfedcba",
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiopasdfghjklyxcvbnm",
    "azertyuiopqsdfghjklmwxcvbn",
    "1q2w3e4r5t6z7u8i9o0p",
];

/// What is wrong with a passphrase, in words; nothing where it will do.
pub(super) fn fault(passphrase: &str, (id, name): (&str, &str)) -> Option<&'static str> {
    let length = passphrase.chars().count();
    if length < FEWEST {
        return Some("it has fewer than eight characters");
    }
    if length > MOST {
        return Some("it has more than 256 characters");
    }
    let plain = plain(passphrase);
    let bare = plain.trim_matches(|c: char| !c.is_alphabetic());
    if COMMON.lines().any(|line| line == plain || line == bare) {
        return Some("it is on the list of common ones");
    }
    if ROWS.iter().any(|row| row.contains(&plain)) || repeats(&plain) {
        return Some("it is a row of neighbours or a repetition");
    }
    let names = [id, name].map(self::plain);
    let own = |own: &String| {
        own.chars().count() > 2 && (plain.contains(own) && length < own.chars().count() + 6)
    };
    names
        .iter()
        .any(own)
        .then_some("it is the person's own name")
}

/// In small letters, without what stands between words.
fn plain(text: &str) -> String {
    let shown = text.chars().filter(|c| !c.is_whitespace());
    shown.collect::<String>().to_lowercase()
}

/// Whether up to four characters are only repeated.
fn repeats(plain: &str) -> bool {
    let letters: Vec<char> = plain.chars().collect();
    (1..=4).any(|length| {
        letters.len() > length
            && letters
                .iter()
                .zip(letters.iter().skip(length))
                .all(|(a, b)| a == b)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_easily_guessed_is_none() {
        for weak in [
            "",
            "seven77",
            "password",
            "Password1",
            "PASS WORD",
            "12345678",
            "qwertyuiop",
            "aaaaaaaa",
            "abcabcabc",
            "Iron Bark",
            "ironbark1",
            "87654321",
        ] {
            assert!(fault(weak, ("ib", "Iron Bark")).is_some(), "{weak}");
        }
        assert!(fault(&"ab1".repeat(200), ("a", "b")).is_some());
        for fine in ["gate 9 sticks", "moth-lamp-tin", "Grüße an Öl"] {
            assert_eq!(fault(fine, ("ib", "Iron Bark")), None, "{fine}");
        }
    }

    #[test]
    fn the_list_is_of_what_could_be_given() {
        let lines: Vec<&str> = COMMON.lines().collect();
        assert!(lines.len() > 150);
        for line in lines {
            assert!(
                line.chars().count() >= 8 || !line.ends_with(char::is_numeric),
                "{line}"
            );
            assert_eq!(plain(line), line);
        }
    }
}
