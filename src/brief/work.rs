//! What is done, in plain words: under each of the customer's headings what is lengthened, replaced, moved.

use serde::Serialize;

use crate::assess::Assessed;
use crate::cut::Origin;
use crate::pipeline::Made;
use crate::rules::{CUSTOMER_GROUPS, Verdict};
use crate::sorted::{drawn_together, each_once};

/// The heading for what the rules name none for.
const OTHER: &str = "other work";

/// One heading.
#[derive(Debug, Serialize)]
pub(crate) struct Group<'a> {
    #[serde(rename = "group")]
    pub heading: &'static str,
    /// What is done, from the lightest work to the heaviest.
    pub items: Vec<Item<'a>>,
}

/// The same work on several things.
#[derive(Debug, Serialize)]
pub(crate) struct Item<'a> {
    /// What is done: `lengthened`.
    pub done: &'static str,
    /// What it is done to, in plain words, each once.
    pub what: Vec<&'a str>,
    pub links: Vec<&'a str>,
}

/// What is done to the connections; what follows from the lift besides is told by itself.
pub(crate) fn work<'a>(made: &Made<'a>) -> Vec<Group<'a>> {
    let links = made.assessment.links.values();
    let links = links.filter(|link| link.origin != Origin::Consequence);
    let links = links.filter_map(|link| Some((done(link)?, link)));
    let mut links: Vec<(&'static str, &Assessed<'a>)> = links.collect();
    links.sort_by_key(|(_, link)| (customer_group(link), link.verdict));
    let groups = links.chunk_by(|(_, one), (_, next)| customer_group(one) == customer_group(next));
    let groups = groups.filter_map(|links| {
        let (_, first) = links.first()?;
        Some(Group {
            heading: CUSTOMER_GROUPS
                .get(customer_group(first))
                .copied()
                .unwrap_or(OTHER),
            items: items(links),
        })
    });
    groups.collect()
}

fn items<'a>(links: &[(&'static str, &'a Assessed<'a>)]) -> Vec<Item<'a>> {
    let items = drawn_together(links.iter().copied()).into_iter();
    let items = items.map(|(done, links)| Item {
        done,
        what: each_once(links.iter().map(|link| name(link))),
        links: links.iter().map(|link| link.id.as_str()).collect(),
    });
    items.collect()
}

/// What a link is called to the customer.
pub(crate) fn name<'a>(link: &'a Assessed<'a>) -> &'a str {
    let customer = link.class.and_then(|class| class.customer.as_ref());
    customer.map_or(link.title.as_str(), |customer| customer.what.as_str())
}

fn customer_group(link: &Assessed<'_>) -> usize {
    let customer = link.class.and_then(|class| class.customer.as_ref());
    let place = customer.and_then(|customer| {
        let mut groups = CUSTOMER_GROUPS.iter();
        groups.position(|group| *group == customer.group)
    });
    place.unwrap_or(CUSTOMER_GROUPS.len())
}

/// What is done to a link, in a word; nothing to what stays as it is.
pub(crate) fn done(link: &Assessed<'_>) -> Option<&'static str> {
    Some(match link.verdict {
        Verdict::Leave if link.release => "taken apart and put back",
        Verdict::Leave => return None,
        _ if link.origin == Origin::Mount && link.verdict == Verdict::Replace => {
            "given a solid block and a new bolt"
        }
        Verdict::Reposition => "moved",
        Verdict::Extend => "lengthened",
        Verdict::Replace => "replaced",
        Verdict::Fabricate => "rebuilt or raised",
        Verdict::Refer => "decided or done by a licensed trade",
        Verdict::Measure => "not yet known, still to be measured",
        Verdict::Stop => "the reason why the lift must not be done so",
    })
}
