//! A second reader of the plan's JSON, which knows nothing of the planner: it walks the tasks in order, keeps the vehicle's states and says
//! where one does not hold, goes backwards or is not brought to its end, and where something is asked for before its moment.

use std::collections::BTreeMap;

use serde_json::Value;

/// What each moment of the check needs of the vehicle: a state, the step that it has reached, and the step that it has not passed yet. A
/// step that no task of the plan makes is not asked for. Facts of the trade: common practice.
const MOMENTS: [(&str, &[(&str, &str)]); 8] = [
    ("filled and bled", &[("vehicle", "up to check")]),
    ("powered", &[("battery on", "cleared")]),
    ("wheels down", &[("battery", "connected again")]),
    (
        "idling",
        &[
            ("first start", "cleared"),
            ("vehicle", "wheels down"),
            ("battery", "connected again"),
            ("brakes", "ready"),
            ("clutch", "ready"),
            ("fuel", "ready"),
            ("coolant", "filled"),
        ],
    ),
    ("hot", &[("engine", "idling")]),
    (
        "yard",
        &[
            ("engine", "hot"),
            ("moving", "cleared"),
            ("steering", "centred and proven"),
            ("bonnet", "shut again"),
        ],
    ),
    (
        "road",
        &[("chocks", "out for the road"), ("wheels", "nuts torqued")],
    ),
    ("after the road, cold", &[("engine", "driven")]),
];

struct Course {
    steps: Vec<String>,
    /// The places that each step shuts everybody out of.
    shuts: BTreeMap<String, Vec<Value>>,
    /// Where it stands.
    at: usize,
    /// How many tasks of the plan still make each step.
    makers: BTreeMap<usize, usize>,
    hand_over: Option<usize>,
}

impl Course {
    fn number(&self, step: &str) -> Result<usize, String> {
        let found = self.steps.iter().position(|one| one == step);
        found.ok_or_else(|| format!("no step `{step}`"))
    }

    /// Whether every maker of a step up to this one is done.
    fn reached(&self, step: usize) -> bool {
        self.makers.range(..=step).all(|(_, left)| *left == 0)
    }
}

/// Everything that is wrong with the order of a plan's tasks.
pub(crate) fn faults(plan: &Value) -> Vec<String> {
    let tasks = plan["tasks"].as_array().unwrap();
    let mut walk = Walk {
        courses: courses(plan),
        faults: Vec::new(),
    };
    for task in tasks {
        walk.announce(task);
    }
    let mut slot = 0;
    for task in tasks {
        let own = task["slot"].as_u64().unwrap();
        if own < slot {
            walk.note(task, "stands after a later stretch of the work");
        }
        slot = own;
        for (instance, run) in task["while"].as_object().unwrap() {
            if let Err(fault) = holds(&walk.courses, instance, run.as_str().unwrap()) {
                walk.note(task, &fault);
            }
        }
        walk.moment(task);
        walk.shut_out(task);
        walk.make(task);
    }
    walk.ends();
    walk.faults
}

struct Walk {
    courses: BTreeMap<String, Course>,
    faults: Vec<String>,
}

impl Walk {
    fn note(&mut self, task: &Value, what: &str) {
        self.faults.push(format!("{}: {what}", task["id"]));
    }

    /// Counts who makes what.
    fn announce(&mut self, task: &Value) {
        for (instance, step) in task["makes"].as_object().unwrap() {
            let Some(course) = self.courses.get_mut(instance) else {
                self.note(task, &format!("makes the unknown `{instance}`"));
                continue;
            };
            match course.number(step.as_str().unwrap()) {
                Ok(step) => *course.makers.entry(step).or_default() += 1,
                Err(fault) => self.note(task, &fault),
            }
        }
    }

