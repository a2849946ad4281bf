//! The options of a pattern: what may be chosen, and whether conditions name only that.

use std::collections::{BTreeMap, BTreeSet};

use super::model::Choice;
use super::written;
use crate::report::{Code, Path, or_list, unknown_help};
use crate::rules::check::Fields;
use crate::rules::names::choice_name;

/// Checks the options of one file.
pub(super) fn check(
    options: &BTreeMap<String, written::Choice>,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Choice> {
    let mut checked = BTreeMap::new();
    for (name, option) in options {
        let path = Path::root().key("options").key(name.as_str());
        if let Some(choice) = check_choice(option, &path, fields) {
            checked.insert(name.clone(), choice);
        }
    }
    checked
}

fn check_choice(option: &written::Choice, path: &Path, fields: &mut Fields<'_>) -> Option<Choice> {
    let choices = match (&option.choices, option.yes_no) {
        (Some(choices), false) if choices.len() > 1 => choices.clone(),
        (None, true) => vec!["yes".to_owned(), "no".to_owned()],
        _ => {
            let message = "this option does not say in one way what it takes";
            let help = "give either `yes_no: true`, or `choices` with two words or more";
            fields.notes.error(Code::BadRule, path, message, help);
            return None;
        }
    };
    // YAML reads a bare `true` as a yes.
    let default = match option.default.as_str() {
        "true" => "yes",
        "false" => "no",
        word => word,
    };
    if !choices.iter().any(|choice| choice == default) {
        let message = format!("`{default}` is not {}", or_list(&choices));
        let help = unknown_help(default, choices.iter().map(String::as_str));
        fields
            .notes
            .error(Code::UnknownChoice, &path.key("default"), message, help);
        return None;
    }
    Some(Choice {
        label: option.label.clone(),
        default: default.to_owned(),
        yes_no: option.yes_no,
        choices,
    })
}

/// Reports names that are neither an option nor one of its choices.
pub(super) fn check_names(
    names: &BTreeSet<String>,
    options: &BTreeMap<String, Choice>,
    path: &Path,
    fields: &mut Fields<'_>,
) {
    for name in names {
        let (root, choice) = name.split_once('.').unwrap_or((name, ""));
        let Some(option) = options.get(root) else {
            let help = unknown_help(root, options.keys().map(String::as_str));
            let message = format!("`{root}` is no option of this pattern");
            fields.notes.error(Code::UnknownName, path, message, help);
            continue;
        };
        let known: Vec<String> = option
            .choices
            .iter()
            .map(|word| choice_name(word))
            .collect();
        if !choice.is_empty() && (option.yes_no || !known.iter().any(|word| word == choice)) {
            let help = unknown_help(choice, known.iter().map(String::as_str));
            let message = format!("option `{root}` has no choice `{choice}`");
            fields.notes.error(Code::UnknownName, path, message, help);
        }
    }
}
