//! The new mounting bolt as a calculation of the registry: its inputs, results, formulas, and where the length to order steps
//! inside a tolerance box. The lengths themselves are left to the parent module.

use super::super::bolt_length::{between, thread_length};
use super::super::spec::SIZE;
use super::super::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, Range, ResultSpec, Role,
    Spans, Value, Window, take,
};
use super::{End, Joint, Stack, StackResults, stack};
use crate::calc::thread::Thread;
use crate::quantity::Unit;

pub(in super::super) const CALCULATION: Calculation = Calculation {
    name: "stack",
    title: "how long the new mounting bolt is, and whether it bottoms",
    source: "ISO 4014 and ISO 4032 as package data and copies have them; inch lengths from memory; \
             protrusion: US Naval Ships' Technical Manual, chapter 075, as quoted",
    inputs: &[
        InputSpec::other(
            "joint",
            InputKind::Choice(&["nut", "captive"]),
            "a nut of its own, or a captive nut or tapped hole",
        ),
        InputSpec::other(
            "thread",
            InputKind::Text,
            "thread, such as M12, M12x1.25 or 1/2-13",
        ),
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
    let needs = |name: &'static str, joint: &str| {
        take::maybe(inputs, name)
            .ok_or_else(|| take::missing(name, format!("above 0, in mm, for a {joint}")))
    };
    let joint = if take::word(inputs, "joint")? == "nut" {
        Joint::Nut {
            grip: needs("grip", "nut")?,
            nut_height: take::maybe(inputs, "nut_height"),
            threads_out: take::number(inputs, "threads_out")?,
        }
    } else {
        Joint::Captive {
            grip: take::maybe(inputs, "grip"),
            bolt_length: needs("bolt_length", "captive nut")?,
            engagement: needs("engagement", "captive nut")?,
            blind_depth: take::maybe(inputs, "blind_depth"),
            least_engagement: take::maybe(inputs, "least_engagement"),
        }
    };
    Ok(Stack {
        thread: Thread::read(take::word(inputs, "thread")?)?,
        joint,
        spacer: take::number(inputs, "spacer")?,
        washers: take::number(inputs, "washers")?,
        window: take::maybe(inputs, SIZE[0]).map(|wanted| Window {
            wanted,
            least: take::maybe(inputs, SIZE[1]).unwrap_or(Window::OPEN.least),
            most: take::maybe(inputs, SIZE[2]).unwrap_or(Window::OPEN.most),
        }),
    })
}

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let given = given(inputs)?;
    let found = stack(&given)?;
    let mut results: Vec<(&'static str, Value)> = Vec::with_capacity(16);
    results.extend(found.grip_after.map(|grip| ("grip_after", grip.into())));
    results.push(("needed_length", found.needed_length.into()));
    results.push(("least_length", found.least_length.into()));
    results.push(("most_length", found.most_length.into()));
    results.push(("order_length", found.order_length.into()));
    let range = found.in_commercial_range;
    results.extend(range.map(|yes| ("in_commercial_range", yes.into())));
    results.push(("extra", found.extra.into()));
    results.push(("thread_length", found.thread_length.into()));
    results.push(("plain_shank", found.plain_shank.into()));
    results.extend(found.nut_reaches.map(|yes| ("nut_reaches", yes.into())));
    results.extend(end_results(&found.end));
    Ok(Found {
        results,
        formulas: formulas(&given, &found),
    })
}

fn end_results(end: &End) -> Vec<(&'static str, Value)> {
    match *end {
        End::Out {
            protrusion,
            protruding_threads,
            ..
        } => vec![
            ("protrusion", protrusion.into()),
            ("protruding_threads", protruding_threads.into()),
        ],
        End::In {
            engagement_after,
            bottoms_out,
            fix,
        } => {
            let mut results = vec![("engagement_after", engagement_after.into())];
            results.extend(bottoms_out.map(|yes| ("bottoms_out", yes.into())));
            results.extend(fix.map(|fix| ("washer_fix", fix.washer.into())));
            if let Some(shorter) = fix.and_then(|fix| fix.shorter) {
                results.push(("order_shorter", shorter.length.into()));
                results.push(("engagement_shorter", shorter.engagement.into()));
                results.push(("shorter_allowed", shorter.allowed.into()));
            }
            results
        }
    }
}

