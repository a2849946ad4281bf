//! Kinds: a connection comes apart and may bridge the cut, a consequence is looked at only where it concerns the vehicle; neither
//! has what is the other's.

use super::tasks::word;
use super::{Notes, names};
use crate::report::{Code, Path};
use crate::rules::{CUSTOMER_GROUPS, Class, Rules};

/// Checks that a class has nothing of the other kind.
pub(super) fn class(rules: &Rules, class: &Class, notes: &mut Notes<'_>) {
    let consequence = rules
        .consequences
        .get(&class.id)
        .is_some_and(|own| own.file == class.file);
    let root = Path::root();
    let foreign: &[(&str, bool)] = if consequence {
        &[
            ("release", class.release.is_some()),
            ("bridges", class.bridges),
            ("customer", class.customer.is_some()),
        ]
    } else {
        &[("only_when", class.only_when.is_some())]
    };
    for (key, _) in foreign.iter().filter(|(_, given)| *given) {
        let (message, help) = if consequence {
            (
                format!("a consequence is no connection, so it has no `{key}`"),
                "leave it out, or make it a class under `connections/`",
            )
        } else {
            (
                "a connection is looked at wherever a job lists it".to_owned(),
                "write the condition as `applies` of its checks",
            )
        };
        notes.error(Code::BadRule, &root.key_of(*key), message, help);
    }
    if consequence {
        names::only_when(class, notes);
    } else {
        whole_connection(class, notes);
    }
    customer(class, notes);
}

/// A connection says what the customer is told of it, and what comes apart of it before the body goes up or why nothing does.
fn whole_connection(class: &Class, notes: &mut Notes<'_>) {
    let root = Path::root();
    if class.customer.is_none() {
        let message = format!("the customer is told nothing of `{}`", class.id);
        let help = "add `customer:` with a group, what it is in plain words, and what to watch for";
        notes.error(Code::MissingField, &root, message, help);
    }
    match (&class.release, &class.never_released) {
        (None, None) => notes.error(
            Code::MissingField,
            &root,
            format!("`{}` is pulled while the body goes up, and nothing says whether it comes apart first", class.id),
            "add `release:`, with a `when` where it has slack enough on some vehicles; or say in `never_released` why nothing of it does",
        ),
        (Some(_), Some(_)) => notes.error(
            Code::BadRule,
            &root.key_of("never_released"),
            "this class says both what comes apart and that nothing does",
            "leave one of the two out",
        ),
        _ => {}
    }
}

/// What the customer is told of a connection stands under a known heading, and says something.
fn customer(class: &Class, notes: &mut Notes<'_>) {
    let Some(customer) = &class.customer else {
        return;
    };
    let at = Path::root().key("customer");
    let group = Some(customer.group.as_str());
    word(group, &CUSTOMER_GROUPS, || at.key("group"), notes);
    for (key, text) in [("what", &customer.what), ("watch", &customer.watch)] {
        if text.trim().is_empty() {
            let message = format!("the customer is told nothing by this `{key}`");
            let help = "say it in a few plain words";
            notes.error(Code::BadRule, &at.key(key), message, help);
        }
    }
}
