//! `new`: a job file to fill in, from a pattern and what was chosen of its options, or from a job that was done before.

use std::path::{Path, PathBuf};

use super::args::NewArgs;
use super::{End, complain, ended, fail, print, print_page};
use crate::desk::begin::{From, Wish, begin, file_name, list};
use crate::desk::file;
use crate::desk::load::Loaded;
use crate::report::in_message;

pub(super) fn run(args: &NewArgs) -> End {
    let mut loaded = Loaded::default();
    let made = make(args, &mut loaded);
    loaded.show_builtin();
    let end = complain(&loaded);
    match made {
        Ok(made) if end == End::Done => ended(deliver(args, &made)),
        Err(problems) if !problems.is_empty() => end.max(fail(&problems.join("\nliftsheet: "))),
        _ => end.max(End::Open),
    }
}

/// What a run comes to.
enum NewFile {
    /// The patterns with their options: nothing was asked for.
    List(String),
    File {
        name: String,
        text: String,
    },
}

/// The list or the file; sentences when something was asked for that is not there, none when the rules are at fault.
fn make(args: &NewArgs, loaded: &mut Loaded) -> Result<NewFile, Vec<String>> {
    let files = loaded.rule_files(&args.rules).ok_or_else(Vec::new)?;
    let from = match (&args.pattern, &args.like) {
        (Some(pattern), _) => From::Pattern(pattern.clone()),
        (None, Some(job)) => From::Job(job.clone()),
        (None, None) if args.name.is_none() => {
            return Ok(NewFile::List(list(&files, loaded)));
        }
        (None, None) => {
            let message = "a job file is begun from a pattern; choose one with --pattern, or name a job that was done before with --like";
            return Err(vec![format!("{message}\n\n{}", list(&files, loaded))]);
        }
    };
    let Some(name) = args.name.clone() else {
        let how = match &from {
            From::Pattern(pattern) => format!("--pattern {}", in_message(pattern)),
            From::Job(job) => format!("--like {}", file::shown(job)),
        };
        let message = "the job has no name; put one in front, such as";
        return Err(vec![format!("{message} `liftsheet new ridge-gang {how}`")]);
    };
    let wish = Wish {
        name: name.clone(),
        from,
        words: args.options.clone(),
        add: args.add.clone(),
        without: args.without.clone(),
    };
    let text = begin(&wish, &files, loaded)?;
    Ok(NewFile::File { name, text })
}

fn deliver(args: &NewArgs, made: &NewFile) -> Result<End, String> {
    let (name, text) = match made {
        NewFile::List(list) => return Ok(print(list)),
        NewFile::File { name, text } => (name, text),
    };
    let Some(path) = target(args.output.as_deref(), name)? else {
        return Ok(print_page(text));
    };
    file::create(&path, text, args.force)?;
    // The file's name is not always the job's, so it is said.
    Ok(print(&format!("{} written\n", file::shown(&path))))
}

/// Where the file goes; nothing for standard output.
fn target(output: Option<&Path>, name: &str) -> Result<Option<PathBuf>, String> {
    match output {
        Some(path) if path == Path::new("-") => Ok(None),
        Some(path) if file::is_folder(path) => Ok(Some(path.join(file_name(name)?))),
        Some(path) => Ok(Some(path.to_owned())),
        None => file_name(name).map(|file| Some(PathBuf::from(file))),
    }
}