/// The formulas of the window; `b` is the thread length of the shortest bolt, by the standard.
fn window_formulas(given: &Stack, found: &StackResults) -> Vec<Formula> {
    let own = match given.joint {
        Joint::Nut { .. } => vec![Formula::of("least_length", "needed_length")],
        Joint::Captive { .. } => vec![
            Formula::step(
                "least",
                "thread that must be engaged",
                least_engagement(given),
                Unit::Mm,
            )
            .in_words(),
            Formula::of("least_length", "needed_length − engagement + least"),
        ],
    };
    let tip = match given.joint {
        Joint::Nut { .. } => Some("grip_after + nut + 10·P"),
        Joint::Captive { blind_depth, .. } => blind_depth.map(|_| "needed_length + blind_depth"),
    };
    let shank = found
        .grip_after
        .map(|_| thread_length(given.thread, found.least_length));
    let b =
        shank.map(|b| Formula::step("b", "thread length of the shortest", b, Unit::Mm).in_words());
    let most = match (tip, shank.is_some()) {
        (Some("grip_after + nut + 10·P"), true) => "min(grip_after + nut + 10·P, grip_after + b)",
        (Some(_), true) => "min(needed_length + blind_depth, grip_after + b)",
        (Some(tip), false) => tip,
        (None, true) => "grip_after + b",
        (None, false) => "none: the nut is open beyond the tip",
    };
    let most = Formula {
        in_words: found.most_length.is_none(),
        ..Formula::of("most_length", most)
    };
    own.into_iter().chain(b).chain([most]).collect()
}

fn formulas(given: &Stack, found: &StackResults) -> Vec<Formula> {
    let pitch = given.thread.pitch;
    let mut lines = vec![Formula::step("P", "pitch", pitch, Unit::Mm).in_words()];
    if found.grip_after.is_some() {
        lines.push(Formula::of("grip_after", "grip + spacer + washers"));
    }
    match found.end {
        End::Out { nut_height, .. } => lines.extend([
            Formula::step("nut", "height of the nut", nut_height, Unit::Mm).in_words(),
            Formula::of("needed_length", "grip_after + nut + threads_out·P"),
        ]),
        End::In { .. } => {
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
        Formula::of("order_length", order).in_words(),
        Formula::of("extra", "order_length − needed_length"),
        Formula::of("thread_length", "by the standard for order_length").in_words(),
        Formula::of("plain_shank", "max(0, order_length − thread_length)"),
    ]);
    if found.in_commercial_range.is_some() {
        lines.push(Formula::of("in_commercial_range", "by the table for order_length").in_words());
    }
    if found.nut_reaches.is_some() {
        lines.push(Formula::of("nut_reaches", "plain_shank ≤ grip_after"));
    }
    lines.extend(end_formulas(&found.end, given.window.is_some()));
    lines
}

fn end_formulas(end: &End, within: bool) -> Vec<Formula> {
    let End::In {
        bottoms_out, fix, ..
    } = end
    else {
        return vec![
            Formula::of("protrusion", "order_length − grip_after − nut"),
            Formula::of("protruding_threads", "protrusion/P"),
        ];
    };
    let mut lines = vec![Formula::of("engagement_after", "engagement + extra")];
    if bottoms_out.is_some() {
        lines.push(Formula::of("bottoms_out", "extra > blind_depth"));
    }
    if let Some(fix) = fix {
        let washer = Formula::of("washer_fix", "extra − blind_depth");
        let within = within.then(|| {
            Formula::of(
                "washer_fix",
                "the most of extra − blind_depth within the tolerances",
            )
            .in_words()
        });
        lines.push(within.unwrap_or(washer));
        if fix.shorter.is_some() {
            lines.push(
                Formula::of(
                    "order_shorter",
                    "next length of the series below order_length",
                )
                .in_words(),
            );
            lines.push(Formula::of(
                "engagement_shorter",
                "engagement − (needed_length − order_shorter)",
            ));
            lines.push(Formula::of("shorter_allowed", "engagement_shorter ≥ least"));
        }
    }
    lines
}

fn least_engagement(given: &Stack) -> f64 {
    match given.joint {
        Joint::Captive {
            least_engagement: Some(least),
            ..
        } => least,
        _ => given.thread.diameter,
    }
}

/// The length to order steps wherever the length needed passes a length of the series.
fn turning(inputs: &Inputs, spans: &Spans) -> Vec<(&'static str, f64)> {
    let Ok(given) = given(inputs) else {
        return Vec::new();
    };
    let Ok(found) = stack(&given) else {
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
        let needed = |value: f64| found.needed_length + weight * (value - now);
        for length in between(given.thread, needed(least), needed(most)) {
            let level = now + (length - found.needed_length) / weight;
            turns.push((name, level));
            turns.push((name, level + 3e-9 / weight));
        }
        turns.extend(bottoming(&given, &found, weight, now).map(|level| (name, level)));
    }
    turns
}

/// Where the bolt only just bottoms.
fn bottoming(given: &Stack, found: &StackResults, weight: f64, now: f64) -> Option<f64> {
    match given.joint {
        Joint::Captive {
            blind_depth: Some(depth),
            ..
        } => Some(now + (found.extra - depth) / weight - 1e-9),
        _ => None,
    }
}
