//! What cannot be scheduled, said in the words of the job.

use std::collections::BTreeSet;

use super::network::{Network, Share, Stuck};
use super::team::Team;
use crate::pipeline::Made;
use crate::plan::Task;
use crate::report::{Code, Path, Place, Problem};
use crate::sorted::Sorted as _;

/// Tasks that are spread over a crew: ten times those of a vehicle with everything on it.
const MOST_TASKS: usize = 2_000;
/// People of one crew.
const MOST_PEOPLE: usize = 40;

/// Refuses a job of which nothing is left.
pub(super) fn none_left(made: &Made<'_>) -> Problem {
    let message = "nothing is left to be done until the vehicle is handed over";
    Problem::error(Code::AlreadySigned, message)
        .at(Place::file(&made.job.file))
        .help("`liftsheet record` shows what waits to be checked")
}

/// Refuses more work or more people than a schedule is found for in good time.
pub(super) fn too_many(tasks: usize, people: usize) -> Option<Problem> {
    let (count, most, what) = match (tasks, people) {
        (tasks, _) if tasks > MOST_TASKS => (tasks, MOST_TASKS, "tasks"),
        (_, people) if people > MOST_PEOPLE => (people, MOST_PEOPLE, "people"),
        _ => return None,
    };
    let message = format!("{count} {what} are more than a schedule is made for: at most {most}");
    let problem = Problem::error(Code::TooMany, message);
    Some(problem.help("the job sheet takes more; schedule a part of the work, or name a smaller crew with `--with`"))
}

/// Refuses work that takes a thing of which the job file says that there is none; a thing that nothing takes may be missing.
pub(super) fn none_there(made: &Made<'_>, tasks: &[&Task]) -> Option<Problem> {
    let things = &made.job.things;
    let taken = tasks.iter().find_map(|task| {
        let thing = task.uses.iter();
        let mut thing = thing.filter(|thing| things.get(thing.as_str()) == Some(&0));
        Some((task, thing.next()?))
    });
    let (task, thing) = taken?;
    let message = format!(
        "`{}` takes a {thing}, and the job file says that there is none",
        task.id
    );
    let path = Path::root().key("things").key(thing.as_str());
    let help = format!("hire or borrow one and write `{thing}: 1`; left out, it counts as one");
    Some(
        Problem::error(Code::NeverThere, message)
            .at(made.job.place(&path))
            .help(help),
    )
}

/// The problem behind a network that cannot be scheduled.
pub(super) fn problem(
    stuck: &Stuck,
    made: &Made<'_>,
    tasks: &[&Task],
    (network, team): (&Network, &Team),
) -> Problem {
    let id = |position: &usize| tasks.get(*position).map_or("", |task| task.id.as_str());
    let problem = match stuck {
        Stuck::Circle(circle) => {
            let ids: Vec<String> = circle
                .iter()
                .map(|task| format!("`{}`", id(task)))
                .collect();
            let message = format!("these tasks wait for each other: {}", ids.join(", "));
            Problem::error(Code::Cycle, message).help("take one of their `after` out")
        }
        Stuck::TooLong(task) => too_long(id(task)),
        Stuck::NoTime(task) => no_time(id(task)),
        Stuck::Nobody(task) => nobody(*task, tasks, (network, team)),
    };
    match (team.made_up, made.job.people_of_folder) {
        (true, _) => problem,
        (false, false) => problem.at(Place::new(&made.job.file, Path::root().key("people"))),
        (false, true) => {
            let problem = problem.at(Place::file(&made.job.file));
            match problem.code {
                Code::NobodyLicensed => problem.help(of_folder("licence")),
                Code::TooFewPeople => problem.help(of_folder("role")),
                _ => problem,
            }
        }
    }
}

/// How somebody is given a licence or a role where the folder has people of its own.
pub(crate) fn of_folder(what: &str) -> String {
    let join = match what {
        "licence" => "--role … --licence …",
        _ => "--role …",
    };
    format!(
        "this folder has its own list of people: `liftsheet people DIR --join ID --name … {join} --by …` adds somebody, `liftsheet people DIR --change ID --{what} … --by …` says all that one holds from then on"
    )
}

fn too_long(id: &str) -> Problem {
    let message = format!(
        "`{id}` may not be left half done, and no working day of its people is long enough for it"
    );
    Problem::error(Code::LongerThanADay, message)
        .help("give its people longer hours on one day, or take another crew with `--with`")
}

fn no_time(id: &str) -> Problem {
    let message = format!("nobody finds time for `{id}` within a year of the start");
    Problem::error(Code::NeverThere, message)
        .help("look at `hours`, `days` and `away` of the people who may do it, and at `things`, or take another crew with `--with`")
}

fn nobody(position: usize, tasks: &[&Task], (network, team): (&Network, &Team)) -> Problem {
    let (id, trade) = tasks
        .get(position)
        .map_or(("", None), |task| (task.id.as_str(), task.trade.as_deref()));
    let seats = network
        .tasks
        .get(position)
        .map_or(&[][..], |task| &task.seats);
    let empty = |part| {
        seats
            .iter()
            .any(|seat| seat.part == part && seat.who.is_empty())
    };
    if let Some(trade) = trade.filter(|_| empty(Share::Leads)) {
        let message = format!(
            "`{id}` is for the trade `{trade}`, and nobody of the crew holds a licence for it"
        );
        return Problem::error(Code::NobodyLicensed, message)
            .help("add somebody with that licence under `people`, who may come on call");
    }
    let crew = people(team.members.len());
    let message = if empty(Share::Leads) {
        format!("`{id}` takes a fitter, and none is among the {crew} of the crew")
    } else if empty(Share::Signs) {
        format!("`{id}` takes a supervisor who signs, and none is among the {crew} of the crew")
    } else {
        let may: BTreeSet<usize> = seats
            .iter()
            .flat_map(|seat| &seat.who)
            .copied()
            .sorted_set();
        format!(
            "`{id}` takes {} different people who may do their part of it; of the {crew} of the crew, {} may",
            seats.len(),
            may.len()
        )
    };
    Problem::error(Code::TooFewPeople, message)
        .help("add people under `people`, who may come on call, or take another crew with `--with`")
}

/// `1 person`, `4 people`.
fn people(count: usize) -> String {
    match count {
        1 => "1 person".to_owned(),
        _ => format!("{count} people"),
    }
}
