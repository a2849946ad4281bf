//! What is written down: a number in its evidence's unit, a yes or no, a date, a time, a person, a text, a photograph.
//!
//! Takes what a person typed and what asks for it; gives the value as the record keeps it, and says whether it is within limits. The
//! limits go into the record with the number, so that it can be judged without the plan. What can be read in two ways, or cannot be real,
//! is refused here, while whoever typed it still stands beside the vehicle.

use serde::{Deserialize, Serialize};

use super::agreed::Asked;
use crate::job::date;
use crate::quantity::{Quantity, Unit, Units};
use crate::report::{Code, Problem, quoted};
use crate::rules::written::{MARK, OR_MARK};

/// Comparisons with limits are made to this step, as those of rules are.
const STEP: f64 = 1e-6;

/// One value of an entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Entered {
    /// What is so, or is not.
    Yes(bool),
    /// Words, a date, a time, a name.
    Text(String),
    /// A number with the limits that held when it was written down.
    Number(Number),
    /// A photograph.
    Photo(Photo),
}

/// A photograph, kept beside the record under its digest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// How many bytes it has.
    pub bytes: u64,
    /// What it is: `jpeg` or `png`.
    pub kind: String,
    /// SHA-256 of the file.
    pub sha256: String,
}

/// A measured number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Number {
    /// The least that was right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    /// The most that was right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
    /// How far it may be off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<f64>,
    /// The unit's code, as plans have it.
    pub unit: String,
    /// The number, in `unit`.
    pub value: f64,
}

impl Number {
    /// A number with the limits of its asked.
    pub(super) fn of(quantity: Quantity, asked: &Asked) -> Self {
        Self {
            value: quantity.value,
            unit: quantity.unit.code().to_owned(),
            tolerance: Some(quantity.tolerance).filter(|half| *half > 0.0),
            least: asked.least,
            most: asked.most,
        }
    }

    fn is_within(&self, least: Option<f64>, most: Option<f64>) -> bool {
        let half = self.tolerance.unwrap_or(0.0);
        let (low, high) = (self.value - half, self.value + half);
        least.is_none_or(|least| low >= least - STEP) && most.is_none_or(|most| high <= most + STEP)
    }

    /// The number as a quantity; none when its unit is not known.
    pub fn quantity(&self) -> Option<Quantity> {
        Some(Quantity {
            value: self.value,
            tolerance: self.tolerance.unwrap_or(0.0),
            unit: self.unit.parse().ok()?,
        })
    }
}

impl Entered {
    /// Whether the value is what is asked for: a number within its limits at both ends of its tolerance, a yes,
    /// words that say something.
    pub fn is_right(&self, asked: &Asked) -> bool {
        match self {
            Self::Yes(yes) => *yes,
            Self::Text(text) => !text.trim().is_empty(),
            Self::Photo(_) => true,
            Self::Number(number) => number.is_within(asked.least, asked.most),
        }
    }

    /// Whether the value was what was asked for when it was written down.
    pub(crate) fn was_right(&self) -> bool {
        match self {
            Self::Yes(yes) => *yes,
            Self::Number(number) => number.is_within(number.least, number.most),
            _ => true,
        }
    }

    /// The value as people read it, in the system of units.
    pub fn print(&self, units: Units) -> String {
        match self {
            Self::Yes(true) => "yes".to_owned(),
            Self::Yes(false) => "no".to_owned(),
            Self::Text(text) => text.clone(),
            Self::Photo(photo) => {
                format!("photograph {}", photo.sha256.get(..8).unwrap_or_default())
            }
            Self::Number(number) => match number.quantity() {
                Some(quantity) => quantity.print(units),
                None => format!("{} {}", number.value, number.unit),
            },
        }
    }
}

/// Reads what was typed for something that is asked for; fails with the problem of what is no such value.
pub(super) fn read(asked: &Asked, typed: &str) -> Result<Entered, Problem> {
    let text = typed.trim();
    match asked.kind.as_str() {
        OR_MARK if text == MARK => words(asked, text),
        "number" | OR_MARK => number(asked, text),
        "yes" => yes(asked, text),
        "date" | "until" => date(asked, text),
        "time" => time(asked, text),
        "person" | "text" if text.is_empty() => Err(none(asked)),
        "person" => person(asked, text),
        // A refusal, or that there is none, is no approval.
        "paper" if !text.contains(|one: char| one.is_ascii_digit()) => Err(no_paper(asked, text)),
        "photo" => Err(Problem::error(
            Code::BadEvidence,
            format!("`{}` is a photograph", asked.name),
        )
        .help(format!("add `--photo {}=FILE`", asked.name))),
        _ => words(asked, text),
    }
}

