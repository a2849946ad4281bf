//! The README and the manual: every code block in them is executed. A block of a language that nothing here executes is an error.
//!
//! - `sh` runs in a real shell, in a folder with the manual's own job file; `cargo run` there is this program, `cargo test` this test.
//! - `console` is a session on the demo as a job of one's own: everything before the task of a line is signed off, then the line is typed.
//! - `yaml` is a job file, or what is put behind the first one; each is checked, surveyed and made into a sheet.
//! - `rule` is the shape of a rule file: its fields are those of the schemas.
//! - `text` is an excerpt of what is printed, or, where it opens with a brace, the shape of the JSON.

use std::collections::BTreeSet;

use liftsheet::document::manual;

use crate::support::run::Bench;

const README: &str = include_str!("../README.md");

/// Each text with its name.
fn texts() -> impl Iterator<Item = (&'static str, &'static str)> {
    let topics = manual::TOPICS.iter().map(|topic| (topic.name, topic.text));
    [("README", README)].into_iter().chain(topics)
}

/// A fenced block: its language, its text, and where it opens.
struct Block {
    language: &'static str,
    text: String,
    line: String,
}

/// Every fenced block, in order.
fn blocks() -> Vec<Block> {
    texts()
        .flat_map(|(name, text)| blocks_of(name, text))
        .collect()
}

