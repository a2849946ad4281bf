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

/// A job file of a megabyte: gear levers of which nothing was measured, as many as fit.
pub(super) fn levers() -> String {
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    let (before, rest) = demo.text().split_once("\nlinks:\n").unwrap();
    let after = rest.find("\n\n").map_or("", |end| &rest[end..]);
    let mut links = String::new();
    let mut number = 0;
    while before.len() + links.len() + after.len() < (1 << 20) - 100 {
        links += &format!(
            "  - {{id: l{number}, class: gear-lever, ends: [gearbox, floor], held_by: none}}\n"
        );
        number += 1;
    }
    format!("{before}\nlinks:\n{links}{after}")
}
