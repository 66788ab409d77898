//! The crew's page in a browser, where the environment names one, as `.ci/run` does; where it
//! names none, each test says so and passes untested.

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use crate::exports::crew_page::{self, Day};
use crate::support::browser::Browser;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned};

/// A page in a file of its own.
fn written(planned: &Planned) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("crew.html");
    std::fs::write(&path, crew_page::written(planned)).unwrap();
    (folder, path)
}

/// Types into a field as a person does, and leaves it.
fn typed(browser: &mut Browser, field: &str, text: &str) {
    let (field, text) = (json!(field), json!(text));
    browser.value(&format!(
        "{{const i = document.getElementById({field}); i.value = {text}; \
         i.dispatchEvent(new Event('change'))}}"
    ));
}

fn shown(browser: &mut Browser, id: &str) -> String {
    let text = browser.value(&format!(
        "document.getElementById({}).textContent",
        json!(id)
    ));
    text.as_str().unwrap().to_owned()
}

#[track_caller]
fn nothing_went_wrong(browser: &Browser) {
    assert!(browser.errors.is_empty(), "{:?}", browser.errors);
    let foreign = browser
        .requests
        .iter()
        .filter(|url| !url.starts_with("file:"));
    assert_eq!(foreign.count(), 0, "{:?}", browser.requests);
}

