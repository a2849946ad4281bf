//! Parts and consumables as rules name them: their kinds, their sizes, what they are counted in.
//!
//! Tables and look-ups; what a task needs of them is left to `plan`, the list for the bench to `parts`.

use serde::Serialize;
use strum::{EnumMessage, EnumString, IntoStaticStr, VariantNames};

/// What a part is, in the order in which it is laid out on the bench; each with the heading of its lines there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumMessage, EnumString, IntoStaticStr, Serialize, VariantNames)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum PartKind {
    #[strum(message = "Blocks and packers")]
    Spacer,
    #[strum(message = "Bolts")]
    Bolt,
    #[strum(message = "Nuts")]
    Nut,
    #[strum(message = "Washers")]
    Washer,
    #[strum(message = "Hose")]
    Hose,
    #[strum(message = "Tube and joiners")]
    Tube,
    #[strum(message = "Cables, straps and leads")]
    Cable,
    #[strum(message = "Brackets and plates")]
    Bracket,
    #[strum(message = "Clamps and clips")]
    Clamp,
    #[strum(message = "Fluids")]
    Fluid,
    #[strum(message = "Consumables")]
    Consumable,
    #[strum(message = "Other parts")]
    Other,
}

impl PartKind {
    /// The word in rule files and in JSON.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    /// The heading of its lines on the bench list.
    pub(crate) fn heading(self) -> &'static str {
        self.get_message().unwrap_or_default()
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
