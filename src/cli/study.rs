//! `study`: the apprentice's page of a job, or of some classes of connection.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::args::StudyArgs;
use super::page::{self, Document};
use super::{End, complain};
use crate::desk::load::Loaded;
use crate::document;
use crate::quantity::{Quantity, Unit};
use crate::report::{Code, Problem, unknown_help};
use crate::rules::Files;
use crate::study::{self, Lesson, Question, QuestionKind, Study};

/// The study for other programs.
fn json(study: &Study<'_>) -> Value {
    json!({
        "seed": study.seed,
        "classes": study.lessons.iter().map(class).collect::<Vec<_>>(),
        "questions": study.questions.iter().map(question).collect::<Vec<_>>(),
    })
}

fn class(lesson: &Lesson<'_>) -> Value {
    let links = lesson
        .links
        .iter()
        .map(|link| json!({"id": link.id, "disturbed": link.disturbed, "verdict": link.verdict}));
    json!({
        "id": lesson.class.id,
        "title": lesson.class.text.title,
        "area": lesson.area.word(),
        "links": links.collect::<Vec<_>>(),
    })
}

fn question((kind, question): &(QuestionKind, Question)) -> Value {
    let about = &question.about;
    json!({
        "kind": kind,
        "text": question.text,
        "options": question.options.iter().map(|(text, _)| text).collect::<Vec<_>>(),
        "answer": question.right().collect::<Vec<_>>(),
        "because": question.because,
        "about": {
            "ids": about.ids,
            "name": about.name,
            "height": about.height.map(|height| Quantity::exact(height, Unit::Mm)),
        },
    })
}

pub(super) fn run(args: &StudyArgs) -> Result<End, String> {
    let mut loaded = Loaded::default();
    let Some(files) = loaded.rule_files(&args.how.rules) else {
        return Ok(complain(&loaded));
    };
    let (jobs, classes) = sorted(&args.words, &files, &mut loaded);
    if !loaded.report.is_empty() {
        return Ok(complain(&loaded));
    }
    let mut study = Document::new("study", |made, look| {
        let study = study::study(made, args.seed, &classes);
        Ok(document::study(made, &study, look)?)
    })
    .json(|made| Ok(json(&study::study(made, args.seed, &classes))));
    study.classes = classes.iter().map(String::as_str).collect();
    let request = page::request(&study, &args.how)?;
    page::page_of(&request, jobs.first().map(PathBuf::as_path))
}

/// Parts the words into job files and classes; what is neither goes to the report. A class comes first: `./name` is always a file.
fn sorted(
    words: &[PathBuf],
    files: &Files,
    loaded: &mut Loaded,
) -> (Vec<PathBuf>, BTreeSet<String>) {
    let mut known = files.class_ids();
    known.extend(files.ids("consequences"));
    let (mut jobs, mut classes) = (Vec::new(), BTreeSet::new());
    for word in words {
        let text = word.to_string_lossy();
        if known.iter().any(|id| *id == text) {
            classes.insert(text.into_owned());
        } else if is_file(word) {
            jobs.push(word.clone());
        } else {
            let message = format!("`{text}` is neither a job file nor a class of connection");
            let help = unknown_help(&text, known.iter().map(String::as_str));
            let problem = Problem::error(Code::UnknownClass, message);
            loaded
                .report
                .push(problem.help(format!("{help}; a job file is named with its path, and its classes stand in it behind `class:`")));
        }
    }
    if jobs.len() > 1 {
        let message = "more than one job file is named, and a page is of one vehicle";
        let problem = Problem::error(Code::UnreadableFile, message);
        loaded
            .report
            .push(problem.help("name one job file, and classes of connection beside it"));
    }
    (jobs, classes)
}

/// Whether a word means a file: one that is there, standard input, or what is written like a file's name.
fn is_file(word: &Path) -> bool {
    let yaml = word
        .extension()
        .is_some_and(|ending| ending == "yaml" || ending == "yml");
    word == Path::new("-") || yaml || word.components().count() > 1 || word.is_file()
}