/// The page has the crew drive off to a meeting, and be there, when the command has.
fn on_the_road(page: &Value, met: &sutler::crew::Meeting, most_off_s: f64) {
    let told = &page[met.station];
    let times = [("there", Some(met.be_there)), ("off", met.leave_by)];
    for (name, command) in times {
        let Some(command) = command else { continue };
        let told_s = told[name].as_f64();
        let told_s = told_s.unwrap_or_else(|| panic!("{} {name}: {page}", met.station));
        let off_s = (told_s - command.as_s()).abs();
        assert!(off_s <= most_off_s, "{} {name}: {off_s} s", met.station);
    }
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_page_holds_the_finish_as_the_command_does() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    for (seed, plan) in PLANS[..3].iter().enumerate() {
        let (_folder, path) = written(&Planned::shipped(plan));
        browser.open(&path);
        let day = Day::of(plan);
        let crew = browser.value("planned().effort.crew");
        for met in &day.plan.crew.meetings {
            on_the_road(&crew, met, 1.0);
        }
        let mut random = ChaCha8Rng::seed_from_u64(100 + seed as u64);
        for _ in 0..25 {
            let (seen, left) = day.observations(&mut random);
            let replan = day.replan(&seen, &left);
            let mut entries = serde_json::Map::new();
            for (kind, list) in [("seen", &seen), ("left", &left)] {
                for text in list {
                    let (name, time) = text.rsplit_once('=').unwrap();
                    let stations = &day.prepared.race.course.stations;
                    let at = stations.iter().position(|s| s.name == name).unwrap();
                    let entry = entries.entry(at.to_string()).or_insert_with(|| json!({}));
                    entry[kind] = json!(time);
                }
            }
            let entries = Value::Object(entries);
            let page = browser.value(&format!("project(place({entries}).events)"));
            // as it goes the page carries the effort on, and the command weighs every passage
            for (way, rest) in [("finish", replan.at_finish.as_ref())] {
                let Some(rest) = rest else {
                    assert!(page[way].is_null(), "{seen:?}");
                    continue;
                };
                for split in &rest.plan.schedule.splits[replan.here + 1..] {
                    let k = split.station;
                    let close = |told: &Value, command: sutler::time::Elapsed| {
                        let off_s = (told.as_f64().unwrap() - command.as_s()).abs();
                        assert!(off_s < 60.0, "{way} {k}: {off_s} s; {seen:?} {left:?}");
                    };
                    close(&page[way]["arrivals"][k], split.arrival);
                    if let Some(latest) = split.latest_departure {
                        close(&page[way]["latest"][k], latest);
                    }
                }
            }
        }
    }
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_is_entered_moves_the_times_survives_and_can_be_cleared() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let planned = shown(&mut browser, "finish");
    typed(&mut browser, "seen-5", "12:25");
    let late = shown(&mut browser, "finish");
    assert_ne!(planned, late);
    assert!(shown(&mut browser, "says").contains("Last seen"));
    browser.open(&path);
    assert_eq!(shown(&mut browser, "finish"), late, "after a reload");
    let text = browser.value("copied()");
    assert_eq!(text, "sutler replan --seen='Sankt Olbert out=Sat 12:25'");
    // before what was seen earlier on the course
    typed(&mut browser, "seen-6", "Sat 10:00");
    assert!(shown(&mut browser, "seen-6-note").contains("before"));
    browser.value("document.getElementById('clear').click()");
    browser.value("document.getElementById('clear-yes').click()");
    assert_eq!(shown(&mut browser, "finish"), planned);
    browser.open(&path);
    assert_eq!(shown(&mut browser, "finish"), planned, "cleared for good");
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

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn strangers_names_are_shown_and_fit() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    for planned in [hostile::race(30, true), Planned::shipped(PLANS[0])] {
        let (_folder, path) = written(&planned);
        // 180 pixels are a phone of 360 zoomed to 200 %
        for (width, height) in [(360, 740), (180, 370)] {
            browser.size(width, height);
            browser.open(&path);
            let wide = browser.value("document.documentElement.scrollWidth");
            assert!(
                wide.as_u64().unwrap() <= u64::from(width),
                "{wide} of {width}"
            );
        }
        browser.size(360, 740);
        let small = browser.value(
            "[...document.querySelectorAll('button,input,textarea')].filter(e => e.offsetParent)\
             .map(e => e.getBoundingClientRect()).filter(r => r.height < 44 || r.width < 44).length",
        );
        assert_eq!(small, 0);
        assert_eq!(
            browser.value("document.querySelectorAll('img,iframe,main script').length"),
            0
        );
        typed(&mut browser, "seen-3", "+12:00");
        assert!(!shown(&mut browser, "says").is_empty());
    }
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn windows_have_days_as_on_paper() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let (_folder, path) = written(&planned);
        let page = std::fs::read_to_string(&path).unwrap();
        let without_script: Vec<&str> = page
            .split("data-f=\"window\">")
            .skip(1)
            .map(|rest| rest.split('<').next().unwrap())
            .collect();
        browser.open(&path);
        let shown = browser
            .value("[...document.querySelectorAll('[data-f=window]')].map(e => e.textContent)");
        assert_eq!(shown, json!(without_script), "{plan}");
    }
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_time_far_from_the_plan_is_asked_about() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    // planned for Sat 11:01
    typed(&mut browser, "seen-5", "18:40");
    let note = shown(&mut browser, "seen-5-note");
    assert!(
        note.starts_with("Taken as Sat 18:40, 7:39 after the plan."),
        "{note}"
    );
    assert!(
        shown(&mut browser, "says").contains("Last seen"),
        "no error"
    );
    for fine in ["Sat 18:40", "+12:40", "16:50"] {
        typed(&mut browser, "seen-5", fine);
        assert_eq!(shown(&mut browser, "seen-5-note"), "", "{fine}");
    }
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_is_copied_means_the_same_station() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let day = Day::with(hostile::one_name_for_all());
    let finish = day.plan.finish;
    let (_folder, path) = written(&Planned::of(hostile::one_name_for_all(), &[finish]));
    browser.open(&path);
    // at the third visit an hour late, which is nearer to the plan of the fourth
    typed(&mut browser, "seen-3", "+3:10");
    typed(&mut browser, "left-3", "+3:12");
    let text = browser.value("copied()");
    assert_eq!(
        text,
        "sutler replan --seen='3=Sat 10:10' --left='3=Sat 10:12'"
    );
    let replan = day.replan(&["3=Sat 10:10".to_owned()], &["3=Sat 10:12".to_owned()]);
    assert_eq!(replan.here, 3);
    let by_name = day.replan(&["Hut=Sat 10:10".to_owned()], &[]);
    assert_ne!(by_name.here, 3, "the name alone would mean another");
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_browser_that_keeps_nothing_is_told_of() {
    for script in [
        "Object.defineProperty(window, 'localStorage', \
         { get() { throw new DOMException('blocked', 'SecurityError'); } })",
        "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }",
    ] {
        let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
        let (_folder, path) = written(&Planned::shipped(PLANS[0]));
        browser.before_pages(script);
        browser.open(&path);
        let planned = shown(&mut browser, "finish");
        typed(&mut browser, "seen-5", "12:25");
        assert_ne!(
            shown(&mut browser, "finish"),
            planned,
            "it projects all the same"
        );
        let told = browser.value("document.getElementById('unstored').checkVisibility()");
        assert_eq!(told, true, "{script}");
        nothing_went_wrong(&browser);
    }
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    typed(&mut browser, "seen-5", "12:25");
    let told = browser.value("document.getElementById('unstored').checkVisibility()");
    assert_eq!(told, false, "where it keeps them");
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_keyboard_reaches_everything() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let name = "(e => e.id || e.dataset.now || e.className)";
    let wanted = browser.value(&format!(
        "[...document.querySelectorAll('a,input,button')].filter(e => e.checkVisibility()).map({name})"
    ));
    let wanted = wanted.as_array().unwrap();
    assert!(wanted.len() > 60, "{wanted:?}");
    let mut reached = Vec::new();
    for _ in wanted {
        browser.press("Tab", 9, None);
        reached.push(browser.value(&format!("{name}(document.activeElement)")));
        let outline = browser.value("getComputedStyle(document.activeElement).outlineStyle");
        assert_eq!(outline, "solid", "{:?} shows no focus", reached.last());
    }
    // in the order in which they are read
    assert_eq!(&reached, wanted);
    let planned = shown(&mut browser, "finish");
    browser.value("document.getElementById('seen-5').focus()");
    browser.type_text("12:25");
    browser.press("Enter", 13, Some("\r"));
    let late = shown(&mut browser, "finish");
    assert_ne!(late, planned, "Enter enters");
    browser.value("document.getElementById('copy').focus()");
    browser.press("Enter", 13, Some("\r"));
    let copied = browser.value("document.getElementById('copied').value");
    assert_eq!(copied, "sutler replan --seen='Sankt Olbert out=Sat 12:25'");
    browser.value("document.getElementById('clear').focus()");
    browser.press("Enter", 13, Some("\r"));
    let focus = browser.value("document.activeElement.id");
    assert_eq!(focus, "clear-no", "the harmless answer comes first");
    browser.press("Tab", 9, None);
    browser.press("Enter", 13, Some("\r"));
    assert_eq!(shown(&mut browser, "finish"), planned, "all is cleared");
    assert_eq!(browser.value("document.activeElement.id"), "clear");
    nothing_went_wrong(&browser);
}
