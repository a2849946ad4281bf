//! Limits of a region: conditions and numbers over the facts of a job, and a text that knows what was compared.

use std::collections::BTreeSet;

use super::declared::{self, Sort};
use super::pieces::{self, Use};
use super::{Notes, names, sources};
use crate::report::Report;
use crate::rules::Rules;
use crate::rules::expression::Expr;
use crate::rules::model::Limit;

/// Checks one limit.
pub(super) fn limit(rules: &Rules, limit: &Limit, report: &mut Report) {
    let mut notes = Notes {
        file: &limit.place.file,
        report,
    };
    let facts = declared::whole_job(rules);
    let mut compared = facts.clone();
    for name in ["value", "most"] {
        compared.insert(name.to_owned(), Sort::Number(100.0));
    }
    // A limit is checked only when every fact of its expressions is given, so its text may print those.
    let expressions = limit.applies.iter().chain([&limit.value, &limit.most]);
    let asked: BTreeSet<&String> = expressions.flat_map(Expr::names).collect();
    for piece in pieces::of_limit(limit) {
        let is_text = matches!(piece.what, Use::Text(_));
        let declared = if is_text { &compared } else { &facts };
        names::one(&piece, declared, false, |_| None, &mut notes);
        if is_text {
            names::may_be_absent(&piece, &asked, &mut notes);
        }
    }
    let source = &limit.source;
    let at = limit.place.path.key("source");
    sources::document(&source.document, &source.status, &at, &mut notes);
}
