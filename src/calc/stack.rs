//! The new mounting bolt: how long it must be, which length to order, and whether it bottoms. Takes the joint as it is and
//! what is added to it; gives lengths. A bolt that bottoms shows full torque and clamps nothing: saying so is left to the
//! sheet; strength and torque are left to `bolt`.

use super::bolt_length::{
    between, in_commercial_range, nut_height, order_length, shorter, thread_length,
};
use super::spec::SIZE;
use super::thread::Thread;
use super::{
    CalcError, Calculation, Formula, Found, InputSpec, Inputs, Range, ResultSpec, Role, Spans,
    Value, Window, take,
};
use crate::quantity::Unit;

/// A mounting bolt and what is added to its joint.
struct Stack {
    thread: Thread,
    joint: Joint,
    /// Spacer and washers added, mm.
    added: f64,
    /// What serves at every point of a tolerance box that this is one point of; none where it stands alone.
    window: Option<Window>,
}

/// What a mounting bolt screws into, lengths in mm.
enum Joint {
    /// A nut of its own.
    Nut {
        grip: f64,
        /// Of ISO 4032 when none.
        nut_height: Option<f64>,
        threads_out: f64,
    },
    /// A captive nut or a tapped hole.
    Captive {
        grip: Option<f64>,
        bolt_length: f64,
        engagement: f64,
        /// None when it is open or not known.
        blind_depth: Option<f64>,
        /// One diameter when none.
        least_engagement: Option<f64>,
    },
}

/// The lengths of the new bolt and its joint, mm.
struct Lengths {
    /// None when the grip is not known.
    grip_after: Option<f64>,
    needed: f64,
    least: f64,
    /// None where nothing stops its tip and the grip is not known.
    most: Option<f64>,
    order: f64,
    /// Height of a nut of its own, else 0.
    nut: f64,
    /// Thread that must be engaged in a captive nut, else 0.
    kept: f64,
}

/// Threads that stand out of a nut at the most.
const MOST_THREADS_OUT: f64 = 10.0;

pub(super) const CALCULATION: Calculation = Calculation {
    name: "stack",
    title: "how long the new mounting bolt is, and whether it bottoms",
    source: "ISO 4014 and ISO 4032 as package data and copies have them; inch lengths from memory; \
             protrusion: US Naval Ships' Technical Manual, chapter 075, as quoted",
    inputs: &[
        InputSpec::choice(
            "joint",
            &["nut", "captive"],
            "a nut of its own, or a captive nut or tapped hole",
        ),
        InputSpec::text("thread", "thread, such as M12, M12x1.25 or 1/2-13"),
        InputSpec::length("grip", "clamped thickness now; needed for a nut").optional(),
        InputSpec::length("spacer", "spacer added"),
        InputSpec::length_or_zero("washers", "washers added").or(0.0),
        InputSpec::length("nut_height", "nut: its height, of ISO 4032 when left out").optional(),
        InputSpec::number(
            "threads_out",
            Unit::One,
            Range::NotNegative,
            "nut: threads that must stand out of it",
        )
        .or(2.0),
        InputSpec::length("bolt_length", "captive: length of the bolt now").optional(),
        InputSpec::length("engagement", "captive: thread engaged now").optional(),
        InputSpec::length_or_zero("blind_depth", "captive: free thread beyond the tip now")
            .optional(),
        InputSpec::length(
            "least_engagement",
            "captive: thread that must be engaged, one diameter when left out",
        )
        .optional(),
        InputSpec::length(
            SIZE[0],
            "other points of the tolerances: the longest bolt that one of them needs",
        )
        .optional(),
        InputSpec::length(
            SIZE[1],
            "other points of the tolerances: the shortest bolt that serves at all of them",
        )
        .optional(),
        InputSpec::length(
            SIZE[2],
            "other points of the tolerances: the longest bolt that serves at all of them",
        )
        .optional(),
    ],
    results: &[
        ResultSpec::length("grip_after", "clamped thickness after").may_be_absent(),
        ResultSpec::length("needed_length", "length needed").role(Role::Wanted),
        ResultSpec::length("least_length", "the shortest bolt that serves").role(Role::Least),
        ResultSpec::length("most_length", "the longest bolt that serves")
            .may_be_absent()
            .role(Role::Most),
        ResultSpec::length("order_length", "length to order").role(Role::Made),
        ResultSpec::answer("in_commercial_range", "whether that size is commonly made")
            .may_be_absent(),
        ResultSpec::answer("special_order", "whether it is known not to be"),
        ResultSpec::length("extra", "what it is longer than needed"),
        ResultSpec::length("thread_length", "its thread length"),
        ResultSpec::length("plain_shank", "its plain shank"),
        ResultSpec::answer(
            "nut_reaches",
            "whether the nut clamps before the thread ends",
        )
        .may_be_absent(),
        ResultSpec::length("protrusion", "nut: bolt beyond it").may_be_absent(),
        ResultSpec::ratio("protruding_threads", "nut: the same in threads").may_be_absent(),
        ResultSpec::length("engagement_after", "captive: thread engaged after").may_be_absent(),
        ResultSpec::answer("bottoms_out", "captive: whether the bolt bottoms").may_be_absent(),
        ResultSpec::length("washer_fix", "when it bottoms: washer to add").may_be_absent(),
        ResultSpec::length("order_shorter", "when it bottoms: the shorter bolt").may_be_absent(),
        ResultSpec::length("engagement_shorter", "thread the shorter bolt engages").may_be_absent(),
        ResultSpec::answer("shorter_allowed", "whether that is enough").may_be_absent(),
    ],
    run: adapt,
    turning,
};

