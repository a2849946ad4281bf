//! The workshop's page: the survey, the work and its signatures on the workshop's own devices, out of this program and from this machine.
//!
//! Takes a folder of jobs, or one job; answers browsers until it is told to end. Every page is made and every form is taken by a plain
//! function of the house and what was asked (`jobs`, `job`, `survey`, `reading`, `work`, `task`, `wrong`, `record`, `study`, `people`, `sign_in`); what they write goes
//! through `desk`, as what the command line writes. `door` is what every request passes, `ask` what is left of it, `answer` what goes back;
//! `house` is the files, `known` what was made of each, `sessions` who sits where; `look` fills in templates, `address` is where it listens.

mod address;
mod answer;
mod ask;
mod certificate;
mod cookie;
mod disk;
mod door;
mod fields;
mod house;
mod job;
mod jobs;
mod known;
mod look;
mod new;
mod people;
mod reading;
mod record;
mod sessions;
mod sign_in;
mod signing;
mod study;
mod survey;
mod task;
mod templates;
#[cfg(test)]
mod tests;
mod work;
mod wrong;

use std::io;
use std::net::IpAddr;
use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, State};
use axum::http::header;
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::routing::{MethodFilter, MethodRouter, get, on};
use clap::Args;

use self::answer::Answer;
use self::ask::{Ask, LARGEST};
use self::house::{Board, House};
use self::known::said;
use crate::desk::load::{Loaded, RulesArgs};
use crate::keys::Home;

const STYLE: &str = include_str!("../../templates/serve/page.css");
const SCRIPT: &str = include_str!("../../templates/serve/page.js");

/// What the page is made of, and where it is reached, as a command line gives it.
#[derive(Debug, Args)]
pub(crate) struct ServeArgs {
    /// The folder of the jobs, or one job file
    #[arg(value_name = "JOB|FOLDER", default_value = ".")]
    pub(crate) place: PathBuf,
    /// The port; 0 for one that is free
    #[arg(long, default_value_t = 8417)]
    port: u16,
    /// Open it to the workshop's network at this address of the machine (0.0.0.0 for all), by TLS; without it, to this machine alone
    #[arg(long, value_name = "ADDRESS")]
    on: Option<IpAddr>,
    /// The workshop's own certificate (PEM); without it the program makes one for this machine
    #[arg(long, value_name = "FILE", requires = "key", requires = "on")]
    certificate: Option<PathBuf>,
    /// The key of that certificate (PEM)
    #[arg(long, value_name = "FILE", requires = "certificate")]
    key: Option<PathBuf>,
    #[command(flatten)]
    rules: RulesArgs,
}

/// Why there is no page.
pub(crate) enum NotServed {
    /// The rules have mistakes.
    Rules(Box<Loaded>),
    Reason(String),
}

impl From<io::Error> for NotServed {
    fn from(error: io::Error) -> Self {
        Self::Reason(error.to_string())
    }
}

/// Answers browsers until the program is told to end; `tell` says where.
pub(crate) fn serve(args: &ServeArgs, tell: impl Fn(&Opened)) -> Result<(), NotServed> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(8)
        .enable_all()
        .build()?;
    let machine = address::machine();
    let names = address::names(&machine);
    let folder = crate::people::place_of(&args.place);
    if let Some(why) = args.on.and_then(|_| people::unready(&folder)) {
        return Err(NotServed::Reason(why));
    }
    let tls = if args.on.is_some() {
        let home = Home::of_this_machine()?;
        let own = args.certificate.clone().zip(args.key.clone());
        Some(certificate::read(own, home.path(), &names)?)
    } else {
        None
    };
    let listener = address::listener(args.on, args.port)?;
    let own = listener.local_addr()?;
    let scheme = if tls.is_some() { "https" } else { "http" };
    let opened = Opened {
        address: format!("{scheme}://{}", address::reached(own)),
        name: tls
            .as_ref()
            .map(|_| format!("{scheme}://{machine}:{}", own.port())),
        fingerprint: tls.as_ref().map(|tls| tls.fingerprint.clone()),
        certificate: tls.as_ref().map(|tls| tls.pem.clone()),
        elsewhere: disk::elsewhere(&folder),
    };
    let house = House::open(
        (args.place.clone(), args.rules.clone()),
        tls.is_some(),
        (names, own.port()),
        opened.clone(),
    );
    let house = house.map_err(|loaded| NotServed::Rules(Box::new(loaded)))?;
    tell(&opened);
    let tls = tls.map(|tls| tls.tls);
    runtime.block_on(address::answer(listener, tls, router(Arc::new(house))))?;
    Ok(())
}

