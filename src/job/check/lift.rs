//! The lift: block height, which bodies go up in which order, insertion clearance, the blocks themselves.

use std::collections::BTreeSet;

use super::counts;
use super::fields::Fields;
use crate::calc::Range;
use crate::job::{Block, CHASSIS, Lift, Raise, Side, written};
use crate::quantity::{Quantity, Unit, Written};
use crate::report::{Code, Path};
use crate::source::Read;

/// The highest block that the arithmetic covers, mm.
pub(crate) const HIGHEST_SPACER: f64 = 150.0;
/// Block heights that the arithmetic covers, mm.
const SPACER: Range = Range::Within(1.0, HIGHEST_SPACER);
/// A bare number below it could be inches as well.
const PLAINLY_MM: f64 = 6.0;
/// The least clearance above a block while it goes in, mm (common practice).
const LEAST_CLEARANCE: f64 = 15.0;
/// What a locating spigot needs beyond its depth, mm (common practice).
const SPIGOT_ALLOWANCE: f64 = 5.0;
const JACKS: Range = Range::Within(1.0, 6.0);
const COAT: Range = Range::Within(0.1, 168.0);
const DIAMETER: Range = Range::Within(1.0, 500.0);

pub(super) fn check(read: &Read<written::Job>, fields: &mut Fields<'_>) -> Lift {
    let lift = &read.value.lift;
    let at = Path::root().key("lift");
    let raise = raise(read, fields);
    let clearance = clearance(lift, &at, fields);
    let block = block(&lift.block, &at.key("block"), fields);
    let spacer = spacer(Some(&lift.spacer), &at.key("spacer"), fields);
    let jacks = fields.number(lift.jacks.as_ref(), Unit::One, JACKS, &at.key("jacks"));
    let coat_at = at.key("coat_hours");
    let coat_hours = fields.number(lift.coat_hours.as_ref(), Unit::One, COAT, &coat_at);
    Lift {
        // What stands in for a wrong value is never planned with: the report has an error then.
        spacer: Quantity::exact(spacer.unwrap_or(0.0), Unit::Mm),
        raise,
        clearance: clearance.unwrap_or(LEAST_CLEARANCE),
        clearance_assumed: lift.insertion_clearance.is_none(),
        // A small number, as its range says.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        jacks: jacks.map_or(1, |jacks| jacks.ceil() as u32),
        coat_hours,
        block,
    }
}

/// The height of blocks. Which unit is meant is not guessed: with 1.5 in taken as 1.5 mm nothing would be relocated.
pub(super) fn spacer(
    written: Option<&Written>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<f64> {
    let written = written?;
    let height = fields.number(Some(written), Unit::Mm, SPACER, path)?;
    if height < PLAINLY_MM && written.as_str().parse() == Ok(height) {
        let message = format!("`{written}` could be inches or millimetres");
        let help = format!("write the unit behind it: `{written} in` or `{written} mm`");
        fields.error(Code::WrongUnit, path, message, help);
    }
    Some(height)
}

fn raise(read: &Read<written::Job>, fields: &mut Fields<'_>) -> Vec<Raise> {
    let list = Path::root().key("lift").key("raise");
    let entries = &read.value.lift.raise;
    if entries.is_empty() && !read.is_broken(&list) {
        let message = "no body is raised";
        let help = "name at least one body, such as `- group: cab`";
        fields.error(Code::MissingField, &list, message, help);
    }
    let entries = fields.up_to(entries, counts::RAISED, "raised bodies", &list);
    let mut seen = BTreeSet::new();
    let mut raise = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let path = read.path(&list.index(index));
        fields.id(&entry.group, &path.key("group"));
        if entry.group == CHASSIS || !seen.insert(entry.group.clone()) {
            let message = match entry.group.as_str() {
                CHASSIS => "the chassis is what the bodies are raised over".to_owned(),
                group => format!("`{group}` is raised twice"),
            };
            let help = "name each body that goes up once";
            fields.error(Code::DuplicateId, &path.key("group"), message, help);
        }
        raise.push(Raise {
            group: entry.group.clone(),
            first_side: first_side(entry.first_side.as_deref(), &path, fields),
        });
    }
    raise
}

fn first_side(given: Option<&str>, path: &Path, fields: &mut Fields<'_>) -> Option<Side> {
    let words = ["left", "right", "either"];
    match fields.word(given?, &words, &path.key("first_side"))? {
        0 => Some(Side::Left),
        1 => Some(Side::Right),
        _ => None,
    }
}

/// The insertion clearance: as given, or the least that the blocks need.
fn clearance(lift: &written::Lift, at: &Path, fields: &mut Fields<'_>) -> Option<f64> {
    let range = Range::Within(0.0, 100.0);
    let depth_at = at.key("spigot_depth");
    let depth = fields.number(lift.spigot_depth.as_ref(), Unit::Mm, range, &depth_at);
    let needed = depth.map_or(LEAST_CLEARANCE, |depth| {
        LEAST_CLEARANCE.max(depth + SPIGOT_ALLOWANCE)
    });
    let Some(given) = &lift.insertion_clearance else {
        return Some(needed);
    };
    let range = Range::Within(needed, 150.0);
    fields.number(Some(given), Unit::Mm, range, &at.key("insertion_clearance"))
}

fn block(block: &written::Block, at: &Path, fields: &mut Fields<'_>) -> Block {
    let mut size = |written: &Option<Written>, unit, name: &str| {
        fields.number(written.as_ref(), unit, DIAMETER, &at.key(name))
    };
    let outer = size(&block.outer, Unit::Mm, "outer");
    let inner = size(&block.inner, Unit::Mm, "inner");
    let limit = Range::Within(1.0, 3_000.0);
    let limit_at = at.key("bearing_limit");
    let bearing_limit = fields.number(
        block.bearing_limit.as_ref(),
        Unit::Megapascal,
        limit,
        &limit_at,
    );
    if let (Some(outer), Some(inner)) = (outer, inner)
        && inner >= outer
    {
        let message =
            format!("the block's hole ({inner} mm) is not smaller than the block ({outer} mm)");
        let help = "inner is the diameter of the hole, outer that of the block";
        fields.error(Code::OutOfRange, &at.key("inner"), message, help);
    }
    if let Some(material) = &block.material {
        fields.word(
            material,
            &["steel", "aluminium", "plastic"],
            &at.key("material"),
        );
    }
    Block {
        material: block.material.clone(),
        outer,
        inner,
        bearing_limit,
    }
}
