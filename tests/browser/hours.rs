//! What changes with the hour of the day.

use super::*;

/// The phone's clock, UTC, and what is told without another sighting. Kaltwandalm back closes at
/// Sun 02:30, the first time that the clocks show it, and Innerfalz at Sat 20:30 on leaving
/// (courses/wolkenried-100mi/stations.csv); summer time ends at 01:00 UTC (EU directive 2000/84).
#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_clock_closes_cutoffs() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let late = json!({ "12": { "left": "Sat 23:44" } });
    let fair = json!({ "12": { "left": "Sat 22:05" } });
    let in_10 = json!({ "10": { "came": "Sat 20:20" } });
    let late_10 = json!({ "10": { "came": "Sat 20:33" } });
    let late_14 = json!({ "14": { "came": "Sun 02:31¹" } });
    let closed = "14 Kaltwandalm back is closed (Sun 02:30¹\u{a0}CEST): call race control";
    for (now, entries, field, said) in [
        ("24, 8, 0", &json!({}), "alarm", ""),
        ("24, 8, 0", &json!({}), "top-overdue", ""),
        (
            "24, 11, 1",
            &json!({}),
            "alarm",
            "5 Sankt Olbert out is closed",
        ),
        ("25, 0, 29", &late, "saves", "HARDLY IN REACH"),
        ("25, 0, 31", &late, "alarm", closed),
        (
            "25, 0, 31",
            &late,
            "top-after",
            "Only if the runner is through: 15",
        ),
        ("25, 2, 40", &late, "alarm", closed),
        (
            "25, 5, 30",
            &late,
            "says-holds",
            "Not known: 14 Kaltwandalm back",
        ),
        ("25, 5, 30", &late, "says-finish", ""),
        ("25, 0, 31", &fair, "alarm", ""),
        (
            "25, 0, 31",
            &fair,
            "top-overdue",
            "14 Kaltwandalm back closed at",
        ),
        ("24, 18, 29", &in_10, "alarm", "OUT OF HERE BY Sat 20:30"),
        (
            "24, 18, 31",
            &in_10,
            "alarm",
            "10 Innerfalz is closed (Sat 20:30), and the runner was not seen leaving",
        ),
        (
            "24, 18, 34",
            &late_10,
            "alarm",
            "CUTOFF MISSED by 3 min (Sat 20:30): ask the officials, stay with the runner",
        ),
        // no crew may come there
        (
            "25, 0, 32",
            &late_14,
            "alarm",
            "CUTOFF MISSED by 1 min (Sun 02:30¹\u{a0}CEST): no crew there: call race control",
        ),
    ] {
        browser.value(&format!(
            "Date.now = () => Date.UTC(2026, 9, {now}); entries = {entries}; draw()"
        ));
        let told = read(&mut browser, field);
        let is_said = if said.is_empty() {
            told.is_empty()
        } else {
            told.starts_with(said)
        };
        assert!(is_said, "{now} {entries} {field}: {told}");
        let message = browser.value("message()");
        let is_told = message.as_str().unwrap().contains("we ask race control");
        let is_closed = read(&mut browser, "alarm").contains("is closed");
        assert_eq!(is_told, is_closed, "{now} {entries}: {message}");
    }
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_time_that_cannot_be_yet_is_asked_about() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    // the phone shows Sat 16:40; at the finish, station 20, Sun 10:00 is planned
    for (now, field, typed_in, asked) in [
        (
            "24, 14, 40",
            "came-8",
            "1840",
            "2:00 h ahead of this phone's clock",
        ),
        (
            "24, 19, 30",
            "came-20",
            "Sat 21:00",
            "14:00 h before the plan",
        ),
    ] {
        browser.value(&format!(
            "Date.now = () => Date.UTC(2026, 9, {now}); entries = {{}}; draw()"
        ));
        typed(&mut browser, field, typed_in);
        let note = shown(&mut browser, "pad-note");
        assert!(note.contains(asked), "{note}");
        assert_eq!(browser.value("entries"), json!({}));
        browser.value("document.querySelector('#pad-twice button').click()");
        assert_eq!(browser.value("Object.keys(entries).length"), 1);
    }
    browser.value("Date.now = () => Date.UTC(2026, 9, 24, 14, 40); entries = {}; draw()");
    typed(&mut browser, "came-8", "1638");
    assert_eq!(browser.value("entries[8].came"), "Sat 16:38");
    nothing_went_wrong(&browser);
}