    /// What is asked for at a moment can be answered there. What opens a moment is in it, so only what is done for a link must find all that
    /// its own moment needs.
    fn moment(&mut self, task: &Value) {
        let moment = task["moment"].as_str().unwrap_or_default();
        let Some(own) = MOMENTS.iter().position(|(name, _)| *name == moment) else {
            return;
        };
        let for_links = !task["for"].as_array().unwrap().is_empty();
        for (_, states) in &MOMENTS[..own + usize::from(for_links)] {
            for (state, step) in *states {
                let late = self.courses.get(*state).is_some_and(|course| {
                    course.number(step).is_ok_and(|step| !course.reached(step))
                });
                if late {
                    self.note(
                        task,
                        &format!("is done in `{moment}`, and `{state}` is not yet `{step}`"),
                    );
                }
            }
        }
    }

    /// Nobody works where the vehicle, as it then stands, shuts everybody out; whoever makes a step is there before it.
    fn shut_out(&mut self, task: &Value) {
        let also = task["also_at"].as_array().unwrap().iter();
        let places: Vec<&Value> = also.chain([&task["place"]]).collect();
        let courses = self.courses.iter();
        let shut = courses.filter_map(|(instance, course)| {
            let shuts = course.shuts.get(&course.steps[course.at])?;
            let inside = places.iter().any(|place| shuts.contains(place));
            inside.then_some(instance.clone())
        });
        for instance in shut.collect::<Vec<_>>() {
            self.note(
                task,
                &format!("is done where `{instance}` shuts everybody out"),
            );
        }
    }

    fn make(&mut self, task: &Value) {
        for (instance, step) in task["makes"].as_object().unwrap() {
            let Some(course) = self.courses.get_mut(instance) else {
                continue;
            };
            let Ok(step) = course.number(step.as_str().unwrap()) else {
                continue;
            };
            let name = course.steps[step].clone();
            let (back, skips) = (step < course.at, step > 0 && !course.reached(step - 1));
            course.at = course.at.max(step);
            *course.makers.get_mut(&step).unwrap() -= 1;
            if back {
                self.note(task, &format!("`{instance}` would go back to `{name}`"));
            }
            if skips {
                self.note(task, &format!("`{instance}` skips a step before `{name}`"));
            }
        }
    }

    fn ends(&mut self) {
        for (instance, course) in &self.courses {
            let ended = course
                .hand_over
                .is_none_or(|end| course.at == 0 || course.at == end);
            if !ended {
                self.faults.push(format!(
                    "`{instance}` ends as `{}`",
                    course.steps[course.at]
                ));
            }
        }
    }
}

fn courses(plan: &Value) -> BTreeMap<String, Course> {
    let mut courses = BTreeMap::new();
    for state in plan["states"].as_object().unwrap().values() {
        let steps = state["course"].as_array().unwrap();
        let steps: Vec<String> = steps
            .iter()
            .map(|step| step.as_str().unwrap().to_owned())
            .collect();
        let hand_over = state["hand_over"].as_str();
        let hand_over = hand_over.and_then(|end| steps.iter().position(|step| step == end));
        for instance in state["instances"].as_array().unwrap() {
            let course = Course {
                steps: steps.clone(),
                shuts: serde_json::from_value(state["shuts_out"].clone()).unwrap(),
                at: 0,
                makers: BTreeMap::new(),
                hand_over,
            };
            courses.insert(instance.as_str().unwrap().to_owned(), course);
        }
    }
    courses
}

/// Whether a state stands within a run of steps: it has not passed the last, and all that leads up to the first is done.
fn holds(courses: &BTreeMap<String, Course>, instance: &str, run: &str) -> Result<(), String> {
    let course = courses
        .get(instance)
        .ok_or_else(|| format!("there is no `{instance}`"))?;
    let (from, to) = run.split_once("..").unwrap_or((run, run));
    let (from, to) = (course.number(from)?, course.number(to)?);
    if course.at > to || !course.reached(from) {
        return Err(format!(
            "needs `{instance}` to be `{run}`, and it is `{}`",
            course.steps[course.at]
        ));
    }
    Ok(())
}
