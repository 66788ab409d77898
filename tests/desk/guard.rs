//! Who may ask, what is refused, and that nobody takes the desk down.

use std::io::Write;
use std::net::TcpStream;

use serde_json::json;

use super::served::{Desk, demo};
use crate::support::case::Case;

const PLAN: &str = "demo-data/plan-50k.toml";

/// Each refusal: what it is, the request with `TOKEN`, `HOST` and `OWN` (host and origin) to be
/// filled in, and the status.
const REFUSED: &[(&str, &str, u16)] = &[
    ("no token", "GET / HTTP/1.1\r\nOWN\r\n", 404),
    ("no token, a file", "GET /desk.js HTTP/1.1\r\nOWN\r\n", 404),
    (
        "another token",
        "GET /00000000000000000000000000000000/ HTTP/1.1\r\nOWN\r\n",
        404,
    ),
    (
        "a part of the token",
        "GET /SHORT/state HTTP/1.1\r\nOWN\r\n",
        404,
    ),
    (
        "another host",
        "GET /TOKEN/state HTTP/1.1\r\nHost: rebound.example\r\n\r\n",
        403,
    ),
    (
        "another host, this port",
        "GET /TOKEN/state HTTP/1.1\r\nHost: rebound.example:PORT\r\n\r\n",
        403,
    ),
    (
        "a host that begins alike",
        "GET /TOKEN/state HTTP/1.1\r\nHost: 127.0.0.1.rebound.example:PORT\r\n\r\n",
        403,
    ),
    (
        "another port",
        "GET /TOKEN/state HTTP/1.1\r\nHost: 127.0.0.1:1\r\n\r\n",
        403,
    ),
    ("no host", "GET /TOKEN/state HTTP/1.1\r\n\r\n", 403),
    (
        "two hosts",
        "GET /TOKEN/state HTTP/1.1\r\nHost: HOST\r\nHost: rebound.example\r\n\r\n",
        403,
    ),
    (
        "another origin",
        "GET /TOKEN/state HTTP/1.1\r\nHost: HOST\r\nOrigin: http://rebound.example\r\n\r\n",
        403,
    ),
    (
        "no one's origin",
        "GET /TOKEN/state HTTP/1.1\r\nHost: HOST\r\nOrigin: null\r\n\r\n",
        403,
    ),
    (
        "an origin by https",
        "GET /TOKEN/state HTTP/1.1\r\nHost: HOST\r\nOrigin: https://HOST\r\n\r\n",
        403,
    ),
    (
        "another site",
        "GET /TOKEN/state HTTP/1.1\r\nHost: HOST\r\nSec-Fetch-Site: cross-site\r\n\r\n",
        403,
    ),
    (
        "another site of this machine",
        "GET /TOKEN/ HTTP/1.1\r\nHost: HOST\r\nSec-Fetch-Site: same-site\r\n\r\n",
        403,
    ),
    (
        "a change without an origin",
        "POST /TOKEN/quit HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}",
        403,
    ),
    (
        "a form",
        "POST /TOKEN/quit HTTP/1.1\r\nOWNContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 2\r\n\r\na=",
        415,
    ),
    (
        "plain text",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: text/plain\r\nContent-Length: 2\r\n\r\n{}",
        415,
    ),
    ("a method", "PUT /TOKEN/edit HTTP/1.1\r\nOWN\r\n", 405),
    (
        "a question before a change",
        "OPTIONS /TOKEN/edit HTTP/1.1\r\nOWN\r\n",
        405,
    ),
    (
        "a way out",
        "GET /TOKEN/take/../../../etc/passwd HTTP/1.1\r\nOWN\r\n",
        404,
    ),
    (
        "a way out in percent",
        "GET /TOKEN/take/%2e%2e%2fplan.toml HTTP/1.1\r\nOWN\r\n",
        404,
    ),
    (
        "a file by its path",
        "GET /TOKEN/plan.toml HTTP/1.1\r\nOWN\r\n",
        404,
    ),
    (
        "a huge body",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: application/json\r\nContent-Length: 99999999999\r\n\r\n",
        413,
    ),
    (
        "a body of a bad length",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: application/json\r\nContent-Length: -1\r\n\r\n",
        400,
    ),
    (
        "a body of two lengths",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: application/json\r\nContent-Length: 2\r\nContent-Length: 3\r\n\r\n{}",
        400,
    ),
    (
        "a body in chunks",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        400,
    ),
    ("no HTTP", "\u{1}\u{2}\u{3}\r\n\r\n", 400),
    (
        "no change",
        "POST /TOKEN/edit HTTP/1.1\r\nOWNContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}",
        400,
    ),
];

