//! The words of kinds.

use std::collections::BTreeSet;

use super::*;

#[test]
fn every_kind_has_a_word_of_its_own() {
    let findings = FindingKind::NAMES.iter().map(|kind| kind.0);
    let cautions = CautionKind::NAMES.iter().map(|kind| kind.0);
    for (words, count) in [
        (
            findings.collect::<BTreeSet<&str>>(),
            FindingKind::NAMES.len(),
        ),
        (
            cautions.collect::<BTreeSet<&str>>(),
            CautionKind::NAMES.len(),
        ),
    ] {
        assert_eq!(words.len(), count);
        let plain = |word: &&&str| word.bytes().all(|b| b == b'-' || b.is_ascii_alphanumeric());
        assert_eq!(words.iter().filter(plain).count(), count, "{words:?}");
    }
}
