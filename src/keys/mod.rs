//! What a workshop keeps outside its folder of jobs, on the machine: the secret that goes into PINs and signs entries, how many wrong PINs
//! were given, and how far each record was.
//!
//! Takes the number of a workshop or of a record; gives what is kept for it. Whoever has only the folder has none of it. It lies where this
//! platform keeps a user's data, or in the folder that `LIFTSHEET_HOME` names; nobody but that user may read it.
//!
//! `home` is the place and its files, `secret` the secret and its signatures, `seen` how far a record was, `waits` the wrong PINs.

mod home;
mod secret;
mod seen;
mod waits;

pub use home::{HOME, Home};
pub(crate) use secret::number;
pub use secret::{Secret, draw, fits};
pub use seen::LastSeen;
pub use waits::wait_after;
