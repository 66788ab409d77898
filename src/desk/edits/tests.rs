//! Texts before and after one change.

use super::settings::{KeyStep, keys, pull, push, set, unset};
use super::table::{CsvTable, found, insert, remove};

#[track_caller]
fn settings(before: &str, path: &[&str], written: Option<&str>, after: &str) {
    let path = keys(path);
    let changed = match written {
        Some(written) => set(before, &path, written),
        None => unset(before, &path),
    };
    assert_eq!(changed.as_deref(), Some(after));
}

#[test]
fn a_value_is_replaced_where_it_stands() {
    let file = "# head\nfinish = \"29:00:00\"   # ours\r\n\n[stops]\naid_min = 6 # each\n";
    settings(
        file,
        &["finish"],
        Some("\"28:00:00\""),
        &file.replace("29:", "28:"),
    );
    settings(
        file,
        &["stops", "aid_min"],
        Some("7"),
        &file.replace("= 6", "= 7"),
    );
    settings(
        file,
        &["stops", "aid_min"],
        None,
        &file.replace("aid_min", "# aid_min"),
    );
    let list = "kit = [\n    \"a\",   # one\n    \"b\",\n]\nrest = 1\n";
    settings(list, &["kit"], Some("[]"), "kit = []\nrest = 1\n");
    let gone = "# kit = [\n#     \"a\",   # one\n#     \"b\",\n# ]\nrest = 1\n";
    settings(list, &["kit"], None, gone);
}

#[test]
fn a_key_that_is_a_comment_is_used_again() {
    let file = "# name = \"x\"\na = 1\n\n[carry]\nfood_g = 600\n# mass_kg = 70     # or mass_lb\n\n# [pacing]\n# fade = 1.0   # how\n# [[sweat]]\n# x = 1\n";
    let mass = file.replace("# mass_kg = 70     # or", "mass_kg = 64   # or");
    settings(file, &["carry", "mass_kg"], Some("64"), &mass);
    let fade = file.replace("# [pacing]\n# fade = 1.0   #", "[pacing]\nfade = 2   #");
    settings(file, &["pacing", "fade"], Some("2"), &fade);
    // not the commented-out key of a section that is one itself
    let own = file.replace("food_g = 600\n", "food_g = 600\nfade = 2\n");
    settings(file, &["carry", "fade"], Some("2"), &own);
}

#[test]
fn a_key_finds_its_section_or_a_new_one() {
    settings("", &["a"], Some("1"), "a = 1\n");
    settings(
        "# head\n\n[s]\nb = 1\n",
        &["a"],
        Some("1"),
        "# head\na = 1\n\n[s]\nb = 1\n",
    );
    settings(
        "[s]\nb = 1\n\n[t]\n",
        &["s", "c"],
        Some("2"),
        "[s]\nb = 1\nc = 2\n\n[t]\n",
    );
    settings(
        "a = 1",
        &["s", "at", "Hut 1"],
        Some("2"),
        "a = 1\n\n[s.at]\n\"Hut 1\" = 2\n",
    );
    let inline = "s = { b = 1 }\n";
    settings(inline, &["s", "b"], Some("2"), "s = { b = 2 }\n");
    let changed = set(inline, &keys(&["s", "c"]), "3").unwrap_or_default();
    assert!(
        changed.contains("c = 3") && changed.contains("b = 1"),
        "{changed}"
    );
}

#[test]
fn tables_of_a_list_come_and_go() {
    let file = "crew = []\n\n# of drives\n[[drive]]\nfrom = \"A\"\n\n# the second\n[[drive]]\nfrom = \"B\"\n\n[bring]\n";
    let from = [keys(&["drive"]), vec![KeyStep::At(2)], keys(&["from"])].concat();
    let more = push(file, &["drive"]).and_then(|more| set(&more, &from, "\"C\""));
    let more = more.unwrap_or_default();
    let third = "from = \"B\"\n\n[[drive]]\nfrom = \"C\"\n\n[bring]\n";
    assert_eq!(more, file.replace("from = \"B\"\n\n[bring]\n", third));
    assert_eq!(pull(&more, &["drive"], 2).as_deref(), Some(file));
    let less = pull(file, &["drive"], 0).unwrap_or_default();
    assert_eq!(less, file.replace("[[drive]]\nfrom = \"A\"\n\n", ""));
    let one = "[past]\ntime = \"1:00:00\"\n";
    let time = [keys(&["past"]), vec![KeyStep::At(1)], keys(&["time"])].concat();
    let two = push(one, &["past"]).and_then(|two| set(&two, &time, "\"2:00:00\""));
    let both = "[[past]]\ntime = \"1:00:00\"\n\n[[past]]\ntime = \"2:00:00\"\n";
    assert_eq!(two.as_deref(), Some(both));
    let path = [
        KeyStep::Key("past".to_owned()),
        KeyStep::At(0),
        KeyStep::Key("time".to_owned()),
    ];
    assert_eq!(set(one, &path, "1").as_deref(), Some("[past]\ntime = 1\n"));
}

#[test]
fn cells_and_rows_change_alone() {
    let file = "# head\nname;distance_km;offers\n\nHut;3.5;\"water; broth\"\r\n# note\nTarn ;9\n";
    let sheet = CsvTable::of(file);
    assert_eq!(sheet.columns, ["name", "distance_km", "offers"]);
    assert_eq!(sheet.rows[0].cells[2], "water; broth");
    let set = super::table::set;
    assert_eq!(set(file, 0, "distance_km", "4"), file.replace("3.5", "4"));
    assert_eq!(
        set(file, 1, "offers", "a; b"),
        file.replace("Tarn ;9", "Tarn ;9;\"a; b\"")
    );
    assert_eq!(set(file, 0, "crew", ""), file);
    let crew = set(file, 0, "crew", "yes");
    assert_eq!(
        crew,
        "# head\nname;distance_km;offers;crew\n\nHut;3.5;\"water; broth\";yes\r\n# note\nTarn ;9;;\n"
    );
    let row = [("name", "Pass"), ("distance_km", "6")];
    assert_eq!(
        insert(file, 1, &row),
        file.replace("Tarn", "Pass;6;\r\nTarn")
    );
    assert_eq!(insert(file, 9, &row), format!("{file}Pass;6;\r\n"));
    assert_eq!(
        remove(file, 0),
        file.replace("Hut;3.5;\"water; broth\"\r\n", "")
    );
    assert_eq!(found(file, 0, "Tarn ;9"), Some(1));
    assert_eq!(found(file, 0, "Tarn;9"), None);
}
