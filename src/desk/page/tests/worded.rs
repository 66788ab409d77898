use super::worded;

#[test]
fn keys_and_files_become_labels_and_places() {
    // what is said in the file's words, what the page says, where it leads
    for (text, said, part, seek) in [
        (
            "add a `[[drive]]` between `Mill` and `Ford`",
            "add a “Drives” between Mill and Ford",
            "crew",
            "[data-push=\"crew\"][data-path='[\"drive\"]']",
        ),
        (
            "list `flasks_ml` under `[carry]` of the runner",
            "list “Flasks” under “What you carry” of the runner",
            "me",
            "[id^=\"f-runner-carry-flasks\"]",
        ),
        (
            "write `caffeine_agreed = true` under `[fueling]` of the plan",
            "write “A physician agreed to it”: yes under “For this race” of the plan",
            "me",
            "[id^=\"f-plan-fueling-caffeine-agreed\"]",
        ),
        (
            "sleep where a bag lies: `[stops.at]` in plan.toml",
            "sleep where a bag lies: “Stop” in “Race and target”",
            "times",
            "",
        ),
        (
            "swap `from` and `to` of the pacer",
            "swap “Joins at” and “Stops at” of the pacer",
            "crew",
            "[id^=\"f-crew-pacer-\"][id*=\"-from\"]",
        ),
        (
            "write its time into stations.csv in place of the `?`",
            "write its time into “Stations” in place of the ?",
            "stations",
            "[data-insert=\"stations\"]",
        ),
        (
            "set `when` to `always`",
            "set “When” to always",
            "food",
            "[data-sheet=\"gear\"] [data-column=\"when\"], [data-insert=\"gear\"]",
        ),
    ] {
        let (words, place) = worded(text);
        let place = place.expect("a field of the page");
        assert_eq!(
            (words.as_str(), place.part, place.seek.as_str()),
            (said, part, seek)
        );
    }
    let (words, place) = worded("1.5 h from `Upper Hut (old)` on; see U.S. notes");
    assert_eq!(words, "1.5 h from Upper Hut (old) on; see U.S. notes");
    assert!(place.is_none());
}
