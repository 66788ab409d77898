//! A fit in words and numbers: the figures, what they are worth, what they rest on.

use serde_json::{Value, json};

use crate::diagnostics::Diagnostic;
use crate::fit::{Bin, Estimate, Figures, Fit, FittedRun, Summary, Verdict};
use crate::pacing::usual_stop_share;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::{Quantity, Units};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::runner_text::pacing_lines;

/// `sutler fit`
#[must_use]
pub fn document(fit: &Fit, units: Units) -> Document {
    let mut document = Document::titled(match fit.runs.len() {
        1 => "Your own pace, from 1 recording".to_owned(),
        many => format!("Your own pace, from {many} recordings"),
    });
    document.push(Block::Table(figures(fit)));
    document.say(
        "A figure is drawn from the recordings towards what runners usually show: less, the more \
         recordings there are and the better they agree. The range holds two cases of three. The \
         usual slowing is 0.90 and not the default 1 because standing is counted by itself here.",
    );
    document.section("Would they have helped?");
    document.push(Block::Table(trials(fit, units)));
    document.push(Block::Table(summaries(fit)));
    document.say(
        "Splits at every tenth of the way, predicted from course and finish alone, against the \
         recorded ones: the size of the error in percent of the finish time. Each recording is \
         predicted from the others.",
    );
    document.say(verdict(fit));
    document.section("By gradient");
    document.push(Block::Table(bins(fit, units)));
    document.say(
        "Moving pace where it is about this steep. The last column is your time over the model's \
         at the same effort, level ground being 1; climb and descent multipliers sum it up. Heights \
         are never exact, which makes steep ground look a little easier than it is.",
    );
    document.section("Standing still");
    document.push(Block::Table(stops(fit, units)));
    document.say(
        "Stops are stretches of more than a minute below 0.3 m/s. With a stop multiplier, a plan \
         counts the minutes it names for stations towards your usual time, and spreads the rest.",
    );
    document.push(Block::Table(advice(fit)));
    document.section("What these recordings cannot tell");
    document.push(Block::List(
        unknowns(fit, units)
            .into_iter()
            .map(|text| Item::new(Tone::Plain, text))
            .collect(),
    ));
    document.section("For runner.toml");
    if fit.verdict == Verdict::NoBetter {
        document
            .say("Nothing: the defaults serve you as well. These are the figures all the same.");
    }
    document.push(Block::Drawing(pacing_lines(fit)));
    document
}

/// Name, key, what is usual, and the runner's.
fn rows(fit: &Fit) -> [(&'static str, &'static str, f64, Estimate); 4] {
    let usual = Figures::USUAL;
    [
        ("slowing down", "fade", usual.fade, fit.fade),
        (
            "time on climbs",
            "climb_multiplier",
            usual.climb_multiplier,
            fit.climb_multiplier,
        ),
        (
            "time on descents",
            "descent_multiplier",
            usual.descent_multiplier,
            fit.descent_multiplier,
        ),
        (
            "time stood still",
            "stop_multiplier",
            usual.stop_multiplier,
            fit.stop_multiplier,
        ),
    ]
}

fn figures(fit: &Fit) -> Table {
    let columns = vec![
        Column::left("", "figure"),
        Column::right("usual", "usual"),
        Column::right("yours", "value"),
        Column::right("from", "low"),
        Column::right("to", "high"),
        Column::right("own share", "own_share_pct"),
    ];
    let rows = rows(fit).map(|(name, key, usual, own)| {
        vec![
            Cell::with_raw(name, key),
            hundredths(usual),
            hundredths(own.value).tone(Tone::Strong),
            hundredths(own.low),
            hundredths(own.high),
            percent(own.own_share),
        ]
    });
    Table {
        columns,
        rows: rows.to_vec(),
    }
}

fn trials(fit: &Fit, units: Units) -> Table {
    let columns = vec![
        Column::left("Recording", "recording"),
        Column::right("day", "date"),
        Column::right(units.distance_symbol(), "length_m"),
        Column::right("finish", "finish_s"),
        Column::right("default", "default_error_pct"),
        Column::right("yours", "fitted_error_pct"),
    ];
    let rows = fit.runs.iter().map(|run| trial(run, units)).collect();
    Table { columns, rows }
}

