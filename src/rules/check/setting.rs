//! Settings: numbers that a workshop may change, each with its unit and source.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::Path;
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
        let setting = Setting {
            label: setting.label,
            value,
            source: setting.source,
        };
        checked.insert(name, setting);
    }
    checked
}
