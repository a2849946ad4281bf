//! The language of conditions, numbers and limits: text → a tree.
//!
//! Numbers, quoted words, lists, `true`, `false`, `none`; names, dotted where they are fields; `and`, `or`, `not`, comparisons, which may
//! be chained, `in` a list, `+ - * / **`, `this if condition else that`, and filters: `| mm_up`. What stands nearer binds as in most such languages:
//! filters first, then `**`, `* /`, `+ -`, comparisons, `not`, `and`, `or`, `if`. What names stand for is left to `eval`.

use std::collections::BTreeSet;

use super::scope::Slot;
use super::term::Term;
use crate::quantity::{Round, Unit};
use strum::IntoEnumIterator;

/// Brackets, signs and `else` within one another; the deepest shipped expression has four.
const DEEPEST: usize = 60;

/// A piece of an expression.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Node {
    /// A value as written.
    Term(Term),
    Name(Slot),
    /// The opposite answer.
    Not(Box<Node>),
    /// The number with the other sign.
    Minus(Box<Node>),
    /// Whether all hold.
    And(Vec<Node>),
    /// Whether any holds.
    Or(Vec<Node>),
    /// Whether each stands to its next as told.
    Compare(Box<Node>, Vec<(Comparison, Node)>),
    /// Two numbers made into one.
    Two(Arithmetic, Box<[Node; 2]>),
    /// Condition, what holds where it holds, and what else.
    If(Box<[Node; 3]>),
    List(Vec<Node>),
    /// A value that goes through a filter.
    Filter(Filter, Box<Node>),
}

impl Node {
    /// Shows it and every piece below it.
    pub(crate) fn each<'n>(&'n self, see: &mut impl FnMut(&'n Self)) {
        see(self);
        let (first, others): (Option<&Self>, &[Self]) = match self {
            Self::Term(_) | Self::Name(_) => (None, &[]),
            Self::Not(of) | Self::Minus(of) | Self::Filter(_, of) => (Some(of), &[]),
            Self::And(all) | Self::Or(all) | Self::List(all) => (None, all),
            Self::Compare(first, others) => {
                for (_, other) in others {
                    other.each(see);
                }
                (Some(first), &[])
            }
            Self::Two(_, of) => (None, &**of),
            Self::If(of) => (None, &**of),
        };
        for below in first.into_iter().chain(others) {
            below.each(see);
        }
    }
}

/// How one value stands to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Comparison {
    /// `==`
    Equal,
    /// `!=`
    Different,
    /// `<`
    Less,
    /// `<=`
    AtMost,
    /// `>`
    More,
    /// `>=`
    AtLeast,
    /// `in` a list
    Among,
}

/// What is made of two numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Arithmetic {
    /// `+`
    Sum,
    /// `-`
    Difference,
    /// `*`
    Product,
    /// `/`
    Quotient,
    /// `**`
    Power,
}

/// What a value goes through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Filter {
    /// A number as text with its unit, as a limit where a side is given.
    Unit(Unit, Option<Round>),
    /// A number without its sign.
    Abs,
    /// The nearest whole number.
    Round,
    /// The smallest of a list.
    Min,
    /// The largest of a list.
    Max,
}

impl Filter {
    fn named(name: &str) -> Option<Self> {
        let own = match name {
            "abs" => Some(Self::Abs),
            "round" => Some(Self::Round),
            "min" => Some(Self::Min),
            "max" => Some(Self::Max),
            _ => None,
        };
        let side = |end, round| Some((name.strip_suffix(end)?, Some(round)));
        let side = side("_up", Round::Up).or_else(|| side("_down", Round::Down));
        let (code, side) = side.unwrap_or((name, None));
        let mut units = Unit::iter();
        let unit = units.find(|unit| super::filter_name(*unit) == code);
        own.or(unit.map(|unit| Self::Unit(unit, side)))
    }
}

