//! The build script: the YAML below `rules/` → the same values as JSON, which the program reads several times faster.
//!
//! Writes `compiled.rs` into Cargo's output folder: for each file its path below `rules/` and its JSON. Nothing is checked here
//! but that a file is YAML without duplicate keys. One that is not has no JSON: the program then reads its text and says where
//! the mistake is, as it does for a user's own rules.

use std::env;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn Error>> {
    let rules = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?).join("rules");
    let out = PathBuf::from(env::var("OUT_DIR")?).join("compiled.rs");
    writeln!(io::stdout(), "cargo::rerun-if-changed=rules")?;
    writeln!(io::stdout(), "cargo::rerun-if-changed=src/build/main.rs")?;
    let mut rows = String::new();
    for file in yaml_files(&rules)? {
        let path = below(&rules, &file);
        match as_json(&fs::read_to_string(&file)?) {
            Ok(json) => writeln!(rows, "    ({path:?}, {json:?}),")?,
            Err(error) => writeln!(io::stdout(), "cargo::warning=rules/{path}: {error}")?,
        }
    }
    fs::write(out, format!("&[\n{rows}]\n"))?;
    Ok(())
}

/// The values of a YAML text as JSON.
fn as_json(text: &str) -> Result<String, Box<dyn Error>> {
    // Unlike JSON's, this value refuses a key that stands twice.
    let value: serde_yaml::Value = serde_yaml::from_str(text)?;
    Ok(serde_json::to_string(&value)?)
}

/// The YAML files in a folder and the folders below it, sorted by their path.
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
    files.sort_by_key(|file| below(folder, file));
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