fn given(inputs: &Inputs) -> Result<Stack, CalcError> {
    let joint = if take::word(inputs, "joint")? == "nut" {
        Joint::Nut {
            grip: take::needed(inputs, "grip", "for a nut")?,
            nut_height: take::maybe(inputs, "nut_height"),
            threads_out: take::number(inputs, "threads_out")?,
        }
    } else {
        Joint::Captive {
            grip: take::maybe(inputs, "grip"),
            bolt_length: take::needed(inputs, "bolt_length", "for a captive nut")?,
            engagement: take::needed(inputs, "engagement", "for a captive nut")?,
            blind_depth: take::maybe(inputs, "blind_depth"),
            least_engagement: take::maybe(inputs, "least_engagement"),
        }
    };
    Ok(Stack {
        thread: Thread::read(take::word(inputs, "thread")?)?,
        joint,
        added: take::number(inputs, "spacer")? + take::number(inputs, "washers")?,
        window: take::maybe(inputs, SIZE[0]).map(|wanted| Window {
            wanted,
            least: take::maybe(inputs, SIZE[1]).unwrap_or(Window::OPEN.least),
            most: take::maybe(inputs, SIZE[2]).unwrap_or(Window::OPEN.most),
        }),
    })
}

/// The lengths of the new bolt: needed, to order, and the window of those that serve.
fn lengths(given: &Stack) -> Result<Lengths, CalcError> {
    let (thread, added) = (given.thread, given.added);
    let (grip_after, needed, least, tip, nut, kept) = match given.joint {
        Joint::Nut {
            grip,
            nut_height,
            threads_out,
        } => {
            let nut = nut_of(thread, nut_height)?;
            let after = grip + added;
            let needed = after + nut + threads_out * thread.pitch;
            let most = after + nut + MOST_THREADS_OUT * thread.pitch;
            (Some(after), needed, needed, Some(most), nut, 0.0)
        }
        Joint::Captive {
            grip,
            bolt_length,
            engagement,
            blind_depth,
            least_engagement,
        } => {
            let needed = bolt_length + added;
            let kept = least_engagement.unwrap_or(thread.diameter);
            let least = needed - engagement + kept;
            let tip = blind_depth.map(|depth| needed + depth);
            (grip.map(|grip| grip + added), needed, least, tip, 0.0, kept)
        }
    };
    let shank = grip_after.map(|after| after + thread_length(thread, least));
    let most = match (tip, shank) {
        (Some(tip), Some(shank)) => Some(tip.min(shank)),
        (tip, shank) => tip.or(shank),
    };
    let wanted = given.window.map_or(needed, |all| all.wanted.max(needed));
    let order = order_length(thread, wanted).ok_or_else(|| too_long(wanted))?;
    Ok(Lengths {
        grip_after,
        needed,
        least,
        most,
        order,
        nut,
        kept,
    })
}

fn nut_of(thread: Thread, given: Option<f64>) -> Result<f64, CalcError> {
    given.or_else(|| nut_height(thread)).ok_or_else(|| {
        take::missing(
            "nut_height",
            format!(
                "above 0, in mm, measured on the nut of the inch thread {}",
                thread.name
            ),
        )
    })
}

fn too_long(needed: f64) -> CalcError {
    CalcError::new(
        "spacer",
        format!("part of a joint that needs a bolt of {needed} mm"),
        "a joint that a bolt of the length series closes, up to about 500 mm",
    )
}

