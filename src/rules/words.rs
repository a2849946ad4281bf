//! The words of the rules: places, stages, moments, verdicts, and what has a state.

use serde::Serialize;
use strum::{EnumIter, EnumString, IntoStaticStr, VariantNames};

/// Where on the vehicle something is, in walking order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumIter, EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Area {
    /// Inside the cab.
    Cab,
    /// Under the bonnet.
    #[strum(serialize = "engine bay")]
    EngineBay,
    /// The front, outside.
    #[strum(serialize = "front outside")]
    FrontOutside,
    /// Under the left side.
    #[strum(serialize = "left under")]
    LeftUnder,
    /// Over the gearbox.
    Tunnel,
    /// Under the right side.
    #[strum(serialize = "right under")]
    RightUnder,
    /// Round the tank, and the rear underneath.
    #[strum(serialize = "tank and rear")]
    TankAndRear,
    /// The rear, outside.
    #[strum(serialize = "rear outside")]
    RearOutside,
}

impl Area {
    /// The words in rule files and on pages.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// A stage of the work, in order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Stage {
    /// Measuring what is still missing.
    #[default]
    Measure,
    /// Looking at the vehicle as it was found.
    #[strum(serialize = "as found")]
    AsFound,
    /// Making the vehicle safe to work on.
    #[strum(serialize = "make safe")]
    MakeSafe,
    /// Taking off what stands in the way.
    Strip,
    /// Taking apart what would tear.
    Release,
    /// Raising the body.
    Raise,
    /// Putting the blocks in.
    Space,
    /// Lowering the body and tightening it down.
    #[strum(serialize = "lower and tighten")]
    Lower,
    /// Putting right what the lift disturbs.
    Correct,
    /// Putting back the connections.
    Refit,
    /// Closing what was taken off to reach them.
    #[strum(serialize = "close up")]
    CloseUp,
    Check,
    /// Handing the vehicle over.
    #[strum(serialize = "hand over")]
    HandOver,
}

impl Stage {
    /// The words in rule files, in JSON and on pages.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }
}

/// Where people are while a task is done.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
#[derive(EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Spot {
    Inside,
    /// Under the bonnet.
    #[strum(serialize = "engine bay")]
    EngineBay,
    #[default]
    Beside,
    Under,
}

impl Spot {
    /// The words in rule files, in JSON and on pages.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    /// Where people are who work in an area; beside the vehicle, when they walk round it.
    pub(crate) fn of(area: Option<Area>) -> Self {
        match area {
            Some(Area::Cab) => Self::Inside,
            Some(Area::EngineBay) => Self::EngineBay,
            Some(Area::LeftUnder | Area::Tunnel | Area::RightUnder | Area::TankAndRear) => {
                Self::Under
            }
            Some(Area::FrontOutside | Area::RearOutside) | None => Self::Beside,
        }
    }
}

/// A moment of the check, in order: what can be answered there cannot be answered before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumIter, EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Moment {
    /// Before it is closed up.
    Open,
    /// Closed up, nothing filled or connected.
    Still,
    #[strum(serialize = "filled and bled")]
    Filled,
    /// The battery is on.
    Powered,
    /// The wheels carry the vehicle.
    #[strum(serialize = "wheels down")]
    WheelsDown,
    Idling,
    Hot,
    /// In the yard, at walking pace.
    Yard,
    Road,
    /// After the road, cold.
    #[strum(serialize = "after the road, cold")]
    Cold,
}

impl Moment {
    /// The words in rule files, in JSON and on pages.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    /// The word in task ids.
    pub(crate) fn id(self) -> &'static str {
        match self {
            Self::Filled => "filled",
            Self::WheelsDown => "wheels-down",
            Self::Cold => "cold",
            _ => self.word(),
        }
    }
}

/// What a link needs, from lightest to heaviest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumIter, EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Verdict {
    /// It stays as it is.
    Leave,
    /// It is moved within its own adjustment.
    Reposition,
    /// It is lengthened.
    Extend,
    /// It is replaced.
    Replace,
    /// A mount or opening is cut, raised or rebuilt.
    Fabricate,
    /// The workshop may do nothing at all.
    Refer,
    /// Not yet known.
    Measure,
    /// The lift must not be done so.
    Stop,
}

impl Verdict {
    /// The word in rule files, in JSON and on pages.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// What has a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[derive(EnumString, IntoStaticStr, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Of {
    Vehicle,
    /// Each raised body.
    Group,
    /// Each side of each raised body.
    Side,
    Mount,
    Link,
}

impl Of {
    /// The word in rule files and in JSON.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }
}
