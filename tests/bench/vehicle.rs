//! Synthetic vehicles: the demo's, with its links repeated until there are as many as asked for. No such vehicle exists.

use liftsheet::rules::builtin;

/// A job file with so many links, under ids of their own.
pub(super) fn job(count: usize) -> String {
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    let (before, rest) = demo.text().split_once("\nlinks:\n").unwrap();
    let end = rest.find("\n\n").unwrap_or(rest.len());
    let (links, after) = rest.split_at(end);
    let links: Vec<&str> = links.split("  - id: ").skip(1).collect();
    let mut text = format!("{before}\nlinks:\n");
    for number in 0..count {
        let (id, link) = links[number % links.len()].split_once('\n').unwrap();
        text += &format!("  - id: {}-{number}\n{}\n", id.trim(), link.trim_end());
    }
    text + after
}
