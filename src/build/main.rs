//! The build script: the YAML below `rules/` → the same values as a tree, which the program reads several times faster.
//!
//! Writes `compiled.rs` into Cargo's output folder: for each file its path below `rules/`, its text, its tree, and for a class what it
//! takes over from shared files, which are laid together here; and the digest of all texts. Nothing else is checked but that a file is
//! YAML without duplicate keys. One that is not has no tree: the program then reads its text and says where the mistake is, as it does
//! for a user's own rules.

#[path = "../rules/like.rs"]
#[allow(dead_code, reason = "places are for the program alone")]
mod like;
mod stored;

use std::collections::BTreeMap;
use std::env;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

/// The folders whose files may be like those of `SHARED`.
const CLASSES: [&str; 2] = ["connections", "consequences"];
const SHARED: &str = "connections/like";

fn main() -> Result<(), Box<dyn Error>> {
    let rules = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?).join("rules");
    let out = PathBuf::from(env::var("OUT_DIR")?).join("compiled.rs");
    let mut say = io::stdout();
    for read in ["rules", "src/build", "src/rules/like.rs"] {
        writeln!(say, "cargo::rerun-if-changed={read}")?;
    }
    let mut files = BTreeMap::new();
    let mut hash = Sha256::new();
    let mut texts = BTreeMap::new();
    for file in yaml_files(&rules)? {
        let path = below(&rules, &file);
        let text = fs::read_to_string(&file)?;
        texts.insert(path.clone(), text.clone());
        // Unlike JSON's, this value refuses a key that stands twice.
        match serde_yaml::from_str::<serde_yaml::Value>(&text) {
            Ok(value) => {
                files.insert(path, serde_json::to_value(value)?);
            }
            Err(error) => writeln!(say, "cargo::warning=rules/{path}: {error}")?,
        }
    }
    for (path, text) in &texts {
        hash.update(format!("{path}\n{}\n{text}", text.len()));
    }
    let mut digest = "sha256:".to_owned();
    for byte in hash.finalize() {
        write!(digest, "{byte:02x}")?;
    }
    let mut rows = String::new();
    let mut all = stored::Texts::default();
    for (path, text) in &texts {
        let whole = files.get(path).map(|value| whole(path, value, &files));
        let mut tree = Vec::new();
        let mut taken = Vec::new();
        match whole {
            Some(Ok((value, names))) => {
                all.store(&value, &mut tree);
                taken = names;
            }
            Some(Err(message)) => writeln!(say, "cargo::warning=rules/{path}: {message}")?,
            None => {}
        }
        let tree = tree.escape_ascii();
        writeln!(rows, "    ({path:?}, {text:?}, b\"{tree}\", &{taken:?}),")?;
    }
    let stored::Texts { all, ends, .. } = all;
    fs::write(
        out,
        format!("({digest:?}, {all:?}, &{ends:?}, &[\n{rows}])\n"),
    )?;
    Ok(())
}

/// The values of a file and the names of what it takes over; a class is laid together.
fn whole(
    path: &str,
    value: &Value,
    files: &BTreeMap<String, Value>,
) -> Result<(Value, Vec<String>), String> {
    let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
    if !CLASSES.contains(&folder) {
        return Ok((value.clone(), Vec::new()));
    }
    let mut shared = |name: &str| files.get(&format!("{SHARED}/{name}.yaml")).cloned();
    match like::whole(value.clone(), &mut shared) {
        Ok(whole) => Ok((whole.value(), whole.taken)),
        Err(flaws) => {
            let messages: Vec<String> = flaws.into_iter().map(|flaw| flaw.message).collect();
            Err(messages.join("; "))
        }
    }
}

/// The YAML files in a folder and the folders below it.
fn yaml_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "yaml") {
                files.push(path);
            }
        }
    }
    Ok(files)
}

/// A file's path below a folder, with slashes on every system.
fn below(folder: &Path, file: &Path) -> String {
    let inside = file.strip_prefix(folder).unwrap_or(file);
    let parts: Vec<String> = inside
        .iter()
        .map(|part| part.to_string_lossy().into_owned())
        .collect();
    parts.join("/")
}
