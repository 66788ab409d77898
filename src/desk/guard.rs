//! The guard at the door: it lets in a browser on this machine that was given the address, for its own page and no
//! other.

use super::http::{Request, Response};

/// The address that is answered to.
#[derive(Clone, Debug)]
pub(super) struct Guard {
    port: u16,
    token: String,
}

impl Guard {
    /// A new address on a port. The token is 128 bits from the system's own source.
    pub(super) fn new(port: u16) -> Result<Guard, getrandom::Error> {
        let mut bytes = [0u8; 16];
        getrandom::fill(&mut bytes)?;
        let token = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        Ok(Guard { port, token })
    }

    /// The address of the page.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token)
    }

    /// The path asked for below the token; nothing where that is not known.
    pub(super) fn below<'r>(&self, request: &'r Request) -> Option<&'r str> {
        let (token, below) = request.path.strip_prefix('/')?.split_once('/')?;
        same(token.as_bytes(), self.token.as_bytes()).then_some(below)
    }

    /// Refuses what a browser asks for another page, under another name or without the token.
    pub(super) fn check(&self, request: &Request) -> Result<(), Response> {
        let refused = |status, why| Err(Response::refusal(status, why));
        // a name that leads here by a trick of its name server is not one of these
        if !request.header("host").is_some_and(|host| self.is_own(host)) {
            return refused(403, "this host is not served");
        }
        if self.below(request).is_none() {
            return refused(404, "open the address that `sutler desk` printed");
        }
        let origin = request.header("origin");
        let own = |origin: &str| {
            let host = origin.strip_prefix("http://");
            host.is_some_and(|host| self.is_own(host))
        };
        if request.has("origin") && !origin.is_some_and(own) {
            return refused(403, "another page may not ask here");
        }
        let site = request.header("sec-fetch-site");
        if site.is_some_and(|site| !matches!(site, "same-origin" | "none")) {
            return refused(403, "another page may not ask here");
        }
        match request.method.as_str() {
            "GET" => Ok(()),
            "POST" if origin.is_none() => refused(403, "changes come from the page alone"),
            "POST" => match request.header("content-type") {
                Some("application/json" | "application/octet-stream") => Ok(()),
                _ => refused(415, "changes come as JSON"),
            },
            _ => refused(405, "GET and POST only"),
        }
    }

    fn is_own(&self, host: &str) -> bool {
        let name = host.strip_suffix(&format!(":{}", self.port));
        matches!(name, Some("127.0.0.1" | "localhost"))
    }
}

/// True where two texts are the same, found out in the same time whatever differs.
fn same(one: &[u8], other: &[u8]) -> bool {
    let differs = one.iter().zip(other).fold(0, |sum, (a, b)| sum | (a ^ b));
    one.len() == other.len() && differs == 0
}
