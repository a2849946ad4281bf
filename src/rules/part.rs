//! Parts and consumables as rules name them: their kinds, their sizes, what they are counted in.
//!
//! Tables and look-ups; what a task needs of them is left to `plan`, the list for the bench to `parts`.

use serde::Serialize;
use strum::{EnumString, IntoStaticStr, VariantNames};

/// What a part is, in the order in which it is laid out on the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum PartKind {
    /// A block or packer.
    Spacer,
    /// A bolt or screw.
    Bolt,
    /// A nut.
    Nut,
    /// A washer.
    Washer,
    /// A hose or rubber duct.
    Hose,
    /// A rigid tube or joiner.
    Tube,
    /// A cable, strap or lead.
    Cable,
    /// A bracket or plate.
    Bracket,
    /// A clamp or clip that holds a hose or pipe.
    Clamp,
    /// A fluid that stays in the vehicle.
    Fluid,
    /// What is used up.
    Consumable,
    /// Anything else.
    Other,
}

impl PartKind {
    /// The word in rule files and in JSON.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    /// The heading of its lines on the bench list.
    pub(crate) fn heading(self) -> &'static str {
        match self {
            Self::Spacer => "Blocks and packers",
            Self::Bolt => "Bolts",
            Self::Nut => "Nuts",
            Self::Washer => "Washers",
            Self::Hose => "Hose",
            Self::Tube => "Tube and joiners",
            Self::Cable => "Cables, straps and leads",
            Self::Bracket => "Brackets and plates",
            Self::Clamp => "Clamps and clips",
            Self::Fluid => "Fluids",
            Self::Consumable => "Consumables",
            Self::Other => "Other parts",
        }
    }
}

/// What is told of a part's size, in the order in which it is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Size {
    /// Its thread, such as `M12x1.25`.
    Thread,
    /// Its strength class, such as `10.9`.
    Class,
    /// What it is made of.
    Material,
    /// Its bore, mm.
    Bore,
    /// Its outer diameter, mm.
    Outer,
    /// Its inner diameter, mm.
    Inner,
    /// Its height, mm.
    Height,
    /// Its thickness, mm.
    Thickness,
    /// Its length, mm; under the head for a bolt, the least for what is cut.
    Length,
    /// How much longer than the old one, mm.
    Longer,
}

impl Size {
    /// The word in rule files and in JSON.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    /// Whether it is a word and no number of millimetres.
    pub(crate) fn is_word(self) -> bool {
        matches!(self, Self::Thread | Self::Class | Self::Material)
    }
}

/// What parts are counted in: the word for one, and for several. Pieces have none on pages.
pub(crate) const COUNTED: [(&str, &str); 7] = [
    ("piece", "pieces"),
    ("pair", "pairs"),
    ("set", "sets"),
    ("litre", "litres"),
    ("pack", "packs"),
    ("roll", "rolls"),
    ("tin", "tins"),
];

/// The headings under which the customer is told what is done, in order.
pub(crate) const CUSTOMER_GROUPS: [&str; 10] = [
    "body mounts",
    "steering",
    "brakes",
    "gears",
    "fuel and exhaust",
    "engine",
    "cooling and heating",
    "electrics",
    "suspension",
    "body and fittings",
];
