//! What may be typed on the command line, and nothing else: commands, options, help. Each command's work is in its own file.

use std::path::PathBuf;

use clap::builder::PossibleValuesParser;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use strum::IntoStaticStr;

use super::workshop_args::{BackupArgs, PeopleArgs, PinArgs};
use crate::desk::load::RulesArgs;
use crate::document::Paper;
use crate::quantity;
use crate::record::Act;
use crate::schema;
#[cfg(feature = "serve")]
use crate::serve::ServeArgs;

/// The program's name, whatever its file is called.
pub(super) const NAME: &str = "liftsheet";

/// The command line with every command, option and help text, for whoever wants to know what there is.
pub fn command() -> clap::Command {
    Cli::command()
}

/// Makes the ordered, checked job sheet for raising a vehicle's body off its ladder chassis.
#[derive(Debug, Parser)]
#[command(name = NAME, bin_name = NAME, version, max_term_width = 100)]
#[command(
    after_help = "Exit codes: 0 done; 1 mistakes or open work; 2 could not run; 3 the lift must not be done so; \
    4 the record is not as it was written.\n\
    Without a JOB, pages use the built-in demo, which is not a vehicle."
)]
pub(super) struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Begin a job: write a commented job file of a generic vehicle, or of one like another, to fill in
    #[command(
        after_help = "Examples:\n  liftsheet new                                   every pattern with its options\n  \
        liftsheet new ridge-gang --pattern dual-cab     writes ridge-gang.yaml\n  \
        liftsheet new ridge-gang --pattern dual-cab fuel=petrol gearbox=automatic bar=yes -o jobs/\n  \
        liftsheet new ridge-gang --pattern dual-cab spacer='50 mm' mounts=10 --add tow-bar --without tub-gap\n  \
        liftsheet new gully-gang --like job.yaml        a vehicle of the same kind as one that was done before"
    )]
    New(NewArgs),
    /// Check job files and rule sets: every problem at once, with line and column
    #[command(
        after_help = "Examples:\n  liftsheet check job.yaml\n  liftsheet check my-rules/       rules laid over the built-in ones\n  \
        liftsheet check                 the built-in rules and demos"
    )]
    Check(CheckArgs),
    /// List the classes of connection by part of the vehicle: what a link's `class` may be
    #[command(
        after_help = "Examples:\n  liftsheet classes\n  liftsheet classes battery       those with the word in their id or title\n  \
        liftsheet classes brake hose    those with both"
    )]
    Classes(ClassesArgs),
    /// Print what is still to be measured, and what each value decides
    #[command(
        after_help = "Examples:\n  liftsheet survey job.yaml -o survey.html\n  liftsheet survey job.yaml -o survey.csv      a table to fill in, for `fill --from`\n  liftsheet survey job.yaml --units in"
    )]
    Survey(PageArgs),
    /// Write values into a job file, and leave everything else in it as it is
    #[command(
        after_help = "Examples:\n  liftsheet fill job.yaml                         asks for everything that is missing\n  \
        liftsheet fill job.yaml --area tunnel\n  \
        liftsheet fill job.yaml filler-hose.overlap='38 mm ±2' filler-hose.held_by=none\n  \
        liftsheet fill job.yaml mounts.C1L.thread=M12x1.25 every_mount.grip=52 vehicle.body_mass='760 kg'\n  \
        liftsheet fill job.yaml --without snorkel\n  \
        liftsheet fill job.yaml --from survey.csv       a table that `survey -o survey.csv` wrote\n\n\
        All is written or nothing; a bare number is in the field's own unit."
    )]
    Fill(FillArgs),
    /// Print the job sheet: every task in the order of work, with its numbers and boxes
    #[command(
        after_help = "Examples:\n  liftsheet sheet -o sheet.html               the built-in demo\n  \
        liftsheet sheet job.yaml -o sheet.html --paper letter\n  liftsheet sheet job.yaml --format json\n  \
        liftsheet sheet job.yaml --short -o short.html      a task in a line, hold points in full\n  \
        liftsheet sheet job.yaml --stage raise --large -o wall.html\n  \
        liftsheet sheet job.yaml --for kim          what the crew's plan gives Kim to do\n  \
        liftsheet sheet jobs/*.yaml -o out/ --format html\n\n\
        JSON is always the whole plan."
    )]
    Sheet(SheetArgs),
    /// At which spacer height each connection changes, and what the lift comes to at each height
    #[command(
        after_help = "Examples:\n  liftsheet heights -o heights.html           the built-in demo\n  \
        liftsheet heights job.yaml --from 25 --to 60 --step 5\n  \
        liftsheet heights job.yaml --step 10 --tyre 31x10.5R15\n  \
        liftsheet heights job.yaml --from '1 in' --to '3 in' --step '1/2 in' --units in --format json"
    )]
    Heights(HeightsArgs),
    /// Print the apprentice's page: what the lift disturbs, what it does not, and why; then questions with answers
    #[command(
        after_help = "Examples:\n  liftsheet study -o study.html               the built-in demo\n  \
        liftsheet study job.yaml --seed 7 -o study.html     another set of questions\n  \
        liftsheet study fuel-filler-hose snorkel            only these, on the demo\n  \
        liftsheet study job.yaml fuel-filler-hose           only these, on that vehicle\n  \
        liftsheet study job.yaml --format json\n\n\
        The same seed gives the same questions again. The answers are on the last sheets."
    )]
    Study(StudyArgs),
    /// Print the customer's page: what is done, gained and not gained, what follows, and where both sign
    #[command(
        after_help = "Examples:\n  liftsheet brief -o brief.html               the built-in demo\n  \
        liftsheet brief job.yaml -o brief.html --paper letter --units in\n  liftsheet brief job.yaml --format json"
    )]
    Brief(PageArgs),
    /// Print why: for each connection its verdict with formula, numbers and picture
    #[command(
        after_help = "Examples:\n  liftsheet reasons -o reasons.html           the built-in demo\n  \
        liftsheet reasons job.yaml -o reasons.html --units in\n  liftsheet reasons job.yaml --format json"
    )]
    Reasons(ReasonsArgs),
    /// Print the bench list: parts, special tools, trades to book, hours
    #[command(
        mut_arg("format", |arg| arg.help("The format, when the file's ending does not give it; `csv` is a table for spreadsheets")),
        after_help = "Examples:\n  liftsheet parts -o parts.html               the built-in demo\n  \
        liftsheet parts job.yaml -o parts.csv       a table for spreadsheets\n  liftsheet parts job.yaml --format json"
    )]
    Parts(PageArgs),
    /// Print who does what when: a lane for each person, the visits to book, and how long it takes
    #[command(
        after_help = "Examples:\n  liftsheet crew job.yaml -o crew.html                the people of the job file\n  \
        liftsheet crew job.yaml -o crew.ics                 everybody's appointments, for their calendars\n  \
        liftsheet crew job.yaml --with fitter+apprentice    how long would these take?\n  \
        liftsheet crew job.yaml --with 2fitter+apprentice --format json"
    )]
    Crew(CrewArgs),
    /// Make one calculation and show its working
    #[command(
        after_help = "Examples:\n  liftsheet calc run plan=300 level=120 slack='60 mm ±2' reserve=25 rise='2 in'\n  \
        liftsheet calc plane 'points=1200,550,50;1200,-550,50;-1500,550,50;-1500,-550,51' --format json\n  \
        liftsheet calc                  every calculation with its inputs"
    )]
    Calc(CalcArgs),
    /// Open the workshop's page on this machine: survey, work and signatures on the workshop's own devices
    #[cfg(feature = "serve")]
    #[command(
        after_help = "Examples:\n  liftsheet serve                             the jobs of this folder\n  \
        liftsheet serve jobs/ --on 192.168.1.20    for the telephones and tablets of the workshop\n  liftsheet serve job.yaml --port 8500\n\n\
        It ends when it is told to: Ctrl-C, or by closing its window. Nothing that was said to be signed is lost by it."
    )]
    Serve(ServeArgs),
    /// Sign for tasks: add to the record beside the job file
    #[command(
        after_help = "Examples:\n  liftsheet sign job.yaml 117 --by kim --value length_added='30 mm'\n  \
        liftsheet sign job.yaml 12-16 --by kim --ticks --at '2025-03-04 15:10'\n  \
        liftsheet sign job.yaml filler-hose.correct --by lee --act checked\n  \
        liftsheet sign job.yaml filler-hose.correct --by lee --act rejected --note 'clamp on the bead'\n  \
        liftsheet sign job.yaml torque.cab --by kim --act corrected --entry 57 --value torque.C1L=118 --note 'misread'\n  \
        liftsheet sign job.yaml --from signed.csv --by kim\n\n\
        Exit codes: 0 signed; 1 refused, and nothing is written; 2 could not run; 4 the record is not as it was written."
    )]
    Sign(SignArgs),
    /// Verify the record and show what is signed and what is open; with -o the signed sheet
    #[command(
        after_help = "Examples:\n  liftsheet record job.yaml                       what is signed, what is open\n  \
        liftsheet record job.yaml -o signed.html        the signed sheet, to print\n  \
        liftsheet record job.yaml --expect sha256:…     does it still hold the line that a printed sheet names?\n  \
        liftsheet record job.yaml --next kim            what kim may do or check now\n  \
        liftsheet record job.yaml -o to-sign.csv        a table to fill in, for `sign --from`\n\n\
        Exit codes: 0 released; 1 work is open; 2 could not run; 4 the record is not as it was written."
    )]
    Record(RecordArgs),
    /// List a workshop's people; let somebody join or leave, and change roles and licences
    #[command(after_help = "Examples:\n  liftsheet people jobs/\n  \
        liftsheet people jobs/ --join birch --name 'Birch (invented)' --role supervisor      the first\n  \
        liftsheet people jobs/ --join ash --name 'Ash (invented)' --role fitter --by birch\n  \
        liftsheet people jobs/ --change ash --role fitter --role tradesperson --licence gas --by birch\n  \
        liftsheet people jobs/ --leave ash --by birch\n\n\
        Where a folder has people of its own, only they sign there. `liftsheet manual people` says what that proves.")]
    People(PeopleArgs),
    /// Set, change or reset the PIN by which a person signs
    #[command(
        after_help = "Examples:\n  liftsheet pin jobs/ ash                     six digits are drawn and shown once\n  \
        liftsheet pin jobs/ ash --passphrase\n  \
        liftsheet pin jobs/ ash --by birch          a second person sets it: the first, or in the place of a forgotten one"
    )]
    Pin(PinArgs),
    /// Copy a job or a folder of jobs into one file: records, what is kept beside them, people; no secret of the machine
    #[command(
        after_help = "Examples:\n  liftsheet backup jobs/ -o copy.tar\n  liftsheet backup job.yaml -o job.tar --force"
    )]
    Backup(BackupArgs),
    /// Explain a problem's code
    #[command(
        after_help = "Examples:\n  liftsheet explain unknown-part\n  liftsheet explain      every code in a line"
    )]
    Explain {
        /// The code, as it stands in square brackets behind `error`
        code: Option<String>,
    },
    /// Tell an editor what a job file or a rule file may hold, as JSON Schema
    #[command(
        after_help = "Examples:\n  liftsheet schema job > job.schema.json\n  liftsheet schema rules > rules.schema.json      every kind of rule file\n  \
        liftsheet schema rules --of connections > connection.schema.json"
    )]
    Schema(SchemaArgs),
    /// Print what a shell needs to complete commands and options
    #[command(
        after_help = "Examples:\n  liftsheet completions bash > ~/.local/share/bash-completion/completions/liftsheet\n  \
        liftsheet completions fish > ~/.config/fish/completions/liftsheet.fish\n  \
        liftsheet completions powershell                add it to the profile"
    )]
    Completions(CompletionsArgs),
    /// Print a topic of the manual or a command's manual page; with -o all of them
    #[command(
        after_help = "Examples:\n  liftsheet manual job-file\n  liftsheet manual -o manual.html            the topics as one book\n  \
        liftsheet manual -o man/                   every manual page, commands in section 1, files in section 5"
    )]
    Manual(ManualArgs),
}

