//! Settings: numbers that a workshop may change, each with its unit and source.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::{Code, Path};
use crate::rules::model::Setting;
use crate::rules::written;

/// Checks the settings of a class or of the whole rule set.
pub(in crate::rules) fn of(
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
            exact(&path.key("value"), fields);
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

/// Refuses a tolerance: a reading has one, a limit has none.
fn exact(at: &Path, fields: &mut Fields<'_>) {
    let message = "a setting is one value, without a tolerance";
    let help = "write the end that is safe";
    fields.notes.error(Code::BadRule, at, message, help);
}
