//! Lines of a new job file that wait for their values, `#overlap:   # mm: …`: the value is written into them, and what they say of it stays.
//!
//! Takes the lines and the steps to a place; goes by indentation, through maps and lists that stand a line an entry. Whatever stands
//! otherwise is not found here.

use std::ops::Range;

use crate::report::PathStep;

/// How a remark says what was measured in another job: it goes when the value is there.
pub(crate) const LAST_TIME: &str = "last time ";

/// What is said of a list that waits whole: it is no longer true of one that is opened.
pub(crate) const TAKE_OFF: &str = "; take the # off all of these lines";

/// The lines of a map or list that stands a line an entry.
struct Block {
    lines: Range<usize>,
    /// How far its entries are indented.
    indent: usize,
}

/// Writes a value into the line that waits for it; says whether there was one. What waits above it is opened.
pub(super) fn write(lines: &mut Vec<String>, path: &[PathStep], value: &str) -> bool {
    let mut opened = lines.clone();
    let is_open = (1..path.len()).all(|depth| {
        path.get(..depth)
            .is_some_and(|path| open(&mut opened, path))
    });
    let written = is_open && write_line(&mut opened, path, value);
    if written {
        *lines = opened;
    }
    written
}

/// Takes the `#` off a key that waits with all that is below it, and leaves what is below it waiting for itself; says whether it is there.
fn open(lines: &mut [String], path: &[PathStep]) -> bool {
    let Some((PathStep::Key(name), above)) = path.split_last() else {
        return true;
    };
    let Some(within) = block(lines, above) else {
        return false;
    };
    if key_line(lines, &within, name).is_some() {
        return true;
    }
    let Some(at) = waiting(lines, &within, name) else {
        return false;
    };
    let inside = |line: &str| indent(line) > within.indent || line.trim_start().starts_with("#  ");
    for (number, line) in lines.iter_mut().enumerate().take(within.lines.end).skip(at) {
        let rest = line.trim_start().strip_prefix('#').unwrap_or_default();
        if number == at {
            *line = format!(
                "{:indent$}{}",
                "",
                rest.replace(TAKE_OFF, ""),
                indent = within.indent
            );
        } else if !inside(line) {
            break;
        } else if indent(line) == within.indent {
            // What waits stands where it would stand, so that each is found by itself.
            let bare = rest.trim_start();
            *line = format!(
                "{:deep$}#{bare}",
                "",
                deep = within.indent + rest.len() - bare.len()
            );
        }
    }
    true
}

/// The line of a key that waits.
fn waiting(lines: &[String], block: &Block, name: &str) -> Option<usize> {
    let waits = format!("#{name}:");
    let mut own = block.lines.clone();
    own.find(|at| {
        let line = lines.get(*at).map_or("", String::as_str);
        indent(line) == block.indent && line.trim_start().starts_with(&waits)
    })
}

fn write_line(lines: &mut [String], path: &[PathStep], value: &str) -> bool {
    let Some((PathStep::Key(name), above)) = path.split_last() else {
        return false;
    };
    let Some(block) = block(lines, above) else {
        return false;
    };
    let line = waiting(lines, &block, name).and_then(|at| lines.get_mut(at));
    let Some(line) = line else { return false };
    let waits = name.len() + 2;
    let rest = line
        .trim_start()
        .get(waits..)
        .unwrap_or_default()
        .to_owned();
    let rest = without_last_time(&rest);
    let head = format!("{:indent$}{name}: {value}", "", indent = block.indent);
    *line = match rest.find('#') {
        // A line may end in two signs.
        None if rest.ends_with('\r') => format!("{head}\r"),
        None => head,
        // The remark stays where it stood, as far as the value leaves room.
        Some(at) => {
            let column = block.indent + waits + at;
            let gap = column.saturating_sub(head.chars().count()).max(2);
            format!("{head}{:gap$}{}", "", rest.get(at..).unwrap_or_default())
        }
    };
    true
}

/// What stands behind a line that waits, without what was measured last time.
fn without_last_time(rest: &str) -> String {
    let end = if rest.ends_with('\r') { "\r" } else { "" };
    let told = [format!("; {LAST_TIME}"), format!("# {LAST_TIME}")];
    match told.iter().find_map(|told| rest.rfind(told.as_str())) {
        Some(at) => format!("{}{end}", rest.get(..at).unwrap_or_default().trim_end()),
        None => rest.to_owned(),
    }
}

/// Writes a remark above the entry at a place, or above the one that it would be in; says whether there is such a line.
pub(super) fn remark(lines: &mut Vec<String>, path: &[PathStep], remark: &str) -> bool {
    let line = (1..=path.len().min(2)).rev().find_map(|depth| {
        let (last, above) = path.get(..depth)?.split_last()?;
        let block = block(lines, above)?;
        match last {
            PathStep::Index(at) => Some(items(lines, &block).get(*at)?.lines.start),
            PathStep::Key(key) => key_line(lines, &block, key),
        }
    });
    let Some(line) = line else { return false };
    let old = lines.get(line).map_or("", String::as_str);
    let end = if old.ends_with('\r') { "\r" } else { "" };
    let new = format!("{:indent$}# {remark}{end}", "", indent = indent(old));
    lines.insert(line, new);
    true
}

