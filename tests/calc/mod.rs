//! The calculations against what stands outside them: published figures (each with its source and whether it was seen), other
//! code (least squares, a rigid-body simulation, numerical geometry), examples worked by hand, and the promises they make (bounds, limits,
//! finite results).

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::similar_names,
    reason = "clippy takes the functions that tests share for code outside tests"
)]

mod absurd_inputs;
mod ask;
mod bounds;
mod geometry;
mod joints;
mod lengths;
mod limits;
mod planes;
mod published;
mod rods;
mod samples;
mod threads;
mod worked;
mod working;
