//! Tests of exposure on a segment of which light and weather are known.

use super::*;

const H: f64 = S_PER_HOUR;

fn mild() -> Weather {
    Weather {
        temp_c: 15.0,
        humidity_pct: 50.0,
        wind_kmh: 5.0,
        rain_mm_per_h: 0.0,
        thunder: false,
        rain_chance_pct: None,
    }
}

/// 10 km, likely from 8 h to 10 h, early an hour and late two hours off, a stop of 10 min.
fn ten_km() -> SkyPassage {
    SkyPassage {
        from_m: 40_000.0,
        to_m: 50_000.0,
        paths_s: [
            (7.0 * H, 9.0 * H),
            (8.0 * H, 10.0 * H),
            (10.0 * H, 12.0 * H),
        ],
        stop_s: 600.0,
    }
}

fn seen(light: &dyn Fn(f64, f64) -> Light, weather: Weather) -> WindowExposure {
    let weather = |_: f64, _: f64| Some(weather);
    exposure(
        &ten_km(),
        &SkyField {
            is_mountain: &|_| false,
            light,
            weather: &weather,
        },
    )
}

fn dusk_at(dusk_s: f64) -> impl Fn(f64, f64) -> Light {
    move |_, at_s| {
        if at_s < dusk_s {
            Light::Day
        } else {
            Light::Dark
        }
    }
}

#[test]
fn dusk_counts_for_the_slowest_runner() {
    assert!(seen(&dusk_at(11.9 * H), mild()).dark);
    assert!(!seen(&dusk_at(12.1 * H), mild()).dark);
}

#[test]
fn dawn_counts_for_the_fastest_runner() {
    let dawn = |dawn_s: f64| {
        move |_, at_s| {
            if at_s < dawn_s {
                Light::Dark
            } else {
                Light::Day
            }
        }
    };
    assert!(seen(&dawn(7.1 * H), mild()).dark);
    assert!(!seen(&dawn(6.9 * H), mild()).dark);
}

#[test]
fn dark_hours_are_those_of_each_runner() {
    let [early, likely, late] = seen(&dusk_at(9.5 * H), mild()).dark_h;
    assert!(early == 0.0, "{early}");
    // half an hour and two hours, to the slice
    assert!((likely - 0.5).abs() <= SLICE_S / H, "{likely}");
    assert!((late - 2.0).abs() <= SLICE_S / H, "{late}");
}

#[test]
fn a_passing_shower_is_met_by_whoever_is_there() {
    let shower = |_: f64, at_s: f64| {
        let rain_mm_per_h = if (11.0 * H..11.4 * H).contains(&at_s) {
            0.2
        } else {
            0.0
        };
        Some(Weather {
            rain_mm_per_h,
            ..mild()
        })
    };
    let day = |_: f64, _: f64| Light::Day;
    let met = exposure(
        &ten_km(),
        &SkyField {
            is_mountain: &|_| false,
            light: &day,
            weather: &shower,
        },
    );
    assert!(met.rain && met.sun && !met.cold && !met.heat);
}

#[test]
fn cold_and_heat_begin_where_they_are_said_to() {
    let day = |_: f64, _: f64| Light::Day;
    let at = |temp_c: f64, wind_kmh: f64| {
        seen(
            &day,
            Weather {
                temp_c,
                wind_kmh,
                ..mild()
            },
        )
    };
    assert!(at(5.0, 0.0).cold && !at(5.1, 0.0).cold);
    assert!(at(25.0, 0.0).heat && !at(24.9, 0.0).heat);
    // 5.5 °C feels like 0 °C or less from about 47 km/h
    assert!(at(5.5, 60.0).cold && !at(5.5, 30.0).cold);
}

#[test]
fn a_low_sun_does_not_burn() {
    // sunset right after the window: the early runner has more than two hours left, but
    // nobody does where the sun sets at nine hours
    let sun = |set_s: f64| {
        move |_: f64, at_s: f64| {
            if at_s < set_s {
                Light::Day
            } else {
                Light::Twilight
            }
        }
    };
    assert!(seen(&sun(9.1 * H), mild()).sun);
    assert!(!seen(&sun(8.9 * H), mild()).sun);
    let rain = Weather {
        rain_mm_per_h: 1.0,
        ..mild()
    };
    assert!(!seen(&sun(20.0 * H), rain).sun);
}

/// A warm layer is in hand in the dark whatever the forecast, and for a long stop where it is cool.
#[test]
fn warm_gear_is_in_hand_by_night_and_at_long_cool_stops() {
    let warm = Weather {
        temp_c: 24.0,
        ..mild()
    };
    assert!(seen(&dusk_at(11.0 * H), warm).cold);
    assert!(!seen(&dusk_at(13.0 * H), warm).cold);
    let long_stop = |weather: Weather| {
        let passage = SkyPassage {
            stop_s: 1200.0,
            ..ten_km()
        };
        let field = SkyField {
            is_mountain: &|_| false,
            light: &|_, _| Light::Day,
            weather: &|_, _| Some(weather),
        };
        exposure(&passage, &field).cold
    };
    assert!(!long_stop(warm));
    assert!(!long_stop(mild()));
    assert!(long_stop(Weather {
        temp_c: 12.0,
        ..mild()
    }));
}

#[test]
fn leaving_in_the_dark_is_that_of_the_likely_runner() {
    // likely in at 8 h, gone ten minutes later
    assert!(!seen(&dusk_at(8.2 * H), mild()).leaves_dark);
    assert!(seen(&dusk_at(8.1 * H), mild()).leaves_dark);
}
