use crate::pictures::words::*;

#[test]
fn words_are_cut_to_their_room() {
    let long = "Oberes Waldhaus an der alten Brücke";
    let cut = fitted(long, 12.0, false, 90.0);
    assert!(cut.ends_with('…') && width(&cut, 12.0, false) <= 90.0);
    assert_eq!(fitted("Hut", 12.0, false, 90.0), "Hut");
    assert_eq!(fitted("Hut", 12.0, false, 3.0), "");
}

#[test]
fn names_are_made_harmless() {
    assert_eq!(clean("a\u{202e}b\n c\u{0}"), "ab c");
    assert_eq!(clean("e\u{301}\u{302}\u{303}\u{304}x"), "e\u{301}\u{302}x");
    assert_eq!(escaped("<a b='\"'>&"), "&lt;a b=&#39;&quot;&#39;&gt;&amp;");
}
