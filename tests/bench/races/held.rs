//! How many passages the windows hold, and how the rest of a race is foretold.

use rayon::prelude::*;
use sutler::arrivals::figures::Straying;
use sutler::arrivals::{Arrival, Draws, Kind, Onward, Passage, Seen, Trials, simulate_with};

use super::solved::{Solved, Target};

/// What was seen: everything up to a share of the way, or the passage there alone.
const SIGHTINGS: [(f64, bool); 8] = [
    (0.10, true),
    (0.16, true),
    (0.25, true),
    (0.10, false),
    (0.16, false),
    (0.25, false),
    (0.50, false),
    (0.75, false),
];
/// Shares of the way between which windows are counted.
const PARTS: [(f64, f64); 6] = [
    (0.0, 1.0 / 3.0),
    (1.0 / 3.0, 2.0 / 3.0),
    (2.0 / 3.0, 1.0),
    (0.0, 0.06),
    (0.06, 0.12),
    (0.12, 0.20),
];

/// Times seen over times planned, less 1, between which early passages are told apart.
const LATE: [f64; 6] = [-0.9, -0.2, -0.1, 0.0, 0.1, 0.9];

/// An early, a likely and a late time, and the true one, in shares of the finish.
#[derive(Clone, Copy)]
pub(crate) struct Window {
    bounds: [f64; 3],
    truth: f64,
}

/// A passage and its window on the condition of the finish.
#[derive(Clone, Copy)]
pub(crate) struct Held {
    share: f64,
    finish_h: f64,
    pub(crate) window: Window,
}

/// A finish foretold from what was seen.
#[derive(Clone, Copy)]
pub(crate) struct Foretold {
    sighting: usize,
    /// The last time seen over the planned one, logarithm.
    late: f64,
    pub(crate) window: Window,
}

impl Window {
    fn of(at: &Arrival, true_s: f64, finish_s: f64) -> Window {
        Window {
            bounds: [at.early_s, at.likely_s, at.late_s].map(|at_s| at_s / finish_s),
            truth: true_s / finish_s,
        }
    }

    /// Likely less true, percent of the finish.
    fn error_pct(&self) -> f64 {
        100.0 * (self.bounds[1] - self.truth)
    }

    fn width_pct(&self) -> f64 {
        100.0 * (self.bounds[2] - self.bounds[0])
    }

    fn is_before(&self) -> bool {
        self.truth < self.bounds[0]
    }

    fn is_after(&self) -> bool {
        self.truth > self.bounds[2]
    }

    /// Pinball loss of the three: least for true tenths, middles and nine tenths (Koenker and
    /// Bassett 1978).
    pub(crate) fn loss(&self) -> f64 {
        let each = self.bounds.iter().zip([0.1, 0.5, 0.9]);
        each.map(|(bound, share)| {
            let off = self.truth - bound;
            (share * off).max((share - 1.0) * off)
        })
        .sum()
    }
}