/// By which rules pages are made, how they look and where they go.
#[derive(Debug, Clone, Args)]
pub(super) struct HowArgs {
    #[command(flatten)]
    pub(super) rules: RulesArgs,
    /// Units on the page; JSON and digests never change with it
    #[arg(long, value_enum, default_value = "mm")]
    pub(super) units: UnitsArg,
    /// Paper that the HTML page prints on
    #[arg(long, value_enum, default_value = "a4")]
    pub(super) paper: Paper,
    /// The file to write (its ending gives the format), a folder ending in `/`, or `-` for standard output
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// The format, when the file's ending does not give it
    #[arg(long, value_enum)]
    pub(super) format: Option<FormatArg>,
    /// Overwrite a file that liftsheet did not write
    #[arg(long)]
    pub(super) force: bool,
}

#[derive(Debug, Args)]
pub(super) struct NewArgs {
    /// What the workshop calls the job; it names the file, too
    pub(super) name: Option<String>,
    /// The options, such as `fuel=petrol`; how many mounts, `mounts=8`, or `mounts=4+6` for two bodies; and values that are known already,
    /// such as `spacer=50` or `vehicle.body_mass='760 kg'`
    #[arg(value_name = "OPTION=WORD")]
    pub(super) options: Vec<String>,
    /// The generic vehicle to begin from; without it, all are listed
    #[arg(short, long)]
    pub(super) pattern: Option<String>,
    /// A job on a vehicle of the same kind: parts, connections, how they are held and where everything is come over, and what was measured
    /// there stands beside each question
    #[arg(long, value_name = "JOB", conflicts_with = "pattern")]
    pub(super) like: Option<PathBuf>,
    /// A connection more, by its class, with a name of its own behind `=` (may be given again)
    #[arg(long, value_name = "CLASS[=NAME]")]
    pub(super) add: Vec<String>,
    /// A connection that the vehicle does not have (may be given again)
    #[arg(long, value_name = "CONNECTION")]
    pub(super) without: Vec<String>,
    /// The file to write, a folder ending in `/`, or `-` for standard output
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Overwrite a file that is there
    #[arg(long)]
    pub(super) force: bool,
    #[command(flatten)]
    pub(super) rules: RulesArgs,
}

