//! Small pieces of wording that several pages share: times, numbers of tasks, limits, trades, headings, and what is said of several things.
//!
//! Takes values of the plan; gives plain text, not yet escaped.

use std::collections::BTreeMap;

use crate::job::Job;
use crate::plan::{BenchPart, Evidence, Minutes, Sized, Task};
use crate::quantity::{self, Quantity, Round, Unit, Units};
pub(super) use crate::report::number_runs as numbers;
use crate::rules::written::Due;
use crate::rules::{COUNTED, PartKind, Size, Stage};
pub(super) use crate::sorted::drawn_together;
pub(crate) use crate::text::capital;

/// Tasks by their numbers: `task 20`, `tasks 18, 21 to 23`.
pub(super) fn tasks(mut numbers: Vec<usize>) -> String {
    numbers.sort_unstable();
    numbers.dedup();
    let noun = if numbers.len() == 1 { "task" } else { "tasks" };
    format!("{noun} {}", self::numbers(numbers))
}

/// The letter of what stands at a place, from 0: A to Z, then A2 and so on.
pub(super) fn letter(place: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(place % 26).unwrap_or_default());
    match place / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

/// The letters and digits of a text in small letters, joined by hyphens, with a number behind them where that is taken: `cab-mounts-2`.
pub(crate) fn free_id(text: &str, otherwise: &str, is_taken: impl Fn(&str) -> bool) -> String {
    let words = text.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let plain = if words.is_empty() {
        otherwise.to_owned()
    } else {
        words.join("-")
    };
    let numbered = (2..).map(|number| format!("{plain}-{number}"));
    let mut ids = std::iter::once(plain.clone()).chain(numbered);
    ids.find(|id| !is_taken(id)).unwrap_or(plain)
}

/// As much of a digest as tells it from every other on paper: its kind and sixteen digits.
pub(super) fn digest(whole: &str) -> String {
    whole.chars().take(23).collect()
}

/// The heading of a stretch of work: `Raise: cab, left side`.
pub(super) fn slot_heading(job: &Job, task: &Task) -> String {
    let mut heading = match task.stage {
        Stage::Measure => "Measure first".to_owned(),
        Stage::Check => match task.moment {
            Some(moment) => format!("Check: {}", moment.word()),
            None => capital(Stage::Check.word()),
        },
        stage => capital(stage.word()),
    };
    if let Some(group) = &task.group {
        heading.push_str(": ");
        heading.push_str(job.part_title(group));
        if let Some(side) = task.side {
            heading.push_str(", ");
            heading.push_str(side.word());
            heading.push_str(" side");
        }
    }
    heading
}

/// Minutes as hours and minutes, to the nearest five minutes from an hour on.
pub(super) fn duration(minutes: f64) -> String {
    let step = if minutes < 60.0 { 1.0 } else { 5.0 };
    let whole = (minutes / step).round() * step;
    let (hours, rest) = ((whole / 60.0).floor(), whole % 60.0);
    if hours < 1.0 {
        format!("{rest:.0} min")
    } else if rest < 1.0 {
        format!("{hours:.0} h")
    } else {
        format!("{hours:.0} h {rest:.0} min")
    }
}

/// Likely minutes with the low and high ones: `25 min (15 to 45)`.
pub(super) fn minutes(minutes: Minutes) -> String {
    if minutes.high < 60.0 {
        let Minutes { low, likely, high } = minutes;
        return format!("{likely:.0} min ({low:.0} to {high:.0})");
    }
    let [low, likely, high] = [minutes.low, minutes.likely, minutes.high].map(duration);
    format!("{likely} ({low} to {high})")
}

/// The limits of a value, each rounded to its safe side: `40 mm to 44 mm`. Nobody measures less than nothing, so that alone is not printed.
pub(super) fn limits(evidence: &Evidence, units: Units) -> Option<String> {
    let least = evidence.least;
    let least = least.filter(|least| *least != 0.0 || evidence.most.is_some());
    quantity::limits(evidence.unit, (least, evidence.most), units)
}

/// The limits of what is asked for in a record, in words; nothing where it has none.
#[cfg(feature = "serve")]
pub(crate) fn limits_asked(asked: &crate::record::Asked) -> String {
    quantity::limits(asked.unit, (asked.least, asked.most), Units::Metric).unwrap_or_default()
}

/// Who a licensed trade is, in plain words.
pub(super) fn trade(word: &str) -> &str {
    match word {
        "refrigerant" => "a refrigerant technician",
        "brakes" => "a brake mechanic",
        "restraint" => "a restraint systems technician",
        "engineer" => "a certifying engineer",
        "fuel" => "a fuel systems mechanic",
        "gas" => "a gas fitter for vehicles",
        "high-voltage" => "a high-voltage technician",
        "electrical" => "an automotive electrician",
        "windscreen-and-sensors" => "a calibration workshop for cameras and radars",
        other => other,
    }
}

