//! Points, marks and ends of axes are where the plan's numbers put them.

use sutler::facts::Facts;
use sutler::pictures::{LIGHT, PosterSheet, poster};
use sutler::units::Units;

use super::svg::{Svg, drawn};
use crate::support::hostile;
use crate::support::race::Planned;

const PLANS: [&str; 3] = [
    "demo-data/plan.toml",
    "demo-data/plan-50k.toml",
    "demo-data/plan-100k.toml",
];
/// Numbers in pictures are rounded to 0.01, twice where one is added to another.
const ROUNDED: f64 = 0.02;

fn words(svg: &Svg) -> Vec<&str> {
    svg.texts().map(|text| text.text.as_str()).collect()
}

#[test]
fn axes_end_where_the_course_and_the_plan_end() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let course = &planned.prepared.race.course;
        let schedule = &planned.plans[0].schedule;
        let end_m = course.stations.last().unwrap().official_m;
        for (units, length) in [
            (Units::Metric, format!("{:.1} km", end_m / 1000.0)),
            (Units::Imperial, format!("{:.1} mi", end_m / 1609.344)),
        ] {
            for name in ["profile", "time-distance"] {
                let svg = Svg::read(&drawn(&planned, name, units));
                assert!(
                    words(&svg).contains(&length.as_str()),
                    "{plan}, {name}: {length}"
                );
            }
        }
        for name in ["time-distance", "fuel"] {
            let svg = Svg::read(&drawn(&planned, name, Units::Metric));
            for end in [schedule.splits[0].arrival, planned.plans[0].finish] {
                let label = schedule.show(end);
                assert!(
                    words(&svg).contains(&label.as_str()),
                    "{plan}, {name}: {label}"
                );
            }
        }
    }
}

#[test]
fn the_repeated_hour_stands_twice_on_the_clock() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let svg = Svg::read(&drawn(&planned, "time-distance", Units::Metric));
    for hour in ["02:00¹", "02:00²", "Sun 00:00"] {
        assert!(
            words(&svg).contains(&hour),
            "no {hour} in {:?}",
            words(&svg)
        );
    }
}

/// Two known points make a scale.
fn scale(from: (f64, f64), to: (f64, f64)) -> impl Fn(f64) -> f64 {
    move |value| from.1 + (value - from.0) / (to.0 - from.0) * (to.1 - from.1)
}

#[test]
fn stations_limits_and_crew_stand_at_their_time_and_distance() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let (race, own) = (&planned.prepared.race, &planned.plans[0]);
        let (stations, splits) = (&race.course.stations, &own.schedule.splits);
        let svg = Svg::read(&drawn(&planned, "time-distance", Units::Metric));
        let circles = svg.elements.iter().filter(|e| e.name == "circle");
        let dots: Vec<(f64, f64)> = circles.map(|c| (c.num("cx"), c.num("cy"))).collect();
        assert_eq!(dots.len(), stations.len(), "{plan}");
        let last = dots.len() - 1;
        let x = scale((0.0, dots[0].0), (stations[last].official_m, dots[last].0));
        let y = scale((0.0, dots[0].1), (own.finish.as_s(), dots[last].1));
        for (dot, split) in dots.iter().zip(splits) {
            let station = &stations[split.station];
            assert!(
                (dot.0 - x(station.official_m)).abs() < ROUNDED,
                "{plan}: {}",
                station.name
            );
            assert!(
                (dot.1 - y(split.arrival.as_s())).abs() < ROUNDED,
                "{plan}: {}",
                station.name
            );
        }
        let limits = splits
            .iter()
            .filter_map(|s| s.cutoff.map(|limit| (s.station, limit.elapsed)));
        // one more of each kind stands in the legend
        let marks: Vec<_> = svg
            .of_class("cutoff")
            .filter(|m| m.num("y") > 100.0)
            .collect();
        assert_eq!(marks.len(), limits.clone().count(), "{plan}");
        for (mark, (station, limit)) in marks.iter().zip(limits) {
            let middle = mark.num("x") + mark.num("width") / 2.0;
            assert!(
                (middle - x(stations[station].official_m)).abs() < ROUNDED,
                "{plan}"
            );
            assert!((mark.num("y") - y(limit.as_s())).abs() < ROUNDED, "{plan}");
        }
        let bars: Vec<_> = svg.of_class("crew").collect();
        assert_eq!(bars.len(), own.crew.meetings.len(), "{plan}");
        for (bar, meeting) in bars.iter().zip(&own.crew.meetings) {
            let there = meeting.be_there.as_s();
            assert!((bar.num("y") - y(there)).abs() < ROUNDED, "{plan}");
            let foot = bar.num("y") + bar.num("height");
            assert!((foot - y(meeting.leaves.as_s())).abs() < ROUNDED, "{plan}");
        }
        let window = svg.of_class("window").next().unwrap().points();
        for split in splits {
            let at = x(stations[split.station].official_m);
            for end in [split.early, split.late] {
                let there = (at, y(end.as_s()));
                let near = |p: &(f64, f64)| (p.0 - there.0).abs() + (p.1 - there.1).abs() < 0.05;
                assert!(window.iter().any(near), "{plan}: {there:?}");
            }
        }
    }
}

