//! The page in a browser, where the environment names one.

use serde_json::{Value, json};

use super::served::{Desk, demo};
use crate::support::browser::Browser;
use crate::support::case::Case;

/// What a test in a browser looks at: no error, and nothing asked of anybody else.
#[track_caller]
fn nothing_went_wrong(browser: &Browser, desk: &Desk) {
    assert!(browser.errors.is_empty(), "{:?}", browser.errors);
    let own = |url: &&String| url.starts_with(&desk.address()) || url.starts_with("data:");
    let foreign: Vec<_> = browser
        .requests
        .iter()
        .filter(|url| !own(url) && *url != "about:blank")
        .collect();
    assert!(foreign.is_empty(), "{foreign:?}");
}

/// Opens a part of the page and waits until it is there.
fn open(browser: &mut Browser, desk: &Desk, part: &str) {
    browser.visit("about:blank");
    browser.visit(&format!("{}#{part}", desk.address()));
    browser.wait("document.getElementById('work-title')");
    settled(browser);
}

/// Nothing is asked for any more, and every picture is drawn.
fn settled(browser: &mut Browser) {
    browser.wait(
        "!waiting && !trying && !drawing && [...document.querySelectorAll('[data-picture]')].every(f => f.querySelector('svg'))",
    );
}

/// Types into a field and leaves it.
fn typed(browser: &mut Browser, id: &str, text: &str) {
    let (id, text) = (json!(id), json!(text));
    browser.value(&format!(
        "{{const i = document.getElementById({id}); i.focus(); i.value = {text}; \
         i.dispatchEvent(new Event('change', {{bubbles: true}}))}}"
    ));
    settled(browser);
}

const PARTS: [&str; 10] = [
    "times", "stations", "race", "me", "food", "weather", "crew", "take", "day", "files",
];

/// Every visible control that is smaller than a finger, or has no name.
const CONTROLS: &str = "[...document.querySelectorAll('button,input,select,textarea,summary,nav a,a.button')]\
    .filter(e => e.checkVisibility() && e.type !== 'file')\
    .filter(e => { const r = (e.type === 'checkbox' ? e.closest('label') : e).getBoundingClientRect();\
        return r.height < 43.5 && e.type !== 'range' || r.width < 43.5; })\
    .map(e => e.outerHTML.slice(0, 120))";

/// Words whose contrast with what is behind them is below 4.5 to 1 (WCAG 2.2, criterion 1.4.3), by
/// the formula of relative luminance given there. Buttons that cannot be pressed are exempt there.
const FAINT: &str = "(() => {\
    const rgb = c => c.match(/[\\d.]+/g).map(Number);\
    const part = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;\
    const bright = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);\
    const behind = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor);\
        if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };\
    return [...document.querySelectorAll('body *')].filter(e => e.checkVisibility() && !e.closest('svg,[disabled]')\
        && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))\
        .filter(e => { const [a, b] = [bright(rgb(getComputedStyle(e).color)), bright(behind(e))];\
            return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) < 4.5; })\
        .map(e => e.outerHTML.slice(0, 120)); })()";

