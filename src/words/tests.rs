use super::*;

#[test]
fn names_differ_by_more_than_case_and_outer_spaces() {
    assert!(same_name(" Col de l'Étape", "col de l'étape "));
    assert!(!same_name("Col de l'Etape", "Col de l'Étape"));
    assert!(!same_name("high pass", "highpass"));
}

/// The second is written with combining marks, as some keyboards do (Unicode, UAX 15).
#[test]
fn a_plain_name_has_no_accents() {
    for name in [
        "Lärchriegel Süd",
        "La\u{308}rchriegel Su\u{308}d",
        "LARCHRIEGEL sud ",
    ] {
        assert_eq!(plain(name), "larchriegel sud");
    }
    assert_eq!(plain("Großer Ødegård"), "grosser odegard");
}

#[test]
fn counts_take_the_form_of_their_number() {
    let counted = [0, 1, 2].map(|number| count(number, "file"));
    assert_eq!(counted, ["no files", "1 file", "2 files"]);
    let forms = [0, 1, 2].map(|number| plural(number, "week has", "weeks have"));
    assert_eq!(forms, ["weeks have", "week has", "weeks have"]);
}

#[test]
fn lists_have_commas_and_a_word_before_the_last() {
    assert_eq!(listed(["km", "mi"]), "`km`, `mi`");
    assert_eq!(listed_with(&["km", "mi", "m"], "or"), "`km`, `mi` or `m`");
    assert_eq!(listed_with(&["km"], "or"), "`km`");
    assert_eq!(listed_with::<&str>(&[], "or"), "");
}

#[test]
fn a_trimmed_range_stays_in_the_text() {
    assert_eq!(trimmed("a,  é ,b", 2..7), 4..6);
    assert_eq!(trimmed("a,   ,b", 2..5), 5..5);
}
