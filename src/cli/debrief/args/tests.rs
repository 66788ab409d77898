use super::*;

#[test]
fn amounts_may_say_their_unit() {
    assert_eq!(temperature("-4"), Ok(-4.0));
    assert_eq!(temperature("21 °C"), Ok(21.0));
    assert!(temperature("50F").is_ok_and(|c| (c - 10.0).abs() < 1e-9));
    assert!(amount("155lb", &limits::MASS_BEFORE).is_ok_and(|kg| (kg - 70.3).abs() < 0.01));
    for wrong in ["", "F", "61K", "nanC", "400F"] {
        assert!(temperature(wrong).is_err(), "{wrong}");
    }
}
