//! The names at one point or at several, so that what is printed is right at all of them.
//!
//! Takes a scope for each point of a link's tolerances, the worst first; gives texts whose limits stand on their safe side, and limits
//! and sizes likewise. What the points are is left to `assess`.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::{Expr, ExpressionError, Scope, Template};
use crate::quantity::Round;
use crate::text::Text;

/// The names at one point or at several.
#[derive(Debug, Clone, Default)]
pub struct Scopes {
    first: Scope,
    others: Vec<Scope>,
    /// What is taken at each of its ends with every other that a text or limit uses.
    ends: BTreeMap<String, (f64, f64)>,
}

/// Names of one text or limit that are taken at both ends with every other.
const MOST_ENDS: usize = 12;

impl From<Scope> for Scopes {
    fn from(first: Scope) -> Self {
        Self::new(first, Vec::new())
    }
}

impl Scopes {
    /// The names at the worst point and at the others.
    pub(crate) fn new(first: Scope, others: Vec<Scope>) -> Self {
        let ends = BTreeMap::new();
        Self {
            first,
            others,
            ends,
        }
    }

    /// Takes a name, dotted where it is a field, at both of its ends with every other such name.
    pub(crate) fn between(&mut self, name: &str, ends: (f64, f64)) {
        self.ends.insert(name.to_owned(), ends);
    }

    fn all(&self) -> impl Iterator<Item = &Scope> {
        std::iter::once(&self.first).chain(&self.others)
    }

    /// The names at every point, for a text or limit that uses these.
    fn used(
        &self,
        text: &str,
        names: &BTreeSet<String>,
    ) -> Result<Vec<Cow<'_, Scope>>, ExpressionError> {
        let ends = self.ends.iter().filter(|(name, _)| names.contains(*name));
        let ends: Vec<_> = ends.collect();
        if ends.len() > MOST_ENDS {
            let reason = format!("it reads more than {MOST_ENDS} numbers that are not exact");
            return Err(ExpressionError::new(text, reason));
        }
        let mut all: Vec<Cow<'_, Scope>> = self.all().map(Cow::Borrowed).collect();
        for (name, (least, most)) in ends {
            let both = all.iter().flat_map(|scope| {
                [least, most].map(|end| {
                    let mut scope = scope.clone();
                    scope.to_mut().set(name, *end);
                    scope
                })
            });
            all = both.collect();
        }
        Ok(all)
    }

    /// Changes the names at every point.
    pub(crate) fn each(&mut self, change: impl Fn(&mut Scope)) {
        std::iter::once(&mut self.first)
            .chain(&mut self.others)
            .for_each(change);
    }

    /// Every point once for each of these, with what it changes there, beside those that the worst point has.
    pub(crate) fn vary<'t, T: 't>(&mut self, all: &'t [T], change: impl Fn(&mut Scope, &'t T)) {
        let others = self.all().flat_map(|scope| {
            all.iter().map(|one| {
                let mut scope = scope.clone();
                change(&mut scope, one);
                scope
            })
        });
        self.others = others.collect();
    }

    /// Renders a text; a limit in it is the one that holds at every point.
    pub(crate) fn render(&self, template: &str) -> Result<Text, ExpressionError> {
        if !template.contains('{') {
            return Ok(Text::rendered(template.to_owned()));
        }
        let parsed = Template::once(template)?;
        let mut text = parsed.render(&self.first)?;
        let names = parsed.names();
        if ["_up", "_down"].iter().any(|side| template.contains(side)) {
            for other in self.used(template, names)? {
                text = text.safer_of(&parsed.render(&other)?);
            }
        }
        Ok(text)
    }

    /// The limit that holds at every point, on the side given: up for what must be reached, down for what must not be passed. None
    /// where the rule sets no limit.
    pub(crate) fn limit(
        &self,
        expression: &Expr,
        side: Round,
    ) -> Result<Option<f64>, ExpressionError> {
        let mut limit = expression.limit(&self.first)?;
        for scope in self.used(expression.text(), expression.names())? {
            limit = limit.zip(expression.limit(&scope)?).map(|(one, other)| {
                if side == Round::Down {
                    one.min(other)
                } else {
                    one.max(other)
                }
            });
        }
        Ok(limit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;

    fn at(length: f64) -> Scope {
        let mut scope = Scope::default();
        scope.set("length", length);
        scope
    }

    #[test]
    fn a_limit_holds_at_every_point() {
        let scopes = Scopes::new(at(10.2), vec![at(12.4), at(9.7)]);
        let text = "{{ length | mm_up }} to {{ length | mm_down }}, {{ length | mm }}";
        let text = scopes.render(text).unwrap().print(Units::Metric);
        assert_eq!(text, "13 mm to 9 mm, 10.2 mm");
        let length = Expr::compile("length").unwrap();
        assert_eq!(scopes.limit(&length, Round::Up), Ok(Some(12.4)));
        assert_eq!(scopes.limit(&length, Round::Down), Ok(Some(9.7)));
        let none = Expr::compile("none").unwrap();
        assert_eq!(scopes.limit(&none, Round::Up), Ok(None));
    }

    #[test]
    fn a_value_of_the_text_alone_is_taken_at_both_ends() {
        let mut scopes = Scopes::from(at(10.0));
        scopes.each(|scope| scope.set("more", 2.0));
        scopes.between("more", (1.0, 3.0));
        let sum = Expr::compile("length + more").unwrap();
        assert_eq!(scopes.limit(&sum, Round::Up), Ok(Some(13.0)));
        assert_eq!(scopes.limit(&sum, Round::Down), Ok(Some(11.0)));
        let text = scopes.render("{{ more | mm }}").unwrap();
        assert_eq!(text.print(Units::Metric), "2 mm");
    }
}
