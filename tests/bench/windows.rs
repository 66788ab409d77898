//! How well the windows hold what really happened, and how fast races are simulated.
//!
//! `cargo bench --bench windows` measures speed: simulated races per second, on one thread and on
//! more, and the whole simulation against the gpx crate reading the same course's route.
//!
//! `cargo bench --bench windows -- FOLDER`, or with the folder in `SUTLER_RECORDINGS`, prints how
//! far the predicted times of your own recordings are off and how many true ones the windows hold. Given the finish of each recording
//! (`ID.csv` with the columns elapsed_s, distance_m and elevation_m), the time at every tenth of
//! its distance is predicted with its window. With a `groups.csv` (id, group) beside them the
//! free figures are also fitted anew with each group left out in turn. Then each finish is foretold
//! with a target 7 % too fast, from what was seen at some of the tenths.

use std::path::PathBuf;

#[path = "windows/errors.rs"]
mod errors;
#[path = "windows/foretold.rs"]
mod foretold;
#[path = "windows/held.rs"]
mod held;
#[path = "windows/recordings.rs"]
mod recordings;
#[path = "windows/speed.rs"]
mod speed;
#[path = "races/table.rs"]
mod table;

fn main() {
    let folder = std::env::args()
        .skip(1)
        .find(|argument| !argument.starts_with("--"))
        .or_else(|| std::env::var("SUTLER_RECORDINGS").ok());
    match folder {
        Some(folder) => {
            let recordings = recordings::read(&PathBuf::from(folder));
            errors::print(&recordings);
            held::print(&recordings);
            foretold::print(&recordings);
        }
        None => speed::print(std::env::args().any(|argument| argument == "--smoke")),
    }
}
