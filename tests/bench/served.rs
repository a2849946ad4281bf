//! The workshop's page: what making each of its pages takes against an empty one of the same server, how large each is, and whether ten
//! devices at once lose an answer.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::thread;

use liftsheet::rules::builtin;

use super::{Budget, Line, least};

const RUNS: usize = 40;
const DEVICES: usize = 10;
const EACH: usize = 50;
/// No page is larger than so many bytes, its photographs aside.
const LARGEST: usize = 60_000;

const PAGES: [&str; 7] = [
    "/",
    "/job/ridge",
    "/job/ridge/survey",
    "/job/ridge/survey/filler-hose",
    "/job/ridge/work",
    "/job/ridge/task/2",
    "/job/ridge/study",
];

/// The program with its page open; ended when it is dropped.
struct Page {
    child: Child,
    port: u16,
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(super) fn table() -> Vec<Line> {
    let folder = tempfile::tempdir().unwrap();
    let demo = builtin::file("demo/forestry-crew.yaml").unwrap();
    std::fs::write(folder.path().join("ridge.yaml"), demo.text()).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_liftsheet"));
    command
        .args(["serve", "--port", "0"])
        .env(liftsheet::keys::HOME, folder.path().join("home"))
        .current_dir(folder.path())
        .stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut said = String::new();
    let out = child.stdout.take().unwrap();
    BufReader::new(out).read_line(&mut said).unwrap();
    let port = said.trim().rsplit(':').next().unwrap().parse().unwrap();
    let page = Page { child, port };
    let empty = least(RUNS, || drop(get(page.port, "/nothing")));
    let pages = PAGES.iter().map(|path| {
        let bytes = get(page.port, path).len();
        assert!(bytes < LARGEST, "{path} has {bytes} bytes");
        Line {
            what: format!("page {path} : an empty page"),
            baseline: empty,
            measured: least(RUNS, || drop(get(page.port, path))),
            unit: "ms",
            budget: Budget::Times(20.0),
        }
    });
    pages.chain([ten_at_once(page.port)]).collect()
}

/// Ten devices at once, each asking one page after the other.
fn ten_at_once(port: u16) -> Line {
    let asks = move || {
        (0..EACH)
            .filter(|_| get(port, "/job/ridge/task/2").contains("</html>"))
            .count()
    };
    let alone = least(1, || assert_eq!(asks(), EACH));
    let together = least(1, || {
        let devices: Vec<_> = (0..DEVICES).map(|_| thread::spawn(asks)).collect();
        let answered: usize = devices.into_iter().map(|one| one.join().unwrap()).sum();
        assert_eq!(answered, DEVICES * EACH, "an answer was lost");
    });
    Line {
        what: "ten devices at once : one".to_owned(),
        baseline: alone,
        measured: together,
        unit: "ms",
        budget: Budget::Times(10.0),
    }
}

fn get(port: u16, path: &str) -> String {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
    let head =
        format!("GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n");
    stream.write_all(head.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}
