//! The brief for other programs: a stable, documented JSON shape in canonical units, whatever `--units` says.
//!
//! The shape is described in the manual, `plan-json`.

use serde_json::{Value, json};

use super::{Brief, Consequence, Crewed};
use crate::pipeline::{Made, limit_json};

pub(crate) fn to_json(made: &Made<'_>, brief: &Brief<'_>) -> Value {
    let consequences: Vec<Value> = brief.consequences.iter().map(consequence).collect();
    let crews: Vec<Value> = brief.crews.iter().map(crewed).collect();
    let missing = brief.missing.iter().flat_map(|(_, all)| all);
    let missing: Vec<&str> = missing.map(|one| one.place.as_str()).collect();
    let limits: Vec<Value> = made.assessment.limits.iter().map(limit_json).collect();
    let failed = brief.failed_before.iter();
    let failed: Vec<Value> = failed
        .map(|(on, told)| json!({"on": on, "told": told}))
        .collect();
    let stops = made.assessment.stopping();
    let stops: Vec<&str> = stops.map(|(id, _)| id).collect();
    json!({
        "vehicle": made.job.vehicle.name,
        "provisional": made.plan.provisional,
        "stops": stops,
        "work": brief.work,
        "left_alone": brief.left,
        "gains": gains(brief),
        "consequences": consequences,
        "trades": brief.trades,
        "region": made.job.region,
        "authority": made.assessment.region.map(|region| &region.authority),
        "limits": limits,
        "failed_before": failed,
        "minutes": made.plan.minutes,
        "minutes_failed_before": brief.minutes_failed_before,
        "crews": crews,
        "missing": missing,
    })
}

/// A crew with its days and minutes, or with the reason why there are none.
fn crewed(crewed: &Crewed) -> Value {
    let estimate = crewed.estimate.as_ref();
    json!({
        "with": crewed.with,
        "days": estimate.ok().map(|estimate| estimate.days),
        "minutes": estimate.ok().map(|estimate| json!({
            "low": estimate.range.0,
            "likely": estimate.minutes,
            "high": estimate.range.1,
        })),
        "why_not": estimate.err(),
    })
}

fn gains(brief: &Brief<'_>) -> Value {
    let gains = &brief.gains;
    let tyres = gains.tyres.as_ref();
    json!({
        "blocks": gains.blocks,
        "body": gains.body,
        "axle": tyres.map(|tyres| tyres.axle),
        "tyre_before": tyres.map(|tyres| json!({"size": tyres.before, "diameter": tyres.diameter_before})),
        "tyre_after": tyres.map(|tyres| json!({"size": tyres.after, "diameter": tyres.diameter_after})),
    })
}

fn consequence(consequence: &Consequence<'_>) -> Value {
    let judged = consequence.judged;
    let missing = judged.missing.iter();
    let missing: Vec<&str> = missing.map(|one| one.place.as_str()).collect();
    json!({
        "id": judged.id,
        "title": judged.title,
        "verdict": judged.verdict,
        "trade": judged.trade,
        "told": consequence.told,
        "missing": missing,
    })
}
