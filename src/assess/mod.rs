//! Every link, judged: what a body lift of this height does to it, with the numbers that say so.
//!
//! Takes a checked job, the rules and the cut; gives an [`Assessment`]: for each link its verdict, the deciding check, whether
//! it must come apart on the way, what is still to be measured. What work follows is left to `plan`.

mod bind;
mod closer;
pub(crate) mod facts;
mod inverse;
mod judge;
mod judged_span;
mod limits;
mod link;
mod measured;
mod missing;
mod over;
mod problem;
mod results;
mod stretches;
mod trial;
mod types;
mod units;
mod unmet;
mod walked;

use std::collections::BTreeMap;

pub(crate) use facts::of_fact as fact_missing;
pub use facts::of_job as facts_of;
pub(crate) use inverse::decides_text;
pub(crate) use limits::Held;
pub use limits::LimitState;
#[cfg(feature = "serve")]
pub(crate) use missing::held_by;
pub(crate) use results::Calculated;
pub(crate) use stretches::{Looks, stretches};
pub(crate) use trial::Tried;
pub use trial::{Trial, TriedCheck, Unmade};
use types::KeptMissing;
pub use types::{Address, Datum, Depth};
pub(crate) use types::{Again, Missing, Run};

use strum::VariantNames;

use crate::calc::Outcome;
use crate::cut::{Cut, CutLink, Origin};
use crate::job::{Job, Measured};
use crate::report::{Code, Notes, Path, Report, listed, unknown_help};
use crate::rules::expression::{Scope, Scopes};
use crate::rules::{Area, Branch, Class, Region, Rules, Setting, Verdict};
use crate::sorted::{Sorted as _, each_once};
use crate::text::Text;

/// Every link, judged.
#[derive(Debug)]
pub struct Assessment<'r> {
    /// The links by id.
    pub links: BTreeMap<String, Assessed<'r>>,
    /// The jurisdiction whose limits were held against the lift.
    pub region: Option<&'r Region>,
    /// Its limits.
    pub limits: Vec<Held<'r>>,
}

impl Assessment<'_> {
    /// Whether anything is still to be measured.
    pub(crate) fn provisional(&self) -> bool {
        self.links
            .values()
            .any(|link| link.verdict == Verdict::Measure || !link.missing.is_empty())
    }

    /// Whether any link says that the lift must not be done so.
    pub(crate) fn stops(&self) -> bool {
        self.stopping().next().is_some()
    }

    /// What says that the lift must not be done so, links and then local limits: the id, and what it is called.
    pub(crate) fn stopping(&self) -> impl Iterator<Item = (&str, &str)> {
        let links = self.links.values();
        let links = links.filter(|link| link.verdict == Verdict::Stop);
        let limits = self.limits.iter();
        let limits = limits.filter(|held| held.verdict() == Verdict::Stop);
        links
            .map(|link| (link.id.as_str(), link.title.as_str()))
            .chain(limits.map(|held| (held.limit.id.as_str(), held.limit.title.as_str())))
    }
}

impl<'r> Assessment<'r> {
    /// Every link in walking order.
    pub(crate) fn walking(&self) -> Vec<&Assessed<'r>> {
        let mut links: Vec<&Assessed<'_>> = self.links.values().collect();
        links.sort_by_key(|link| link.area);
        links
    }

    /// The number of every link, by its id: its place in walking order. Tables and pictures of a job show the same one.
    pub(crate) fn numbers(&self) -> BTreeMap<&str, usize> {
        let links = self.walking().into_iter().zip(1..);
        links
            .map(|(link, number)| (link.id.as_str(), number))
            .sorted_map()
    }
}

