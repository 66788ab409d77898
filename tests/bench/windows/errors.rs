//! How far the predicted times of recordings are off when the finish is given.

use std::collections::BTreeSet;

use super::recordings::{MARKS, Recording};
use super::table::{self, Class};

/// One mark of one recording.
struct Mark<'a> {
    recording: &'a Recording,
    /// Predicted less true, percent of the finish.
    error_pct: f64,
}

/// Prints the table.
pub(crate) fn print(recordings: &[Recording]) {
    let marks: Vec<Mark<'_>> = recordings.iter().flat_map(marks).collect();
    println!("{} recordings, given the finish", recordings.len());
    let lengths = [
        ("under 42 km", 0.0, 42e3),
        ("42 to 80 km", 42e3, 80e3),
        ("80 km or more", 80e3, f64::INFINITY),
    ];
    let mut classes = vec![Class::new("all", |_: &Mark<'_>| true)];
    for (name, from_m, to_m) in lengths {
        classes.push(Class::new(name, move |mark: &Mark<'_>| {
            (from_m..to_m).contains(&mark.recording.distance_m)
        }));
    }
    let groups: BTreeSet<&str> = recordings.iter().map(|r| r.group.as_str()).collect();
    for group in groups.into_iter().filter(|group| !group.is_empty()) {
        let name = format!("group {group}");
        classes.push(Class::new(name, move |mark: &Mark<'_>| {
            mark.recording.group == group
        }));
    }
    table::print(&marks, &classes, |mark| mark.error_pct);
    println!();
}

fn marks(recording: &Recording) -> Vec<Mark<'_>> {
    let finish_s = recording.pacing.finish_s;
    (0..MARKS)
        .map(|mark| Mark {
            recording,
            error_pct: 100.0 * (recording.pacing.arrival_s[mark + 1] - recording.true_s[mark])
                / finish_s,
        })
        .collect()
}