/// Roles that a screen reader has to be able to name.
const NAMED: [&str; 7] = [
    "button", "textbox", "combobox", "checkbox", "slider", "link", "dialog",
];

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn it_fits_any_screen_and_everybody_can_use_it() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan.toml");
    browser.ask("Accessibility.enable", &json!({}));
    for (width, dark) in [
        (360, false),
        (768, false),
        (1024, false),
        (1280, true),
        (1920, false),
    ] {
        browser.size(width, 900);
        let scheme = if dark { "dark" } else { "light" };
        let feature = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        browser.ask("Emulation.setEmulatedMedia", &feature);
        for part in PARTS {
            open(&mut browser, &desk, part);
            let wide = browser.value("document.documentElement.scrollWidth");
            assert!(
                wide.as_u64().unwrap() <= u64::from(width),
                "{part}: {wide} of {width}"
            );
            // a picture may be larger than a small screen, and what is compared side by side
            let sideways = browser.value(
                "[...document.querySelectorAll('#work *')].filter(e => e.scrollWidth > e.clientWidth + 1 && \
                 ['auto', 'scroll'].includes(getComputedStyle(e).overflowX) && e.tagName !== 'TEXTAREA' \
                 && !(innerWidth < 1024 && e.matches('figure, .scroll'))).map(e => e.outerHTML.slice(0, 80))",
            );
            assert_eq!(sideways, json!([]), "{part} at {width}: scrolls sideways");
            assert_eq!(
                browser.value(CONTROLS),
                json!([]),
                "{part} at {width}: too small"
            );
            assert_eq!(
                browser.value(FAINT),
                json!([]),
                "{part} at {width}, {scheme}: too faint"
            );
            let cut = browser.value(
                "[...document.querySelectorAll('.edits [data-column=name], .edits [data-column=cutoff]')]\
                 .filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.value)",
            );
            // an instant with its offset is longer than a phone is wide
            let cut: Vec<Value> = cut
                .as_array()
                .unwrap()
                .iter()
                .filter(|own| !own.as_str().unwrap().contains('T'))
                .cloned()
                .collect();
            assert!(cut.is_empty(), "{part} at {width}: {cut:?} is cut off");
            browser.wait("document.querySelector('#marks i')");
            let over = browser.value(
                "(() => { const all = [...document.querySelectorAll('#marks i')].map(e => [e.textContent, e.getBoundingClientRect()]);\
                 return all.flatMap(([one, a], at) => all.slice(at + 1).filter(([, b]) => a.left < b.right && b.left < a.right\
                 && a.top < b.bottom - 1 && b.top < a.bottom - 1).map(([two]) => one + ' over ' + two)); })()",
            );
            assert_eq!(over, json!([]), "{part} at {width}: marks over each other");
            let twice = browser.value(
                "(() => { const ids = [...document.querySelectorAll('[id]')].map(e => e.id); \
                 return ids.filter((id, at) => ids.indexOf(id) !== at); })()",
            );
            assert_eq!(twice, json!([]), "{part}: ids that stand there twice");
            let tree = browser.ask("Accessibility.getFullAXTree", &json!({}));
            for node in tree["nodes"].as_array().unwrap() {
                let role = node["role"]["value"].as_str().unwrap_or_default();
                let name = node["name"]["value"].as_str().unwrap_or_default();
                let is_shown = node["ignored"] == false;
                assert!(
                    !is_shown || !NAMED.contains(&role) || !name.trim().is_empty(),
                    "{part}: {node}"
                );
            }
        }
    }
    nothing_went_wrong(&browser, &desk);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn dragging_the_finish_moves_times_and_letting_go_saves_it() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan.toml");
    browser.size(1280, 900);
    open(&mut browser, &desk, "times");
    let arrival =
        "document.querySelector('#splits tr[data-row=\"20\"] [data-cell=arrival]').textContent";
    assert_eq!(browser.value(arrival), "Sun 10:00");
    let move_to = |seconds: i64, kind: &str| {
        format!(
            "{{const s = document.getElementById('finish'); s.value = {seconds}; \
             s.dispatchEvent(new Event('{kind}', {{bubbles: true}}))}}"
        )
    };
    let mut taken_ms: Vec<f64> = Vec::new();
    for step in 0..50_i64 {
        let seconds = 100_800 + step * 60;
        let awaited = format!(
            "(async () => {{ const from = performance.now(); {}; \
             while (trying || wanted !== null) await new Promise(requestAnimationFrame); \
             return performance.now() - from; }})()",
            move_to(seconds, "input")
        );
        let params = json!({ "expression": awaited, "awaitPromise": true, "returnByValue": true });
        let told = browser.ask("Runtime.evaluate", &params);
        taken_ms.push(told["result"]["value"].as_f64().unwrap());
    }
    taken_ms.sort_by(f64::total_cmp);
    eprintln!(
        "drag to times: median {:.0} ms, worst of 50 {:.0} ms",
        taken_ms[25], taken_ms[49]
    );
    // 28:49 after Sat 06:00, with the hour that comes twice
    assert_eq!(browser.value(arrival), "Sun 09:49");
    assert!(
        case.text("demo-data/plan.toml").contains("\"29:00:00\""),
        "trying saves nothing"
    );
    browser.value(&move_to(100_800, "change"));
    settled(&mut browser);
    assert!(case.text("demo-data/plan.toml").contains("\"28:00:00\""));
    assert_eq!(browser.value(arrival), "Sun 09:00");
    // the marks are there in words, too
    browser.wait("document.querySelector('#marks-list button')");
    browser.value("document.querySelector('[data-step=undo]').click()");
    settled(&mut browser);
    assert!(case.text("demo-data/plan.toml").contains("\"29:00:00\""));
    nothing_went_wrong(&browser, &desk);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn stations_are_added_by_a_click_and_moved_by_a_drag() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    browser.size(1280, 1600);
    open(&mut browser, &desk, "stations");
    let spot = |browser: &mut Browser, share: f64| -> (f64, f64) {
        let told = browser.value(&format!(
            "(() => {{ const d = [...document.querySelectorAll('[data-board=profile] [data-mark^=station-] circle')];\
             const [a, b] = [d[0], d[d.length - 1]].map(e => e.getBoundingClientRect());\
             return [a.x + a.width / 2 + {share} * (b.x - a.x), a.y - 60]; }})()"
        ));
        (told[0].as_f64().unwrap(), told[1].as_f64().unwrap())
    };
    let name = "courses/velprek-50k/stations.csv";
    let click = spot(&mut browser, 0.25);
    browser.drag(&[click, click]);
    settled(&mut browser);
    let text = case.text(name);
    let added = text
        .lines()
        .find(|line| line.starts_with("New station"))
        .unwrap();
    let km: f64 = added.split(',').nth(2).unwrap().parse().unwrap();
    assert!((km - 0.25 * 50.1).abs() < 0.3, "{added}");
    // it is named where it was added, by the keyboard
    browser.type_text("Spring");
    browser.press("Tab", 9, None);
    settled(&mut browser);
    assert!(case.text(name).contains("\nSpring,"), "{}", case.text(name));
    // its number is dragged to another place
    let mark = browser.value(
        "(() => { document.querySelector('[data-board=profile]').scrollIntoView();\
         const row = [...document.querySelectorAll('[data-sheet=stations] tr[data-row]')]\
         .find(r => r.querySelector('[data-column=name]').value === 'Spring');\
         const dot = document.querySelector(`[data-board=profile] [data-mark=${row.dataset.mark}] circle`);\
         const box = dot.getBoundingClientRect();\
         return [box.x + box.width / 2, box.y + box.height / 2]; })()",
    );
    let from = (mark[0].as_f64().unwrap(), mark[1].as_f64().unwrap());
    let to = (spot(&mut browser, 0.27).0, from.1);
    browser.drag(&[from, (from.0 + 8.0, from.1), to]);
    settled(&mut browser);
    let text = case.text(name);
    let moved = text
        .lines()
        .find(|line| line.starts_with("Spring"))
        .unwrap();
    let km: f64 = moved.split(',').nth(2).unwrap().parse().unwrap();
    assert!((km - 0.27 * 50.1).abs() < 0.3, "{moved}");
    nothing_went_wrong(&browser, &desk);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_map_takes_clicks_and_drags_and_asks_where_it_is_passed_twice() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan.toml");
    browser.size(1280, 1600);
    open(&mut browser, &desk, "stations");
    let name = "courses/wolkenried-100mi/stations.csv";
    // where the course is so many metres from the start, by the picture's own points
    let spot = |browser: &mut Browser, km: f64| -> (f64, f64) {
        let told = browser.value(&format!(
            "(() => {{ const f = document.querySelector('[data-board=map]'); f.scrollIntoView();\
             const runs = [...f.querySelectorAll('[data-mark^=segment-] > path[fill=none]')];\
             const length = Number(f.dataset.length); let at = null, sum = 0; const way = [];\
             for (const r of runs) way.push(...r.getAttribute('d').match(/[-\\d.]+ [-\\d.]+/g).slice(way.length ? 1 : 0));\
             const [x, y] = way[Math.round({km} * 1000 / length * (way.length - 1))].split(' ').map(Number);\
             const p = new DOMPoint(x, y).matrixTransform(f.querySelector('svg').getScreenCTM());\
             return [p.x, p.y]; }})()"
        ));
        (told[0].as_f64().unwrap(), told[1].as_f64().unwrap())
    };
    // out and back over the same ground: it asks which
    let click = spot(&mut browser, 31.0);
    browser.drag(&[click, click]);
    browser.wait("document.getElementById('dialog').open");
    let asked =
        browser.value("[...document.querySelectorAll('#passages button')].map(e => e.textContent)");
    let asked: Vec<f64> = asked.as_array().unwrap().iter().map(distance_of).collect();
    assert_eq!(asked.len(), 2, "{asked:?}");
    // the course is its own way back, so both passages are as far from their ends
    assert!((asked[0] - 31.0).abs() < 0.5, "{asked:?}");
    browser.value("document.querySelectorAll('#passages button')[1].click()");
    settled(&mut browser);
    let added = |text: &str| -> Vec<String> {
        let new = text.lines().filter(|line| line.starts_with("New station"));
        new.map(str::to_owned).collect()
    };
    let text = case.text(name);
    assert_eq!(added(&text).len(), 1, "{text}");
    assert!(
        added(&text)[0].contains(&format!(",{}", asked[1])),
        "{text}"
    );
    // dragged along its own passage, not over to the other
    let to = spot(&mut browser, asked[1] + 2.0);
    let from = browser.value(
        "(() => { const row = [...document.querySelectorAll('[data-sheet=stations] tr[data-row]')]\
         .find(r => r.querySelector('[data-column=name]').value.startsWith('New station'));\
         const dot = document.querySelector(`[data-board=map] [data-mark=${row.dataset.mark}] circle`);\
         const box = dot.getBoundingClientRect();\
         return [box.x + box.width / 2, box.y + box.height / 2]; })()",
    );
    let from = (from[0].as_f64().unwrap(), from[1].as_f64().unwrap());
    browser.drag(&[from, ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0), to]);
    settled(&mut browser);
    let text = case.text(name);
    let moved: f64 = added(&text)[0].split(',').nth(2).unwrap().parse().unwrap();
    assert!(
        (moved - asked[1] - 2.0).abs() < 0.5,
        "{moved} after {asked:?}"
    );
    nothing_went_wrong(&browser, &desk);
}

