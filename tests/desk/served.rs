//! A desk that runs for one test, and plain HTTP to ask it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

use crate::support::case::Case;

/// A desk, ended with the test.
pub struct Desk {
    child: Child,
    /// The port it listens on.
    pub port: u16,
    /// The secret part of its address.
    pub token: String,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Desk {
    /// Opens a plan or a folder of a case.
    pub fn open(case: &Case, given: &str) -> Desk {
        let mut command = case.command(&["desk", given, "--no-browser"]);
        command.stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().unwrap();
        let mut line = String::new();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        out.read_line(&mut line).unwrap();
        let address = line.split("http://127.0.0.1:").nth(1).unwrap();
        let (port, token) = address
            .trim()
            .trim_end_matches('/')
            .split_once('/')
            .unwrap();
        let (port, token) = (port.parse().unwrap(), token.to_owned());
        // what it still says has to go somewhere
        std::thread::spawn(move || std::io::copy(&mut out, &mut std::io::sink()));
        Desk { child, port, token }
    }

    /// The address of the page.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// The headers of a browser that shows the page.
    pub fn own(&self) -> String {
        let host = format!("127.0.0.1:{}", self.port);
        format!("Host: {host}\r\nOrigin: http://{host}\r\n")
    }

    /// Sends these bytes and reads to the end.
    pub fn raw(&self, bytes: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(120)))
            .unwrap();
        // it may answer and close before all of it is sent
        let _ = stream.write_all(bytes);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|four| four == b"\r\n\r\n");
        let end = end.unwrap_or_else(|| panic!("no answer: {}", String::from_utf8_lossy(&all)));
        let head = String::from_utf8(all[..end].to_vec()).unwrap();
        Answer {
            status: head.split(' ').nth(1).unwrap().parse().unwrap(),
            head,
            body: all[end + 4..].to_vec(),
        }
    }

    pub fn get(&self, below: &str) -> Answer {
        let request = format!("GET /{}/{below} HTTP/1.1\r\n{}\r\n", self.token, self.own());
        self.raw(request.as_bytes())
    }

    pub fn post(&self, below: &str, body: &Value) -> Answer {
        self.post_bytes(below, "application/json", body.to_string().as_bytes())
    }

    pub fn post_bytes(&self, below: &str, kind: &str, body: &[u8]) -> Answer {
        let head = format!(
            "POST /{}/{below} HTTP/1.1\r\n{}Content-Type: {kind}\r\nContent-Length: {}\r\n\r\n",
            self.token,
            self.own(),
            body.len()
        );
        self.raw(&[head.as_bytes(), body].concat())
    }

    /// Sets a value of a file of settings.
    pub fn set(&self, file: &str, path: &Value, value: &str, was: Option<&str>) -> Answer {
        let edit = json!({ "do": "set", "file": file, "path": path, "value": value, "was": was });
        self.post("edit?part=files", &edit)
    }

    /// Kills it as a power cut would.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Waits for it to end by itself.
    pub fn ended(&mut self) -> std::process::ExitStatus {
        for _ in 0..200 {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("it does not end");
    }

    /// The id of its process.
    pub fn process(&self) -> u32 {
        self.child.id()
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    #[track_caller]
    pub fn is(self, status: u16) -> Answer {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.text());
        self
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.text()))
    }
}

/// The shipped plans with all they need.
pub fn demo() -> Case {
    Case::new().copied("demo-data").copied("courses")
}
