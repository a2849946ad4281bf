//! Every way to tamper with a record of fifty entries by one byte or one line, all of them tried.

use std::collections::BTreeMap;

use super::*;
use crate::chain::Time;
use crate::record::{Act, Entered, Entry, Record};

/// How many entries the record has.
const ENTRIES: usize = 50;

/// A record with every kind of field, as its lines.
fn lines() -> Vec<String> {
    let mut record = Record::default();
    let entry = |number: u32| Entry {
        time: Time::from_seconds(1_741_064_767 + i64::from(number) * 60),
        at: number
            .is_multiple_of(7)
            .then(|| Time::from_seconds(1_741_000_000)),
        act: if number.is_multiple_of(5) {
            Act::Noted
        } else {
            Act::Done
        },
        task: format!("task-{number}"),
        person: "ash".to_owned(),
        name: "Ash (invented)".to_owned(),
        role: "fitter".to_owned(),
        values: [("seal".to_owned(), Entered::Text("\"seal\":\"é".to_owned()))].into(),
        note: number.is_multiple_of(5).then(|| "wet, wiped\n".to_owned()),
        odometer: number.is_multiple_of(9).then_some(45_210.5),
        rows: if number.is_multiple_of(3) {
            vec!["C1L".to_owned()]
        } else {
            Vec::new()
        },
        how: number.is_multiple_of(2).then(|| "said".to_owned()),
        entry: number.is_multiple_of(11).then_some(3),
        fell: if number.is_multiple_of(4) {
            [("seal".to_owned(), "rests on `task-1`".to_owned())].into()
        } else {
            BTreeMap::new()
        },
        plan: "sha256:p".to_owned(),
        task_digest: "sha256:t".to_owned(),
        parts: [("text".to_owned(), "sha256:x".to_owned())].into(),
        ..Entry::default()
    };
    (1..)
        .take(ENTRIES)
        .for_each(|n| record.push(entry(n), None));
    let text = str::from_utf8(record.text()).unwrap();
    text.split_inclusive('\n').map(ToOwned::to_owned).collect()
}

fn digests(lines: &[String]) -> Vec<String> {
    let digests = lines.iter().map(|line| sha256(line.trim_end().as_bytes()));
    std::iter::once(ZEROS.to_owned()).chain(digests).collect()
}

/// Whether the lines from one on are refused, or end in a torn tail. Those before are as they were.
fn detected(before: &str, line: usize, bytes: &[u8]) -> bool {
    let torn = !bytes.is_empty() && !bytes.ends_with(b"\n");
    let whole = bytes
        .iter()
        .rposition(|b| *b == b'\n')
        .map_or(0, |at| at + 1);
    torn || follow(&bytes[..whole], (line + 1, before, None), |_: Entry, _| ()).is_err()
}

/// Changes each line at each of its bytes, its line break among them, and asserts that each change is found.
fn each_byte(change: impl Fn(&mut Vec<u8>, usize)) {
    let lines = lines();
    let digests = digests(&lines);
    for (number, line) in lines.iter().enumerate() {
        let next = lines.get(number + 1).map_or("", String::as_str);
        for at in 0..line.len() {
            let mut bytes = line.clone().into_bytes();
            change(&mut bytes, at);
            bytes.extend_from_slice(next.as_bytes());
            let place = || format!("line {}, byte {at}", number + 1);
            assert!(detected(&digests[number], number, &bytes), "{}", place());
        }
    }
}

#[test]
fn the_record_itself_is_whole() {
    let lines = lines();
    let record: Record = verify(lines.concat().as_bytes()).unwrap();
    assert_eq!((record.entries.len(), record.torn), (ENTRIES, 0));
    assert_eq!(record.last_digest(), digests(&lines)[ENTRIES]);
    assert_eq!(record.line_of(record.last_digest()), Some(ENTRIES));
    assert_eq!(verify::<Entry>(b"").unwrap(), Record::default());
}

#[test]
fn every_changed_byte_is_found() {
    for bit in 0..8 {
        each_byte(|bytes, at| bytes[at] ^= 1 << bit);
    }
}

