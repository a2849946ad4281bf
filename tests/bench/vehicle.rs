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

/// A job file of the largest size: gear levers of which nothing was measured, and mounts beside the demo's own.
pub(super) fn worst() -> String {
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    let (before, rest) = demo.text().split_once("\nlinks:\n").unwrap();
    let after = rest.find("\n\n").map_or("", |end| &rest[end..]);
    let lever = |number| {
        format!("  - {{id: l{number}, class: gear-lever, ends: [gearbox, floor], held_by: none}}\n")
    };
    // Far enough from one another that no two are one.
    let mount = |number: usize| {
        let (x, y) = (
            60 * (number / 2),
            if number.is_multiple_of(2) { 700 } else { -700 },
        );
        format!("  - {{id: m{number}, group: tub, at: [{x}, {y}, 60]}}\n")
    };
    let links: String = (0..1_000).map(lever).collect();
    let own = before.matches("group: tub, at").count() + before.matches("group: cab, at").count();
    let mounts: String = (0..200 - own).map(mount).collect();
    let before = before.replacen("\nmounts:\n", &format!("\nmounts:\n{mounts}"), 1);
    format!("{before}\nlinks:\n{links}{after}")
}
