//! One request and one answer over a connection, with a limit on every size and every time: a
//! client that is slow, large or broken costs its own connection and nothing else.

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Bytes before the body.
const HEAD_BYTES: usize = 16 * 1024;
/// Lines before the body.
const HEAD_LINES: usize = 64;
/// Bytes of a body: a track of some days at a point a second.
pub(super) const BODY_BYTES: usize = 32 * 1024 * 1024;
/// A head that takes longer is cut off.
const HEAD_TIME: Duration = Duration::from_secs(5);
/// A whole request that takes longer is cut off.
const WHOLE_TIME: Duration = Duration::from_secs(20);
/// An answer that is taken more slowly is cut off.
const WRITE_TIME: Duration = Duration::from_secs(10);

/// The path that was asked for.
#[derive(Debug, Default)]
pub(super) struct Request {
    pub(super) method: String,
    /// Without the query.
    pub(super) path: String,
    /// The text behind the question mark, as it came.
    query: String,
    headers: Vec<(String, String)>,
    pub(super) body: Vec<u8>,
}

impl Request {
    /// A header by its name in small letters; nothing where it stands there twice.
    pub(super) fn header(&self, name: &str) -> Option<&str> {
        let mut own = self.headers.iter().filter(|(known, _)| known == name);
        let first = own.next()?;
        own.next().is_none().then_some(first.1.as_str())
    }

    /// True where a header is there at all.
    pub(super) fn has(&self, name: &str) -> bool {
        self.headers.iter().any(|(known, _)| known == name)
    }

    /// A value of the query, decoded.
    pub(super) fn asked(&self, name: &str) -> Option<String> {
        let pairs = self
            .query
            .split('&')
            .filter_map(|pair| pair.split_once('='));
        let own = pairs.into_iter().find(|(key, _)| *key == name)?;
        decoded(own.1)
    }
}

/// Percent-encoding undone; `None` where it is broken or no UTF-8.
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let pair = [rest.next()?, rest.next()?];
                u8::from_str_radix(std::str::from_utf8(&pair).ok()?, 16).ok()?
            }
            b'+' => b' ',
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

/// An answer.
#[derive(Debug)]
pub(super) struct Response {
    pub(super) status: u16,
    pub(super) kind: &'static str,
    /// The policy that the browser is to hold it to.
    pub(super) policy: &'static str,
    /// The name to save it under.
    pub(super) save_as: Option<&'static str>,
    pub(super) body: Vec<u8>,
}

/// Nothing but what stands in the page's own files.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
     connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// Pages to print and to send are looked at apart from the desk: their scripts reach nothing of it.
pub(super) const APART: &str = "sandbox allow-scripts allow-modals; default-src 'none'; \
     script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; \
     form-action 'none'; frame-ancestors 'none'";

impl Response {
    /// An answer of some kind.
    pub(super) fn of(kind: &'static str, body: impl Into<Vec<u8>>) -> Response {
        Response {
            status: 200,
            kind,
            policy: POLICY,
            save_as: None,
            body: body.into(),
        }
    }

    /// Data.
    pub(super) fn json(value: &serde_json::Value) -> Response {
        Response::of("application/json", value.to_string())
    }

    /// A refusal, in words.
    pub(super) fn refusal(status: u16, why: &str) -> Response {
        Response {
            status,
            ..Response::of("text/plain; charset=utf-8", format!("{why}\n"))
        }
    }

    fn bytes(&self) -> Vec<u8> {
        let mut head = format!(
            "HTTP/1.1 {} {}\r\nContent-Type: {}\r\nContent-Length: {}\r\n\
             Content-Security-Policy: {}\r\nX-Content-Type-Options: nosniff\r\n\
             X-Frame-Options: DENY\r\nReferrer-Policy: no-referrer\r\nCache-Control: no-store\r\n\
             Cross-Origin-Opener-Policy: same-origin\r\nCross-Origin-Resource-Policy: same-origin\r\n\
             Connection: close\r\n",
            self.status,
            reason(self.status),
            self.kind,
            self.body.len(),
            self.policy,
        );
        if let Some(name) = self.save_as {
            head += &format!("Content-Disposition: attachment; filename=\"{name}\"\r\n");
        }
        let mut bytes = (head + "\r\n").into_bytes();
        bytes.extend_from_slice(&self.body);
        bytes
    }
}

fn reason(status: u16) -> &'static str {
    match status {
        200 => "OK",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        413 => "Content Too Large",
        415 => "Unsupported Media Type",
        431 => "Request Header Fields Too Large",
        503 => "Service Unavailable",
        _ => "Internal Server Error",
    }
}

