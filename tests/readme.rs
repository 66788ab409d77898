//! README.md: its commands run as they stand there and print what it shows.
//!
//! A fenced block marked `console` is a session: a line `$ sutler ...` is run, and the lines below
//! it, if any, are what it prints, where a line `...` stands for any lines. So is `$ cp ...`: all of
//! it happens in a copy of `demo-data` and `courses`. In a block marked `sh` every line is run.
//! `SUTLER_ACCEPT=1` rewrites what is shown; between such lines as much is shown as before, from
//! the line that it began with.

use std::path::Path;
use std::process::{Command, Stdio};

use crate::support::case::{Case, in_repository};

/// What a line of its own stands for.
const ANY_LINES: &str = "...";

/// One command of a session and what is shown below it.
#[derive(Clone, Debug, PartialEq)]
struct Step {
    /// The number of the command's line, from 0.
    line: usize,
    command: String,
    shown: Vec<String>,
}

/// A line with its number, from 0.
type Line<'t> = (usize, &'t str);

/// The lines inside fenced blocks of sessions.
fn session_lines(text: &str) -> Vec<(bool, Vec<Line<'_>>)> {
    let mut blocks: Vec<(bool, Vec<Line<'_>>)> = Vec::new();
    // whether a block is open, and whether it is a session
    let mut open = None;
    for (number, line) in text.lines().enumerate() {
        match (line.trim_start().strip_prefix("```"), open) {
            (Some(_), Some(_)) => open = None,
            (Some(language), None) => {
                let session = ["console", "sh"].contains(&language.trim());
                open = Some(session);
                if session {
                    blocks.push((language.trim() == "sh", Vec::new()));
                }
            }
            (None, Some(true)) => {
                if let Some((all_run, block)) = blocks.last_mut() {
                    // a block in a list is set in
                    let line = if *all_run { line.trim_start() } else { line };
                    block.push((number, line));
                }
            }
            _ => {}
        }
    }
    blocks
}

fn steps(text: &str) -> Vec<Step> {
    let mut steps = Vec::new();
    for (all_run, block) in session_lines(text) {
        let mut current: Option<Step> = None;
        for (line, content) in block {
            let command = content.strip_prefix("$ ");
            if let Some(command) = command.or(all_run.then_some(content)) {
                steps.extend(current.take());
                current = Some(Step {
                    line,
                    command: command.trim().to_owned(),
                    shown: Vec::new(),
                });
            } else if let Some(step) = &mut current {
                step.shown.push(content.to_owned());
            }
        }
        steps.extend(current);
    }
    steps.retain(|step| (["sutler ", "cp "].iter()).any(|ours| step.command.starts_with(ours)));
    steps
}

/// Whether lines are as shown, `...` standing for any number of them.
fn matches(shown: &[String], printed: &[&str]) -> bool {
    match shown.split_first() {
        None => printed.is_empty(),
        Some((first, rest)) if first.trim() == ANY_LINES => {
            (0..=printed.len()).any(|skipped| matches(rest, &printed[skipped..]))
        }
        Some((first, rest)) => printed
            .split_first()
            .is_some_and(|(line, more)| line.trim_end() == first.trim_end() && matches(rest, more)),
    }
}

/// What is shown, renewed from what is printed; `None` where a part of it is no longer found.
fn renewed(shown: &[String], printed: &[&str]) -> Option<Vec<String>> {
    let is_any = |line: &String| line.trim() == ANY_LINES;
    if !shown.iter().any(is_any) {
        return Some(printed.iter().map(|line| (*line).to_owned()).collect());
    }
    let (mut new, mut at) = (Vec::new(), 0);
    for (index, part) in shown.split(is_any).enumerate() {
        if index > 0 {
            new.push(ANY_LINES.to_owned());
        }
        if let (Some(first), 1..) = (part.first(), index) {
            at += printed[at..]
                .iter()
                .position(|line| line.trim_end() == first.trim_end())?;
        }
        let end = (at + part.len()).min(printed.len());
        new.extend(printed[at..end].iter().map(|line| (*line).to_owned()));
        at = end;
    }
    Some(new)
}

/// Runs a command as a shell would, in a folder, `sutler` being ours.
fn run(step: &Step, folder: &Path, bin: &Path) -> (Option<i32>, String) {
    let path = format!("{}:/usr/bin:/bin", bin.display());
    // a terminal shows both, in their order
    let both = format!("{{ {}; }} 2>&1", step.command);
    let output = Command::new("sh")
        .args(["-c", &both])
        .current_dir(folder)
        .env("PATH", path)
        .env_remove("NO_COLOR")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    (
        output.status.code(),
        String::from_utf8(output.stdout).unwrap(),
    )
}

/// A copy of what commands work on, laid out as in the repository.
fn repository() -> Case {
    Case::new().copied("demo-data").copied("courses")
}

/// The text with what its commands print in place of what it shows, or what is wrong with it.
fn rewritten(text: &str, accept: bool) -> Result<String, String> {
    let case = repository();
    let bin = Case::new();
    let ours = Path::new(env!("CARGO_BIN_EXE_sutler"));
    std::fs::copy(ours, bin.path("sutler")).unwrap();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (mut wrong, mut moved) = (Vec::new(), 0_isize);
    for step in steps(text) {
        let (code, printed) = run(&step, &case.path(""), &bin.path(""));
        if !matches!(code, Some(0 | 1)) {
            wrong.push(format!("$ {}\nexit code {code:?}\n{printed}", step.command));
            continue;
        }
        let printed: Vec<&str> = printed.lines().collect();
        if step.shown.iter().all(|line| line.trim().is_empty()) || matches(&step.shown, &printed) {
            continue;
        }
        wrong.push(format!(
            "$ {}\nprints\n{}",
            step.command,
            printed.join("\n")
        ));
        if let Some(new) = renewed(&step.shown, &printed) {
            let at = (step.line as isize + 1 + moved) as usize;
            moved += new.len() as isize - step.shown.len() as isize;
            lines.splice(at..at + step.shown.len(), new);
        }
    }
    let new = lines.join("\n") + "\n";
    if wrong.is_empty() || accept {
        Ok(new)
    } else {
        Err(wrong.join("\n"))
    }
}

fn readme() -> String {
    std::fs::read_to_string(in_repository("README.md")).unwrap()
}

/// README.md and the topics of `sutler help`: every text with sessions in it.
fn texts() -> Vec<std::path::PathBuf> {
    let topics = std::fs::read_dir(in_repository("src/help")).unwrap();
    let mut texts: Vec<_> = topics
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "md"))
        .collect();
    texts.sort();
    texts.insert(0, in_repository("README.md"));
    texts
}

