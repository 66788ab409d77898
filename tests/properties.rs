//! What must hold on any course: the shipped ones, and as many made up from seeds as time allows.

mod cards;
mod cutoffs;
mod days;
mod never;
mod times;

use std::sync::LazyLock;

use sutler::plan::Plan;
use sutler::time::Elapsed;

use crate::support::race::{PLANS, Prepared, texts_of_plan};
use crate::support::synthetic::Synthetic;

/// A race of which properties are asked, with a finish that suits it.
struct Subject {
    name: String,
    prepared: Prepared,
    finish: Elapsed,
    plan: Plan,
}

/// Seeds of the made-up courses.
const SEEDS: std::ops::Range<u64> = 0..24;
/// Targets are scanned up to this; daylight is laid out for as long.
const LONGEST: Elapsed = Elapsed::from_secs(48 * 3600);

static SUBJECTS: LazyLock<Vec<Subject>> = LazyLock::new(|| {
    let shipped = PLANS.map(|plan| {
        let prepared = Prepared::read(texts_of_plan(plan), LONGEST);
        let finish = prepared.inputs.plan.finish.unwrap().value;
        Subject::of(plan.to_owned(), prepared, finish)
    });
    let made = SEEDS.map(|seed| {
        let course = with_cutoffs(Synthetic::of(seed));
        subject(&course)
    });
    shipped.into_iter().chain(made).collect()
});

impl Subject {
    fn of(name: String, prepared: Prepared, finish: Elapsed) -> Subject {
        let plan = prepared.plan(finish);
        Subject {
            name,
            prepared,
            finish,
            plan,
        }
    }
}

fn subject(course: &Synthetic) -> Subject {
    let prepared = Prepared::read(course.texts(), LONGEST);
    Subject::of(format!("seed {}", course.seed), prepared, finish_of(course))
}

/// Between eight and fourteen minutes a kilometre with the stops, to an odd second.
fn finish_of(course: &Synthetic) -> Elapsed {
    let min_per_km = 8.0 + (course.seed % 7) as f64;
    let stops_min: f64 = course.stations.iter().map(|row| row.stop_min).sum();
    let minutes = course.length_km * min_per_km + stops_min;
    Elapsed::from_s((minutes * 60.0).round() + course.seed as f64)
}

/// Gives half of the stations cutoffs around the planned arrival: met, close and missed, as the
/// clock shows them or since the start, on arrival or on departure.
fn with_cutoffs(mut course: Synthetic) -> Synthetic {
    let plain = subject(&course);
    let mut before = 0;
    for (index, row) in course.stations.iter_mut().enumerate() {
        if (index as u64 + course.seed) % 2 == 1 {
            continue;
        }
        let split = &plain.plan.schedule.splits[index + 1];
        let slack_s = [2700, 600, -300, 7200, 60][(index + course.seed as usize) % 5];
        let at = (split.departure.as_secs() + slack_s).max(before + 60);
        before = at;
        let on = ["arrival", "departure"][index / 2 % 2];
        row.cutoff = Some((Elapsed::from_secs(at).to_seconds_text(), on));
    }
    course
}

/// Asks a property of every subject, and says which one it fails on.
fn of_every(property: impl Fn(&Subject)) {
    assert!(SUBJECTS.len() > 20);
    SUBJECTS.iter().for_each(property);
}
