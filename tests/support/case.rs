//! One run of the command in a folder of its own, and what came out of it.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// A temporary folder with the files of one case.
pub struct Case {
    folder: tempfile::TempDir,
}

/// What a run of the command left behind.
pub struct Outcome {
    asked: String,
    /// The exit code; `None` where a signal ended it.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// A path below the crate's root.
pub fn in_repository(below: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(below)
}

/// The shipped route that is quickest to plan, as an argument.
pub fn short_route() -> String {
    in_repository("courses/velprek-50k/route.gpx")
        .to_str()
        .unwrap()
        .to_owned()
}

impl Case {
    /// An empty folder.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        Case { folder }
    }

    /// With a file in it.
    pub fn file(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
        self
    }

    /// With a copy of a file or folder of the repository, under the same path.
    pub fn copied(self, below: &str) -> Self {
        let from = in_repository(below);
        if from.is_dir() {
            let mut names: Vec<String> = std::fs::read_dir(&from)
                .unwrap()
                .map(|entry| entry.unwrap().file_name().into_string().unwrap())
                .collect();
            names.sort();
            let child = |case: Self, name: String| case.copied(&format!("{below}/{name}"));
            return names.into_iter().fold(self, child);
        }
        let text = std::fs::read(&from).unwrap_or_else(|e| panic!("{below}: {e}"));
        self.file(below, text)
    }

    /// The path of a file of the case.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What a file holds.
    #[track_caller]
    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Every file and folder of the case by its path, sorted, folders with a slash behind.
    pub fn listing(&self) -> Vec<String> {
        let mut found = Vec::new();
        list(self.folder.path(), "", &mut found);
        found.sort();
        found
    }

    /// The command, ready to be run in this folder, knowing nothing of this machine's terminal and
    /// browsers.
    pub fn command<A: AsRef<OsStr>>(&self, args: &[A]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sutler"));
        command
            .args(args)
            .current_dir(self.folder.path())
            .env_remove("NO_COLOR")
            .env_remove("CLICOLOR_FORCE")
            .env("TERM", "xterm-256color")
            .env("COLUMNS", "80")
            .env("SUTLER_BROWSER", "no-browser-in-tests")
            .stdin(Stdio::null());
        command
    }

    /// Runs the command to its end.
    #[track_caller]
    pub fn run<A: AsRef<OsStr>>(&self, args: &[A]) -> Outcome {
        let mut command = self.command(args);
        let output = command.output().unwrap();
        Outcome {
            asked: format!("{command:?}"),
            code: output.status.code(),
            out: String::from_utf8(output.stdout).expect("UTF-8 on standard output"),
            err: String::from_utf8(output.stderr).expect("UTF-8 on standard error"),
        }
    }
}

fn list(folder: &Path, before: &str, found: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = format!("{before}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            list(&entry.path(), &format!("{name}/"), found);
            found.push(format!("{name}/"));
        } else {
            found.push(name);
        }
    }
}

impl Outcome {
    /// Ended with this exit code.
    #[track_caller]
    pub fn exits(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{self}");
        self
    }

    /// Said nothing on standard error.
    #[track_caller]
    pub fn quietly(self) -> Self {
        assert_eq!(self.err, "", "{self}");
        self
    }

    /// Said this somewhere on standard error.
    #[track_caller]
    pub fn says(self, words: &str) -> Self {
        assert!(self.err.contains(words), "not said: {words}\n{self}");
        self
    }

    /// Printed this somewhere on standard output.
    #[track_caller]
    pub fn prints(self, words: &str) -> Self {
        assert!(self.out.contains(words), "not printed: {words}\n{self}");
        self
    }

    /// Printed nothing on standard output.
    #[track_caller]
    pub fn prints_nothing(self) -> Self {
        assert_eq!(self.out, "", "{self}");
        self
    }

    /// What was printed, as JSON.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}\n{self}"))
    }
}

impl std::fmt::Display for Outcome {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Outcome {
            asked,
            code,
            out,
            err,
        } = self;
        write!(
            f,
            "{asked}\nexit code {code:?}\n--- out\n{out}\n--- err\n{err}"
        )
    }
}
