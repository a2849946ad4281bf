//! `classes`: which classes of connection there are, by part of the vehicle, and what beside them is looked at on every job.

use std::fmt::Write as _;

use super::args::ClassesArgs;
use super::{End, complain, fail, print};
use crate::desk::load::Loaded;
use crate::rules::{Area, Class};
use strum::IntoEnumIterator;

pub(super) fn run(args: &ClassesArgs) -> End {
    let mut loaded = Loaded::default();
    let rules = loaded
        .rule_files(&args.rules)
        .map(|files| loaded.all_rules(&files));
    let end = complain(&loaded);
    let Some(rules) = rules.filter(|_| end == End::Done) else {
        return end;
    };
    let words: Vec<String> = args.words.iter().map(|word| word.to_lowercase()).collect();
    let fits = |class: &&Class| {
        let (id, title) = (&class.id, class.text.title.to_lowercase());
        words
            .iter()
            .all(|word| id.contains(word.as_str()) || title.contains(word.as_str()))
    };
    let mut text = String::new();
    for area in Area::iter() {
        let classes = rules.classes.values().filter(|class| class.area == area);
        list(&mut text, area.word(), classes.filter(fits));
    }
    let beside = rules.consequences.values().filter(fits);
    list(
        &mut text,
        "looked at on every job, under `consequences`",
        beside,
    );
    if text.is_empty() {
        return fail(&format!(
            "no class has `{}` in its id or title; `liftsheet classes` lists them all",
            args.words.join(" ")
        ));
    }
    print(&text)
}

fn list<'a>(text: &mut String, heading: &str, classes: impl Iterator<Item = &'a Class>) {
    let mut classes = classes.peekable();
    if classes.peek().is_none() {
        return;
    }
    let between = if text.is_empty() { "" } else { "\n" };
    let _ = writeln!(text, "{between}{heading}");
    for class in classes {
        let _ = writeln!(
            text,
            "  {}: {}\n      {}",
            class.id, class.text.title, class.text.whereabouts
        );
    }
}
