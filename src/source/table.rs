//! Tables that go out to a spreadsheet and come back.
//!
//! Takes rows, or the text of a table; gives its text, or a reader of its rows. No spreadsheet takes a cell for a formula, there and back.

use csv::{Terminator, WriterBuilder};

/// What a spreadsheet takes for the beginning of a formula.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// The rows of a table as a spreadsheet saved it: with commas, semicolons or tabs between its cells, a byte-order mark or none.
pub(crate) fn reader(text: &str) -> csv::Reader<&[u8]> {
    let text = text.trim_start_matches('\u{feff}');
    csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(separator(text))
        .from_reader(text.as_bytes())
}

/// What stands between the cells: what the first line has most of.
fn separator(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let count = |sign: &u8| first.bytes().filter(|byte| byte == sign).count();
    // Of two that are as frequent, the last is taken.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(count)
        .unwrap_or(b',')
}

/// A table with commas between its cells, which are tame, and this end to each row.
pub(crate) fn text<R>(rows: impl IntoIterator<Item = R>, end: Terminator) -> String
where
    R: IntoIterator<Item: AsRef<str>>,
{
    let mut writer = WriterBuilder::new().terminator(end).from_writer(Vec::new());
    for row in rows {
        // A Vec takes every byte, and every row has as many cells as the first.
        let _ = writer.write_record(row.into_iter().map(|cell| tame(cell.as_ref())));
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A cell that no spreadsheet takes for a formula.
fn tame(text: &str) -> String {
    if text.starts_with(FORMULA) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// A cell as it was before [`tame`].
pub(crate) fn unguarded(cell: &str) -> String {
    let cell = cell.trim();
    let bare = cell.strip_prefix('\'');
    let guarded = bare.filter(|bare| bare.starts_with(FORMULA));
    guarded.unwrap_or(cell).to_owned()
}

#[cfg(test)]
mod tests {
    use super::{reader, tame, unguarded};

    #[test]
    fn what_looks_like_a_formula_begins_with_an_apostrophe() {
        for formula in ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1"] {
            assert_eq!(tame(formula), format!("'{formula}"));
            assert_eq!(unguarded(&tame(formula)), formula);
        }
        for text in ["bolt", "1-2", "'=1", ""] {
            assert_eq!(tame(text), text);
        }
    }

    #[test]
    fn whatever_stands_between_the_cells_they_are_the_same() {
        for text in ["a,b\n1,2\n", "\u{feff}a;b\r\n1;2\r\n", "a\tb\n1\t2\n"] {
            let mut rows = reader(text);
            assert_eq!(rows.headers().unwrap(), vec!["a", "b"]);
            let row = rows.records().next().unwrap().unwrap();
            assert_eq!(row, vec!["1", "2"]);
        }
    }
}
