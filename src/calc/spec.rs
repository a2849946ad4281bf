//! How a calculation describes itself, so that rules, the command line and the schema can check a call before it is made.

use super::{CalcError, Inputs, Results, Value};
use crate::quantity::Unit;

/// The largest rise that calculations look at, mm.
pub const MOST_RISE: f64 = 150.0;

/// The inputs through which a size is chosen for a whole box of tolerances: the largest that is wanted at one of its points, and the
/// least and the most that serve at all of them.
pub(super) const SIZE: [&str; 3] = ["wanted", "serves_from", "serves_to"];

/// The window of a size over a tolerance box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The largest size preferred at any point.
    pub wanted: f64,
    /// The largest of the least sizes that serve.
    pub least: f64,
    /// The smallest of the largest sizes that serve; infinite where nothing ends it.
    pub most: f64,
}

impl Window {
    /// A window that takes any size.
    pub(crate) const OPEN: Self = Self {
        wanted: f64::NEG_INFINITY,
        least: f64::NEG_INFINITY,
        most: f64::INFINITY,
    };

    /// Whether some size serves at every point.
    pub fn serves(&self) -> bool {
        self.least <= self.most
    }

    /// Takes in what serves at another point; nothing where the calculation chooses no size.
    pub(crate) fn narrow(
        this: &mut Option<Self>,
        calc: &Calculation,
        results: &[(&'static str, Value)],
    ) {
        for (name, value) in results {
            let role = calc.result(name).map(|spec| spec.role);
            let (Value::Number(number), Some(role @ (Role::Wanted | Role::Least | Role::Most))) =
                (value, role)
            else {
                continue;
            };
            let window = this.get_or_insert(Self::OPEN);
            match role {
                Role::Wanted => window.wanted = window.wanted.max(*number),
                Role::Least => window.least = window.least.max(*number),
                _ => window.most = window.most.min(*number),
            }
        }
    }
}

/// The kind of an input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InputKind {
    /// A number in this unit.
    Number(Unit),
    /// A whole number of at least one.
    Count,
    /// Yes or no.
    Flag,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A designation that the calculation reads itself, such as a thread or tyre size.
    Text,
    /// A place or direction, `0,0,0`, in this unit.
    Vector(Unit),
    /// A list of places, `1200,550,50;1200,-550,50`, in this unit.
    Points(Unit),
    /// A list of places in plan, `1200,550;1200,-550`, in this unit.
    Places(Unit),
}

impl InputKind {
    /// The unit of the input's numbers; none for yes/no and words.
    pub fn unit(self) -> Option<Unit> {
        match self {
            Self::Number(unit) | Self::Vector(unit) | Self::Points(unit) | Self::Places(unit) => {
                Some(unit)
            }
            Self::Count => Some(Unit::One),
            Self::Flag | Self::Choice(_) | Self::Text => None,
        }
    }
}

/// Whether an input must be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Need {
    /// It must be given.
    Required,
    /// This number is used when it is left out.
    Default(f64),
    /// It may be left out, and the results that need it then say so by their absence.
    Optional,
}

/// Which numbers an input allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// Any finite number.
    Any,
    /// Above zero.
    Positive,
    /// Zero or above.
    NotNegative,
    /// From the first to the second, both allowed.
    Within(f64, f64),
    /// Between the first and the second, neither allowed.
    Between(f64, f64),
}

impl Range {
    /// Whether the number is allowed.
    pub fn allows(self, value: f64) -> bool {
        match self {
            Self::Any => value.is_finite(),
            Self::Positive => value > 0.0 && value.is_finite(),
            Self::NotNegative => value >= 0.0 && value.is_finite(),
            Self::Within(least, most) => (least..=most).contains(&value),
            Self::Between(least, most) => least < value && value < most,
        }
    }

    /// The range as a phrase for messages: "above 0", "0 to 150".
    pub fn phrase(self) -> String {
        match self {
            Self::Any => "any finite number".to_owned(),
            Self::Positive => "above 0".to_owned(),
            Self::NotNegative => "0 or above".to_owned(),
            Self::Within(least, most) => format!("{least} to {most}"),
            Self::Between(least, most) => format!("above {least} and below {most}"),
        }
    }
}

/// One input of a calculation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputSpec {
    /// Its name in rules and on the command line.
    pub name: &'static str,
    /// What kind of value it takes.
    pub kind: InputKind,
    /// Whether it must be given.
    pub need: Need,
    /// Which numbers it allows.
    pub range: Range,
    /// What it is, in a few words of the trade.
    pub meaning: &'static str,
}

impl InputSpec {
    /// How far the body-side fixing ends up above where it was: an input of most calculations.
    pub(super) const RISE: Self = Self::number(
        "rise",
        Unit::Mm,
        Range::Within(0.0, MOST_RISE),
        "how far the body-side fixing ends up above where it was",
    );

    const fn new(name: &'static str, kind: InputKind, range: Range, meaning: &'static str) -> Self {
        Self {
            name,
            kind,
            need: Need::Required,
            range,
            meaning,
        }
    }

