#![no_main]
use sutler::diagnostics::{Notes, Sources, render};
use sutler::inputs::{self, PastResult, Target};
use sutler::replan::{WrittenTime, observations, took};
use sutler::time::Elapsed;

// What is typed behind a command or into a field: each line to every reader of such a text.
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let lines: Vec<String> = text.lines().take(20).map(str::to_owned).collect();
    for line in &lines {
        let _ = (Elapsed::parse(line), Target::parse(line), PastResult::parse(line));
        let _ = (WrittenTime::parse(line), inputs::date(line), inputs::local_time(line));
    }
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let half = lines.len() / 2;
    let _ = observations(&lines[..half], &lines[half..], &mut sources, &mut notes);
    let _ = took(&lines, &[], &mut sources, &mut notes);
    let _ = render(&sources, notes.all(), false);
});
