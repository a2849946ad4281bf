//! A rule's task with a job's numbers put in, before it has its place in the order of work.
//!
//! Takes a [`written::Task`] and a scope; gives a [`Draft`]. Texts that cannot be rendered and limits that cannot be
//! evaluated go to the report with the rule's place.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::slots::Slot;
use super::states::{Courses, Steps, Whom};
use super::task::{After, BenchPart, Evidence, Minutes, Sign, Sized, Task};
use crate::job::Mount;
use crate::quantity::{Round, Written};
use crate::report::{Code, Place, Problem, Report};
use crate::rules::expression::{Expr, Scopes};
use crate::rules::{Area, COUNTED, PartKind, Size, Spot, WORKSHOP, written};
use crate::sorted::Sorted as _;
use crate::text::Text;

/// A task that still names what it needs, instead of the tasks that give it.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) task: Task,
    /// What it leaves behind, and what holds while it is done.
    pub(super) makes: Vec<Steps>,
    pub(super) during: Vec<Steps>,
    /// Procedure tasks that must come first, by their rule's id.
    pub(super) after: Vec<String>,
    /// Everything else of its slot comes after it, or before it.
    pub(super) opens: bool,
    pub(super) closes: bool,
    /// The id of the procedure task it comes from.
    pub(super) rule: Option<String>,
    /// The number of the slot from which it may be done, before its own.
    pub(super) earliest: Option<usize>,
    /// Its number among the procedure's tasks.
    pub(super) number: usize,
}

/// The least and the most of what is written down, by name.
pub(super) type Limits = BTreeMap<String, (Option<f64>, Option<f64>)>;

/// What a draft is made from, beside the rule's task.
pub(super) struct Making<'a> {
    pub(super) id: String,
    pub(super) slot: &'a Slot,
    pub(super) area: Option<Area>,
    pub(super) links: Vec<String>,
    pub(super) trade: Option<&'a String>,
    pub(super) scope: &'a Scopes,
    pub(super) courses: &'a Courses<'a>,
    /// The mounts that evidence `per: mount` is written down for.
    pub(super) mounts: &'a [(&'a String, &'a Mount)],
    /// The limits of what the mounts' own tasks write down, by `name.mount`.
    pub(super) of_mounts: &'a Limits,
    pub(super) place: Place,
}

/// The task with its numbers, what it does to the states, and what it comes after.
pub(super) fn draft(rule: &written::Task, making: &Making<'_>, report: &mut Report) -> Draft {
    let task = task(rule, making, report);
    let whom = Whom {
        slot: Some(making.slot),
        links: &task.links,
        mounts: making.mounts,
    };
    let mut steps = |written| making.courses.steps(written, whom, &making.place, report);
    Draft {
        makes: steps(&rule.makes),
        during: steps(&rule.during),
        task,
        after: rule.after.iter().map(|after| after.task.clone()).collect(),
        opens: false,
        closes: false,
        rule: None,
        earliest: None,
        number: usize::MAX,
    }
}

fn task(rule: &written::Task, making: &Making<'_>, report: &mut Report) -> Task {
    let mut fill = Fill {
        scope: making.scope,
        place: &making.place,
        report,
    };
    let [low, likely, high] = rule.minutes;
    let area = area(rule, making.area);
    let trade = rule.trade.as_ref().or(making.trade);
    let (tools, cautions, evidence): (&[_], &[_], &[_]) = if making.courses.told {
        (&rule.tools, &rule.cautions, &rule.evidence)
    } else {
        Default::default()
    };
    let how = rule.evidence.iter().filter_map(|one| one.how.as_ref());
    // In full, so that whoever adds a field is asked where it comes from.
    let mut task = Task {
        id: making.id.clone(),
        slot: making.slot.number,
        stage: making.slot.stage,
        group: making.slot.group.clone(),
        side: making.slot.side,
        area,
        also_at: Vec::new(),
        place: spot(rule, area),
        looks: rule.looks,
        attended: false,
        awaited: false,
        overnight: true,
        shuts_out: shuts_out(rule),
        waits: Vec::new(),
        moment: making.slot.moment,
        sign: sign(rule),
        makes: BTreeMap::new(),
        during: BTreeMap::new(),
        title: fill.text(&rule.title),
        links: making.links.clone(),
        failed_before: false,
        steps: fill.texts(rule.steps.iter().chain(how)),
        tools: fill.texts(tools),
        parts: rule.parts.iter().map(|part| fill.part(part)).collect(),
        minutes: Minutes { high, likely, low },
        people: fill.people(rule.people.as_ref()) + u32::from(rule.watch),
        watch: rule.watch,
        apprentice: rule.apprentice.unwrap_or(true),
        trade: trade.filter(|trade| *trade != WORKSHOP).cloned(),
        uses: rule.uses.clone(),
        evidence: fill.evidence(evidence, making),
        hold: rule.hold.clone(),
        cautions: fill.texts(cautions),
        due: rule.due.clone(),
        after: After::default(),
        rests_on: Vec::new(),
        stood: BTreeMap::new(),
        set_up: BTreeMap::new(),
        raised: BTreeMap::new(),
        number: 0,
        signed_with: 0,
        origin: Some(making.place.clone()),
    };
    task.stand_also_at(fill.places(&rule.also_at));
    task
}

fn area(rule: &written::Task, of_class: Option<Area>) -> Option<Area> {
    let own = rule.area.as_deref().and_then(|word| word.parse().ok());
    own.or(of_class)
}

/// Where people are: where the rule says, else in the area.
fn spot(rule: &written::Task, area: Option<Area>) -> Spot {
    let place = rule.place.as_deref().and_then(|word| word.parse().ok());
    place.unwrap_or_else(|| Spot::of(area))
}