/// One link, judged.
#[derive(Debug)]
pub struct Assessed<'r> {
    /// Its id.
    pub id: String,
    /// What it stands for.
    pub origin: Origin,
    /// Its class; none for a bridging part that names none.
    pub class: Option<&'r Class>,
    /// What it is called on the pages.
    pub title: String,
    /// Where it is.
    pub area: Area,
    /// What it needs.
    pub verdict: Verdict,
    /// The deciding check and condition.
    pub decided_by: String,
    /// The reason with its numbers.
    pub because: Text,
    /// What the customer is told of it in plain words, a text for each check that has something to say.
    pub told: Vec<Text>,
    /// Who must do it.
    pub trade: Option<String>,
    /// Whether the lift pulls it apart, at the end or on the way.
    pub disturbed: bool,
    /// Whether it must come apart before the body goes up.
    pub release: bool,
    /// For each check made, the run that decides it.
    pub runs: Vec<Run<'r>>,
    /// The names for the release's texts.
    pub scope: Scopes,
    /// The numbers by `check.result`, and by `check[key].result` for a check made for each key.
    pub results: BTreeMap<String, Outcome>,
    /// Every calculation at the stated values, those that decide and the other keys of their lists.
    pub calculated: Vec<Calculated>,
    /// What is still to be measured.
    pub missing: Vec<Missing>,
    /// Defaults in use: what, and the value.
    pub assumed: Vec<(String, Text)>,
}

impl<'r> Assessed<'r> {
    /// The verdict in words; of what the lift brings about there is nothing to lengthen or replace, so it has words of its own.
    pub(crate) fn word(&self) -> &'static str {
        match self.verdict {
            _ if self.origin != Origin::Consequence => self.verdict.word(),
            Verdict::Leave => "tell",
            Verdict::Reposition => "check",
            Verdict::Extend | Verdict::Replace | Verdict::Fabricate => "do",
            Verdict::Refer => "ask",
            Verdict::Measure | Verdict::Stop => self.verdict.word(),
        }
    }

    /// The calculations that decide something of it, with their working.
    pub(crate) fn worked(&self) -> impl Iterator<Item = &Calculated> {
        self.calculated.iter().filter(|one| one.decides)
    }

    /// The limits and margins of the rules by which the verdict was decided, by the names of their settings.
    pub(crate) fn limits(&self, rules: &'r Rules) -> BTreeMap<String, &'r Setting> {
        let check = self.decided_by.split([':', '[']).next();
        let decides = |class: &'r Class| {
            class
                .checks
                .iter()
                .find(|one| check == Some(one.id.as_str()))
        };
        let found = self.class.and_then(|class| Some((class, decides(class)?)));
        found.map_or_else(BTreeMap::new, |(class, check)| {
            class.settings_behind(rules, check)
        })
    }

    /// The same with its verdict, by what it was decided, and why.
    fn said(mut self, verdict: Verdict, by: &str, because: &str) -> Self {
        self.verdict = verdict;
        by.clone_into(&mut self.decided_by);
        self.because = Text::plain(because);
        self
    }

    /// A link before anything is known of it.
    fn blank(id: &str, link: &CutLink, class: Option<&'r Class>) -> Self {
        let own_area = link.area.as_ref().and_then(|(area, _)| area.parse().ok());
        Self {
            id: id.to_owned(),
            origin: link.origin,
            class,
            title: title(id, link, class).to_owned(),
            area: own_area
                .or(class.map(|class| class.area))
                .unwrap_or(Area::Cab),
            verdict: Verdict::Leave,
            decided_by: String::new(),
            because: Text::default(),
            told: Vec::new(),
            trade: None,
            disturbed: link.disturbed(),
            release: false,
            runs: Vec::new(),
            scope: Scopes::default(),
            results: BTreeMap::new(),
            calculated: Vec::new(),
            missing: Vec::new(),
            assumed: Vec::new(),
        }
    }
}

/// What every link is judged against.
struct Frame<'r> {
    job: &'r Job,
    rules: &'r Rules,
    cut: &'r Cut,
    basis: &'r Scope,
    depth: Depth,
    kept: KeptMissing,
}

