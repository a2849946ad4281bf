//! One pattern file as typed, with the shared lists it takes → a checked [`Pattern`].
//!
//! Here every entry must be right in itself: conditions name options, links and parts name parts, classes are there. Whether
//! all that a link ends on is there for every choice of options is left to `form`, which picks the entries.

use std::collections::{BTreeMap, BTreeSet};

use super::model::{Entry, Link, MOUNT_CLASS, Mount, Part, Pattern, Raise, VEHICLE_FIELDS};
use super::{choices, written};
use crate::job::CHASSIS;
use crate::quantity::Unit;
use crate::report::{Code, Path, Report, unknown_help};
use crate::rules::check::Fields;
use crate::rules::expression;
use crate::sorted::Sorted as _;

/// A file as typed, with the name it is shown by.
pub(super) type File<T> = (T, String);

/// What is known while a pattern is checked.
struct Checker<'a> {
    classes: &'a [String],
    known_parts: BTreeSet<String>,
    pattern: Pattern,
}

/// Checks a pattern with its shared lists; gives nothing when anything in them is wrong.
pub(super) fn check(
    id: &str,
    (written, file): File<written::Pattern>,
    lists: Vec<File<written::List>>,
    classes: &[String],
    report: &mut Report,
) -> Option<Pattern> {
    let mut own = Report::new();
    let list = written::List {
        options: written.options,
        vehicle: written.vehicle,
        parts: written.parts,
        links: written.links,
    };
    let lists: Vec<File<written::List>> = lists.into_iter().chain([(list, file.clone())]).collect();
    let mut checker = Checker {
        classes,
        known_parts: known_parts(&written.lift, &lists),
        pattern: Pattern {
            id: id.to_owned(),
            title: written.title,
            what: written.what,
            options: BTreeMap::new(),
            vehicle: BTreeMap::new(),
            spacer: 0.0,
            raise: Vec::new(),
            mounts: Vec::new(),
            parts: BTreeMap::new(),
            links: Vec::new(),
        },
    };
    // Options first: the conditions of every file may name those of another.
    for (list, file) in &lists {
        let mut fields = Fields::new(file, false, &mut own);
        let options = choices::check(&list.options, &mut fields);
        checker.pattern.options.extend(options);
    }
    if own.has_errors() {
        // What conditions say of an option that is not there only follows from that.
        report.extend(own.problems);
        return None;
    }
    for (list, file) in lists {
        let mut fields = Fields::new(&file, false, &mut own);
        checker.vehicle(&list.vehicle, &mut fields);
        checker.parts(list.parts, &mut fields);
        checker.links(list.links, &mut fields);
    }
    let mut fields = Fields::new(&file, false, &mut own);
    checker.lift(written.lift, &mut fields);
    checker.mounts(written.mounts, &mut fields);
    let broken = own.has_errors();
    report.extend(own.problems);
    (!broken).then_some(checker.pattern)
}

/// Every part that a link may end on.
fn known_parts(lift: &written::Lift, lists: &[File<written::List>]) -> BTreeSet<String> {
    let bodies = lift.raise.iter().map(|raise| raise.group.clone());
    let parts = lists
        .iter()
        .flat_map(|(list, _)| list.parts.keys().cloned());
    let parts = bodies.chain(parts);
    parts.chain([CHASSIS.to_owned()]).sorted_set()
}