/// The new mounting bolt.
///
/// Nut: needed = grip + spacer + washers + `nut_height` + `threads_out·P`. Captive: needed = `bolt_length` + spacer + washers. The order is the
/// next length of the series; extra = order − needed; `engagement_after` = engagement + extra; it bottoms when extra > `blind_depth`.
/// The window of bolts that serve: nut, from needed to `grip_after + nut_height + 10·P`, ten threads standing out; captive, from the length
/// that keeps the least engagement to the one that just does not bottom; and in both no longer than lets thread reach the grip,
/// `grip_after + b` with the thread length b of the shortest. Which made size is ordered is left to the judge, who has the tolerances.
/// All in mm. Fails when no length of the series is long enough, or an inch nut's height is not given.
/// Source: ISO 4014 and ISO 4032 as in [`super::bolt_length`]; protrusion after the US Naval Ships' Technical Manual, chapter 075 (quoted).
///
/// ```
/// use liftsheet::calc::{evaluate, find, read_inputs};
/// let stack = find("stack").unwrap();
/// let given = read_inputs(stack, &["thread=M12", "joint=nut", "grip=45", "threads_out=2", "spacer=50", "washers=5"]).unwrap();
/// let found = evaluate(stack, &given).unwrap();
/// assert_eq!(found.number("order_length"), Some(120.0));
/// assert_eq!(found.number("thread_length"), Some(30.0));
/// assert_eq!(found.number("plain_shank"), Some(90.0));
/// ```
fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let found = lengths(&given)?;
    let thread_length = thread_length(given.thread, found.order);
    let plain_shank = (found.order - thread_length).max(0.0);
    let range = in_commercial_range(given.thread, found.order);
    let reaches = found.grip_after.map(|after| plain_shank <= after);
    let mut results: Vec<(&'static str, Value)> = Vec::with_capacity(16);
    results.extend(found.grip_after.map(|grip| ("grip_after", grip.into())));
    results.push(("needed_length", found.needed.into()));
    results.push(("least_length", found.least.into()));
    results.push(("most_length", found.most.into()));
    results.push(("order_length", found.order.into()));
    results.extend(range.map(|yes| ("in_commercial_range", yes.into())));
    results.push(("special_order", (range == Some(false)).into()));
    results.push(("extra", (found.order - found.needed).into()));
    results.push(("thread_length", thread_length.into()));
    results.push(("plain_shank", plain_shank.into()));
    results.extend(reaches.map(|yes| ("nut_reaches", yes.into())));
    let formulas = formulas(&given, &found, range.is_some());
    let mut told = Found { results, formulas };
    tip(&given, &found, &mut told);
    Ok(told)
}

/// Adds what becomes of the bolt's tip: how far it stands out of a nut of its own, or where it ends in a captive one and the ways out for a
/// bolt that bottoms there.
fn tip(given: &Stack, found: &Lengths, told: &mut Found) {
    let Joint::Captive {
        engagement,
        blind_depth,
        ..
    } = given.joint
    else {
        let protrusion = found.order - found.grip_after.unwrap_or(0.0) - found.nut;
        let threads = protrusion / given.thread.pitch;
        told.results.push(("protrusion", protrusion.into()));
        told.results.push(("protruding_threads", threads.into()));
        told.formulas.extend([
            Formula::of("protrusion", "order_length − grip_after − nut"),
            Formula::of("protruding_threads", "protrusion/P"),
        ]);
        return;
    };
    let extra = found.order - found.needed;
    told.results
        .push(("engagement_after", (engagement + extra).into()));
    told.formulas
        .push(Formula::of("engagement_after", "engagement + extra"));
    let Some(depth) = blind_depth else { return };
    // How far the tip stands beyond the end of the thread here, or wherever else in the box it does.
    let elsewhere = given.window.map(|all| found.order - all.most);
    let beyond = elsewhere.map_or(extra - depth, |other| other.max(extra - depth));
    told.results.push(("bottoms_out", (beyond > 0.0).into()));
    told.formulas
        .push(Formula::of("bottoms_out", "extra > blind_depth"));
    if beyond > 0.0 {
        told.results.push(("washer_fix", beyond.into()));
        told.formulas.push(match given.window {
            None => Formula::of("washer_fix", "extra − blind_depth"),
            Some(_) => Formula::said(
                "washer_fix",
                "the most of extra − blind_depth within the tolerances",
            ),
        });
        shorter_bolt(given, (found, engagement), told);
    }
}

/// Adds the next shorter bolt in place of one that bottoms; nothing below the series.
fn shorter_bolt(given: &Stack, (found, engagement): (&Lengths, f64), told: &mut Found) {
    let Some(length) = shorter(given.thread, found.order) else {
        return;
    };
    let engaged = engagement - (found.needed - length);
    let everywhere = given.window.is_none_or(|all| length >= all.least);
    let allowed = engaged >= found.kept && everywhere;
    told.results.extend([
        ("order_shorter", length.into()),
        ("engagement_shorter", engaged.into()),
        ("shorter_allowed", allowed.into()),
    ]);
    told.formulas.extend([
        Formula::said(
            "order_shorter",
            "next length of the series below order_length",
        ),
        Formula::of(
            "engagement_shorter",
            "engagement − (needed_length − order_shorter)",
        ),
        Formula::of("shorter_allowed", "engagement_shorter ≥ least"),
    ]);
}

