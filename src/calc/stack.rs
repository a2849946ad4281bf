//! The new mounting bolt: how long it must be, which length to order, and whether it bottoms. Takes the joint as it is and
//! what is added to it; gives lengths. A bolt that bottoms shows full torque and clamps nothing: saying so is left to the
//! sheet; strength and torque are left to `bolt`.

use super::bolt_length::{in_commercial_range, nut_height, order_length, shorter, thread_length};
use super::thread::Thread;
use super::{CalcError, Window, take};

mod adapt;
pub(super) use adapt::CALCULATION;

/// A mounting bolt and what is added to its joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// The thread.
    pub thread: Thread,
    /// What it screws into.
    pub joint: Joint,
    /// Spacer added, mm.
    pub spacer: f64,
    /// Washers added, mm.
    pub washers: f64,
    /// What serves at every point of a tolerance box that this is one point of; none where it stands alone.
    pub window: Option<Window>,
}

/// What a mounting bolt screws into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Joint {
    /// A nut of its own.
    Nut {
        /// Clamped thickness now, mm.
        grip: f64,
        /// Height of the nut, mm; of ISO 4032 when none.
        nut_height: Option<f64>,
        /// Threads that must stand out of the nut.
        threads_out: f64,
    },
    /// A captive nut or a tapped hole.
    Captive {
        /// Clamped thickness now, mm, when known.
        grip: Option<f64>,
        /// Length of the bolt now, mm.
        bolt_length: f64,
        /// Thread engaged now, mm.
        engagement: f64,
        /// Free thread beyond the tip now, mm; none when it is open or not known.
        blind_depth: Option<f64>,
        /// Thread that must be engaged, mm; one diameter when none.
        least_engagement: Option<f64>,
    },
}

/// The new mounting bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackResults {
    /// Clamped thickness after, mm; none when the grip is not known.
    pub grip_after: Option<f64>,
    /// Length needed, mm.
    pub needed_length: f64,
    /// The shortest bolt that serves, mm.
    pub least_length: f64,
    /// The longest bolt that serves, mm; none where nothing stops its tip and the grip is not known.
    pub most_length: Option<f64>,
    /// Length to order, mm.
    pub order_length: f64,
    /// Whether that is in the commercial range of the size; none for inch threads.
    pub in_commercial_range: Option<bool>,
    /// What it is longer than needed, mm.
    pub extra: f64,
    /// Thread length b, mm.
    pub thread_length: f64,
    /// Plain shank, mm; 0 for a bolt threaded to its head.
    pub plain_shank: f64,
    /// Whether the nut clamps before it runs out of thread; none when the grip is not known.
    pub nut_reaches: Option<bool>,
    /// What depends on the joint.
    pub end: End,
}

/// The tip of the new bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// Out of a nut.
    Out {
        /// Height of the nut used, mm.
        nut_height: f64,
        /// Bolt beyond the nut, mm.
        protrusion: f64,
        /// The same in threads: 1 at least, 5 where practicable, 10 never exceeded.
        protruding_threads: f64,
    },
    /// Inside a captive nut or tapped hole.
    In {
        /// Thread engaged after, mm.
        engagement_after: f64,
        /// Whether it bottoms; none when the depth is not known.
        bottoms_out: Option<bool>,
        /// What to do when it bottoms; none when it does not.
        fix: Option<Fix>,
    },
}

/// Ways out for a bolt that bottoms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// Washer to add, mm.
    pub washer: f64,
    /// The shorter bolt; none below the series.
    pub shorter: Option<ShorterBolt>,
}

/// The next shorter bolt in place of one that bottoms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShorterBolt {
    /// Its length, mm.
    pub length: f64,
    /// Thread it engages, mm.
    pub engagement: f64,
    /// Whether that is enough.
    pub allowed: bool,
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
/// use liftsheet::calc::{stack::{End, Joint, Stack, stack}, thread::Thread};
/// let found = stack(&Stack {
///     thread: Thread::read("M12").unwrap(),
///     joint: Joint::Nut { grip: 45.0, nut_height: None, threads_out: 2.0 },
///     spacer: 50.0,
///     washers: 5.0,
///     window: None,
/// }).unwrap();
/// assert!((found.needed_length - 114.3).abs() < 1e-9);
/// assert_eq!((found.order_length, found.thread_length, found.plain_shank), (120.0, 30.0, 90.0));
/// assert_eq!((found.least_length, found.most_length), (found.needed_length, Some(128.3)));
/// assert!(matches!(found.end, End::Out { protruding_threads, .. } if (protruding_threads - 5.257).abs() < 5e-4));
/// ```
pub fn stack(given: &Stack) -> Result<StackResults, CalcError> {
    let added = given.spacer + given.washers;
    let (grip_after, needed, nut) = match given.joint {
        Joint::Nut {
            grip,
            nut_height,
            threads_out,
        } => {
            let height = nut_of(given.thread, nut_height)?;
            let after = grip + added;
            let needed = after + height + threads_out * given.thread.pitch;
            (Some(after), needed, height)
        }
        Joint::Captive {
            grip, bolt_length, ..
        } => (grip.map(|grip| grip + added), bolt_length + added, 0.0),
    };
    let (least, most) = window(given, grip_after, needed, nut);
    let wanted = given.window.map_or(needed, |all| all.wanted.max(needed));
    let order = order_length(given.thread, wanted).ok_or_else(|| too_long(wanted))?;
    let thread_length = thread_length(given.thread, order);
    let plain_shank = (order - thread_length).max(0.0);
    let extra = order - needed;
    Ok(StackResults {
        grip_after,
        needed_length: needed,
        least_length: least,
        most_length: most,
        order_length: order,
        in_commercial_range: in_commercial_range(given.thread, order),
        extra,
        thread_length,
        plain_shank,
        nut_reaches: grip_after.map(|after| plain_shank <= after),
        end: end(given, grip_after, needed, order, nut),
    })
}

