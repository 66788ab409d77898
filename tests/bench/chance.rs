//! Whether chances of cutoffs are kept: of races told so much, how many make it.
//!
//! `cargo bench --bench chance -- FOLDER` reads editions as `--bench races` does, of one course with
//! the same points in each. The ground of a segment is taken from the field: a level course is laid
//! out on which the middle of the other editions runs as it did. Of each runner no more is known
//! than the field, until seen at two fifths of the points. Limits lie at the deciles of the field at
//! every fourth point after. Told chances are compared with who was there in time, in tenths: once of
//! those who came to the point at all, and once with those who stopped before it as too late. The
//! truth lies between: some stop because they are late. `--every N` takes every Nth runner, `--smoke` a made-up field.

use std::path::Path;

use rayon::prelude::*;
use sutler::ability::Spread;
use sutler::arrivals::{Draws, Kind, Limit, Onward, Passage, Seen, Trials};
use sutler::diagnostics::{Notes, SourceFile, Sources};
use sutler::inputs::stations_csv::CutoffOn;
use sutler::inputs::{self, Texts};
use sutler::pacing::{self, Goal, Pacing};
use sutler::plan::Race;
use sutler::time::Elapsed;

/// Runners of one edition: seconds at each point, none where they are not known.
type Edition = Vec<Vec<Option<f64>>>;

/// A chance told, and whether it came so; `None` of who stopped on the way.
type Told = (f64, Option<bool>);

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let at = arguments.iter().position(|argument| argument == "--every");
    let every: usize = at.map_or(1, |at| arguments[at + 1].parse().expect("a number"));
    let folder = arguments
        .first()
        .filter(|argument| !argument.starts_with("--"));
    let editions = folder.map_or_else(made_up, |folder| read(Path::new(folder)));
    let told: Vec<Told> = (0..editions.len())
        .flat_map(|own| {
            let others = editions.iter().enumerate();
            let others = others.filter(|(index, _)| *index != own || editions.len() == 1);
            let others: Vec<&Vec<Option<f64>>> = others.flat_map(|(_, e)| e).collect();
            let (race, pacing) = laid_out(&middle(&others));
            let runners: Vec<_> = editions[own].iter().step_by(every).collect();
            let told = runners
                .par_iter()
                .flat_map_iter(|runner| told(&race, &pacing, &others, runner));
            told.collect::<Vec<Told>>()
        })
        .collect();
    println!("| told | limits | told on average | made | with who stopped |");
    println!("|---|---:|---:|---:|---:|");
    for tenth in 0..10 {
        let from = 0.1 * f64::from(tenth);
        let of: Vec<&Told> = told
            .iter()
            .filter(|(chance, _)| ((chance * 10.0) as i32).min(9) == tenth)
            .collect();
        let count = of.len().max(1) as f64;
        let mean = of.iter().map(|(chance, _)| chance).sum::<f64>() / count;
        let made = of.iter().filter(|(_, made)| *made == Some(true)).count() as f64;
        let came = of.iter().filter(|(_, made)| made.is_some()).count().max(1) as f64;
        println!(
            "| {:.0} to {:.0} % | {} | {:.0} % | {:.0} % | {:.0} % |",
            100.0 * from,
            100.0 * from + 10.0,
            of.len(),
            100.0 * mean,
            100.0 * made / came,
            100.0 * made / count
        );
    }
}

fn read(folder: &Path) -> Vec<Edition> {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut tables: Vec<_> = entries
        .map(|entry| {
            entry
                .expect("the folder can be read")
                .path()
                .join("passages.csv")
        })
        .filter(|path| path.is_file())
        .collect();
    tables.sort();
    let number = |cell: &str| cell.trim().parse::<f64>().ok();
    let table = |path: &std::path::PathBuf| -> Edition {
        let mut reader = csv::Reader::from_path(path).expect("the table can be read");
        let rows = reader.records().map(|row| row.expect("a row"));
        rows.map(|row| row.iter().skip(1).map(number).collect())
            .collect()
    };
    tables.iter().map(table).collect()
}

fn made_up() -> Vec<Edition> {
    let runner = |runner: u32| {
        let finish_s = (12.0 + 0.5 * f64::from(runner)) * 3600.0;
        (1..=10)
            .map(|point| Some(finish_s * (f64::from(point) / 10.0).powf(1.1)))
            .collect()
    };
    vec![(0..20).map(runner).collect()]
}

fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * share).round() as usize]
}

/// The middle of those who finished, at each point.
fn middle(runners: &[&Vec<Option<f64>>]) -> Vec<f64> {
    let finished = runners
        .iter()
        .filter(|runner| runner.iter().all(Option::is_some));
    let finished: Vec<Vec<f64>> = finished
        .map(|r| r.iter().copied().flatten().collect())
        .collect();
    (0..finished[0].len())
        .map(|point| {
            let mut at_s: Vec<f64> = finished.iter().map(|runner| runner[point]).collect();
            quantile(&mut at_s, 0.5)
        })
        .collect()
}

