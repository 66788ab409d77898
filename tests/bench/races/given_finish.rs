//! Passages predicted from the finish and nothing else.

use rayon::prelude::*;
use sutler::pacing::{self, Goal};
use sutler::time::S_PER_HOUR;

use super::edition::{Edition, Finisher};
use super::table::{self, Class};

/// One passage on the way.
struct Mark<'a> {
    edition: &'a str,
    /// How far along the way, 0 to 1.
    share: f64,
    finish_h: f64,
    /// Predicted less true, percent of the finish.
    error_pct: f64,
}

/// Finishes are told apart at these hours.
const FINISH_H: [f64; 5] = [0.0, 18.0, 22.0, 26.0, f64::INFINITY];

/// Prints the table.
pub(crate) fn print(editions: &[Edition]) {
    let marks: Vec<Mark<'_>> = editions.iter().flat_map(marks).collect();
    let runners: usize = editions.iter().map(|e| e.finishers.len()).sum();
    println!(
        "{runners} finishers of {} editions, given the finish",
        editions.len()
    );
    let mut classes = vec![Class::new("all", |_: &Mark<'_>| true)];
    for fifth in 0..5 {
        let (from, to) = (0.2 * f64::from(fifth), 0.2 * f64::from(fifth + 1));
        let name = format!("{:.0} to {:.0} % of the way", 100.0 * from, 100.0 * to);
        classes.push(Class::new(name, move |m: &Mark<'_>| {
            (from..to).contains(&m.share)
        }));
    }
    for pair in FINISH_H.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let name = match (from, to) {
            (0.0, _) => format!("under {to} h"),
            (_, f64::INFINITY) => format!("{from} h and more"),
            _ => format!("{from} to {to} h"),
        };
        classes.push(Class::new(name, move |m: &Mark<'_>| {
            (from..to).contains(&m.finish_h)
        }));
    }
    for edition in editions {
        let name = edition.name.as_str();
        classes.push(Class::new(name, move |m: &Mark<'_>| m.edition == name));
    }
    table::print(&marks, &classes, |mark| mark.error_pct);
}

fn marks(edition: &Edition) -> Vec<Mark<'_>> {
    let finishers = edition.finishers.par_iter();
    let each = finishers.flat_map_iter(|finisher| passages(edition, finisher));
    each.collect()
}

fn passages<'a>(edition: &'a Edition, finisher: &'a Finisher) -> Vec<Mark<'a>> {
    let race = &edition.race;
    let goal = Goal {
        finish_s: finisher.finish_s,
        stops_s: vec![0.0; race.course.stations.len()],
    };
    let pacing = pacing::solve(&race.course, &race.conditions, &race.settings, &goal)
        .unwrap_or_else(|e| panic!("{}: {} s: {e:?}", edition.name, finisher.finish_s));
    let points = finisher.passed_s.iter().zip(&edition.share);
    let on_the_way = points.zip(&pacing.arrival_s[1..]);
    on_the_way
        .take(edition.share.len() - 1)
        .filter_map(|((passed_s, share), predicted_s)| {
            Some(Mark {
                edition: &edition.name,
                share: *share,
                finish_h: finisher.finish_s / S_PER_HOUR,
                error_pct: 100.0 * (predicted_s - (*passed_s)?) / finisher.finish_s,
            })
        })
        .collect()
}
