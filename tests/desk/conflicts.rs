//! Others who change the files meanwhile, and ends in mid-save.

use std::time::Duration;

use serde_json::json;

use super::served::{Desk, demo};

const PLAN: &str = "demo-data/plan-50k.toml";

#[test]
fn what_an_editor_wrote_and_what_was_typed_are_both_kept() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    let first = desk.get("version").is(200).json();
    let edited = case
        .text(PLAN)
        .replace("finish = \"7:30:00\"", "finish = \"7:20:00\"   # faster");
    std::fs::write(case.path(PLAN), &edited).unwrap();
    let told = desk.get("version").is(200).json();
    assert_eq!(told["elsewhere"], json!(["plan.toml"]));
    assert_ne!(told["version"], first["version"]);
    // the same value: neither is lost, and the one here is not written
    let told = desk
        .set("plan", &json!(["finish"]), "7:40:00", Some("7:30:00"))
        .is(409)
        .json();
    assert_eq!(told["conflict"], true);
    assert_eq!(
        (&told["here"], &told["disk"]),
        (&json!("7:40:00"), &json!("7:20:00"))
    );
    assert_eq!(case.text(PLAN), edited);
    // another value: both hold
    desk.set("plan", &json!(["stops", "aid_min"]), "4", Some("3"))
        .is(200);
    assert_eq!(
        case.text(PLAN),
        edited.replace("aid_min = 3", "aid_min = 4")
    );
    // the step before cannot be taken back over what the editor wrote since
    let again = case.text(PLAN).replace("water_min = 1", "water_min = 2");
    std::fs::write(case.path(PLAN), &again).unwrap();
    let told = desk.post("undo", &json!({})).is(409).json();
    assert_eq!(told["disk"], json!(again));
    assert_eq!(case.text(PLAN), again);
}

#[test]
fn a_change_of_the_same_length_within_a_moment_is_seen() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    let before = case.text(PLAN);
    let changed = || {
        std::fs::metadata(case.path(PLAN))
            .unwrap()
            .modified()
            .unwrap()
    };
    let mut time = None;
    for finish in ["7:20:00", "7:10:00", "7:40:00"] {
        std::fs::write(case.path(PLAN), before.replace("7:30:00", finish)).unwrap();
        // the clock of a file system may not have moved on between two changes
        let time = *time.get_or_insert_with(changed);
        let file = std::fs::File::options().write(true).open(case.path(PLAN));
        file.unwrap().set_modified(time).unwrap();
        let told = desk.get("version").is(200).json();
        assert_eq!(told["elsewhere"], json!(["plan.toml"]), "{finish}");
        assert_eq!(desk.get("version").is(200).json()["elsewhere"], json!([]));
    }
}

#[test]
fn a_row_that_moved_is_found_and_one_that_changed_is_not_overwritten() {
    let case = demo();
    let name = "courses/velprek-50k/stations.csv";
    let desk = Desk::open(&case, PLAN);
    let text = case.text(name);
    let line = text
        .lines()
        .find(|line| line.starts_with("Podmlinec"))
        .unwrap()
        .to_owned();
    let edit = json!({ "do": "cell", "file": "stations", "row": 1, "line": line,
        "column": "stop_min", "value": "3" });
    let moved = text.replace(&line, &format!("Spring,,2.0,,,water,,,,,,water\n{line}"));
    std::fs::write(case.path(name), &moved).unwrap();
    desk.post("edit", &edit).is(200);
    assert!(
        case.text(name).contains(&format!("{line},3")),
        "{}",
        case.text(name)
    );
    let changed = text.replace("Podmlinec,Podmlinec", "Podmlinec,Mill");
    std::fs::write(case.path(name), &changed).unwrap();
    let told = desk.post("edit", &edit).is(409).json();
    assert_eq!(told["conflict"], true);
    assert!(told["disk"].as_str().unwrap().contains("Mill"), "{told}");
    assert_eq!(case.text(name), changed);
}

#[test]
fn two_tabs_do_not_undo_each_other() {
    let case = demo();
    let desk = Desk::open(&case, PLAN);
    std::thread::scope(|scope| {
        for (key, values) in [("aid_min", ["4", "5", "6"]), ("water_min", ["2", "3", "4"])] {
            let desk = &desk;
            scope.spawn(move || {
                for value in values {
                    desk.set("plan", &json!(["stops", key]), value, None)
                        .is(200);
                }
            });
        }
    });
    let text = case.text(PLAN);
    assert!(
        text.contains("aid_min = 6") && text.contains("water_min = 4"),
        "{text}"
    );
}

#[test]
fn a_kill_in_mid_save_leaves_one_whole_file() {
    let case = demo();
    let known: Vec<String> = (0..60).map(|minute| format!("7:{minute:02}:00")).collect();
    let before = case.text(PLAN);
    for round in 0..6_u64 {
        let mut desk = Desk::open(&case, PLAN);
        let (port, token, own) = (desk.port, desk.token.clone(), desk.own());
        let known = &known;
        std::thread::scope(|scope| {
            scope.spawn(move || {
                for finish in known.iter().cycle().take(2000) {
                    let body = json!({ "do": "set", "file": "plan", "path": ["finish"],
                        "value": finish, "was": null })
                    .to_string();
                    let request = format!(
                        "POST /{token}/edit HTTP/1.1\r\n{own}Content-Type: application/json\r\n\
                         Content-Length: {}\r\n\r\n{body}",
                        body.len()
                    );
                    use std::io::{Read, Write};
                    let Ok(mut stream) = std::net::TcpStream::connect(("127.0.0.1", port)) else {
                        return;
                    };
                    let _ = stream.write_all(request.as_bytes());
                    let _ = stream.read(&mut [0; 16]);
                }
            });
            std::thread::sleep(Duration::from_millis(150 + 97 * round));
            desk.kill();
        });
        let text = case.text(PLAN);
        let finish = text
            .lines()
            .find(|line| line.starts_with("finish"))
            .unwrap();
        let typed = finish.split('"').nth(1).unwrap();
        assert!(
            typed == "7:30:00" || known.iter().any(|own| own == typed),
            "{text}"
        );
        assert_eq!(
            text,
            before.replace("finish = \"7:30:00\"", finish),
            "whole"
        );
    }
}

#[test]
fn what_was_saved_is_there_after_a_kill() {
    let case = demo();
    let mut desk = Desk::open(&case, PLAN);
    desk.set("plan", &json!(["finish"]), "7:41:00", None)
        .is(200);
    desk.kill();
    assert!(case.text(PLAN).contains("finish = \"7:41:00\""));
    let desk = Desk::open(&case, PLAN);
    let told = desk.get("state?part=times").is(200).json();
    assert!(told["html"]["target"].as_str().unwrap().contains("7:41:00"));
}