fn blocks_of(name: &str, text: &'static str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut open: Option<Block> = None;
    for (line, text) in text.lines().enumerate() {
        match (text.trim_start().strip_prefix("```"), open.take()) {
            (Some(language), None) => {
                open = Some(Block {
                    language,
                    text: String::new(),
                    line: format!("{} of {name}", line + 1),
                });
            }
            (Some(_), Some(block)) => blocks.push(block),
            (None, Some(mut block)) => {
                block.text.push_str(text);
                block.text.push('\n');
                open = Some(block);
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "the last block of {name} is not closed");
    blocks
}

/// The job file that the manual shows.
fn job() -> String {
    let mut blocks = blocks().into_iter();
    blocks.find(|block| block.language == "yaml").unwrap().text
}

#[test]
fn every_block_is_executed() {
    let blocks = blocks();
    let kinds: BTreeSet<&str> = blocks.iter().map(|block| block.language).collect();
    assert!(kinds.len() >= 4, "{kinds:?}");
    let printed = printed();
    let shapes = shapes();
    for block in &blocks {
        match block.language {
            "sh" => shell(block),
            "console" => session(block),
            "yaml" => yaml(block),
            "rule" => rule(block),
            "text" if block.text.starts_with('{') => shape(block, &shapes),
            "text" => excerpt(block, &printed),
            other => panic!(
                "nothing executes the block in `{other}` on line {}",
                block.line
            ),
        }
    }
}

/// A job file, or fields to put behind the first.
fn yaml(block: &Block) {
    let text = if block.text.starts_with("job:") {
        block.text.clone()
    } else {
        format!("{}{}", job(), block.text)
    };
    let bench = Bench::new().file("job.yaml", text);
    let check = bench.run(["check", "job.yaml"]).code(0);
    check.complains("no problem found");
    bench
        .run(["survey", "job.yaml"])
        .done()
        .prints("still to be measured");
    bench.run(["sheet", "job.yaml", "-o", "sheet.html"]).done();
}

/// The fields of a rule file, as the schemas have them.
fn rule(block: &Block) {
    let fields = fields();
    let lines = block.text.lines();
    let keys = lines.filter_map(|line| line.split_once(':').map(|(key, _)| key));
    let outer = keys.filter(|key| !key.starts_with([' ', '-', '#']));
    for key in outer {
        assert!(fields.contains(key), "`{key}` on line {}", block.line);
    }
}

/// Every field of every kind of rule file.
fn fields() -> BTreeSet<String> {
    fn collect(schema: &serde_json::Value, fields: &mut BTreeSet<String>) {
        if let Some(map) = schema.as_object() {
            let own = map.get("properties").and_then(|own| own.as_object());
            fields.extend(own.into_iter().flat_map(|own| own.keys().cloned()));
            map.values().for_each(|value| collect(value, fields));
        }
        let list = schema.as_array();
        list.into_iter()
            .flatten()
            .for_each(|value| collect(value, fields));
    }
    let mut fields = BTreeSet::new();
    collect(&liftsheet::schema::rules(), &mut fields);
    fields
}

#[test]
fn every_field_of_a_rule_file_is_explained() {
    let topic = manual::TOPICS
        .iter()
        .find(|topic| topic.name == "rule-files");
    let text = topic.unwrap().text;
    let said = |field: &&String| {
        !text.contains(&format!("{field}:")) && !text.contains(&format!("`{field}`"))
    };
    let fields = fields();
    assert!(fields.len() > 80, "{fields:?}");
    let unsaid: Vec<&String> = fields.iter().filter(said).collect();
    assert_eq!(unsaid, Vec::<&String>::new());
}

/// What excerpts are taken from.
fn printed() -> Vec<String> {
    let bench = Bench::new();
    let wrong = job().replace("ends: [airbox,", "ends: [airbix,");
    let wrong = Bench::new().file("job.yaml", wrong);
    let mistake = wrong.run(["check", "job.yaml"]).failed().stderr;
    let begun = ["new", "x", "--pattern", "dual-cab", "-o", "-"];
    let begun = bench.run(begun).done().stdout;
    let pages = crate::support::commands::bare();
    let pages = pages
        .into_iter()
        .filter(crate::support::commands::Called::makes_pages);
    let pages = pages.map(|called| crate::support::commands::usually(&called).stdout);
    [mistake, begun].into_iter().chain(pages).collect()
}

/// Whether every line of an excerpt stands in a text, in that order.
fn stands_in(excerpt: &str, text: &str) -> bool {
    let mut lines = text.lines();
    let wanted = excerpt.lines().filter(|line| !line.trim().is_empty());
    wanted
        .into_iter()
        .all(|wanted| lines.any(|line| line.trim() == wanted.trim()))
}

fn excerpt(block: &Block, printed: &[String]) {
    let found = printed.iter().any(|text| stands_in(&block.text, text));
    assert!(
        found,
        "the excerpt on line {} is not printed:\n{}",
        block.line, block.text
    );
}

/// Every key and every word of a shape stands in the JSON of one of the pages.
fn shape(block: &Block, pages: &[BTreeSet<String>]) {
    let words = block.text.split('"').skip(1).step_by(2);
    let named: BTreeSet<&str> = words.filter(|word| !word.is_empty()).collect();
    // What stands for a value, and what the demo has none of.
    let others = [
        "sha256:…",
        "check.name",
        "class.setting",
        "km",
        "bridge",
        "passed",
        "not checked",
        "does not apply",
    ];
    let unknown = |known: &BTreeSet<String>| {
        let named = named.iter().copied();
        let unknown = named.filter(|word| !known.contains(*word) && !others.contains(word));
        unknown.collect::<Vec<_>>()
    };
    let fewest = pages.iter().map(unknown).min_by_key(Vec::len);
    assert_eq!(fewest, Some(Vec::new()), "the shape on line {}", block.line);
}

/// The keys and the words of each page's JSON.
fn shapes() -> Vec<BTreeSet<String>> {
    let bench = Bench::new();
    let pages = crate::support::commands::bare();
    let pages = pages
        .into_iter()
        .filter(crate::support::commands::Called::makes_pages);
    let keys_of = |call: Vec<String>| {
        let mut keys = BTreeSet::new();
        let call = bench.call(call.iter().map(String::as_str));
        let call = call.arg("--format").arg("json");
        collect(&call.run().done().json(), &mut keys);
        keys
    };
    let pages = pages.map(|called| called.words().map(ToOwned::to_owned).collect());
    // The demo is judged with the tyre that it has.
    let other = ["heights", "--tyre", "31x10.5R15"];
    let other = other.map(ToOwned::to_owned).to_vec();
    let keys = pages.chain([other]).map(keys_of);
    keys.collect()
}

fn collect(value: &serde_json::Value, words: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, value) in map {
                words.insert(key.clone());
                collect(value, words);
            }
        }
        serde_json::Value::Array(list) => list.iter().for_each(|one| collect(one, words)),
        serde_json::Value::String(text) => {
            words.insert(text.clone());
        }
        _ => {}
    }
}