    /// A required number.
    pub(super) const fn number(
        name: &'static str,
        unit: Unit,
        range: Range,
        meaning: &'static str,
    ) -> Self {
        Self::new(name, InputKind::Number(unit), range, meaning)
    }

    /// A required number above zero.
    pub(super) const fn positive(name: &'static str, unit: Unit, meaning: &'static str) -> Self {
        Self::number(name, unit, Range::Positive, meaning)
    }

    /// A required length above zero.
    pub(super) const fn length(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Mm, Range::Positive, meaning)
    }

    /// A required length that may be zero.
    pub(super) const fn length_or_zero(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Mm, Range::NotNegative, meaning)
    }

    /// A required length with a sign.
    pub(super) const fn signed_length(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Mm, Range::Any, meaning)
    }

    /// A required designation.
    pub(super) const fn text(name: &'static str, meaning: &'static str) -> Self {
        Self::other(name, InputKind::Text, meaning)
    }

    /// A required choice of one of these words.
    pub(super) const fn choice(
        name: &'static str,
        words: &'static [&'static str],
        meaning: &'static str,
    ) -> Self {
        Self::other(name, InputKind::Choice(words), meaning)
    }

    /// A required input that is no single number.
    pub(super) const fn other(name: &'static str, kind: InputKind, meaning: &'static str) -> Self {
        Self::new(name, kind, Range::Any, meaning)
    }

    /// The same input with a number that stands in when it is left out.
    pub(super) const fn or(mut self, default: f64) -> Self {
        self.need = Need::Default(default);
        self
    }

    /// The same input, which may be left out.
    pub(super) const fn optional(mut self) -> Self {
        self.need = Need::Optional;
        self
    }

    /// What the input takes, as a phrase for messages: "above 0, in mm", "yes or no", "opens or closes".
    pub fn allowed(&self) -> String {
        let list = |unit: Unit, what: &str| format!("{what}, in {}", unit.code());
        match self.kind {
            InputKind::Number(Unit::One) => self.range.phrase(),
            InputKind::Number(unit) => list(unit, &self.range.phrase()),
            InputKind::Count => "a whole number of at least 1".to_owned(),
            InputKind::Flag => "yes or no".to_owned(),
            InputKind::Choice(words) => words.join(" or "),
            InputKind::Text => "a designation in words".to_owned(),
            InputKind::Vector(Unit::One) => "a direction such as `1,0,-1`".to_owned(),
            InputKind::Vector(unit) => list(unit, "a place such as `0,0,0`"),
            InputKind::Points(unit) => list(unit, "places such as `1200,550,50;1200,-550,50`"),
            InputKind::Places(unit) => list(unit, "places such as `1200,550;1200,-550`"),
        }
    }
}

/// One result of a calculation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ResultSpec {
    /// Its name in rules and in JSON.
    pub name: &'static str,
    /// The unit of its numbers; none for yes/no and words.
    pub unit: Option<Unit>,
    /// Whether it may be absent or nothing (a limit never reached, an input not given).
    pub may_be_absent: bool,
    /// What the judging of a link makes of it.
    pub role: Role,
    /// Whether that of several stretches of one connection adds up.
    pub adds_up: bool,
    /// What it is, in a few words of the trade.
    pub meaning: &'static str,
}

/// What the judging of a link makes of a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// It is read by name alone.
    Plain,
    /// It says how much is missing: of two runs alike otherwise, the one that misses more is the worse.
    Missing,
    /// The largest rise that serves: of two runs alike otherwise, the one that serves less far is the worse.
    Limit,
    /// The size that is preferred, or the next larger made; over a tolerance box the largest of all points is.
    Wanted,
    /// The least size that serves; over a tolerance box the largest of all points is.
    Least,
    /// The largest size that serves; over a tolerance box the smallest of all points is.
    Most,
    /// The made size that is ordered.
    Made,
}

impl ResultSpec {
    /// A number that is always there.
    pub(super) const fn number(name: &'static str, unit: Unit, meaning: &'static str) -> Self {
        Self {
            name,
            unit: Some(unit),
            may_be_absent: false,
            adds_up: false,
            role: Role::Plain,
            meaning,
        }
    }