#[test]
fn time_in_hand_jumps_only_where_a_cutoff_is_behind() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let svg = Svg::read(&drawn(&planned, "in-hand", Units::Metric));
        let likely: Vec<_> = svg.of_class("likely").collect();
        assert!(likely.len() > 3, "{plan}");
        let cutoffs: Vec<f64> = (svg.of_class("cutoff"))
            .map(|bar| bar.num("x") + bar.num("width") / 2.0)
            .collect();
        for two in likely.windows(2) {
            let (x, foot, next) = (two[0].num("x2"), two[0].num("y2"), two[1].num("y1"));
            assert!((two[1].num("x1") - x).abs() < ROUNDED, "{plan}");
            let is_behind = cutoffs.iter().any(|at| (at - x).abs() < ROUNDED);
            // more in hand is higher up
            let goes_on = (next - foot).abs() < ROUNDED || is_behind && next < foot;
            assert!(goes_on, "{plan}: {foot} to {next} at {x}");
        }
    }
}

#[test]
fn a_poster_tells_every_station_or_how_many_it_does_not() {
    // a phone of 1080 by 1920, one of 1080 by 2400, and sheets of paper
    for (wide, high, free) in [
        (400.0, 711.0, 142.0),
        (400.0, 888.0, 177.0),
        (520.0, 737.0, 0.0),
        (740.0, 1046.0, 0.0),
    ] {
        let sheet = PosterSheet { wide, high, free };
        let shipped = PLANS.map(|plan| (plan, Planned::shipped(plan)));
        let crowded = ("crowded", hostile::race(30, false));
        for (race, planned) in shipped.into_iter().chain([crowded]) {
            let facts = Facts::of(&planned.view(Units::Metric));
            let svg = Svg::read(&poster(&facts, &LIGHT, sheet));
            let words = words(&svg);
            let numbers = facts.stations.iter().map(|at| at.number.as_str());
            let untold = numbers.filter(|number| !words.contains(number)).count();
            let said = format!("{untold} more: dots on the course");
            assert_eq!(
                untold > 0,
                words.contains(&said.as_str()),
                "{race}, {wide} by {high}"
            );
            assert!(race == "crowded" || untold == 0, "{race}, {wide} by {high}");
        }
    }
}

#[test]
fn nights_are_drawn_where_it_is_dark() {
    let mut nights = 0;
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let (race, own) = (&planned.prepared.race, &planned.plans[0]);
        let course = &race.course;
        let end_m = course.stations.last().unwrap().official_m;
        let svg = Svg::read(&drawn(&planned, "profile", Units::Metric));
        let circles = svg
            .elements
            .iter()
            .filter(|e| e.name == "circle" && e.get("r") == Some("2.6"));
        let dots: Vec<f64> = circles.map(|c| c.num("cx")).collect();
        let official = scale((dots[0], 0.0), (dots[dots.len() - 1], end_m));
        let dark = |x: f64| {
            let along_m = course.distance_of_official(official(x));
            let at_s = own.pacing.elapsed_at_s(course, along_m);
            race.conditions.is_dark(along_m, at_s)
        };
        for band in svg.of_class("night") {
            nights += 1;
            let (from, to) = (band.num("x"), band.num("x") + band.num("width"));
            let inside = (1..20).map(|i| from + (to - from) * f64::from(i) / 20.0);
            assert!(inside.into_iter().all(dark), "{plan}");
            for beyond in [from - 2.0, to + 2.0] {
                assert!(beyond < dots[0] || !dark(beyond), "{plan}: {beyond}");
            }
        }
    }
    assert!(nights >= 3, "only {nights} nights were drawn");
}

#[test]
fn fuel_adds_up_to_the_needs() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let own = &planned.plans[0];
        let needs = &own.fueling.segments;
        let svg = Svg::read(&drawn(&planned, "fuel", Units::Metric));
        let words = words(&svg);
        let to_drink: f64 = needs.iter().map(|n| n.fluid_ml).sum();
        let sweat: f64 = needs.iter().map(|n| n.sweat_l_per_h * n.hours).sum();
        let carbs: f64 = needs.iter().map(|n| n.carbs_g).sum();
        let packed: f64 = own.packing.pickups.iter().map(|p| p.carbs_g.0).sum();
        for sum in [
            format!("to drink {:.0}0 ml", to_drink / 10.0),
            format!("sweat {:.0}0 ml", sweat * 100.0),
            format!("need {} g", carbs.round()),
            format!("packed {} g", packed.round()),
        ] {
            assert!(
                words.contains(&sum.as_str()),
                "{plan}: no `{sum}` in {words:?}"
            );
        }
        // every caution that always holds stands in the picture
        let all = words.join(" ");
        for caution in own.fueling.cautions.iter().take(3) {
            assert!(all.contains(caution.text), "{plan}: {}", caution.text);
        }
    }
}