/// A shell's line or script, run in a folder; gives its exit code.
#[cfg(unix)]
fn run(bench: &Bench, script: &str) -> (Option<i32>, String) {
    use std::os::unix::fs::PermissionsExt as _;

    use crate::support::run::PROGRAM;

    let tools = bench.path().join("tools");
    std::fs::create_dir_all(&tools).unwrap();
    let cargo = "#!/bin/sh\ncase $1 in run) while [ \"$1\" != -- ]; do shift; done; shift; exec liftsheet \"$@\";; test) ;; *) exit 3;; esac\n";
    for (name, text) in [
        ("cargo", cargo.to_owned()),
        ("liftsheet", format!("#!/bin/sh\nexec '{PROGRAM}' \"$@\"\n")),
    ] {
        let path = tools.join(name);
        std::fs::write(&path, text).unwrap();
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o755)).unwrap();
    }
    let path = std::env::var("PATH").unwrap();
    let mut shell = std::process::Command::new("sh");
    shell
        .args(["-e", "-u", "-c", script, "sh", "job.record.jsonl"])
        .current_dir(bench.path());
    shell
        .env("PATH", format!("{}:{path}", tools.display()))
        .env("HOME", bench.path())
        .env(bench.home().0, bench.home().1);
    let output = shell.output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    assert!(!said.contains("panicked"), "{said}");
    (output.status.code(), said)
}

/// A script, in a folder with the manual's job file and a record.
#[cfg(unix)]
fn shell(block: &Block) {
    let bench = if block.text.contains("$1") {
        crate::record::whole::signed_until("chock-wheels")
    } else {
        Bench::new().file("job.yaml", job())
    };
    let (code, said) = run(&bench, &block.text);
    assert_eq!(code, Some(0), "line {}: {said}", block.line);
}

/// A session: a line that signs finds everything before its task signed off.
#[cfg(unix)]
fn session(block: &Block) {
    let mut task = "";
    let mut bench = crate::record::whole::signed_until(task);
    let mut ran = 0;
    for line in block.text.lines().filter(|line| !line.trim().is_empty()) {
        let command = line.split("    ").next().unwrap();
        let words: Vec<&str> = command.split(' ').collect();
        if words[1] == "sign" && words[3] != task {
            task = words[3];
            bench = crate::record::whole::signed_until(task);
        }
        let (code, said) = run(&bench, command);
        let fine: &[i32] = if words[1] == "record" { &[0, 1] } else { &[0] };
        assert!(
            code.is_some_and(|code| fine.contains(&code)),
            "line {}: {command}\n{said}",
            block.line
        );
        ran += 1;
    }
    assert!(ran > 0, "line {} has an empty session", block.line);
}

/// Without a shell these blocks cannot be executed.
#[cfg(not(unix))]
fn shell(_: &Block) {}

/// Likewise.
#[cfg(not(unix))]
fn session(_: &Block) {}

/// What is written of the manual in a few places stays true: every topic is named where it is asked for.
#[test]
fn every_topic_is_named_and_printed() {
    let bench = Bench::new();
    let help = bench.run(["manual", "--help"]).done().stdout;
    for topic in &manual::TOPICS {
        assert!(help.contains(topic.name), "{}", topic.name);
        assert!(
            README.contains(&format!("`{}`", topic.name))
                || README.contains(&format!("`liftsheet manual {}`", topic.name)),
            "{}",
            topic.name
        );
        assert_eq!(bench.run(["manual", topic.name]).done().stdout, topic.text);
    }
    assert!(
        README.lines().count() <= 150,
        "the README is for somebody who owns a workshop"
    );
}

#[test]
fn the_book_has_every_topic_and_is_a_page_of_its_own() {
    let bench = Bench::new();
    bench.run(["manual", "-o", "book.html"]).done();
    let book = std::fs::read_to_string(bench.path().join("book.html")).unwrap();
    for topic in &manual::TOPICS {
        assert!(
            book.contains(&format!("{}</h2>", topic.title())),
            "{}",
            topic.name
        );
    }
    bench
        .run(["manual", "walks", "-o", "book.html"])
        .failed()
        .complains("leave the topic or -o out");
}