/// A part with its count and sizes: `2 × bolt, M12x1.25, class 10.9, 100 mm long`.
pub(super) fn part(part: &BenchPart, units: Units) -> String {
    let sizes = sizes(part.kind, &part.sizes, units);
    let what = [part.what.print(units)].into_iter().chain(sizes);
    let what = what.collect::<Vec<_>>().join(", ");
    match (part.count, part.counted) {
        (1, "piece") => what,
        (count, "piece") => format!("{count} × {what}"),
        (count, counted) => format!("{} of {what}", count_of(count, counted)),
    }
}

/// How many of what is counted: `2 litres`.
pub(super) fn count_of(count: u32, counted: &str) -> String {
    let words = COUNTED.iter().find(|(one, _)| *one == counted);
    let (one, several) = words.copied().unwrap_or(("piece", "pieces"));
    format!("{count} {}", if count == 1 { one } else { several })
}

/// The sizes of a part, a phrase each. What is cut or made must not fall short; what is bought is named as it is sold.
pub(super) fn sizes(kind: PartKind, sizes: &BTreeMap<Size, Sized>, units: Units) -> Vec<String> {
    let sold = matches!(kind, PartKind::Bolt | PartKind::Spacer | PartKind::Nut);
    let one = |(size, value): (&Size, &Sized)| match value {
        Sized::Word(word) if *size == Size::Class => format!("class {word}"),
        Sized::Word(word) => word.clone(),
        Sized::Mm(value) => {
            let value = Quantity::exact(*value, Unit::Mm);
            let exact = value.print(units);
            let least = || value.print_limit(Round::Up, units);
            match size {
                Size::Bore => format!("bore {exact}"),
                Size::Outer => format!("{exact} outside"),
                Size::Inner => format!("{exact} inside"),
                Size::Height => format!("{exact} high"),
                Size::Thickness => format!("at least {} thick", least()),
                Size::Length if sold => format!("{exact} long"),
                Size::Length => format!("at least {} long", least()),
                _ => format!("at least {} longer than the old one", least()),
            }
        }
    };
    let whole = sizes.contains_key(&Size::Length);
    let nothing = |value: &Sized| matches!(value, Sized::Word(word) if word.trim().is_empty());
    let told = sizes
        .iter()
        .filter(|(size, value)| !(whole && **size == Size::Longer || nothing(value)));
    told.map(one).collect()
}

/// When a task is done again: `100 km after the lift`.
pub(super) fn due(due: &Due, units: Units) -> String {
    let distance = due.km.map(|km| {
        format!(
            "{} after the lift",
            Quantity::exact(km, Unit::Km).print(units)
        )
    });
    let parts: Vec<String> = distance.into_iter().chain(due.every.clone()).collect();
    parts.join(", then ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn evidence(least: Option<f64>, most: Option<f64>) -> Evidence {
        Evidence {
            name: "gap".to_owned(),
            ask: crate::text::Text::plain("gap"),
            item: None,
            kind: "number".to_owned(),
            unit: Some(Unit::Mm),
            least,
            most,
        }
    }

    #[test]
    fn limits_are_rounded_to_their_safe_side() {
        let print = |least, most| limits(&evidence(least, most), Units::Metric);
        assert_eq!(print(Some(27.3), None).as_deref(), Some("at least 28 mm"));
        assert_eq!(print(None, Some(27.9)).as_deref(), Some("at most 27 mm"));
        assert_eq!(
            print(Some(40.2), Some(43.8)).as_deref(),
            Some("41 mm to 43 mm")
        );
        assert_eq!(
            print(Some(40.2), Some(40.8)).as_deref(),
            Some("40.2 mm to 40.8 mm")
        );
        assert_eq!(print(Some(5.0), Some(5.0)).as_deref(), Some("5 mm"));
        let inches = limits(&evidence(Some(100.0), Some(100.0)), Units::Inch);
        assert_eq!(inches.as_deref(), Some("3.94 in (100 mm)"));
        assert_eq!(print(None, None), None);
        assert_eq!(print(Some(0.0), None), None);
        let inches = limits(&evidence(Some(27.3), None), Units::Inch);
        assert_eq!(inches.as_deref(), Some("at least 1.08 in"));
    }

    #[test]
    fn several_tasks_are_named_as_several() {
        assert_eq!(tasks(vec![20, 20]), "task 20");
        assert_eq!(tasks(vec![21, 18, 22, 23]), "tasks 18, 21 to 23");
    }

    #[test]
    fn times_read_as_hours() {
        assert_eq!(duration(59.4), "59 min");
        assert_eq!(duration(60.0), "1 h");
        assert_eq!(duration(683.0), "11 h 25 min");
        let long = Minutes {
            low: 30.0,
            likely: 45.0,
            high: 90.0,
        };
        assert_eq!(minutes(long), "45 min (30 min to 1 h 30 min)");
    }
}
