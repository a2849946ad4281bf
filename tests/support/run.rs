//! Runs the real program in a folder of its own: files in, arguments, standard input; exit code, output and complaints out.

use std::ffi::{OsStr, OsString};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// The program.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_liftsheet");
/// The variables that the program looks at; whoever runs the tests may have set them. `CI` is one: `anstream` takes the terminal of a
/// build machine for one that shows bold, whatever `TERM` says.
pub(crate) const LOOKED_AT: [&str; 5] = ["COLUMNS", "NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "CI"];

/// A folder with files, in which the program runs; and what the machine keeps outside it, which no other bench shares.
pub(crate) struct Bench {
    folder: TempDir,
    home: TempDir,
}

/// One call of the program.
pub(crate) struct Call<'a> {
    bench: &'a Bench,
    arguments: Vec<OsString>,
    environment: Vec<(String, String)>,
    stdin: Option<Vec<u8>>,
}

/// What a call came to.
#[derive(Clone)]
pub(crate) struct Outcome {
    /// The command line, for messages.
    pub(crate) shown: String,
    /// The exit code; none when a signal ended it.
    pub(crate) code: Option<i32>,
    /// Standard output.
    pub(crate) stdout: String,
    /// Standard error.
    pub(crate) stderr: String,
}

impl Bench {
    /// An empty folder.
    pub(crate) fn new() -> Self {
        Self {
            folder: TempDir::new().unwrap(),
            home: TempDir::new().unwrap(),
        }
    }

    /// Adds a file, with the folders above it.
    pub(crate) fn file(self, path: &str, text: impl AsRef<[u8]>) -> Self {
        let path = self.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
        self
    }

    /// Copies every file of a folder below `into`.
    pub(crate) fn folder(mut self, from: &Path, into: &str) -> Self {
        let mut entries: Vec<PathBuf> = std::fs::read_dir(from)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        entries.sort();
        for path in entries {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            let to = format!("{into}/{name}");
            self = if path.is_dir() {
                self.folder(&path, &to)
            } else {
                let text = std::fs::read(&path).unwrap();
                self.file(&to, text)
            };
        }
        self
    }

    /// The folder.
    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// What the machine keeps outside the folder, and the variable that names it.
    pub(crate) fn home(&self) -> (&str, &Path) {
        (liftsheet::keys::HOME, self.home.path())
    }

    /// Lets the machine forget all that it keeps outside the folder.
    pub(crate) fn forget(&self) {
        for entry in std::fs::read_dir(self.home.path()).unwrap() {
            std::fs::remove_file(entry.unwrap().path()).unwrap();
        }
    }

    /// A call with these arguments, not yet run.
    pub(crate) fn call<'a>(&self, arguments: impl IntoIterator<Item = &'a str>) -> Call<'_> {
        Call {
            bench: self,
            arguments: arguments.into_iter().map(OsString::from).collect(),
            environment: Vec::new(),
            stdin: None,
        }
    }

    /// Runs the program with these arguments.
    pub(crate) fn run<'a>(&self, arguments: impl IntoIterator<Item = &'a str>) -> Outcome {
        self.call(arguments).run()
    }
}

impl Call<'_> {
    /// Adds one argument.
    pub(crate) fn arg(mut self, argument: impl AsRef<OsStr>) -> Self {
        self.arguments.push(argument.as_ref().to_owned());
        self
    }

    /// Sets a variable of the environment.
    pub(crate) fn env(mut self, name: &str, value: &str) -> Self {
        self.environment.push((name.to_owned(), value.to_owned()));
        self
    }

    /// Feeds standard input.
    pub(crate) fn stdin(mut self, bytes: impl AsRef<[u8]>) -> Self {
        self.stdin = Some(bytes.as_ref().to_vec());
        self
    }

    /// Runs it to its end.
    pub(crate) fn run(self) -> Outcome {
        let mut command = Command::new(PROGRAM);
        for name in LOOKED_AT {
            command.env_remove(name);
        }
        let (name, home) = self.bench.home();
        command
            .args(&self.arguments)
            .env(name, home)
            .envs(self.environment)
            .current_dir(self.bench.path())
            .stdin(if self.stdin.is_some() {
                Stdio::piped()
            } else {
                Stdio::null()
            })
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        if let Some(bytes) = self.stdin {
            // A program that refuses early closes its end; that is its right.
            let _ = child.stdin.take().unwrap().write_all(&bytes);
        }
        let Output {
            status,
            stdout,
            stderr,
        } = child.wait_with_output().unwrap();
        Outcome {
            shown: self.arguments.join(OsStr::new(" ")).display().to_string(),
            code: status.code(),
            stdout: String::from_utf8(stdout).unwrap(),
            stderr: String::from_utf8(stderr).unwrap(),
        }
    }
}

impl Outcome {
    /// Asserts the exit code, and that nothing panicked.
    #[track_caller]
    pub(crate) fn code(self, code: i32) -> Self {
        assert!(
            !self.stderr.contains("panicked"),
            "`{}` panicked:\n{}",
            self.shown,
            self.stderr
        );
        assert_eq!(
            self.code,
            Some(code),
            "exit code of `{}`\nstdout:\n{}\nstderr:\n{}",
            self.shown,
            self.stdout,
            self.stderr
        );
        self
    }

    /// Asserts that it is done, without a complaint.
    #[track_caller]
    pub(crate) fn done(self) -> Self {
        let outcome = self.code(0);
        assert_eq!(outcome.stderr, "", "stderr of `{}`", outcome.shown);
        outcome
    }

    /// Asserts that nothing came of it: a complaint, no output that somebody could take for a result, and the exit code that goes with
    /// the complaint: 1 for mistakes in what was given, 4 for a record that is not as it was written, 2 for what could not run.
    #[track_caller]
    pub(crate) fn failed(self) -> Self {
        let says = |code: &str| self.stderr.contains(&format!("error[{code}]"));
        let code = if [
            "unreadable-file",
            "record-not-written",
            "record-held",
            "not-filled",
        ]
        .into_iter()
        .any(says)
        {
            2
        } else if says("record-broken")
            || says("record-cut-short")
            || says("digest-not-found")
            || says("not-kept")
        {
            4
        } else if self.stderr.contains("error[") {
            1
        } else {
            2
        };
        let outcome = self.code(code);
        assert_eq!(outcome.stdout, "", "stdout of `{}`", outcome.shown);
        assert_ne!(outcome.stderr, "", "stderr of `{}`", outcome.shown);
        outcome
    }

    /// Asserts that the complaint has this text.
    #[track_caller]
    pub(crate) fn complains(self, text: &str) -> Self {
        assert!(
            self.stderr.contains(text),
            "`{}` does not complain of {text:?}, but:\n{}",
            self.shown,
            self.stderr
        );
        self
    }

    /// Asserts that the output has this text.
    #[track_caller]
    pub(crate) fn prints(self, text: &str) -> Self {
        assert!(
            self.stdout.contains(text),
            "`{}` does not print {text:?}, but:\n{}",
            self.shown,
            self.stdout
        );
        self
    }

    /// Standard output as JSON.
    #[track_caller]
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap()
    }
}

/// A file or folder below `tests/cases`.
pub(crate) fn case(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/cases")
        .join(path)
}
