//! Rule files as typed → checked rules. One file per kind; each reports its problems and goes on.
//!
//! Here a file must be right in itself: words known, expressions compiled, numbers in their units. Whether its names,
//! branches and triggers make sense is left to [`crate::lint`].

mod class;
mod fields;
mod limits;
mod measurement;
mod procedure;
mod setting;
mod states;

pub(super) use class::class;
pub(super) use fields::Fields;
pub(super) use limits::limits;
pub(super) use procedure::procedure;
pub(super) use setting::{EXACT, settings as settings_of};
pub(super) use states::states;