/// Threads that stand out of a nut at the most.
const MOST_THREADS_OUT: f64 = 10.0;

/// The shortest and the longest bolt that serves.
fn window(given: &Stack, grip_after: Option<f64>, needed: f64, nut: f64) -> (f64, Option<f64>) {
    let (least, tip) = match given.joint {
        Joint::Nut { .. } => {
            let most = grip_after.map(|after| after + nut + MOST_THREADS_OUT * given.thread.pitch);
            (needed, most)
        }
        Joint::Captive {
            engagement,
            blind_depth,
            least_engagement,
            ..
        } => {
            let kept = least_engagement.unwrap_or(given.thread.diameter);
            (
                needed - engagement + kept,
                blind_depth.map(|depth| needed + depth),
            )
        }
    };
    let shank = grip_after.map(|after| after + thread_length(given.thread, least));
    let most = match (tip, shank) {
        (Some(tip), Some(shank)) => Some(tip.min(shank)),
        (tip, shank) => tip.or(shank),
    };
    (least, most)
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

fn end(given: &Stack, grip_after: Option<f64>, needed: f64, order: f64, nut: f64) -> End {
    let extra = order - needed;
    match given.joint {
        Joint::Nut { .. } => {
            let protrusion = order - grip_after.unwrap_or(0.0) - nut;
            End::Out {
                nut_height: nut,
                protrusion,
                protruding_threads: protrusion / given.thread.pitch,
            }
        }
        Joint::Captive {
            engagement,
            blind_depth,
            least_engagement,
            ..
        } => {
            let least = least_engagement.unwrap_or(given.thread.diameter);
            // How far the tip stands beyond the end of the thread here, or wherever else in the box it does.
            let beyond = |depth: f64| {
                let elsewhere = given.window.map(|all| order - all.most);
                elsewhere.map_or(extra - depth, |other| other.max(extra - depth))
            };
            let bottoms = blind_depth.map(beyond).filter(|beyond| *beyond > 0.0);
            End::In {
                engagement_after: engagement + extra,
                bottoms_out: blind_depth.map(|_| bottoms.is_some()),
                fix: bottoms.map(|washer| Fix {
                    washer,
                    shorter: shorter(given.thread, order).map(|length| {
                        let engagement = engagement - (needed - length);
                        let everywhere = given.window.is_none_or(|all| length >= all.least);
                        ShorterBolt {
                            length,
                            engagement,
                            allowed: engagement >= least && everywhere,
                        }
                    }),
                }),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn captive(spacer: f64, blind_depth: Option<f64>) -> StackResults {
        stack(&Stack {
            thread: Thread::read("M12").unwrap(),
            joint: Joint::Captive {
                grip: None,
                bolt_length: 85.0,
                engagement: 14.0,
                blind_depth,
                least_engagement: None,
            },
            spacer,
            washers: 0.0,
            window: None,
        })
        .unwrap()
    }

    #[test]
    fn a_captive_bolt_that_bottoms_needs_a_washer_when_the_shorter_one_is_too_short() {
        let found = captive(50.0, Some(3.0));
        assert_eq!(
            (found.needed_length, found.order_length, found.extra),
            (135.0, 140.0, 5.0)
        );
        let End::In {
            engagement_after,
            bottoms_out,
            fix,
        } = found.end
        else {
            panic!("a captive nut has its bolt's end inside")
        };
        assert_eq!((engagement_after, bottoms_out), (19.0, Some(true)));
        let fix = fix.unwrap();
        assert!((fix.washer - 2.0).abs() < 1e-9);
        let shorter = fix.shorter.unwrap();
        assert_eq!(
            (shorter.length, shorter.engagement, shorter.allowed),
            (130.0, 9.0, false)
        );
    }

    #[test]
    fn an_open_captive_nut_cannot_be_bottomed() {
        let open = captive(50.0, None).end;
        assert!(matches!(
            open,
            End::In {
                bottoms_out: None,
                fix: None,
                ..
            }
        ));
        let deep = captive(50.0, Some(8.0)).end;
        assert!(matches!(
            deep,
            End::In {
                bottoms_out: Some(false),
                fix: None,
                ..
            }
        ));
    }

    #[test]
    fn a_nut_must_reach_thread() {
        let short_grip = stack(&Stack {
            thread: Thread::read("M8").unwrap(),
            joint: Joint::Nut {
                grip: 20.0,
                nut_height: Some(30.0),
                threads_out: 2.0,
            },
            spacer: 10.0,
            washers: 0.0,
            window: None,
        })
        .unwrap();
        assert_eq!(
            (short_grip.order_length, short_grip.plain_shank),
            (65.0, 43.0)
        );
        assert_eq!(short_grip.nut_reaches, Some(false));
    }

    #[test]
    fn a_joint_beyond_the_series_and_an_unmeasured_inch_nut_are_refused() {
        let ask = |thread: &str, grip: f64| {
            stack(&Stack {
                thread: Thread::read(thread).unwrap(),
                joint: Joint::Nut {
                    grip,
                    nut_height: None,
                    threads_out: 2.0,
                },
                spacer: 50.0,
                washers: 0.0,
                window: None,
            })
        };
        assert_eq!(ask("M12", 600.0).unwrap_err().input, "spacer");
        assert_eq!(ask("1/2-13", 45.0).unwrap_err().input, "nut_height");
    }
}
