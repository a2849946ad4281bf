//! Writes job files: invented vehicles, built up part by part in the tests that need them.
//!
//! A [`Vehicle`] becomes YAML text, so that every test goes through the same door as a user. Nothing here is a real vehicle.

use serde_json::{Map, Value, json};

/// A place: x forward, y left, z up, mm.
pub(crate) type Point = [f64; 3];

/// An invented vehicle with the lift that is to be done to it.
#[derive(Debug, Clone)]
pub(crate) struct Vehicle {
    /// Height of the blocks, mm.
    pub(crate) spacer: f64,
    /// How far above its block each side is held, mm.
    pub(crate) clearance: Option<f64>,
    /// Whether the wheels hang.
    pub(crate) wheels_hang: bool,
    /// The raised bodies in their order.
    pub(crate) bodies: Vec<Body>,
    /// The other parts.
    pub(crate) parts: Vec<Part>,
    /// The links.
    pub(crate) links: Vec<Link>,
    /// Measurements that all mounts share.
    pub(crate) every_mount: Value,
}

/// A raised body.
#[derive(Debug, Clone)]
pub(crate) struct Body {
    /// Its id.
    pub(crate) id: String,
    /// `left`, `right` or `either`.
    pub(crate) first_side: &'static str,
    /// Its mounts.
    pub(crate) mounts: Vec<Mount>,
}

/// A body mount.
#[derive(Debug, Clone)]
pub(crate) struct Mount {
    /// Its id.
    pub(crate) id: String,
    /// Its place.
    pub(crate) at: Point,
    /// Its own block height, mm.
    pub(crate) spacer: Option<f64>,
}

/// A part bolted to others.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    /// Its id.
    pub(crate) id: String,
    /// What it is bolted to.
    pub(crate) fixed_to: Vec<String>,
    /// Its class, when it bridges the cut.
    pub(crate) class: Option<String>,
    /// How far it drops when the wheels hang, mm.
    pub(crate) droop: Option<f64>,
    /// What was measured on it.
    pub(crate) measured: Map<String, Value>,
}

/// A link.
#[derive(Debug, Clone)]
pub(crate) struct Link {
    /// Its id.
    pub(crate) id: String,
    /// Its class.
    pub(crate) class: String,
    /// Its ends.
    pub(crate) ends: Vec<Fixing>,
    /// What holds it; none when nobody looked.
    pub(crate) held_by: Option<Vec<Fixing>>,
    /// What was measured on it.
    pub(crate) measured: Map<String, Value>,
    /// What was measured on its spans: from, to, name, value.
    pub(crate) spans: Vec<(String, String, Map<String, Value>)>,
}

/// A part and a place on it.
#[derive(Debug, Clone)]
pub(crate) struct Fixing {
    /// The part.
    pub(crate) part: String,
    /// The place.
    pub(crate) at: Option<Point>,
}

impl Vehicle {
    /// A wagon: one body on four mounts, ±550 mm across; an engine on the chassis, a bulkhead on the body.
    pub(crate) fn wagon(spacer: f64) -> Self {
        let body = Body::new("body", 1200.0, -1500.0, 550.0);
        Self {
            spacer,
            clearance: None,
            wheels_hang: false,
            bodies: vec![body],
            parts: vec![
                Part::new("engine", "chassis"),
                Part::new("bulkhead", "body"),
            ],
            links: Vec::new(),
            every_mount: json!({}),
        }
    }

    /// A dual cab: a cab and a tub behind it, raised in this order; an engine on the chassis, a bulkhead on the cab.
    pub(crate) fn dual_cab(spacer: f64) -> Self {
        let cab = Body::new("cab", 900.0, -1400.0, 550.0);
        let tub = Body::new("tub", -1780.0, -3150.0, 550.0);
        Self {
            bodies: vec![cab, tub],
            parts: vec![Part::new("engine", "chassis"), Part::new("bulkhead", "cab")],
            ..Self::wagon(spacer)
        }
    }

