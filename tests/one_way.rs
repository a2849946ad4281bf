//! Data flows one way: every folder of `src` uses only those that stand above it in the order of `src/lib.rs`, and no files of a folder
//! use one another in a circle.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};

/// A reader and what it reads through, which serde ties together.
const TIED: [&str; 3] = ["de", "de_entries", "stored"];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// The files of a folder by name, without their comments and tests.
fn files(folder: &Path) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if path.extension().is_some_and(|ending| ending == "rs") && name != "tests" {
            let text = std::fs::read_to_string(&path).unwrap();
            let text = text.split("#[cfg(test)]\nmod tests").next().unwrap();
            let code = |line: &&str| !line.trim_start().starts_with("//");
            let lines: Vec<&str> = text.lines().filter(code).collect();
            found.insert(name, lines.join("\n"));
        }
    }
    found
}

/// Every folder, those within others too.
fn folders(under: &Path) -> Vec<PathBuf> {
    let inner = std::fs::read_dir(under).unwrap();
    let inner = inner.map(|entry| entry.unwrap().path());
    let inner = inner.filter(|path| path.is_dir());
    let all = inner.flat_map(|path| [vec![path.clone()], folders(&path)].concat());
    all.collect()
}

/// The paths that follow a beginning such as `crate::`, braces opened: `a::b` and `c` of `crate::{a::b, c}`.
fn paths(text: &str, beginning: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, _) in text.match_indices(beginning) {
        let rest = &text[at + beginning.len()..];
        let in_path = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
        let end = rest.find(|c| !in_path(c)).unwrap_or(rest.len());
        let (path, behind) = rest.split_at(end);
        let group = behind
            .strip_prefix('{')
            .filter(|_| path.is_empty() || path.ends_with("::"));
        match group.and_then(|group| group.split_once('}')) {
            Some((group, _)) => {
                let group = group.split([',', '{']).map(str::trim);
                found.extend(group.map(|one| format!("{path}{one}")));
            }
            None => _ = found.insert(path.to_owned()),
        }
    }
    found
}

fn first(path: &str) -> &str {
    path.split("::").next().unwrap_or(path)
}

/// The file of each name that a folder's `mod.rs` hands on.
fn handed_on(folder: &str) -> BTreeMap<String, String> {
    let names = paths(folder, "use ").into_iter();
    let names = names.map(|path| path.trim_start_matches("self::").to_owned());
    let both = names.filter_map(|path| {
        let (file, name) = path.split_once("::")?;
        Some((name.to_owned(), file.to_owned()))
    });
    both.collect()
}

/// The circles of a folder's files.
fn circles(files: &BTreeMap<String, String>) -> Vec<BTreeSet<String>> {
    let names: Vec<&String> = files.keys().collect();
    let place = |name: &str| names.iter().position(|one| *one == name);
    let handed_on = files.get("mod").map(|text| handed_on(text));
    let handed_on = handed_on.unwrap_or_default();
    let mut graph = DiGraph::<&str, ()>::new();
    for name in &names {
        graph.add_node(name);
    }
    for (own, name) in names.iter().enumerate().filter(|(_, name)| **name != "mod") {
        for path in paths(&files[*name], "super::") {
            let used = first(&path);
            let used = place(used).or_else(|| place(handed_on.get(used)?));
            if let Some(used) = used.filter(|used| *used != own) {
                graph.add_edge(NodeIndex::new(own), NodeIndex::new(used), ());
            }
        }
    }
    let groups = tarjan_scc(&graph).into_iter();
    let groups = groups.filter(|group| group.len() > 1);
    let files = |group: Vec<NodeIndex>| group.into_iter().map(|node| graph[node].to_owned());
    groups.map(|group| files(group).collect()).collect()
}

#[test]
fn no_files_of_a_folder_use_one_another_in_a_circle() {
    let tied: BTreeSet<String> = TIED.map(ToOwned::to_owned).into();
    for folder in folders(&source()) {
        let mut found = circles(&files(&folder));
        found.retain(|circle| *circle != tied);
        assert!(found.is_empty(), "{}: {found:?}", folder.display());
    }
}

#[test]
fn every_folder_uses_only_what_stands_above_it() {
    let library = std::fs::read_to_string(source().join("lib.rs")).unwrap();
    let words = library.replace("\n//! ", " ");
    let (_, order) = words.split_once("stands above it in this order: ").unwrap();
    let order: Vec<&str> = order.split_once('.').unwrap().0.split(", ").collect();
    let place = |name: &str| order.iter().position(|one| *one == name);
    for folder in paths(&library, "mod ") {
        assert!(
            order.contains(&folder.as_str()),
            "{folder} stands nowhere in the order"
        );
    }
    for folder in [vec![source()], folders(&source())].concat() {
        for (name, text) in files(&folder) {
            let below = folder.strip_prefix(source()).unwrap();
            let top = below
                .iter()
                .next()
                .map_or(name.as_str(), |top| top.to_str().unwrap());
            let Some(own) = place(top) else { continue };
            for path in paths(&text, "crate::") {
                let used = first(&path);
                assert!(
                    place(used) <= Some(own),
                    "{top}/{name} uses {used}, which stands below {top}"
                );
            }
        }
    }
}

#[test]
fn a_circle_is_seen() {
    let file = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let straight = [
        file("mod", "pub use b::Other;"),
        file("a", "use super::{Other, c};"),
        file("b", ""),
        file("c", "use super::b::{One};"),
    ];
    assert!(circles(&straight.clone().into()).is_empty());
    let mut round: BTreeMap<String, String> = straight.into();
    round.insert(
        "b".to_owned(),
        "use super::{\n    a::One,\n    c,\n};".to_owned(),
    );
    assert_eq!(circles(&round).len(), 1);
}
