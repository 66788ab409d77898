//! Answers below the token.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde::Deserialize;
use serde_json::{Value, json};

use sutler::explain::explain;
use sutler::pictures::{DARK, LIGHT, PICTURES};
use sutler::time::Elapsed;

use crate::cli::args::UnitsArg::{Imperial, Metric};
use crate::cli::args::{SourceArgs, UnitsArg};
use crate::cli::book;

use super::begin;
use super::change::Edit;
use super::day;
use super::folder::{Folder, is_link};
use super::http::{APART, Request, Response};
use super::page;
use super::paste::Pasted;
use super::refused::{Refused, with_hint};
use super::session::Session;

/// The race being planned, and the end of it.
pub(super) struct Desk {
    pub(super) session: Arc<Mutex<Session>>,
    pub(super) ends: Arc<AtomicBool>,
}

/// A time that was seen on the day.
#[derive(Deserialize)]
struct SeenTime {
    station: String,
    kind: String,
    value: String,
}

impl Desk {
    fn session(&self) -> MutexGuard<'_, Session> {
        self.session.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Answers a request that may be answered.
    pub(super) fn answer(&self, below: &str, request: &Request) -> Response {
        let answered = match request.method.as_str() {
            "GET" => self.get(below, request),
            _ => self.post(below, request),
        };
        answered.unwrap_or_else(|| Response::refusal(404, "there is nothing here"))
    }

    fn get(&self, below: &str, request: &Request) -> Option<Response> {
        let part = request.asked("part").unwrap_or_default();
        Some(match below {
            "" => Response::of("text/html; charset=utf-8", page::frame()),
            "desk.css" => Response::of("text/css; charset=utf-8", page::STYLE),
            "desk.js" => Response::of("text/javascript; charset=utf-8", page::SCRIPT),
            "version" => {
                let mut session = self.session();
                let files: Vec<&str> = session.look().iter().map(|role| role.file()).collect();
                Response::json(&json!({ "version": session.version, "elsewhere": files }))
            }
            "state" => self.state(&part),
            "times" => {
                let finish = request.asked("finish")?.parse::<i64>().ok()?;
                let planned = self.session().planned();
                match planned.times(Elapsed::from_secs(finish.clamp(60, 3600 * 240))) {
                    Some(times) => Response::json(&times),
                    None => Response::refusal(409, "this finish is not possible on this course"),
                }
            }
            "marks" => {
                let planned = self.session().planned();
                Response::json(&planned.marks())
            }
            "picture" => {
                let name = request.asked("name")?;
                let picture = PICTURES.iter().find(|picture| picture.name == name)?;
                let is_dark = request.asked("dark").as_deref() == Some("1");
                let theme = if is_dark { DARK } else { LIGHT };
                let planned = self.session().planned();
                let facts = planned.facts.as_ref()?;
                Response::of("image/svg+xml", (picture.draw)(facts, &theme))
            }
            "why" => self.why(&request.asked("of")?, &request.asked("what")?)?,
            _ => self.take(below.strip_prefix("take/")?)?,
        })
    }

    fn post(&self, below: &str, request: &Request) -> Option<Response> {
        let mut session = self.session();
        let part = request.asked("part").unwrap_or_default();
        let done = match below {
            "edit" => match serde_json::from_slice::<Edit>(&request.body) {
                Ok(edit) => session.change(&edit),
                Err(_) => return Some(Response::refusal(400, "this is not a change")),
            },
            "seen" => match serde_json::from_slice::<SeenTime>(&request.body) {
                Ok(seen) => day::keep(&mut session, &seen.station, &seen.kind, &seen.value),
                Err(_) => return Some(Response::refusal(400, "this is not a time")),
            },
            "begin" => {
                let asked = |name| request.asked(name).unwrap_or_default();
                let route = request.body.clone();
                let (start, finish, past) = (asked("start"), asked("finish"), asked("past"));
                let target = (&*start, &*finish, &*past);
                begin::begin(&mut session, &asked("folder"), target, route)
            }
            "paste" | "paste/take" => match serde_json::from_slice::<Pasted>(&request.body) {
                Ok(pasted) if below == "paste" => {
                    let html = pasted.seen(&mut session).into_string();
                    return Some(Response::of("text/html; charset=utf-8", html));
                }
                Ok(pasted) => pasted.take(&mut session),
                Err(_) => return Some(Response::refusal(400, "this is not a table")),
            },
            "undo" => session.step(true).map(|_| ()),
            "redo" => session.step(false).map(|_| ()),
            "units" => {
                let imperial = request.asked("to").as_deref() == Some("imperial");
                session.choose(if imperial { Imperial } else { Metric });
                Ok(())
            }
            "book" => {
                let (folder, units) = (session.folder.clone(), session.units);
                // printing takes its time, and typing goes on
                drop(session);
                return Some(write_book(&folder, units));
            }
            "quit" => {
                self.ends.store(true, Ordering::SeqCst);
                return Some(Response::json(&json!({ "closed": true })));
            }
            _ => return None,
        };
        drop(session);
        Some(match done {
            Ok(()) => self.state(&part),
            Err(refused) => self.refused(&refused),
        })
    }

    fn state(&self, part: &str) -> Response {
        let mut session = self.session();
        session.look();
        if !session.is_open() {
            return Response::json(&page::beginning(&session));
        }
        Response::json(&page::state(&mut session, part))
    }

    fn refused(&self, refused: &Refused) -> Response {
        let body = match refused {
            Refused::Said(why) => json!({ "said": why }),
            Refused::Conflict {
                file,
                what,
                here,
                disk,
            } => json!({
                "said": what, "conflict": true, "file": file.name(), "here": here, "disk": disk,
            }),
        };
        Response {
            status: 409,
            ..Response::json(&body)
        }
    }

    fn why(&self, of: &str, what: &str) -> Option<Response> {
        let planned = self.session().planned();
        let (view, facts) = (planned.view()?, planned.facts.as_ref()?);
        let html = match explain(&view, facts, &planned.loaded.sources, of, what) {
            Ok(explained) => page::why(&explained),
            Err(problem) => page::fragment("Why", &with_hint(&problem)),
        };
        Some(Response::of("text/html; charset=utf-8", html.into_string()))
    }

    fn take(&self, name: &str) -> Option<Response> {
        let planned = self.session().planned();
        let (kind, bytes) = planned.take(name)?;
        const SAVED: [&str; 3] = ["crew.html", "crew.ics", "track.gpx"];
        let save_as = SAVED.into_iter().find(|saved| *saved == name);
        Some(Response {
            policy: APART,
            save_as,
            ..Response::of(kind, bytes)
        })
    }
}

/// Writes everything into a folder beside the plan, as the command does.
fn write_book(folder: &Folder, units: UnitsArg) -> Response {
    let out = folder.own().join("book");
    if is_link(&out) {
        let why = format!("`{}` is a link, so the desk leaves it alone", out.display());
        return Response::json(&json!({ "said": why }));
    }
    let args = book::BookArgs {
        source: SourceArgs {
            plan: Some(folder.plan.clone()),
            ..SourceArgs::default()
        },
        out: out.clone(),
        units,
        overwrite: out.exists(),
        missing: Default::default(),
    };
    let value: Value = match book::run(&args) {
        Ok(_) => json!({ "said": format!("written: open {}", out.join("index.html").display()) }),
        Err(stop) => json!({ "said": stop.to_string() }),
    };
    Response::json(&value)
}
