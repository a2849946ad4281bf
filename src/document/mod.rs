//! The pages that people read: a view of the judged and planned job, a template that makes Markdown of it, and that same
//! Markdown as one HTML file to print.
//!
//! Takes what the stages above made ([`Made`]) and how it is to look ([`Look`]); gives a [`Page`]. Everything typed by a
//! person is text on every page: Markdown, HTML and style sheet escape it each in their own way. Files are left to `cli`.

mod anchors;
mod blanks;
mod brief;
mod card;
mod crew;
mod cut;
mod engine;
mod escape;
mod evidence;
mod extract;
mod facts;
mod handover;
mod heights;
mod lesson;
mod limits;
mod links;
mod manpage;
pub mod manual;
mod marks;
mod markup;
mod parts;
mod picture_marks;
mod reasons;
mod record_account;
mod record_words;
mod sheet;
mod shell;
mod signed;
mod study;
mod survey;
mod survey_table;
mod tasks;
#[cfg(test)]
mod tests;
#[cfg(feature = "serve")]
mod walk;
mod words;

use std::fmt;

use clap::ValueEnum;
use thiserror::Error;

pub use brief::brief;
pub(crate) use card::card;
pub use crew::crew;
pub(crate) use extract::Extract;
pub use heights::heights;
pub(crate) use parts::parts;
pub(crate) use picture_marks::{as_files, as_words, url};
pub use reasons::reasons;
#[cfg(feature = "serve")]
pub(crate) use record_account::times;
pub(crate) use record_account::{next, standing};
pub use sheet::sheet;
#[cfg(feature = "serve")]
pub(crate) use sheet::task;
pub(crate) use sheet::{part_of_sheet, stages};
pub use shell::html;
pub(crate) use signed::signed;
pub use signed::to_keep;
pub use study::study;
pub use survey::survey;
pub(crate) use survey_table::{Wanted, survey_table, wanted};
#[cfg(feature = "serve")]
pub(crate) use walk::{Stop, walk};
#[cfg(feature = "serve")]
pub(crate) use words::{capital, free_id, limits_asked};

pub use crate::picture::Picture;
pub(crate) use crate::pipeline::Made;
use crate::quantity::Units;

/// The paper that pages are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Paper {
    /// 210 × 297 mm
    #[default]
    A4,
    /// 8.5 × 11 in
    Letter,
}

/// How pages look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// The system of units.
    pub units: Units,
    /// The paper.
    pub paper: Paper,
    /// Whether tasks are a line each, with their values, and hold points in full.
    pub short: bool,
    /// Whether the text is large, for the wall.
    pub large: bool,
}

/// One page of a job, ready to be written as Markdown or put into [`html`].
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Page {
    /// What the page is called; plain text.
    pub title: String,
    /// The page.
    pub markdown: String,
    /// What is printed across every sheet of paper; plain text.
    pub banner: Option<String>,
    /// What is printed at the foot of every sheet of paper: the job and the plan's digest; plain text.
    pub footer: String,
    /// The pictures that stand on the page, each where its Markdown has an image of its name.
    pub pictures: Vec<Picture>,
    /// The file of the page beside it, to whose places its links may lead: the reasons of a job sheet, the sheet of the reasons.
    pub beside: Option<String>,
}

/// Why a page could not be made; each is a defect of the program's own templates.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DocumentError {
    /// A template could not be read or filled in.
    #[error("a page template cannot be filled in: {0}")]
    Template(String),
    /// The Markdown could not be written as HTML.
    #[error("the page cannot be written as HTML")]
    Markup(#[from] fmt::Error),
}

impl From<&minijinja::Error> for DocumentError {
    fn from(error: &minijinja::Error) -> Self {
        Self::Template(format!("{error:#}"))
    }
}
