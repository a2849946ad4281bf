//! What the HTML of a page adds to its Markdown, and what it never lets through.

use crate::document::markup::body;

fn of(markdown: &str) -> String {
    let mut html = String::new();
    body(markdown, (&[], None), &mut html).unwrap();
    html
}

#[test]
fn a_section_opens_at_each_second_level_heading_and_closes() {
    let html = of("# A\n\n## B c\n\n### D\n\n## B c\n");
    assert_eq!(html.matches("<section>").count(), 2);
    assert_eq!(html.matches("</section>").count(), 2);
    assert!(html.contains("<h2 id=\"b-c\">B c</h2>"));
    assert!(html.contains("<h2 id=\"b-c-2\">B c</h2>"));
    assert!(of("# \u{628}\u{62f}\n").contains("<h1 id=\"part\">"));
}

#[test]
fn a_tick_box_is_named_after_its_task() {
    let html = of("- [ ] **7. Fit \\\"it\\\"**\n\n  - [ ] dry\n");
    assert!(html.contains("<li class=\"task\" id=\"task-7\"><input type=\"checkbox\" disabled aria-label=\"7. Fit &quot;it&quot;\">"));
    assert!(html.contains("aria-label=\"dry (task 7. Fit &quot;it&quot;)\""));
}

#[test]
fn only_our_own_bold_words_make_a_notice() {
    assert!(of("> **STOP** now\n").contains("<div class=\"notice stop\" role=\"note\">"));
    assert!(of("> STOP now\n").contains("<blockquote>"));
    assert!(of("> \\*\\*STOP\\*\\* now\n").contains("<blockquote>"));
    assert!(of("- [ ] **1. HOLD POINT**\n").contains("<li class=\"task\" "));
}

#[test]
fn a_cell_knows_its_column_and_a_verdict_its_weight() {
    let html = of("| A | B |\n| --- | :-: |\n| **stop** | **a** b |\n");
    assert!(html.contains("<th scope=\"col\">B</th>"));
    assert!(html.contains("<td data-label=\"A\" class=\"word stop\">"));
    assert!(html.contains("<td data-label=\"B\" class=\"short\">"));
    assert!(!html.contains("align"));
}

#[test]
fn raw_html_and_links_that_run_never_pass() {
    let html = of("<b>a</b> <script>1</script>\n\n<div>\nx\n</div>\n\n[y](javascript:z)\n");
    assert!(!html.contains("<b>") && !html.contains("<script") && !html.contains("<div"));
    assert!(!html.contains("javascript"));
}

#[test]
fn links_lead_to_places_of_the_page_and_of_the_page_beside_it() {
    let links = "[](#=task-3)[a](#task-3)[b](^task-3)[c](https://example.org)\n";
    let place = "<span id=\"task-3\"></span><a href=\"#task-3\">a</a>";
    assert_eq!(of(links), format!("<p>{place}bc</p>\n"));
    let mut html = String::new();
    body(links, (&[], Some("reasons.html")), &mut html).unwrap();
    let beside = "<a href=\"reasons.html#task-3\">b</a>";
    assert_eq!(html, format!("<p>{place}{beside}c</p>\n"));
}
