use super::between;

#[test]
fn only_what_differs_is_shown() {
    let old = "a\nfade = 1.0\nb\n";
    assert_eq!(between(old, old), "");
    assert_eq!(
        between(old, "a\n# why\nfade = 0.9\nb\nc\n"),
        "- fade = 1.0\n+ # why\n+ fade = 0.9\n+ c\n"
    );
    assert_eq!(between("", "x\n"), "+ x\n");
    assert_eq!(between("x\n", ""), "- x\n");
}

/// Two changes far apart in a long file are two lines each, not the whole of it.
#[test]
fn what_stays_between_two_changes_is_not_shown() {
    let lines = |first: &str, last: &str| {
        let between: String = (0..20_000).map(|n| format!("# {n}\n")).collect();
        format!("{first}\n{between}{last}\n")
    };
    let shown = between(&lines("a", "b"), &lines("c", "d"));
    assert_eq!(shown, "- a\n+ c\n- b\n+ d\n");
    // nothing in common: every line of either
    let other = |mark: &str| -> String { (0..2_000).map(|n| format!("{mark}{n}\n")).collect() };
    assert_eq!(between(&other("x"), &other("y")).lines().count(), 4_000);
}
