//! Heights and verdicts as pages and pictures word them.
//!
//! Takes values of this stage; gives plain text, not yet escaped. A break is rounded to a tenth of a millimetre, or a hundredth of an inch,
//! towards the lighter verdict's side: what is printed as still right is right.

use super::{Bar, Bars, Heights, SAME};
use crate::quantity::{Quantity, Round, Unit, Units};
use crate::text::capital;

/// A height as printed, rounded to the side that is said.
pub(crate) fn height(value: f64, round: Round, units: Units) -> String {
    let step = match units {
        Units::Metric => 0.1,
        Units::Inch => 0.254,
    };
    let steps = value / step;
    // What halving left open must not push a whole step over its edge.
    let hair = 0.01;
    let whole = match round {
        Round::Nearest => steps.round(),
        Round::Up => (steps - hair).ceil(),
        Round::Down => (steps + hair).floor(),
    };
    Quantity::exact(whole * step, Unit::Mm).print(units)
}

/// A height that somebody states, to the nearest; one that is worked out from what a tyre needs lies between two tenths of a millimetre,
/// and is rounded up.
pub(crate) fn stated(value: f64, units: Units) -> String {
    let tenths = value * 10.0;
    let whole = (tenths - tenths.round()).abs() < 1e-6;
    let round = if whole { Round::Nearest } else { Round::Up };
    height(value, round, units)
}

/// Where one stretch ends and the next begins, as printed.
pub(crate) fn break_text(before: &Bar, after: &Bar, units: Units) -> String {
    let round = if after.standing.heavier(&before.standing) {
        Round::Down
    } else {
        Round::Up
    };
    height(after.from, round, units)
}

/// The verdicts on a connection over the range: `leave to 13 mm, extend above`.
pub(crate) fn verdicts(link: &Bars, units: Units) -> String {
    let mut words = String::new();
    let last = link.bars.len().saturating_sub(1);
    for (number, bar) in link.bars.iter().enumerate() {
        let name = bar.standing.words();
        let next = link.bars.get(number + 1);
        let part = match next {
            Some(next) if bar.to - bar.from <= SAME => {
                format!("{name} at {}", break_text(bar, next, units))
            }
            Some(next) => format!("{name} to {}", break_text(bar, next, units)),
            None if last == 0 => name.to_owned(),
            None => format!("{name} above"),
        };
        if number > 0 {
            words.push_str(", ");
        }
        words.push_str(&part);
    }
    words
}

/// Every connection in the order of the heights by what it is called; mounts whose verdicts change alike are one, as `Mounts C1L, C1R` with
/// the first of them.
pub(crate) fn together(heights: &Heights) -> Vec<(String, &Bars)> {
    let mut rows: Vec<(Vec<&str>, &Bars)> = Vec::new();
    for link in &heights.links {
        let known = rows.iter_mut().find(|(titles, first)| {
            let mounts = [titles.first(), Some(&link.title.as_str())];
            first.bars == link.bars
                && mounts
                    .iter()
                    .all(|title| title.is_some_and(|title| title.starts_with(MOUNT)))
        });
        match known {
            Some((titles, _)) => titles.push(&link.title),
            None => rows.push((vec![&link.title], link)),
        }
    }
    let rows = rows.into_iter();
    let rows = rows.map(|(names, link)| (capital(&titles(names)), link));
    rows.collect()
}

/// What the title of a mount begins with, before its id.
const MOUNT: &str = "mount ";

/// Titles as one phrase, mounts drawn together: `mounts C1L, C1R; fuel filler hose`.
pub(crate) fn titles<'a>(titles: impl IntoIterator<Item = &'a str>) -> String {
    let (mounts, others): (Vec<&str>, Vec<&str>) = titles
        .into_iter()
        .partition(|title| title.starts_with(MOUNT));
    let mut phrases: Vec<String> = others.into_iter().map(str::to_owned).collect();
    let ids: Vec<&str> = mounts
        .iter()
        .filter_map(|title| title.strip_prefix(MOUNT))
        .collect();
    match ids.as_slice() {
        [] => {}
        [id] => phrases.push(format!("mount {id}")),
        ids => phrases.push(format!("mounts {}", ids.join(", "))),
    }
    phrases.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::heights::AtHeight;
    use crate::rules::{Area, Verdict};

    fn bar(from: f64, to: f64, verdict: Verdict) -> Bar {
        let work = verdict != Verdict::Leave;
        let standing = AtHeight {
            verdict: Some(verdict),
            word: verdict.word(),
            work,
            decided_by: String::new(),
        };
        Bar { from, to, standing }
    }

    fn link(bars: Vec<Bar>) -> Bars {
        Bars {
            id: "x".to_owned(),
            title: "x".to_owned(),
            area: Area::Cab,
            bars,
        }
    }

    #[test]
    fn breaks_are_rounded_to_the_safe_side() {
        let heavier = link(vec![
            bar(0.0, 12.98, Verdict::Leave),
            bar(12.98, 75.0, Verdict::Extend),
        ]);
        let words = verdicts(&heavier, Units::Metric);
        assert_eq!(words, "leave to 12.9 mm, extend above");
        let lighter = link(vec![
            bar(0.0, 30.52, Verdict::Fabricate),
            bar(30.52, 75.0, Verdict::Leave),
        ]);
        assert_eq!(
            verdicts(&lighter, Units::Metric),
            "fabricate to 30.6 mm, leave above"
        );
        assert_eq!(
            verdicts(&lighter, Units::Inch),
            "fabricate to 1.21 in, leave above"
        );
    }

    #[test]
    fn a_limit_on_a_whole_millimetre_is_printed_as_that() {
        for value in [13.0, 13.0 - 1e-4, 13.0 + 1e-4] {
            assert_eq!(height(value, Round::Down, Units::Metric), "13 mm");
            assert_eq!(height(value, Round::Up, Units::Metric), "13 mm");
            assert_eq!(stated(40.0, Units::Inch), "1.57 in");
            assert_eq!(stated(40.04, Units::Inch), "1.58 in");
        }
    }

    #[test]
    fn mounts_are_named_together() {
        assert_eq!(
            titles(["mount C1L", "hose", "mount C1R"]),
            "hose; mounts C1L, C1R"
        );
        assert_eq!(titles(["mount C1L"]), "mount C1L");
    }
}
