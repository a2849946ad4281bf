//! The workshop's page through the real program: who is let in, what is written and signed there, and what is refused at the door.

mod door;
mod signed;
mod survey;
mod who;
mod wrong;

use crate::support::commands::demo;
use crate::support::http::{Device, Reply, Served};
use crate::support::run::Bench;

/// A folder with the demo as `ridge`, its page open.
fn ridge() -> (Bench, Served) {
    let bench = Bench::new().file("ridge.yaml", demo());
    let served = Served::open(&bench);
    (bench, served)
}

/// Adds somebody, and gives the PIN that was drawn.
#[track_caller]
fn joined(device: &mut Device, name: &str, (roles, pin): (&[&str], Option<&str>)) -> String {
    let mut fields = vec![("act", "join"), ("name", name)];
    fields.extend(roles.iter().map(|role| ("role", *role)));
    fields.extend(pin.map(|pin| ("pin", pin)));
    drawn(&device.post("/people", &fields))
}

/// A supervisor signed in at the machine, and a fitter; gives that device and both PINs.
fn two(served: &Served) -> (Device, String, String) {
    let mut here = served.device();
    here.get("/people");
    let hazel = joined(&mut here, "R. Hazel", (&[], None));
    here.sign_in("r-hazel", Some(&hazel));
    here.get("/people");
    let alder = joined(&mut here, "T. Alder", (&["fitter"], Some(&hazel)));
    (here, hazel, alder)
}

/// The PIN that a page shows.
#[track_caller]
fn drawn(reply: &Reply) -> String {
    let body = &reply.body;
    let at = body.find("PIN is <strong class=\"big\">");
    let rest = &body[at.unwrap_or_else(|| panic!("no PIN:\n{body}"))..];
    rest.split(['>', '<']).nth(2).unwrap().to_owned()
}
