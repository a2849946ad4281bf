//! Where in a YAML text: takes keys and indices one after the other, gives a path that prints, sorts and is cheap
//! to copy. Finding the path in a text is left to the text's reader.

use std::fmt;
use std::sync::Arc;

use super::clean::in_message;

/// One step down a YAML text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PathStep {
    /// Into the entry of a map.
    Key(Arc<str>),
    /// Into the item of a list, counted from 0.
    Index(usize),
}

/// What a path points at, once its last step is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Point {
    /// The value there.
    Value,
    /// The key before the value: for a key that should not be there, or whose value is missing.
    Key,
    /// These bytes of the text, whatever the path is: for what has no path, such as a mistake in the syntax.
    Bytes {
        /// The first byte.
        start: usize,
        /// The byte after the last.
        end: usize,
    },
}

/// A place in a YAML text, such as `links[3].measured.slack`.
///
/// ```
/// use liftsheet::report::Path;
/// let path = Path::root().key("links").index(3).key("measured");
/// assert_eq!(path.to_string(), "links[3].measured");
/// assert_eq!(path.parent().unwrap().to_string(), "links[3]");
/// assert_eq!(Path::root().key("odd key").to_string(), "\"odd key\"");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Path {
    steps: Arc<[PathStep]>,
    point: Point,
}

impl Path {
    /// The whole text.
    pub fn root() -> Self {
        Self::from_steps(Vec::new())
    }

    /// These steps from the root, pointing at the value.
    pub fn from_steps(steps: Vec<PathStep>) -> Self {
        Self {
            steps: steps.into(),
            point: Point::Value,
        }
    }

    /// One step on, to the value of a key.
    #[must_use]
    pub fn key(&self, key: impl Into<Arc<str>>) -> Self {
        self.step(PathStep::Key(key.into()))
    }

    /// One step on, to an item of a list, counted from 0.
    #[must_use]
    pub fn index(&self, index: usize) -> Self {
        self.step(PathStep::Index(index))
    }

    /// One step on.
    #[must_use]
    pub fn step(&self, step: PathStep) -> Self {
        let steps = self.steps.iter().cloned().chain([step]).collect();
        Self {
            steps,
            point: Point::Value,
        }
    }

    /// One step on, to the key itself instead of its value.
    #[must_use]
    pub fn key_of(&self, key: impl Into<Arc<str>>) -> Self {
        self.key(key).at_key()
    }

    /// The same path, pointing at the key of its last step.
    #[must_use]
    pub fn at_key(&self) -> Self {
        Self {
            steps: Arc::clone(&self.steps),
            point: Point::Key,
        }
    }

    /// The same path, pointing at bytes of the text.
    #[must_use]
    pub fn at_bytes(&self, start: usize, end: usize) -> Self {
        Self {
            steps: Arc::clone(&self.steps),
            point: Point::Bytes { start, end },
        }
    }

    /// The path without its last step, or nothing for the root.
    pub fn parent(&self) -> Option<Self> {
        let (_, above) = self.steps.split_last()?;
        Some(Self {
            steps: above.into(),
            point: Point::Value,
        })
    }

    /// The steps from the root.
    pub fn steps(&self) -> &[PathStep] {
        &self.steps
    }

    /// What is pointed at.
    pub fn point(&self) -> Point {
        self.point
    }

    /// Whether this is the whole text.
    pub fn is_root(&self) -> bool {
        self.steps.is_empty()
    }

    /// Whether the other path is this one or lies below it.
    pub fn contains(&self, other: &Self) -> bool {
        other.steps.starts_with(&self.steps)
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (count, step) in self.steps.iter().enumerate() {
            match step {
                PathStep::Index(index) => write!(f, "[{index}]")?,
                PathStep::Key(key) => {
                    f.write_str(if count == 0 { "" } else { "." })?;
                    write_key(f, key)?;
                }
            }
        }
        Ok(())
    }
}

/// A key that could be mistaken for more than one step, or for none, is printed in quotes.
fn write_key(f: &mut fmt::Formatter<'_>, key: &str) -> fmt::Result {
    let clean = in_message(key);
    let plain = |c: char| c.is_alphanumeric() || "_-/+%°".contains(c);
    if !clean.is_empty() && clean.chars().all(plain) {
        f.write_str(&clean)
    } else {
        write!(f, "\"{}\"", clean.replace('"', "\\\""))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_sort_by_number_and_come_after_what_holds_them() {
        let list = Path::root().key("links");
        let mut paths = [
            list.index(10),
            list.index(9).key("id"),
            list.index(9),
            list.clone(),
        ];
        paths.sort();
        let texts: Vec<String> = paths.iter().map(Path::to_string).collect();
        assert_eq!(texts, ["links", "links[9]", "links[9].id", "links[10]"]);
    }

    #[test]
    fn a_key_with_a_dot_or_an_escape_prints_as_one_step() {
        assert_eq!(Path::root().key("a.b").key("c").to_string(), "\"a.b\".c");
        assert_eq!(Path::root().key("\u{1b}[2J").to_string(), "\"\\u{1b}[2J\"");
    }

    #[test]
    fn a_path_contains_itself_and_what_is_below() {
        let list = Path::root().key("links");
        assert!(list.contains(&list.at_key()));
        assert!(list.contains(&list.index(1).key("id")));
        assert!(!list.index(1).contains(&list));
        assert!(!list.contains(&Path::root().key("links2")));
    }
}
