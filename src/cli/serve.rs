//! `serve`: the workshop's page, until it is told to end.

use std::io::IsTerminal as _;

use super::{End, complain, fail, output};
use crate::serve::{self, NotServed, Opened, ServeArgs};

pub(super) fn run(args: &ServeArgs) -> End {
    if !args.place.exists() {
        return fail("there is no such folder or job file; name one that is there");
    }
    match serve::serve(args, tell) {
        Ok(()) => End::Done,
        Err(NotServed::Rules(loaded)) => complain(&loaded).max(End::Open),
        Err(NotServed::Reason(reason)) => fail(&reason),
    }
}

/// Says where the page is; its address alone on a line, for other programs.
fn tell(opened: &Opened) {
    if let Some(kind) = &opened.elsewhere {
        output::complain(&format!(
            "liftsheet: the folder lies on another machine ({kind}), whose locks cannot be trusted to keep two writers apart; keep the jobs on this machine's own disk\n"
        ));
    }
    let mut text = format!("{}\n", opened.address);
    if let (Some(name), Some(fingerprint)) = (&opened.name, &opened.fingerprint) {
        text.push_str(&format!(
            "or {name}\nA device asks once whether it may trust this machine. SHA-256 of its certificate:\n{fingerprint}\n"
        ));
        if std::io::stdout().is_terminal() {
            text.push_str(&serve::code(&opened.address).unwrap_or_default());
            text.push('\n');
        }
    }
    // Whoever reads it may have gone; the page is there all the same.
    let _ = output::print(&text);
}
