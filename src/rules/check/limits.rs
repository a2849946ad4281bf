//! The limits of one jurisdiction.

use super::fields::Fields;
use crate::report::Path;
use crate::rules::model::{Limit, Region};
use crate::rules::words::Verdict;
use crate::rules::written;

/// Checks one limits file.
pub(in crate::rules) fn limits(
    written: written::Limits,
    file: &str,
    fields: &mut Fields<'_>,
) -> Region {
    let limits = written.limits.into_iter().enumerate();
    let limits = limits.filter_map(|(index, limit)| {
        check_limit(limit, &Path::root().key("limits").index(index), fields)
    });
    Region {
        file: file.to_owned(),
        title: written.title,
        authority: written.authority,
        note: written.note,
        limits: limits.collect(),
    }
}

fn check_limit(written: written::Limit, path: &Path, fields: &mut Fields<'_>) -> Option<Limit> {
    let applies = fields.optional(written.applies.as_ref(), &|| path.key("applies"));
    let value = fields.expression(&written.value, &|| path.key("value"));
    let most = fields.expression(written.most.as_str(), &|| path.key("most"));
    let unit = fields.choice(&written.unit, &|| path.key("unit"));
    let over = [Verdict::Stop, Verdict::Refer];
    let at = || path.key("over");
    let place = fields.among(&written.over, &at, &over.map(Verdict::word));
    Some(Limit {
        id: written.id,
        title: written.title,
        source: written.source,
        applies,
        value: value?,
        unit: unit?,
        most: most?,
        over: *over.get(place?)?,
        because: written.because,
        place: fields.notes.place(path),
    })
}
