//! What was chosen of a pattern's options: read from words, completed with the defaults, given to conditions as names.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use fixedbitset::FixedBitSet;

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
        let together = together(&options);
        let with = with(&together, &options);
        let mut open = FixedBitSet::with_capacity(together.len());
        open.insert_range(..);
        let mut all = Vec::new();
        while let Some(first) = open.minimum().and_then(|first| together.get(first)) {
            let mut held = open.clone();
            let row = row(first, &mut held, &with);
            open.difference_with(&held);
            let words = self.options.iter().zip(row);
            let words = words.filter_map(|((name, choice), word)| {
                Some((name.clone(), choice.choices.get(word)?.clone()))
            });
            all.push(Chosen::new(&self.options, words.sorted_map()));
        }
        all
    }
}

/// Some choices: the option's number, and that of its word.
type Choices = Vec<(usize, usize)>;

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

/// For each word of each option the choices that have it.
fn with(together: &[Choices], options: &[&Choice]) -> Vec<Vec<FixedBitSet>> {
    let mut with: Vec<Vec<FixedBitSet>> = options
        .iter()
        .map(|choice| vec![FixedBitSet::with_capacity(together.len()); choice.choices.len()])
        .collect();
    for (number, some) in together.iter().enumerate() {
        for (option, word) in some {
            if let Some(with) = with.get_mut(*option).and_then(|words| words.get_mut(*word)) {
                with.insert(number);
            }
        }
    }
    with
}

/// A word for every option, which holds some choices and as many of the others as can be had option by option; of these it leaves those held.
fn row(first: &Choices, open: &mut FixedBitSet, with: &[Vec<FixedBitSet>]) -> Vec<usize> {
    let mut row = vec![0; with.len()];
    let is_first = |option: &usize| first.iter().any(|(of, _)| of == option);
    let others = (0..with.len()).filter(|option| !is_first(option));
    let others = others.map(|option| (option, None));
    let settled = first.iter().map(|(option, word)| (*option, Some(*word)));
    for (option, word) in settled.chain(others) {
        let words = with.get(option).map_or(&[][..], Vec::as_slice);
        let counts = words.iter().map(|with| with.intersection_count(open));
        let most = counts
            .enumerate()
            .max_by_key(|(word, count)| (*count, Reverse(*word)));
        let word = word.or(most.map(|(word, _)| word)).unwrap_or_default();
        let without = words.iter().enumerate().filter(|(other, _)| *other != word);
        for (_, without) in without {
            open.difference_with(without);
        }
        if let Some(slot) = row.get_mut(option) {
            *slot = word;
        }
    }
    row
}