#[derive(Debug, Args)]
pub(super) struct CheckArgs {
    /// Job files, folders of rules or of jobs, or `-` for standard input
    #[arg(value_name = "FILE")]
    pub(super) files: Vec<PathBuf>,
    #[command(flatten)]
    pub(super) rules: RulesArgs,
}

/// A page of one job.
#[derive(Debug, Args)]
pub(super) struct PageArgs {
    /// The job file, or `-` for standard input
    #[arg(value_name = "JOB")]
    pub(super) job: Option<PathBuf>,
    #[command(flatten)]
    pub(super) how: HowArgs,
}

#[derive(Debug, Args)]
pub(super) struct FillArgs {
    /// The job file that is written into
    #[arg(value_name = "JOB")]
    pub(super) job: PathBuf,
    /// What goes where: `CONNECTION.NAME`, `mounts.MOUNT.NAME`, `parts.PART.NAME` or `vehicle.NAME`, `=` and the value; on a terminal,
    /// everything that is missing is asked for where nothing is given
    #[arg(value_name = "PLACE=VALUE")]
    pub(super) values: Vec<String>,
    /// A filled table that `liftsheet survey JOB -o survey.csv` wrote, or `-` for standard input
    #[arg(long, value_name = "TABLE")]
    pub(super) from: Option<PathBuf>,
    /// A connection that the vehicle does not have: it is taken out (may be given again)
    #[arg(long, value_name = "CONNECTION")]
    pub(super) without: Vec<String>,
    /// Ask only for one part of the vehicle, such as `tunnel`
    #[arg(long, value_name = "AREA", conflicts_with_all = ["values", "from", "without"])]
    pub(super) area: Option<String>,
    /// Say what would be written, and write nothing
    #[arg(long)]
    pub(super) dry_run: bool,
    #[command(flatten)]
    pub(super) rules: RulesArgs,
}

