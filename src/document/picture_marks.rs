//! Where pictures stand on a page: images in the page's Markdown.
//!
//! A template writes `{{ picture(name, says) }}`; that is an image of the file [`file()`] with the text alternative. HTML draws it in
//! place (see `markup`). Markdown in a folder names the picture's own file ([`as_files`]); Markdown that goes
//! anywhere else has the text in its place ([`as_words`]). Text typed by a person never makes an image, since it is escaped.

use serde::Serialize;

use super::{Page, Picture, anchors, escape};

/// Where a picture stands on the page.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(super) struct Shown {
    name: String,
    says: String,
}

impl Shown {
    pub(super) fn of(picture: &Picture) -> Self {
        Self {
            name: picture.name.clone(),
            says: picture.says.clone(),
        }
    }
}

/// The file that a page's Markdown names for a picture.
pub(super) fn file(picture: &Picture) -> String {
    format!("{}.svg", picture.name)
}

/// The image of a picture in Markdown.
pub(super) fn image(name: &str, says: &str) -> String {
    format!("![{}]({name}.svg)", escape::markdown(says))
}

/// The page's Markdown with every picture as a file beside it, and those files: name and text. `prefix` comes before each name.
pub(crate) fn as_files(page: &Page, prefix: &str) -> (String, Vec<(String, String)>) {
    let mut markdown = anchors::without(&page.markdown);
    let mut files = Vec::new();
    for picture in &page.pictures {
        let name = format!("{prefix}{}", file(picture));
        let image = image(&picture.name, &picture.says);
        let linked = format!("![{}]({})", escape::markdown(&picture.says), url(&name));
        markdown = markdown.replace(&image, &linked);
        // The mark lets a later run overwrite the file.
        files.push((
            name,
            format!("{}\n<!-- Made with liftsheet. -->\n", picture.svg()),
        ));
    }
    (markdown, files)
}

/// The page's Markdown with every picture as its text.
pub(crate) fn as_words(page: &Page) -> String {
    let mut markdown = anchors::without(&page.markdown);
    for picture in &page.pictures {
        let image = image(&picture.name, &picture.says);
        let says = format!(
            "**{}:** {}",
            escape::markdown(&picture.title),
            escape::markdown(&picture.says)
        );
        markdown = markdown.replace(&image, &says);
    }
    markdown
}

/// A file's name as a link may hold it.
pub(crate) fn url(name: &str) -> String {
    let mut url = String::new();
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' | b'/' => {
                url.push(char::from(byte));
            }
            byte => url += &format!("%{byte:02X}"),
        }
    }
    url
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::draw::Drawing;

    fn page() -> Page {
        let mut drawing = Drawing::new(100.0);
        drawing.tell("The gap is 40 mm.");
        let picture = drawing.picture("gap", "The gap");
        Page {
            title: "Gap".to_owned(),
            markdown: format!("# Gap\n\n{}\n", image("gap", &picture.says)),
            pictures: vec![picture],
            ..Page::default()
        }
    }

    #[test]
    fn markdown_in_a_folder_names_the_picture_s_own_file() {
        let (markdown, files) = as_files(&page(), "ridge gang.sheet.");
        assert_eq!(
            markdown,
            "# Gap\n\n![The gap is 40 mm.](ridge%20gang.sheet.gap.svg)\n"
        );
        let (name, svg) = files.first().unwrap();
        assert_eq!(name, "ridge gang.sheet.gap.svg");
        assert!(svg.starts_with("<svg "));
    }

    #[test]
    fn markdown_elsewhere_says_what_the_picture_says() {
        assert_eq!(
            as_words(&page()),
            "# Gap\n\n**The gap:** The gap is 40 mm.\n"
        );
    }

    #[test]
    fn a_figure_stands_by_itself_in_html() {
        let page = page();
        let mut html = String::new();
        super::super::markup::body(&page.markdown, (&page.pictures, None), &mut html).unwrap();
        assert!(
            html.contains("<figure class=\"picture\" tabindex=\"0\">\n<svg "),
            "{html}"
        );
        assert!(!html.contains("<p>"), "{html}");
        assert!(html.contains("<figcaption>The gap</figcaption>"), "{html}");
    }
}
