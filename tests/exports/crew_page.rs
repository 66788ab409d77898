//! The crew's page: it says what the command says, from tables alone, and is harmless.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::diagnostics::{Notes, Sources};
use sutler::exports::crew_page;
use sutler::facts::{Facts, PhoneFacts};
use sutler::inputs::{Inputs, Texts};
use sutler::replan::{self, Replan, Response};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::hostile;
use crate::support::race::{PLANS, Planned, Prepared, texts_of_plan};

/// A minute is what the page may be off.
const MOST_OFF_S: f64 = 60.0;

/// A race known for twice its finish, as the command knows it, and its plan; no foods, for it is
/// about times.
pub struct Day {
    pub prepared: Prepared,
    pub plan: sutler::plan::Plan,
}

impl Day {
    pub fn of(plan: &str) -> Day {
        Day::with(texts_of_plan(plan))
    }

    /// Of any texts whose plan has a finish.
    pub fn with(texts: Texts) -> Day {
        let finish = Prepared::read(texts.clone(), Elapsed::from_secs(24 * 3600))
            .inputs
            .plan
            .finish;
        let finish = finish.unwrap().value;
        let mut prepared = Prepared::read(texts, finish + finish);
        prepared.inputs.pantry = Vec::new();
        let plan = prepared.plan(finish);
        Day { prepared, plan }
    }

    pub fn inputs(&self) -> &Inputs {
        &self.prepared.inputs
    }

    /// One to four arrivals and departures at random: from a tenth faster than planned to half
    /// as much again, changing on the way.
    pub fn observations(&self, random: &mut ChaCha8Rng) -> (Vec<String>, Vec<String>) {
        let stations = &self.prepared.race.course.stations;
        let (mut seen, mut left) = (Vec::new(), Vec::new());
        let mut at_s = 0.0;
        let mut from = 0;
        for _ in 0..random.random_range(1..=4_usize) {
            if from + 2 >= stations.len() {
                break;
            }
            let station = random.random_range(from + 1..stations.len() - 1);
            let pacing = &self.plan.pacing;
            let planned_s = pacing.arrival_s[station] - pacing.departure_s[from];
            at_s += planned_s * random.random_range(0.9..1.5_f64);
            let text = |at_s: f64| {
                let at = sutler::time::Elapsed::from_s(at_s).to_seconds_text();
                format!("{}=+{at}", stations[station].name)
            };
            seen.push(text(at_s));
            at_s += self.prepared.race.stops_s[station] * random.random_range(0.5..2.0_f64);
            if random.random_bool(0.5) {
                at_s = at_s.round();
                left.push(text(at_s));
            }
            from = station;
        }
        (seen, left)
    }

    pub fn replan(&self, seen: &[String], left: &[String]) -> Replan {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let observations = replan::observations(seen, left, &mut sources, &mut notes);
        let race = &self.prepared.race;
        replan::make(
            race,
            self.inputs(),
            &self.plan,
            &observations,
            None,
            &sources,
            &mut notes,
        )
        .unwrap_or_else(|| panic!("{seen:?} {left:?} {:?}", notes.all()))
    }
}

/// The page of a race.
pub fn written(planned: &Planned) -> String {
    let view = planned.view(Units::Metric);
    crew_page(&Facts::of(&view), &PhoneFacts::of(&view).unwrap())
}

/// Arrivals ahead by the tables, with the stops that the command took.
fn arrivals_s(response: &Response, replan: &Replan, stops_s: &[f64], ratio: f64) -> Vec<f64> {
    let mut now_s = replan.leave.as_s();
    (replan.here..response.segments.len())
        .map(|segment| {
            let arrival_s = response.arrive_s(segment, now_s, ratio);
            now_s = arrival_s + stops_s[segment + 1];
            arrival_s
        })
        .collect()
}

/// The tables' own search for the speed that holds a finish.
fn held(response: &Response, replan: &Replan, stops_s: &[f64], finish_s: f64) -> Vec<f64> {
    let (mut least, mut most) = (0.1_f64, 100.0_f64);
    for _ in 0..60 {
        let middle = 0.5 * (least + most);
        let ends_s = arrivals_s(response, replan, stops_s, middle.recip());
        if *ends_s.last().unwrap() > finish_s {
            most = middle;
        } else {
            least = middle;
        }
    }
    arrivals_s(response, replan, stops_s, least.recip())
}

