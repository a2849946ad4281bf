//! PINs and passphrases as somebody types them: on a terminal that does not show them, or line by line on standard input.
//!
//! Takes a question; gives what was typed. Whose it is and whether it is right is left to `people`.

use std::io::{self, BufRead as _, IsTerminal as _};

use crate::report::{Code, Problem};

/// Where PINs come from.
pub(super) struct Pins {
    stdin: bool,
}

impl Pins {
    /// From standard input, or from whoever sits at the terminal.
    pub(super) fn new(stdin: bool) -> Self {
        Self { stdin }
    }

    /// Asks for one.
    pub(super) fn ask(&self, question: &str) -> Result<String, Problem> {
        let typed = if self.stdin {
            let mut line = String::new();
            match io::stdin().lock().read_line(&mut line) {
                // No line is no wrong PIN.
                Ok(0) => Err(io::ErrorKind::UnexpectedEof.into()),
                read => read.map(|_| line),
            }
        } else if io::stdin().is_terminal() && io::stderr().is_terminal() {
            rpassword::prompt_password(format!("{question}: "))
        } else {
            let message = format!("{question} is asked for, and nobody sits at a terminal");
            return Err(Problem::error(Code::PinNeeded, message)
                .help("give it on standard input with `--pin-stdin`"));
        };
        let typed = typed.map_err(|error| {
            let message = format!("{question} cannot be read: {error}");
            Problem::error(Code::PinNeeded, message).help("type it again")
        })?;
        Ok(typed.trim_end_matches(['\r', '\n']).to_owned())
    }

    /// Asks for a new passphrase; on a terminal twice, since nobody sees it.
    pub(super) fn ask_new(&self, question: &str) -> Result<String, Problem> {
        let first = self.ask(question)?;
        if self.stdin || self.ask(&format!("{question} again"))? == first {
            return Ok(first);
        }
        let message = "the two passphrases are not the same, so nothing was set";
        Err(Problem::error(Code::WeakPin, message).help("type it twice in the same way"))
    }
}
