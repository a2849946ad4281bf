//! The tolerance box of a link's values: the stated values, and every corner at which a verdict is tried.

use std::collections::BTreeMap;

use super::values::{Address, Datum, Values};
use crate::quantity::Quantity;

/// Values with a tolerance that may be judged together; beyond it the corners become too many.
pub(super) const MOST_TOLERANCES: usize = 8;

/// The stated values first, then every corner of the tolerance box. The fields of one key of a list never meet those of another,
/// so each key has corners of its own. Fails with the number of tolerances when they are too many.
pub(super) fn corner_values(values: &Values) -> Result<Vec<(Values, bool)>, usize> {
    let mut common = Vec::new();
    let mut by_key: BTreeMap<(&str, &str), Vec<(&Address, Quantity)>> = BTreeMap::new();
    for (address, datum) in &values.data {
        let Datum::Number(quantity) = datum else {
            continue;
        };
        if quantity.tolerance <= 0.0 {
            continue;
        }
        match address {
            Address::One(_) => common.push((address, *quantity)),
            Address::Each(list, key, _) => {
                by_key
                    .entry((list, key))
                    .or_default()
                    .push((address, *quantity));
            }
        }
    }
    let mut corners = vec![(values.clone(), true)];
    let mut boxes: Vec<Vec<(&Address, Quantity)>> = by_key.into_values().collect();
    if boxes.is_empty() && !common.is_empty() {
        boxes.push(Vec::new());
    }
    for mut tolerant in boxes {
        tolerant.extend(&common);
        if tolerant.len() > MOST_TOLERANCES {
            return Err(tolerant.len());
        }
        corners.extend(box_corners(values, &tolerant).map(|corner| (corner, false)));
    }
    Ok(corners)
}

/// Every corner of one box.
fn box_corners<'a>(
    values: &'a Values,
    tolerant: &'a [(&Address, Quantity)],
) -> impl Iterator<Item = Values> + 'a {
    (0..1_u32 << tolerant.len()).map(move |bits| {
        let mut corner = values.clone();
        for (index, (address, quantity)) in tolerant.iter().enumerate() {
            let end = if (bits >> index) & 1 == 0 {
                quantity.least()
            } else {
                quantity.most()
            };
            let datum = Datum::Number(Quantity::exact(end, quantity.unit));
            corner.data.insert((*address).clone(), datum);
        }
        corner
    })
}
