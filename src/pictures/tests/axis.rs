use crate::facts::Measure;
use crate::pictures::axis::*;
use crate::units::Units;

#[test]
fn steps_are_round() {
    for (span, most, step) in [
        (161.6, 9.0, 20.0),
        (50.1, 11.0, 5.0),
        (8.0, 10.0, 1.0),
        (3100.0, 5.0, 1000.0),
    ] {
        assert!((round_step(span, most) - step).abs() < 1e-9, "{span}");
    }
}

#[test]
fn a_distance_ends_where_it_ends() {
    let length = Measure::distance(Units::Metric, 161_600.0);
    let marks = distance_marks(&length, 1000.0, 9.0);
    assert_eq!(
        marks.last().map(|m| (m.at, m.label.as_str())),
        Some((161_600.0, "161.6 km"))
    );
    // 160 would stand on the end
    let before = &marks[marks.len() - 2];
    assert_eq!((before.at, before.label.as_str()), (140_000.0, "140"));
}
