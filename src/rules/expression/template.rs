//! A text of a rule with expressions in it: words, `{{ expression | filter }}`, and `{% if condition %}…{% elif %}…{% else %}…{% endif %}`.
//!
//! Takes the text; gives its pieces once, and what they come to with the names of each point.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::{Arc, LazyLock, PoisonError, RwLock};

use rustc_hash::FxHashMap;

use super::scope::Scope;
use super::syntax::{self, Node};
use super::term::{Reading, Term};
use super::{ExpressionError, eval, short_enough};
use crate::text::Text;

/// `{% if %}` within one another; the shipped texts have two.
const DEEPEST: usize = 20;

/// A text of a rule, taken apart.
#[derive(Debug)]
pub(crate) struct Template {
    text: Box<str>,
    pieces: Vec<Piece>,
    names: BTreeSet<String>,
}

#[derive(Debug)]
enum Piece {
    /// Where the words stand in the text.
    Words(Range<usize>),
    Value(Node),
    /// What stands under each condition; the last may have none.
    Either(Vec<(Option<Node>, Vec<Piece>)>),
}

/// Every piece, those under a condition behind it.
fn walk<'p>(pieces: &'p [Piece], see: &mut impl FnMut(&'p Piece)) {
    for piece in pieces {
        see(piece);
        if let Piece::Either(ways) = piece {
            for (_, pieces) in ways {
                walk(pieces, see);
            }
        }
    }
}

/// Every text that was taken apart to be printed: those of one rule are printed at many heights, and for many jobs.
static TAKEN_APART: LazyLock<RwLock<FxHashMap<Box<str>, Arc<Template>>>> =
    LazyLock::new(RwLock::default);

impl Template {
    /// A text taken apart, once for as long as the program runs; fails where it is not one.
    pub(super) fn once(text: &str) -> Result<Arc<Self>, ExpressionError> {
        let known = TAKEN_APART.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(text) {
            return Ok(known.clone());
        }
        drop(known);
        let template = Arc::new(Self::parse(text)?);
        let mut known = TAKEN_APART.write().unwrap_or_else(PoisonError::into_inner);
        known.insert(text.into(), template.clone());
        Ok(template)
    }

    /// Takes a text apart; fails where it is not one.
    pub(crate) fn parse(text: &str) -> Result<Self, ExpressionError> {
        if !text.contains('{') {
            return Ok(Self {
                text: text.into(),
                pieces: vec![Piece::Words(0..text.len())],
                names: BTreeSet::new(),
            });
        }
        short_enough(text)?;
        let text_read = text.strip_suffix('\n').unwrap_or(text);
        let mut reader = Reader {
            text: text_read,
            rest: text_read,
            names: BTreeSet::new(),
            depth: 0,
        };
        let failed = |reason| ExpressionError::new(text, reason);
        let (pieces, end) = reader.pieces().map_err(failed)?;
        match end {
            None => Ok(Self {
                text: text.into(),
                pieces,
                names: reader.names,
            }),
            Some(end) => Err(failed(format!("unexpected `{{% {end} %}}`"))),
        }
    }

    /// The names it uses, dotted where it reads a field.
    pub(crate) fn names(&self) -> &BTreeSet<String> {
        &self.names
    }

    /// The words between its expressions.
    pub(crate) fn words(&self) -> impl Iterator<Item = &str> {
        let mut words = Vec::new();
        walk(&self.pieces, &mut |piece| {
            if let Piece::Words(range) = piece {
                words.push(range.clone());
            }
        });
        words.into_iter().filter_map(|range| self.text.get(range))
    }

    /// Its expressions and conditions, each with whether it is printed.
    pub(crate) fn nodes(&self) -> Vec<(bool, &Node)> {
        let mut nodes = Vec::new();
        walk(&self.pieces, &mut |piece| match piece {
            Piece::Words(_) => {}
            Piece::Value(node) => nodes.push((true, node)),
            Piece::Either(ways) => {
                nodes.extend(
                    ways.iter()
                        .filter_map(|(when, _)| Some((false, when.as_ref()?))),
                );
            }
        });
        nodes
    }

