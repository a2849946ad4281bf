//! Where pictures stand on a page: images in the page's Markdown.
//!
//! A template writes `{{ picture(name, says) }}`; that is an image of the file [`file()`] with the text alternative. HTML draws it in
//! place (see `markup`). Markdown in a folder names the picture's own file ([`as_files`]); Markdown that goes
//! anywhere else has the text in its place ([`as_words`]). Text typed by a person never makes an image, since it is escaped.

use super::{Page, Picture, anchors, escape};

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
