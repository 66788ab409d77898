//! Spreads against quantiles that are known.

use super::*;

/// 10 %, 15 %, 50 %, 90 % and 92.5 % quantiles by scipy 1.17.1, `scipy.stats.t.ppf(p, 4)`.
#[test]
fn quantiles_are_those_of_students_t() {
    for (share, known) in [
        (0.10, -1.533_206),
        (0.15, -1.189_567),
        (0.50, 0.0),
        (0.90, 1.533_206),
        (0.925, 1.778_192),
    ] {
        assert!((students_t(share) - known).abs() < 1e-5, "{share}");
    }
    let spread = Spread::between(1000.0, 0.2, 0.3);
    for (share, known) in [(0.1, -0.2), (0.5, 0.0), (0.9, 0.3)] {
        let log = (spread.quantile_s(share) / 1000.0).ln();
        assert!((log - known).abs() < 1e-6, "{share}: {log}");
    }
}

/// The density is the slope of the share by the logarithm, up to one constant.
#[test]
fn the_density_is_the_slope_of_the_quantiles() {
    let spread = Spread::between(1000.0, 0.2, 0.3);
    let by_shares = |share: f64| {
        let log = |share: f64| spread.quantile_s(share).ln();
        2e-4 / (log(share + 1e-4) - log(share - 1e-4))
    };
    let of = |share: f64| by_shares(share) / spread.density(spread.quantile_s(share));
    for share in [0.05, 0.2, 0.4, 0.6, 0.9] {
        assert!((of(share) / of(0.3) - 1.0).abs() < 1e-4, "{share}");
    }
}

#[test]
fn a_wish_does_not_move_what_was_run() {
    let mut rests = Rests {
        on: Basis::Results(1),
        is_said: true,
        expected: Some(Spread::between(100.0, 0.2, 0.2)),
    };
    let slowed = |target_s: f64, _| 1.1 * target_s;
    assert_eq!(rests.finish(80.0, slowed).likely_s, 100.0);
    assert_eq!(rests.finish(120.0, slowed).likely_s, 120.0);
    rests.expected = None;
    for on in [Basis::Race, Basis::LongRuns, Basis::Hope] {
        rests.on = on;
        let likely_s = |day: f64| rests.finish(100.0, |target_s, _| day * target_s).likely_s;
        assert!(likely_s(1.0) >= 100.0 && likely_s(0.9) == likely_s(1.0));
        assert!((likely_s(1.1) / likely_s(1.0) - 1.1).abs() < 1e-9);
    }
}
