use super::*;

#[test]
fn lengths_have_units() {
    assert_eq!(length_m("32km"), Ok(32_000.0));
    assert_eq!(length_m("20 mi"), Ok(32_186.88));
    for wrong in ["32", "km", "-5km", "0km", "1e9km", "nankm"] {
        assert!(length_m(wrong).is_err(), "{wrong}");
    }
}
