//! Keys that a map should not have. Takes a map that is complete; leaves out of it every second entry of the same key,
//! which would silently replace the first, and the merge key, which is no part of YAML 1.2; gives a flaw for each.

use std::sync::Arc;

use super::flaw::Flaw;
use super::locator::{Id, Locator, Node};
use crate::report::{Code, quoted};

/// Leaves out what should not be in a map.
pub(super) fn leave_out(locator: &mut Locator, map: Id) -> Vec<Flaw> {
    let mut keys: Vec<(Arc<str>, Id)> = locator
        .children(map)
        .filter_map(|(id, node)| Some((Arc::clone(&node.key.as_ref()?.scalar.text), id)))
        .collect();
    keys.sort_unstable();
    let mut flaws = Vec::new();
    for same in keys.chunk_by(|a, b| a.0 == b.0) {
        let [(key, first), again @ ..] = same else {
            continue;
        };
        if locator.node(*first).is_some_and(is_merge) {
            flaws.push(merge(locator, *first));
            locator.leave_out(*first);
        }
        for (_, id) in again {
            flaws.push(duplicate(locator, key, *first, *id));
            locator.leave_out(*id);
        }
    }
    flaws
}

fn is_merge(node: &Node) -> bool {
    let key = node.key.as_ref();
    key.is_some_and(|key| key.scalar.plain && &*key.scalar.text == "<<")
}

fn merge(locator: &Locator, id: Id) -> Flaw {
    let message = "the merge key `<<` is not supported";
    let mut flaw = Flaw::new(
        Code::MergeKey,
        locator.key_span(id),
        message,
        "write the fields out",
    );
    flaw.node = Some(id);
    flaw
}

fn duplicate(locator: &Locator, key: &str, first: Id, id: Id) -> Flaw {
    let message = format!("the key `{}` stands twice in the same map", quoted(key));
    let help = "delete one of them, or give it its own key";
    Flaw {
        node: Some(id),
        label: "the second",
        first: Some(locator.key_span(first)),
        ..Flaw::new(Code::DuplicateKey, locator.key_span(id), message, help)
    }
}
