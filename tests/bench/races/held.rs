//! How many passages the windows hold, and how the rest of a race is foretold.

use rayon::prelude::*;
use sutler::arrivals::figures::Straying;
use sutler::arrivals::{Arrivals, Kind, Onward, Passage, Seen, Trials, simulate_with};
use sutler::pacing::{self, Goal, Pacing};

use super::edition::{Edition, Finisher};

/// The target of a replan over the true finish.
const HOPED: f64 = 0.93;
/// Where replans are asked for, as shares of the way.
const PARTS: [f64; 3] = [0.25, 0.5, 0.75];

/// A passage and its window on the condition of the finish.
struct Held {
    share: f64,
    finish_h: f64,
    is_before: bool,
    is_after: bool,
}

/// A finish foretold from what was seen.
struct Foretold {
    part: usize,
    error: f64,
    width: f64,
    is_inside: bool,
}

/// Prints both tables.
pub(crate) fn print(editions: &[Edition], figures: &Straying) {
    let found: Vec<(Vec<Held>, Vec<Foretold>)> = editions
        .iter()
        .flat_map(|edition| {
            let each = edition.finishers.par_iter();
            let found = each.map(|finisher| {
                let parts = 0..PARTS.len();
                let foretold = parts.filter_map(|part| foretold(edition, finisher, figures, part));
                (held(edition, finisher, figures), foretold.collect())
            });
            found.collect::<Vec<_>>()
        })
        .collect();
    let (held, foretold): (Vec<Vec<Held>>, Vec<Vec<Foretold>>) = found.into_iter().unzip();
    print_held(&held.into_iter().flatten().collect::<Vec<_>>());
    print_foretold(&foretold.into_iter().flatten().collect::<Vec<_>>());
}

fn solved(edition: &Edition, finish_s: f64) -> Pacing {
    let race = &edition.race;
    let goal = Goal {
        finish_s,
        stops_s: vec![0.0; race.course.stations.len()],
    };
    pacing::solve(&race.course, &race.conditions, &race.settings, &goal)
        .unwrap_or_else(|e| panic!("{}: {finish_s} s: {e:?}", edition.name))
}

fn held(edition: &Edition, finisher: &Finisher, figures: &Straying) -> Vec<Held> {
    let (race, pacing) = (&edition.race, solved(edition, finisher.finish_s));
    let trials = Trials::default();
    let arrivals = simulate_with(figures, &race.conditions, &pacing, &[], &trials);
    let points = finisher.passed_s.iter().zip(&edition.share);
    points
        .zip(&arrivals.stations[1..])
        .take(edition.share.len() - 1)
        .filter_map(|((passed_s, share), at)| {
            let passed_s = (*passed_s)?;
            Some(Held {
                share: *share,
                finish_h: finisher.finish_s / 3600.0,
                is_before: passed_s < at.early_s,
                is_after: passed_s > at.late_s,
            })
        })
        .collect()
}

fn foretold(
    edition: &Edition,
    finisher: &Finisher,
    figures: &Straying,
    part: usize,
) -> Option<Foretold> {
    let (race, pacing) = (&edition.race, solved(edition, HOPED * finisher.finish_s));
    let last = (edition.share.iter()).position(|share| *share >= PARTS[part])?;
    let passages: Vec<Passage> = (finisher.passed_s[..=last].iter().enumerate())
        .filter_map(|(point, passed_s)| {
            Some(Passage {
                station: point + 1,
                kind: Kind::Arrival,
                at_s: (*passed_s)?,
            })
        })
        .collect();
    let spread = race.rests.finish(pacing.finish_s);
    let seen = Seen::with(figures, &race.conditions, &pacing, Some(&spread), &passages);
    let onward = Onward {
        passed_s: pacing.arrival_s.clone(),
        stops_s: vec![0.0; race.course.stations.len()],
        time_ratio: 1.0,
    };
    let arrivals: Arrivals = seen.rest(&[], &Trials::default(), &onward);
    let at = arrivals.stations.last()?;
    let true_s = finisher.finish_s;
    Some(Foretold {
        part,
        error: (at.likely_s - true_s) / true_s,
        width: (at.late_s - at.early_s) / true_s,
        is_inside: (at.early_s..=at.late_s).contains(&true_s),
    })
}

fn print_held(all: &[Held]) {
    println!("\nWindows on the condition of the finish\n");
    println!("| | passages | inside | before | after |");
    println!("|---|---:|---:|---:|---:|");
    let row = |name: String, keep: &dyn Fn(&Held) -> bool| {
        let of: Vec<&Held> = all.iter().filter(|one| keep(one)).collect();
        if of.is_empty() {
            return;
        }
        let percent = |is: fn(&Held) -> bool| {
            100.0 * of.iter().filter(|one| is(one)).count() as f64 / of.len() as f64
        };
        let (before, after) = (percent(|one| one.is_before), percent(|one| one.is_after));
        println!(
            "| {name} | {} | {:.0} % | {before:.0} % | {after:.0} % |",
            of.len(),
            100.0 - before - after
        );
    };
    row("all".to_owned(), &|_| true);
    for third in 0..3 {
        let (from, to) = (f64::from(third) / 3.0, f64::from(third + 1) / 3.0);
        let name = format!("{:.0} to {:.0} % of the way", 100.0 * from, 100.0 * to);
        row(name, &|one| (from..to).contains(&one.share));
    }
    for (from, to) in [(0.0, 18.0), (18.0, 22.0), (22.0, 26.0), (26.0, 999.0)] {
        let name = format!("{from} to {to} h");
        row(name, &|one| (from..to).contains(&one.finish_h));
    }
}

fn print_foretold(all: &[Foretold]) {
    println!("\nThe rest of a race with a target 7 % too fast\n");
    println!("| seen | runners | error % | bias % | inside | width % |");
    println!("|---|---:|---:|---:|---:|---:|");
    for (part, share) in PARTS.iter().enumerate() {
        let of: Vec<&Foretold> = all.iter().filter(|one| one.part == part).collect();
        let mean = |value: fn(&Foretold) -> f64| {
            100.0 * of.iter().map(|one| value(one)).sum::<f64>() / of.len().max(1) as f64
        };
        println!(
            "| {:.0} % | {} | {:.2} | {:+.2} | {:.0} % | {:.1} |",
            100.0 * share,
            of.len(),
            mean(|one| one.error.abs()),
            mean(|one| one.error),
            mean(|one| f64::from(u8::from(one.is_inside))),
            mean(|one| one.width),
        );
    }
}
