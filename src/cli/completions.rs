//! `completions`: what a shell needs to complete commands and options.

use super::args::{self, CompletionsArgs};
use super::{End, print_page};

pub(super) fn run(args: &CompletionsArgs) -> End {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut args::command(), args::NAME, &mut script);
    print_page(&String::from_utf8_lossy(&script))
}
