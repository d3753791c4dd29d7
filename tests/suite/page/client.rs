//! A running service with its page, and a plain HTTP client to ask it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use crate::support::Home;

const BUS: &str = "DBUS_SESSION_BUS_ADDRESS";

/// The service of a home, stopped when dropped.
pub struct Service {
    child: Child,
    /// Address with a token, as printed at the start.
    pub address: String,
    /// The page's port.
    pub port: u16,
}

impl Service {
    /// Starts the service and waits for the page's address.
    pub fn start(home: &Home) -> Self {
        Self::of(home.command("", &["daemon"]).env_remove(BUS), home)
    }

    /// The same on a bus.
    #[allow(dead_code)]
    pub fn start_on(home: &Home, bus: &str) -> Self {
        Self::of(home.command("", &["daemon"]).env(BUS, bus), home)
    }

    fn of(command: &mut Command, home: &Home) -> Self {
        let mut child = command
            .env("XDG_RUNTIME_DIR", home.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the service starts");
        let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
        let address = lines
            .by_ref()
            .map_while(Result::ok)
            .find_map(|line| Some(line[line.find("http://")?..].to_owned()))
            .expect("the service prints the page's address");
        let port = address["http://127.0.0.1:".len()..]
            .split('/')
            .next()
            .and_then(|port| port.parse().ok())
            .expect("a port");
        Self {
            child,
            address,
            port,
        }
    }

    /// The path of the printed address, with its token.
    pub fn enter(&self) -> &str {
        &self.address[self.address.find("/enter").expect("path")..]
    }

    /// Signs in and gives the line of the cookie header.
    pub fn sign_in(&self) -> String {
        let answer = self.get(self.enter(), &[]);
        assert_eq!(answer.status, 303, "{}", answer.body);
        cookie_of(&answer)
    }

    /// Asks for a path with more headers.
    pub fn get(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        self.request("GET", path, headers, "")
    }

    /// Posts a form the way a page of the site would, signed in.
    #[allow(dead_code)]
    pub fn post(&self, path: &str, cookie: &str, fields: &[(&str, &str)]) -> Answer {
        let token = self.form_token(cookie);
        let mut body = form_urlencoded::Serializer::new(String::new());
        body.append_pair("form_token", &token);
        for (key, value) in fields {
            body.append_pair(key, value);
        }
        self.request(
            "POST",
            path,
            &[
                ("cookie", cookie),
                ("sec-fetch-site", "same-origin"),
                ("content-type", "application/x-www-form-urlencoded"),
            ],
            &body.finish(),
        )
    }

    /// The token that the forms of the page carry.
    pub fn form_token(&self, cookie: &str) -> String {
        let page = self.get("/", &[("cookie", cookie)]).body;
        let from = page.find("name=\"form_token\" value=\"").expect("a form");
        page[from..].split('"').nth(3).expect("value").to_owned()
    }

    /// Any request; the host is the page's own unless given.
    pub fn request(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let mut text = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "host") {
            text.push_str(&format!("host: 127.0.0.1:{}\r\n", self.port));
        }
        for (name, value) in headers {
            text.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            text.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        text.push_str("\r\n");
        text.push_str(body);
        self.raw(text.as_bytes())
    }

    /// Sends octets and reads the answer to the end of the connection.
    pub fn raw(&self, octets: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).expect("connects");
        stream
            .set_read_timeout(Some(Duration::from_secs(30)))
            .expect("timeout");
        // The server may answer and close before it has read all of a body that is too long.
        let _ = stream.write_all(octets);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        Answer::read(&String::from_utf8_lossy(&answer))
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let pid = rustix::process::Pid::from_child(&self.child);
        let _ = rustix::process::kill_process(pid, rustix::process::Signal::TERM);
        let _ = self.child.wait();
    }
}

/// The cookie an answer sets, as a request carries it.
pub fn cookie_of(answer: &Answer) -> String {
    let set = answer.header("set-cookie").expect("a cookie");
    set.split(';').next().expect("pair").to_owned()
}

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: String,
}

impl Answer {
    /// Reads what came over the wire.
    pub fn read(text: &str) -> Self {
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((text, ""));
        let mut lines = head.lines();
        let status = lines
            .next()
            .and_then(|line| line.split(' ').nth(1)?.parse().ok())
            .unwrap_or(0);
        let headers = lines
            .filter_map(|line| line.split_once(": "))
            .map(|(name, value)| (name.to_ascii_lowercase(), value.to_owned()))
            .collect();
        Self {
            status,
            headers,
            body: body.to_owned(),
        }
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers
            .iter()
            .find(|(known, _)| known == name)
            .map(|(_, value)| value.as_str())
    }
}
