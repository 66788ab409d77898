//! The course from the side, without words: hills, and the hours of darkness behind them.

use std::fmt::Write;

use maud::{Markup, html};

use crate::facts::ProfileFacts;

/// Units across and down in the drawing's own count.
const WIDE: f64 = 1000.0;
const HIGH: f64 = 120.0;
/// A flat course still has this much height, metres.
const LEAST_M: f64 = 100.0;

/// The hills as wide as what they stand in.
pub(super) fn drawn(profile: &ProfileFacts) -> Markup {
    let heights = &profile.elevation_m;
    let last = heights.len().saturating_sub(1).max(1);
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low > high {
        return html! {};
    }
    let span = (high - low).max(LEAST_M);
    let x = |sample: usize| sample as f64 / last as f64 * WIDE;
    let mut hill = format!("M0 {HIGH}");
    for (sample, height) in heights.iter().enumerate() {
        let y = HIGH - 8.0 - (height - low) / span * (HIGH - 16.0);
        // writing to a string does not fail
        let _ = write!(hill, "L{:.1} {y:.1}", x(sample));
    }
    let _ = write!(hill, "L{WIDE} {HIGH}Z");
    html! {
        svg.skyline viewBox=(format!("0 0 {WIDE} {HIGH}")) preserveAspectRatio="none" role="img"
            aria-label="The course from the side" {
            @for (from, to) in nights(&profile.dark) {
                rect.dark x=(format!("{:.1}", x(from))) y="0" width=(format!("{:.1}", x(to) - x(from))) height=(HIGH) {}
            }
            path.hill d=(hill) {}
        }
    }
}

/// Where it is dark, from sample to sample.
fn nights(dark: &[bool]) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (sample, _) in dark.iter().enumerate().filter(|(_, dark)| **dark) {
        match runs.last_mut() {
            Some(run) if run.1 == sample => run.1 = sample + 1,
            _ => runs.push((sample, sample + 1)),
        }
    }
    let last = dark.len().saturating_sub(1);
    runs.into_iter()
        .map(|(from, to)| (from, to.min(last)))
        .collect()
}