/// The formulas of the window; `b` is the thread length of the shortest bolt, by the standard.
fn window_formulas(given: &Stack, found: &Lengths) -> Vec<Formula> {
    let least = Formula::step("least", "thread that must be engaged", found.kept, Unit::Mm);
    // By where the tip ends, alone and beside where the thread begins.
    let (own, tip) = match given.joint {
        Joint::Nut { .. } => (
            vec![Formula::of("least_length", "needed_length")],
            Some([
                "grip_after + nut + 10·P",
                "min(grip_after + nut + 10·P, grip_after + b)",
            ]),
        ),
        Joint::Captive { blind_depth, .. } => (
            vec![
                least.in_words(),
                Formula::of("least_length", "needed_length − engagement + least"),
            ],
            blind_depth.map(|_| {
                [
                    "needed_length + blind_depth",
                    "min(needed_length + blind_depth, grip_after + b)",
                ]
            }),
        ),
    };
    let shank = found
        .grip_after
        .map(|_| thread_length(given.thread, found.least));
    let b = shank.map(|b| Formula::said_step("b", "thread length of the shortest", b, Unit::Mm));
    let most = match (tip, shank.is_some()) {
        (Some([_, lesser]), true) => lesser,
        (Some([alone, _]), false) => alone,
        (None, true) => "grip_after + b",
        (None, false) => "none: the nut is open beyond the tip",
    };
    let most = Formula {
        in_words: found.most.is_none(),
        ..Formula::of("most_length", most)
    };
    own.into_iter().chain(b).chain([most]).collect()
}

fn formulas(given: &Stack, found: &Lengths, has_range: bool) -> Vec<Formula> {
    let pitch = given.thread.pitch;
    let mut lines = vec![Formula::said_step("P", "pitch", pitch, Unit::Mm)];
    if found.grip_after.is_some() {
        lines.push(Formula::of("grip_after", "grip + spacer + washers"));
    }
    match given.joint {
        Joint::Nut { .. } => lines.extend([
            Formula::said_step("nut", "height of the nut", found.nut, Unit::Mm),
            Formula::of("needed_length", "grip_after + nut + threads_out·P"),
        ]),
        Joint::Captive { .. } => {
            lines.push(Formula::of(
                "needed_length",
                "bolt_length + spacer + washers",
            ));
        }
    }
    lines.extend(window_formulas(given, found));
    let order = match given.window {
        None => "next length of the series from needed_length",
        Some(_) => "next length of the series from the longest needed within the tolerances",
    };
    lines.extend([
        Formula::said("order_length", order),
        Formula::of("extra", "order_length − needed_length"),
        Formula::said("thread_length", "by the standard for order_length"),
        Formula::of("plain_shank", "max(0, order_length − thread_length)"),
    ]);
    if has_range {
        lines.push(Formula::said(
            "in_commercial_range",
            "by the table for order_length",
        ));
    }
    let told = if has_range {
        "not in_commercial_range"
    } else {
        "no table for this thread"
    };
    lines.push(Formula::said("special_order", told));
    if found.grip_after.is_some() {
        lines.push(Formula::of("nut_reaches", "plain_shank ≤ grip_after"));
    }
    lines
}

/// The length to order steps wherever the length needed passes a length of the series.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let Ok(found) = lengths(&given) else {
        return Vec::new();
    };
    let mut turns = Vec::new();
    let parts: &[(&'static str, f64)] = match given.joint {
        Joint::Nut { .. } => &[
            ("grip", 1.0),
            ("spacer", 1.0),
            ("washers", 1.0),
            ("nut_height", 1.0),
            ("threads_out", given.thread.pitch),
        ],
        Joint::Captive { .. } => &[("bolt_length", 1.0), ("spacer", 1.0), ("washers", 1.0)],
    };
    for &(name, weight) in parts {
        let (Some((least, most)), Some(now)) = (spans.of(name), take::maybe(inputs, name)) else {
            continue;
        };
        let needed = |value: f64| found.needed + weight * (value - now);
        for length in between(given.thread, needed(least), needed(most)) {
            let level = now + (length - found.needed) / weight;
            turns.push((name, level));
            turns.push((name, level + 3e-9 / weight));
        }
        turns.extend(bottoming(&given, &found, weight, now).map(|level| (name, level)));
    }
    turns
}

/// Where the bolt only just bottoms.
fn bottoming(given: &Stack, found: &Lengths, weight: f64, now: f64) -> Option<f64> {
    match given.joint {
        Joint::Captive {
            blind_depth: Some(depth),
            ..
        } => Some(now + (found.order - found.needed - depth) / weight - 1e-9),
        _ => None,
    }
}
