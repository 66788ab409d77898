//! The crew's page in a browser, where the environment names one, as `.ci/run` does; where it
//! names none, each test says so and passes untested.

mod hours;
mod told;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use sutler::replan::{HARDLY_CHANCE, HARDLY_FASTER, Replan};
use sutler::time::Elapsed;

use crate::exports::crew_page::{self, Day, Sighting};
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

fn click(browser: &mut Browser, id: &str) {
    browser.value(&format!("document.getElementById({}).click()", json!(id)));
}

/// Enters a time as a person does: a button, a time, and done.
fn typed(browser: &mut Browser, field: &str, text: &str) {
    click(browser, field);
    browser.value(&format!(
        "{{document.getElementById('pad-time').value = {}; \
         document.getElementById('pad-form').requestSubmit()}}",
        json!(text)
    ));
}

/// What a person reads: text that is not hidden.
fn read(browser: &mut Browser, field: &str) -> String {
    let text = browser.value(&format!(
        "[...document.querySelectorAll('[data-f=' + {} + ']')].filter(e => e.checkVisibility())\
         .map(e => e.textContent).join('|')",
        json!(field)
    ));
    text.as_str().unwrap().to_owned()
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

/// What the page says after some sightings, and of the crew.
fn told(browser: &mut Browser, sightings: &[Sighting]) -> Value {
    let events: Vec<Value> = (sightings.iter())
        .map(|(station, left, at)| json!({ "station": station, "left": left, "at": at }))
        .collect();
    let events = Value::Array(events);
    browser.value(&format!(
        "{{const e = {events}, r = project(e); ({{...r, crew: crewTimes(e, r)}})}}"
    ))
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_is_entered_moves_the_times_survives_and_can_be_taken_back() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let planned = read(&mut browser, "top-there");
    assert!(shown(&mut browser, "verdict").contains("Doubtful"));
    typed(&mut browser, "came-5", "1225");
    let late = read(&mut browser, "top-there");
    assert_ne!(planned, late);
    let verdict = browser.value("document.getElementById('verdict').checkVisibility()");
    assert_eq!(verdict, false, "the plan's verdict is not that of the day");
    assert!(read(&mut browser, "says-seen").contains("Sankt Olbert out, came in Sat 12:25"));
    browser.open(&path);
    assert_eq!(read(&mut browser, "top-there"), late, "after a reload");
    // another time is told, and taken back even after a reload
    typed(&mut browser, "came-5", "1240");
    assert!(shown(&mut browser, "told-says").contains("Sat 12:40, was Sat 12:25"));
    assert_ne!(read(&mut browser, "top-there"), late);
    browser.open(&path);
    browser.value("undo()");
    assert_eq!(read(&mut browser, "top-there"), late, "taken back");
    click(&mut browser, "clear");
    assert_eq!(read(&mut browser, "top-there"), planned);
    click(&mut browser, "undo");
    assert_eq!(read(&mut browser, "top-there"), late);
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_mistaken_entry_is_marked_and_the_others_count() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    for (field, time) in [("came-5", "1130"), ("left-5", "1140"), ("came-8", "1702")] {
        typed(&mut browser, field, time);
    }
    let right = read(&mut browser, "top-there");
    // five minutes before the one seen at 5, typed at 6
    typed(&mut browser, "came-6", "1125");
    assert_eq!(read(&mut browser, "top-there"), right, "the others count");
    assert!(shown(&mut browser, "came-6-note").contains("Does not fit"));
    assert!(shown(&mut browser, "wrong").contains("Kaltwandalm"));
    let marked = browser.value("[...document.querySelectorAll('.wrong')].map(e => e.id)");
    assert_eq!(marked, json!(["came-6"]));
    // what is no time is not taken at all
    typed(&mut browser, "came-7", "2x:10");
    assert!(shown(&mut browser, "pad-note").contains("Expected"));
    assert_eq!(browser.value("document.getElementById('pad').open"), true);
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn two_taps_enter_the_time_of_the_phone() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    // started Sat 06:00 in summer time: 04:00 UTC (EU directive 2000/84), and it is 12:25:40 there
    browser.before_pages("Date.now = () => Date.UTC(2026, 9, 24, 10, 25, 40)");
    browser.open(&path);
    assert_eq!(shown(&mut browser, "top-enter"), "Came in");
    let countdown = read(&mut browser, "top-there-in");
    assert!(countdown.ends_with(" ago"), "{countdown}");
    click(&mut browser, "top-enter");
    click(&mut browser, "pad-now");
    assert_eq!(
        browser.value("entries"),
        json!({ "5": { "came": "Sat 12:25" } })
    );
    assert_eq!(shown(&mut browser, "top-enter"), "Left");
    click(&mut browser, "top-enter");
    click(&mut browser, "pad-now");
    assert_eq!(browser.value("entries[5].left"), "Sat 12:25");
    assert!(shown(&mut browser, "top-name").contains("Moosgatter out"));
    assert!(read(&mut browser, "top-off-in").starts_with("in "));
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_page_is_copied_dimmed_and_printed() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    typed(&mut browser, "came-5", "1225");
    // a message that a person would send
    click(&mut browser, "copy");
    browser.wait("document.getElementById('copy-says').textContent");
    let message = browser.value("document.getElementById('copied').value");
    let message = message.as_str().unwrap().to_owned();
    for said in ["in at 5 Sankt Olbert out Sat 12:25", "Next", "Finish about"] {
        assert!(message.contains(said), "{said}: {message}");
    }
    assert!(!message.contains("sutler"), "{message}");
    // red on black, also after the page was closed
    browser.value("document.querySelector('#screen [data-theme=red]').click()");
    browser.open(&path);
    let colours = "[getComputedStyle(document.body).color, \
                   getComputedStyle(document.body).backgroundColor].join()";
    let red = browser.value(colours);
    // no green to speak of and no blue: eyes stay used to the dark
    assert_eq!(red, "rgb(255, 74, 56),rgb(0, 0, 0)");
    // black on white on paper, every station in sight, nothing to press
    browser.value("dispatchEvent(new Event('beforeprint'))");
    browser.ask("Emulation.setEmulatedMedia", &json!({ "media": "print" }));
    assert_eq!(browser.value(colours), "rgb(0, 0, 0),rgb(255, 255, 255)");
    let hidden = browser
        .value("[...document.querySelectorAll('.stop')].filter(e => !e.checkVisibility()).length");
    assert_eq!(hidden, 0);
    let pressed = browser.value(
        "['screen', 'tools', 'top-enter'].filter(id => \
         document.getElementById(id)?.checkVisibility())",
    );
    assert_eq!(pressed, json!([]));
    browser.ask("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    browser.value("dispatchEvent(new Event('afterprint'))");
    let open = browser.value("document.querySelectorAll('details.between[open]').length");
    assert_eq!(open, 0, "folded again");
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_lost_cutoff_is_told_first_and_what_would_save_it() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    typed(&mut browser, "came-8", "1715");
    let alarm = read(&mut browser, "alarm");
    assert!(alarm.starts_with("Cutoff at risk: "), "{alarm}");
    let saves = read(&mut browser, "saves");
    let word = [
        "SHORTEN",
        "SHORT STOPS",
        "SPEED UP",
        "HARDLY",
        "OUT OF REACH",
    ];
    assert!(word.iter().any(|word| saves.starts_with(word)), "{saves}");
    let message = browser.value("message()");
    assert!(message.as_str().unwrap().contains("at risk"), "{message}");
    nothing_went_wrong(&browser);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_advice_is_that_of_the_command() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let day = Day::of(PLANS[0]);
    let mut advised = 0;
    for station in [5, 8, 10, 12] {
        for late_s in [600.0, 1800.0, 3600.0, 5400.0, 9000.0] {
            let at_s = (day.plan.pacing.arrival_s[station] + late_s).round();
            let replan = day.after(&[(station, false, at_s)]);
            let page = told(&mut browser, &[(station, false, at_s)]);
            if page["lost"] == json!([]) || !page["missed"].is_null() {
                continue;
            }
            let said = browser.value(&format!(
                "staying(project([{{station: {station}, left: false, at: {at_s}}}]))"
            ));
            let at = format!("{station}, {late_s} s late: {said}");
            let Some(staying) = &replan.staying else {
                assert_eq!(said["reach"], false, "{at}");
                continue;
            };
            advised += 1;
            assert_eq!(said["reach"], true, "{at}");
            let words = browser.value(&format!(
                "(() => {{ const rest = project([{{station: {station}, left: false, at: {at_s}}}]); \
                 const stay = staying(rest); return stay.kept > 0 ? advice(rest, stay) : null; }})()"
            ));
            let in_minutes =
                |words: &str| words.contains(" min ") && words.contains(" instead of ");
            assert!(words.as_str().is_none_or(in_minutes), "{at}: {words}");
            // the command tries tenths of the stops
            let kept = said["kept"].as_f64().unwrap();
            assert!((kept - staying.stops_kept).abs() < 0.15, "{at}");
            let faster = staying.speed_ratio / replan.at_effort.speed_ratio - 1.0;
            let faster = if staying.is_harder { faster } else { 0.0 };
            let told = said["faster"].as_f64().unwrap();
            assert!((told - faster).abs() < 0.02, "{at}, {faster}");
            // the page's chance with shorter stops is a rough one
            let is_clear = (faster - HARDLY_FASTER).abs() > 0.02
                && !(0.5..2.0).contains(&(staying.chance / HARDLY_CHANCE));
            let goes_at = replan.shown.speed_ratio;
            assert!(
                !is_clear || said["hardly"] == staying.is_hardly_made(goes_at),
                "{at}, {faster}, {}",
                staying.chance
            );
        }
    }
    assert!(advised > 5, "only {advised} times");
    nothing_went_wrong(&browser);
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
        typed(&mut browser, "came-3", "+12:00");
        assert!(!shown(&mut browser, "told-says").is_empty());
        // nothing is covered by what was said last, and a button has its words on one line
        let [over, under] = ["scroll", "told"].map(|id| {
            let edge = if id == "scroll" { "bottom" } else { "top" };
            let at = browser.value(&format!("by('{id}').getBoundingClientRect().{edge}"));
            at.as_f64().unwrap()
        });
        assert!(over <= under + 0.5, "{over} {under}");
        let lines = browser.value(
            "(range => { range.selectNodeContents(by('top-enter')); return range.getClientRects().length })\
             (document.createRange())",
        );
        assert_eq!(lines, 1);
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
        let shown = browser.value(
            "[...document.querySelectorAll('[data-f=window]')]\
                    .map(e => e.textContent.replace(/\\u00a0[A-Z]+/g, ''))",
        );
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
    browser.value("enter(5, false, '18:40')");
    let note = shown(&mut browser, "came-5-note");
    assert!(
        note.starts_with("Taken as Sat 18:40, 7:39 after the plan."),
        "{note}"
    );
    for fine in ["Sat 18:40", "+12:40", "16:50"] {
        browser.value(&format!("enter(5, false, {})", json!(fine)));
        assert_eq!(shown(&mut browser, "came-5-note"), "", "{fine}");
    }
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
        let planned = read(&mut browser, "top-there");
        typed(&mut browser, "came-5", "12:25");
        assert_ne!(
            read(&mut browser, "top-there"),
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
    typed(&mut browser, "came-5", "12:25");
    let told = browser.value("document.getElementById('unstored').checkVisibility()");
    assert_eq!(told, false, "where it keeps them");
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_keyboard_reaches_everything() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let (_folder, path) = written(&Planned::shipped(PLANS[0]));
    browser.open(&path);
    let name = "(e => e.id || e.dataset.theme || e.textContent.trim())";
    let wanted = browser.value(&format!(
        "[...document.querySelectorAll('a,input,button,summary')].filter(e => e.checkVisibility()).map({name})"
    ));
    let wanted = wanted.as_array().unwrap();
    assert!(wanted.len() > 15, "{wanted:?}");
    let mut reached = Vec::new();
    for _ in wanted {
        browser.press("Tab", 9, None);
        reached.push(browser.value(&format!("{name}(document.activeElement)")));
        let outline = browser.value("getComputedStyle(document.activeElement).outlineStyle");
        assert_eq!(outline, "solid", "{:?} shows no focus", reached.last());
    }
    // in the order in which they are read
    assert_eq!(&reached, wanted);
    let planned = read(&mut browser, "top-there");
    browser.value("document.getElementById('top-enter').focus()");
    browser.press("Enter", 13, Some("\r"));
    browser.value("document.getElementById('pad-time').focus()");
    browser.type_text("1225");
    browser.press("Enter", 13, Some("\r"));
    let late = read(&mut browser, "top-there");
    assert_ne!(late, planned, "Enter enters");
    browser.value("document.getElementById('copy').focus()");
    browser.press("Enter", 13, Some("\r"));
    let copied = browser.value("document.getElementById('copied').value");
    let copied = copied.as_str().unwrap();
    assert!(
        copied.contains("in at 5 Sankt Olbert out Sat 12:25"),
        "{copied}"
    );
    browser.value("document.getElementById('undo').focus()");
    browser.press("Enter", 13, Some("\r"));
    assert_eq!(read(&mut browser, "top-there"), planned, "taken back");
    nothing_went_wrong(&browser);
}
