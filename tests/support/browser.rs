//! A browser without a window, driven over its DevTools protocol.

use std::io::Write;
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use tungstenite::stream::MaybeTlsStream;
use tungstenite::{Message, WebSocket, connect};

/// The variable that names a Chromium; without it tests in a browser have nothing to run in.
pub const VARIABLE: &str = "SUTLER_BROWSER";

/// One browser with one page, and what it has reported.
pub struct Browser {
    child: Child,
    socket: WebSocket<MaybeTlsStream<TcpStream>>,
    session: Option<String>,
    next: u64,
    /// Addresses that the page asked for, its own file first.
    pub requests: Vec<String>,
    /// Errors of scripts, of the policy, of the console.
    pub errors: Vec<String>,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Starts the browser that the environment names; `None` where it names none, which is said
    /// in the output of the tests, for such a test counts as passed.
    pub fn start() -> Option<Browser> {
        let Some(program) = std::env::var_os(VARIABLE) else {
            let thread = std::thread::current();
            let test = thread.name().unwrap_or("a test");
            // not by a macro, whose words are kept back where a test passes
            let mut says = std::io::stderr();
            let _ = writeln!(
                says,
                "{test} has tested nothing: {VARIABLE} names no browser"
            );
            return None;
        };
        let profile = tempfile::tempdir().unwrap();
        let child = Command::new(program)
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
            ])
            .args(["--no-first-run", "--disable-background-networking"])
            .args(["--disable-component-update", "--disable-sync"])
            .args(["--remote-debugging-port=0", "--disable-dev-shm-usage"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .arg("about:blank")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let address = address(&profile.path().join("DevToolsActivePort"));
        let (socket, _) = connect(address).unwrap();
        let mut browser = Browser {
            child,
            socket,
            session: None,
            next: 0,
            requests: Vec::new(),
            errors: Vec::new(),
            _profile: profile,
        };
        let target = browser.ask("Target.createTarget", &json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": target["targetId"], "flatten": true });
        let session = browser.ask("Target.attachToTarget", &attach);
        browser.session = session["sessionId"].as_str().map(str::to_owned);
        for domain in ["Page", "Runtime", "Network", "Log"] {
            browser.ask(&format!("{domain}.enable"), &json!({}));
        }
        Some(browser)
    }

    /// Asks for one thing and waits for the answer.
    #[track_caller]
    pub fn ask(&mut self, method: &str, params: &Value) -> Value {
        self.next += 1;
        let mut message = json!({ "id": self.next, "method": method, "params": params });
        if let Some(session) = &self.session {
            message["sessionId"] = json!(session);
        }
        self.socket
            .send(Message::text(message.to_string()))
            .unwrap();
        loop {
            let told = self.hear();
            if told["id"] == self.next {
                assert!(told["error"].is_null(), "{method}: {told}");
                return told["result"].clone();
            }
        }
    }

    fn hear(&mut self) -> Value {
        let message = self.socket.read().unwrap();
        let told: Value = serde_json::from_str(message.to_text().unwrap()).unwrap();
        let params = &told["params"];
        match told["method"].as_str() {
            Some("Network.requestWillBeSent") => {
                let url = params["request"]["url"].as_str().unwrap_or_default();
                self.requests.push(url.to_owned());
            }
            Some("Runtime.exceptionThrown" | "Log.entryAdded") => {
                self.errors.push(params.to_string());
            }
            Some("Runtime.consoleAPICalled") if params["type"] == "error" => {
                self.errors.push(params.to_string());
            }
            _ => {}
        }
        told
    }

    /// Opens a file and waits until it is loaded.
    pub fn open(&mut self, path: &Path) {
        self.visit(&format!("file://{}", path.display()));
    }

    /// Opens an address and waits until it is loaded.
    pub fn visit(&mut self, url: &str) {
        self.ask("Page.navigate", &json!({ "url": url }));
        while self.hear()["method"] != "Page.loadEventFired" {}
    }

    /// The value of an expression in the page.
    #[track_caller]
    pub fn value(&mut self, expression: &str) -> Value {
        let params = json!({ "expression": expression, "returnByValue": true });
        let told = self.ask("Runtime.evaluate", &params);
        assert!(
            told["exceptionDetails"].is_null(),
            "{expression}: {}",
            told["exceptionDetails"]
        );
        told["result"]["value"].clone()
    }

    /// Waits until an expression in the page is true.
    #[track_caller]
    pub fn wait(&mut self, expression: &str) {
        for _ in 0..1200 {
            if self.value(&format!("Boolean({expression})")) == true {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("this does not come true: {expression}");
    }

    /// Moves, presses and lets go of the mouse along these points.
    pub fn drag(&mut self, points: &[(f64, f64)]) {
        let mut mouse = |kind: &str, (x, y): (f64, f64)| {
            let buttons = i32::from(kind != "mouseReleased");
            let params = json!({ "type": kind, "x": x, "y": y, "button": "left",
                "buttons": buttons, "clickCount": 1 });
            self.ask("Input.dispatchMouseEvent", &params);
        };
        if let Some((first, rest)) = points.split_first() {
            mouse("mousePressed", *first);
            rest.iter().for_each(|point| mouse("mouseMoved", *point));
            mouse("mouseReleased", *rest.last().unwrap_or(first));
        }
    }

    /// Drags a file in from outside and lets it go over an element.
    pub fn drop_file(&mut self, selector: &str, path: &Path) {
        let selector = json!(selector);
        let spot = self.value(&format!(
            "{{const e = document.querySelector({selector}); e.scrollIntoView();\
             const box = e.getBoundingClientRect(); [box.x + box.width / 2, box.y + box.height / 2]}}"
        ));
        let data = json!({ "items": [], "files": [path], "dragOperationsMask": 1 });
        for kind in ["dragEnter", "dragOver", "drop"] {
            let params = json!({ "type": kind, "x": spot[0], "y": spot[1], "data": data });
            self.ask("Input.dispatchDragEvent", &params);
        }
    }

    /// Presses a key: its name, its code in the DevTools protocol, the text it types.
    pub fn press(&mut self, key: &str, code: u32, text: Option<&str>) {
        let mut down = json!({ "type": "rawKeyDown", "key": key, "code": key,
            "windowsVirtualKeyCode": code });
        if let Some(text) = text {
            down["type"] = json!("keyDown");
            down["text"] = json!(text);
        }
        self.ask("Input.dispatchKeyEvent", &down);
        let up = json!({ "type": "keyUp", "key": key, "code": key, "windowsVirtualKeyCode": code });
        self.ask("Input.dispatchKeyEvent", &up);
    }

    /// Types where the focus is.
    pub fn type_text(&mut self, text: &str) {
        self.ask("Input.insertText", &json!({ "text": text }));
    }

    /// Runs a script in every page before its own.
    pub fn before_pages(&mut self, script: &str) {
        let params = json!({ "source": script });
        self.ask("Page.addScriptToEvaluateOnNewDocument", &params);
    }

    /// As a phone of so many pixels.
    pub fn size(&mut self, width: u32, height: u32) {
        let params = json!({ "width": width, "height": height, "deviceScaleFactor": 1,
            "mobile": true });
        self.ask("Emulation.setDeviceMetricsOverride", &params);
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // nothing is left to do where it has gone already
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Where it listens, once it has said so.
fn address(file: &Path) -> String {
    for _ in 0..600 {
        let text = std::fs::read_to_string(file).unwrap_or_default();
        if let Some((port, path)) = text.trim().split_once('\n') {
            return format!("ws://127.0.0.1:{port}{path}");
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("the browser does not start");
}
