//! `new`: a job file from every pattern and choice of options, or like another job, reads without a complaint, asks for everything, and
//! once that is filled in is no longer provisional.
//!
//! The file is filled in as a fitter does it: the `#` before a waiting line is taken off and a value written behind the colon.

mod command;
mod fill;
mod like;
mod patterns;
