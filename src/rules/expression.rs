//! Conditions and texts of rule files: minijinja expressions and templates, with fuel and with every undefined name an error.
//!
//! Takes strings of rule files and a [`Scope`] of names; gives booleans, numbers, calculation inputs and [`Text`].
//! Expressions can reach nothing but the names in their scope: no files, no clock, no network.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::{LazyLock, OnceLock};

use minijinja::value::ValueKind;
use minijinja::{Environment, Expression, UndefinedBehavior, Value};

pub use super::scope::Scope;
pub use super::scopes::Scopes;
use crate::calc;
use crate::quantity::{Quantity, Round, Unit};
use crate::text::{self, Text};

/// Steps that one evaluation may take; the longest shipped one takes about a hundred.
const FUEL: u64 = 20_000;
/// Bytes of an expression, or of a text with expressions in it; the longest shipped one has 337. The engine goes down as deep as an
/// expression is nested, and a signed number may be nested once for each of its signs: much longer ones would overflow the stack.
pub const LONGEST: usize = 2_000;

static ENVIRONMENT: LazyLock<Environment<'static>> = LazyLock::new(environment);

fn environment() -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_fuel(Some(FUEL));
    environment.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    for unit in Unit::ALL {
        let name = filter_name(unit);
        let exact = move |value: f64| text::mark(Quantity::exact(value, unit), None);
        let up = move |value: f64| text::mark(Quantity::exact(value, unit), Some(Round::Up));
        let down = move |value: f64| text::mark(Quantity::exact(value, unit), Some(Round::Down));
        environment.add_filter(format!("{name}_up"), up);
        environment.add_filter(format!("{name}_down"), down);
        environment.add_filter(name, exact);
    }
    environment
}

/// The name of the filter that prints a number in the unit.
#[must_use]
pub fn filter_name(unit: Unit) -> &'static str {
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
pub struct ExpressionError {
    /// The expression or text.
    pub text: String,
    /// What is wrong with it.
    pub reason: String,
}

impl fmt::Display for ExpressionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` cannot be evaluated: {}", self.text, self.reason)
    }
}

impl ExpressionError {
    pub(super) fn new(text: &str, reason: impl fmt::Display) -> Self {
        Self {
            text: text.to_owned(),
            reason: reason.to_string(),
        }
    }

    fn from_engine(text: &str, error: &minijinja::Error) -> Self {
        let detail = error
            .detail()
            .map_or_else(|| error.kind().to_string(), ToOwned::to_owned);
        Self::new(text, detail)
    }
}

/// An expression, compiled when it is first asked for anything but its text: of those that the demo loads, a third are never
/// asked for more, and each compiled one takes ten kilobytes.
pub struct Expr {
    text: String,
    compiled: OnceLock<Result<Compiled, ExpressionError>>,
}

struct Compiled {
    names: BTreeSet<String>,
    expression: Expression<'static, 'static>,
}

impl Compiled {
    fn new(text: &str) -> Result<Self, ExpressionError> {
        short_enough(text)?;
        let expression = ENVIRONMENT.compile_expression_owned(text.to_owned());
        let expression = expression.map_err(|error| ExpressionError::from_engine(text, &error))?;
        Ok(Self {
            names: expression.undeclared_variables(true).into_iter().collect(),
            expression,
        })
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
    #[must_use]
    pub fn trusted(text: &str) -> Self {
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
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The names it uses, dotted where it reads a field; fails when it is no expression.
    pub fn checked_names(&self) -> Result<&BTreeSet<String>, ExpressionError> {
        self.compiled().map(|compiled| &compiled.names)
    }

    /// The names it uses, dotted where it reads a field.
    #[must_use]
    pub fn names(&self) -> &BTreeSet<String> {
        static NONE: BTreeSet<String> = BTreeSet::new();
        self.checked_names().unwrap_or(&NONE)
    }

    fn eval(&self, scope: &Scope) -> Result<Value, ExpressionError> {
        let found = self.compiled()?.expression.eval(scope.value());
        let found = found.map_err(|error| ExpressionError::from_engine(&self.text, &error))?;
        if found.is_undefined() {
            return Err(ExpressionError::new(
                &self.text,
                "it names something that is not there",
            ));
        }
        Ok(found)
    }

    /// Whether the condition holds; fails when it is not a yes/no question.
    pub fn holds(&self, scope: &Scope) -> Result<bool, ExpressionError> {
        let found = self.eval(scope)?;
        match found.kind() {
            ValueKind::Bool => Ok(found.is_true()),
            kind => Err(ExpressionError::new(
                &self.text,
                format!("it gives a {kind}, not yes or no"),
            )),
        }
    }

    /// The number it gives; fails when it gives none, or one that is not finite.
    pub fn number(&self, scope: &Scope) -> Result<f64, ExpressionError> {
        let found = self.eval(scope)?;
        let number = f64::try_from(found)
            .ok()
            .filter(|number| number.is_finite());
        number.ok_or_else(|| ExpressionError::new(&self.text, "it gives no finite number"))
    }

    /// The limit it gives: a number, or nothing when it is `none`; fails when it gives anything else.
    pub fn limit(&self, scope: &Scope) -> Result<Option<f64>, ExpressionError> {
        if self.eval(scope)?.is_none() {
            return Ok(None);
        }
        self.number(scope).map(Some)
    }

    /// The calculation input it gives: a number, yes/no, a word, or a place of three numbers.
    pub fn input(&self, scope: &Scope) -> Result<calc::Value, ExpressionError> {
        let found = self.eval(scope)?;
        match found.kind() {
            ValueKind::Bool => Ok(calc::Value::Flag(found.is_true())),
            ValueKind::String => Ok(calc::Value::Word(found.to_string())),
            ValueKind::Seq => self.place(&found),
            _ => {
                let number = f64::try_from(found)
                    .ok()
                    .filter(|number| number.is_finite());
                let number = number.map(calc::Value::Number);
                number.ok_or_else(|| ExpressionError::new(&self.text, "it gives no finite number"))
            }
        }
    }

    /// A list of three numbers as a place or direction.
    fn place(&self, list: &Value) -> Result<calc::Value, ExpressionError> {
        let numbers = list.try_iter().into_iter().flatten();
        let numbers: Vec<f64> = numbers
            .filter_map(|number| f64::try_from(number).ok())
            .collect();
        match (numbers.as_slice(), list.len()) {
            (&[x, y, z], Some(3)) if numbers.iter().all(|number| number.is_finite()) => {
                Ok(calc::Value::Vector([x, y, z]))
            }
            _ => Err(ExpressionError::new(
                &self.text,
                "a place is a list of three finite numbers",
            )),
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

/// Renders a text template of a rule file.
pub fn render(template: &str, scope: &Scope) -> Result<Text, ExpressionError> {
    if !template.contains('{') {
        return Ok(Text::rendered(template));
    }
    short_enough(template)?;
    let rendered = ENVIRONMENT.render_str(template, scope.value());
    let rendered = rendered.map_err(|error| ExpressionError::from_engine(template, &error))?;
    Ok(Text::rendered(rendered))
}

/// The names that a text template uses, dotted where it reads a field; fails when it is not a template.
pub fn names_in_text(template: &str) -> Result<BTreeSet<String>, ExpressionError> {
    short_enough(template)?;
    let parsed = ENVIRONMENT.template_from_str(template);
    let parsed = parsed.map_err(|error| ExpressionError::from_engine(template, &error))?;
    Ok(parsed.undeclared_variables(true).into_iter().collect())
}
