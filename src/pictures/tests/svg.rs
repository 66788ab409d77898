use crate::pictures::svg::*;

#[test]
fn numbers_are_short_and_never_a_negative_nought() {
    for (value, text) in [
        (1.0, "1"),
        (1.006, "1.01"),
        (-0.001, "0"),
        (1200.5, "1200.5"),
        (100.0, "100"),
        (f64::NAN, "0"),
    ] {
        assert_eq!(number(value), text);
    }
}
