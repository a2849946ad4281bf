//! The heights for other programs, in millimetres and minutes whatever `--units` says. The shape is described in the manual, `plan-json`.

use serde_json::{Map, Value, json};

use super::totals::{Days, Totals};
use super::{AskedHeights, AtHeight, Bar, Bars, By, Height, Heights, Tyre, change};
use crate::quantity::Unit;
use crate::rules::Verdict;

/// The heights as members of a JSON object.
pub(crate) fn to_json(heights: &Heights) -> Map<String, Value> {
    let AskedHeights { from, to, step, .. } = heights.asked;
    let links: Vec<Value> = heights.links.iter().map(link).collect();
    let own = heights.own_blocks.iter();
    let own: Map<String, Value> = own.map(|(id, more)| (id.clone(), mm(*more))).collect();
    let mut object = Map::new();
    object.insert(
        "range".to_owned(),
        json!({"from": mm(from), "to": mm(to), "step": mm(step)}),
    );
    object.insert("own_height".to_owned(), mm(heights.own));
    object.insert("own_blocks".to_owned(), json!(own));
    object.insert("links".to_owned(), json!(links));
    object.insert("heights".to_owned(), of_heights(heights));
    object.insert("steps".to_owned(), steps(heights));
    object.insert("tyre".to_owned(), json!(heights.tyre.as_ref().map(tyre)));
    object
}

fn mm(value: f64) -> Value {
    json!({"value": value, "unit": Unit::Mm.code()})
}

fn link(link: &Bars) -> Value {
    let bars: Vec<Value> = link.bars.iter().map(bar).collect();
    json!({"id": link.id, "title": link.title, "area": link.area.word(), "bars": bars})
}

fn bar(bar: &Bar) -> Value {
    let mut value = json!({
        "from": mm(bar.from),
        "to": mm(bar.to),
        "verdict": verdict(&bar.standing),
        "work": bar.standing.work,
    });
    let key = match bar.standing.verdict {
        Some(_) => "decided_by",
        None => "problem",
    };
    put(&mut value, key, json!(bar.standing.decided_by));
    value
}

fn verdict(standing: &AtHeight) -> Option<&'static str> {
    standing.verdict.map(Verdict::word)
}

fn of_heights(heights: &Heights) -> Value {
    let all = heights.heights.iter();
    let all: Vec<Value> = all.map(height).collect();
    json!(all)
}

fn height(height: &Height) -> Value {
    let mut value = match &height.planned {
        Ok(totals) => planned(totals),
        Err(problems) => json!({"problems": problems}),
    };
    put(&mut value, "height", mm(height.height));
    put(&mut value, "own", json!(height.own));
    put(&mut value, "tyre", json!(height.tyre));
    value
}

/// Puts a field into an object.
fn put(object: &mut Value, key: &str, value: Value) {
    if let Value::Object(fields) = object {
        fields.insert(key.to_owned(), value);
    }
}

fn planned(totals: &Totals) -> Value {
    let worked: Vec<&String> = totals.worked().map(|(id, _)| id).collect();
    let limits = totals.limits.iter();
    let limits: Vec<Value> = limits
        .map(|limit| json!({"id": limit.id, "title": limit.title, "verdict": limit.verdict.word()}))
        .collect();
    json!({
        "links": worked,
        "minutes": totals.minutes,
        "days": totals.days.map(days),
        "parts": {"kinds": totals.parts.kinds, "pieces": totals.parts.pieces},
        "limits": limits,
        "limits_not_checked": totals.not_checked,
        "stops": totals.stops,
        "provisional": totals.provisional,
        "problems": [],
    })
}

fn days(days: Days) -> Value {
    json!({"fitter": days.fitter, "fitter+apprentice": days.with_apprentice})
}

/// From each height to the next.
fn steps(heights: &Heights) -> Value {
    let pairs = heights.heights.windows(2);
    let steps: Vec<Value> = pairs.filter_map(step).collect();
    json!(steps)
}

fn step(pair: &[Height]) -> Option<Value> {
    let [first, second] = pair else { return None };
    let (Ok(before), Ok(after)) = (&first.planned, &second.planned) else {
        return None;
    };
    let change = change(before, after);
    let newly = change.newly.iter();
    let newly: Vec<Value> = newly
        .map(|(id, _, standing)| json!({"id": id, "verdict": verdict(standing)}))
        .collect();
    let otherwise = change.otherwise.iter();
    let otherwise: Vec<Value> = otherwise
        .map(|(id, _, was, is)| json!({"id": id, "was": verdict(was), "verdict": verdict(is)}))
        .collect();
    let no_longer: Vec<&String> = change.no_longer.iter().map(|(id, _)| id).collect();
    Some(json!({
        "from": mm(first.height),
        "to": mm(second.height),
        "newly": newly,
        "otherwise": otherwise,
        "no_longer": no_longer,
        "minutes": change.minutes,
        "days": change.days.map(|(was, is)| json!({"was": days(was), "is": days(is)})),
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
