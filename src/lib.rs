//! liftsheet makes the ordered, checked and signed job sheet for raising a vehicle's body off its ladder chassis.
//!
//! # The pipeline
//!
//! 1. [`job`] reads a job file: one vehicle, one lift, what was found and measured on it.
//! 2. [`rules`] reads the rule set: connection classes, the procedure, settings.
//! 3. [`cut`] splits the vehicle between its body and its chassis, and every link into spans.
//! 4. [`assess`] judges every link: what it needs, with the numbers that say so.
//! 5. [`plan`] turns verdicts and the procedure into tasks in the order of work.
//! 6. [`crew`] says who does which of them when, and how long it takes.
//! 7. [`record`] keeps who did, measured and checked which of them.
//! 8. [`parts`] collects what they need on the bench, [`brief`] what the customer is told.
//! 9. [`document`] prints all that.
//!
//! Beside that way, [`heights`] goes it at every spacer height of a range, and [`picture`] draws what serves a decision;
//! [`study`] makes the apprentice's lessons and questions of the plan.
//!
//! Before all that, [`form`] writes a job file to fill in, from a pattern of the rules, [`fill`] writes values into one, and [`schema`] describes both kinds of file to an editor.
//!
//! Beneath them: `embedded` (the files of `rules/`, stored as trees when the program was built), `lots` (numbers that look like chance), `sha256` (digests), `sorted` (maps, sets and lists of what comes one by one), `whole` (files that are there whole or not at all), [`report`] (problems as values), [`source`] (text that remembers where it came from), [`quantity`]
//! (numbers with units), [`text`] (text with quantities in it), [`calc`] (the trade's arithmetic). Each file uses only what
//! stands above it in this order: lots, sha256, sorted, whole, report, source, embedded, quantity, text, fill, calc, job, rules, schema, form, cut, assess, plan, lint, pipeline, crew, parts, heights, picture,
//! study, keys, chain, people, record, brief, document, desk, serve, cli.

pub mod assess;
pub mod brief;
pub mod calc;
pub mod chain;
pub mod cli;
pub mod crew;
pub mod cut;
mod desk;
pub mod document;
mod embedded;
pub mod fill;
pub mod form;
pub mod heights;
pub mod job;
pub mod keys;
pub mod lint;
mod lots;
pub mod parts;
pub mod people;
pub mod picture;
pub mod pipeline;
pub mod plan;
pub mod quantity;
pub mod record;
pub mod report;
pub mod rules;
pub mod schema;
#[cfg(feature = "serve")]
mod serve;
mod sha256;
mod sorted;
pub mod source;
pub mod study;
pub mod text;
mod whole;

/// The program's version, which every page, JSON and record names.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
