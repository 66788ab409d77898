use crate::pictures::place::*;

#[test]
fn labels_with_room_stay_where_they_want_to_be() {
    assert_eq!(
        spread(&[10.0, 40.0, 90.0], 20.0, 0.0, 100.0),
        [10.0, 40.0, 90.0]
    );
}

#[test]
fn crowded_labels_share_their_shift() {
    // three that want 50 stand around it
    assert_eq!(
        spread(&[50.0, 50.0, 50.0], 10.0, 0.0, 100.0),
        [40.0, 50.0, 60.0]
    );
    // at the edge they are pushed inwards
    assert_eq!(spread(&[0.0, 1.0], 10.0, 0.0, 100.0), [0.0, 10.0]);
    assert_eq!(spread(&[99.0, 100.0], 10.0, 0.0, 100.0), [90.0, 100.0]);
}

#[test]
fn no_two_are_nearer_than_allowed() {
    let wanted: Vec<f64> = (0..40).map(|i| f64::from((i * i) % 90)).collect();
    let mut sorted = wanted;
    sorted.sort_by(f64::total_cmp);
    let placed = spread(&sorted, 2.5, 0.0, 100.0);
    assert!(
        placed
            .windows(2)
            .all(|pair| pair[1] - pair[0] >= 2.5 - 1e-9)
    );
    assert!(placed[0] >= 0.0 && placed[39] <= 100.0);
}
