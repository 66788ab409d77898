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
}
