//! A long page of Markdown in pieces that are read one after the other.
//!
//! Takes a page's Markdown; gives its pieces, which together are the page. The tree of a text takes thirty times the memory of the text:
//! of a page for ten thousand links it would be half a gigabyte. Pages of an ordinary vehicle are one piece.

/// A piece ends at the next good place beyond this many bytes.
const LONG: usize = 1 << 19;

/// The pieces of a page. One begins only at a heading or at a task of its own, after an empty line, so that each reads by itself as it does in
/// the page; a list of tasks that is parted becomes two lists.
pub(super) fn of(markdown: &str) -> impl Iterator<Item = &str> {
    parted(markdown, LONG)
}

/// The pieces of a page, none but the last shorter than that many bytes.
pub(super) fn parted(markdown: &str, long: usize) -> impl Iterator<Item = &str> {
    let mut rest = markdown;
    std::iter::from_fn(move || {
        let end = end(rest, long);
        let (piece, after) = rest.split_at_checked(end)?;
        rest = after;
        (!piece.is_empty()).then_some(piece)
    })
}

/// Where the piece at the beginning of a text ends.
fn end(text: &str, long: usize) -> usize {
    let mut empty_before = false;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let opens = line.starts_with("## ") || line.starts_with("- [ ] ");
        if at >= long && empty_before && opens {
            return at;
        }
        at += line.len();
        empty_before = line == "\n";
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "# Page\n\ntext\n\n## One\n\n- [ ] **1.** first\n\n  more\n\n  - [ ] inner\n\n- [ ] **2.** second\n\n  more\n\n## Two\n\n| a |\n| --- |\n| 1 |\n";

    #[test]
    fn a_page_is_parted_at_headings_and_tasks_and_nothing_is_lost() {
        let pieces: Vec<&str> = parted(PAGE, 1).collect();
        let first: Vec<&str> = pieces
            .iter()
            .filter_map(|piece| piece.lines().next())
            .collect();
        assert_eq!(
            first,
            [
                "# Page",
                "## One",
                "- [ ] **1.** first",
                "- [ ] **2.** second",
                "## Two"
            ]
        );
        assert_eq!(pieces.concat(), PAGE);
    }

    #[test]
    fn a_short_page_is_one_piece_and_an_empty_one_is_none() {
        assert_eq!(of(PAGE).collect::<Vec<_>>(), [PAGE]);
        assert_eq!(of("").count(), 0);
        // Nowhere to part it: one piece, however long.
        let line = "word ".repeat(LONG);
        assert_eq!(of(&line).count(), 1);
    }
}
