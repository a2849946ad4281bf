//! The people of a workshop: who they are, what they may do, and how they prove who they are.
//!
//! Takes the folder of the jobs; gives its [`Workshop`], changes it, and makes a [`Proof`] of a PIN. What holds is the record of the people,
//! `people.record.jsonl`, in the same chained form as that of a job; `people.yaml` beside it shows it. Hashes of PINs stand in
//! `people.pins.json`, and what they cannot be looked at without lies outside the folder, with [`crate::keys`]. Who may sign what on a job
//! is left to the record.
//!
//! `entry` is a line of the record, `workshop` what all of them come to, `open` what is said of it, `written` the file that shows it. `change` is who joins, leaves and
//! may do what, `add` how that comes into the record, `pin` setting a PIN, `hash` what is kept of it, `weak` what is none, `prove` looking at it.

mod add;
mod change;
mod entry;
mod hash;
mod open;
mod pin;
mod prove;
mod weak;
mod workshop;
mod written;

pub use change::{By, PeopleChange, change};
pub use entry::{Act, Entry};
pub use hash::FILE as PINS;
pub use pin::set_pin;
pub(crate) use prove::pin_needed;
pub use prove::{Proof, prove};
pub use workshop::{Member, Workshop, place_of, record as record_of};
pub(crate) use workshop::{doubtful, not_kept};
pub use written::FILE;

/// The device of whoever sits at the machine itself.
pub const THIS_MACHINE: &str = "this machine";
/// How a person was known: somebody gave the name, and nothing proved it.
pub const SAID: &str = "said";
/// How a person was known: by the PIN.
pub const PIN: &str = "pin";