/// The finishes to expect of somebody of whom nothing is known but the field.
fn field(runners: &[&Vec<Option<f64>>]) -> Spread {
    let mut finishes: Vec<f64> = runners.iter().filter_map(|r| *r.last()?).collect();
    let [early, middle, late] = [0.1, 0.5, 0.9].map(|share| quantile(&mut finishes, share));
    Spread::between(middle, (middle / early).ln(), (late / middle).ln())
}

/// A level course on which the middle runs as it did, and its plan.
fn laid_out(middle_s: &[f64]) -> (Race, Pacing) {
    let finish_s = middle_s[middle_s.len() - 1];
    let mut ends: Vec<f64> = middle_s.iter().map(|s| s / finish_s).collect();
    let mut found = level(&ends, finish_s);
    for _ in 0..3 {
        let planned = &found.1.arrival_s;
        let (mut sum, mut before) = (0.0, 0.0);
        for point in 0..ends.len() {
            let own = ends[point] - before;
            before = ends[point];
            let last_s = point.checked_sub(1).map_or(0.0, |last| middle_s[last]);
            sum += own * (middle_s[point] - last_s) / (planned[point + 1] - planned[point]);
            ends[point] = sum;
        }
        ends.iter_mut().for_each(|end| *end /= sum);
        found = level(&ends, finish_s);
    }
    found
}

fn level(ends: &[f64], finish_s: f64) -> (Race, Pacing) {
    const LENGTH_KM: f64 = 150.0;
    const POINTS: u32 = 1500;
    let points: String = (0..=POINTS)
        .map(|point| {
            let lon = f64::from(point) / f64::from(POINTS) * LENGTH_KM / 111.32;
            format!("<trkpt lat=\"0\" lon=\"{lon:.7}\"><ele>40</ele></trkpt>\n")
        })
        .collect();
    let gpx = format!(
        "<gpx version=\"1.1\" creator=\"bench\"><trk><trkseg>\n{points}</trkseg></trk></gpx>\n"
    );
    let rows = ends.iter().enumerate();
    let rows: String = rows
        .map(|(point, end)| format!("Point {},{:.4}\n", point + 1, end * LENGTH_KM))
        .collect();
    let texts = Texts {
        route: Some(SourceFile::new("route.gpx", gpx)),
        stations: Some(SourceFile::new(
            "stations.csv",
            format!("name,distance_km\n{rows}"),
        )),
        ..Texts::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    let race = Race::prepare(&inputs, Elapsed::from_s(2.0 * finish_s), &mut notes);
    let race = race.unwrap_or_else(|| panic!("{:?}", notes.all()));
    let goal = Goal {
        finish_s,
        stops_s: race.stops_s.clone(),
    };
    let pacing = pacing::solve(&race.course, &race.conditions, &race.settings, &goal);
    let pacing = pacing.unwrap_or_else(|why| panic!("{why:?}"));
    (race, pacing)
}

fn told(
    race: &Race,
    pacing: &Pacing,
    others: &[&Vec<Option<f64>>],
    runner: &[Option<f64>],
) -> Vec<Told> {
    let seen_to = 2 * runner.len() / 5;
    if runner[seen_to].is_none() {
        return Vec::new();
    }
    let passages: Vec<Passage> = (0..=seen_to)
        .filter_map(|point| {
            Some(Passage {
                station: point + 1,
                kind: Kind::Arrival,
                at_s: runner[point]?,
            })
        })
        .collect();
    let spread = field(others);
    let (course, conditions) = (&race.course, &race.conditions);
    let seen = Seen::of(conditions, pacing, Some(&spread), &passages);
    let onward = Onward {
        passed_s: pacing.arrival_s.clone(),
        stops_s: race.stops_s.clone(),
    };
    let ahead: Vec<usize> = (seen_to + 1..runner.len()).step_by(4).collect();
    (1..10)
        .flat_map(|decile| {
            let mut limits = vec![None; course.stations.len()];
            for point in &ahead {
                let mut field: Vec<f64> = others.iter().filter_map(|r| r[*point]).collect();
                limits[point + 1] = Some(Limit {
                    elapsed: Elapsed::from_s(quantile(&mut field, 0.1 * f64::from(decile))),
                    on: CutoffOn::Arrival,
                });
            }
            let draws = Draws::of(&Trials::default(), limits.len());
            let arrivals = seen.rest(&limits, &draws, &onward);
            let told = ahead.iter().filter_map(|point| {
                let limit_s = limits[point + 1]?.elapsed.as_s();
                let chance = arrivals.stations[point + 1].cutoff_chance?;
                let is_missing = runner[*point].is_none();
                let went_on = runner[*point..].iter().any(Option::is_some);
                let made = runner[*point].map(|at_s| at_s <= limit_s);
                (!is_missing || !went_on).then_some((chance, made))
            });
            told.collect::<Vec<Told>>()
        })
        .collect()
}