/// The tree of an expression, and the names in it; fails with the reason when it is none.
pub(super) fn parse(text: &str) -> Result<(Node, BTreeSet<String>), String> {
    let mut reader = Reader::new(text);
    let node = reader.expression()?;
    if reader.next == Token::End && reader.fault.is_none() {
        return Ok((node, reader.names));
    }
    Err(reader.unexpected())
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Token<'t> {
    Word(&'t str),
    Number(f64),
    Quoted(&'t str),
    Sign(&'t str),
    End,
}

struct Reader<'t> {
    rest: &'t str,
    next: Token<'t>,
    fault: Option<String>,
    depth: usize,
    names: BTreeSet<String>,
}

impl<'t> Reader<'t> {
    fn new(text: &'t str) -> Self {
        let mut reader = Self {
            rest: text,
            next: Token::End,
            fault: None,
            depth: 0,
            names: BTreeSet::new(),
        };
        reader.step();
        reader
    }

    /// Takes the token that is next, and reads the one after it.
    fn step(&mut self) -> Token<'t> {
        self.rest = self.rest.trim_start();
        let (next, rest) = token(self.rest).unwrap_or_else(|fault| {
            self.fault.get_or_insert(fault);
            (Token::End, "")
        });
        self.rest = rest;
        std::mem::replace(&mut self.next, next)
    }

    fn skip(&mut self, token: Token<'_>) -> bool {
        let here = self.next == token;
        if here {
            self.step();
        }
        here
    }

    fn expect(&mut self, sign: &str) -> Result<(), String> {
        if self.skip(Token::Sign(sign)) {
            return Ok(());
        }
        Err(self.lacking(&format!("`{sign}`")))
    }

    fn lacking(&mut self, what: &str) -> String {
        format!("{}, where {what} should stand", self.unexpected())
    }

    fn unexpected(&mut self) -> String {
        self.fault.take().unwrap_or_else(|| match self.next {
            Token::Word(text) | Token::Sign(text) => format!("unexpected `{text}`"),
            Token::Number(number) => format!("unexpected number {number}"),
            Token::Quoted(word) => format!("unexpected word '{word}'"),
            Token::End => "it ends too early".to_owned(),
        })
    }

    /// One level down in brackets, signs and `else`.
    fn deeper<T>(
        &mut self,
        read: impl FnOnce(&mut Self) -> Result<T, String>,
    ) -> Result<T, String> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(format!("it is nested more than {DEEPEST} deep"));
        }
        let found = read(self);
        self.depth -= 1;
        found
    }

    fn expression(&mut self) -> Result<Node, String> {
        self.deeper(|reader| {
            let this = reader.joined(OR)?;
            if !reader.skip(Token::Word("if")) {
                return Ok(this);
            }
            let condition = reader.joined(OR)?;
            if !reader.skip(Token::Word("else")) {
                return Err(reader.lacking("`else`"));
            }
            let other = reader.expression()?;
            Ok(Node::If(Box::new([condition, this, other])))
        })
    }

    /// Pieces with what joins them, where it binds at least so near.
    fn joined(&mut self, least: u8) -> Result<Node, String> {
        let mut left = if least <= NOT && self.skip(Token::Word("not")) {
            Node::Not(Box::new(self.deeper(|reader| reader.joined(NOT))?))
        } else {
            self.filtered()?
        };
        while let Some((near, join)) = join(self.next).filter(|(near, _)| *near >= least) {
            left = match join {
                Join::Any => Node::Or(self.list_of(left, near)?),
                Join::All => Node::And(self.list_of(left, near)?),
                Join::Compare(_) => self.compared(left)?,
                Join::Two(arithmetic) => {
                    self.step();
                    Node::Two(arithmetic, Box::new([left, self.joined(near + 1)?]))
                }
            };
        }
        Ok(left)
    }

    /// A piece and all others that the word before the next one joins to it.
    fn list_of(&mut self, first: Node, near: u8) -> Result<Vec<Node>, String> {
        let word = self.next;
        let mut all = vec![first];
        while self.skip(word) {
            all.push(self.joined(near + 1)?);
        }
        Ok(all)
    }

    fn compared(&mut self, first: Node) -> Result<Node, String> {
        let mut others = Vec::new();
        while let Some((near, Join::Compare(comparison))) = join(self.next) {
            self.step();
            others.push((comparison, self.joined(near + 1)?));
        }
        Ok(Node::Compare(Box::new(first), others))
    }

    fn filtered(&mut self) -> Result<Node, String> {
        let mut node = self.signed()?;
        while self.skip(Token::Sign("|")) {
            if self.next == Token::Sign("|") {
                return Err("unexpected `||`; write `or`".to_owned());
            }
            let Token::Word(name) = self.next else {
                return Err(self.lacking("a filter"));
            };
            let filter = Filter::named(name).ok_or_else(|| no_filter(name))?;
            self.step();
            node = Node::Filter(filter, Box::new(node));
        }
        Ok(node)
    }

    fn signed(&mut self) -> Result<Node, String> {
        if self.skip(Token::Sign("-")) {
            return Ok(Node::Minus(Box::new(self.deeper(Self::signed)?)));
        }
        self.operand()
    }

    fn operand(&mut self) -> Result<Node, String> {
        let node = match self.next {
            Token::Number(number) => Node::Term(Term::Number(number)),
            Token::Quoted(word) => Node::Term(Term::from(word)),
            Token::Word("true") => Node::Term(Term::Flag(true)),
            Token::Word("false") => Node::Term(Term::Flag(false)),
            Token::Word("none") => Node::Term(Term::None),
            Token::Word(word) if !RESERVED.contains(&word) => return self.name(word),
            Token::Sign("(") => {
                self.step();
                let node = self.expression()?;
                self.expect(")")?;
                return Ok(node);
            }
            Token::Sign("[") => return self.list(),
            _ => return Err(self.unexpected()),
        };
        self.step();
        Ok(node)
    }

    fn name(&mut self, name: &str) -> Result<Node, String> {
        self.step();
        if name.matches('.').count() > 1 || name.ends_with('.') {
            return Err(format!(
                "`{name}` is no name; a field is written `name.field`"
            ));
        }
        self.names.insert(name.to_owned());
        Ok(Node::Name(Slot::of(name)))
    }

    fn list(&mut self) -> Result<Node, String> {
        self.step();
        let mut items = Vec::new();
        while self.next != Token::Sign("]") {
            items.push(self.expression()?);
            if !self.skip(Token::Sign(",")) {
                break;
            }
        }
        self.expect("]")?;
        Ok(Node::List(items))
    }
}

