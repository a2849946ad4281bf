//! What would the verdict be at another height? The vehicle is cut and judged anew with every block that much higher or lower.

use std::collections::BTreeMap;

use super::kinds::Kind;
use super::material::Material;
use super::question::{About, Choice, Question};
use super::words::{quantity, typed, verdict};
use crate::assess::{self, Basis};
use crate::cut;
use crate::job::Job;
use crate::lots::Lots;
use crate::pipeline::Made;
use crate::quantity::Unit;
use crate::report::Report;
use crate::rules::Verdict;
use crate::text::{Text, capital};
use strum::IntoEnumIterator;

/// By how much the blocks are higher or lower, mm.
const STEPS: [f64; 5] = [-20.0, -10.0, 10.0, 20.0, 30.0];
/// The heights that are asked about, mm.
const ASKED: std::ops::RangeInclusive<f64> = 10.0..=100.0;
/// How many options a question has.
const OPTIONS: usize = 4;

/// The verdicts at one height, with their reasons.
struct At {
    height: f64,
    links: BTreeMap<String, (Verdict, Text)>,
}

/// Links whose verdict turns and links whose verdict stays, one after the other.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let job = material.made.job;
    let spacer = job.lift.spacer.value;
    let uneven = job
        .mounts
        .values()
        .any(|mount| (mount.spacer - spacer).abs() > 1e-6);
    // With blocks of several heights, "60 mm instead of 40 mm" would not say what is meant.
    if uneven {
        return Vec::new();
    }
    let heights = STEPS.map(|step| spacer + step).into_iter();
    let heights = heights.filter(|height| ASKED.contains(height));
    let heights: Vec<At> = heights
        .filter_map(|height| at(&material.made, height))
        .collect();
    let links = material
        .links()
        .filter(|link| link.worked().next().is_some());
    let links = draw.shuffled(links.filter(|link| !link.id.starts_with("mount-")));
    let mut turned = Vec::new();
    let mut stayed = Vec::new();
    for link in links {
        let there = heights
            .iter()
            .filter_map(|at| Some((at, at.links.get(&link.id)?)));
        let there = there.filter(|(_, (verdict, _))| *verdict != Verdict::Measure);
        let mut there = draw.shuffled(there);
        there.sort_by_key(|(_, (verdict, _))| *verdict == link.verdict);
        let Some((at, (then, because))) = there.first() else {
            continue;
        };
        let list = if *then == link.verdict {
            &mut stayed
        } else {
            &mut turned
        };
        list.push(question(link, spacer, at.height, (*then, because)));
    }
    super::material::in_turn(vec![turned, stayed])
}

fn question(
    link: &assess::Assessed<'_>,
    spacer: f64,
    height: f64,
    (then, because): (Verdict, &Text),
) -> Question {
    let options = options(then, link.verdict).into_iter();
    let options = options.map(|one| Choice::new(verdict(one), one == then));
    let now = if then == link.verdict {
        "as it is"
    } else {
        "but it is"
    };
    Question::choose(
        Kind::Height,
        format!(
            "{}: with blocks of {} instead of {}, all else the same, what is its verdict?",
            capital(&typed(&link.title)),
            quantity(height, Unit::Mm),
            quantity(spacer, Unit::Mm),
        ),
        options.collect(),
        format!(
            "{}; {now} “{}” at {}",
            because.marked(),
            link.verdict.word(),
            quantity(spacer, Unit::Mm)
        ),
        About {
            ids: vec![link.id.clone()],
            name: None,
            height: Some(height),
        },
    )
}

/// The right verdict, the present one, and their neighbours, from the lightest to the heaviest.
fn options(then: Verdict, now: Verdict) -> Vec<Verdict> {
    let mut chosen = vec![then, now];
    let others = Verdict::iter().filter(|verdict| *verdict != Verdict::Measure);
    chosen.extend(others);
    let mut kept: Vec<Verdict> = Vec::new();
    for verdict in chosen {
        if kept.len() < OPTIONS && !kept.contains(&verdict) {
            kept.push(verdict);
        }
    }
    kept.sort_unstable();
    kept
}

/// The verdicts at another height; none when the vehicle cannot be judged there.
fn at(made: &Made<'_>, height: f64) -> Option<At> {
    let job = with_blocks_of(made.job, height);
    let mut report = Report::new();
    let cut = cut::cut(&job, made.rules, &mut report);
    let basis = Basis::new(&job, made.rules);
    let assessment = assess::assess(&job, made.rules, &cut, &basis, &mut report);
    if report.has_errors() {
        return None;
    }
    let links = assessment.links.into_iter();
    let links = links.map(|(id, link)| (id, (link.verdict, link.because)));
    Some(At {
        height,
        links: links.collect(),
    })
}

fn with_blocks_of(job: &Job, height: f64) -> Job {
    let mut job = job.clone();
    job.lift.spacer.value = height;
    for mount in job.mounts.values_mut() {
        mount.spacer = height;
    }
    job
}
