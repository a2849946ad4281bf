//! Pictures of the whole vehicle: from the side, its mounts from above, its parts with the cut between them, a body tipped up.
//!
//! Takes everything made of a job; each file gives one kind of [`super::Picture`], or none where there is nothing to decide.
//! Single connections are left to the other pictures, and where a picture stands on a page to `document`.

mod cut_graph;
mod mount_label;
mod mounts;
mod outline;
mod side_links;
mod side_view;
mod tipped;
mod tipped_view;

pub use cut_graph::cut_graph;
pub(crate) use mounts::mounts;
pub(crate) use side_view::side_view;
pub use side_view::whereabouts;
pub(crate) use tipped::tipped;
