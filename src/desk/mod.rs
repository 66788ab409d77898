//! The desk: a page on which a race is planned, served to a browser on this machine.
//!
//! The files of the race are the only store. A change is written at once, whole or not at all, and
//! every answer is what a command says of the same files. Like the command line, and nothing else,
//! this knows files, sockets and the clock.

mod answers;
mod begin;
mod change;
mod columns;
mod day;
mod edits;
mod fields;
mod folder;
mod guard;
mod http;
mod page;
mod paste;
mod refused;
mod role;
mod routes;
mod server;
mod session;
mod written;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use crate::cli::show::{self, Stop};

use routes::Desk;
use server::Server;
use session::Session;

/// Options that the desk is opened with.
pub(crate) struct Opening {
    /// A plan, a race folder, or a folder to make one in.
    pub(crate) given: PathBuf,
    /// The port, or 0 for any.
    pub(crate) port: u16,
    /// True where a browser is opened.
    pub(crate) opens_browser: bool,
}

/// Serves the page until it says that it is closed, or Ctrl-C is pressed.
pub(crate) fn serve(opening: &Opening) -> Result<(), Stop> {
    let given = &opening.given;
    let is_plan = given.is_file() || given.extension().is_some_and(|end| end == "toml");
    if is_plan && !given.is_file() {
        return Err(Stop::Said(format!("there is no `{}`", given.display())));
    }
    let (plan, base) = if is_plan {
        let base = given.parent().unwrap_or(Path::new(""));
        (given.clone(), base.to_owned())
    } else {
        (given.join("plan.toml"), given.clone())
    };
    let server = Server::bind(opening.port).map_err(|e| {
        Stop::Said(format!(
            "could not listen on 127.0.0.1:{}: {e}",
            opening.port
        ))
    })?;
    let ends = Arc::new(AtomicBool::new(false));
    for signal in [signal_hook::consts::SIGINT, signal_hook::consts::SIGTERM] {
        signal_hook::flag::register(signal, ends.clone())?;
    }
    let session = Arc::new(Mutex::new(Session::open(&plan, &base)));
    let address = server.guard.address();
    let desk = Desk {
        session: session.clone(),
        ends: ends.clone(),
    };
    server.serve(Arc::new(move |below: &str, request: &http::Request| {
        desk.answer(below, request)
    }));
    show::print(&format!(
        "the desk is at {address}\nfor this machine only; Ctrl-C closes it, and everything is saved\n"
    ))?;
    if opening.opens_browser {
        open(&address);
    }
    while !ends.load(Ordering::SeqCst) {
        std::thread::sleep(Duration::from_millis(50));
    }
    // a change that is being saved is saved first
    let _last = session.lock().unwrap_or_else(PoisonError::into_inner);
    show::print("closed; everything is in the files\n")
}

/// Opens the system's browser; where there is none, the address was printed.
fn open(address: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let _ = Command::new(program)
        .args(before)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}
