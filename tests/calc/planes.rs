//! The plane of the rise against least squares by another library (nalgebra, singular value decomposition).

use liftsheet::calc::plane::plane;
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_plane_is_the_least_squares_plane(
        points in prop::collection::vec((-2000.0..2000.0_f64, -800.0..800.0_f64, 20.0..80.0_f64), 3..12),
        at in (-3000.0..3000.0_f64, -1000.0..1000.0_f64),
    ) {
        let list: Vec<[f64; 3]> = points.iter().map(|&(x, y, h)| [x, y, h]).collect();
        let found = plane(&list);
        let rows = points.iter().flat_map(|&(x, y, _)| [x, y, 1.0]);
        let matrix = DMatrix::from_row_iterator(points.len(), 3, rows);
        let rises = DVector::from_iterator(points.len(), points.iter().map(|&(.., h)| h));
        let svd = matrix.clone().svd(true, true);
        // Places nearly in one line: both answers lose their digits, so there is nothing to compare.
        prop_assume!(svd.rank(30.0) == 3 || svd.singular_values.min() > 0.3);
        let best = svd.solve(&rises, 1e-12).unwrap();
        let found = found.unwrap();
        prop_assert!((found.nose_up() - best[0].atan().to_degrees()).abs() < 1e-6);
        prop_assert!((found.left_up() - best[1].atan().to_degrees()).abs() < 1e-6);
        let there = best[0] * at.0 + best[1] * at.1 + best[2];
        prop_assert!((found.rise_at([at.0, at.1]) - there).abs() < 1e-4 * (1.0 + there.abs()));
        let residual = (matrix * best - rises).amax();
        prop_assert!((found.out_of_plane - residual).abs() < 1e-5);
    }
}
