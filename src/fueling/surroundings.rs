//! Findings where a segment meets height, storms or an endless day or night.

use crate::conditions::Light;
use crate::course::Course;
use crate::exposure::{Exposure, Exposures};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::schedule::Schedule;
use crate::time::{Elapsed, S_PER_HOUR, day_name};
use crate::units::{Phrase, Quantity};
use crate::words::and_more;

use super::cold::{COLD_GEAR, Chill, ColdStretch};
use super::heat::ColdBand;

/// Ground from which on height makes some people ill, metres (Wilderness Medical Society 2019,
/// Luks and others, Wilderness Environ. Med. 30:S3, from memory).
pub(super) const HIGH_M: f64 = 2500.0;

/// The findings of a course in its conditions.
pub(super) fn findings(
    course: &Course,
    schedule: &Schedule,
    exposures: &Exposures,
    cold: &[ColdStretch],
) -> Vec<Finding> {
    let around = Around {
        course,
        schedule,
        exposures: &exposures.segments,
    };
    let all = [
        around.cold(cold),
        around.height(),
        around.thunder(),
        exposures.start_light.and_then(sun),
    ];
    all.into_iter().flatten().collect()
}

struct Around<'a> {
    course: &'a Course,
    schedule: &'a Schedule,
    exposures: &'a [Exposure],
}