    /// A length that is always there.
    pub(super) const fn length(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Mm, meaning)
    }

    /// An angle that is always there.
    pub(super) const fn degrees(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Degree, meaning)
    }

    /// A pure number that is always there.
    pub(super) const fn ratio(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::One, meaning)
    }

    /// A moment or torque that is always there.
    pub(super) const fn newton_metres(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::NewtonMetre, meaning)
    }

    /// A clamp force that is always there.
    pub(super) const fn kilonewtons(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Kilonewton, meaning)
    }

    /// A stress that is always there.
    pub(super) const fn megapascals(name: &'static str, meaning: &'static str) -> Self {
        Self::number(name, Unit::Megapascal, meaning)
    }

    /// A yes/no or a word that is always there.
    pub(super) const fn answer(name: &'static str, meaning: &'static str) -> Self {
        let mut spec = Self::ratio(name, meaning);
        spec.unit = None;
        spec
    }

    /// The same result with a role.
    pub(super) const fn role(mut self, role: Role) -> Self {
        self.role = role;
        self
    }

    /// The same result, which adds up over the stretches of a connection.
    pub(super) const fn adds_up(mut self) -> Self {
        self.adds_up = true;
        self
    }

    /// The same result, which may be absent or nothing.
    pub(super) const fn may_be_absent(mut self) -> Self {
        self.may_be_absent = true;
        self
    }

    /// The same result as the largest rise that serves, which may be never reached.
    pub(super) const fn limit(self) -> Self {
        self.role(Role::Limit).may_be_absent()
    }
}

/// The plain results of one run at exact inputs, and which formulas gave them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Results by name, in the order of the contract; a result that does not apply is left out.
    pub results: Results,
    /// The formulas in the order of use. Putting the numbers in is left to [`super::evaluate()`], which a caller
    /// that wants only the results never pays for.
    pub formulas: Vec<Formula>,
}

/// One line of the working before the numbers are put in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Formula {
    /// The result's name, or the symbol of a value on the way.
    pub name: &'static str,
    /// The formula; its symbols are the names of inputs, results, and values on the way.
    pub text: &'static str,
    /// Whether the text is a sentence, in which no numbers are put in.
    pub in_words: bool,
    /// What a value on the way is; none for a result, whose value stands among the results.
    pub on_the_way: Option<(f64, Unit)>,
}

impl Formula {
    /// The formula of a result.
    pub(super) const fn of(name: &'static str, text: &'static str) -> Self {
        Self {
            name,
            text,
            in_words: false,
            on_the_way: None,
        }
    }

    /// The formula of a value on the way to the results.
    pub(super) const fn step(
        name: &'static str,
        text: &'static str,
        value: f64,
        unit: Unit,
    ) -> Self {
        let mut formula = Self::of(name, text);
        formula.on_the_way = Some((value, unit));
        formula
    }

    /// How a result comes about, as a sentence that takes no numbers.
    pub(super) const fn said(name: &'static str, text: &'static str) -> Self {
        Self::of(name, text).in_words()
    }

    /// What a value on the way is, as a sentence that takes no numbers.
    pub(super) const fn said_step(
        name: &'static str,
        text: &'static str,
        value: f64,
        unit: Unit,
    ) -> Self {
        Self::step(name, text, value, unit).in_words()
    }

    /// The same line as a sentence that takes no numbers.
    pub(super) const fn in_words(mut self) -> Self {
        self.in_words = true;
        self
    }
}

/// The tolerance box: the least and most of each input that carries a tolerance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spans(pub(crate) Vec<(&'static str, f64, f64)>);

impl Spans {
    /// The least and most of an input; none when it is exact.
    pub fn of(&self, name: &str) -> Option<(f64, f64)> {
        self.0
            .iter()
            .find(|(of, ..)| *of == name)
            .map(|&(_, least, most)| (least, most))
    }

    /// Places spread evenly over every tolerance, for results of which no closed form says where they turn.
    pub(super) fn spread(&self) -> Vec<(&'static str, f64)> {
        let places = |&(name, least, most): &(&'static str, f64, f64)| {
            (1..8).map(move |n| (name, least + (most - least) * f64::from(n) / 8.0))
        };
        self.0.iter().flat_map(places).collect()
    }
}

/// Levels at which a result may turn or jump when one input moves and the others stay: (input name, value) pairs for the
/// inputs at one place of the tolerance box. Levels outside the box do no harm.
pub type Turning = fn(&Inputs, &Spans) -> Vec<(&'static str, f64)>;

/// For calculations whose every result is monotone in every input: nothing turns.
pub(super) fn nothing_turns(_: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    Vec::new()
}

/// One calculation of the registry.
#[derive(Debug, Clone, Copy)]
pub struct Calculation {
    /// Its name in rules and on the command line.
    pub name: &'static str,
    /// What it answers, as a short phrase.
    pub title: &'static str,
    /// Where its formula comes from.
    pub source: &'static str,
    /// Its inputs, in the order of the contract.
    pub inputs: &'static [InputSpec],
    /// Its results, in the order of the contract.
    pub results: &'static [ResultSpec],
    /// Runs it at exact inputs that already have every default and lie in their ranges.
    pub run: fn(&Inputs) -> Result<Found, CalcError>,
    /// Where results turn inside a tolerance box.
    pub turning: Turning,
}

impl Calculation {
    /// Its input of that name, or none.
    pub(crate) fn input(&self, name: &str) -> Option<&'static InputSpec> {
        self.inputs.iter().find(|spec| spec.name == name)
    }

    /// Its result of that name, or none.
    pub(crate) fn result(&self, name: &str) -> Option<&'static ResultSpec> {
        self.results.iter().find(|spec| spec.name == name)
    }
}
