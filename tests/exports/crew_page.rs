//! The crew's page: harmless, legible, and whole without its script.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use sutler::diagnostics::{Notes, Sources};
use sutler::exports::crew_page;
use sutler::facts::{Facts, PhoneFacts};
use sutler::inputs::{Inputs, Texts};
use sutler::replan::{self, Replan};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::hostile;
use crate::support::race::{PLANS, Planned, Prepared, texts_of_plan};

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

    /// Whether the crew meets the runner there.
    pub fn meets(&self, station: usize) -> bool {
        let mut meetings = self.plan.crew.meetings.iter();
        meetings.any(|met| met.station == station)
    }

    /// A day of sightings at some stations, each an arrival and at times a departure: from a level
    /// of its own with a drift, and longer stops than planned. Seconds are whole.
    pub fn sightings(&self, stations: &[usize], random: &mut ChaCha8Rng) -> Vec<Sighting> {
        let pacing = &self.plan.pacing;
        let level = random.random_range(-0.08..0.20_f64);
        let drift = random.random_range(-0.10..0.15_f64);
        let (mut seen, mut late_s) = (Vec::new(), 0.0);
        for station in stations {
            let share = pacing.arrival_s[*station] / pacing.finish_s;
            let at_s = late_s + pacing.arrival_s[*station] * (1.0 + level + drift * share);
            seen.push((*station, false, at_s.round()));
            if random.random_bool(0.5) {
                let stop_s = self.prepared.race.stops_s[*station];
                let stood_s = stop_s * random.random_range(0.5..2.0_f64);
                late_s += stood_s - stop_s;
                seen.push((*station, true, (at_s + stood_s).round()));
            }
        }
        seen
    }

    /// What the command says after some sightings.
    pub fn after(&self, sightings: &[Sighting]) -> Replan {
        let number = |station: usize| match station {
            0 => "S".to_owned(),
            number => number.to_string(),
        };
        let of = |wanted: bool| -> Vec<String> {
            let kind = sightings.iter().filter(|(_, left, _)| *left == wanted);
            kind.map(|(station, _, at_s)| {
                let at = Elapsed::from_s(*at_s).to_seconds_text();
                format!("{}=+{at}", number(*station))
            })
            .collect()
        };
        self.replan(&of(false), &of(true))
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

/// A station, whether it was left, and when, seconds after the start.
pub type Sighting = (usize, bool, f64);

/// The page of a race.
pub fn written(planned: &Planned) -> String {
    let view = planned.view(Units::Metric);
    crew_page(&Facts::of(&view), &PhoneFacts::of(&view).unwrap())
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
}

/// Relative luminance and contrast (WCAG 2.2, definitions; AA is 4.5 to 1).
#[test]
fn words_can_be_read_on_every_ground() {
    let red = include_str!("../../src/exports/crew_page/page.css");
    let day = include_str!("../../src/pages/palette.css");
    let night = include_str!("../../src/pages/night.css");
    for theme in [day, night, red.lines().next().unwrap()].map(|css| css.replace(' ', "")) {
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
        for ground in ["paper", "wash"] {
            for ink in ["ink", "faint", "link", "bad", "warn"] {
                let (a, b) = (light(colour(ground)), light(colour(ink)));
                let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                assert!(
                    contrast >= 4.5,
                    "{ink} on {ground}: {contrast:.2} in {theme}"
                );
            }
        }
    }
}

#[test]
fn the_page_can_be_heard() {
    let planned = Planned::shipped(PLANS[0]);
    let page = written(&planned);
    assert!(page.contains("<html lang=\"en\">") && page.contains("<main") && page.contains("<h1>"));
    assert!(page.contains("<label for=\"pad-time\">"));
    for caution in &planned.plans[0].fueling.cautions {
        assert!(page.contains(caution.text), "{}", caution.kind.name());
    }
}
