//! The course from the side, without words: hills, and the hours of darkness behind them.

use std::fmt::Write;

use maud::{Markup, html};

use crate::facts::{Facts, ProfileFacts};

/// Units across and down in the drawing's own count.
const WIDE: f64 = 1000.0;
const HIGH: f64 = 120.0;
/// A flat course still has this much height, metres.
const LEAST_M: f64 = 100.0;
/// Climbs from this gradient on are black in a strip, told over this length, metres.
const STEEP: f64 = 0.10;
const STRETCH_M: f64 = 250.0;

/// The hills as wide as what they stand in.
pub(super) fn drawn(profile: &ProfileFacts) -> Markup {
    let last = profile.elevation_m.len().saturating_sub(1);
    let (low, high) = range(&profile.elevation_m);
    if low > high {
        return html! {};
    }
    let drawing = Drawing {
        profile,
        samples: (0, last),
        low_m: low,
        span_m: (high - low).max(LEAST_M),
    };
    html! {
        svg.skyline viewBox=(format!("0 0 {WIDE} {HIGH}")) preserveAspectRatio="none" role="img"
            aria-label="The course from the side" {
            (drawing.nights())
            path.hill d=(drawing.hill(0, last)) {}
        }
    }
}

/// The ways between stations from the side, all as high for the same metres.
pub(super) struct Strips<'a> {
    profile: &'a ProfileFacts,
    /// The first and last sample of every segment.
    samples: Vec<(usize, usize)>,
    /// The greatest difference of height on any of them.
    span_m: f64,
}

impl<'a> Strips<'a> {
    pub(super) fn of(facts: &'a Facts) -> Strips<'a> {
        let profile = &facts.profile;
        let ends = facts.stations.iter();
        let ends = ends.map(|at| profile.sample_at(at.official.value));
        let ends: Vec<usize> = ends.collect();
        let samples: Vec<(usize, usize)> = ends.windows(2).map(|two| (two[0], two[1])).collect();
        let spans = samples.iter().map(|(from, to)| {
            let (low, high) = range(profile.elevation_m.get(*from..=*to).unwrap_or_default());
            high - low
        });
        Strips {
            profile,
            span_m: spans.fold(LEAST_M, f64::max),
            samples,
        }
    }

    /// True where any climb is steep enough to be black.
    pub(super) fn any_steep(&self) -> bool {
        (0..self.samples.len()).any(|index| !self.steep(index).is_empty())
    }

    /// One segment: hills in grey, steep climbs in black, darkness behind.
    pub(super) fn drawn(&self, index: usize) -> Markup {
        let Some((from, to)) = self.samples.get(index).copied().filter(|(a, b)| a < b) else {
            return html! {};
        };
        let (low, _) = range(&self.profile.elevation_m[from..=to]);
        let drawing = Drawing {
            profile: self.profile,
            samples: (from, to),
            low_m: low,
            span_m: self.span_m,
        };
        html! {
            svg.strip viewBox=(format!("0 0 {WIDE} {HIGH}")) preserveAspectRatio="none" role="img"
                aria-label="The way from the side" {
                (drawing.nights())
                path.hill d=(drawing.hill(from, to)) {}
                @for (a, b) in self.steep(index) { path.steep d=(drawing.hill(a, b)) {} }
            }
        }
    }

    /// Steep climbs of a segment, from sample to sample.
    fn steep(&self, index: usize) -> Vec<(usize, usize)> {
        let (from, to) = self.samples[index];
        let step_m = self.profile.step_m.max(1e-3);
        let stretch = ((STRETCH_M / step_m).round() as usize).max(1);
        let mut found: Vec<(usize, usize)> = Vec::new();
        let mut at = from;
        while at < to {
            let end = (at + stretch).min(to);
            let rise_m = self.profile.elevation_m[end] - self.profile.elevation_m[at];
            if rise_m / ((end - at) as f64 * step_m) > STEEP {
                match found.last_mut() {
                    Some(run) if run.1 == at => run.1 = end,
                    _ => found.push((at, end)),
                }
            }
            at = end;
        }
        found
    }
}

/// Samples of the course in a frame.
struct Drawing<'a> {
    profile: &'a ProfileFacts,
    samples: (usize, usize),
    low_m: f64,
    span_m: f64,
}

impl Drawing<'_> {
    fn x(&self, sample: usize) -> f64 {
        let (from, to) = self.samples;
        (sample - from) as f64 / (to - from).max(1) as f64 * WIDE
    }

    /// The ground from one sample to another, down to the foot.
    fn hill(&self, from: usize, to: usize) -> String {
        let mut hill = format!("M{:.1} {HIGH}", self.x(from));
        for (sample, height) in (from..=to).zip(&self.profile.elevation_m[from..=to]) {
            let y = HIGH - 8.0 - (height - self.low_m) / self.span_m * (HIGH - 16.0);
            // writing to a string does not fail
            let _ = write!(hill, "L{:.1} {y:.1}", self.x(sample));
        }
        let _ = write!(hill, "L{:.1} {HIGH}Z", self.x(to));
        hill
    }

    /// Stretches that are dark when the plan passes.
    fn nights(&self) -> Markup {
        let sample = |m: f64| {
            self.profile
                .sample_at(m)
                .clamp(self.samples.0, self.samples.1)
        };
        let all = self.profile.dark_m();
        let runs = all.map(|(from_m, to_m)| (self.x(sample(from_m)), self.x(sample(to_m))));
        html! {
            @for (from, to) in runs.filter(|(from, to)| from < to) {
                rect.dark x=(format!("{from:.1}")) y="0" width=(format!("{:.1}", to - from)) height=(HIGH) {}
            }
        }
    }
}

/// The least and the greatest of some heights.
fn range(heights: &[f64]) -> (f64, f64) {
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low, high)
}
