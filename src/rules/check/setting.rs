//! Settings: numbers that a workshop may change, each with its unit and source.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::{Code, Path};
use crate::rules::model::Setting;
use crate::rules::written;

/// Checks the settings of a class or of the whole rule set.
pub(in crate::rules) fn settings(
    settings: BTreeMap<String, written::Setting>,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Setting> {
    let mut checked = BTreeMap::new();
    for (name, setting) in settings {
        let path = at.key(name.as_str());
        let Some(unit) = fields.choice(&setting.unit, &|| path.key("unit")) else {
            continue;
        };
        let Some(value) = fields.quantity(&setting.value, unit, &|| path.key("value")) else {
            continue;
        };
        if value.tolerance > 0.0 {
            let (message, help) = EXACT;
            let at = path.key("value");
            fields.notes.error(Code::BadRule, &at, message, help);
            continue;
        }
        let setting = Setting {
            label: setting.label,
            value,
            source: setting.source,
        };
        checked.insert(name, setting);
    }
    checked
}

/// What is said of a tolerance: a reading has one, a limit has none.
pub(in crate::rules) const EXACT: (&str, &str) = (
    "a setting is one value, without a tolerance",
    "write the end that is safe",
);
