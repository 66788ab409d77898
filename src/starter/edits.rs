//! The example's texts made one's own: what describes the example goes, what is known comes in.

use crate::course::{Course, StationRole};
use crate::inputs::Target;
use crate::time::Elapsed;

use super::known::{Known, OwnRace};
use super::{COURSE, PLAN};

/// The plan with its finish and results; what is not known stays as a comment to fill in, with
/// examples that suit the race.
pub(super) fn plan(race: &OwnRace, known: &Known) -> String {
    let near = |share: f64| {
        let minutes = (known.finish_s as f64 * share / 300.0).round() as i64 * 5;
        Elapsed::from_secs(minutes * 60).to_seconds_text()
    };
    let (early, late) = (near(0.93), near(1.1));
    let rests = known.finish_s > RESTED_FROM_S;
    let line = |line: &str| match line.split_once(" = ") {
        Some(("finish", _)) => match race.finish {
            Some(target) => format!("finish = \"{}\"\n", typed(target)),
            None => "# finish = \"h:mm:ss\"\n".to_owned(),
        },
        Some(("other_finishes", _)) => format!("# other_finishes = [\"{early}\", \"{late}\"]\n"),
        Some(("evidence", _)) => format!("# {line}\n"),
        // the example that follows gives way to the default
        None if rests && line == "# [stops.at]" => rest(known.rest_at.as_deref()),
        Some(("# \"Mill\"", _)) if rests => String::new(),
        _ => format!(
            "{}\n",
            line.replace("3:00:00..3:50:00", &format!("{early}..{late}"))
        ),
    };
    let mut text: String = PLAN.lines().map(line).collect();
    for result in &race.past {
        text.push_str(&format!(
            "\n[[past]]\ndistance_km = {}\nclimb_m = {}\ntime = \"{}\"\n",
            round(result.distance_m / 1000.0),
            round(result.climb_m),
            result.time.value.to_seconds_text()
        ));
    }
    text
}

/// Longer finishes have a rest in them: common practice, no source.
const RESTED_FROM_S: i64 = 30 * 3600;

/// A default rest, where it is known that something warm waits.
fn rest(at: Option<&str>) -> String {
    let why = "# A default for more than 30 hours: a rest to lie down in before the second night. Move it to\n\
               # where you get sleepy, make it longer (20 to 90 minutes are usual) or take it out.\n";
    match at {
        Some(name) => format!("{why}[stops.at]\n{} = 20\n", quoted(name)),
        None => format!("{why}# [stops.at]\n# \"A station with a drop bag or the crew\" = 20\n"),
    }
}

fn typed(target: Target) -> String {
    match target {
        Target::One(finish) => finish.to_seconds_text(),
        Target::Range(early, late) => {
            format!("{}..{}", early.to_seconds_text(), late.to_seconds_text())
        }
    }
}

fn round(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

/// The organiser's file with the route's name, and start and zone as far as they are known.
pub(super) fn course(race: &OwnRace, known: &Known) -> String {
    let start = race.start;
    let mut in_rules = false;
    let line = |line: &str| -> String {
        let key = line.split_once(" = ").map(|(key, _)| key);
        in_rules = in_rules && line != "]" || key == Some("rules");
        let told = !line.is_empty() && !line.starts_with('#');
        match key {
            Some("name") => format!("name = {}\n", quoted(&known.name)),
            Some("origin") => format!(
                "origin = {}\n",
                quoted(&format!("the route in {}", race.route_name))
            ),
            Some("timezone") => match known.timezone {
                Some((zone, guessed)) => {
                    // a zone alone tells nothing
                    let mark = if start.is_some() { "" } else { "# " };
                    let why = if guessed {
                        "   # the nearest zone to the route: check that it is right"
                    } else {
                        ""
                    };
                    format!("{mark}timezone = \"{zone}\"{why}\n")
                }
                None => format!("# {line}\n"),
            },
            Some("start") => match start.filter(|_| known.timezone.is_some()) {
                Some(start) => format!("start = \"{}\"\n", start.format("%Y-%m-%dT%H:%M")),
                None => format!("# {line}\n"),
            },
            // who is out by a cutoff was in by it
            Some("# cutoffs_on") if known.cutoffs_open => "cutoffs_on = \"departure\"\n".to_owned(),
            _ if told => format!("# {line}\n"),
            _ => format!("{line}\n"),
        }
    };
    COURSE.lines().map(line).collect()
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    let short: String = text.chars().filter(|c| !c.is_control()).take(80).collect();
    let escaped = short.trim().replace('\\', "\\\\").replace('"', "\\\"");
    format!("\"{escaped}\"")
}

/// A file of settings with one of them as a comment.
pub(super) fn without(key: &str, text: &str) -> String {
    let is_it = |line: &str| {
        line.split_once(" = ")
            .is_some_and(|(before, _)| before == key)
    };
    let lines = text.lines().map(|line| {
        if is_it(line) {
            format!("# {line}\n")
        } else {
            format!("{line}\n")
        }
    });
    lines.collect()
}

/// The gear list without what names a station of the example.
pub(super) fn gear(text: &str) -> String {
    let lines = text
        .lines()
        .filter(|line| line.starts_with('#') || !line.contains("after-station"));
    lines.map(|line| format!("{line}\n")).collect()
}

/// A station list of the stations that the route file names by waypoints.
pub(super) fn stations_of(course: &Course) -> String {
    let mut text = String::from(
        "# From the waypoints of the route file. Take out those that are no stations, and add what the\n\
         # organiser says: cutoffs, crew, drop bags. Columns are told of in `sutler help files`.\n\
         name,distance_km,kind,cutoff,crew,drop_bag,pacer,offers\n",
    );
    for station in course
        .stations
        .iter()
        .filter(|s| matches!(s.role, StationRole::Between(_)))
    {
        let name = &station.name;
        let name = if name.contains([',', '"', '#']) {
            format!("\"{}\"", name.replace('"', "\"\""))
        } else {
            name.clone()
        };
        let km = (station.distance_m / 10.0).round() / 100.0;
        text.push_str(&format!("{name},{km},aid,,,,,\n"));
    }
    text
}
