//! Sweat from the balance, where it can be worked out by hand.

use super::*;

/// By hand from the efficiency of ISO 7933: `1 - w²/2` to 1, then `(2 - w)²/2` to 1.7, and
/// litres at 2430 J/g.
#[test]
fn sweat_drips_once_the_skin_is_wet() {
    let near = |ours: f64, theirs: f64| assert!((ours - theirs).abs() < 0.0005, "{ours}");
    near(
        sweat_l_per_h(50.0, 100.0, 1.8),
        50.0 / 0.875 * 1.8 * 3.6 / 2430.0,
    );
    near(sweat_l_per_h(100.0, 100.0, 1.8), 0.5333);
    near(sweat_l_per_h(150.0, 100.0, 0.5), 0.8889);
    near(sweat_l_per_h(165.0, 100.0, 0.5), 1.9955);
    assert_eq!(sweat_l_per_h(170.0, 100.0, 0.5), HIGHEST_PREDICTED_L_PER_H);
}

#[test]
fn no_need_no_sweat_and_no_evaporation_the_most() {
    assert_eq!(sweat_l_per_h(-5.0, 100.0, 1.8), 0.0);
    assert_eq!(sweat_l_per_h(100.0, -3.0, 1.8), HIGHEST_PREDICTED_L_PER_H);
}