impl Around<'_> {
    fn between(&self, segment: usize) -> String {
        let name = |station: usize| &self.course.stations[station].name;
        format!("from `{}` to `{}`", name(segment), name(segment + 1))
    }

    /// Cold where it is worst, with every stretch of it, and where to be dressed for it.
    fn cold(&self, cold: &[ColdStretch]) -> Option<Finding> {
        let worst = cold.iter().min_by(|a, b| a.worst.gravest_first(b.worst))?;
        let c = worst.worst.felt_c();
        let degrees = Quantity::Temperature { c };
        let (kind, weight, says) = match worst.worst {
            Chill::Wind(c) => (
                match ColdBand::at(c) {
                    ColdBand::Mild => FindingKind::ColdWindChill,
                    _ => FindingKind::ColdHarm,
                },
                Weight::Warning,
                Phrase::new("wind chill ")
                    .and(degrees)
                    .and(format!(" ({})", ColdBand::at(c).words())),
            ),
            Chill::Wet(_) => (
                FindingKind::ColdWet,
                Weight::Warning,
                Phrase::new("rain and wind at ")
                    .and(degrees)
                    .and(" (wet clothes chill within the hour)"),
            ),
            Chill::SlowNight(_) => (
                FindingKind::ColdNight,
                Weight::Note,
                Phrase::new("walking in the dark at ")
                    .and(degrees)
                    .and(" (it feels colder than it is, most of all after a stop)"),
            ),
        };
        let name = |station: usize| &self.course.stations[station].name;
        let mut lead = "";
        let mut says = says;
        for stretch in cold {
            let (from, until) = (name(stretch.from), name(stretch.until));
            says = says.and(format!(
                "{lead} from `{from}` to `{until}`, {} to {}",
                self.schedule.show(stretch.begins),
                self.schedule.show(stretch.ends)
            ));
            lead = ";";
        }
        let on: Vec<String> = cold.iter().map(|s| format!("`{}`", name(s.from))).collect();
        let way = format!("{COLD_GEAR} on at {}, before you are cold", on.join(", "));
        let others = cold.iter().filter(|stretch| stretch.from != worst.from);
        let finding = Finding::new(kind, weight, About::Segment(worst.from), says);
        let finding = finding.also(others.map(|stretch| About::Segment(stretch.from)));
        Some(finding.way_out(Phrase::new(way)))
    }

    /// The highest of the ways above [`HIGH_M`], and for how long the race is that high.
    fn height(&self) -> Option<Finding> {
        let top_m = |exposure: &Exposure| {
            let heights = exposure.steps().map(|step| step.elevation_m);
            heights.fold(f64::NEG_INFINITY, f64::max)
        };
        let (segment, highest) =
            (self.exposures.iter().enumerate()).max_by(|a, b| top_m(a.1).total_cmp(&top_m(b.1)))?;
        let m = top_m(highest);
        if m < HIGH_M {
            return None;
        }
        let high = self.exposures.iter().flat_map(Exposure::steps);
        let hours: f64 = high
            .filter(|step| step.elevation_m >= HIGH_M)
            .map(|step| step.hours)
            .sum();
        let says = Phrase::new(format!("{} the route goes up to ", self.between(segment)))
            .and(Quantity::Height { m })
            .and(format!("; {hours:.1} h of the race are above "))
            .and(Quantity::Height { m: HIGH_M })
            .and(", where height makes some people ill");
        let about = About::Segment(segment);
        Some(
            Finding::new(FindingKind::HighGround, Weight::Warning, about, says)
                .way_out(Phrase::new(
                    "spend days and nights up high before the race; ask a physician first with heart \
                     or lung trouble or in pregnancy",
                ))
                .way_out(Phrase::new(
                    "headache with nausea, dizziness or stumbling: go down at once",
                )),
        )
    }

    /// The way with most hours of forecast storms.
    fn thunder(&self) -> Option<Finding> {
        let hours = |exposure: &Exposure| -> f64 {
            let storms = exposure.moving.iter();
            let storms = storms.filter(|step| step.weather.is_some_and(|w| w.thunder));
            storms.map(|step| step.hours).sum()
        };
        let having = self.exposures.iter().filter(|e| hours(e) > 0.0).count();
        let (segment, worst) = (self.exposures.iter().enumerate())
            .max_by(|a, b| hours(a.1).total_cmp(&hours(b.1)))
            .filter(|(_, worst)| hours(worst) > 0.0)?;
        let top_m = (worst.moving.iter().map(|step| step.elevation_m)).fold(0.0, f64::max);
        let says = Phrase::new(format!(
            "storms are forecast {}{}, up to ",
            self.between(segment),
            self.when(segment, worst),
        ))
        .and(Quantity::Height { m: top_m })
        .and(and_more(having - 1, "segment", "segments"));
        let about = About::Segment(segment);
        Some(
            Finding::new(FindingKind::StormHours, Weight::Warning, about, says).way_out(
                Phrase::new(
                    "before open or high ground there, look at the sky: wait at the last shelter \
                     rather than be up when it thunders",
                ),
            ),
        )
    }

    /// From when to when storms are forecast on a way, by the clock where it is known.
    fn when(&self, segment: usize, way: &Exposure) -> String {
        let mut at_h = self.schedule.splits[segment].departure.as_hours();
        let mut span: Option<(f64, f64)> = None;
        for step in &way.moving {
            let end_h = at_h + step.hours;
            if step.weather.is_some_and(|weather| weather.thunder) {
                span = Some((span.map_or(at_h, |(from_h, _)| from_h), end_h));
            }
            at_h = end_h;
        }
        let (Some((from_h, to_h)), Some(clock)) = (span, self.schedule.clock) else {
            return String::new();
        };
        let shown = |hours: f64| {
            let at = clock.at(Elapsed::from_s(hours * S_PER_HOUR));
            format!("{} {}", day_name(&at), at.format("%H:%M"))
        };
        format!(", {} to {}", shown(from_h), shown(to_h))
    }
}

/// A day on which the sun does not rise, or does not set, at the start.
fn sun(lights: [Light; 24]) -> Option<Finding> {
    let dark = lights.iter().filter(|light| **light == Light::Dark).count();
    let (kind, says) = if lights.iter().all(|light| *light == Light::Day) {
        let says = "the sun does not set: light throughout, no lamp is planned".to_owned();
        (FindingKind::LightThroughout, says)
    } else if lights.iter().all(|light| *light != Light::Day) {
        let says = match dark {
            24 => "the sun does not rise: dark throughout".to_owned(),
            _ => format!("the sun does not rise: dark for about {dark} of 24 h, else twilight"),
        };
        (FindingKind::DarkThroughout, says)
    } else {
        return None;
    };
    let (weight, way) = match kind {
        FindingKind::DarkThroughout => (
            Weight::Warning,
            "two lamps, and batteries for every hour out there and some to spare",
        ),
        _ => (
            Weight::Note,
            "wear cap and sunglasses at night too, and plan your sleep",
        ),
    };
    let finding = Finding::new(kind, weight, About::Race, Phrase::new(says));
    Some(finding.way_out(Phrase::new(way)))
}
