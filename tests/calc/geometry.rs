//! The plane geometry of jog, run, spigot, lever, duct, fan and tilt against constructions that share no formula with it.

use liftsheet::calc::jog::least_length;
use nalgebra::{Point2, Rotation2, Vector2};
use proptest::prelude::*;

use super::ask::{ask, flag, number};

/// Walks along a tube in short steps, turning left, not, and right; gives where it ends, its direction, and its length.
fn walk(bend_radius: f64, bend: f64, straight: f64) -> (Point2<f64>, f64, f64) {
    let steps = 4000;
    let (mut at, mut heading, mut length) = (Point2::origin(), 0.0_f64, 0.0);
    for (piece, turn) in [
        (bend_radius * bend, 1.0),
        (straight, 0.0),
        (bend_radius * bend, -1.0),
    ] {
        let step = piece / f64::from(steps);
        for _ in 0..steps {
            let half = turn * step / bend_radius / 2.0;
            at += Vector2::new((heading + half).cos(), (heading + half).sin()) * step;
            heading += 2.0 * half;
            length += step;
        }
    }
    (at, heading, length)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_jog_walked_along_ends_at_the_offset(
        offset in 0.5..150.0_f64, spare_length in 0.0..300.0_f64, bend_radius in 5.0..80.0_f64,
    ) {
        let length = least_length(offset, bend_radius) + spare_length;
        let jog = |length: f64| ask("jog", &format!("offset={offset} length={length} bend_radius={bend_radius}"));
        let shape = jog(length);
        let bend = number(&shape, "bend_angle");
        prop_assert!(bend <= 90.0 + 1e-6);
        let (end, heading, walked) = walk(bend_radius, bend.to_radians(), number(&shape, "straight"));
        prop_assert!((end.x - length).abs() < 1e-4 && (end.y - offset).abs() < 1e-4, "{end}");
        prop_assert!(heading.abs() < 1e-9);
        prop_assert!((walked - number(&shape, "tube_length")).abs() < 1e-6);
        prop_assert!(!flag(&jog(least_length(offset, bend_radius) * (1.0 - 1e-9)), "fits"));
    }

    #[test]
    fn a_run_grows_by_the_difference_of_two_measured_distances(
        plan in 1.0..500.0_f64, level in -300.0..300.0_f64, travel in 0.0..100.0_f64, rise in 0.0..150.0_f64,
    ) {
        let found = ask("run", &format!("plan={plan} level={level} slack=60 reserve=25 travel={travel} rise={rise}"));
        let growth = number(&found, "growth");
        let chassis = Point2::new(0.0, 0.0);
        let body = |up: f64| nalgebra::distance(&chassis, &Point2::new(plan, level + up));
        let worst = body(rise).max(body(rise + travel)) - body(0.0);
        prop_assert!((growth - worst).abs() < 1e-9);
        prop_assert!(growth <= rise + travel + 1e-9);
    }

    #[test]
    fn a_hose_added_as_told_keeps_its_least_overlap(
        plan in 1.0..500.0_f64, level in -300.0..300.0_f64, overlap in 0.0..60.0_f64, slide in 0.0..30.0_f64,
        rise in 0.0..150.0_f64, flexible in any::<bool>(),
    ) {
        let spigot = |overlap: f64| {
            let place = format!("plan={plan} level={level} flexible={flexible} rise={rise}");
            ask("spigot", &format!("overlap={overlap} least_overlap=25 slide={slide} {place}"))
        };
        let found = spigot(overlap);
        let longer = spigot(overlap + number(&found, "length_to_add"));
        prop_assert!(number(&longer, "overlap_left") >= 25.0 - 1e-9 || number(&found, "growth") < 0.0);
        prop_assert!(number(&longer, "length_to_add") < 1e-9);
        let (before, after) = (number(&found, "fall_before"), number(&found, "fall_after"));
        let slope = |up: f64| Vector2::new(plan, level + up).normalize().y;
        prop_assert!((before.to_radians().sin() - slope(0.0)).abs() < 1e-12);
        prop_assert!((after.to_radians().sin() - slope(rise)).abs() < 1e-12);
    }

    #[test]
    fn the_far_flank_of_a_swung_lever_crosses_the_floor_at_the_needed_aperture(
        floor_height in 60.0..300.0_f64, throw in 0.0..30.0_f64, lean in -30.0..30.0_f64, radius in 3.0..20.0_f64,
        rise in 0.0..150.0_f64,
    ) {
        let swing = format!("floor_height={floor_height} throw={throw} lean={lean} radius={radius}");
        let found = ask("lever", &format!("{swing} aperture=60 clearance=15 length=700 rise={rise}"));
        // A ray from the pivot, clockwise from vertical; the flank runs beside it at the radius, toward the swing.
        let ray = |degrees: f64| Rotation2::new(-degrees.to_radians()) * Vector2::new(0.0, 1.0);
        let crossing = |degrees: f64, aside: f64, height: f64| {
            let along = ray(degrees);
            let start = Vector2::new(along.y, -along.x) * aside;
            start.x + along.x * (height - start.y) / along.y
        };
        let edge_from_rest = crossing(lean + throw, radius, floor_height + rise) - crossing(lean, 0.0, floor_height);
        prop_assert!((number(&found, "aperture_needed") - edge_from_rest - 15.0).abs() < 1e-9);
        // With the extension the knob stands as high above the floor as before.
        let knob = |length: f64| (ray(lean) * length).y;
        prop_assert!((knob(700.0 + number(&found, "extension")) - knob(700.0) - rise).abs() < 1e-9);
    }

    #[test]
    fn a_duct_turns_and_stretches_as_its_end_is_moved(
        free_length in 60.0..400.0_f64, share in -0.95..0.95_f64, rise in 0.0..150.0_f64,
    ) {
        let level = free_length * share;
        let place = format!("free_length={free_length} level={level} rise={rise}");
        let found = ask("duct", &format!("{place} angle_limit=15 stretch_limit=10"));
        let before = Rotation2::new(share.asin()) * Vector2::new(free_length, 0.0);
        let after = before + Vector2::new(0.0, rise);
        prop_assert!((number(&found, "stretch") - (after.norm() - free_length)).abs() < 1e-9);
        prop_assert!((number(&found, "angle") - before.angle(&after).to_degrees()).abs() < 1e-5);
    }

    #[test]
    fn the_tip_gap_is_the_least_distance_round_the_shroud(
        offset in -20.0..20.0_f64, rise in 0.0..60.0_f64,
    ) {
        let found = ask("fan", &format!("shroud_radius=240 fan_radius=215 offset={offset} clearance=12 rise={rise}"));
        let centre = Vector2::new(0.0, offset - rise);
        let gap = |n: i32| {
            let tip = centre + Rotation2::new(f64::from(n).to_radians()) * Vector2::new(215.0, 0.0);
            240.0 - tip.norm()
        };
        let least = (0..360).map(gap).fold(f64::INFINITY, f64::min);
        prop_assert!((number(&found, "tip_gap") - least).abs() < 1e-9);
    }

    #[test]
    fn a_point_of_a_tilted_body_moves_as_rotated(
        across in 600.0..1600.0_f64, share in 0.0..1.0_f64, y in -500.0..1600.0_f64, z in -500.0..1500.0_f64,
    ) {
        let side_rise = across * share;
        let found = ask("tilt", &format!("across={across} side_rise={side_rise} y={y} z={z}"));
        let [angle, sideways, up, length] = ["angle", "sideways", "up", "moved"].map(|name| number(&found, name));
        // Turn in small steps until the far mount is as high as it is raised.
        let (mut low, mut high) = (0.0, 90.0_f64);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let mount = Rotation2::new(middle.to_radians()) * Vector2::new(across, 0.0);
            if mount.y < side_rise { low = middle } else { high = middle }
        }
        prop_assert!((angle - low).abs() < 1e-5);
        let point = Vector2::new(y, z);
        let moved = Rotation2::new(angle.to_radians()) * point - point;
        prop_assert!((sideways - moved.x).abs() < 1e-8 && (up - moved.y).abs() < 1e-8);
        prop_assert!((length - moved.norm()).abs() < 1e-8);
    }
}
