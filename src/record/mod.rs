//! The signed record: who did, measured and checked what, line by line, so that nobody can quietly change it afterwards.
//!
//! Takes the plan, people of the job and what they sign; gives entries, keeps them in `<job>.record.jsonl`, and says how each
//! task stands by them. There are three operations: [`read`], which also verifies, [`append`], and [`verify`] for bytes.
//! Nothing is ever changed or taken out; work that is refused or redone stays visible. The time is handed in.

mod basis;
mod chain;
mod entry;
mod evidence;
mod json;
mod permit;
mod sign;
mod square;
mod status;
mod store;
mod time;
mod turn;
mod value;

pub use basis::Basis;
pub use chain::{Broken, Flaw, Record, verify};
pub use entry::{Act, Entry, ZEROS};
pub use json::to_json;
pub use sign::{Wish, lines, sign};
pub use status::{Standing, State, Status};
pub use store::{Appended, StoreError, append, read};
pub use time::Time;
pub use value::{Number, Value};
