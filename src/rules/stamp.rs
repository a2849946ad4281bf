//! What makes a page, a JSON document or an entry of a record: the program, its rules, and what was laid over them.
//!
//! Takes checked rules; gives [`MadeBy`], from which somebody years later can tell whether the same program with the same rules would say
//! the same. Where it is printed is left to those who print.

use serde::Serialize;

use super::{LaidOver, Rules};
use crate::VERSION;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct MadeBy {
    /// The program's name.
    pub program: &'static str,
    pub version: &'static str,
    /// SHA-256 over all rule files in effect.
    pub rules: String,
    /// The workshop's own rule files by their paths below its folder.
    pub files_laid_over: Vec<String>,
    /// The values of settings that the workshop lays over ours.
    pub settings_laid_over: Vec<LaidOver>,
}

impl Rules {
    /// What makes whatever is made by these rules.
    pub(crate) fn made_by(&self) -> MadeBy {
        MadeBy {
            program: "liftsheet",
            version: VERSION,
            rules: self.digest.clone(),
            files_laid_over: self.files_laid_over.clone(),
            settings_laid_over: self.laid_over.clone(),
        }
    }
}