/// Every passage with its window on the condition of the finish.
pub(crate) fn held(solved: &[&Solved<'_>], figures: &Straying) -> Vec<Held> {
    let each = solved.par_iter().flat_map_iter(|one| {
        let (edition, finish_s) = (one.edition, one.finisher.finish_s);
        let conditions = &edition.race.conditions;
        let arrivals = simulate_with(figures, conditions, &one.given, &[], &Trials::default());
        let points = one.finisher.passed_s.iter().zip(&edition.share);
        let found = points
            .zip(&arrivals.stations[1..])
            .take(edition.share.len() - 1)
            .filter_map(|((passed_s, share), at)| {
                Some(Held {
                    share: *share,
                    finish_h: finish_s / 3600.0,
                    window: Window::of(at, (*passed_s)?, finish_s),
                })
            });
        found.collect::<Vec<_>>()
    });
    each.collect()
}

/// Every finish as it is foretold from each of the sightings, with a target 7 % too fast.
pub(crate) fn foretold(solved: &[&Solved<'_>], figures: &Straying) -> Vec<Foretold> {
    let each = solved.par_iter().flat_map_iter(|one| {
        let sightings = 0..SIGHTINGS.len();
        sightings.filter_map(|sighting| after(one, &one.hoped, figures, sighting))
    });
    each.collect()
}

/// Every finish as it is foretold from a single early passage, with the drawn target.
pub(crate) fn foretold_early(solved: &[&Solved<'_>], figures: &Straying) -> Vec<Foretold> {
    let each = solved.par_iter().flat_map_iter(|one| {
        let alone = (0..SIGHTINGS.len()).filter(|sighting| SIGHTINGS[*sighting].1);
        alone.filter_map(|sighting| after(one, &one.drawn, figures, sighting))
    });
    each.collect()
}

fn after(
    one: &Solved<'_>,
    Target { pacing, paths }: &Target,
    figures: &Straying,
    sighting: usize,
) -> Option<Foretold> {
    let (share, is_alone) = SIGHTINGS[sighting];
    let last = (one.edition.share.iter()).position(|at| *at >= share)?;
    let first = if is_alone { last } else { 0 };
    let passed = one.finisher.passed_s[first..=last].iter();
    let passages: Vec<Passage> = (first..)
        .zip(passed)
        .filter_map(|(point, passed_s)| {
            Some(Passage {
                station: point + 1,
                kind: Kind::Arrival,
                at_s: (*passed_s)?,
            })
        })
        .collect();
    if passages.is_empty() {
        return None;
    }
    let race = &one.edition.race;
    let spread = race.finish(pacing.finish_s);
    let seen = Seen::with(figures, paths, pacing, Some(&spread), &passages);
    let onward = Onward {
        passed_s: pacing.arrival_s.clone(),
        stops_s: vec![0.0; race.course.stations.len()],
    };
    let draws = Draws::of(&Trials::default(), race.course.stations.len());
    let arrivals = seen.rest(&[], &draws, &onward);
    let finish_s = one.finisher.finish_s;
    let at = passages.last()?;
    Some(Foretold {
        sighting,
        late: (at.at_s / pacing.arrival_s[at.station]).ln(),
        window: Window::of(arrivals.stations.last()?, finish_s, finish_s),
    })
}

/// Prints how many passages the windows hold.
pub(crate) fn print_held(all: &[Held]) {
    println!("\nWindows on the condition of the finish\n");
    println!("| | passages | inside | before | after |");
    println!("|---|---:|---:|---:|---:|");
    let row = |name: String, keep: &dyn Fn(&Held) -> bool| {
        let of: Vec<&Held> = all.iter().filter(|one| keep(one)).collect();
        if of.is_empty() {
            return;
        }
        let percent = |is: fn(&Window) -> bool| {
            100.0 * of.iter().filter(|one| is(&one.window)).count() as f64 / of.len() as f64
        };
        let (before, after) = (percent(Window::is_before), percent(Window::is_after));
        println!(
            "| {name} | {} | {:.0} % | {before:.0} % | {after:.0} % |",
            of.len(),
            100.0 - before - after
        );
    };
    row("all".to_owned(), &|_| true);
    for (from, to) in PARTS {
        let name = format!("{:.0} to {:.0} % of the way", 100.0 * from, 100.0 * to);
        row(name, &|one| (from..to).contains(&one.share));
    }
    for (from, to) in [(0.0, 18.0), (18.0, 22.0), (22.0, 26.0), (26.0, 999.0)] {
        let name = format!("{from} to {to} h");
        row(name, &|one| (from..to).contains(&one.finish_h));
    }
}

/// Prints how the finishes are foretold.
pub(crate) fn print_foretold(all: &[Foretold]) {
    println!("\nThe rest of a race with a target 7 % too fast\n");
    println!("| seen | runners | error % | bias % | inside | width % |");
    println!("|---|---:|---:|---:|---:|---:|");
    for (sighting, (share, is_alone)) in SIGHTINGS.iter().enumerate() {
        let of = all.iter().filter(|one| one.sighting == sighting);
        let name = if *is_alone { "at" } else { "up to" };
        row(&format!("{name} {:.0} %", 100.0 * share), of);
    }
}

/// Prints how the finishes are foretold from a single passage, by how early or late it is.
pub(crate) fn print_early(all: &[Foretold]) {
    println!("\nThe rest of a race from one passage, targets as far off as hopes are\n");
    println!("| seen, against the plan | runners | error % | bias % | inside | width % |");
    println!("|---|---:|---:|---:|---:|---:|");
    for (sighting, (share, _)) in SIGHTINGS.iter().enumerate() {
        for (from, to) in LATE.windows(2).map(|pair| (pair[0], pair[1])) {
            let of = all.iter().filter(|one| one.sighting == sighting);
            let of = of.filter(|one| (from..to).contains(&one.late.exp_m1()));
            let name = format!(
                "at {:.0} %, {:+.0} to {:+.0} %",
                100.0 * share,
                100.0 * from,
                100.0 * to
            );
            row(&name, of);
        }
    }
}

fn row<'a>(name: &str, of: impl Iterator<Item = &'a Foretold>) {
    let of: Vec<&Window> = of.map(|one| &one.window).collect();
    if of.is_empty() {
        return;
    }
    let mean = |value: &dyn Fn(&Window) -> f64| {
        of.iter().map(|one| value(one)).sum::<f64>() / of.len() as f64
    };
    let outside = |one: &Window| f64::from(u8::from(one.is_before() || one.is_after()));
    println!(
        "| {name} | {} | {:.2} | {:+.2} | {:.0} % | {:.1} |",
        of.len(),
        mean(&|one| one.error_pct().abs()),
        mean(&Window::error_pct),
        100.0 * (1.0 - mean(&outside)),
        mean(&Window::width_pct),
    );
}