fn no_paper(asked: &Asked, text: &str) -> Problem {
    let message = format!("`{}` names no paper: `{}`", asked.name, quoted(text));
    let help = "write whose it is, with its number or date; without it the work does not go on";
    Problem::error(Code::BadEvidence, message).help(help)
}

fn none(asked: &Asked) -> Problem {
    let message = format!("`{}` takes a few words, and there are none", asked.name);
    Problem::error(Code::EvidenceMissing, message)
        .help(format!("write `--value {}='…'`", asked.name))
}

fn not(asked: &Asked, what: &str, typed: &str, help: &str) -> Problem {
    let message = format!("`{}` takes {what}, not `{}`", asked.name, quoted(typed));
    Problem::error(Code::BadEvidence, message)
        .help(format!("write `--value {}={help}`", asked.name))
}

fn yes(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    match text.to_ascii_lowercase().as_str() {
        "yes" => Ok(Entered::Yes(true)),
        "no" => Ok(Entered::Yes(false)),
        _ => Err(Problem {
            code: Code::UnknownChoice,
            ..not(asked, "yes or no", text, "yes")
        }),
    }
}

fn date(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    let found = date::day(text).map(date::print_day);
    let found = found.map(Entered::Text);
    found.ok_or_else(|| not(asked, "a date", text, "2026-03-02"))
}

fn time(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    let (day, clock) = text.rsplit_once([' ', 'T']).unwrap_or(("", text));
    let fine = day.is_empty() || date::day(day).is_some();
    let clock = date::minute(clock).filter(|_| fine).map(date::print_minute);
    let found = clock.map(|clock| Entered::Text(format!("{day} {clock}").trim().to_owned()));
    found.ok_or_else(|| not(asked, "a time of the day", text, "08:30"))
}

/// A name has at least two letters, and is no word that stands for having looked.
fn person(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    if letters < 2 || says_nothing(text) || says_none(text) {
        return Err(not(asked, "somebody's name", text, "'…'"));
    }
    Ok(Entered::Text(text.to_owned()))
}

fn words(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    if text.is_empty() {
        return Err(none(asked));
    }
    let ask = asked.ask.print(Units::Metric);
    let offered = ["none", "nothing"].iter().any(|word| ask.contains(word));
    if says_nothing(text) || (says_none(text) && !offered) {
        let message = format!("`{}` is no answer to “{ask}”", quoted(text));
        let help = format!("write what it is: `--value {}='…'`", asked.name);
        return Err(Problem::error(Code::BadEvidence, message).help(help));
    }
    Ok(Entered::Text(text.to_owned()))
}

/// Whether a text says that there is none: an approval or a certificate without a number is none.
fn says_none(text: &str) -> bool {
    let word = bare(text);
    matches!(
        word.as_str(),
        "none" | "no" | "nil" | "nothing" | "na" | "n/a"
    )
}

fn bare(text: &str) -> String {
    let word = text.trim_matches(|c: char| !c.is_alphanumeric());
    word.to_lowercase()
}

/// Whether a text only says that somebody looked, and not what was found.
fn says_nothing(text: &str) -> bool {
    matches!(
        bare(text).as_str(),
        "" | "ok" | "okay" | "yes" | "done" | "fine" | "good" | "x" | "tick"
    )
}

fn number(asked: &Asked, text: &str) -> Result<Entered, Problem> {
    let name = format!("`{}`", asked.name);
    let quantity = quantity(&name, text, asked.unit.unwrap_or(Unit::One))?;
    Ok(Entered::Number(Number::of(quantity, asked)))
}