/// The number in words such as `at 31.2`.
fn distance_of(words: &Value) -> f64 {
    let number = words.as_str().unwrap().split(' ').nth(1).unwrap();
    number.parse().unwrap()
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_is_typed_is_saved_shown_and_asked_about() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    browser.size(1280, 900);
    open(&mut browser, &desk, "me");
    // without leaving the field
    browser.value("document.getElementById('f-runner-name').focus()");
    browser.value("document.getElementById('f-runner-name').select()");
    browser.type_text("Mara Holt");
    std::thread::sleep(std::time::Duration::from_millis(1000));
    settled(&mut browser);
    assert!(
        case.text("demo-data/runner.toml")
            .contains("name = \"Mara Holt\"")
    );
    assert_eq!(browser.value("document.activeElement.id"), "f-runner-name");
    typed(&mut browser, "f-runner-mass-kg", "700");
    let wrong = browser.value("document.getElementById('f-runner-mass-kg-wrong').textContent");
    assert!(
        wrong.as_str().unwrap().contains("expected 30 to 200 kg"),
        "{wrong}"
    );
    typed(&mut browser, "f-runner-mass-kg", "64");
    assert_eq!(
        browser.value("document.getElementById('f-runner-mass-kg-wrong').textContent"),
        ""
    );
    open(&mut browser, &desk, "times");
    browser.value("document.querySelector('#splits [data-what=margin]').click()");
    browser.wait("document.getElementById('dialog').open");
    let told = browser.value("document.getElementById('dialog').textContent");
    assert!(told.as_str().unwrap().contains("Formula"), "{told}");
    browser.press("Escape", 27, None);
    // a stop by one minute
    browser.value("document.querySelector('#splits tr[data-row=\"4\"] [data-by=\"1\"]').click()");
    browser.wait("document.querySelector('[data-step=undo]:not([disabled])')");
    std::thread::sleep(std::time::Duration::from_millis(400));
    settled(&mut browser);
    assert!(
        case.text("demo-data/plan-50k.toml")
            .contains("\"Sedlink 2\" = 4")
    );
    // one place is lit everywhere
    browser.value(
        "document.querySelector('#splits tr[data-row=\"4\"]')\
         .dispatchEvent(new Event('pointerover', {bubbles: true}))",
    );
    let lit = browser.value("document.querySelectorAll('figure .lit').length");
    assert!(lit.as_u64().unwrap() >= 2, "{lit}");
    nothing_went_wrong(&browser, &desk);
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_page_follows_an_editor_and_tells_when_the_desk_is_gone() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = demo();
    let mut desk = Desk::open(&case, "demo-data/plan-50k.toml");
    browser.size(1280, 900);
    open(&mut browser, &desk, "times");
    let plan = case.text("demo-data/plan-50k.toml");
    std::fs::write(
        case.path("demo-data/plan-50k.toml"),
        plan.replace("7:30:00", "7:20:00"),
    )
    .unwrap();
    browser.wait("document.getElementById('finish-time').value === '7:20:00'");
    nothing_went_wrong(&browser, &desk);
    desk.kill();
    browser.wait("document.body.classList.contains('gone')");
    let told = browser.value("document.getElementById('says').textContent");
    assert!(told.as_str().unwrap().contains("sutler desk"), "{told}");
    let _: Value = told;
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn a_race_is_planned_from_nothing_by_the_page_alone() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let case = Case::new();
    let desk = Desk::open(&case, ".");
    browser.size(1280, 1600);
    browser.visit(&desk.address());
    browser.wait("document.getElementById('gpx')");
    browser.value("document.getElementById('new-folder').value = 'my-race'");
    browser.value("document.getElementById('new-finish').value = 'soon'");
    // a file is dragged in from outside and let go
    let route = crate::support::case::short_route();
    browser.drop_file("#drop", route.as_ref());
    // what is wrong stands there, and the file need not be found again
    browser.wait("document.getElementById('again')");
    let wrong = browser.value("document.getElementById('begin-wrong').textContent");
    assert!(wrong.as_str().unwrap().contains("10:30:00"), "{wrong}");
    assert!(!case.path("my-race").exists());
    let refused = |error: &String| error.contains("409 (Conflict)");
    assert!(browser.errors.iter().all(refused), "{:?}", browser.errors);
    browser.errors.clear();
    browser.value("document.getElementById('new-finish').value = '7:30:00'");
    let from = std::time::Instant::now();
    browser.value("document.getElementById('again').click()");
    browser.wait("document.getElementById('splits') && !waiting");
    eprintln!("drop to splits: {} ms", from.elapsed().as_millis());
    assert!(
        case.text("my-race/plan.toml")
            .contains("finish = \"7:30:00\"")
    );
    // the start, and the organiser's table as it stands on a web page
    let guessed = browser.value("document.getElementById('next-zone').value");
    assert!(guessed.as_str().unwrap().contains('/'), "{guessed}");
    open(&mut browser, &desk, "race");
    typed(&mut browser, "f-course-name", "Hill Laps");
    open(&mut browser, &desk, "stations");
    let table = "Station\tKm\tTime limit\tCrew\nHut\t15.5\t10:30\tyes\nChapel\t35,8\t14:45\t\n";
    browser.value(&format!(
        "document.getElementById('pasted').value = {}",
        json!(table)
    ));
    browser.value("document.getElementById('read-paste').click()");
    browser.wait("document.getElementById('take-paste') && !waiting");
    browser.value("document.getElementById('take-paste').click()");
    browser.wait("document.querySelectorAll('[data-sheet=stations] tr[data-row]').length >= 2");
    settled(&mut browser);
    // clock cutoffs want a start: it is asked for, and the course stays in sight meanwhile
    assert_eq!(
        browser.value("document.querySelectorAll('[data-board] svg').length"),
        2
    );
    browser.value("document.getElementById('next-zone').value = 'Europe/Ljubljana'");
    browser.value("document.getElementById('next-start').value = '2026-06-13T07:00'");
    browser.value("document.getElementById('set-start').click()");
    settled(&mut browser);
    let course = case.text("my-race/course/course.toml");
    assert!(
        course.contains("timezone = \"Europe/Ljubljana\""),
        "{course}"
    );
    assert!(course.contains("start = \"2026-06-13T07:00\""), "{course}");
    open(&mut browser, &desk, "me");
    typed(&mut browser, "f-runner-mass-kg", "64");
    open(&mut browser, &desk, "weather");
    typed(&mut browser, "f-plan-weather-day-temp-c", "19");
    typed(&mut browser, "f-plan-weather-night-temp-c", "8");
    open(&mut browser, &desk, "crew");
    typed(&mut browser, "f-crew-crew", "Branka\nJorun");
    open(&mut browser, &desk, "times");
    let shown = browser.value(
        "[...document.querySelectorAll('#splits [data-cell=arrival]')].map(e => e.textContent)",
    );
    let plan = case
        .run(&["plan", "my-race/plan.toml", "--format", "json"])
        .json();
    let command: Vec<Value> = plan["splits"]
        .as_array()
        .unwrap()
        .iter()
        .map(|split| split["arrival_text"].clone())
        .collect();
    assert_eq!(shown, json!(command));
    assert!(command.len() >= 4, "{command:?}");
    assert_eq!(plan["course"], "Hill Laps");
    nothing_went_wrong(&browser, &desk);
}
