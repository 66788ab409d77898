//! Every input file, mutated: whatever is in it, reading ends, what is wrong is said, and what is
//! planned all the same has finite numbers.
//!
//! `tests/fuzz` asks the same of one reader at a time for as long as one likes.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::diagnostics::{Notes, Severity, SourceFile, Sources, render};
use sutler::inputs::{self, Inputs, Texts};
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;

use crate::support::case::in_repository;
use crate::support::race::texts_of_plan;

const MUTATIONS: u64 = 3000;
/// Of those that can be planned one in so many is: a plan takes as long as fifty readings.
const PLANNED_OF: usize = 8;
/// More than this nobody reads; it bounds what a file of a few kilobytes can make of itself.
const LONGEST_SAID: usize = 400_000;

/// What stands where something else was expected.
const TOKENS: [&str; 30] = [
    "",
    "0",
    "-0",
    "-1",
    "1e999",
    "-1e308",
    "NaN",
    "inf",
    "999999999999999999999",
    "0.0000001",
    "24:61",
    "99:99:99",
    "2026-02-30",
    "9999-12-31T23:59",
    "1,5",
    "=1+2",
    "\"",
    "'''",
    "[[",
    "]]",
    "{}",
    ",,,,",
    ";",
    "\u{202e}",
    "\u{0}",
    "\u{feff}",
    "true",
    "yes",
    "<!--",
    "&#0;",
];

type Slot = for<'t> fn(&'t mut Texts) -> &'t mut Option<SourceFile>;

const SLOTS: [Slot; 13] = [
    |t| &mut t.plan,
    |t| &mut t.course,
    |t| &mut t.route,
    |t| &mut t.stations,
    |t| &mut t.surfaces,
    |t| &mut t.runner,
    |t| &mut t.pantry,
    |t| &mut t.gear,
    |t| &mut t.weather,
    |t| &mut t.crew,
    |t| &mut t.record,
    |t| &mut t.log,
    |t| &mut t.results,
];

/// A shipped race with fewer points, and a log.
fn sound() -> Texts {
    let mut texts = texts_of_plan("demo-data/plan-50k.toml");
    let route = texts.route.take().expect("a route");
    let parts: Vec<&str> = route.text.split("<trkpt").collect();
    let last = parts.len() - 1;
    let kept = parts
        .iter()
        .enumerate()
        .filter(|(at, _)| at % 12 == 0 || *at == last);
    let kept: Vec<&str> = kept.map(|(_, part)| *part).collect();
    texts.route = Some(SourceFile::new("route.gpx", kept.join("<trkpt")));
    let log = in_repository("demo-data/long-runs/2026-10-03-dawn.csv");
    let log = std::fs::read_to_string(log).expect("a log");
    texts.log = Some(SourceFile::new("log.csv", log));
    let results = "place,time\n1,5:12:40\n2,6:01:02\n3,DNF\n";
    texts.results = Some(SourceFile::new("results.csv", results));
    texts
}

/// One or two changes anywhere in a text.
fn mutated(text: &str, chance: &mut ChaCha8Rng) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for _ in 0..chance.random_range(1..=2) {
        let at = chance.random_range(0..=chars.len());
        let end = (at + chance.random_range(0..12)).min(chars.len());
        let token = TOKENS[chance.random_range(0..TOKENS.len())].chars();
        match chance.random_range(0..6) {
            0 => drop(chars.splice(at..end, token)),
            1 => drop(chars.drain(at..end)),
            2 => chars.truncate(at.max(chars.len() / 2)),
            3 => {
                // a line twice, or a long way off
                let line: Vec<char> = chars[at..].iter().take(200).copied().collect();
                let to = chance.random_range(0..=chars.len());
                drop(chars.splice(to..to, line));
            }
            4 => {
                // the value after the next `=`, `,` or `"`
                let next = chars[at..]
                    .iter()
                    .position(|c| matches!(c, '=' | ',' | '"'));
                let from = at + next.map_or(0, |next| next + 1);
                let ends = |c: &char| matches!(c, ',' | '\n' | '"');
                let long = chars[from..].iter().position(ends).unwrap_or(0);
                drop(chars.splice(from..from + long, token));
            }
            _ => {
                if let Some(char) = chars.get_mut(at) {
                    *char = char::from(chance.random_range(0..=255_u8));
                }
            }
        }
    }
    chars.into_iter().collect()
}

/// Everything a plan says in numbers.
fn numbers(plan: &Plan) -> Vec<f64> {
    let splits = plan
        .schedule
        .splits
        .iter()
        .map(|split| split.arrival.as_s());
    let needs = plan.fueling.segments.iter().flat_map(|need| {
        let (fluid, salt) = (
            [need.fluid_ml, need.carry_ml],
            [need.sodium_mg, need.sodium_loss_mg],
        );
        let rest = [
            need.hours,
            need.carbs_g,
            need.energy_kcal,
            need.sweat_l_per_h,
        ];
        fluid.into_iter().chain(salt).chain(rest)
    });
    let pickups = plan
        .packing
        .pickups
        .iter()
        .flat_map(|p| [p.carbs_g.0, p.carbs_g.1]);
    let pace = [plan.pacing.finish_s, plan.pacing.level_speed_mps];
    pace.into_iter()
        .chain(splits)
        .chain(needs)
        .chain(pickups)
        .collect()
}

/// Plans what was read; `None` where something wrong was said.
fn planned(inputs: &Inputs, notes: &mut Notes) -> Option<Plan> {
    let finish = inputs.plan.finish?;
    if finish.value <= Elapsed::ZERO {
        return None;
    }
    let race = Race::prepare(inputs, finish.value, notes)?;
    race.plan(inputs, finish, notes)
}

#[test]
fn mutated_files_are_read_to_their_end_and_explained() {
    let whole = sound();
    let (mut read_well, mut refused, mut plans) = (0, 0, 0);
    for seed in 0..MUTATIONS {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let mut texts = whole.clone();
        let slot = SLOTS[seed as usize % SLOTS.len()](&mut texts);
        let Some(old) = slot.take() else { continue };
        *slot = Some(SourceFile::new(old.name, mutated(&old.text, &mut chance)));
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let inputs = inputs::read(texts, &mut sources, &mut notes);
        let said = render(&sources, notes.all(), false);
        assert!(
            said.len() < LONGEST_SAID,
            "seed {seed}: {} bytes are said",
            said.len()
        );
        if notes.has_errors() {
            refused += 1;
            assert!(said.contains("error"), "seed {seed}: {said}");
            continue;
        }
        read_well += 1;
        if read_well % PLANNED_OF != 0 {
            continue;
        }
        match planned(&inputs, &mut notes) {
            Some(plan) => {
                plans += 1;
                let odd = numbers(&plan)
                    .into_iter()
                    .find(|number| !number.is_finite());
                assert_eq!(odd, None, "seed {seed}");
            }
            // exit code 2 comes with an error, always
            None => assert!(
                notes
                    .all()
                    .iter()
                    .any(|note| note.severity == Severity::Error)
                    || inputs.plan.finish.is_none(),
                "seed {seed}: no plan, and nothing is said"
            ),
        }
    }
    assert!(
        refused > 500 && read_well > 500 && plans > 40,
        "{refused} {read_well} {plans}"
    );
}