#[derive(Debug, Args)]
pub(super) struct HeightsArgs {
    /// The lowest height, in mm unless it says otherwise; 0 is no lift
    #[arg(
        long,
        value_name = "HEIGHT",
        default_value = "0",
        allow_negative_numbers = true
    )]
    pub(super) from: String,
    /// The highest height
    #[arg(
        long,
        value_name = "HEIGHT",
        default_value = "75",
        allow_negative_numbers = true
    )]
    pub(super) to: String,
    /// From one height of the tables to the next
    #[arg(
        long,
        value_name = "HEIGHT",
        default_value = "5",
        allow_negative_numbers = true
    )]
    pub(super) step: String,
    /// The tyre that is to be fitted, such as `31x10.5R15`: adds the height that it needs
    #[arg(long, value_name = "SIZE")]
    pub(super) tyre: Option<String>,
    #[command(flatten)]
    pub(super) page: PageArgs,
}

#[derive(Debug, Args)]
pub(super) struct CrewArgs {
    #[command(flatten)]
    pub(super) page: PageArgs,
    /// A crew of roles instead of the job's people, such as `2fitter+apprentice`; a supervisor, licensed trades and other hands come on
    /// call where it has none
    #[arg(long, value_name = "CREW")]
    pub(super) with: Option<String>,
    /// Only what is not signed as done yet, from this day or time on: `2026-03-04`, `2026-03-04 13:00`
    #[arg(long, value_name = "TIME", requires = "job")]
    pub(super) from: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct SheetArgs {
    /// Job files, or `-` for standard input
    #[arg(value_name = "JOB")]
    pub(super) jobs: Vec<PathBuf>,
    /// A task in a line with its values, hold points in full: for who has done it often. What its steps and cautions say is left out
    #[arg(long)]
    pub(super) short: bool,
    /// Print at 14 pt, for the wall: one side of the paper, so no back is left empty
    #[arg(long)]
    pub(super) large: bool,
    /// Let each verdict lead to its reasons in this file, which `reasons -o FILE` makes; a path from where the sheet lies
    #[arg(long, value_name = "FILE")]
    pub(super) reasons: Option<String>,
    /// Print these stages alone: the first words of a heading, such as `raise` or `check: road`, or the number of a task
    #[arg(long, value_name = "WORDS|NUMBER", conflicts_with = "person")]
    pub(super) stage: Option<String>,
    /// Print alone what this person does by `crew`: an id under `people` in the job file
    #[arg(long = "for", value_name = "PERSON")]
    pub(super) person: Option<String>,
    #[command(flatten)]
    pub(super) how: HowArgs,
}

#[derive(Debug, Args)]
pub(super) struct ReasonsArgs {
    /// Let each verdict lead back to its tasks in this file, which `sheet -o FILE` makes; a path from where the reasons lie
    #[arg(long, value_name = "FILE")]
    pub(super) sheet: Option<String>,
    #[command(flatten)]
    pub(super) page: PageArgs,
}

#[derive(Debug, Args)]
pub(super) struct StudyArgs {
    /// A job file (or `-` for standard input), classes of connection by their ids, or both
    #[arg(value_name = "JOB|CLASS")]
    pub(super) words: Vec<PathBuf>,
    /// Which set of questions is drawn; the same number gives the same set
    #[arg(long, value_name = "N", default_value = "1", value_parser = seed, allow_negative_numbers = true)]
    pub(super) seed: u64,
    #[command(flatten)]
    pub(super) how: HowArgs,
}

/// Which set of questions.
fn seed(text: &str) -> Result<u64, String> {
    text.parse()
        .map_err(|_| format!("a seed is a whole number from 0 to {}", u64::MAX))
}

// Each is an option of its own on the command line.
#[allow(clippy::struct_excessive_bools)]
#[derive(Debug, Args)]
pub(super) struct SignArgs {
    /// The job file; its record stands beside it
    #[arg(value_name = "JOB")]
    pub(super) job: PathBuf,
    /// The tasks: by the ids or the numbers that the sheet prints, as `12-16` several, as `40:C1L` one row
    #[arg(value_name = "TASK")]
    pub(super) tasks: Vec<String>,
    /// Who signs: an id of the workshop's people, or under `people` in the job file where it has none
    #[arg(long, value_name = "PERSON", required_unless_present_any = ["from", "next"])]
    pub(super) by: Option<String>,
    /// What is signed
    #[arg(long, value_enum, default_value = "done")]
    pub(super) act: Act,
    /// What is written down, such as `gap_after.C1L=81mm`, `dry=yes` or, where several tasks ask for it, `12:moved='none'` (may be given
    /// again)
    #[arg(long, value_name = "NAME=VALUE")]
    pub(super) value: Vec<String>,
    /// Everything that these tasks ask with yes or no, and that nobody has answered yet, is so
    #[arg(long)]
    pub(super) ticks: bool,
    /// A photograph, kept beside the record: `FILE`, or `NAME=FILE` for what asks for one (may be given again)
    #[arg(long, value_name = "FILE")]
    pub(super) photo: Vec<PathBuf>,
    /// A remark; for `rejected`, `reopened`, `corrected` and what is about the whole record the reason
    #[arg(long, visible_alias = "reason", value_name = "TEXT")]
    pub(super) note: Option<String>,
    /// The torque wrench that torques were read on
    #[arg(long, value_name = "NUMBER")]
    pub(super) wrench: Option<String>,
    /// The odometer, in km unless it says otherwise
    #[arg(long, value_name = "DISTANCE")]
    pub(super) odometer: Option<String>,
    /// When it was done: by the workshop's clock, such as `2025-03-04 15:10`, or with its offset, `2025-03-04T15:10+10:00`
    #[arg(long, value_name = "TIME")]
    pub(super) at: Option<String>,
    /// The entry that is put right or taken back; the last of the task when left out
    #[arg(long, value_name = "NUMBER")]
    pub(super) entry: Option<u64>,
    /// The four characters of the sheet that task numbers are read from; needed once the plan has changed
    #[arg(long, value_name = "CHARACTERS")]
    pub(super) sheet: Option<String>,
    /// Sign by a table that `record -o to-sign.csv` wrote and somebody filled in, or `-`: all of it or nothing
    #[arg(long, value_name = "TABLE", conflicts_with_all = ["tasks", "value", "photo", "next"])]
    pub(super) from: Option<PathBuf>,
    /// Show what this person may sign now, and sign nothing
    #[arg(long)]
    pub(super) next: bool,
    /// Read PINs from standard input: a line each, where there are several in the order of the persons' ids
    #[arg(long)]
    pub(super) pin_stdin: bool,
    /// Sign also when more than ten tasks fall open by it
    #[arg(long)]
    pub(super) yes: bool,
    /// Show what would be signed and what would fall open, and write nothing
    #[arg(long)]
    pub(super) dry_run: bool,
    #[command(flatten)]
    pub(super) rules: RulesArgs,
}

#[derive(Debug, Args)]
pub(super) struct RecordArgs {
    /// The job file; its record stands beside it
    #[arg(value_name = "JOB")]
    pub(super) job: PathBuf,
    /// The digest of the last line as a signed sheet prints it; the record must still hold that line
    #[arg(long, value_name = "DIGEST")]
    pub(super) expect: Option<String>,
    /// Another copy of the record, or its job file: name the first line that differs, and do nothing else
    #[arg(long, value_name = "RECORD")]
    pub(super) compare: Option<PathBuf>,
    /// Whose turn it is: everybody's, or that of one person
    #[arg(long, value_name = "PERSON", num_args = 0..=1)]
    pub(super) next: Option<Vec<String>>,
    /// The card for the steering wheel in place of the signed sheet: that nobody starts it, and how the vehicle stands
    #[arg(long, conflicts_with = "next")]
    pub(super) card: bool,
    #[command(flatten)]
    pub(super) how: HowArgs,
}

#[derive(Debug, Args)]
pub(super) struct CalcArgs {
    /// The calculation; every one is listed when left out
    pub(super) name: Option<String>,
    /// Its inputs, such as `rise=50mm`
    #[arg(value_name = "INPUT=VALUE")]
    pub(super) inputs: Vec<String>,
    /// Units of the printed working; JSON never changes with it
    #[arg(long, value_enum, default_value = "mm")]
    pub(super) units: UnitsArg,
    /// The format of the result
    #[arg(long, value_enum, default_value = "text")]
    pub(super) format: CalcFormatArg,
}

#[derive(Debug, Args)]
pub(super) struct SchemaArgs {
    /// What the schema describes
    #[arg(value_enum, value_name = "WHAT")]
    pub(super) of: SchemaOf,
    /// One kind of rule file; every kind when left out
    #[arg(long = "of", value_name = "KIND", value_parser = PossibleValuesParser::new(schema::KINDS.map(|kind| kind.name)))]
    pub(super) kind: Option<String>,
}

/// What a schema describes.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum SchemaOf {
    /// Job files
    Job,
    /// Rule files
    Rules,
}

