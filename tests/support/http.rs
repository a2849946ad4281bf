//! The workshop's page as a device sees it: the real program answers, and what is sent to it is written by hand.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use super::run::{Bench, PROGRAM};

/// The page, for as long as a test needs it.
pub(crate) struct Served {
    child: Child,
    /// The port at which it answers.
    pub(crate) port: u16,
}

impl Served {
    /// Opens the page on the folder of a bench.
    pub(crate) fn open(bench: &Bench) -> Self {
        Self::open_by(bench, &[])
    }

    /// The same by other rules.
    pub(crate) fn open_by(bench: &Bench, more: &[&str]) -> Self {
        let (name, home) = bench.home();
        let mut command = Command::new(PROGRAM);
        command
            .args(["serve", "--port", "0"])
            .args(more)
            .env(name, home)
            .current_dir(bench.path())
            .stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let port = line.trim().rsplit(':').next().unwrap().parse().unwrap();
        Self { child, port }
    }

    /// Ends it at once, as a power cut does.
    pub(crate) fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// A connection on which something was begun to be said; `PORT` stands for the port.
    pub(crate) fn begun(&self, text: &str) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let wait = Some(Duration::from_secs(60));
        stream.set_read_timeout(wait).unwrap();
        let text = text.replace("PORT", &self.port.to_string());
        stream.write_all(text.as_bytes()).unwrap();
        stream
    }

    /// A device that has never been here.
    pub(crate) fn device(&self) -> Device {
        Device {
            port: self.port,
            cookie: None,
            token: String::new(),
        }
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A device with its cookie.
#[derive(Clone)]
pub(crate) struct Device {
    port: u16,
    cookie: Option<String>,
    token: String,
}

/// What was answered.
#[derive(Debug)]
pub(crate) struct Reply {
    /// The status; 0 where the connection was closed without one.
    pub(crate) status: u16,
    /// The lines of the head.
    pub(crate) head: String,
    /// The page.
    pub(crate) body: String,
}

impl Reply {
    /// Fails unless the answer has this status.
    #[track_caller]
    pub(crate) fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.body);
        self
    }

    /// Fails unless the page says something.
    #[track_caller]
    pub(crate) fn says(self, words: &str) -> Self {
        assert!(self.body.contains(words), "not `{words}`:\n{}", self.body);
        self
    }

    /// A field of the head.
    pub(crate) fn field(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.find_map(|(own, value)| own.eq_ignore_ascii_case(name).then_some(value))
    }

    /// What an input of this name holds.
    pub(crate) fn input(&self, name: &str) -> Option<String> {
        let at = self.body.find(&format!("name=\"{name}\" value=\""))?;
        let rest = &self.body[at..];
        let value = rest.split("value=\"").nth(1)?.split('"').next()?;
        Some(value.to_owned())
    }
}

impl Device {
    /// What it is known by.
    pub(crate) fn cookie(&self) -> Option<&str> {
        self.cookie.as_deref()
    }

    /// Opens a page.
    pub(crate) fn get(&mut self, path: &str) -> Reply {
        self.send("GET", path, ("", &[]), b"")
    }

    /// Sends a form with the token of the device's last page.
    pub(crate) fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let token = self.token.clone();
        let mut all = vec![("form", token.as_str())];
        all.extend(fields);
        self.post_bare(path, &all, &[])
    }

    /// Sends a form as it is, with more in the head.
    pub(crate) fn post_bare(
        &mut self,
        path: &str,
        fields: &[(&str, &str)],
        head: &[(&str, &str)],
    ) -> Reply {
        let pairs = fields
            .iter()
            .map(|(name, value)| format!("{}={}", escaped(name), escaped(value)));
        let body = pairs.collect::<Vec<_>>().join("&");
        let kind = "application/x-www-form-urlencoded";
        self.send("POST", path, (kind, head), body.as_bytes())
    }

    /// Sends something, and keeps the cookie and the token that come back.
    pub(crate) fn send(
        &mut self,
        method: &str,
        path: &str,
        (kind, head): (&str, &[(&str, &str)]),
        body: &[u8],
    ) -> Reply {
        let mut text = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        if !head.iter().any(|(name, _)| *name == "Host") {
            text += &format!("Host: localhost:{}\r\n", self.port);
        }
        for (name, value) in head {
            text += &format!("{name}: {value}\r\n");
        }
        if let Some(cookie) = &self.cookie {
            text += &format!("Cookie: {cookie}\r\n");
        }
        if !kind.is_empty() {
            text += &format!("Content-Type: {kind}\r\n");
        }
        text += &format!("Content-Length: {}\r\n\r\n", body.len());
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        stream.write_all(text.as_bytes()).unwrap();
        // The answer may come before all of what is sent is taken.
        let _ = stream.write_all(body);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer);
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).and_then(|word| word.parse().ok());
        let reply = Reply {
            status: status.unwrap_or(0),
            head: head.to_owned(),
            body: body.to_owned(),
        };
        if let Some(cookie) = reply.field("set-cookie") {
            self.cookie = cookie.split(';').next().map(ToOwned::to_owned);
        }
        if let Some(token) = reply.input("form") {
            self.token = token;
        }
        reply
    }

    /// Signs somebody in.
    #[track_caller]
    pub(crate) fn sign_in(&mut self, who: &str, pin: Option<&str>) {
        self.get(&format!("/sign-in?who={who}")).is(200);
        let mut fields = vec![("who", who)];
        fields.extend(pin.map(|pin| ("pin", pin)));
        self.post("/sign-in", &fields).is(303);
        self.get("/").is(200);
    }
}

fn escaped(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-_.".contains(&byte);
    let bytes = text.bytes().map(|byte| {
        if plain(byte) {
            char::from(byte).to_string()
        } else {
            format!("%{byte:02X}")
        }
    });
    bytes.collect()
}