#[test]
fn what_is_not_the_page_is_refused() {
    let case = demo();
    let before = case.text(PLAN);
    let desk = Desk::open(&case, PLAN);
    for (what, request, status) in REFUSED {
        let host = format!("127.0.0.1:{}", desk.port);
        let request = request
            .replace("OWN", &desk.own())
            .replace("HOST", &host)
            .replace("PORT", &desk.port.to_string())
            .replace("TOKEN", &desk.token)
            .replace("SHORT", &desk.token[..30]);
        let answer = desk.raw(request.as_bytes());
        assert_eq!(answer.status, *status, "{what}: {}", answer.head);
        assert!(!answer.text().contains(&desk.token), "{what}");
    }
    let long = format!(
        "GET /{}/ HTTP/1.1\r\nX: {}\r\n\r\n",
        desk.token,
        "x".repeat(40_000)
    );
    assert_eq!(desk.raw(long.as_bytes()).status, 431, "a long head");
    let many = format!(
        "GET /{}/ HTTP/1.1\r\n{}\r\n",
        desk.token,
        "X: y\r\n".repeat(100)
    );
    assert_eq!(desk.raw(many.as_bytes()).status, 431, "many header lines");
    desk.get("state").is(200);
    assert_eq!(case.text(PLAN), before);
}

#[test]
fn every_answer_is_held_to_a_strict_policy() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    for below in [
        "",
        "desk.js",
        "desk.css",
        "state",
        "nothing",
        "take/card.html",
    ] {
        let head = desk.get(below).head.to_lowercase();
        for line in [
            "default-src 'none'",
            "frame-ancestors 'none'",
            "form-action 'none'",
            "base-uri 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cache-control: no-store",
            "cross-origin-resource-policy: same-origin",
        ] {
            assert!(head.contains(line), "{below}: no {line}: {head}");
        }
        assert!(!head.contains("access-control-allow"), "{below}");
        let is_apart = below.starts_with("take/");
        assert_eq!(head.contains("unsafe-inline"), is_apart, "{below}");
        assert_eq!(head.contains("sandbox"), is_apart, "{below}");
    }
    let frame = desk.get("").text();
    assert!(!frame.contains("onclick") && !frame.contains("<style") && !frame.contains(" style="));
}

#[test]
fn it_listens_on_the_loopback_address_alone() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    // the whole of 127.0.0.0/8 is this machine, but only one address of it is bound
    assert!(TcpStream::connect(("127.0.0.2", desk.port)).is_err());
    // an address by which others reach this machine, where it has one; nothing is sent
    let socket = std::net::UdpSocket::bind("0.0.0.0:0").unwrap();
    if socket.connect("192.0.2.1:9").is_ok() {
        let own = socket.local_addr().unwrap().ip();
        if !own.is_loopback() && !own.is_unspecified() {
            assert!(TcpStream::connect((own, desk.port)).is_err(), "{own}");
        }
    }
}

#[test]
fn tokens_differ() {
    let case = demo();
    let tokens: std::collections::BTreeSet<String> = (0..4)
        .map(|_| Desk::open(&case, PLAN).token.clone())
        .collect();
    assert_eq!(tokens.len(), 4);
    assert!(tokens.iter().all(|token| token.len() == 32));
}

#[test]
fn slow_and_broken_clients_take_nothing_down() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    let half = format!("POST /{}/edit HTTP/1.1\r\n{}", desk.token, desk.own());
    let body = format!("{half}Content-Type: application/json\r\nContent-Length: 900\r\n\r\n{{");
    let mut held = Vec::new();
    for part in [half.as_str(), body.as_str(), "GET", ""]
        .iter()
        .cycle()
        .take(40)
    {
        let mut stream = TcpStream::connect(("127.0.0.1", desk.port)).unwrap();
        stream.write_all(part.as_bytes()).unwrap();
        held.push(stream);
    }
    desk.get("version").is(200);
    drop(held);
    desk.get("version").is(200);
}

