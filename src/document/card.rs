//! The card for the steering wheel of a vehicle that is left: that nobody starts it, and how it stands by its record.
//!
//! Takes how the tasks stand; gives one [`Page`]. It holds nothing that is not signed.

use minijinja::context;

use super::sheet::{DEMO, short};
use super::{DocumentError, Page, engine, escape, words};
use crate::record::{Footing, Record, State, Status};

/// The card; fails only when its template is defective.
pub(crate) fn card(
    footing: &Footing,
    (status, record): (&Status<'_>, &Record),
) -> Result<Page, DocumentError> {
    let agreed = &footing.agreed;
    let binding = footing.binding.as_ref();
    let last_digest = words::digest(&format!("sha256:{}", record.last_digest()));
    let again = status.tasks.iter().filter(|one| {
        let done = matches!(one.state(), State::Done | State::Checked);
        !done && one.opened().is_some()
    });
    let again: Vec<usize> = again.map(|one| one.task.number).collect();
    let view = context! {
        job => &agreed.job,
        vehicle => binding.map(|binding| binding.identification.as_str()),
        released => footing.released(status),
        stands => footing.stands(status),
        // What was done, and is to be done again before anybody relies on it.
        again => (!again.is_empty()).then(|| words::tasks(again)),
        torn => footing.torn,
        entries => record.entries.len(),
        last_digest => &last_digest,
    };
    let job = escape::shown(&agreed.job);
    let demo = agreed.pages.values().any(|page| page["demo"] == true);
    Ok(Page {
        title: format!("Card: {job}"),
        markdown: engine::markdown("card.md", view)?,
        banner: demo.then(|| DEMO.to_owned()),
        footer: format!("{} · record {last_digest}", short(&job)),
        ..Page::default()
    })
}
