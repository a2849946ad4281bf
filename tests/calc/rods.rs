//! Levers that a rod turns, and long bolts as beams, against constructions of their own and handbook sections.

use liftsheet::calc::Evaluation;
use nalgebra::Vector2;
use proptest::prelude::*;

use super::ask::{ask, expect, flag, number};

/// A lever and its rod.
#[derive(Clone, Copy)]
struct Rod {
    arm: f64,
    slope: f64,
    rod: f64,
    lean: f64,
    lever_rises: bool,
    rise: f64,
}

fn rod(given: Rod) -> Evaluation {
    let Rod {
        arm,
        slope,
        rod,
        lean,
        lever_rises,
        rise,
    } = given;
    let pivot = if lever_rises { "body" } else { "chassis" };
    let lever = format!("arm={arm} slope={slope} rod={rod} lean={lean} pivot_on={pivot}");
    ask("rod", &format!("{lever} turn_limit=180 rise={rise}"))
}

/// The ball's place after the move by following it in small steps (Newton on both lengths), which knows nothing of circles that meet.
fn followed(given: &Rod) -> Option<f64> {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Vector2::new(given.arm * cos, given.arm * sin)
    };
    let (sin, cos) = given.lean.to_radians().sin_cos();
    let mut ball = at(given.slope);
    let mut far = ball + Vector2::new(given.rod * sin, -given.rod * cos);
    let down = if given.lever_rises {
        given.rise
    } else {
        -given.rise
    };
    for _ in 0..400 {
        far.y -= down / 400.0;
        for _ in 0..20 {
            let rod = ball - far;
            let off = Vector2::new(
                ball.norm_squared() - given.arm * given.arm,
                rod.norm_squared() - given.rod * given.rod,
            );
            let det = 4.0 * (ball.x * rod.y - ball.y * rod.x);
            ball -= Vector2::new(
                2.0 * (rod.y * off.x - ball.y * off.y),
                2.0 * (ball.x * off.y - rod.x * off.x),
            ) / det;
        }
    }
    let turn = (ball.y.atan2(ball.x).to_degrees() - given.slope).abs();
    let reached = (ball.norm() - given.arm).abs() < 1e-6;
    (reached && turn.is_finite()).then_some(turn.min(360.0 - turn))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_lever_turns_as_its_ball_goes_when_it_is_followed(
        arm in 60.0..150.0_f64,
        slope in -30.0..30.0_f64,
        length in 120.0..400.0_f64,
        lean in -15.0..15.0_f64,
        lever_rises in any::<bool>(),
        rise in 0.0..40.0_f64,
    ) {
        let given = Rod { arm, slope, rod: length, lean, lever_rises, rise };
        // Short of the dead points, where the ball may go either way: the rod would still reach a good deal further.
        prop_assume!(flag(&rod(Rod { rise: rise + 20.0, ..given }), "reaches"));
        let (found, followed) = (number(&rod(given), "turn"), followed(&given).unwrap());
        prop_assert!((found - followed).abs() < 1e-6, "{found} {followed}");
    }

    #[test]
    fn a_rod_changed_by_that_much_leaves_the_lever_alone(
        slope in -60.0..60.0_f64,
        lean in -30.0..30.0_f64,
        lever_rises in any::<bool>(),
        rise in 0.0..80.0_f64,
    ) {
        let given = Rod { arm: 90.0, slope, rod: 160.0, lean, lever_rises, rise };
        let other = 160.0 + number(&rod(given), "rod_change");
        // Seen from the ball, which stays: the far end moves down or up by the rise.
        let down = if lever_rises { rise } else { -rise };
        let (sin, cos) = lean.to_radians().sin_cos();
        prop_assert!((other - (160.0 * sin).hypot(160.0 * cos + down)).abs() < 1e-9);
    }
}

/// A level lever of 100 mm whose plumb rod comes down 50 mm would turn by 30° on a rod without end (sine of a half), computed.
#[test]
fn the_limit_is_the_rise_at_which_the_lever_has_turned_so_far() {
    let call = |rise: f64| {
        let text = format!("arm=100 slope=0 rod=200 pivot_on=body turn_limit=20 rise={rise}");
        ask("rod", &text)
    };
    let limit = number(&call(40.0), "rise_limit");
    expect(&call(limit), "turn", 20.0, 1e-6);
    expect(
        &ask(
            "rod",
            "arm=100 slope=0 rod=9000 pivot_on=body turn_limit=20 rise=50",
        ),
        "turn",
        30.0,
        0.1,
    );
    assert!(!flag(
        &ask(
            "rod",
            "arm=40 slope=0 rod=60 pivot_on=body turn_limit=20 rise=100"
        ),
        "reaches"
    ));
}

/// Section modulus of a circle π·d³/32: Civil Engineering Formulas (Hicks), p. 16, seen. A beam of 50 mm under 1 kN at the root of M12
/// (9.853 mm, computed) bends with 50 N·m.
#[test]
fn a_long_bolt_bends_as_a_beam_of_its_root() {
    let found = ask(
        "shank",
        "thread=M12 class=8.8 length=50 force=1000 ends=one",
    );
    let modulus = std::f64::consts::PI * 9.853_f64.powi(3) / 32.0;
    expect(&found, "moment", 50.0, 1e-9);
    expect(&found, "bending_stress", 50_000.0 / modulus, 0.1);
    expect(&found, "longest", 50.0 * 580.0 * modulus / 50_000.0, 0.05);
    let twice = ask(
        "shank",
        "thread=M12 class=8.8 length=100 force=1000 ends=one",
    );
    let margin = |found| number(found, "margin");
    assert!((margin(&found) / margin(&twice) - 2.0).abs() < 1e-9);
    let both = ask(
        "shank",
        "thread=M12x1.25 class=8.8 length=50 force=1000 tension=20 ends=both",
    );
    expect(&both, "moment", 25.0, 1e-9);
    expect(&both, "tension_stress", 20_000.0 / 92.072, 1e-2);
}

/// A lamp at 730 mm, 50 mm of lift and tyres that grow by 119.4 mm: the tyres count half and once, and put it over 0.8 m.
#[test]
fn the_tyres_raise_a_lamp_by_half_of_what_they_grow() {
    let lamp = ask("lamp", "height=730 dip=1.2 rise=50 axle_rise=59.7");
    expect(&lamp, "height_after", 839.7, 1e-9);
    assert_eq!(
        lamp.result("band_after").unwrap().value,
        liftsheet::calc::Value::Word("0.8 m to 1.0 m".to_owned())
    );
    let ground = |rest: &str| {
        ask(
            "ground",
            &format!("height=730 rise=50 axle_rise=59.7 {rest}"),
        )
    };
    expect(
        &ground("rides_with=body tyre=old"),
        "height_after",
        839.7,
        1e-9,
    );
    expect(
        &ground("rides_with=chassis tyre=old"),
        "height_after",
        789.7,
        1e-9,
    );
    expect(
        &ground("rides_with=body tyre=new"),
        "height_after",
        780.0,
        1e-9,
    );
    let limited = ground("rides_with=body tyre=old most=800");
    expect(&limited, "excess", 39.7, 1e-9);
    assert!(!flag(&limited, "within"));
}