#[test]
fn commands_print_what_is_shown() {
    let accept = std::env::var_os("SUTLER_ACCEPT").is_some();
    let (mut commands, mut shown) = (0, 0);
    let mut wrong = Vec::new();
    for path in texts() {
        let text = std::fs::read_to_string(&path).unwrap();
        let all = steps(&text);
        commands += all.len();
        shown += all.iter().filter(|step| !step.shown.is_empty()).count();
        match rewritten(&text, accept) {
            Ok(new) if new != text => std::fs::write(&path, new).unwrap(),
            Ok(_) => {}
            Err(why) => wrong.push(format!("{} is not as run:\n{why}", path.display())),
        }
    }
    assert!(
        commands >= 10 && shown >= 2,
        "hardly any commands are shown"
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn two_commands_stand_at_the_top() {
    let text = readme();
    let mut blocks = text.split("```").skip(1).step_by(2);
    let top: Vec<&str> = blocks
        .by_ref()
        .take(2)
        .flat_map(|block| block.lines().skip(1))
        .map(|line| line.trim_start_matches("$ "))
        .filter(|line| !line.is_empty())
        .collect();
    let run = top
        .iter()
        .position(|line| line.starts_with("cargo run") && line.contains("demo-data"));
    let test = top.iter().position(|line| line.starts_with("cargo test"));
    assert!(
        run < test && run.is_some(),
        "the first two blocks of README.md hold {top:?}"
    );
    // the main job on files that are there
    let plan = top[run.unwrap()]
        .split_whitespace()
        .find(|word| word.starts_with("demo-data"));
    assert!(
        plan.is_some_and(|plan| in_repository(plan).exists()),
        "{top:?}"
    );
}

#[test]
fn every_verb_is_told_of() {
    let read = |path: &std::path::PathBuf| std::fs::read_to_string(path).unwrap();
    let text: String = texts().iter().map(read).collect();
    let help = Case::new().run(&["-h"]).exits(0).out;
    let verbs: Vec<&str> = help
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|verb| *verb != "help")
        .collect();
    assert!(verbs.len() >= 10, "{verbs:?}");
    for verb in verbs {
        let told = [
            format!("`{verb}`"),
            format!("sutler {verb}"),
            format!("`{verb} "),
        ];
        assert!(
            told.iter().any(|words| text.contains(words)),
            "neither README.md nor a topic tells of {verb}"
        );
    }
}

/// A page like README.md, so that its checks are checked before and beside it.
const SAMPLE: &str = "\
# A page

```console
$ sutler plan demo-data/plan-50k.toml
Velprek Hill Laps
...
$ sutler new my-race
wrote my-race: read plan.toml there first, then try
  sutler plan my-race/plan.toml
$ sutler course my-race | head -n 1
Example Hill Round
```

```rust
$ sutler is no session here
```
";

#[test]
fn sessions_are_found_and_run() {
    let found = steps(SAMPLE);
    assert_eq!(found.len(), 3);
    assert_eq!(found[0].command, "sutler plan demo-data/plan-50k.toml");
    assert_eq!(found[0].shown, ["Velprek Hill Laps", "..."]);
    assert_eq!(rewritten(SAMPLE, false).as_deref(), Ok(SAMPLE));
    assert!(steps("# no session\n\n    $ sutler plan\n").is_empty());
}

#[test]
fn what_is_not_printed_is_found() {
    for (right, wrong) in [
        ("Velprek Hill Laps", "Velprek Hill Lap"),
        ("Example Hill Round", "Example Hill Round\nand more"),
        ("wrote my-race", "made my-race"),
        ("plan-50k.toml", "plan-51k.toml"),
        ("sutler new my-race", "sutler new demo-data"),
    ] {
        let text = SAMPLE.replacen(right, wrong, 1);
        assert_ne!(text, SAMPLE);
        assert!(rewritten(&text, false).is_err(), "{wrong}");
    }
}

#[test]
fn any_lines_stand_for_any_lines() {
    let shown = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    for (pattern, printed, wanted) in [
        ("a\n...\nc", "a\nb\nb\nc", true),
        ("a\n...\nc", "a\nc", true),
        ("...\nc", "a\nb\nc", true),
        ("a\n...", "a", true),
        ("a\n...\nc", "a\nb", false),
        ("a", "a\nb", false),
        ("a\nb", "a", false),
    ] {
        let lines: Vec<&str> = printed.lines().collect();
        assert_eq!(
            matches(&shown(pattern), &lines),
            wanted,
            "{pattern:?} for {printed:?}"
        );
    }
}

#[test]
fn what_is_shown_is_renewed_in_part() {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let printed = ["title", "one", "Stations", "S", "1", "F", "end"];
    for (shown, wanted) in [
        ("anything", "title\none\nStations\nS\n1\nF\nend"),
        ("old title\n...", "title\n..."),
        (
            "old\n...\nStations\nold S\n...",
            "title\n...\nStations\nS\n...",
        ),
        ("...\nend", "...\nend"),
    ] {
        assert_eq!(
            renewed(&lines(shown), &printed),
            Some(lines(wanted)),
            "{shown}"
        );
    }
    assert_eq!(renewed(&lines("...\nCrew\n..."), &printed), None);
}
