//! The arguments of what concerns a workshop as a whole: its people, their PINs, copies.

use std::path::PathBuf;

use clap::Args;
use clap::builder::PossibleValuesParser;

use crate::job::Role;
use strum::VariantNames;

#[derive(Debug, Args)]
pub(super) struct PeopleArgs {
    /// The folder of the jobs, or one of its job files
    #[arg(value_name = "FOLDER")]
    pub(super) folder: PathBuf,
    /// Somebody joins, or comes back: the id by which the person signs; the first is a supervisor
    #[arg(long, value_name = "PERSON", requires_all = ["name", "role"])]
    pub(super) join: Option<String>,
    /// Somebody's roles or licences are others from here on
    #[arg(long, value_name = "PERSON", conflicts_with = "join")]
    pub(super) change: Option<String>,
    /// Somebody leaves
    #[arg(long, value_name = "PERSON", conflicts_with_all = ["join", "change"])]
    pub(super) leave: Option<String>,
    /// The name on the pages
    #[arg(long, value_name = "NAME", requires = "join")]
    pub(super) name: Option<String>,
    /// What the person may sign as (may be given again)
    #[arg(long, value_name = "ROLE", value_parser = PossibleValuesParser::new(Role::VARIANTS))]
    pub(super) role: Vec<String>,
    /// A licence that the person holds (may be given again); `none` for none any more
    #[arg(long, value_name = "LICENCE")]
    pub(super) licence: Vec<String>,
    /// Go on with a record of the people that lost lines, and say why
    #[arg(long, requires_all = ["by", "note"], conflicts_with_all = ["join", "change", "leave"])]
    pub(super) adopt: bool,
    /// Begin with another secret where the one of this machine is lost, and say why: every PIN must be set anew
    #[arg(long, requires_all = ["by", "note"], conflicts_with_all = ["join", "change", "leave", "adopt"])]
    pub(super) new_secret: bool,
    /// The supervisor who does it
    #[arg(long, value_name = "PERSON")]
    pub(super) by: Option<String>,
    /// The reason
    #[arg(long, value_name = "TEXT")]
    pub(super) note: Option<String>,
    /// Read the PIN of whoever does it from standard input
    #[arg(long)]
    pub(super) pin_stdin: bool,
}

#[derive(Debug, Args)]
pub(super) struct PinArgs {
    /// The folder of the jobs, or one of its job files
    #[arg(value_name = "FOLDER")]
    pub(super) folder: PathBuf,
    /// Whose PIN it is
    #[arg(value_name = "PERSON")]
    pub(super) person: String,
    /// A second person who sets it, where it is forgotten or the first: a supervisor where there is another one
    #[arg(long, value_name = "PERSON")]
    pub(super) by: Option<String>,
    /// Type a passphrase of at least eight characters in place of the six digits that are drawn
    #[arg(long)]
    pub(super) passphrase: bool,
    /// Read from standard input, a line each: the PIN of whoever sets it, where there is one, and then the passphrase
    #[arg(long)]
    pub(super) pin_stdin: bool,
}

#[derive(Debug, Args)]
pub(super) struct BackupArgs {
    /// A job file, or a folder of jobs
    #[arg(value_name = "JOB")]
    pub(super) what: PathBuf,
    /// The file to write, a tar archive
    #[arg(short, long, value_name = "COPY")]
    pub(super) output: PathBuf,
    /// Overwrite a file that is there
    #[arg(long)]
    pub(super) force: bool,
}
