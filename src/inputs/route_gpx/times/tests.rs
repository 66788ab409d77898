use super::moment_s;

/// The examples of XML Schema part 2 (section 3.2.7, `dateTime`) and forms seen in files; the
/// seconds by `date -u -d ... +%s`.
#[test]
fn moments_are_seconds_since_1970() {
    for (text, expected) in [
        ("2002-10-10T12:00:00-05:00", 1_034_269_200.0),
        ("2002-10-10T17:00:00Z", 1_034_269_200.0),
        ("2002-10-10T17:00:00", 1_034_269_200.0),
        ("2002-10-10 17:00:00", 1_034_269_200.0),
        ("2002-10-10T17:00:00.25Z", 1_034_269_200.25),
        ("2002-10-10T17:00:00.250000000Z", 1_034_269_200.25),
        ("2024-02-29T23:59:59Z", 1_709_251_199.0),
        ("1969-12-31T23:59:59Z", -1.0),
    ] {
        assert_eq!(moment_s(text), Some(expected), "{text}");
    }
}

#[test]
fn what_is_no_moment_is_none() {
    for text in [
        "",
        "Z",
        "yesterday",
        "0000-00-00T00:00:00Z",
        "2023-02-29T10:00:00Z",
        "2023-02-28T24:30:00Z",
        "2023-02-28T10:00:00.Z",
        "2023-02-28T10:00Z",
        "2023-02-28",
        "1700000000",
        "２０２３-02-28T10:00:00Z",
    ] {
        assert_eq!(moment_s(text), None, "{text}");
    }
}