    /// Adds a part bolted to another.
    pub(crate) fn part(self, id: &str, on: &str) -> Self {
        self.with_part(Part::new(id, on))
    }

    /// Adds a part.
    pub(crate) fn with_part(mut self, part: Part) -> Self {
        self.parts.push(part);
        self
    }

    /// Adds a link.
    pub(crate) fn link(mut self, link: Link) -> Self {
        self.links.push(link);
        self
    }

    /// Gives every mount what the shipped class of body mounts asks for, so that none is left to be measured.
    pub(crate) fn measured_mounts(mut self) -> Self {
        self.every_mount = json!({
            "joint": "nut", "thread": "M12x1.25", "class": "10.9", "nut_class": "10", "surface": "dry", "grip": "52 mm",
            "sleeve_outer": "32 mm", "sleeve_inner": "13 mm", "rust": "surface", "rubber": "sound", "maker_torque": "65 N·m",
            "also_holds": "nothing", "behind": "nothing",
        });
        self
    }

    /// The job file as a value.
    pub(crate) fn value(&self) -> Value {
        let raise: Vec<Value> = self
            .bodies
            .iter()
            .map(|body| json!({"group": body.id, "first_side": body.first_side}))
            .collect();
        let mut lift = json!({"spacer": mm(self.spacer), "raise": raise,
            "block": {"material": "aluminium", "outer": "70 mm", "inner": "14 mm", "bearing_limit": "230 MPa"}});
        if let Some(clearance) = self.clearance {
            lift["insertion_clearance"] = json!(mm(clearance));
        }
        let mounts: Vec<Value> = self.bodies.iter().flat_map(Body::mounts).collect();
        let parts: Map<String, Value> = self
            .parts
            .iter()
            .map(|part| (part.id.clone(), part.value()))
            .collect();
        let links: Vec<Value> = self.links.iter().map(Link::value).collect();
        json!({
            "job": "An invented job",
            "vehicle": {
                "name": "Invented vehicle", "construction": "ladder frame", "fuel": "diesel", "gearbox": "manual",
                "transfer_case": "yes", "restraint_systems": "yes", "steering_sensor": "no", "hybrid": "no", "driver_aids": "no",
                "body_mass": "760 kg", "body_mass_laden": "1420 kg", "total_mass": "2050 kg", "track": "1520 mm",
                "cg_height": "720 mm", "wheels_hang": if self.wheels_hang { "yes" } else { "no" },
                "done": {"suspension_lift": "0 mm"},
            },
            "lift": lift,
            "every_mount": self.every_mount,
            "mounts": mounts,
            "parts": parts,
            "links": links,
            "people": [
                {"id": "ash", "name": "Ash (invented)", "roles": "fitter"},
                {"id": "birch", "name": "Birch (invented)", "roles": ["fitter", "supervisor"]},
            ],
        })
    }

    /// The job file as YAML text.
    pub(crate) fn yaml(&self) -> String {
        serde_yaml::to_string(&self.value()).unwrap()
    }
}

impl Body {
    /// A body on four mounts: front and rear, as far to the left as to the right.
    pub(crate) fn new(id: &str, front: f64, rear: f64, half: f64) -> Self {
        let places = [
            ("1L", front, half),
            ("1R", front, -half),
            ("2L", rear, half),
            ("2R", rear, -half),
        ];
        let mount = |(name, x, y): (&str, f64, f64)| Mount {
            id: format!("{}-{name}", id.to_uppercase()),
            at: [x, y, 0.0],
            spacer: None,
        };
        Self {
            id: id.to_owned(),
            first_side: "either",
            mounts: places.map(mount).to_vec(),
        }
    }

    fn mounts(&self) -> Vec<Value> {
        let value = |mount: &Mount| {
            let mut value = json!({"id": mount.id, "group": self.id, "at": mount.at});
            if let Some(spacer) = mount.spacer {
                value["spacer"] = json!(mm(spacer));
            }
            value
        };
        self.mounts.iter().map(value).collect()
    }
}

