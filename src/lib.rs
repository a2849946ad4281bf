//! liftsheet makes the ordered, checked and signed job sheet for raising a vehicle's body off its ladder chassis.
//!
//! # The pipeline
//!
//! 1. [`source`] reads text into typed values; whatever is wrong, here and later, goes into a [`report`].
//! 2. [`quantity`] and [`calc`] are the arithmetic: numbers with units, and the trade's formulas.

pub mod calc;
pub mod quantity;
pub mod report;
pub mod source;
