//! The tables of a fit.

use crate::fit::{Bin, Fit, FittedRun, Summary};
use crate::pacing::usual_stop_share;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::Units;

use super::rows;
use crate::reports::document::{Cell, Column, Table, Tone};

pub(super) fn figures(fit: &Fit) -> Table {
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

pub(super) fn trials(fit: &Fit, units: Units) -> Table {
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

pub(super) fn summaries(fit: &Fit) -> Table {
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

pub(super) fn bins(fit: &Fit, units: Units) -> Table {
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

pub(super) fn stops(fit: &Fit, units: Units) -> Table {
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

pub(super) fn advice(fit: &Fit) -> Table {
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
