//! Whether the places of the mounts agree with one another and with their names. A minus sign that was lost puts a mount on the other
//! side, and everything worked out from it with it.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::job::{Mount, Side};
use crate::report::{Code, Problem};

/// Mounts of one body stand farther apart than this, or their blocks would touch, mm (common practice).
const APART: f64 = 50.0;
/// Mounts farther than this from the middle of the vehicle are clearly beside it, mm.
const BESIDE: f64 = 100.0;

/// Reports mounts of a body that stand in one place, on the side that their name does not say, or all on one side of the
/// vehicle while another body's are not.
pub(super) fn check(mounts: &BTreeMap<String, Mount>, fields: &mut Fields<'_>) {
    let mut bodies: BTreeMap<&str, Vec<(&str, &Mount)>> = BTreeMap::new();
    for (id, mount) in mounts {
        bodies.entry(&mount.group).or_default().push((id, mount));
    }
    for (body, mounts) in &bodies {
        let before = fields.report.problems.len();
        sides(body, mounts, fields);
        // Two in one place are often one on the wrong side, which says more.
        if fields.report.problems.len() == before {
            coincide(body, mounts, fields);
        }
    }
    one_sided(&bodies, fields);
}

fn coincide(body: &str, mounts: &[(&str, &Mount)], fields: &mut Fields<'_>) {
    for (number, (id, mount)) in mounts.iter().enumerate() {
        let near = |other: &&(&str, &Mount)| apart(mount, other.1) < APART;
        let Some((other, first)) = mounts.iter().take(number).find(near) else {
            continue;
        };
        let apart = apart(mount, first).round();
        let message = format!(
            "mounts `{other}` and `{id}` of `{body}` stand in one place, {apart} mm from one another"
        );
        let problem = Problem::error(Code::SamePlace, message)
            .at(fields.place(&mount.path.key("at")))
            .related(fields.place(&first.path.key("at")), "the other")
            .help("look at the signs of their places: x is forward, y to the left, z up");
        fields.report.push(problem);
    }
}

/// How far two mounts are from one another in plan, mm.
fn apart(one: &Mount, other: &Mount) -> f64 {
    (one.at[0] - other.at[0]).hypot(one.at[1] - other.at[1])
}

/// Of two mounts whose names differ in nothing but one `L` and `R`, or `left` and `right`, the first stands left of the second, on its own
/// side of the middle between the outermost mounts of the body.
fn sides(body: &str, mounts: &[(&str, &Mount)], fields: &mut Fields<'_>) {
    let across = mounts.iter().map(|(_, mount)| mount.at[1]);
    let left = across.clone().fold(f64::NEG_INFINITY, f64::max);
    let middle = f64::midpoint(left, across.fold(f64::INFINITY, f64::min));
    let is_right = |mount: &Mount| mount.at[1] < middle;
    for (left_id, left) in mounts {
        let names = other_side(left_id);
        let pair = mounts
            .iter()
            .find(|(id, _)| names.iter().any(|name| name == id));
        let Some((right_id, right)) = pair else {
            continue;
        };
        let (id, wrong, other, word) = match (is_right(left), is_right(right)) {
            (false, true) => continue,
            (true, _) => (*left_id, left, right, Side::Left.word()),
            (false, false) => (*right_id, right, left, Side::Right.word()),
        };
        let message =
            format!("mount `{id}` does not stand on the {word} side of `{body}`, as its name says");
        let problem = Problem::error(Code::WrongSide, message)
            .at(fields.place(&wrong.path.key("at")))
            .related(fields.place(&other.path.key("at")), "its pair")
            .help("look at the sign of y, which is to the left: left mounts have more of it than right ones");
        fields.report.push(problem);
    }
}

/// The names with one word for left turned into that for right: `M3L` → `M3R`, `rear-left` → `rear-right`.
fn other_side(id: &str) -> Vec<String> {
    let words = [
        ("left", "right"),
        ("Left", "Right"),
        ("LEFT", "RIGHT"),
        ("L", "R"),
        ("l", "r"),
    ];
    let turned = words.iter().flat_map(|(left, right)| {
        id.match_indices(left).filter_map(move |(at, _)| {
            let (before, rest) = id.split_at_checked(at)?;
            Some(format!("{before}{right}{}", rest.strip_prefix(left)?))
        })
    });
    turned.collect()
}

/// Where the places of one body show that they count from the middle of the vehicle, every body has mounts on both sides of it.
fn one_sided(bodies: &BTreeMap<&str, Vec<(&str, &Mount)>>, fields: &mut Fields<'_>) {
    let has = |mounts: &[(&str, &Mount)], side: Side, from: f64| {
        mounts.iter().any(|(_, mount)| match side {
            Side::Left => mount.at[1] > from,
            Side::Right => mount.at[1] < -from,
        })
    };
    let both = |mounts: &[(&str, &Mount)]| {
        has(mounts, Side::Left, BESIDE) && has(mounts, Side::Right, BESIDE)
    };
    let Some((_, Some((_, example)))) = bodies
        .values()
        .find(|mounts| both(mounts))
        .map(|mounts| (mounts, mounts.first()))
    else {
        return;
    };
    for (body, mounts) in bodies {
        for side in [Side::Left, Side::Right] {
            let Some((_, first)) = mounts.first().filter(|_| !has(mounts, side, 0.0)) else {
                continue;
            };
            let word = side.word();
            let message = format!("no mount of `{body}` stands {word} of the vehicle's middle");
            let problem = Problem::error(Code::OneSided, message)
                .at(fields.place(&first.path.key("at")))
                .related(fields.place(&example.path.key("at")), "this body has mounts on both sides")
                .help("y counts to the left from one place for all mounts: where that is the middle, those on the right have a minus");
            fields.report.push(problem);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_for_the_left_has_one_for_the_right() {
        assert_eq!(other_side("M3L"), ["M3R"]);
        assert_eq!(other_side("RL"), ["RR"]);
        assert_eq!(other_side("rear-left"), ["rear-right", "rear-reft"]);
        assert_eq!(other_side("LL1"), ["RL1", "LR1"]);
        assert!(other_side("M3").is_empty());
    }
}
