//! The listener on the loopback address: a thread for each connection, and never too many.

use std::io;
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use super::guard::Guard;
use super::http::{self, Request, Response};

/// Connections at the same time; those beyond are closed.
const MOST: usize = 128;

/// The answer to a request below the token.
pub(super) type Handler = dyn Fn(&str, &Request) -> Response + Send + Sync;

/// A listener that is not served yet.
pub(super) struct Server {
    listener: TcpListener,
    pub(super) guard: Guard,
}

impl Server {
    /// On the loopback address, on this port or, for 0, on any that is free.
    pub(super) fn bind(port: u16) -> io::Result<Server> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        let port = listener.local_addr()?.port();
        let guard = Guard::new(port).map_err(|e| io::Error::other(e.to_string()))?;
        Ok(Server { listener, guard })
    }

    /// Answers for ever, on threads of its own.
    pub(super) fn serve(self, answer: Arc<Handler>) {
        std::thread::spawn(move || {
            let open = Arc::new(AtomicUsize::new(0));
            loop {
                let Ok((stream, _)) = self.listener.accept() else {
                    // out of descriptors: those that are open end soon
                    std::thread::sleep(Duration::from_millis(20));
                    continue;
                };
                if open.load(Ordering::SeqCst) >= MOST {
                    continue;
                }
                open.fetch_add(1, Ordering::SeqCst);
                let (guard, answer, open) = (self.guard.clone(), answer.clone(), open.clone());
                std::thread::spawn(move || {
                    one(stream, &guard, &*answer);
                    open.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
    }
}

/// One request and its answer; what goes wrong inside costs this answer only.
fn one(mut stream: TcpStream, guard: &Guard, answer: &Handler) {
    let _ = stream.set_nodelay(true);
    let read = http::read(&mut stream, |request| guard.check(request));
    let response = match read {
        Ok(request) => {
            let below = guard.below(&request).unwrap_or_default();
            catch_unwind(AssertUnwindSafe(|| answer(below, &request)))
                .unwrap_or_else(|_| Response::refusal(500, "this is a bug in sutler"))
        }
        Err(refusal) => refusal,
    };
    http::answer(&mut stream, &response);
}