/// Judges every link of a cut; problems (an unknown class, a value out of range) go to the report.
pub fn assess<'r>(
    (job, rules, cut, basis): (&'r Job, &'r Rules, &'r Cut, &'r Scope),
    depth: Depth,
    report: &mut Report,
) -> Assessment<'r> {
    let frame = Frame::new((job, rules, cut, basis), depth);
    let links = cut.links.iter();
    let links = links.filter_map(|(id, link)| {
        let assessed = frame.assess(id, link, report)?;
        Some((id.clone(), assessed))
    });
    let links = links.sorted_map();
    for (id, measured) in &job.consequences {
        if !rules.consequences.contains_key(id) {
            let known = rules.consequences.keys().map(String::as_str);
            let path = measured.values().next().and_then(|(_, path)| path.parent());
            let path = path.unwrap_or_else(|| Path::root().key("consequences").key(id.as_str()));
            let message = format!("there is no consequence `{id}`");
            let (at, help) = (path.at_key(), unknown_help(id, known));
            let mut notes = job.notes(report);
            notes.error(Code::UnknownConsequence, &at, message, help);
        }
    }
    let region = limits::region(job, rules, report);
    let limits = region.map(|region| limits::hold(region, basis, report));
    Assessment {
        links,
        region,
        limits: limits.unwrap_or_default(),
    }
}

/// Judges one link of a cut, as [`assess`] judges each. None where it does not concern this vehicle, where its class is not known, or where
/// the cut has no link of that id.
pub(crate) fn assess_one<'r>(
    (job, rules, cut, basis): (&'r Job, &'r Rules, &'r Cut, &'r Scope),
    (id, depth): (&str, Depth),
    report: &mut Report,
) -> Option<Assessed<'r>> {
    let (id, link) = cut.links.get_key_value(id)?;
    let frame = Frame::new((job, rules, cut, basis), depth);
    frame.assess(id, link, report)
}

/// What was measured of a link by which both sides of the cut hold it.
fn crosses<'r>(class: &'r Class, link: &CutLink) -> Option<&'r str> {
    let mut measured = link.measured.iter();
    measured.find_map(|(name, (measured, _))| {
        let measurement = class.measurements.get(name)?;
        let Measured::One(answer) = measured else {
            return None;
        };
        let crosses = measurement.crosses.iter().any(|one| one == answer.as_str());
        crosses.then_some(measurement.label.as_str())
    })
}

/// Where a reading, or a closer one, could lighten the verdict of a judged link.
pub fn again((job, rules, cut): (&Job, &Rules, &Cut), link: &Assessed<'_>) -> Option<Again> {
    let basis = facts_of(job, rules);
    let frame = Frame::new((job, rules, cut, &basis), Depth::Verdict);
    let own = cut.links.get(&link.id)?;
    let settled = !matches!(link.verdict, Verdict::Measure | Verdict::Leave);
    let class = link.class.filter(|_| settled && own.disturbed())?;
    let bound = bind::bind(job, class, own, &mut Report::new());
    let mut spans = measured::measured_spans(&frame, class, (&link.id, own), &bound);
    link::all_over(&frame, &mut spans).ok()?;
    closer::again(&spans, link.verdict)
}

/// Reports unknown classes and measurements that cannot be read, without judging anything.
pub(crate) fn inspect(job: &Job, rules: &Rules, cut: &Cut, report: &mut Report) {
    let basis = Scope::default();
    let frame = Frame::new((job, rules, cut, &basis), Depth::Verdict);
    limits::region(job, rules, report);
    for link in cut.links.values() {
        if let Some(class) = frame.class(link, report) {
            bind::bind(job, class, link, report);
        }
    }
}

impl<'r> Frame<'r> {
    fn new(
        (job, rules, cut, basis): (&'r Job, &'r Rules, &'r Cut, &'r Scope),
        depth: Depth,
    ) -> Self {
        Self {
            job,
            rules,
            cut,
            basis,
            depth,
            kept: KeptMissing::default(),
        }
    }

