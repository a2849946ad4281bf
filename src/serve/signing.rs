//! A form that signs something of a job: what it says, who proves it, and its entry in the record.
//!
//! Takes what was filled in; signs in the record's own way, or gives every reason why not. Nothing is said to be signed before it is on the
//! disk.

use super::ask::Ask;
use super::house::{Board, House};
use super::known::said;
use super::people;
use crate::desk;
use crate::desk::load::Loaded;
use crate::desk::open::{self, Desk};
use crate::desk::photo::{self, Taken};
use crate::desk::sign::{MUCH, ToSign, failed, lots};
use crate::document::capital;
use crate::people::Proof;
use crate::record::{Act, NoTime, Time, Wish, Zone, no_time};
use crate::report::{Problem, every};

/// A printed task of a job, with everything on the table.
pub(super) type Screen<'a> = (&'a Board, &'a Desk, usize);

/// What is said to whoever sends a screen that says something else now.
pub(super) const ANOTHER: &str = "This task, or what is signed of it, is another one than was on the screen. Look at it once more, then sign.";

/// What a form of a task says, but for what it is about.
pub(super) fn form(
    ask: &Ask,
    desk: &Desk,
    (act, person): (Act, &str),
) -> Result<(Wish, Vec<Taken>), Vec<String>> {
    let once = ask.form.get("once").filter(|once| is_lots(once));
    let once = once.ok_or_else(|| vec!["The form does not say which it is.".to_owned()])?;
    let photos = photos(ask)?;
    let at = ask
        .form
        .get("when")
        .map(|text| when(&desk.footing.zone, text));
    // What a device kept says when it was filled in.
    let observed = ask.form.get("observed");
    let observed = observed.and_then(|text| desk.footing.zone.parse(text).ok());
    let observed = observed.filter(|at: &Time| at.seconds() < ask.now.seconds() - 60);
    let at = at.transpose()?.or(observed);
    let wish = Wish {
        once: Some(once.to_owned()),
        sheet: Some(desk.footing.agreed.short()),
        values: ask
            .form
            .under("a:")
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect(),
        photos: photos
            .iter()
            .map(|taken| (taken.name.clone(), taken.photo.clone()))
            .collect(),
        note: ask.form.get("note").map(ToOwned::to_owned),
        odometer: ask.form.get("odometer").map(ToOwned::to_owned),
        wrench: ask.form.get("wrench").map(ToOwned::to_owned),
        at,
        ..Wish::new(act, person, ask.now)
    };
    Ok((wish, photos))
}

/// Whether a text is such as [`lots`] gives.
fn is_lots(text: &str) -> bool {
    text.len() == 32 && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// When something was done, as a browser's field gives it: by the workshop's clock, and by the one that pages show where no zone is named.
fn when(zone: &Zone, text: &str) -> Result<Time, Vec<String>> {
    let read = match zone.parse(text) {
        Err(NoTime::NoZone) => zone.parse(&format!("{text}:00Z")),
        read => read,
    };
    read.map_err(|why| vec![said(&no_time(text, why))])
}

/// Signs on the record as it stands now, whatever was on the screen; gives what is said of it.
pub(super) fn sign(
    house: &House,
    ask: &Ask,
    board: &Board,
    (wish, photos): (Wish, Vec<Taken>),
) -> Result<Vec<String>, Vec<Problem>> {
    let id = lots().map_err(failed)?;
    let proof = proof(house, ask, &wish).map_err(failed)?;
    let proofs = proof
        .map(|proof| (wish.by.clone(), proof))
        .into_iter()
        .collect();
    let asked = ToSign {
        wish: Wish { proofs, id, ..wish },
        table: None,
        photos,
    };
    let mut loaded = Loaded::default();
    let Some(desk) = open::open(&board.path, (&house.rules, |_| {}), &mut loaded) else {
        return Err(loaded.report.problems);
    };
    asked.signed(&desk.footing, &desk.record)?;
    // Whoever ticks it has been told that much opens again.
    let most = ask.form.get("much").map_or(MUCH, |_| usize::MAX);
    let (text, warning) = desk::sign::sign(&desk, &asked, most)?;
    let lines = text.lines().map(|line| capital(line.trim()));
    Ok(lines.chain(warning.as_ref().map(said)).collect())
}

/// What proves who signs: for work and remarks the PIN that was given at this device, for a check and whatever else has a say in how the work
/// goes on the PIN once more.
fn proof(house: &House, ask: &Ask, wish: &Wish) -> Result<Option<Proof>, Problem> {
    match wish.act {
        Act::Done | Act::Measured | Act::Noted => Ok(ask.session.proof.clone()),
        _ => people::proved(house, ask, &wish.by),
    }
}

/// The photographs of a form, each told by its first bytes.
fn photos(ask: &Ask) -> Result<Vec<Taken>, Vec<String>> {
    every(ask.photos.iter().map(|(field, bytes)| {
        let name = field.strip_prefix("a:").map(ToOwned::to_owned);
        photo::of_bytes(name, bytes.clone()).map_err(|problem| said(&problem))
    }))
}

/// What stood on the screen, in a digest: whoever signs, signs for that. Whoever checks work signs for its readings, too; work itself goes on
/// beside what others sign of the same task.
pub(super) fn seen(desk: &Desk, number: usize, act: Act) -> String {
    let status = desk.footing.status(&desk.record);
    let own = status.signed_off_with(number);
    let own = own.into_iter().map(|one| {
        let last = one.history.last().filter(|_| act != Act::Done);
        let last = last.map_or(0, |entry| entry.number);
        format!("{} {last}", one.task.digest)
    });
    crate::record::sha256(own.collect::<Vec<_>>().join(" ").as_bytes())
}