/// Reads one request; the refusal to answer with where it is none.
///
/// The head alone tells who asks, so `allowed` refuses before a body is waited for.
pub(super) fn read(
    stream: &mut TcpStream,
    allowed: impl Fn(&Request) -> Result<(), Response>,
) -> Result<Request, Response> {
    let begun = Instant::now();
    let mut bytes = Vec::new();
    let (mut request, head) = loop {
        let whole = head(&bytes)?.filter(|(_, end)| *end <= HEAD_BYTES);
        if let Some(found) = whole {
            break found;
        }
        if bytes.len() > HEAD_BYTES {
            return Err(Response::refusal(431, "the head is too large"));
        }
        more(stream, &mut bytes, begun, HEAD_TIME)?;
    };
    allowed(&request)?;
    if request.has("transfer-encoding") {
        return Err(Response::refusal(400, "say the length of the body"));
    }
    let length = match request.header("content-length") {
        Some(text) => text
            .parse::<usize>()
            .map_err(|_| Response::refusal(400, "the length is not a number"))?,
        None if request.has("content-length") => {
            return Err(Response::refusal(400, "one length only"));
        }
        None => 0,
    };
    if length > BODY_BYTES {
        return Err(Response::refusal(413, "the body is too large"));
    }
    while bytes.len() < head + length {
        more(stream, &mut bytes, begun, WHOLE_TIME)?;
    }
    request.body = bytes[head..head + length].to_vec();
    Ok(request)
}

/// The head, once all of it is there, and where the body begins.
fn head(bytes: &[u8]) -> Result<Option<(Request, usize)>, Response> {
    let mut lines = [httparse::EMPTY_HEADER; HEAD_LINES];
    let mut parsed = httparse::Request::new(&mut lines);
    let end = match parsed.parse(bytes) {
        Ok(httparse::Status::Complete(end)) => end,
        Ok(httparse::Status::Partial) => return Ok(None),
        Err(httparse::Error::TooManyHeaders) => {
            return Err(Response::refusal(431, "too many header lines"));
        }
        Err(_) => return Err(Response::refusal(400, "this is not HTTP")),
    };
    let target = parsed.path.unwrap_or_default();
    let (path, query) = target.split_once('?').unwrap_or((target, ""));
    let headers = parsed.headers.iter().map(|line| {
        let value = String::from_utf8_lossy(line.value).trim().to_owned();
        (line.name.to_ascii_lowercase(), value)
    });
    let request = Request {
        method: parsed.method.unwrap_or_default().to_owned(),
        path: path.to_owned(),
        query: query.to_owned(),
        headers: headers.collect(),
        body: Vec::new(),
    };
    Ok(Some((request, end)))
}

/// Waits for more bytes, as long as there is time.
fn more(
    stream: &mut TcpStream,
    bytes: &mut Vec<u8>,
    begun: Instant,
    longest: Duration,
) -> Result<(), Response> {
    let slow = || Response::refusal(408, "too slow");
    let left = longest.checked_sub(begun.elapsed()).ok_or_else(slow)?;
    let gone = |_| Response::refusal(400, "the connection is gone");
    stream
        .set_read_timeout(Some(left.max(Duration::from_millis(1))))
        .map_err(gone)?;
    let mut part = [0; 16 * 1024];
    match stream.read(&mut part) {
        Ok(0) => Err(Response::refusal(400, "the request ends early")),
        Ok(read) => {
            bytes.extend_from_slice(&part[..read]);
            Ok(())
        }
        Err(e) if e.kind() == ErrorKind::Interrupted => Ok(()),
        Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => Err(slow()),
        Err(_) => Err(Response::refusal(400, "the connection is gone")),
    }
}

/// Writes the answer; nobody is left to tell where that fails.
pub(super) fn answer(stream: &mut TcpStream, response: &Response) {
    let _ = stream.set_write_timeout(Some(WRITE_TIME));
    if stream.write_all(&response.bytes()).is_ok() {
        let _ = stream.flush();
        let _ = stream.shutdown(std::net::Shutdown::Write);
        // what the client still sends is read off, or it would lose the answer
        let _ = stream.set_read_timeout(Some(Duration::from_millis(200)));
        let mut rest = [0; 4096];
        let begun = Instant::now();
        while begun.elapsed() < Duration::from_secs(1)
            && matches!(stream.read(&mut rest), Ok(read) if read > 0)
        {}
    }
}
