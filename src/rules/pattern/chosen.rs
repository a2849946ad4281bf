//! What was chosen of a pattern's options: read from words, completed with the defaults, given to conditions as names.

use std::collections::BTreeMap;

use super::model::{Choice, Pattern};
use crate::report::unknown_help;
use crate::rules::expression::{Expr, ExpressionError, render};
use crate::rules::names::Names;

/// A word for every option of a pattern.
#[derive(Debug, Clone)]
pub struct Chosen {
    words: BTreeMap<String, String>,
    names: Names,
}

impl Chosen {
    fn new(options: &BTreeMap<String, Choice>, words: BTreeMap<String, String>) -> Self {
        let mut names = Names::default();
        for (name, choice) in options {
            let word = words.get(name).unwrap_or(&choice.default);
            if choice.yes_no {
                names.flag(name, word == "yes");
                names.feed.set(name.clone(), word.clone());
            } else {
                names.word(name, Some(&choice.choices), word);
            }
        }
        Self { words, names }
    }

    /// The default of every option.
    #[must_use]
    pub fn defaults(options: &BTreeMap<String, Choice>) -> Self {
        let words = options
            .iter()
            .map(|(name, choice)| (name.clone(), choice.default.clone()));
        Self::new(options, words.collect())
    }

    /// The words by option.
    #[must_use]
    pub fn words(&self) -> &BTreeMap<String, String> {
        &self.words
    }

    /// Whether a condition holds; it does where there is none.
    pub fn holds(&self, when: Option<&Expr>) -> Result<bool, ExpressionError> {
        when.map_or(Ok(true), |when| when.holds(&self.names.judge))
    }

    /// A text with the chosen words in it.
    pub fn fill(&self, text: &str) -> Result<String, ExpressionError> {
        let text = render(text, &self.names.feed)?;
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
        if problems.is_empty() {
            Ok(Chosen::new(&self.options, words))
        } else {
            Err(problems)
        }
    }

    /// Every combination of choices, in a fixed order.
    #[must_use]
    pub fn combinations(&self) -> Vec<Chosen> {
        let mut all = vec![BTreeMap::new()];
        for (name, choice) in &self.options {
            let longer = all.iter().flat_map(|words| {
                choice.choices.iter().map(move |word| {
                    let mut words: BTreeMap<String, String> = words.clone();
                    words.insert(name.clone(), word.clone());
                    words
                })
            });
            all = longer.collect();
        }
        all.into_iter()
            .map(|words| Chosen::new(&self.options, words))
            .collect()
    }
}
