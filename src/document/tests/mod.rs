//! What pieces of Markdown become. Whole pages are made by the program itself, in `tests/documents.rs`.

mod markup;
mod readers;