    /// The class of a link; reports one that there is no rule for.
    fn class(&self, link: &CutLink, report: &mut Report) -> Option<&'r Class> {
        let name = link.class.as_ref()?;
        let class = match link.origin {
            Origin::Consequence => self.rules.consequences.get(name),
            _ => self.rules.classes.get(name),
        };
        if class.is_none() && !self.rules.known_classes.contains(name) {
            let (path, help) = (link.path.key("class"), self.rules.unknown_class_help(name));
            let message = format!("there is no class of connection `{name}`");
            let mut notes = self.job.notes(report);
            notes.error(Code::UnknownClass, &path, message, help);
        }
        class
    }

    /// Whether texts are told of a branch: with its reason all are, with its work those that may have some.
    fn worded(&self, class: &Class, branch: &Branch) -> bool {
        let works = || branch.tasks().next().is_some() || class.always_checked;
        self.depth >= Depth::Words || self.depth == Depth::Work && works()
    }

    fn assess(&self, id: &'r str, link: &'r CutLink, report: &mut Report) -> Option<Assessed<'r>> {
        if link.class.is_none() {
            return Some(self.unruled_bridge(id, link));
        }
        let class = self.class(link, report)?;
        if let Some(when) = &class.only_when {
            let missing = facts::absent([when], self.basis);
            if !missing.is_empty() {
                // The facts that tell are to be found first.
                let because = "nobody has said yet whether it concerns this vehicle";
                let blank = Assessed::blank(id, link, Some(class));
                return Some(Assessed {
                    missing,
                    ..blank.said(Verdict::Measure, "not yet known", because)
                });
            }
            let held = when.holds(self.basis).map_err(|error| {
                let path = Path::root().key("only_when");
                let help = "write a condition over the facts of a job";
                let mut notes = Notes::of(&class.file, report);
                notes.error(Code::BadExpression, &path, error.to_string(), help);
            });
            if !held.ok()? {
                return None;
            }
        }
        self.check_area(link, report);
        if link.disturbed() {
            return Some(link::assess(self, class, (id, link), report));
        }
        // The measurements are read all the same, so that a mistake in them is not hidden by a lucky cut.
        bind::bind(self.job, class, link, report);
        Some(self.undisturbed(id, link, class))
    }

    /// A link that the lift does not pull apart is left alone, once somebody has looked how it is held.
    fn undisturbed(&self, id: &str, link: &CutLink, class: &'r Class) -> Assessed<'r> {
        let blank = Assessed::blank(id, link, Some(class));
        if let Some(label) = crosses(class, link) {
            let because = format!(
                "by what was measured ({label}) both sides of the cut hold it, and by its fixings they do not"
            );
            return Assessed {
                missing: vec![missing::held_by(self.job, id, link)],
                ..blank.said(Verdict::Measure, "not yet known", &because)
            };
        }
        if link.held_known {
            return blank.said(Verdict::Leave, "rides together", &self.together(link));
        }
        let because = "its ends ride together, but nobody has looked how it is held between them";
        Assessed {
            missing: vec![missing::held_by(self.job, id, link)],
            ..blank.said(Verdict::Measure, "not yet known", because)
        }
    }

    /// What all fixings of a link ride with.
    fn together(&self, link: &CutLink) -> String {
        let hung = link.parts().next();
        let hung = hung.and_then(|part| self.cut.parts.get(part));
        let with = hung.and_then(|hung| hung.groups.first());
        let with = with.map_or("chassis", |group| self.job.part_title(group));
        let parts = link.parts().map(|part| self.job.part_title(part));
        match each_once(parts.filter(|part| *part != with)).as_slice() {
            [] => format!("it rides with the {with} from end to end"),
            [one] => format!("{one} rides with the {with}"),
            parts => format!("{} ride with the {with}", listed(parts, "and")),
        }
    }

    /// A part bolted to both sides of the cut without a rule that says how to undo it.
    fn unruled_bridge(&self, id: &str, link: &CutLink) -> Assessed<'r> {
        let parts = link.parts();
        let on: Vec<&str> = parts.map(|part| self.job.part_title(part)).collect();
        let because = format!(
            "it is bolted to {}, which move apart, and names no class that says how to undo it; `liftsheet classes WORD` finds one, or the workshop writes its own",
            on.join(" and ")
        );
        Assessed::blank(id, link, None).said(Verdict::Stop, "no rule", &because)
    }

    fn check_area(&self, link: &CutLink, report: &mut Report) {
        if let Some((area, path)) = &link.area
            && area.parse::<Area>().is_err()
        {
            let message = format!("`{area}` is not an area");
            let help = unknown_help(area, Area::VARIANTS.iter().copied());
            let mut notes = self.job.notes(report);
            notes.error(Code::UnknownChoice, path, message, help);
        }
    }
}

/// What the pages call a link: its own title, its class's, or its id.
fn title<'t>(id: &'t str, link: &'t CutLink, class: Option<&'t Class>) -> &'t str {
    let own = link.title.as_deref();
    own.or(class.map(|class| class.text.title.as_str()))
        .unwrap_or(id)
}