/// Where the page is.
#[derive(Clone)]
pub(crate) struct Opened {
    /// The address to type.
    pub(crate) address: String,
    /// The same by the machine's name.
    pub(crate) name: Option<String>,
    /// What a device shows of the certificate.
    pub(crate) fingerprint: Option<String>,
    /// The certificate, for a device that is to trust it.
    certificate: Option<String>,
    /// The kind of the disk, where the folder lies on another machine.
    pub(crate) elsewhere: Option<String>,
}

/// The address as a code for a camera, to be drawn with signs on a terminal.
pub(crate) fn code(address: &str) -> Option<String> {
    let code = qrcode::QrCode::new(address).ok()?;
    Some(code.render::<qrcode::render::unicode::Dense1x2>().build())
}

/// A page of the house.
type OfHouse = fn(&House, &Ask) -> Answer;
/// A page of a job.
type OfJob = fn(&House, &Ask, &Board) -> Answer;

/// Every page by its address.
fn router(house: Arc<House>) -> Router {
    let (read, sent) = (MethodFilter::GET, MethodFilter::POST);
    let filled = read.or(sent);
    Router::new()
        .route("/", of_house(read, jobs::list))
        .route("/sign-in", of_house(filled, sign_in::page))
        .route("/new", of_house(filled, new::page))
        .route("/people", of_house(filled, people::page))
        .route("/leave", of_house(sent, sign_in::leave))
        .route("/job/{job}", of_job(read, job::hub))
        .route("/job/{job}/changed", of_job(sent, job::changed))
        .route("/job/{job}/apart", of_job(sent, job::put_together))
        .route("/job/{job}/survey", of_job(read, survey::list))
        .route("/job/{job}/survey/{stop}", of_job(filled, reading::page))
        .route("/job/{job}/without", of_job(sent, reading::without))
        .route("/job/{job}/back", of_job(sent, reading::back))
        .route("/job/{job}/verdict", of_job(sent, reading::verdict))
        .route("/job/{job}/work", of_job(read, work::mine))
        .route("/job/{job}/check", of_job(read, work::to_check))
        .route("/job/{job}/task/{number}", of_job(filled, task::page))
        .route(
            "/job/{job}/task/{number}/wrong",
            of_job(filled, wrong::page),
        )
        .route("/job/{job}/record", of_job(read, record::list))
        .route(
            "/job/{job}/photo/{digest}",
            of_job(read, record::photograph),
        )
        .route("/job/{job}/study", of_job(read, study::page))
        .route("/job/{job}/paper/{paper}", of_job(read, job::paper))
        .route("/certificate", of_house(read, jobs::certificate))
        .route("/page.css", file("text/css", STYLE))
        .route("/page.js", file("text/javascript", SCRIPT))
        .fallback(async || Answer::refused(404, "There is no such page."))
        .layer(DefaultBodyLimit::max(LARGEST))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&house),
            door::door,
        ))
        .with_state(house)
}

fn file(kind: &'static str, text: &'static str) -> MethodRouter<Arc<House>> {
    get(move || async move { Answer::File(kind, text.as_bytes().to_vec()) })
}

fn of_house(methods: MethodFilter, page: OfHouse) -> MethodRouter<Arc<House>> {
    on(methods, move |State(house): State<Arc<House>>, ask: Ask| {
        made(house, ask, page)
    })
}

fn of_job(methods: MethodFilter, page: OfJob) -> MethodRouter<Arc<House>> {
    let of_board = move |house: &House, ask: &Ask| match house.board(ask.part("job")) {
        _ if ask.is_strange(house) => Answer::Go("/sign-in".to_owned()),
        Ok(board) => page(house, ask, &board),
        Err(problem) => Answer::Refused(404, vec![said(&problem)]),
    };
    on(methods, move |State(house): State<Arc<House>>, ask: Ask| {
        made(house, ask, of_board)
    })
}

/// Makes a page where waiting for a file holds nobody else up, and gives a new device its cookie.
async fn made(
    house: Arc<House>,
    ask: Ask,
    page: impl FnOnce(&House, &Ask) -> Answer + Send + 'static,
) -> Response {
    let fresh = ask
        .fresh
        .then(|| cookie::kept(&ask.session.token, house.secure));
    let made = tokio::task::spawn_blocking(move || page(&house, &ask)).await;
    let answer = made.unwrap_or_else(|_| {
        Answer::refused(
            500,
            "The page could not be made. See whether something was written before you send it again.",
        )
    });
    let mut response = answer.into_response();
    if let Some(cookie) = fresh {
        response
            .headers_mut()
            .entry(header::SET_COOKIE)
            .or_insert(cookie);
    }
    response
}
