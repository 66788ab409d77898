//! Browsers that hang.

use std::os::unix::fs::PermissionsExt;

use super::*;

#[test]
fn a_browser_that_hangs_is_ended_with_its_children() {
    let folder = tempfile::tempdir().expect("a folder");
    let (program, child) = (folder.path().join("browser"), folder.path().join("child"));
    let script = format!(
        "#!/bin/sh\nsleep 300 &\necho $! > '{}'\nwait\n",
        child.display()
    );
    std::fs::write(&program, script).expect("a script");
    std::fs::set_permissions(&program, std::fs::Permissions::from_mode(0o755)).expect("its mode");
    let browser = Browser { program };
    let Ok(printed) = PrintFolder::set(&browser, "<p>page</p>") else {
        panic!("no folder to print in");
    };
    let command = printed.command(&browser);
    let said = browser.finish(command, &printed, Duration::from_secs(2));
    let said = said.expect_err("it hangs").to_string();
    assert!(
        said.contains("was not done after 2 s and was stopped"),
        "{said}"
    );
    assert!(said.contains("-o NAME.html"), "{said}");
    let id = std::fs::read_to_string(child).expect("its child's number");
    let id = id
        .trim()
        .parse()
        .ok()
        .and_then(rustix::process::Pid::from_raw);
    let id = id.expect("a number");
    // a killed child is there until someone takes note of its end
    for _ in 0..100 {
        if is_gone(id) {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("its child still runs");
}

/// True where nothing of a process runs any more: it is away, or dead and unnoticed.
fn is_gone(id: rustix::process::Pid) -> bool {
    let status = std::fs::read_to_string(format!("/proc/{}/stat", id.as_raw_nonzero()));
    let is_dead = status.is_ok_and(|status| status.contains(") Z "));
    is_dead || rustix::process::test_kill_process(id).is_err()
}

#[test]
fn addresses_of_files_are_written_in_percent() {
    // RFC 8089, appendix B, and RFC 3986, section 2.1
    assert_eq!(
        file_url(Path::new("/a b/c#d%.html")),
        "file:///a%20b/c%23d%25.html"
    );
    assert_eq!(
        file_url(Path::new(r"\\?\C:\x\y.html")),
        "file:///C:/x/y.html"
    );
}
