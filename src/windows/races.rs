//! Simulated arrivals counted: bounds and chances.

use crate::pacing::Pacing;

use super::Limit;

/// The share of races before the early bound, and after the late one.
const TAIL: f64 = 0.10;
/// Where fewer get to a station than this share, its window is that of a race without cutoffs:
/// too few are left to count, and a plan that misses a cutoff has to look on past it.
const FEW: f64 = 0.05;

/// Simulated arrivals, race by race: a column per station after the one started from, on target
/// and then, where the finish is uncertain, with the form of the day.
pub(super) struct Races {
    /// Stations ahead.
    pub(super) columns: usize,
    /// Numbers of one race.
    pub(super) stride: usize,
    /// Seconds after the start.
    pub(super) arrival_s: Vec<f64>,
}

/// Either half of them.
#[derive(Clone, Copy)]
pub(super) struct Rows<'a> {
    races: &'a Races,
    from_column: usize,
}

impl Races {
    pub(super) fn on_target(&self) -> Rows<'_> {
        Rows {
            races: self,
            from_column: 0,
        }
    }

    pub(super) fn formed(&self) -> Rows<'_> {
        Rows {
            races: self,
            from_column: self.columns,
        }
    }
}

impl<'a> Rows<'a> {
    pub(super) fn iter(self) -> impl Iterator<Item = &'a [f64]> {
        let columns = self.from_column..self.from_column + self.races.columns;
        let rows = self.races.arrival_s.chunks_exact(self.races.stride.max(1));
        rows.map(move |row| &row[columns.clone()])
    }
}

/// How far every race gets.
pub(super) struct Ends {
    /// Per race, the station whose cutoff it misses; one past the last where it finishes.
    out_at: Vec<usize>,
    /// The first station that the plan itself does not get to.
    plan_past: usize,
}

impl Ends {
    pub(super) fn of(
        races: Rows<'_>,
        pacing: &Pacing,
        limits: &[Option<Limit>],
        from: usize,
    ) -> Ends {
        let stations = pacing.arrival_s.len();
        let missed = |station: usize, arrival_s: f64| {
            let limit = limits.get(station).copied().flatten();
            limit.is_some_and(|limit| arrival_s > limit.elapsed.as_s())
        };
        // what is behind is certain, missed cutoffs too
        let behind = (0..=from.min(stations - 1)).find(|s| missed(*s, pacing.arrival_s[*s]));
        let out_at = |row: &[f64]| {
            let ahead = || (0..row.len()).find(|column| missed(from + 1 + column, row[*column]));
            behind
                .or_else(|| Some(from + 1 + ahead()?))
                .unwrap_or(stations)
        };
        let plan_out = (0..stations).find(|s| missed(*s, pacing.arrival_s[*s]));
        let mut ends: Vec<usize> = races.iter().map(out_at).collect();
        if races.races.columns == 0 {
            ends.push(behind.unwrap_or(stations));
        }
        Ends {
            out_at: ends,
            plan_past: plan_out.map_or(stations, |station| station + 1),
        }
    }

    pub(super) fn share_past(&self, station: usize) -> f64 {
        let past = self.out_at.iter().filter(|out| **out > station).count();
        past as f64 / self.out_at.len().max(1) as f64
    }

    pub(super) fn bounds_s(
        &self,
        races: Rows<'_>,
        column: usize,
        station: usize,
        likely_s: f64,
    ) -> (f64, f64) {
        let all = || races.iter().map(|row| row[column]);
        let mut arrivals: Vec<f64> = all()
            .zip(&self.out_at)
            .filter(|(_, out)| **out >= station)
            .map(|(arrival_s, _)| arrival_s)
            .collect();
        let few = arrivals.len() < (FEW * self.out_at.len() as f64) as usize;
        if few || station >= self.plan_past {
            arrivals = all().collect();
        }
        let early_s = quantile(&mut arrivals, TAIL);
        let late_s = quantile(&mut arrivals, 1.0 - TAIL);
        (early_s.min(likely_s), late_s.max(likely_s))
    }
}

/// The value that a share of all lies below, between the two nearest by their distance.
pub(super) fn quantile(values: &mut [f64], share: f64) -> f64 {
    let at = share * (values.len().max(1) - 1) as f64;
    let below = at as usize;
    if below + 1 >= values.len() {
        return values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    }
    let (_, low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let high = above.iter().copied().fold(f64::INFINITY, f64::min);
    *low + (high - *low) * (at - below as f64)
}