fn compared(plan: &str, seed: u64, races: usize) {
    let day = Day::of(plan);
    let race = &day.prepared.race;
    let response = Response::of(race, &day.plan);
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut off_s: Vec<f64> = Vec::new();
    for _ in 0..races {
        let (seen, left) = day.observations(&mut random);
        let replan = day.replan(&seen, &left);
        let mut compare = |rest: &replan::Rest, tables_s: &[f64]| {
            let command_s = &rest.plan.pacing.arrival_s[replan.here + 1..];
            for (command_s, table_s) in command_s.iter().zip(tables_s) {
                off_s.push((command_s - table_s).abs());
            }
            let worst_s = off_s.iter().copied().fold(0.0, f64::max);
            assert!(worst_s < MOST_OFF_S, "{worst_s} s off: {seen:?} {left:?}");
        };
        let effort = &replan.at_effort;
        let own_s = arrivals_s(&response, &replan, &race.stops_s, effort.speed_ratio);
        compare(effort, &own_s);
        if let Some(rest) = &replan.at_finish {
            let finish_s = day.plan.pacing.finish_s;
            compare(rest, &held(&response, &replan, &race.stops_s, finish_s));
        }
    }
    off_s.sort_by(f64::total_cmp);
    let worst_s = off_s.last().copied().unwrap_or_default();
    let most_s = off_s[off_s.len() * 99 / 100];
    println!(
        "{plan}: {} times, 99 % within {most_s:.1} s, worst {worst_s:.1} s",
        off_s.len()
    );
}

#[test]
fn the_tables_say_what_the_command_says() {
    for (seed, plan) in PLANS.iter().enumerate() {
        compared(plan, seed as u64, 40);
    }
}

#[test]
fn at_the_plans_effort_and_hour_the_tables_are_the_plan() {
    for plan in PLANS {
        let day = Day::of(plan);
        let response = Response::of(&day.prepared.race, &day.plan);
        let pacing = &day.plan.pacing;
        for segment in 0..pacing.segments.len() {
            let arrival_s = response.arrive_s(segment, pacing.departure_s[segment], 1.0);
            assert!((arrival_s - pacing.arrival_s[segment + 1]).abs() < 0.1);
        }
    }
}

#[test]
fn the_page_lets_nothing_of_a_stranger_through() {
    let planned = hostile::race(30, true);
    let page = written(&planned);
    assert_eq!(page.matches("<script").count(), 2, "data and script");
    assert_eq!(page.matches("</script>").count(), 2);
    for never in [
        "<img",
        "<b>Race",
        "<i>",
        "http:",
        "https:",
        "\u{202e}מ",
        "@import",
        "url(",
    ] {
        let found = page.match_indices(never).next();
        let is_name = never == "url(" && page.contains("url(javascript:alert(1)) #set");
        assert!(found.is_none() || is_name, "{never}");
    }
    assert!(!page.contains("unsafe-") && page.contains("default-src 'none'"));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    // data comes back as the very names
    let data = page.split("id=\"data\">").nth(1).unwrap();
    let data = data.split("</script>").next().unwrap();
    let data: serde_json::Value = serde_json::from_str(data).unwrap();
    for (index, station) in planned.prepared.race.course.stations.iter().enumerate() {
        assert_eq!(data["stations"][index]["name"], station.name.as_str());
    }
}

/// Relative luminance and contrast (WCAG 2.2, definitions; AA is 4.5 to 1).
#[test]
fn words_can_be_read_on_every_ground() {
    let style = include_str!("../../src/exports/crew_page/page.css");
    for theme in style.lines().filter(|line| line.contains(":root{")) {
        let colour = |name: &str| -> [f64; 3] {
            let value = theme.split(&format!("--{name}:#")).nth(1).unwrap();
            let hex: String = value.chars().take_while(char::is_ascii_hexdigit).collect();
            let pairs = match hex.len() {
                3 => hex.chars().map(|c| format!("{c}{c}")).collect::<String>(),
                _ => hex,
            };
            [0, 2, 4].map(|at| {
                let value = u8::from_str_radix(&pairs[at..at + 2], 16).unwrap();
                let share = f64::from(value) / 255.0;
                if share <= 0.04045 {
                    share / 12.92
                } else {
                    ((share + 0.055) / 1.055).powf(2.4)
                }
            })
        };
        let light = |[r, g, b]: [f64; 3]| 0.2126 * r + 0.7152 * g + 0.0722 * b;
        for ground in ["paper", "card", "soft"] {
            for ink in ["ink", "faint", "accent", "bad", "close"] {
                let (a, b) = (light(colour(ground)), light(colour(ink)));
                let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                assert!(
                    contrast >= 4.5,
                    "{ink} on {ground}: {contrast:.2} in {theme}"
                );
            }
        }
        let (a, b) = (light(colour("accent")), theme.contains("--accent-ink"));
        if b {
            let ink = light(colour("accent-ink"));
            assert!((a.max(ink) + 0.05) / (a.min(ink) + 0.05) >= 4.5);
        }
    }
}

#[test]
fn the_page_can_be_heard() {
    let planned = Planned::shipped(PLANS[0]);
    let page = written(&planned);
    assert!(page.contains("<html lang=\"en\">") && page.contains("<main") && page.contains("<h1>"));
    for input in page.split("<input id=\"").skip(1) {
        let id = input.split('"').next().unwrap();
        assert!(page.contains(&format!("<label for=\"{id}\">")), "{id}");
    }
    for caution in &planned.plans[0].fueling.cautions {
        assert!(page.contains(caution.text), "{}", caution.kind);
    }
}
