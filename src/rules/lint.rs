//! x
/// x
pub fn lint(_: &super::Rules, _: &mut crate::report::Report) {}
