//! Conditioning against what can be done by hand, and against waiting for races that match.

use super::*;

fn seen_at(station: usize, at_s: f64) -> Passage {
    Passage {
        station,
        kind: Kind::Arrival,
        at_s,
    }
}

fn draws(finish: Option<Spread>) -> Draws {
    Draws::of(&many(finish), 21)
}

fn onward(planned: &Planned) -> Onward {
    Onward {
        passed_s: planned.pacing.arrival_s.clone(),
        stops_s: Finishes::of_target(&planned.pacing).stops_s,
    }
}

fn after(
    planned: &Planned,
    figures: &Straying,
    spread: Option<&Spread>,
    passages: &[Passage],
) -> Seen {
    let paths = Paths::of(&planned.conditions, &planned.pacing);
    Seen::with(figures, &paths, &planned.pacing, spread, passages)
}

/// Normal given normal: the times at 1/2 and 3/4 of a race tied at its finish, with a Brownian
/// drift, have variances 1/48 and 3/256 and a covariance of 11/768 (integrals of min(s, t) by hand);
/// seen x late at half way, 3/4 is 11/16 of x late, with a variance of 0.00187166 left.
#[test]
fn a_drift_is_carried_on_as_by_hand() {
    let planned = level(36_000.0, 0.0);
    let figures = Straying {
        drift: 0.02,
        ..nothing()
    };
    let late_s = 60.0;
    let passages = [seen_at(10, 18_000.0 + late_s)];
    let seen = after(&planned, &figures, None, &passages);
    let arrivals = seen.rest(&[], &draws(None), &onward(&planned));
    let at = arrivals.stations[15];
    near("finish", arrivals.stations[20].likely_s, 36_000.0, 1e-3);
    near("likely", at.likely_s, 27_000.0 + 11.0 / 16.0 * late_s, 4.0);
    let width_s = 36_000.0 * 0.02 * 0.001_871_66_f64.sqrt() * Z_90;
    near(
        "width",
        0.5 * (at.late_s - at.early_s),
        width_s,
        0.12 * width_s,
    );
}

/// One passage at a share x of a race whose pieces stray by s: the logarithm of the finish is that
/// of the passage over x, spread by Student's t with 10 degrees of freedom and a scale of
/// `s sqrt(1/x - 1)`, where the finish was anything before. 90 % quantile 1.372184 in any table.
#[test]
fn a_passage_says_the_finish_where_nothing_was_known() {
    const T10_90: f64 = 1.372_184;
    let planned = level(36_000.0, 0.0);
    let figures = Straying {
        stretches: 0.02,
        ..nothing()
    };
    let flat = Spread::between(36_000.0, 8.0, 8.0);
    let passages = [seen_at(5, 10_000.0)];
    let seen = after(&planned, &figures, Some(&flat), &passages);
    let arrivals = seen.rest(&[], &draws(Some(flat)), &onward(&planned));
    let finish = arrivals.stations[20];
    let scale = 0.02 * 3.0_f64.sqrt();
    near("likely", (finish.likely_s / 40_000.0).ln(), 0.0, 0.002);
    near(
        "early",
        (finish.early_s / 40_000.0).ln(),
        -T10_90 * scale,
        0.002,
    );
    near(
        "late",
        (finish.late_s / 40_000.0).ln(),
        T10_90 * scale,
        0.002,
    );
    near("chance", arrivals.chance_by(40_000.0), 0.5, 0.01);
    near("chance", arrivals.chance_by(finish.late_s), 0.9, 0.01);
}

/// Of very many races drawn before anything was seen, those that pass two stations about when the
/// runner did go on as the conditioned ones do.
#[test]
fn conditioned_races_are_those_that_match() {
    const PLAIN: usize = 150_000;
    let planned = level(72_000.0, 0.0);
    let figures = Straying {
        drift: 0.2,
        stretches: 0.006,
        stopped: 0.11,
        by_speed: 0.0,
        ..nothing()
    };
    let spread = Spread::between(75_000.0, 0.15, 0.15);
    let trials = Trials {
        races: PLAIN,
        ..many(Some(spread))
    };
    let (first_s, second_s) = (18_500.0, 38_500.0);
    let races = planned.races(&figures, &trials);
    let about = |ours_s: f64, seen_s: f64| (ours_s / seen_s).ln().abs() < 0.025;
    let matching: Vec<&[f64]> = races
        .rows()
        .filter(|row| about(row[5], first_s) && about(row[10], second_s))
        .collect();
    assert!(matching.len() > 1500, "{}", matching.len());
    let passages = [seen_at(5, first_s), seen_at(10, second_s)];
    let seen = after(&planned, &figures, Some(&spread), &passages);
    let arrivals = seen.rest(&[], &draws(Some(spread)), &onward(&planned));
    for station in [14, 17, 20] {
        let plain = |share: f64| {
            let mut at_s: Vec<f64> = matching.iter().map(|row| row[station]).collect();
            quantile(&mut at_s, share)
        };
        let ours = arrivals.stations[station];
        let width = plain(0.9) - plain(0.1);
        near("early", ours.early_s, plain(0.1), 0.12 * width);
        near("likely", ours.likely_s, plain(0.5), 0.08 * width);
        near("late", ours.late_s, plain(0.9), 0.12 * width);
    }
}

/// Every passage counts, not the last alone: who has slowed down is later than who came to the
/// same station at the same time after a slow start.
#[test]
fn the_way_to_a_passage_counts() {
    let planned = level(72_000.0, 0.0);
    let spread = Spread::between(72_000.0, 0.2, 0.2);
    let finish = |passages: &[Passage]| {
        let seen = after(&planned, &Straying::default(), Some(&spread), passages);
        let arrivals = seen.rest(&[], &draws(Some(spread)), &onward(&planned));
        arrivals.stations[20].likely_s
    };
    let slowed = finish(&[seen_at(5, 16_000.0), seen_at(10, 37_000.0)]);
    let sped_up = finish(&[seen_at(5, 20_000.0), seen_at(10, 37_000.0)]);
    assert!(slowed > sped_up + 1800.0, "{slowed} {sped_up}");
}

/// Near stations are surer than far ones, and the more is seen the surer is the finish.
#[test]
fn what_is_seen_narrows_what_is_left() {
    let planned = level(72_000.0, 300.0);
    let spread = Spread::between(76_000.0, 0.2, 0.25);
    let seen_to = |stations: &[usize]| {
        let passages: Vec<Passage> = stations
            .iter()
            .map(|station| seen_at(*station, planned.pacing.arrival_s[*station]))
            .collect();
        let seen = after(&planned, &Straying::default(), Some(&spread), &passages);
        seen.rest(&[], &draws(Some(spread)), &onward(&planned))
    };
    let width =
        |a: &Arrivals, station: usize| a.stations[station].late_s - a.stations[station].early_s;
    let all = [&[][..], &[5][..], &[5, 10], &[5, 10, 16]].map(seen_to);
    for pair in all.windows(2) {
        assert!(width(&pair[1], 20) < width(&pair[0], 20));
    }
    for station in 0..=16 {
        near("width", width(&all[3], station), 0.0, 1e-9);
    }
    assert!(0.0 < width(&all[3], 17) && width(&all[3], 17) < width(&all[3], 20));
}