#[test]
fn no_name_leaves_the_race_folder() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    for (file, path) in [
        ("../plan", json!(["finish"])),
        ("/etc/passwd", json!(["finish"])),
        ("route", json!(["finish"])),
        ("record", json!(["finish"])),
        ("plan", json!(["course"])),
        ("plan", json!(["files", "runner"])),
        ("plan", json!([])),
    ] {
        let told = desk.set(file, &path, "\"../../away\"", None).is(409).json();
        assert_eq!(
            told["said"], "the desk does not change that",
            "{file} {path}"
        );
    }
    let away = json!({ "do": "text", "file": "../away", "value": "x", "was": null });
    desk.post("edit", &away).is(409);
    // what the plan itself names elsewhere is read, as by every command, and left alone
    let case = demo().file("away.toml", "mass_kg = 70\n").file(
        "demo-data/plan.toml",
        "course = \"../courses/velprek-50k\"\nfinish = \"7:30:00\"\n[files]\nrunner = \"../away.toml\"\n",
    );
    let desk = Desk::open(&case, "demo-data/plan.toml");
    let told = desk
        .set("runner", &json!(["mass_kg"]), "60", None)
        .is(409)
        .json();
    assert!(
        told["said"]
            .as_str()
            .unwrap()
            .contains("outside the race folder"),
        "{told}"
    );
    assert_eq!(case.text("away.toml"), "mass_kg = 70\n");
}

#[cfg(unix)]
#[test]
fn links_are_left_alone() {
    let case = demo().file("away.csv", "name,distance_km\nAway,5\n");
    let stations = case.path("courses/velprek-50k/stations.csv");
    std::fs::remove_file(&stations).unwrap();
    std::os::unix::fs::symlink(case.path("away.csv"), &stations).unwrap();
    let desk = Desk::open(&case, PLAN);
    let row = json!({ "do": "cell", "file": "stations", "row": 0, "line": "Away,5",
        "column": "name", "value": "Taken" });
    let told = desk.post("edit", &row).is(409).json();
    assert!(
        told["said"].as_str().unwrap().contains("is a link"),
        "{told}"
    );
    assert_eq!(case.text("away.csv"), "name,distance_km\nAway,5\n");
    assert!(std::fs::symlink_metadata(&stations).unwrap().is_symlink());
    // neither is a book written through one, nor a race begun
    std::fs::create_dir(case.path("elsewhere")).unwrap();
    std::os::unix::fs::symlink(case.path("elsewhere"), case.path("demo-data/book")).unwrap();
    let told = desk.post("book", &json!({})).is(200).json();
    assert!(
        told["said"].as_str().unwrap().contains("is a link"),
        "{told}"
    );
    let route = std::fs::read(crate::support::case::short_route()).unwrap();
    for target in ["elsewhere", "not-there"] {
        let base = Case::new();
        std::os::unix::fs::symlink(case.path(target), base.path("race")).unwrap();
        let desk = Desk::open(&base, ".");
        let begun = "begin?folder=race&finish=7:30:00";
        desk.post_bytes(begun, "application/octet-stream", &route)
            .is(409);
    }
    assert!(!case.path("not-there").exists());
    assert_eq!(
        std::fs::read_dir(case.path("elsewhere")).unwrap().count(),
        0
    );
}

#[test]
fn names_are_never_markup() {
    let name = "<img src=x onerror=alert(1)>&\"'\u{202e}";
    let stations = format!(
        "name,distance_km\n\"{}\",10\nHut,20\n",
        name.replace('"', "\"\"")
    );
    let case = Case::new()
        .copied("courses/velprek-50k")
        .file(
            "race/plan.toml",
            "course = \"../courses/velprek-50k\"\nfinish = \"7:30:00\"\n",
        )
        .file("courses/velprek-50k/stations.csv", stations);
    let desk = Desk::open(&case, "race");
    for part in [
        "times", "stations", "race", "food", "crew", "day", "files", "take",
    ] {
        let told = desk.get(&format!("state?part={part}")).is(200).json();
        for (id, html) in told["html"].as_object().unwrap() {
            let html = html.as_str().unwrap();
            assert!(!html.contains("<img"), "{part} {id}");
            assert!(!html.contains("onerror=alert(1)>&\"'"), "{part} {id}");
        }
    }
    for picture in sutler::pictures::PICTURES {
        let drawn = desk
            .get(&format!("picture?name={}", picture.name))
            .is(200)
            .text();
        assert!(!drawn.contains("<img"), "{}", picture.name);
    }
    let why = desk.get("why?of=1&what=arrival").is(200).text();
    assert!(why.contains("&lt;img") && !why.contains("<img"));
}

#[test]
fn it_ends_when_the_page_says_so_and_on_ctrl_c() {
    let case = demo();
    let mut desk = Desk::open(&case, PLAN);
    desk.post("quit", &json!({})).is(200);
    assert!(desk.ended().success());
    #[cfg(unix)]
    {
        let mut desk = Desk::open(&case, PLAN);
        let killed = std::process::Command::new("kill")
            .args(["-INT", &desk.process().to_string()])
            .status();
        assert!(killed.unwrap().success());
        assert!(desk.ended().success());
    }
}