impl Checker<'_> {
    fn vehicle(
        &mut self,
        fields_of: &BTreeMap<String, crate::quantity::Written>,
        fields: &mut Fields<'_>,
    ) {
        for (name, text) in fields_of {
            let path = Path::root().key("vehicle").key(name.as_str());
            fields.among(name, &|| path.at_key(), &VEHICLE_FIELDS);
            match expression::names_in_text(text.as_str()) {
                Ok(names) => choices::check_names(&names, &self.pattern.options, &path, fields),
                Err(error) => fields.notes.error(
                    Code::BadExpression,
                    &path,
                    error.to_string(),
                    "write a text over the options, such as `{{ fuel }}`",
                ),
            }
            let entry = self.entry(text.to_string(), None, &path, fields);
            self.pattern.vehicle.insert(name.clone(), entry);
        }
    }

    fn entry<T>(
        &self,
        what: T,
        when: Option<&String>,
        path: &Path,
        fields: &mut Fields<'_>,
    ) -> Entry<T> {
        let at = path.key("when");
        let when = fields.optional(when, &|| at.clone());
        if let Some(when) = &when {
            choices::check_names(when.names(), &self.pattern.options, &at, fields);
        }
        Entry {
            what,
            when,
            place: fields.notes.place(path),
        }
    }

    fn lift(&mut self, lift: written::Lift, fields: &mut Fields<'_>) {
        let at = Path::root().key("lift");
        if let Some(spacer) = fields.quantity(&lift.spacer, Unit::Mm, &|| at.key("spacer")) {
            self.pattern.spacer = spacer.value;
        }
        for (index, raise) in lift.raise.into_iter().enumerate() {
            let path = at.key("raise").index(index);
            let known = ["left", "right", "either"];
            let side = raise.first_side.unwrap_or_else(|| "either".to_owned());
            fields.among(&side, &|| path.key("first_side"), &known);
            let what = Raise {
                group: raise.group,
                first_side: side,
            };
            let entry = self.entry(what, raise.when.as_ref(), &path, fields);
            self.pattern.raise.push(entry);
        }
    }

    fn mounts(&mut self, mounts: Vec<written::Mount>, fields: &mut Fields<'_>) {
        self.class(MOUNT_CLASS, &Path::root().key("mounts"), fields);
        for (index, mount) in mounts.into_iter().enumerate() {
            let path = Path::root().key("mounts").index(index);
            let bodies = self.pattern.raise.iter();
            let bodies: Vec<String> = bodies.map(|raise| raise.what.group.clone()).collect();
            let bodies: Vec<&str> = bodies.iter().map(String::as_str).collect();
            fields.among(&mount.group, &|| path.key("group"), &bodies);
            let what = Mount {
                id: mount.id,
                group: mount.group,
                at: mount.at,
                whereabouts: mount.whereabouts,
            };
            let entry = self.entry(what, mount.when.as_ref(), &path, fields);
            self.pattern.mounts.push(entry);
        }
    }

    fn parts(&mut self, parts: BTreeMap<String, written::Part>, fields: &mut Fields<'_>) {
        for (id, part) in parts {
            let path = Path::root().key("parts").key(id.as_str());
            let fixed_to = part.fixed_to.map(|on| on.0).unwrap_or_default();
            for on in &fixed_to {
                self.part(on, &path.key("fixed_to"), fields);
            }
            if let Some(class) = &part.class {
                self.class(class, &path.key("class"), fields);
            }
            let what = Part {
                id: id.clone(),
                title: part.title,
                fixed_to,
                class: part.class,
                axle: part.axle,
            };
            let entry = self.entry(what, part.when.as_ref(), &path, fields);
            self.pattern.parts.insert(id, entry);
        }
    }

    fn links(&mut self, links: Vec<written::Link>, fields: &mut Fields<'_>) {
        let mut here = BTreeSet::new();
        for (index, link) in links.into_iter().enumerate() {
            let path = Path::root().key("links").index(index);
            if !here.insert(link.id.clone()) {
                let message = format!("two links are called `{}`", link.id);
                let help = "give one of them another id";
                fields
                    .notes
                    .error(Code::DuplicateId, &path.key("id"), message, help);
            }
            self.class(&link.class, &path.key("class"), fields);
            let ends = [link.ends.0, link.ends.1];
            for (number, end) in ends.iter().enumerate() {
                self.part(end, &path.key("ends").index(number), fields);
            }
            let area = link
                .area
                .and_then(|area| fields.choice(&area, &|| path.key("area")));
            let what = Link {
                id: link.id,
                class: link.class,
                title: link.title,
                area,
                ends,
            };
            let entry = self.entry(what, link.when.as_ref(), &path, fields);
            let known = &mut self.pattern.links;
            known.retain(|link| link.what.id != entry.what.id);
            known.push(entry);
        }
    }

    fn part(&self, part: &str, path: &Path, fields: &mut Fields<'_>) {
        if !self.known_parts.contains(part) {
            let message = format!("no part of the pattern or of its lists is called `{part}`");
            let help = unknown_help(part, self.known_parts.iter().map(String::as_str));
            fields.notes.error(Code::UnknownPart, path, message, help);
        }
    }

    fn class(&self, class: &str, path: &Path, fields: &mut Fields<'_>) {
        if !self.classes.iter().any(|known| known == class) {
            let message = format!("there is no class of connection `{class}`");
            let help = unknown_help(class, self.classes.iter().map(String::as_str));
            fields.notes.error(Code::UnknownClass, path, message, help);
        }
    }
}
