//! What was chosen of a pattern's options: read from words, completed with the defaults, given to conditions as names.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::model::{Choice, Pattern};
use crate::report::{unknown_help, unless};
use crate::rules::expression::{Expr, ExpressionError, Scope, render};
use crate::rules::names::choice_name;
use crate::sorted::Sorted as _;
use crate::text;

/// A word for every option of a pattern.
#[derive(Debug, Clone)]
pub struct Chosen {
    words: BTreeMap<String, String>,
    /// The names of conditions, each choice a yes or no of its own, and those of texts.
    conditions: Scope,
    texts: Scope,
}

impl Chosen {
    fn new(options: &BTreeMap<String, Choice>, words: BTreeMap<String, String>) -> Self {
        let (mut conditions, mut texts) = (Scope::default(), Scope::default());
        for (name, choice) in options {
            let word = words.get(name).unwrap_or(&choice.default);
            texts.set(name, text::clean(word));
            if choice.yes_no {
                conditions.set(name, word == "yes");
            } else {
                let chosen = choice.choices.iter();
                let chosen = chosen.map(|choice| (choice_name(choice), choice == word));
                conditions.set_fields(name, chosen);
            }
        }
        Self {
            words,
            conditions,
            texts,
        }
    }

    pub(crate) fn defaults(options: &BTreeMap<String, Choice>) -> Self {
        let words = options
            .iter()
            .map(|(name, choice)| (name.clone(), choice.default.clone()));
        Self::new(options, words.sorted_map())
    }

    /// The words by option.
    pub fn words(&self) -> &BTreeMap<String, String> {
        &self.words
    }

    /// Whether a condition holds; it does where there is none.
    pub(crate) fn holds(&self, when: Option<&Expr>) -> Result<bool, ExpressionError> {
        when.map_or(Ok(true), |when| when.holds(&self.conditions))
    }

    /// A text with the chosen words in it.
    pub(crate) fn fill(&self, text: &str) -> Result<String, ExpressionError> {
        let text = render(text, &self.texts)?;
        Ok(text.written())
    }
}

impl Pattern {
    /// Reads choices such as `("fuel", "petrol")`; what is not chosen takes its default. Fails with every choice that
    /// cannot be made, each a sentence with a way out.
    pub fn choose<'a>(
        &self,
        given: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Result<Chosen, Vec<String>> {
        let mut words = Chosen::defaults(&self.options).words;
        let mut problems = Vec::new();
        let mut seen = BTreeMap::new();
        for (name, word) in given {
            let Some(choice) = self.options.get(name) else {
                let help = unknown_help(name, self.options.keys().map(String::as_str));
                problems.push(format!(
                    "pattern `{}` has no option `{name}`; {help}",
                    self.id
                ));
                continue;
            };
            if !choice.choices.iter().any(|known| known == word) {
                let help = unknown_help(word, choice.choices.iter().map(String::as_str));
                problems.push(format!("`{name}` cannot be `{word}`; {help}"));
                continue;
            }
            if seen.insert(name, word).is_some() {
                problems.push(format!("`{name}` is chosen twice; choose once"));
            }
            words.insert(name.to_owned(), word.to_owned());
        }
        unless(problems, ()).map(|()| Chosen::new(&self.options, words))
    }

    /// Combinations in which every three choices of different options occur together, in a fixed order: a condition is seldom over more.
    pub fn combinations(&self) -> Vec<Chosen> {
        let options: Vec<&Choice> = self.options.values().collect();
        let mut open = together(&options);
        let mut all = Vec::new();
        while let Some(first) = open.first() {
            let row = row(first, &open, &options);
            open.retain(|some| {
                !some
                    .iter()
                    .all(|(option, word)| is(&row, *option) == Some(*word))
            });
            let words = self.options.iter().zip(&row);
            let words = words.filter_map(|((name, choice), word)| {
                Some((name.clone(), choice.choices.get((*word)?)?.clone()))
            });
            all.push(Chosen::new(&self.options, words.sorted_map()));
        }
        all
    }
}

/// Some choices: the option's number, and that of its word.
type Choices = Vec<(usize, usize)>;

/// The word of an option in a row of them, where it has one yet.
fn is(row: &[Option<usize>], option: usize) -> Option<usize> {
    *row.get(option)?
}

/// Every three choices of different options, in order; all choices where there are fewer options.
fn together(options: &[&Choice]) -> Vec<Choices> {
    let mut some: Vec<Choices> = vec![Vec::new()];
    for _ in 0..options.len().min(3) {
        let longer = some.iter().flat_map(|some| {
            let used = some.last().map_or(0, |(option, _)| option + 1);
            let others = options.iter().enumerate().skip(used);
            others.flat_map(move |(option, choice)| {
                let words = 0..choice.choices.len();
                words.map(move |word| [some.as_slice(), &[(option, word)]].concat())
            })
        });
        some = longer.collect();
    }
    some
}

/// A word for every option, which holds the first of what is open and as much of the rest as can be had option by option.
fn row(first: &Choices, open: &[Choices], options: &[&Choice]) -> Vec<Option<usize>> {
    let mut row = vec![None; options.len()];
    let mut fitting: Vec<&Choices> = open.iter().collect();
    let mut give = |option: usize, word, fitting: &mut Vec<&Choices>| {
        if let Some(slot) = row.get_mut(option) {
            *slot = Some(word);
        }
        fitting.retain(|some| some.iter().all(|(of, is)| *of != option || *is == word));
    };
    for (option, word) in first {
        give(*option, *word, &mut fitting);
    }
    for (option, choice) in options.iter().enumerate() {
        if first.iter().any(|(of, _)| *of == option) {
            continue;
        }
        let mut held = vec![0; choice.choices.len()];
        for (_, word) in fitting
            .iter()
            .flat_map(|some| some.iter())
            .filter(|(of, _)| *of == option)
        {
            if let Some(held) = held.get_mut(*word) {
                *held += 1;
            }
        }
        let best = (0..held.len()).max_by_key(|word| (held.get(*word), Reverse(*word)));
        give(option, best.unwrap_or_default(), &mut fitting);
    }
    row
}
