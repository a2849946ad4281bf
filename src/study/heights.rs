//! What would the verdict be at another height? Each link is cut and judged anew with every block that much higher or lower.

use super::askable::Material;
use super::question::{About, Question};
use super::words::{quantity, typed, verdict};
use crate::assess::{Assessed, Depth};
use crate::heights::{Grounds, own_blocks};
use crate::lots::Lots;
use crate::pipeline::Made;
use crate::quantity::Unit;
use crate::rules::Verdict;
use crate::sorted::each_once;
use crate::text::{Text, capital};
use strum::IntoEnumIterator;

/// By how much the blocks are higher or lower, mm.
const STEPS: [f64; 5] = [-20.0, -10.0, 10.0, 20.0, 30.0];
/// The heights that are asked about, mm.
const ASKED: std::ops::RangeInclusive<f64> = 10.0..=100.0;
/// How many options a question has.
const OPTIONS: usize = 4;

/// Links whose verdict turns and links whose verdict stays, one after the other.
pub(super) fn make(material: &Material<'_>, draw: &mut Lots) -> Vec<Question> {
    let job = material.made.job;
    let spacer = job.lift.spacer.value;
    // With blocks of several heights, "60 mm instead of 40 mm" would not say what is meant.
    if !own_blocks(job).is_empty() {
        return Vec::new();
    }
    let heights = STEPS.map(|step| spacer + step).into_iter();
    let heights: Vec<f64> = heights.filter(|height| ASKED.contains(height)).collect();
    // What the lift brings about has other words on the sheet.
    let links = material
        .links()
        .filter(|link| link.origin.is_connection() && link.worked().next().is_some());
    let links = draw.shuffled(links);
    let mut grounds = Grounds::new(job, material.made.rules);
    let mut turned = Vec::new();
    let mut stayed = Vec::new();
    for link in links {
        let mut at = |height: &f64| {
            let judged = (link.id.as_str(), Depth::Work);
            let verdict = |link: &Assessed<'_>| Some(link.verdict);
            let verdict = grounds.judged(judged, *height, verdict, |_| None);
            Some((*height, verdict.flatten()?))
        };
        let there = heights.iter().filter_map(&mut at);
        let there = there.filter(|(_, verdict)| *verdict != Verdict::Measure);
        let mut there = draw.shuffled(there);
        there.sort_by_key(|(_, verdict)| *verdict == link.verdict);
        let Some((height, then)) = there.first() else {
            continue;
        };
        let list = if *then == link.verdict {
            &mut stayed
        } else {
            &mut turned
        };
        list.push(question(link, spacer, *height, *then));
    }
    super::askable::in_turn(vec![turned, stayed])
}

fn question(link: &Assessed<'_>, spacer: f64, height: f64, then: Verdict) -> Question {
    let options = options(then, link.verdict).into_iter();
    let options = options.map(|one| (verdict(one), one == then));
    Question::choose(
        format!(
            "{}: with blocks of {} instead of {}, all else the same, what is its verdict?",
            capital(&typed(&link.title)),
            quantity(height, Unit::Mm),
            quantity(spacer, Unit::Mm),
        ),
        options,
        String::new(),
        About {
            ids: vec![link.id.clone()],
            name: None,
            height: Some(height),
        },
    )
}

/// Says why the answer is so: worked out for what is asked alone.
pub(super) fn explain(material: &Material<'_>, question: &mut Question) {
    let Made { job, rules, .. } = material.made;
    let links = &material.made.assessment.links;
    let asked = question.about.ids.first().and_then(|id| links.get(id));
    let Some((link, height)) = asked.zip(question.about.height) else {
        return;
    };
    let why = |link: &Assessed<'_>| Some((link.verdict, link.because.clone()));
    let judged = (link.id.as_str(), Depth::Words);
    let there = Grounds::new(job, rules).judged(judged, height, why, |_| None);
    if let Some((then, because)) = there.flatten() {
        let now = if then == link.verdict {
            "as it is"
        } else {
            "but it is"
        };
        question.because = Text::rendered(format!(
            "{}; {now} “{}” at {}",
            because.marked(),
            link.verdict.word(),
            quantity(job.lift.spacer.value, Unit::Mm)
        ));
    }
}

/// The right verdict, the present one, and their neighbours, from the lightest to the heaviest.
fn options(then: Verdict, now: Verdict) -> Vec<Verdict> {
    let others = Verdict::iter().filter(|verdict| *verdict != Verdict::Measure);
    let mut kept = each_once([then, now].into_iter().chain(others));
    kept.truncate(OPTIONS);
    kept.sort_unstable();
    kept
}
