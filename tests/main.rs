//! Integration tests: one binary, its contents one subject a line. Wherever it can be, a test runs the real program.
//!
//! - `brief`: the customer's page and the bench list.
//! - `calc`: the trade's arithmetic against published figures, other code, and its own promises.
//! - `calc_command`: `calc` on the command line.
//! - `classes`: every class of connection by its cases, one file a class below `cases/classes`.
//! - `connection_pictures`: pictures of single connections, to scale, with the numbers of the assessment.
//! - `cut`: which links a body lift pulls apart.
//! - `dependencies`: licences, sources and versions of what the program is built from.
//! - `documents`: pages, whole and in part; text typed by people as text.
//! - `crew`: who does what when; published networks, and promises that hold for every schedule.
//! - `errors`: deliberate mistakes, one a file below `cases/errors`, and the whole of what is said of each.
//! - `explain`: every code explained.
//! - `first_minutes`: what a new user does first.
//! - `guide`: the README does what it says.
//! - `heights`: where verdicts change with the height of the blocks, and what that saves.
//! - `help`: help, examples, manual pages and completions of every command.
//! - `hostile`: files made to do harm.
//! - `hostile_rules`: rule files that would hang, grow or overflow.
//! - `hostile_text`: words and names made to act on a terminal.
//! - `jobs`: whole invented jobs below `cases/jobs`.
//! - `limits`: local limits, each figure with where it was read.
//! - `many`: many jobs at once.
//! - `new`: job files from patterns.
//! - `own_rules`: folders of rules that a workshop lays over ours, and values that it lays over values.
//! - `output`: endings, files that must not be overwritten, folders of jobs, interrupts.
//! - `people`: a workshop's people, their PINs, what cannot be forged, copies.
//! - `pages`: every page in two readers; quantities and their units.
//! - `pictures`: no word of any picture is covered, crossed by a line or cut off.
//! - `pipes`: every command in pipes that are closed, full or short.
//! - `plan`: the order of work, access, refits, hold points.
//! - `properties`: promises that hold for every vehicle.
//! - `record`: who may sign what, what stands, and that nobody can quietly change it.
//! - `states`: the vehicle's state, walked through task by task, and the faults of an order that a workshop would meet.
//! - `serve`: the workshop's page: who is let in, what is written and signed there.
//! - `study`: every answer of the apprentice's page looked up again elsewhere.
//! - `schema`: what an editor is told of job files and rule files.
//! - `support`: running the program, writing job files, reading plans, geometry worked out anew.
//! - `terminal`: every command on a terminal of forty columns.
//! - `tolerance`: verdicts at the worst corner, and what to measure again.
//! - `vehicle_pictures`: what is drawn of the whole vehicle is as long as it says, and can be read.
//! - `within`: a verdict, a size and a limit hold at every reading within its tolerance.

// A test fails by panicking, also in what the tests share.
#![allow(
    clippy::expect_used,
    clippy::float_cmp,
    clippy::format_push_string,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::unwrap_used
)]

mod brief;
mod calc;
mod calc_command;
mod classes;
mod connection_pictures;
mod crew;
mod cut;
mod dependencies;
mod documents;
mod errors;
mod explain;
mod fill;
mod first_minutes;
mod guide;
mod heights;
mod help;
mod hostile;
mod hostile_rules;
mod hostile_text;
mod jobs;
mod limits;
mod many;
mod new;
mod one_way;
mod output;
mod own_rules;
mod pages;
mod people;
mod pictures;
mod pipes;
mod plan;
mod properties;
mod reasons;
mod record;
mod schema;
mod serve;
mod states;
mod study;
mod support;
#[cfg(unix)]
mod terminal;
mod tolerance;
mod vehicle_pictures;
mod within;