/// A quantity that can be read in one way only, and can be real.
pub(super) fn quantity(what: &str, text: &str, unit: Unit) -> Result<Quantity, Problem> {
    if let Some((one, other)) = two_readings(text, unit) {
        return Err(ambiguous(what, text, &one, &other));
    }
    let read = Quantity::parse(text, unit).map_err(|error| {
        let message = format!("{what}: {error}");
        Problem::error(error.code(), message).help(error.help())
    })?;
    real(what, &read)?;
    Ok(read)
}

/// Refuses a number that cannot be real on any vehicle; a value that is only wrong is written down and told.
fn real(what: &str, quantity: &Quantity) -> Result<(), Problem> {
    let (low, high) = range(quantity.unit);
    if quantity.least() >= low && quantity.most() <= high {
        return Ok(());
    }
    let shown = |value: f64| Quantity::exact(value, quantity.unit).print(Units::Metric);
    let far = quantity.least().abs().max(quantity.most().abs()) > 1e9;
    let said = if far {
        "as large as that".to_owned()
    } else {
        quantity.print(Units::Metric)
    };
    let message = format!("{what} cannot be {said}");
    let help = format!("between {} and {} is possible", shown(low), shown(high));
    Err(Problem::error(Code::OutOfRange, message).help(help))
}

/// What a number of a unit can be in a workshop, far outside anything that is right (common practice).
fn range(unit: Unit) -> (f64, f64) {
    match unit {
        Unit::Mm => (-20_000.0, 20_000.0),
        Unit::Metre => (-10_000.0, 10_000.0),
        Unit::Km => (0.0, 3_000_000.0),
        Unit::Degree => (-3_600.0, 3_600.0),
        Unit::Kg => (0.0, 40_000.0),
        Unit::Kilonewton | Unit::Gravity => (-1_000.0, 1_000.0),
        Unit::NewtonMetre => (0.0, 2_000.0),
        Unit::Megapascal => (-2_000.0, 2_000.0),
        Unit::SquareMm => (0.0, 1e8),
        Unit::KmPerHour => (0.0, 500.0),
        Unit::Percent => (-100.0, 1_000.0),
        Unit::Newton | Unit::One => (-1e6, 1e6),
    }
}

/// The two ways in which a number can be read: a fraction of a percentage, a point that may part thousands of kilometres.
fn two_readings(text: &str, unit: Unit) -> Option<(String, String)> {
    let number: String = text
        .chars()
        .take_while(|c| !c.is_alphabetic() && *c != '%')
        .collect();
    let number = number.trim();
    if unit == Unit::Percent
        && let Some((over, under)) = number.split_once('/')
    {
        let (over, under): (f64, f64) = (over.trim().parse().ok()?, under.trim().parse().ok()?);
        let share = over / under;
        return Some((format!("{} %", share * 100.0), format!("{share} %")));
    }
    if unit == Unit::Km
        && let Some((before, after)) = number.split_once(['.', ','])
    {
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        if digits(before) && before.len() <= 3 && digits(after) && after.len() == 3 {
            let short = match after.trim_end_matches('0') {
                "" => "0".to_owned(),
                // With three digits behind its point it would be asked about again.
                short if short.len() == 3 => format!("{short}0"),
                short => short.to_owned(),
            };
            return Some((
                format!("{before}{after} km"),
                format!("{before}.{short} km"),
            ));
        }
    }
    None
}

/// The problem of a number that can be read in two ways.
fn ambiguous(what: &str, typed: &str, one: &str, other: &str) -> Problem {
    let message = format!(
        "{what} is `{}`, which can be read as {one} or as {other}",
        quoted(typed)
    );
    let help = format!("write `{one}`, or `{other}` if that is meant");
    Problem::error(Code::TwoReadings, message).help(help)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Text;

    #[test]
    fn none_is_an_answer_only_where_it_is_offered() {
        let mut text = Asked {
            name: "approval".to_owned(),
            ask: Text::plain("number of the approval"),
            item: None,
            kind: "text".to_owned(),
            unit: None,
            least: None,
            most: None,
        };
        assert_eq!(read(&text, "None.").unwrap_err().code, Code::BadEvidence);
        assert_eq!(read(&text, "  ").unwrap_err().code, Code::EvidenceMissing);
        text.ask = Text::plain("lamps that stay on (none, or which)");
        assert!(read(&text, "None.").is_ok());
    }
}