/// A crew sleeps while the runner is hours away, and nobody is told to sleep at the wheel.
#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn time_to_sleep_is_that_of_the_day() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let planned = Planned::shipped(PLANS[0]);
    let facts = sutler::facts::Facts::of(&planned.view(sutler::units::Units::Metric));
    let mut crew = facts.planned().unwrap().crew.iter();
    let wanted = crew.find_map(|met| met.sleep.as_ref()).unwrap().words();
    let (_folder, path) = written(&planned);
    browser.open(&path);
    let sleep = "document.querySelector('[data-f=sleep]').textContent";
    let told = browser.value(sleep);
    assert_eq!(told.as_str().unwrap().replace("\u{a0}CET", ""), wanted);
    browser.value("entries = { 12: { left: 'Sat 22:05' } }; draw()");
    assert_eq!(
        browser.value(sleep),
        "",
        "driven for until the runner is early"
    );
    nothing_went_wrong(&browser);
}

/// The demo's 10, Innerfalz, closes at 20:30 on leaving, with a stop of 20 minutes; its 12,
/// Moosgatter back, at 23:45 on arriving (courses/night-hundred/stations.csv).
#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn pacers_are_ready_for_the_early_runner_and_clothes_have_no_clock() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let planned = Planned::shipped(PLANS[0]);
    let (_folder, path) = written(&planned);
    browser.open(&path);
    let facts = planned.facts(sutler::units::Units::Metric);
    let plan = facts.planned().unwrap();
    let line = |browser: &mut Browser, k: usize, has: &str| {
        let lines = format!("document.querySelectorAll('[data-station=\"{k}\"] ul.things > li')");
        let line =
            format!("[...{lines}].find((li) => li.textContent.includes({has:?}))?.textContent");
        browser.value(&line).as_str().map(str::to_owned)
    };
    let (mut pacers, mut dressed) = (0, 0);
    for late_min in [0, 40] {
        for met in plan.crew.iter().filter(|met| !met.is_finish) {
            let k = facts.station_at(&met.number).unwrap();
            let before = &plan.splits[k - 1];
            let at = before.arrival.elapsed.to_minute().as_secs() + 60 * late_min;
            let entry = match late_min {
                0 => String::new(),
                _ => format!(
                    "{}: {{ came: '+{}:{:02}' }}",
                    k - 1,
                    at / 3600,
                    at / 60 % 60
                ),
            };
            browser.value(&format!("entries = {{ {entry} }}; draw()"));
            let day = browser.value("(d => ({ early: d.rest.windows, there: d.crew }))(today())");
            for stint in &met.stints {
                let told = line(&mut browser, k, &stint.name).unwrap();
                let (early, there) = (&day["early"][k][0], &day["there"][k]["there"]);
                let ready = [early, there].map(|at| at.as_f64().unwrap());
                // the car that brings them is there for the early runner or later
                let ready = match stint.brought_by.is_empty() {
                    true => ready[0],
                    false => ready[0].max(ready[1]),
                };
                let clock = browser.value(&format!("named(show({ready}))"));
                let wanted = format!("be ready by {}, off about ", clock.as_str().unwrap());
                assert!(told.contains(&wanted), "{late_min}: {wanted}: {told}");
                pacers += 1;
            }
            let pickup = plan.pickup_at(&met.number).unwrap();
            for alert in pickup.alerts.iter().filter(|alert| alert.is_cold()) {
                // the plan's clock would be wrong on a late day
                let told = line(&mut browser, k, alert.told()).unwrap();
                assert!(told.starts_with("Dress"), "{told}");
                assert!(
                    !told.contains(':') || told.matches(':').count() == 1,
                    "{told}"
                );
                for clock in plan.splits.iter().map(|split| &split.arrival.clock) {
                    assert!(!told.contains(clock.as_str()), "{told}");
                }
                dressed += 1;
            }
        }
    }
    assert!(pacers >= 4 && dressed >= 4, "{pacers}, {dressed}");
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_cutoff_is_made_when_it_is_made() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let margin = "document.querySelector('[data-station=\"10\"] [data-f=margin]').textContent";
    for (came, left, alarm, said) in [
        (
            "1955",
            "",
            "Cutoff at risk",
            "leave by Sat 20:30; 0:15 left after the planned stop",
        ),
        (
            "2028",
            "",
            "OUT OF HERE BY Sat 20:30",
            "out of here by Sat 20:30",
        ),
        ("2028", "2029", "Cutoff lost", "made, 0:01 in hand"),
        ("2028", "2031", "CUTOFF MISSED by 1 min", "missed by 0:01"),
        ("2033", "", "CUTOFF MISSED by 3 min", "missed by 0:03"),
    ] {
        browser.value("entries = {}");
        typed(&mut browser, "came-10", came);
        if !left.is_empty() {
            typed(&mut browser, "left-10", left);
        }
        let top = read(&mut browser, "alarm");
        assert!(top.starts_with(alarm), "{came} {left}: {top}");
        let hand = browser.value(margin);
        let hand = hand.as_str().unwrap();
        assert!(hand.starts_with(said), "{came} {left}: {hand}");
    }
    // who is out is not driven for, unless they are let go on
    browser.value("entries = {}");
    typed(&mut browser, "came-12", "2350");
    assert!(read(&mut browser, "alarm").starts_with("CUTOFF MISSED by 5 min"));
    assert!(read(&mut browser, "top-after").starts_with("Only if the officials let"));
    assert_eq!(
        read(&mut browser, "drive"),
        "",
        "no card says when to drive off"
    );
    let message = browser.value("message()");
    let message = message.as_str().unwrap();
    assert!(message.contains("missed by 0:05") && !message.contains("We drive"));
    assert!(
        browser
            .value("by('alarm-call').innerText")
            .as_str()
            .unwrap()
            .contains("0190")
    );
    // a day that cannot be meant is asked about, as the command refuses it
    browser.value("entries = {}");
    typed(&mut browser, "came-8", "Sun 16:28");
    let note = shown(&mut browser, "pad-note");
    assert!(
        note.contains("Is Sat 16:28 meant?") && note.contains("+35:28"),
        "{note}"
    );
    assert_eq!(browser.value("entries"), json!({}));
    browser.value("document.querySelector('#pad-twice button').click()");
    assert_eq!(browser.value("entries[8].came"), "Sat 16:28");
    browser.value("enter(8, false, 'Sun 16:28')");
    assert!(shown(&mut browser, "came-8-note").contains("Is Sat 16:28 meant?"));
    let refused = Day::of(PLANS[0]);
    assert!(std::panic::catch_unwind(|| refused.replan(&["8=Sun 16:28".to_owned()], &[])).is_err());
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn time_in_hand_belongs_to_the_time_beside_it() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let hands = browser.value(
        "stations.filter(s => s.cutoff_s && s.index).map(s => {\
         const card = document.querySelector(`[data-station=\"${s.index}\"]`);\
         const wanted = s.cutoff_s - s.likely_s - (s.cutoff_leaves ? s.stop_s : 0);\
         return [since(Math.abs(wanted)), card.querySelector('[data-f=margin]').textContent, s.index] })",
    );
    let hands = hands.as_array().unwrap();
    assert!(hands.len() > 5);
    for one in hands {
        let (wanted, said) = (one[0].as_str().unwrap(), one[1].as_str().unwrap());
        assert!(said.contains(wanted) && said.contains(" on plan"), "{one}");
    }
    // the bar names whose time it is, and its day; it stays when the plan fails
    typed(&mut browser, "came-5", "1109");
    let out = read(&mut browser, "top-out");
    assert!(
        out.starts_with("Leave 5 Sankt Olbert out by Sat 1"),
        "{out}"
    );
    assert_eq!(read(&mut browser, "top-off-day"), " Sat");
    typed(&mut browser, "came-5", "1209");
    let out = read(&mut browser, "top-out");
    assert!(
        out.starts_with("Leave 5 Sankt Olbert out when fed and filled"),
        "{out}"
    );
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_hour_that_comes_twice_is_told_apart() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    // the clocks go back at 03:00 on Sunday, 20 h after the start at 06:00 (EU directive 2000/84)
    let times = |text: &str| format!("read({}, 74400).times", json!(text));
    for (text, wanted) in [
        ("02:31¹", json!([73_860])),
        ("Sun 02:31²", json!([77_460])),
        ("0231", json!([73_860, 77_460])),
        ("+20:31", json!([73_860])),
        ("23:59", json!([64_740])),
        ("sun 0:01", json!([64_860])),
    ] {
        assert_eq!(browser.value(&times(text)), wanted, "{text}");
    }
    assert_eq!(browser.value("show(73860)"), "Sun 02:31¹");
    assert_eq!(browser.value("show(77460)"), "Sun 02:31²");
    for wrong in ["half past two", "25:10", "14:61", "03:31²"] {
        let error = browser.value(&format!("read({}, 74400).error", json!(wrong)));
        assert!(error.is_string(), "{wrong}");
    }
}