fn trial(run: &FittedRun, units: Units) -> Vec<Cell> {
    let recording = &run.recording;
    let length_m = recording.course.profile.length_m();
    let by_default = run.trial.by_default.mean_pct();
    let by_others = run.trial.by_others.as_ref().map(|errors| errors.mean_pct());
    vec![
        Cell::new(recording.name.clone()),
        Cell::new(date(run)),
        Cell::with_raw(units.distance_number(length_m), format!("{length_m:.0}")),
        Cell::with_raw(
            Elapsed::from_s(recording.finish_s).to_string(),
            format!("{:.0}", recording.finish_s),
        ),
        error(by_default),
        by_others.map_or_else(Cell::empty, |own| {
            let tone = if own < by_default {
                Tone::Good
            } else {
                Tone::Plain
            };
            error(own).tone(tone)
        }),
    ]
}

fn date(run: &FittedRun) -> String {
    use chrono::Datelike;
    // a recorder whose clock was never set starts in the past
    run.recording
        .start()
        .filter(|start| start.year() > 2000)
        .map_or_else(String::new, |start| start.format("%Y-%m-%d").to_string())
}

fn summaries(fit: &Fit) -> Table {
    let columns = vec![
        Column::left("All recordings", "settings"),
        Column::right("mean", "mean_pct"),
        Column::right("half below", "median_pct"),
        Column::right("nine in ten below", "p90_pct"),
        Column::right("time of a piece", "pieces_pct"),
    ];
    let row = |name: &str, summary: &Summary| {
        vec![
            Cell::new(name),
            error(summary.mean_pct),
            error(summary.median_pct),
            error(summary.p90_pct),
            Cell::with_raw(
                format!("{:.1} %", summary.pieces_pct),
                format!("{:.3}", summary.pieces_pct),
            ),
        ]
    };
    let (by_default, by_others) = fit.summaries();
    let mut rows = vec![row("default", &by_default)];
    rows.extend(by_others.as_ref().map(|summary| row("yours", summary)));
    Table { columns, rows }
}

fn verdict(fit: &Fit) -> String {
    let (before, after) = fit.summaries();
    match (fit.verdict, after) {
        (Verdict::Better, Some(after)) => format!(
            "Predicted from the others, your recordings are {:.2} % of the finish time off on \
             average, and {:.2} % with the defaults: use your figures.",
            after.mean_pct, before.mean_pct
        ),
        (Verdict::NoBetter, _) => "Your figures do not predict left-out recordings better than \
             the defaults do: keep the defaults. More recordings, or such that are more like the \
             race, may change that."
            .to_owned(),
        _ => "With one recording there is none left to try the figures on, so they hardly leave \
             the usual. Give more recordings, three or better six."
            .to_owned(),
    }
}

fn bins(fit: &Fit, units: Units) -> Table {
    let columns = vec![
        Column::right("gradient", "gradient_pct"),
        Column::right(units.distance_symbol(), "length_m"),
        Column::right(
            format!("pace /{}", units.distance_symbol()),
            "pace_s_per_km",
        ),
        Column::right("over the model", "over_model"),
    ];
    let last = fit.bins.len().saturating_sub(1);
    let rows = (fit.bins.iter().enumerate())
        .map(|(i, bin)| {
            let middle = format!("{:+.0}", 50.0 * (bin.from + bin.to));
            let shown = match i {
                0 => format!("{middle} % and below"),
                _ if i == last => format!("{middle} % and above"),
                _ if middle == "+0" || middle == "-0" => "level".to_owned(),
                _ => format!("{middle} %"),
            };
            let raw = if shown == "level" { "0" } else { &middle };
            vec![
                Cell::with_raw(shown, raw.trim_start_matches('+')),
                Cell::with_raw(
                    units.distance_number(bin.length_m),
                    format!("{:.0}", bin.length_m),
                ),
                pace(bin, units),
                bin.over_model
                    .map_or_else(|| Cell::new("–").tone(Tone::Faint), hundredths),
            ]
        })
        .collect();
    Table { columns, rows }
}

