//! What the program is built from, as cargo knows it without a network: licences, sources, versions, and that nothing is compiled natively.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;

/// Licences that may be linked into a program under MIT or Apache-2.0 without more than their notice.
const LICENCES: [&str; 10] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "Zlib",
];
/// Crates that compile or look for native code when they are built.
const NATIVE: [&str; 6] = ["cc", "cmake", "pkg-config", "bindgen", "nasm-rs", "vcpkg"];
/// Those that may, and the compiler that they call: signatures, TLS and the handing out of memory are nothing to write oneself, and whoever
/// installs has a C compiler to link with.
const MAY: [&str; 3] = ["libmimalloc-sys", "ring", "cc"];
/// Crates that may be there in two versions, each with why.
const TWICE: [(&str, &str); 6] = [
    ("getrandom", "ring uses an older one"),
    (
        "foldhash",
        "comes with each of the two versions of hashbrown",
    ),
    (
        "hashbrown",
        "petgraph uses one itself and another through indexmap",
    ),
    (
        "nom",
        "cargo counts with what rcgen could read certificates, which is not built",
    ),
    (
        "syn",
        "what the page is made from has macros that are built with different ones; neither is linked",
    ),
    (
        "rustc-hash",
        "comrak uses one, and rowan, beneath yaml-edit, an older one",
    ),
];

/// The dependencies on this machine, with the tests' own.
fn metadata() -> Value {
    let rustc = Command::new("rustc").arg("-vV").output().unwrap();
    let rustc = String::from_utf8(rustc.stdout).unwrap();
    let host = rustc
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .unwrap();
    let arguments = [
        "metadata",
        "--format-version",
        "1",
        "--locked",
        "--offline",
        "--filter-platform",
        host,
    ];
    let mut cargo = Command::new(env!("CARGO"));
    cargo
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"));
    let output = cargo.output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

/// The packages that the program is linked from, by id: those reached without a dependency of tests or of builds.
fn linked(metadata: &Value) -> BTreeSet<&str> {
    let nodes = list(&metadata["resolve"], "nodes");
    let nodes: BTreeMap<&str, &Value> = nodes.iter().map(|node| (text(node, "id"), node)).collect();
    let mut reached = BTreeSet::new();
    let mut next = vec![text(&metadata["resolve"], "root")];
    while let Some(id) = next.pop() {
        if !reached.insert(id) {
            continue;
        }
        for dependency in list(nodes[id], "deps") {
            let normal = list(dependency, "dep_kinds")
                .iter()
                .any(|kind| kind["kind"].is_null());
            if normal {
                next.push(text(dependency, "pkg"));
            }
        }
    }
    reached
}

/// Whether a licence expression allows it: every part of an `AND`, one part of an `OR`.
fn allowed(expression: &str) -> bool {
    let expression = expression.replace(['(', ')'], "").replace('/', " OR ");
    let any = |part: &str| part.split(" OR ").any(|one| LICENCES.contains(&one.trim()));
    expression.split(" AND ").all(any)
}

#[test]
fn every_dependency_may_be_used_and_comes_from_the_registry() {
    let metadata = metadata();
    assert!(list(&metadata, "packages").len() > 30);
    for package in list(&metadata, "packages") {
        let name = text(package, "name");
        let licence = text(package, "license");
        assert!(allowed(licence), "`{name}` has the licence {licence:?}");
        if name != "liftsheet" {
            let source = text(package, "source");
            let registry = "registry+https://github.com/rust-lang/crates.io-index";
            assert_eq!(source, registry, "where `{name}` comes from");
        }
    }
}

#[test]
fn the_licence_rule_itself_refuses() {
    for fine in [
        "MIT",
        "MIT OR Apache-2.0",
        "MIT/Apache-2.0",
        "(MIT OR Apache-2.0) AND Unicode-3.0",
        "GPL-3.0 OR MIT",
    ] {
        assert!(allowed(fine), "{fine}");
    }
    for wrong in ["", "GPL-3.0-only", "MIT AND GPL-3.0-only", "MPL-2.0"] {
        assert!(!allowed(wrong), "{wrong}");
    }
}

#[test]
fn nothing_is_compiled_natively() {
    for package in list(&metadata(), "packages") {
        let name = text(package, "name");
        if MAY.contains(&name) {
            continue;
        }
        assert!(!NATIVE.contains(&name), "`{name}` builds native code");
        // A name under `links` without a native compiler keeps a crate from being there twice, and is no more than that.
        let native = list(package, "dependencies").iter().any(|dependency| {
            dependency["kind"] == "build"
                && NATIVE.contains(&text(dependency, "name"))
                && dependency["optional"] == false
        });
        assert!(!native, "`{name}` builds native code");
    }
}

#[test]
fn no_crate_is_linked_in_two_versions() {
    let metadata = metadata();
    let linked = linked(&metadata);
    let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for package in list(&metadata, "packages") {
        if linked.contains(text(package, "id")) {
            versions
                .entry(text(package, "name"))
                .or_default()
                .insert(text(package, "version"));
        }
    }
    assert!(versions.len() > 20, "{}", versions.len());
    for (name, versions) in versions {
        let known = TWICE.iter().any(|(twice, _)| *twice == name);
        assert!(
            versions.len() == 1 || known,
            "`{name}` is linked as {versions:?}"
        );
    }
}
