//! Vectors in the vehicle's axes. Takes and gives plain triples; what they mean is left to the parent module.

use super::Vector;

/// The scalar product.
pub(super) fn dot([ax, ay, az]: Vector, [bx, by, bz]: Vector) -> f64 {
    ax * bx + ay * by + az * bz
}

/// The vector product.
pub(super) fn cross([ax, ay, az]: Vector, [bx, by, bz]: Vector) -> Vector {
    [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]
}

/// The length of a vector of any size.
pub(super) fn length([x, y, z]: Vector) -> f64 {
    x.hypot(y).hypot(z)
}

/// The length of a vector whose parts are no larger than 1.
pub(super) fn size(vector: Vector) -> f64 {
    dot(vector, vector).sqrt()
}

/// The direction of a vector, scaled first so that no square overflows or vanishes.
pub(super) fn unit(vector: Vector) -> Vector {
    let largest = vector
        .iter()
        .fold(0.0_f64, |most, part| most.max(part.abs()));
    let scaled = vector.map(|part| part / largest);
    let size = size(scaled);
    scaled.map(|part| part / size)
}