    /// The text with its values in it; fails where a name is not there or does not fit.
    pub(crate) fn render(&self, scope: &Scope) -> Result<Text, ExpressionError> {
        let mut out = String::with_capacity(self.text.len());
        let added = self.add(&self.pieces, scope, &mut out);
        added.map_err(|reason| ExpressionError::new(&self.text, reason))?;
        Ok(Text::rendered(out))
    }

    fn add(
        &self,
        pieces: &[Piece],
        scope: &Scope,
        out: &mut String,
    ) -> Result<(), Cow<'static, str>> {
        for piece in pieces {
            match piece {
                Piece::Words(words) => {
                    out.push_str(self.text.get(words.clone()).unwrap_or_default());
                }
                Piece::Value(node) => match eval::eval(node, (scope, Reading::Feed))? {
                    Term::Word(word) => out.push_str(&word),
                    Term::Number(number) => out.push_str(&number.to_string()),
                    other => {
                        let kind = other.kind();
                        return Err(format!("it prints {kind}, not a word or number").into());
                    }
                },
                Piece::Either(ways) => {
                    for (condition, pieces) in ways {
                        let holds = condition.as_ref();
                        let holds = holds.map(|node| eval::holds(node, (scope, Reading::Feed)));
                        if holds.unwrap_or(Ok(true))? {
                            self.add(pieces, scope, out)?;
                            break;
                        }
                    }
                }
            }
        }
        Ok(())
    }
}

struct Reader<'t> {
    text: &'t str,
    rest: &'t str,
    names: BTreeSet<String>,
    depth: usize,
}

/// Pieces, and the statement that ends them.
type Pieces<'t> = (Vec<Piece>, Option<&'t str>);

impl<'t> Reader<'t> {
    /// The pieces up to the end, or to a statement that is no `if`.
    fn pieces(&mut self) -> Result<Pieces<'t>, String> {
        let mut pieces = Vec::new();
        loop {
            let opens = |at: &usize| {
                let next = self.rest.as_bytes().get(at + 1);
                matches!(next, Some(b'{' | b'%' | b'#'))
            };
            let mut brackets = self.rest.match_indices('{').map(|(at, _)| at);
            let Some(start) = brackets.find(opens) else {
                pieces.push(self.words(self.rest.len()));
                return Ok((pieces, None));
            };
            if start > 0 {
                pieces.push(self.words(start));
            }
            let opened = self.rest.get(start..).unwrap_or_default();
            let (sign, inner) = opened.split_at(2);
            let (inside, rest) = match sign {
                "{{" => closed(inner, "}}")?,
                "{%" => closed(inner, "%}")?,
                _ => return Err("unexpected `{#`".to_owned()),
            };
            self.rest = rest;
            if sign == "{{" {
                pieces.push(Piece::Value(self.node(inside)?));
            } else if let Some(condition) = inside.strip_prefix("if ") {
                pieces.push(self.either(condition)?);
            } else {
                return Ok((pieces, Some(inside)));
            }
        }
    }

    /// The next words, so many bytes of them.
    fn words(&self, count: usize) -> Piece {
        let from = self.text.len() - self.rest.len();
        Piece::Words(from..from + count)
    }

    fn either(&mut self, condition: &'t str) -> Result<Piece, String> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(format!("it is nested more than {DEEPEST} deep"));
        }
        let mut condition = Some(self.node(condition)?);
        let mut ways = Vec::new();
        loop {
            let (pieces, end) = self.pieces()?;
            let last = condition.is_none();
            ways.push((condition.take(), pieces));
            match end {
                Some("endif") => break,
                Some("else") if !last => {}
                Some(end) => match end.strip_prefix("elif ") {
                    Some(next) if !last => condition = Some(self.node(next)?),
                    _ => return Err(format!("unexpected `{{% {end} %}}`")),
                },
                None => return Err("an `{% if … %}` has no `{% endif %}`".to_owned()),
            }
        }
        self.depth -= 1;
        Ok(Piece::Either(ways))
    }

    fn node(&mut self, text: &str) -> Result<Node, String> {
        let (node, names) = syntax::parse(text)?;
        self.names.extend(names);
        Ok(node)
    }
}

/// What stands before a closing sign, and after it.
fn closed<'t>(text: &'t str, sign: &str) -> Result<(&'t str, &'t str), String> {
    let split = text.split_once(sign);
    let (inside, rest) = split.ok_or_else(|| format!("a `{sign}` is missing"))?;
    Ok((inside.trim(), rest))
}
