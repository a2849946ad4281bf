//! One question with its answer, and the kinds that there are.

use std::sync::Arc;

use serde::Serialize;

use crate::text::Text;

/// What a question asks about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum QuestionKind {
    /// What a part rides with.
    Rides,
    /// Which connections the lift pulls apart.
    Disturbed,
    /// A number worked out.
    Number,
    /// The verdict at another height.
    Height,
    /// What happens when it is missed.
    Missed,
    /// How something is measured.
    Measured,
    /// Which of two tasks comes first.
    Order,
    /// What waits for a hold point.
    Hold,
    /// Who may do it.
    Who,
    /// Which readings may be signed off.
    Evidence,
}

/// One question.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The question.
    pub text: Text,
    /// What to choose from, each with whether it is right; empty when the answer is written down.
    pub options: Vec<(Text, bool)>,
    /// The answer to a question without options.
    pub answer: Option<Text>,
    /// Why that is so.
    pub because: Text,
    /// What it was made from.
    pub about: About,
}

/// What a question was made from, for whoever wants to check its answer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct About {
    /// What it names, by id, in the order of its options where it has some: links, tasks, parts, or classes.
    pub ids: Vec<String>,
    /// The result, measurement or reading that it asks for: `fit.overlap_left`.
    pub name: Option<String>,
    /// The height of the blocks that it asks about, mm.
    pub height: Option<f64>,
}

impl About {
    /// Made from these, by id.
    pub(super) fn of(ids: impl IntoIterator<Item = String>) -> Self {
        Self {
            ids: ids.into_iter().collect(),
            ..Self::default()
        }
    }
}

impl Question {
    /// A question to be answered by ticking what is right of some texts, which may have marked quantities in them.
    pub(super) fn choose<T: Into<Arc<str>>>(
        text: String,
        options: impl IntoIterator<Item = (T, bool)>,
        because: String,
        about: About,
    ) -> Self {
        let options = options.into_iter();
        Self {
            text: Text::rendered(text),
            options: options
                .map(|(text, right)| (Text::rendered(text), right))
                .collect(),
            answer: None,
            because: Text::rendered(because),
            about,
        }
    }

    /// The right answers, in the order of the options.
    pub(crate) fn right(&self) -> impl Iterator<Item = &Text> {
        let ticked = self.options.iter().filter(|(_, right)| *right);
        ticked.map(|(text, _)| text).chain(&self.answer)
    }

    /// What it says, whatever the order of its options.
    pub(super) fn says(&self) -> Vec<String> {
        let mut options: Vec<String> = self
            .options
            .iter()
            .map(|(text, _)| text.marked().to_owned())
            .collect();
        options.sort_unstable();
        options.push(self.text.marked().to_owned());
        options
    }

    /// Whether it can be asked: something to choose is right, something is wrong, and no two say the same.
    pub(super) fn is_sound(&self) -> bool {
        if self.answer.is_some() {
            return self.options.is_empty();
        }
        let mut texts: Vec<&str> = self.options.iter().map(|(text, _)| text.marked()).collect();
        texts.sort_unstable();
        let right = self.options.iter().filter(|(_, right)| *right).count();
        right > 0
            && right < self.options.len()
            && texts.windows(2).all(|pair| pair.first() != pair.last())
    }
}