fn shuts_out(rule: &written::Task) -> Vec<Spot> {
    let places = rule.shuts_out.iter();
    places.filter_map(|word| word.parse().ok()).collect()
}

/// How a rule's task is signed: checked where a second person must look, done where something is written down.
fn sign(rule: &written::Task) -> Sign {
    match (rule.hold.is_some() || rule.looks, rule.evidence.is_empty()) {
        (true, _) => Sign::Checked,
        (false, false) => Sign::Done,
        (false, true) => Sign::Tick,
    }
}

/// The word for what is counted; a piece where the rule names nothing that is known.
fn counted(word: Option<&str>) -> &'static str {
    let known = COUNTED.iter().map(|(one, _)| *one);
    let found = known.into_iter().find(|one| Some(*one) == word);
    found.unwrap_or("piece")
}

struct Fill<'a> {
    scope: &'a Scopes,
    place: &'a Place,
    report: &'a mut Report,
}

impl Fill<'_> {
    fn text(&mut self, template: &str) -> Text {
        match self.scope.render(template) {
            Ok(text) => text,
            Err(error) => {
                self.failed(error.to_string());
                Text::default()
            }
        }
    }

    fn texts<'t>(&mut self, templates: impl IntoIterator<Item = &'t String>) -> Vec<Text> {
        let texts = templates.into_iter().map(|template| self.text(template));
        texts
            .filter(|text| !text.marked().trim().is_empty())
            .collect()
    }

    /// The places that texts give on this job.
    fn places(&mut self, templates: &[String]) -> Vec<Spot> {
        let texts = self.texts(templates).into_iter();
        let words = texts.map(|text| text.written().trim().to_owned());
        let mut spots = Vec::new();
        for word in words {
            match word.parse() {
                Ok(spot) => spots.push(spot),
                Err(_) => self.failed(format!("`{word}` is no place in which somebody is")),
            }
        }
        spots
    }

    /// How many people, those who only watch left out.
    fn people(&mut self, written: Option<&Written>) -> u32 {
        let count = written.and_then(|written| self.limit(written.as_str(), Round::Up));
        // A number of people, far below what fits.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        count.map_or(1, |count| count.ceil().clamp(1.0, 1e3) as u32)
    }

    fn part(&mut self, part: &written::BenchPart) -> BenchPart {
        BenchPart {
            what: self.text(&part.what),
            count: part.count.unwrap_or(1),
            counted: counted(part.counted.as_deref()),
            kind: part.kind.parse().unwrap_or(PartKind::Other),
            sizes: part
                .size
                .iter()
                .filter_map(|(name, size)| self.size(name, size))
                .sorted_map(),
            shared: part.shared,
        }
    }

    /// A size that is known for this job.
    fn size(&mut self, name: &str, written: &Written) -> Option<(Size, Sized)> {
        let size: Size = name.parse().ok()?;
        let found = if size.is_word() {
            let word = self.text(written.as_str()).written();
            Some(Sized::Word(word)).filter(|_| !written.as_str().is_empty())
        } else {
            self.limit(written.as_str(), Round::Up).map(Sized::Mm)
        };
        Some((size, found?))
    }

    /// Evidence as asked, once for each mount where the rule says so.
    fn evidence(&mut self, rules: &[written::Evidence], making: &Making<'_>) -> Vec<Evidence> {
        let mut all = Vec::new();
        for rule in rules {
            let one = Evidence {
                name: rule.name.clone(),
                ask: self.text(&rule.ask),
                item: None,
                kind: rule.kind.clone(),
                unit: rule.unit.as_deref().and_then(|word| word.parse().ok()),
                least: None,
                most: None,
            };
            if rule.per.as_deref() != Some("mount") {
                let (least, most) = self.limits(rule, None);
                all.push(Evidence { least, most, ..one });
                continue;
            }
            for (id, mount) in making.mounts {
                let mut of = rule.limits_of.iter().map(|of| format!("{of}.{id}"));
                let of = of.find_map(|of| making.of_mounts.get(&of));
                let own = || self.limits(rule, Some(mount));
                let (least, most) = of.copied().unwrap_or_else(own);
                all.push(Evidence {
                    name: format!("{}.{id}", rule.name),
                    item: Some(format!("mount {id}")),
                    least,
                    most,
                    ..one.clone()
                });
            }
        }
        all
    }

    /// The limits of evidence, for a mount with the height of its own block.
    fn limits(
        &mut self,
        rule: &written::Evidence,
        mount: Option<&Mount>,
    ) -> (Option<f64>, Option<f64>) {
        let mut scope = Cow::Borrowed(self.scope);
        if let Some(mount) = mount.filter(|_| rule.least.is_some() || rule.most.is_some()) {
            let scope = scope.to_mut();
            scope.each(|names| names.set("mount_spacer", mount.spacer));
        }
        let mut limit = |limit: &Option<Written>, side| {
            let limit = limit.as_ref()?;
            self.limit_in(&scope, limit.as_str(), side)
        };
        (
            limit(&rule.least, Round::Up),
            limit(&rule.most, Round::Down),
        )
    }

    fn limit(&mut self, text: &str, side: Round) -> Option<f64> {
        self.limit_in(self.scope, text, side)
    }

    fn limit_in(&mut self, scope: &Scopes, text: &str, side: Round) -> Option<f64> {
        let limit = Expr::compile(text).and_then(|limit| scope.limit(&limit, side));
        match limit {
            Ok(limit) => limit,
            Err(error) => {
                self.failed(error.to_string());
                None
            }
        }
    }

    fn failed(&mut self, message: String) {
        let problem = Problem::error(Code::BadExpression, message)
            .at(self.place.clone())
            .help("correct the rule; `liftsheet check` finds most such mistakes");
        self.report.push(problem);
    }
}
