//! One job: where it stands, what is to be done with it, and its pages to print.

use serde_json::json;

use super::answer::Answer;
use super::ask::Ask;
use super::house::{Board, House};
use super::known::said;
use super::reading::Why;
use super::{jobs, look, people, reading, signing, work};
use crate::crew;
use crate::desk::open::Desk;
use crate::desk::photo;
use crate::document::{self, DocumentError, Look, Made, Page, url};
use crate::fill::{ToFill, ToWrite};
use crate::record::{Act, Wish, change_words};
use crate::report::numbered;

/// The pages to print.
const PAPERS: [(&str, &str); 8] = [
    ("sheet", "Job sheet"),
    ("survey", "Survey"),
    ("reasons", "Reasons, with the arithmetic"),
    ("brief", "Customer's page"),
    ("parts", "Parts and hours"),
    ("crew", "Who does what when"),
    (
        "card",
        "Card for the steering wheel: how the vehicle stands",
    ),
    ("signed", "Signed sheet, with the hand-over"),
];

/// `GET /job/{job}`
pub(super) fn hub(house: &House, ask: &Ask, board: &Board) -> Answer {
    show(house, ask, board, Why::default())
}

/// The same, with why nothing was written or signed.
fn show(house: &House, ask: &Ask, board: &Board, why: Why) -> Answer {
    let made = board.known.made.as_ref();
    let desk = board.desk.as_ref().ok();
    let (does, checks) = work::counts(board, ask.person());
    let changed = desk.map(changes).unwrap_or_default();
    let fell = desk.map(Desk::open_again).unwrap_or_default();
    let mut faults = why.faults;
    faults.extend(board.known.faults());
    faults.extend(board.desk.as_ref().err().map(said));
    // Such as a record that has lost lines, on which nothing is signed before somebody has said so.
    faults.extend(desk.and_then(|desk| desk.footing.doubt.as_ref()).map(said));
    let values = json!({
        "title": jobs::title(board),
        "job": jobs::head(board),
        "stands": jobs::stands(board),
        "vehicle": made.map_or("", |made| made.identification.as_str()),
        "faults": faults,
        "changed": changed,
        "sure": reading::sure(&fell),
        "fell": fell,
        "apart": desk.map(|desk| apart(board, desk)).unwrap_or_default(),
        "sure_apart": why.opens.as_deref().map_or_else(String::new, reading::sure),
        "opens": why.opens,
        "pin": ask.person().is_some_and(|person| people::has_pin(house, person)),
        "survey": made.map_or_else(String::new, |made| format!("{} to be measured", numbered(made.to_measure, "value"))),
        "work": now(desk, does),
        "check": now(desk, checks),
        "record": desk.map_or_else(String::new, |desk| numbered(desk.record.entries.len(), "entry")),
        "papers": PAPERS,
    });
    look::page("job.html", (house, ask), values)
}

/// How many tasks are somebody's turn; none as long as nothing can be signed.
fn now(desk: Option<&Desk>, count: usize) -> String {
    if desk.is_none_or(|desk| work::why_not(desk).is_some()) {
        "nothing can be signed yet".to_owned()
    } else {
        format!("{} now", numbered(count, "task"))
    }
}

/// What the job file says otherwise than was signed for.
fn changes(desk: &Desk) -> Vec<String> {
    let difference = &desk.footing.difference;
    if !(difference.counts() || difference.plan) || desk.record.entries.is_empty() {
        return Vec::new();
    }
    let all = difference.identity.iter().chain(&difference.changes);
    let mut said: Vec<String> = all.map(change_words).collect();
    let rules = desk.footing.rules_words();
    said.extend(rules.map(|words| document::capital(&format!("{words}."))));
    if said.is_empty() {
        said.push("The plan is another one.".to_owned());
    }
    said
}

/// What was taken apart and the plan of now does not put together again: connections, by id with their titles.
fn apart(board: &Board, desk: &Desk) -> Vec<(String, String)> {
    let left = desk.footing.difference.left_apart.keys();
    let links = left.filter_map(|state| state.strip_prefix("link "));
    let stops = board.known.made.as_ref().map(|made| &made.stops);
    let title = |id: &str| {
        let mut stops = stops.into_iter().flatten();
        let stop = stops.find(|stop| stop.id == id);
        stop.map_or_else(|| id.to_owned(), |stop| stop.title.clone())
    };
    links.map(|id| (id.to_owned(), title(id))).collect()
}