#[test]
fn every_byte_of_one_line_is_found_whatever_it_becomes() {
    let lines = lines();
    let digests = digests(&lines);
    let line = 6;
    for at in 0..lines[line].len() {
        for to in 0..=u8::MAX {
            let mut bytes = [lines[line].as_bytes(), lines[line + 1].as_bytes()].concat();
            if std::mem::replace(&mut bytes[at], to) != to {
                assert!(detected(&digests[line], line, &bytes), "byte {at} to {to}");
            }
        }
    }
}

#[test]
fn every_byte_left_out_is_found() {
    each_byte(|bytes, at| {
        bytes.remove(at);
    });
}

#[test]
fn every_byte_put_in_is_found() {
    for byte in [b' ', b'0', b'"', b'\n'] {
        each_byte(|bytes, at| bytes.insert(at, byte));
    }
    each_byte(|bytes, at| bytes.insert(at, bytes[at]));
}

#[test]
fn every_swap_of_neighbouring_bytes_is_found() {
    let lines = lines();
    let text = lines.concat().into_bytes();
    let digests = digests(&lines);
    let mut start = 0;
    for (number, line) in lines.iter().enumerate() {
        let end =
            (start + line.len() + lines.get(number + 1).map_or(0, String::len)).min(text.len());
        for at in start..(start + line.len()).min(text.len() - 1) {
            if text[at] != text[at + 1] {
                let mut bytes = text[start..end].to_vec();
                bytes.swap(at - start, at - start + 1);
                assert!(detected(&digests[number], number, &bytes), "byte {at}");
            }
        }
        start += line.len();
    }
}

#[test]
fn every_truncation_is_found_or_shows_in_the_last_digest() {
    let lines = lines();
    let digests = digests(&lines);
    for (number, line) in lines.iter().enumerate() {
        for kept in 1..line.len() {
            assert!(detected(&digests[number], number, &line.as_bytes()[..kept]));
        }
        let cut: Record = verify(lines[..number].concat().as_bytes()).unwrap();
        assert_ne!(cut.last_digest(), digests[ENTRIES]);
        assert_eq!(cut.line_of(&digests[ENTRIES]), None);
    }
}

/// The first bad line of the lines, and what is wrong with it.
fn broken(lines: &[String]) -> Option<Broken> {
    verify::<Entry>(lines.concat().as_bytes()).err()
}

#[test]
fn every_line_left_out_put_in_or_moved_is_named() {
    let whole = lines();
    for from in 0..ENTRIES {
        let mut left = whole.clone();
        left.remove(from);
        // Without its last line the record is a shorter record, as any truncation at a line's end.
        let named = broken(&left).map(|broken| broken.line);
        assert_eq!(named, (from + 1 < ENTRIES).then_some(from + 1));
        let mut twice = whole.clone();
        twice.insert(from, whole[from].clone());
        assert_eq!(broken(&twice).map(|broken| broken.line), Some(from + 2));
        for to in from + 1..ENTRIES {
            let mut moved = whole.clone();
            moved.swap(from, to);
            let flaw = Flaw::Number(to as u64 + 1);
            assert_eq!(
                broken(&moved),
                Some(Broken {
                    line: from + 1,
                    flaw
                })
            );
        }
    }
}

#[test]
fn a_line_of_another_record_does_not_fit_in() {
    let whole = lines();
    let record: Record = verify(whole[..10].concat().as_bytes()).unwrap();
    let mut other = Record::default();
    for entry in record.entries {
        let entry = Entry {
            person: "birch".to_owned(),
            ..Arc::unwrap_or_clone(entry)
        };
        other.push(entry, None);
    }
    let mixed = [
        str::from_utf8(other.text()).unwrap().to_owned(),
        whole[10..].concat(),
    ];
    // The others' lines are sealed and numbered well; only the digest of the line before gives them away.
    assert_eq!(
        broken(&mixed),
        Some(Broken {
            line: 11,
            flaw: Flaw::Before
        })
    );
}
