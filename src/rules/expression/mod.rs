//! Conditions and texts of rule files, in a small language of their own: no loops, no calls, and every name that is not there an error.
//!
//! Takes strings of rule files and a [`Scope`] of names; gives booleans, numbers, calculation inputs and [`Text`]. The language is told in
//! `syntax` and `template`; a larger engine of templates is its second opinion in `tests`.

mod eval;
mod scope;
mod scopes;
mod syntax;
mod template;
mod term;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::fmt;
use std::sync::OnceLock;

pub use scope::Scope;
pub(crate) use scope::Slot;
pub(crate) use scopes::Scopes;
pub(crate) use syntax::{Arithmetic, Comparison, Filter, Node};
pub(crate) use template::Template;
pub(crate) use term::{Meaning, Reading, Term};

use thiserror::Error;

use crate::calc;
use crate::quantity::Unit;
use crate::text::Text;

/// Bytes of an expression, or of a text with expressions in it; the longest shipped one has 337.
pub const LONGEST: usize = 2_000;

/// The name of the filter that prints a number in the unit.
pub(crate) fn filter_name(unit: Unit) -> &'static str {
    match unit {
        Unit::NewtonMetre => "Nm",
        Unit::SquareMm => "mm2",
        Unit::KmPerHour => "kmh",
        Unit::Percent => "percent",
        Unit::One => "number",
        _ => unit.code(),
    }
}

/// Why an expression or text of a rule file could not be evaluated.
#[derive(Debug, Clone, PartialEq, Eq)]
#[derive(Error)]
#[error("`{text}` cannot be evaluated: {reason}")]
pub struct ExpressionError {
    /// The expression or text.
    pub text: String,
    /// What is wrong with it.
    pub reason: String,
}

impl ExpressionError {
    pub(super) fn new(text: &str, reason: impl fmt::Display) -> Self {
        Self {
            text: text.to_owned(),
            reason: reason.to_string(),
        }
    }
}

/// An expression, read when it is first asked for anything but its text: of those that the demo loads, a third are never asked for more.
pub struct Expr {
    text: String,
    compiled: OnceLock<Result<Compiled, ExpressionError>>,
}

struct Compiled {
    names: BTreeSet<String>,
    slots: Vec<Slot>,
    node: Node,
}

impl Compiled {
    fn new(text: &str) -> Result<Self, ExpressionError> {
        short_enough(text)?;
        let (node, names) =
            syntax::parse(text).map_err(|reason| ExpressionError::new(text, reason))?;
        let slots = names.iter().map(|name| Slot::of(name)).collect();
        Ok(Self { names, slots, node })
    }
}

impl fmt::Debug for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Expr({})", self.text)
    }
}

impl Expr {
    /// Compiles an expression; fails when it is not one.
    pub fn compile(text: &str) -> Result<Self, ExpressionError> {
        let expression = Self::trusted(text);
        expression.compiled()?;
        Ok(expression)
    }

    /// An expression that is known to be one, such as those of the embedded rules. Should it be none, it fails when it is evaluated.
    pub(crate) fn trusted(text: &str) -> Self {
        Self {
            text: text.to_owned(),
            compiled: OnceLock::new(),
        }
    }

    fn compiled(&self) -> Result<&Compiled, ExpressionError> {
        let compiled = self.compiled.get_or_init(|| Compiled::new(&self.text));
        compiled.as_ref().map_err(Clone::clone)
    }

    /// The expression as written.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }

    /// The names it uses, dotted where it reads a field; fails when it is no expression.
    pub(crate) fn checked_names(&self) -> Result<&BTreeSet<String>, ExpressionError> {
        self.compiled().map(|compiled| &compiled.names)
    }

    /// The names it uses, dotted where it reads a field.
    pub(crate) fn names(&self) -> &BTreeSet<String> {
        static NONE: BTreeSet<String> = BTreeSet::new();
        self.checked_names().unwrap_or(&NONE)
    }

    /// The numbers of the names it uses.
    pub(crate) fn slots(&self) -> &[Slot] {
        self.compiled().map_or(&[], |compiled| &compiled.slots)
    }

    /// The tree of it; fails when it is no expression.
    pub(crate) fn node(&self) -> Result<&Node, ExpressionError> {
        self.compiled().map(|compiled| &compiled.node)
    }

    fn eval(&self, scope: &Scope) -> Result<Term, ExpressionError> {
        let found = eval::eval(self.node()?, (scope, Reading::Feed));
        found.map_err(|reason| ExpressionError::new(&self.text, reason))
    }

    /// Whether the condition holds; fails when it is not a yes/no question.
    pub fn holds(&self, scope: &Scope) -> Result<bool, ExpressionError> {
        let found = eval::holds(self.node()?, (scope, Reading::Judge));
        found.map_err(|reason| ExpressionError::new(&self.text, reason))
    }

    /// The number it gives; fails when it gives none, or one that is not finite.
    pub fn number(&self, scope: &Scope) -> Result<f64, ExpressionError> {
        let number = self.eval(scope)?.number();
        number.ok_or_else(|| ExpressionError::new(&self.text, "it gives no finite number"))
    }

    /// The limit it gives: a number, or nothing when it is `none`; fails when it gives anything else.
    pub fn limit(&self, scope: &Scope) -> Result<Option<f64>, ExpressionError> {
        match self.eval(scope)? {
            Term::None => Ok(None),
            term => {
                let number = term.number();
                let failed = || ExpressionError::new(&self.text, "it gives no finite number");
                number.ok_or_else(failed).map(Some)
            }
        }
    }

    /// The calculation input it gives: a number, yes/no, a word, or a place of three numbers.
    pub fn input(&self, scope: &Scope) -> Result<calc::Value, ExpressionError> {
        let failed = |reason| ExpressionError::new(&self.text, reason);
        match self.eval(scope)? {
            Term::Flag(flag) => Ok(calc::Value::Flag(flag)),
            Term::Word(word) => Ok(calc::Value::Word((*word).to_owned())),
            Term::List(list) => match list.iter().map(Term::number).collect::<Vec<_>>()[..] {
                [Some(x), Some(y), Some(z)] => Ok(calc::Value::Vector([x, y, z])),
                _ => Err(failed("a place is a list of three finite numbers")),
            },
            term => {
                let number = term.number().map(calc::Value::Number);
                number.ok_or_else(|| failed("it gives no finite number"))
            }
        }
    }
}

/// Refuses what is too long to be looked at.
fn short_enough(text: &str) -> Result<(), ExpressionError> {
    if text.len() <= LONGEST {
        return Ok(());
    }
    let beginning: String = text.chars().take(60).collect();
    let reason = format!("it has {} bytes; at most {LONGEST} are read", text.len());
    Err(ExpressionError::new(&format!("{beginning}…"), reason))
}

/// Renders a text of a rule file.
pub fn render(text: &str, scope: &Scope) -> Result<Text, ExpressionError> {
    Template::parse(text)?.render(scope)
}

/// The names that a text uses, dotted where it reads a field; fails when it cannot be taken apart.
pub fn names_in_text(text: &str) -> Result<BTreeSet<String>, ExpressionError> {
    Ok(Template::parse(text)?.names().clone())
}