/// `POST /job/{job}/apart`: what was taken apart is put together again and checked, whatever is measured there.
pub(super) fn put_together(house: &House, ask: &Ask, board: &Board) -> Answer {
    let (Some(_), Ok(desk)) = (ask.person(), &board.desk) else {
        return Answer::Go("/sign-in".to_owned());
    };
    let apart = apart(board, desk).into_iter();
    let (changes, told): (Vec<_>, Vec<_>) = apart
        .map(|(id, title)| {
            let change = ToWrite::new(&format!("{id}.apart"), "yes");
            (
                change,
                format!("{title} is put together and checked again."),
            )
        })
        .unzip();
    match reading::enter(house, ask, board, (&ToFill::of(changes), told)) {
        Ok(()) => Answer::Go(format!("/job/{}", url(&board.id))),
        Err(why) => show(house, ask, board, why),
    }
}

/// `POST /job/{job}/changed`: somebody signs for what the job file says now.
pub(super) fn changed(house: &House, ask: &Ask, board: &Board) -> Answer {
    let Some(person) = ask.person() else {
        return Answer::Go("/sign-in".to_owned());
    };
    let fell = board
        .desk
        .as_ref()
        .map(Desk::open_again)
        .unwrap_or_default();
    let sure = reading::sure(&fell);
    if ask.form.get("much").is_some_and(|seen| seen != sure) {
        let why =
            "What opens again is otherwise than on the screen. Look at it once more, then sign.";
        return show(house, ask, board, Why::faults(vec![why.to_owned()]));
    }
    let wish = Wish {
        note: ask.form.get("note").map(ToOwned::to_owned),
        rules_given: !house.rules.rules.is_empty(),
        ..Wish::new(Act::Changed, person, ask.now)
    };
    match signing::sign(house, ask, board, (wish, Vec::<photo::Taken>::new())) {
        Ok(told) => {
            ask.tell(house, told);
            Answer::Go(format!("/job/{}", url(&board.id)))
        }
        Err(problems) => {
            let faults = problems.iter().map(said).collect();
            show(house, ask, board, Why::faults(faults))
        }
    }
}

/// `GET /job/{job}/paper/{paper}`
pub(super) fn paper(house: &House, ask: &Ask, board: &Board) -> Answer {
    let look = Look::default();
    let page = match ask.part("paper") {
        "signed" => board.desk.as_ref().ok().map(|desk| signed(desk, look)),
        "card" => board.desk.as_ref().ok().map(card),
        name => board.known.with(|made| drawn(name, &made, look)).flatten(),
    };
    let html = page.map(|page| {
        let mut page = page?;
        if let Some(fingerprint) = &house.opened.fingerprint {
            page.markdown.push_str(&from_here(house, fingerprint));
        }
        document::html(&page, look).map_err(|error| unmade(&error))
    });
    match html {
        Some(Ok(html)) => Answer::Paper(html),
        Some(Err(why)) => why,
        None => Answer::refused(404, "There is no such page of this job now."),
    }
}

fn unmade(error: &DocumentError) -> Answer {
    Answer::refused(500, &error.to_string())
}

/// Where the page came from, so that a device can be shown the same certificate on paper.
fn from_here(house: &House, fingerprint: &str) -> String {
    let address = &house.opened.address;
    format!(
        "\n\nPrinted from {address}, whose certificate has the SHA-256 fingerprint `{fingerprint}`\n"
    )
}

type Drawn = Result<Page, Answer>;

fn drawn(name: &str, made: &Made<'_>, look: Look) -> Option<Drawn> {
    let page = match name {
        "sheet" => document::sheet(made, look),
        "survey" => document::survey(made, look),
        "reasons" => document::reasons(made, look),
        "brief" => document::brief(made, look),
        "parts" => document::parts(made, look),
        // Nobody may be there for a task: whom, the refusal says.
        "crew" => match crew::crew(made, None, None) {
            Ok(crew) => document::crew(made, &crew, look),
            Err(problem) => return Some(Err(Answer::Refused(409, vec![said(&problem)]))),
        },
        _ => return None,
    };
    Some(page.map_err(|error| unmade(&error)))
}

fn card(desk: &Desk) -> Drawn {
    let status = desk.footing.status(&desk.record);
    let card = document::card(&desk.footing, (&status, &desk.record));
    card.map_err(|error| unmade(&error))
}

fn signed(desk: &Desk, look: Look) -> Drawn {
    let status = desk.footing.status(&desk.record);
    document::signed(
        &desk.footing,
        (&status, &desk.record),
        (&desk.path, &photo::shown(desk), &photo::lost(desk)),
        look,
    )
    .map_err(|error| unmade(&error))
}