#[derive(Debug, Args)]
pub(super) struct ClassesArgs {
    /// Words that stand in the id or the title; every class when left out
    #[arg(value_name = "WORD")]
    pub(super) words: Vec<String>,
    #[command(flatten)]
    pub(super) rules: RulesArgs,
}

#[derive(Debug, Args)]
pub(super) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum, value_name = "SHELL")]
    pub(super) shell: Shell,
}

#[derive(Debug, Args)]
pub(super) struct ManualArgs {
    /// The topic that is printed (walks, job-file, how-it-decides, pages, record, people, workshop, crew, rules, rule-files, units, plan-json, commands, glossary), or the
    /// command whose manual page is; the program's own when left out
    #[arg(value_name = "TOPIC")]
    pub(super) topic: Option<String>,
    /// A file ending in `.html` for all topics, a folder ending in `/` for every manual page, or `-` for standard output
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Overwrite a file that liftsheet did not write
    #[arg(long)]
    pub(super) force: bool,
}

/// Units on pages.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum UnitsArg {
    /// Millimetres, kilograms, newton metres
    Mm,
    /// Inches, pounds, pound-feet
    In,
}

impl From<UnitsArg> for quantity::Units {
    fn from(units: UnitsArg) -> Self {
        match units {
            UnitsArg::Mm => Self::Metric,
            UnitsArg::In => Self::Inch,
        }
    }
}

/// Formats of a page, each called as its files end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoStaticStr, ValueEnum)]
#[strum(serialize_all = "lowercase")]
pub(super) enum FormatArg {
    /// Markdown, readable as plain text
    Md,
    /// One HTML file with a print stylesheet
    Html,
    /// For other programs
    Json,
    /// A table for spreadsheets; `parts` alone has one, so the others do not offer it
    #[value(hide = true)]
    Csv,
    /// Appointments for calendars; `crew` alone has them, so the others do not offer it
    #[value(hide = true)]
    Ics,
}

/// Formats of a calculation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum CalcFormatArg {
    /// The working, for a person
    Text,
    /// Inputs and results, for a program
    Json,
}
