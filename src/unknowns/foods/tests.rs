use super::{PlannedFood, most_in_window};

/// By hand: from 4 h to 7 h, all of the second stretch's 2 and half of the third's 3.
#[test]
fn the_densest_three_hours_decide() {
    let planned = [(0.0, 4.0, 1.0), (4.0, 5.0, 2.0), (5.0, 9.0, 3.0)];
    let planned = planned.map(|(from_h, until_h, servings)| PlannedFood {
        from_h,
        until_h,
        servings,
    });
    assert!((most_in_window(&planned) - 3.5).abs() < 1e-12);
    assert!((most_in_window(&planned[..1]) - 0.75).abs() < 1e-12);
    assert!(most_in_window(&[]).abs() < 1e-12);
}