fn pace(bin: &Bin, units: Units) -> Cell {
    // a single stretch says nothing, and its pace would be read all the same
    if bin.length_m < 500.0 {
        return Cell::empty();
    }
    let s_per_m = bin.moving_s / bin.length_m;
    Cell::with_raw(
        units.pace_number(s_per_m),
        format!("{:.0}", s_per_m * 1000.0),
    )
}

fn stops(fit: &Fit, units: Units) -> Table {
    let columns = vec![
        Column::left("Finish", "hours"),
        Column::right("runs", "runs"),
        Column::right("stood", "stood_pct"),
        Column::right("usual", "usual_pct"),
        Column::right(
            match units {
                Units::Metric => "stops on 10 km",
                Units::Imperial => "stops on 10 mi",
            },
            "stops_per_10_km",
        ),
        Column::right("half below", "median_s"),
        Column::right("nine in ten below", "p90_s"),
    ];
    let length = |s: Option<f64>| {
        s.map_or_else(Cell::empty, |s| {
            Cell::with_raw(format!("{:.1} min", s / 60.0), format!("{s:.0}"))
        })
    };
    let rows = fit.stop_groups.iter().map(|group| {
        let hours = if group.to_h.is_finite() {
            format!("{:.0} to {:.0} h", group.from_h, group.to_h)
        } else {
            format!("{:.0} h and more", group.from_h)
        };
        let number = group.per_10_km * units.distance_unit_m() / 1000.0;
        vec![
            Cell::new(hours),
            Cell::new(group.runs.to_string()),
            tenths(100.0 * group.share),
            tenths(100.0 * group.usual_share),
            Cell::with_raw(format!("{number:.1}"), format!("{:.2}", group.per_10_km)),
            length(group.median_s),
            length(group.p90_s),
        ]
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// Finish times for which the runner's standing is worked out, hours.
const ADVISED_H: [f64; 4] = [6.0, 12.0, 24.0, 36.0];
/// Numbers of stations over which it is spread.
const ADVISED_STATIONS: [f64; 2] = [5.0, 15.0];

fn advice(fit: &Fit) -> Table {
    let columns = vec![
        Column::left("To plan with", "finish_h"),
        Column::right("standing in all", "standing_s"),
        Column::right("at each of 5 stations", "each_of_5_s"),
        Column::right("at each of 15", "each_of_15_s"),
    ];
    let rows = ADVISED_H.map(|hours| {
        let share = fit.stop_multiplier.value * usual_stop_share(hours);
        let stood_s = share * hours * S_PER_HOUR;
        let mut row = vec![
            Cell::with_raw(format!("a finish of {hours:.0} h"), hours),
            Cell::with_raw(
                Elapsed::from_s(stood_s).to_string(),
                format!("{stood_s:.0}"),
            ),
        ];
        row.extend(ADVISED_STATIONS.map(|stations| {
            let each_s = stood_s / stations;
            Cell::with_raw(format!("{:.0} min", each_s / 60.0), format!("{each_s:.0}"))
        }));
        row
    });
    Table {
        columns,
        rows: rows.to_vec(),
    }
}

/// Sentences, each on one thing that stays a default or a guess.
fn unknowns(fit: &Fit, units: Units) -> Vec<String> {
    let seen = &fit.seen;
    let mut said = Vec::new();
    if fit.runs.len() < 3 {
        said.push(format!(
            "What is you and what was the day: {} more would begin to show it.",
            match 3 - fit.runs.len() {
                1 => "one recording",
                _ => "two recordings",
            }
        ));
    }
    said.push(format!(
        "How you slow down beyond {:.0} h, your longest run here: there the usual law is \
         stretched.",
        seen.longest_h
    ));
    said.extend(thin_gradients(&fit.bins, units));
    said.push(match seen.dark_h {
        None => "How you move in the dark: the recordings do not say when they were made, so \
                 `night_factor` stays as it is."
            .to_owned(),
        Some(dark_h) if dark_h < 0.5 => {
            "How you move in the dark: all was run by day, so `night_factor` stays as it is."
                .to_owned()
        }
        Some(dark_h) => format!(
            "How you move in the dark: {dark_h:.0} h of it are here, but not the same ground by \
             day to compare with, so `night_factor` stays as it is."
        ),
    });
    let highest = units.show(Quantity::Height { m: seen.highest_m });
    said.push(if seen.highest_m < 1500.0 {
        format!("How height slows you: nothing here is above {highest}.")
    } else {
        format!(
            "How height slows you: the highest point is {highest}; `altitude_per_km` is taken \
             from the literature."
        )
    });
    said.push(
        "How heat slows you: a recording does not hold the weather; `heat_per_c` is taken from \
         the literature."
            .to_owned(),
    );
    said.push(
        "What was rock and what was road: all ground is taken as smooth trail. Your \
         `downhill_cap` cannot be told from the time on descents, and stays."
            .to_owned(),
    );
    said
}

/// Gradients with too little of them, from the level outwards on either side.
fn thin_gradients(bins: &[Bin], units: Units) -> Option<String> {
    let level = bins.len() / 2;
    let thin = |bin: &&Bin| bin.over_model.is_none();
    let up = bins.iter().skip(level + 1).find(thin);
    let down = bins.iter().take(level).rev().find(thin);
    let enough = units.show(Quantity::Distance { m: 2000.0 });
    let side = |name: &str, from: f64| format!("{name} of {:.0} % and more", 100.0 * from);
    let sides: Vec<String> = [
        up.map(|bin| side("climbs", bin.from.max(0.0))),
        down.map(|bin| side("descents", -bin.to.min(0.0))),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!sides.is_empty()).then(|| {
        format!(
            "Your pace on {}: less than {enough} of some such gradient is here.",
            sides.join(" and ")
        )
    })
}

fn hundredths(number: f64) -> Cell {
    Cell::with_raw(format!("{number:.2}"), format!("{number:.4}"))
}

fn tenths(percent: f64) -> Cell {
    Cell::with_raw(format!("{percent:.1} %"), format!("{percent:.2}"))
}

fn percent(share: f64) -> Cell {
    let percent = format!("{:.0}", 100.0 * share);
    Cell::with_raw(format!("{percent} %"), percent)
}

fn error(percent: f64) -> Cell {
    Cell::with_raw(format!("{percent:.2} %"), format!("{percent:.4}"))
}

/// `sutler fit --format json`; keys carry their units.
#[must_use]
pub fn json(fit: &Fit, left_out: &[Diagnostic]) -> Value {
    let round = |number: f64| (number * 1e4).round() / 1e4;
    let figures: serde_json::Map<String, Value> = rows(fit)
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
        .collect();
    let summary = |s: Summary| {
        json!({
            "mean_pct": round(s.mean_pct),
            "median_pct": round(s.median_pct),
            "p90_pct": round(s.p90_pct),
            "pieces_pct": round(s.pieces_pct),
        })
    };
    let (by_default, by_others) = fit.summaries();
    let bins: Vec<Value> = (fit.bins.iter())
        .map(|bin| {
            json!({
                "from_gradient": round(bin.from),
                "to_gradient": round(bin.to),
                "length_m": bin.length_m.round(),
                "moving_s": bin.moving_s.round(),
                "over_model": bin.over_model.map(round),
            })
        })
        .collect();
    let stops: Vec<Value> = (fit.stop_groups.iter())
        .map(|group| {
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
        })
        .collect();
    json!({
        "figures": figures,
        "better_than_default": match fit.verdict {
            Verdict::Better => Some(true),
            Verdict::NoBetter => Some(false),
            Verdict::Untried => None,
        },
        "default_error": summary(by_default),
        "fitted_error": by_others.map(summary),
        "recordings": fit.runs.iter().map(run_json).collect::<Vec<_>>(),
        "left_out": left_out.iter().map(|d| d.message.as_str()).collect::<Vec<_>>(),
        "gradients": bins,
        "stops": stops,
        "cannot_tell": unknowns(fit, Units::Metric),
        "runner_toml": pacing_lines(fit).join("\n") + "\n",
    })
}

fn run_json(run: &FittedRun) -> Value {
    let round = |number: f64| (number * 1e4).round() / 1e4;
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