const RESERVED: [&str; 6] = ["and", "or", "not", "if", "else", "in"];
/// Longer ones first.
const SIGNS: [&str; 18] = [
    "**", "<=", ">=", "==", "!=", "<", ">", "+", "-", "*", "/", "(", ")", "[", "]", ",", "|", "%",
];

/// How near what joins two pieces binds: the farthest, and `not`, which stands before one.
const OR: u8 = 1;
const NOT: u8 = 3;

/// What joins two pieces.
enum Join {
    Any,
    All,
    Compare(Comparison),
    Two(Arithmetic),
}

/// What a token joins, and how near it binds.
fn join(token: Token<'_>) -> Option<(u8, Join)> {
    let (Token::Word(sign) | Token::Sign(sign)) = token else {
        return None;
    };
    Some(match sign {
        "or" => (OR, Join::Any),
        "and" => (2, Join::All),
        "==" => (4, Join::Compare(Comparison::Equal)),
        "!=" => (4, Join::Compare(Comparison::Different)),
        "<" => (4, Join::Compare(Comparison::Less)),
        "<=" => (4, Join::Compare(Comparison::AtMost)),
        ">" => (4, Join::Compare(Comparison::More)),
        ">=" => (4, Join::Compare(Comparison::AtLeast)),
        "in" => (4, Join::Compare(Comparison::Among)),
        "+" => (5, Join::Two(Arithmetic::Sum)),
        "-" => (5, Join::Two(Arithmetic::Difference)),
        "*" => (6, Join::Two(Arithmetic::Product)),
        "/" => (6, Join::Two(Arithmetic::Quotient)),
        "**" => (7, Join::Two(Arithmetic::Power)),
        _ => return None,
    })
}

/// The first token of a text, and the text after it.
fn token(text: &str) -> Result<(Token<'_>, &str), String> {
    let Some(first) = text.chars().next() else {
        return Ok((Token::End, ""));
    };
    if first.is_ascii_digit() {
        let (number, rest) = cut(text, |c| c.is_ascii_digit() || c == '.');
        let read = number
            .parse()
            .map_err(|_| format!("`{number}` is no number"));
        return Ok((Token::Number(read?), rest));
    }
    if first.is_ascii_alphabetic() || first == '_' {
        let (word, rest) = cut(text, |c| c.is_ascii_alphanumeric() || c == '_' || c == '.');
        return Ok((Token::Word(word), rest));
    }
    if let '\'' | '"' = first {
        let quoted = text.get(1..).and_then(|inner| inner.split_once(first));
        let (word, rest) = quoted.ok_or_else(|| format!("a {first} is not closed"))?;
        return Ok((Token::Quoted(word), rest));
    }
    let mut signs = SIGNS.into_iter();
    let sign = signs.find_map(|sign| Some((Token::Sign(sign), text.strip_prefix(sign)?)));
    // What other languages write.
    let ours = match first {
        '&' => "; write `and`",
        '=' => "; equal is `==`",
        '!' => "; write `not`, or `!=`",
        _ => "",
    };
    sign.ok_or_else(|| format!("unexpected `{first}`{ours}"))
}

fn no_filter(name: &str) -> String {
    let units: Vec<&str> = Unit::iter().map(super::filter_name).collect();
    format!(
        "there is no filter `{name}`; there are abs, round, min, max, and of units, with `_up` or `_down` behind them: {}",
        units.join(", ")
    )
}

/// A text cut after the letters that fit.
fn cut(text: &str, fits: impl Fn(char) -> bool) -> (&str, &str) {
    let end = text.find(|c| !fits(c)).unwrap_or(text.len());
    text.split_at(end)
}
