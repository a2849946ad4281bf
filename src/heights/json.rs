//! The heights for other programs, in millimetres and minutes whatever `--units` says. The shape is described in the manual, `plan-json`.

use serde_json::{Map, Value, json};

use super::totals::Totals;
use super::{Bar, Bars, By, Height, Heights, Tyre, change};
use crate::pipeline::Made;
use crate::quantity::{Quantity, Unit};

pub(crate) fn to_json(made: &Made<'_>, heights: &Heights) -> Value {
    let asked = &heights.asked;
    let links: Vec<Value> = heights.links.iter().map(link).collect();
    let own = heights.own_blocks.iter();
    let own: Map<String, Value> = own
        .map(|(id, more)| (id.clone(), json!(mm(*more))))
        .collect();
    let all: Vec<Value> = heights.heights.iter().map(height).collect();
    // From each height to the next.
    let steps: Vec<Value> = heights.heights.windows(2).filter_map(step).collect();
    json!({
        "range": {"from": mm(asked.from), "to": mm(asked.to), "step": mm(asked.step)},
        "own_height": mm(heights.own),
        "own_blocks": own,
        "links": links,
        "heights": all,
        "steps": steps,
        "tyre": heights.tyre.as_ref().map(tyre),
        "provisional": made.plan.provisional || heights.provisional(),
    })
}

fn mm(value: f64) -> Quantity {
    Quantity::exact(value, Unit::Mm)
}

fn link(link: &Bars) -> Value {
    let bars: Vec<Value> = link.bars.iter().map(bar).collect();
    json!({"id": link.id, "title": link.title, "area": link.area.word(), "bars": bars})
}

fn bar(bar: &Bar) -> Value {
    let by = match bar.standing.verdict {
        Some(_) => "decided_by",
        None => "problem",
    };
    json!({
        "from": mm(bar.from),
        "to": mm(bar.to),
        "verdict": bar.standing.verdict,
        "work": bar.standing.work,
        by: bar.standing.decided_by,
    })
}

fn height(height: &Height) -> Value {
    match &height.planned {
        Ok(totals) => planned(height, totals),
        Err(problems) => json!({
            "height": mm(height.height),
            "own": height.own,
            "tyre": height.tyre,
            "problems": problems,
        }),
    }
}

fn planned(height: &Height, totals: &Totals) -> Value {
    let worked: Vec<&String> = totals.worked().map(|(id, _)| id).collect();
    json!({
        "height": mm(height.height),
        "own": height.own,
        "tyre": height.tyre,
        "links": worked,
        "minutes": totals.minutes,
        "days": totals.days,
        "parts": totals.parts,
        "limits": totals.limits,
        "limits_not_checked": totals.not_checked,
        "stops": totals.stops,
        "provisional": totals.provisional,
        "problems": [],
    })
}

fn step(pair: &[Height]) -> Option<Value> {
    let [first, second] = pair else { return None };
    let (Ok(before), Ok(after)) = (&first.planned, &second.planned) else {
        return None;
    };
    let change = change(before, after);
    let newly = change.newly.iter();
    let newly: Vec<Value> = newly
        .map(|(id, _, standing)| json!({"id": id, "verdict": standing.verdict}))
        .collect();
    let otherwise = change.otherwise.iter();
    let otherwise: Vec<Value> = otherwise
        .map(|(id, _, was, is)| json!({"id": id, "was": was.verdict, "verdict": is.verdict}))
        .collect();
    let no_longer: Vec<&String> = change.no_longer.iter().map(|(id, _)| id).collect();
    Some(json!({
        "from": mm(first.height),
        "to": mm(second.height),
        "newly": newly,
        "otherwise": otherwise,
        "no_longer": no_longer,
        "minutes": change.minutes,
        "days": change.days.map(|(was, is)| json!({"was": was, "is": is})),
        "pieces": change.pieces,
        "limits": change.limits,
        "stops": change.stops,
    }))
}

fn tyre(tyre: &Tyre) -> Value {
    json!({
        "size": tyre.wanted.size,
        "diameter": mm(tyre.wanted.diameter),
        "before": tyre.wanted.before,
        "diameter_before": mm(tyre.wanted.diameter_before),
        "half_the_difference": mm(tyre.half),
        "height": tyre.height.map(mm),
        "by": match tyre.by {
            By::Gap => "gap measured",
            By::HalfTheDifference => "half the difference in diameter",
        },
        "instead_of": tyre.instead_of,
    })
}
