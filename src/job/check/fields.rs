//! Reading single fields of a job file: quantities in their range, words of a list, ids, places on the vehicle.
//!
//! Every method reports what is wrong and gives nothing then, so that the caller can go on to the next field.

use std::collections::BTreeMap;

use super::counts;
use crate::calc::Range;
use crate::job::written::{HeldBy, Link, Measured};
use crate::job::{Measurements, Point};
use crate::quantity::{Quantity, Unit, Written, yes_no};
use crate::report::{Code, Path, or_list, unknown_help};

/// The file that is checked and the report that its problems go to.
pub(super) use crate::report::Notes as Fields;

/// Places on a vehicle: nothing is farther than this from its origin, mm.
const REACH: f64 = 20_000.0;
/// The longest id, in characters.
const LONGEST_ID: usize = 64;

/// Whether a text can be an id.
pub(crate) fn is_id(id: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let starts = id.chars().next().is_some_and(|c| c.is_ascii_alphanumeric());
    starts && id.chars().all(plain) && id.len() <= LONGEST_ID
}

impl Fields<'_> {
    /// A quantity of the unit's kind and in its range; a tolerance may not leave the range either.
    pub(super) fn quantity(
        &mut self,
        written: &Written,
        unit: Unit,
        range: Range,
        path: &Path,
    ) -> Option<Quantity> {
        let quantity = self.parsed(written.as_str(), unit, || path.clone())?;
        if range.allows(quantity.least()) && range.allows(quantity.most()) {
            return Some(quantity);
        }
        let unit = match unit {
            Unit::One => String::new(),
            _ => format!(" {}", unit.code()),
        };
        let message = format!("`{written}` is out of range");
        let help = format!("allowed here: {}{unit}", range.phrase());
        self.error(Code::OutOfRange, path, message, help);
        None
    }

    /// The number of an optional field with which nothing is judged over a tolerance; none also when it is wrong.
    pub(super) fn number(
        &mut self,
        written: Option<&Written>,
        unit: Unit,
        range: Range,
        path: &Path,
    ) -> Option<f64> {
        let written = written?;
        let quantity = self.quantity(written, unit, range, path)?;
        if quantity.tolerance > 0.0 {
            let message =
                format!("`{written}` has a tolerance, with which nothing is worked out here");
            let help =
                "write the number alone; where it is not known closely, the one on the safe side";
            self.error(Code::OutOfRange, path, message, help);
        }
        Some(quantity.value)
    }

    /// Yes or no; none also when it is wrong.
    pub(super) fn flag(&mut self, written: Option<&Written>, path: &Path) -> Option<bool> {
        let text = written?.as_str();
        let answer = yes_no(text);
        if answer.is_none() {
            let message = format!("`{text}` is neither yes nor no");
            self.error(Code::UnknownChoice, path, message, "write `yes` or `no`");
        }
        answer
    }

    /// The position of a word among the words allowed.
    pub(super) fn word(&mut self, given: &str, allowed: &[&str], path: &Path) -> Option<usize> {
        let found = allowed.iter().position(|word| *word == given);
        if found.is_none() {
            let message = format!("`{given}` is not {}", or_list(allowed));
            let help = unknown_help(given, allowed.iter().copied());
            self.error(Code::UnknownChoice, path, message, help);
        }
        found
    }

    /// Whether a text can be an id: it stands in file names, task ids and expressions.
    pub(super) fn id(&mut self, id: &str, path: &Path) {
        if !is_id(id) {
            let shown: String = id.chars().take(LONGEST_ID).collect();
            let message = format!("`{shown}` cannot be an id");
            let help =
                "use up to 64 letters, digits, `-` and `_`, beginning with a letter or digit";
            self.error(Code::BadId, path, message, help);
        }
    }

    /// A place on the vehicle.
    pub(super) fn point(&mut self, written: &[Written; 3], path: &Path) -> Option<Point> {
        let range = Range::Within(-REACH, REACH);
        let [x, y, z] = written;
        let x = self.quantity(x, Unit::Mm, range, &path.index(0));
        let y = self.quantity(y, Unit::Mm, range, &path.index(1));
        let z = self.quantity(z, Unit::Mm, range, &path.index(2));
        Some([x?.value, y?.value, z?.value])
    }

    /// Measured values, each with the path at which it stands.
    pub(super) fn measurements(
        &mut self,
        measured: &BTreeMap<String, Measured>,
        under: &Path,
    ) -> Measurements {
        let mut found = Measurements::new();
        for (name, value) in measured {
            let path = under.key(name.as_str());
            if let Measured::Each(entries) = value
                && entries.len() > counts::ENTRIES
            {
                let what = "entries of one measurement";
                self.too_many(entries.len(), counts::ENTRIES, what, &path);
            }
            found.insert(name.clone(), (value.clone(), path));
        }
        found
    }

    /// The entries of a list up to the limit; reports when there are more. `what` names them and whose they are.
    pub(super) fn up_to<'a, T>(
        &mut self,
        entries: &'a [T],
        most: usize,
        what: &str,
        path: &Path,
    ) -> &'a [T] {
        match entries.get(..most) {
            Some(first) if entries.len() > most => {
                self.too_many(entries.len(), most, what, path);
                first
            }
            _ => entries,
        }
    }

    /// Reports that more parts hold the links of the vehicle than the limit.
    pub(super) fn holders(&mut self, links: &[Link], path: &Path) {
        let held = links.iter().filter_map(|link| link.held_by.as_ref());
        let count = held.map(|HeldBy(holders)| holders.len()).sum();
        if count > counts::HOLDERS {
            let what = "parts that hold links between their ends";
            self.too_many(count, counts::HOLDERS, what, path);
        }
    }

    /// Reports that there are more than the limit.
    pub(super) fn too_many(&mut self, count: usize, most: usize, what: &str, path: &Path) {
        let message = format!("{count} {what} are more than this program takes: at most {most}");
        let help = "look whether something was repeated by mistake, and give each vehicle a job file of its own";
        self.error(Code::TooMany, path, message, help);
    }
}
