//! A fit as data; keys carry their units.

use serde_json::{Map, Value, json};

use super::{rows, words};
use crate::diagnostics::Diagnostic;
use crate::fit::{Bin, Fit, FittedRun, StopGroup, Summary, Verdict};
use crate::reports::runner_text::pacing_lines;
use crate::units::Units;

/// `sutler fit --format json`; keys carry their units.
#[must_use]
pub fn json(fit: &Fit, left_out: &[Diagnostic]) -> Value {
    let (by_default, by_others) = fit.summaries();
    json!({
        "figures": figures(fit),
        "better_than_default": match fit.verdict {
            Verdict::Better => Some(true),
            Verdict::NoBetter => Some(false),
            Verdict::Untried => None,
        },
        "default_error": summary(by_default),
        "fitted_error": by_others.map(summary),
        "recordings": fit.runs.iter().map(run_json).collect::<Vec<_>>(),
        "left_out": left_out.iter().map(|d| d.message.as_str()).collect::<Vec<_>>(),
        "gradients": fit.bins.iter().map(gradient).collect::<Vec<_>>(),
        "stops": fit.stop_groups.iter().map(stops).collect::<Vec<_>>(),
        "cannot_tell": words::unknowns(fit, Units::Metric),
        "runner_toml": pacing_lines(fit).join("\n") + "\n",
    })
}

fn round(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}

fn figures(fit: &Fit) -> Map<String, Value> {
    rows(fit)
        .into_iter()
        .map(|(_, key, usual, own)| {
            let value = json!({
                "value": round(own.value),
                "low": round(own.low),
                "high": round(own.high),
                "usual": usual,
                "own_share": round(own.own_share),
            });
            (key.to_owned(), value)
        })
        .collect()
}

fn summary(errors: Summary) -> Value {
    json!({
        "mean_pct": round(errors.mean_pct),
        "median_pct": round(errors.median_pct),
        "p90_pct": round(errors.p90_pct),
        "pieces_pct": round(errors.pieces_pct),
    })
}

fn gradient(bin: &Bin) -> Value {
    json!({
        "from_gradient": round(bin.from),
        "to_gradient": round(bin.to),
        "length_m": bin.length_m.round(),
        "moving_s": bin.moving_s.round(),
        "over_model": bin.over_model.map(round),
    })
}

fn stops(group: &StopGroup) -> Value {
    json!({
        "from_h": group.from_h,
        "to_h": group.to_h.is_finite().then_some(group.to_h),
        "runs": group.runs,
        "hours": round(group.hours),
        "share": round(group.share),
        "usual_share": round(group.usual_share),
        "stops_per_10_km": round(group.per_10_km),
        "median_s": group.median_s.map(f64::round),
        "p90_s": group.p90_s.map(f64::round),
    })
}

fn run_json(run: &FittedRun) -> Value {
    let recording = &run.recording;
    let (climb_m, descent_m) = recording.course.climb_and_descent_m();
    json!({
        "recording": recording.name,
        "start": recording.start().map(|start| start.to_rfc3339()),
        "length_m": recording.course.profile.length_m().round(),
        "climb_m": climb_m.round(),
        "descent_m": descent_m.round(),
        "finish_s": recording.finish_s.round(),
        "stood_s": recording.stopped_s().round(),
        "stops": recording.stops.len(),
        "fade_alone": round(run.evidence.best.fade),
        "climb_multiplier_alone": round(run.evidence.best.climb_multiplier),
        "descent_multiplier_alone": round(run.evidence.best.descent_multiplier),
        "default_error_pct": round(run.trial.by_default.mean_pct()),
        "fitted_error_pct": run.trial.by_others.as_ref().map(|e| round(e.mean_pct())),
    })
}
