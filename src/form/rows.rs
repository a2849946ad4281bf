//! As many mounts as a vehicle has, in pairs along each body between where a pattern has its first and its last.

use crate::report::{in_message, numbered};
use crate::rules::pattern::{Mount, Raise};

/// The most mounts that anybody may ask for; a vehicle has a dozen or two.
const MOST: usize = 40;

/// Mounts in pairs, named and placed as those of the pattern: `8` in all, or `4+4` for each body that goes up.
pub(super) fn spread(
    mounts: &[Mount],
    raise: &[Raise],
    wished: &str,
) -> Result<Vec<Mount>, String> {
    let bodies: Vec<Vec<&Mount>> = raise
        .iter()
        .map(|raise| {
            mounts
                .iter()
                .filter(|mount| mount.group == raise.group)
                .collect()
        })
        .collect();
    let usual: Vec<usize> = bodies.iter().map(|own| own.len() / 2).collect();
    let pairs = pairs(wished, &usual)?;
    let mut all = Vec::new();
    for (own, pairs) in bodies.iter().zip(pairs) {
        let (left, right): (Vec<&Mount>, Vec<&Mount>) =
            own.iter().copied().partition(|mount| mount.at[1] > 0.0);
        for row in 0..pairs {
            all.extend(placed(&left, (row, pairs)));
            all.extend(placed(&right, (row, pairs)));
        }
    }
    Ok(all)
}

/// How many pairs each body has.
fn pairs(wished: &str, usual: &[usize]) -> Result<Vec<usize>, String> {
    let shown = in_message(wished);
    let counts: Option<Vec<usize>> = wished
        .split('+')
        .map(|count| count.trim().parse().ok())
        .collect();
    let counts = counts.ok_or_else(|| {
        format!("`{shown}` is no number of mounts; write such as `mounts=8`, or `mounts=4+4` for each body")
    })?;
    if counts.iter().any(|count| count % 2 != 0 || *count > MOST) {
        return Err(format!(
            "mounts come in pairs, left and right, and {MOST} at the most; `{shown}` are none"
        ));
    }
    let counts = match counts.as_slice() {
        [all] if usual.len() > 1 => shared(all / 2, usual),
        each => each.iter().map(|count| count / 2).collect(),
    };
    if counts.len() != usual.len() {
        let bodies = match usual.len() {
            1 => "1 body goes".to_owned(),
            count => format!("{count} bodies go"),
        };
        return Err(format!(
            "{bodies} up, and `{shown}` are mounts of {}",
            counts.len()
        ));
    }
    if counts.iter().any(|count| *count < 2) {
        return Err(format!(
            "a body stands on two pairs of mounts at least, so on {} here, and not on `{shown}`",
            numbered(4 * usual.len(), "mount")
        ));
    }
    Ok(counts)
}

/// Pairs shared out to the bodies as the pattern has them; the first goes before.
fn shared(all: usize, usual: &[usize]) -> Vec<usize> {
    let mut counts = vec![0; usual.len()];
    for _ in 0..all {
        // Two pairs for each come first, then whoever has the fewest of what is usual: counts are compared crosswise.
        let next = (0..usual.len()).min_by(|a, b| {
            let (a, b) = (*a, *b);
            let share = |own: usize, other: usize| {
                counts.get(own).copied().unwrap_or(0) * usual.get(other).copied().unwrap_or(1)
            };
            let few = |own: usize| counts.get(own).is_some_and(|count| *count >= 2);
            few(a).cmp(&few(b)).then(share(a, b).cmp(&share(b, a)))
        });
        if let Some(count) = next.and_then(|next| counts.get_mut(next)) {
            *count += 1;
        }
    }
    counts
}

fn placed(usual: &[&Mount], (row, rows): (usize, usize)) -> Option<Mount> {
    let last = usual.len().checked_sub(1)?;
    let steps = rows.saturating_sub(1).max(1);
    // Between which two of the pattern's it stands, in parts of a step, so that what falls on one of them is that one.
    let (before, rest) = (row * last / steps, row * last % steps);
    let (from, to) = (usual.get(before)?, usual.get((before + 1).min(last))?);
    let part = f64::from(u16::try_from(rest).ok()?) / f64::from(u16::try_from(steps).ok()?);
    let at = std::array::from_fn(|axis| {
        let (from, to) = (
            from.at.get(axis).copied().unwrap_or(0.0),
            to.at.get(axis).copied().unwrap_or(0.0),
        );
        if rest == 0 {
            from
        } else {
            ((from + (to - from) * part) / 10.0).round() * 10.0
        }
    });
    Some(Mount {
        id: named(&usual.first()?.id, row + 1),
        at,
        whereabouts: from.whereabouts.clone().filter(|_| rest == 0),
        ..(*from).clone()
    })
}

/// The name of the first, `C1L`, with another number: `C4L`.
fn named(first: &str, number: usize) -> String {
    match first.split_once(|sign: char| sign.is_ascii_digit()) {
        Some((before, after)) => {
            let after = after.trim_start_matches(|sign: char| sign.is_ascii_digit());
            format!("{before}{number}{after}")
        }
        None => format!("{first}{number}"),
    }
}
