//! The signed record: who did, measured and checked what, line by line, so that nobody can quietly change it afterwards.
//!
//! Takes the plan, people of the job and what they sign; gives entries, keeps them in `<job>.record.jsonl`, and says how each
//! task stands by them. Nothing is ever changed or taken out; work that is refused or redone stays visible. The time is handed in.
//!
//! `agreed` is the plan as it is signed on, `binding` whose record it is, `footing` which plan and which people hold now, `said` what the job file says otherwise. `entry` is
//! a line, `kept` what stands beside it, `place` where. `standing` is how one task stands, `status` all of them, `effective` which
//! entries count, `rests` what undoes what. `wish` is what somebody wants to sign, `sign` decides whether it may be: `target` of what, `permit` by whom, `known` how that is known, `turn` and `when` at what
//! time, `evidence` and `value` with which values, `odometer` and `mend` each what their name says. `next`, `table` and `clock` are asked by
//! pages and by the command line.

mod agreed;
mod binding;
mod clock;
mod effective;
mod entry;
mod evidence;
mod footing;
mod json;
mod kept;
mod known;
mod mend;
mod next;
mod odometer;
mod permit;
mod place;
mod rests;
mod said;
mod sign;
mod square;
mod standing;
mod status;
mod table;
mod target;
mod turn;
mod value;
mod when;
mod wish;

/// Verifies every line of a record file.
pub fn verify(bytes: &[u8]) -> Result<Record, Broken> {
    crate::chain::verify(bytes)
}

pub use crate::chain::{
    Appended, Broken, Chained, Flaw, NoTime, StoreError, Time, ZEROS, Zone, append, read, sha256,
};
pub use agreed::{Agreed, Asked, Row, SignedTask, short};
pub use binding::{Binding, JobChange, Who, people, people_of};
pub use clock::{Fast, Soon, fast, soon};
pub use effective::Effective;
pub use entry::{Act, Entry, Record};
#[cfg(feature = "serve")]
pub(crate) use evidence::is_torque;
pub use evidence::remarks;
pub use footing::{Difference, Footing, KeptPlan, Now, change_words, footing};
pub use json::to_json;
pub use kept::{Folder, Lost};
#[cfg(feature = "serve")]
pub(crate) use mend::may_correct;
pub use next::{Turn, is_checked, turns, whose};
pub use odometer::{VALUE as ODOMETER, asks_odometer, at_handover};
pub use place::place_of;
pub(crate) use sign::left;
#[cfg(feature = "serve")]
pub(crate) use sign::may_change;
pub use sign::{consequence, sign};
pub use square::worked_out;
pub use standing::{Opened, RowStanding, Standing, State};
pub use status::Status;
pub use table::{TableLine, from_table, no_time, to_sign};
pub use value::{Entered, Number, Photo};
pub use when::ran_behind;
pub use wish::Wish;