impl Part {
    /// A part bolted to another.
    pub(crate) fn new(id: &str, on: &str) -> Self {
        Self {
            id: id.to_owned(),
            fixed_to: vec![on.to_owned()],
            class: None,
            droop: None,
            measured: Map::new(),
        }
    }

    /// The same part, bolted to this one as well.
    pub(crate) fn and_to(mut self, on: &str) -> Self {
        self.fixed_to.push(on.to_owned());
        self
    }

    /// The same part, of a class.
    pub(crate) fn class(mut self, class: &str) -> Self {
        self.class = Some(class.to_owned());
        self
    }

    /// The same part, dropping this far when the wheels hang, mm.
    pub(crate) fn droop(mut self, droop: f64) -> Self {
        self.droop = Some(droop);
        self
    }

    fn value(&self) -> Value {
        let mut value = json!({"fixed_to": self.fixed_to});
        if let Some(class) = &self.class {
            value["class"] = json!(class);
        }
        if let Some(droop) = self.droop {
            value["droop"] = json!(mm(droop));
        }
        if !self.measured.is_empty() {
            value["measured"] = json!(self.measured);
        }
        value
    }
}

impl Link {
    /// A link of a class; its ends follow.
    pub(crate) fn new(id: &str, class: &str) -> Self {
        Self {
            id: id.to_owned(),
            class: class.to_owned(),
            ends: Vec::new(),
            held_by: None,
            measured: Map::new(),
            spans: Vec::new(),
        }
    }

    /// The next end, at a place.
    pub(crate) fn end(mut self, part: &str, at: Point) -> Self {
        self.ends.push(Fixing {
            part: part.to_owned(),
            at: Some(at),
        });
        self
    }

    /// The next end, its place not known.
    pub(crate) fn end_somewhere(mut self, part: &str) -> Self {
        self.ends.push(Fixing {
            part: part.to_owned(),
            at: None,
        });
        self
    }

    /// Looked at, and held by nothing between its ends.
    pub(crate) fn free(mut self) -> Self {
        self.held_by = Some(Vec::new());
        self
    }

    /// Held by a part at a place, after those before.
    pub(crate) fn held(mut self, part: &str, at: Point) -> Self {
        self.held_by.get_or_insert_default().push(Fixing {
            part: part.to_owned(),
            at: Some(at),
        });
        self
    }

    /// Measured on the link.
    pub(crate) fn measured(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.measured.insert(name.to_owned(), value.into());
        self
    }

    /// Measured on one of its spans.
    pub(crate) fn on_span(
        mut self,
        from: &str,
        to: &str,
        name: &str,
        value: impl Into<Value>,
    ) -> Self {
        let known = self.spans.iter_mut().find(|(a, b, _)| a == from && b == to);
        if let Some((.., measured)) = known {
            measured.insert(name.to_owned(), value.into());
            return self;
        }
        let measured = Map::from_iter([(name.to_owned(), value.into())]);
        self.spans.push((from.to_owned(), to.to_owned(), measured));
        self
    }

    fn value(&self) -> Value {
        let ends: Vec<Value> = self.ends.iter().map(Fixing::value).collect();
        let mut value =
            json!({"id": self.id, "class": self.class, "ends": ends, "measured": self.measured});
        if let Some(held) = &self.held_by {
            value["held_by"] = match held.as_slice() {
                [] => json!("none"),
                held => held.iter().map(Fixing::value).collect(),
            };
        }
        if !self.spans.is_empty() {
            let spans = self.spans.iter();
            value["spans"] = spans
                .map(|(from, to, measured)| json!({"from": from, "to": to, "measured": measured}))
                .collect();
        }
        value
    }
}

impl Fixing {
    fn value(&self) -> Value {
        match self.at {
            Some(at) => json!({"part": self.part, "at": at}),
            None => json!(self.part),
        }
    }
}

/// A length as somebody writes it.
pub(crate) fn mm(value: f64) -> String {
    format!("{value} mm")
}