/// The lines of the map or list at a place; none where it does not stand a line an entry.
fn block(lines: &[String], path: &[PathStep]) -> Option<Block> {
    let whole = Block {
        lines: 0..lines.len(),
        indent: 0,
    };
    path.iter().try_fold(whole, |block, step| match step {
        PathStep::Key(key) => under_key(lines, &block, key),
        PathStep::Index(at) => items(lines, &block).into_iter().nth(*at),
    })
}

fn key_line(lines: &[String], block: &Block, key: &str) -> Option<usize> {
    let is_key = |at: &usize| {
        let (indent, line) = entry(lines.get(*at).map_or("", String::as_str));
        let rest = line.strip_prefix(key);
        indent == block.indent && rest.is_some_and(|rest| rest.starts_with(':'))
    };
    block.lines.clone().find(is_key)
}

/// The entries under a key; none where what it holds stands behind it.
fn under_key(lines: &[String], block: &Block, key: &str) -> Option<Block> {
    let at = key_line(lines, block, key)?;
    let (_, behind) = lines.get(at)?.split_once(':')?;
    let behind = behind.trim();
    if !(behind.is_empty() || behind.starts_with('#')) {
        return None;
    }
    let holder_is_item = lines.get(at).is_some_and(|line| is_item(line));
    let inside = |line: &String| {
        line.trim().is_empty()
            || indent(line) > block.indent
            || (indent(line) == block.indent && is_item(line) && !holder_is_item)
    };
    let own = lines.get(at + 1..block.lines.end)?;
    let end = at + 1 + own.iter().take_while(|line| inside(line)).count();
    let first = lines
        .get(at + 1..end)?
        .iter()
        .find(|line| stands_for_entry(line))?;
    Some(Block {
        lines: at + 1..end,
        indent: indent(first),
    })
}

fn is_item(line: &str) -> bool {
    line.trim_start().starts_with("- ")
}

/// The entries of a list, each with the lines that belong to it.
fn items(lines: &[String], block: &Block) -> Vec<Block> {
    let begins = |at: &usize| {
        lines
            .get(*at)
            .is_some_and(|line| indent(line) == block.indent && is_item(line))
    };
    let starts: Vec<usize> = block.lines.clone().filter(begins).collect();
    let ends = starts.iter().skip(1).copied().chain([block.lines.end]);
    let items = starts.iter().zip(ends).map(|(start, next)| {
        let own = lines.get(start + 1..next).unwrap_or_default();
        let inside = |line: &&String| line.trim().is_empty() || indent(line) > block.indent;
        let end = start + 1 + own.iter().take_while(inside).count();
        Block {
            lines: *start..end,
            indent: lines.get(*start).map_or(0, |line| entry(line).0),
        }
    });
    items.collect()
}

/// The text without some of its connections and parts, each with the remarks right above it; none where they do not stand a line an entry.
pub(super) fn without(text: &str, connections: &[usize], parts: &[&String]) -> Option<String> {
    let lines: Vec<String> = text.split('\n').map(ToOwned::to_owned).collect();
    let mut stays = vec![true; lines.len()];
    if !connections.is_empty() {
        let block = block(&lines, &[PathStep::Key("links".into())])?;
        let items = items(&lines, &block);
        for at in connections {
            take_out(&mut stays, &lines, (&block, &items.get(*at)?.lines));
        }
    }
    if !parts.is_empty() {
        let block = block(&lines, &[PathStep::Key("parts".into())])?;
        for key in parts {
            let start = key_line(&lines, &block, key)?;
            let below = lines.get(start + 1..block.lines.end)?;
            let deeper = |line: &&String| !line.trim().is_empty() && indent(line) > block.indent;
            let end = start + 1 + below.iter().take_while(deeper).count();
            take_out(&mut stays, &lines, (&block, &(start..end)));
        }
    }
    let stay = lines.iter().zip(stays).filter(|(_, stays)| *stays);
    let stay: Vec<&str> = stay.map(|(line, _)| line.as_str()).collect();
    Some(stay.join("\n"))
}

/// Takes out the lines of an entry of a block and the remarks right above it.
fn take_out(stays: &mut [bool], lines: &[String], (block, own): (&Block, &Range<usize>)) {
    let above = lines.get(block.lines.start..own.start).unwrap_or_default();
    let remark = |line: &&String| line.trim_start().starts_with("# ") && !line.contains("====");
    let start = own.start - above.iter().rev().take_while(remark).count();
    let own = stays.get_mut(start..own.end).into_iter().flatten();
    own.for_each(|stays| *stays = false);
}

/// Whether a line is an entry, or waits to be one; a remark has a space behind its `#`.
fn stands_for_entry(line: &str) -> bool {
    let line = line.trim_start();
    !line.is_empty() && !line.starts_with("# ") && line != "#"
}

/// A line without the dash of a list, and how far it is indented then.
fn entry(line: &str) -> (usize, &str) {
    let bare = line.trim_start();
    let bare = bare.strip_prefix("- ").map_or(bare, str::trim_start);
    (line.len() - bare.len(), bare)
}

fn indent(line: &str) -> usize {
    line.len() - line.trim_start().len()
}
