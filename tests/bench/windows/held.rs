//! How many of the true times lie in the windows.

use std::collections::{BTreeMap, BTreeSet};

use sutler::arrivals::figures::Straying;
use sutler::arrivals::{Trials, simulate_with};

use super::recordings::{MARKS, Recording};

/// Figures tried: the drift, and the power of the moving time that it grows with.
const DRIFTS: [f64; 7] = [0.14, 0.16, 0.18, 0.20, 0.22, 0.25, 0.28];
const POWERS: [f64; 3] = [1.0, 1.3, 1.6];
/// What the windows are to leave out on either side.
const TAIL: f64 = 0.10;
/// Recordings shorter than this are listed one by one.
const SHORT_M: f64 = 42e3;
/// Races for each window: more than a plan draws, since figures are compared.
const RACES: usize = 4000;

/// Per mark, the early bound, the late one and the truth, in shares of the finish time.
type Bounds = [(f64, f64, f64); MARKS];

/// Prints the table of what was held.
pub(crate) fn print(recordings: &[Recording]) {
    let all: Vec<usize> = (0..recordings.len()).collect();
    let groups: BTreeSet<&str> = recordings.iter().map(|r| r.group.as_str()).collect();
    println!("{} recordings of {} groups", all.len(), groups.len());
    let fixed = bounds(recordings, &Straying::default());
    let mut left_out = None;
    if groups.len() > 1 {
        let (bounds, chosen) = cross_validated(recordings, &groups);
        let chosen: Vec<String> = chosen
            .into_iter()
            .map(|(group, (drift, power))| format!("{group} {drift}/{power}"))
            .collect();
        println!(
            "drift and its power fitted without group: {}",
            chosen.join(", ")
        );
        left_out = Some(bounds);
    }
    println!("\n| | recordings | in window | after early | with the group left out |");
    println!("|---|---:|---:|---:|---:|");
    let classes: [(&str, f64, f64); 4] = [
        ("all", 0.0, f64::INFINITY),
        ("under 42 km", 0.0, 42e3),
        ("42 to 80 km", 42e3, 80e3),
        ("80 km or more", 80e3, f64::INFINITY),
    ];
    for (name, low_m, high_m) in classes {
        let members: Vec<usize> = all
            .iter()
            .copied()
            .filter(|i| (low_m..high_m).contains(&recordings[*i].distance_m))
            .collect();
        row(name, &members, &fixed, left_out.as_deref());
    }
    for (name, marks) in [
        ("marks 1 to 3", 0..3),
        ("marks 4 to 6", 3..6),
        ("marks 7 to 9", 6..9),
    ] {
        let part = |bounds: &[Bounds]| -> Vec<Bounds> {
            let nowhere = (f64::NAN, f64::NAN, f64::NAN);
            let kept = |mark: usize, bounds: &Bounds| {
                if marks.contains(&mark) {
                    bounds[mark]
                } else {
                    nowhere
                }
            };
            let each = bounds.iter();
            each.map(|bounds| std::array::from_fn(|mark| kept(mark, bounds)))
                .collect()
        };
        row(
            name,
            &all,
            &part(&fixed),
            left_out.as_deref().map(part).as_deref(),
        );
    }
    for (i, recording) in recordings.iter().enumerate() {
        if recording.distance_m < SHORT_M {
            let name = format!("{} of group {}", recording.id, recording.group);
            row(&name, &[i], &fixed, left_out.as_deref());
        }
    }
    let groups = groups.iter().filter(|_| left_out.is_some());
    for group in groups {
        let of_group = |i: &usize| recordings[*i].group == *group;
        let members: Vec<usize> = all.iter().copied().filter(of_group).collect();
        row(
            &format!("group {group}"),
            &members,
            &fixed,
            left_out.as_deref(),
        );
    }
}

fn row(name: &str, members: &[usize], fixed: &[Bounds], left_out: Option<&[Bounds]>) {
    if members.is_empty() {
        return;
    }
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let both = |bounds: &[Bounds]| {
        let (early, late) = outside(bounds, members);
        (percent(1.0 - early - late), percent(1.0 - early))
    };
    let (held, after) = both(fixed);
    let other = left_out.map_or("–".to_owned(), |bounds| {
        let (held, after) = both(bounds);
        format!("{held}, {after}")
    });
    println!(
        "| {name} | {} | {held} | {after} | {other} |",
        members.len()
    );
}

/// Shares of true times before the early bound and after the late one.
fn outside(bounds: &[Bounds], members: &[usize]) -> (f64, f64) {
    let known = |mark: &&(f64, f64, f64)| !mark.2.is_nan();
    let marks = || members.iter().flat_map(|i| &bounds[*i]).filter(known);
    let all = marks().count().max(1) as f64;
    let early = marks().filter(|(early, _, truth)| truth < early).count();
    let late = marks().filter(|(_, late, truth)| truth > late).count();
    (early as f64 / all, late as f64 / all)
}

fn bounds(recordings: &[Recording], figures: &Straying) -> Vec<Bounds> {
    let trials = Trials {
        races: RACES,
        ..Trials::default()
    };
    recordings
        .iter()
        .map(|r| {
            let windows = simulate_with(figures, &r.race.conditions, &r.pacing, &[], &trials);
            std::array::from_fn(|mark| {
                let window = windows.stations[mark + 1];
                let share = |at_s: f64| at_s / r.pacing.finish_s;
                let truth = share(r.true_s[mark]);
                (share(window.early_s), share(window.late_s), truth)
            })
        })
        .collect()
}

/// Bounds of every recording by figures that were fitted without its group, and those figures.
fn cross_validated<'g>(
    recordings: &[Recording],
    groups: &BTreeSet<&'g str>,
) -> (Vec<Bounds>, BTreeMap<&'g str, (f64, f64)>) {
    let tried: Vec<((f64, f64), Vec<Bounds>)> = DRIFTS
        .iter()
        .flat_map(|drift| POWERS.iter().map(move |power| (*drift, *power)))
        .map(|(drift, drift_power)| {
            let figures = Straying {
                drift,
                drift_power,
                ..Straying::default()
            };
            ((drift, drift_power), bounds(recordings, &figures))
        })
        .collect();
    let mut found = tried[0].1.clone();
    let mut chosen = BTreeMap::new();
    for group in groups {
        let (own, others): (Vec<usize>, Vec<usize>) =
            (0..recordings.len()).partition(|i| recordings[*i].group == *group);
        let miss = |bounds: &[Bounds]| {
            let (early, late) = outside(bounds, &others);
            // of two that leave out alike, the narrower window
            (early - TAIL).abs() + (late - TAIL).abs() + 1e-3 * width(bounds, &others)
        };
        let best = tried
            .iter()
            .min_by(|a, b| miss(&a.1).total_cmp(&miss(&b.1)))
            .expect("figures were tried");
        chosen.insert(*group, best.0);
        for i in own {
            found[i] = best.1[i];
        }
    }
    (found, chosen)
}

fn width(bounds: &[Bounds], members: &[usize]) -> f64 {
    let marks = members.iter().flat_map(|i| &bounds[*i]);
    marks.map(|(early, late, _)| late - early).sum()
}
