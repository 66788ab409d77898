//! Dangers of a way are said where the runner leaves for it, with what to do, in every output that
//! is carried: heat with too few flasks, frost, height, afternoons up high, cold that begins on the
//! way.

use sutler::diagnostics::SourceFile;
use sutler::facts::{AlertFacts, Facts, PickupFacts};
use sutler::inputs::Texts;
use sutler::pages::{self, Wishes};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::pages::words;
use crate::support::race::{self, Planned};

/// A race straight north over three stations, in one weather or by the hour.
struct Day<'a> {
    start: &'a str,
    finish_h: f64,
    km: usize,
    height_m: &'a dyn Fn(f64) -> f64,
    /// Lines of `[forecast]`, or rows of weather.csv below its heads.
    forecast: &'a str,
    hourly: Option<String>,
    runner: &'a str,
}

const WARM_PANTRY: &str = "name,kind,serving,mass_g,water_ml,carbs_g,sodium_mg,energy_kcal,tested\n\
    drink mix,drink,500 ml flask,31,500,30,230,120,yes\n\
    gel,gel,1 gel,40,13,26,40,104,yes\n\
    dates,food,2 dates,48,10,36,0,132,yes\n\
    broth,station,1 cup,240,237,0.6,917,7,yes\n";

impl Day<'_> {
    fn planned(&self) -> Planned {
        let file = |name: &str, text: String| Some(SourceFile::new(name, text));
        let points = (0..=self.km * 10).map(|at| {
            let km = at as f64 / 10.0;
            let (lat_deg, height_m) = (46.5 + km / 111.2, (self.height_m)(km));
            format!("<trkpt lat=\"{lat_deg:.6}\" lon=\"15.0\"><ele>{height_m:.1}</ele></trkpt>")
        });
        let points: String = points.collect();
        let route = format!(
            "<gpx version=\"1.1\" creator=\"t\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk>\
             <trkseg>{points}</trkseg></trk></gpx>"
        );
        let part = self.km / 4;
        let stations: String = ["Hut", "Pass", "Mill"]
            .iter()
            .enumerate()
            .map(|(at, name)| format!("{name},{},aid,water; broth,yes\n", (at + 1) * part))
            .collect();
        let hours = self.finish_h as u32;
        let forecast = match &self.hourly {
            Some(_) => String::new(),
            None => format!("[forecast]\n{}\n", self.forecast),
        };
        let texts = Texts {
            plan: file(
                "plan.toml",
                format!("finish = \"{hours}:00:00\"\n{forecast}"),
            ),
            course: file(
                "course.toml",
                format!("start = \"{}\"\ntimezone = \"Europe/Vienna\"\n", self.start),
            ),
            route: file("route.gpx", route),
            stations: file(
                "stations.csv",
                format!("name,distance_km,kind,offers,crew\n{stations}"),
            ),
            runner: file("runner.toml", self.runner.to_owned()),
            pantry: file("pantry.csv", WARM_PANTRY.to_owned()),
            gear: file(
                "gear.csv",
                "name,when\nlamp,dark\nwarm layer,cold\n".to_owned(),
            ),
            crew: file("crew.toml", "crew = [\"Ada\"]\n".to_owned()),
            weather: (self.hourly.as_ref())
                .and_then(|rows| file("weather.csv", format!("time,temp_c,wind_kmh\n{rows}"))),
            ..Texts::default()
        };
        Planned::of(texts, &[Elapsed::from_s(self.finish_h * 3600.0)])
    }

    fn facts(&self) -> Facts {
        self.planned().facts(Units::Metric)
    }
}

/// Three quarters of the plates of a day in the heat: two flasks for way after way of 15 km.
fn hot() -> Day<'static> {
    Day {
        start: "2026-07-18T06:00",
        finish_h: 12.0,
        km: 60,
        height_m: &|km| 300.0 + 10.0 * (km % 20.0),
        forecast: "temp_c = 33\nhumidity_pct = 45\nwind_kmh = 5",
        hourly: None,
        runner: "mass_kg = 72\nheight_cm = 178\n[carry]\nflasks_ml = [500, 500]\n",
    }
}

/// A winter's day over 3000 m.
fn frosty() -> Day<'static> {
    Day {
        start: "2027-01-16T05:00",
        finish_h: 14.0,
        km: 60,
        height_m: &|km| 3100.0 - 50.0 * (km - 30.0).abs(),
        forecast: "temp_c = -10\nhumidity_pct = 70\nwind_kmh = 20",
        ..hot()
    }
}

fn pickups(facts: &Facts) -> &[PickupFacts] {
    &facts.planned().expect("a plan").pickups
}

fn alerts<'a>(facts: &'a Facts, kind: &str) -> Vec<(&'a str, &'a AlertFacts)> {
    let all = pickups(facts).iter().flat_map(|pickup| {
        let named = pickup.alerts.iter().filter(|alert| alert.kind == kind);
        named.map(|alert| (pickup.number.as_str(), alert))
    });
    all.collect()
}

fn report(facts: &Facts, name: &str) -> String {
    race::report(facts, name, "table")
}

fn page(facts: &Facts, name: &str) -> String {
    let html = pages::by_name(name)
        .unwrap()
        .html(facts, &Wishes::default());
    words(&html)
}

/// What is sipped until the next water is what was filled in, and the way out stands beside it
/// wherever the runner or the crew looks.
#[test]
fn too_few_flasks_are_said_where_they_are_filled() {
    let facts = hot().facts();
    let dry = alerts(&facts, "dry");
    assert!(!dry.is_empty());
    let (card, fuel) = (page(&facts, "card"), report(&facts, "fuel"));
    let (sheet, crew) = (page(&facts, "crew-sheet"), report(&facts, "crew"));
    let bags = report(&facts, "bags");
    for (number, alert) in &dry {
        let short = format!("{}: {}", alert.brief, alert.act);
        assert!(card.contains(&short), "{short}\n{card}");
        assert!(fuel.contains(&alert.words), "{}\n{fuel}", alert.words);
        assert!(bags.contains(&alert.words), "{}\n{bags}", alert.words);
        assert!(
            alert.act.contains(" km") && alert.act.contains("flask")
                || alert.act.contains("reservoir")
        );
        if *number != "S" {
            assert!(sheet.contains(&short), "{short}\n{sheet}");
            assert!(crew.contains(&alert.words), "{}\n{crew}", alert.words);
        }
    }
    for pickup in pickups(&facts) {
        let sip = pickup.sip.as_ref().expect("sips are timed");
        let segment = facts
            .segments
            .iter()
            .find(|one| one.number == pickup.until_number);
        let hours = segment.unwrap().pace.as_ref().unwrap().0.moving.value / 3600.0;
        // printed to 10 ml
        assert!(
            (sip.value - 5.0) * hours <= pickup.fluid.value,
            "{}: {} over {hours:.2} h out of {}",
            pickup.station,
            sip.text,
            pickup.fluid.text
        );
    }
    // with a reservoir there is nothing to say
    let runner = "mass_kg = 72\nheight_cm = 178\n[carry]\nflasks_ml = [500, 500, 2000, 2000]\n";
    let enough = Day { runner, ..hot() }.facts();
    assert_eq!(alerts(&enough, "dry").len(), 0);
}

/// Hoses freeze below -5 °C: common practice, no source.
#[test]
fn frost_is_said_with_what_to_do_and_a_hot_day_is_not() {
    let facts = frosty().facts();
    let (card, fuel, bags) = (
        page(&facts, "card"),
        report(&facts, "fuel"),
        report(&facts, "bags"),
    );
    let [(number, alert)] = alerts(&facts, "frost")[..] else {
        panic!("once, where it begins");
    };
    assert_eq!(number, "S");
    assert!(
        card.contains(&format!("{}: {}", alert.brief, alert.act)),
        "{card}"
    );
    for (text, words) in [
        (
            &alert.words,
            [
                "under the jacket",
                "lid down",
                "blown empty",
                "spare battery",
                "white",
            ],
        ),
        (
            &bags,
            [
                "hoses freeze first",
                "batteries",
                "powder",
                "dry gloves",
                "hand warmers",
            ],
        ),
        (
            &fuel,
            [
                "never rub it",
                "medical help",
                "freeze again",
                "lid down",
                "spare battery",
            ],
        ),
    ] {
        for word in words {
            assert!(text.contains(word), "not said: {word}\n{text}");
        }
    }
    for text in [&card, &fuel, &bags] {
        assert!(
            !text.contains("hot day") && !text.contains("where it is hot"),
            "{text}"
        );
    }
    // skin freezes: nobody is told that such a race simply holds
    let opening = &facts.planned().unwrap().verdict.lines[0];
    assert!(!opening.starts_with("Holds:"), "{opening}");
    assert!(report(&facts, "plan").contains("ask whether the race is on"));
    assert!(fuel.contains("likely too much in frost"), "{fuel}");
    let mild = Day {
        forecast: "temp_c = 4",
        height_m: &|_| 500.0,
        ..frosty()
    };
    let mild = mild.facts();
    assert_eq!(alerts(&mild, "frost").len(), 0);
    assert!(!report(&mild, "fuel").contains("hoses freeze"));
}

/// Above 2500 m height makes some people ill (Luks and others 2019, from memory).
#[test]
fn signs_of_height_are_on_the_card_where_the_way_is_high() {
    let facts = frosty().facts();
    let card = page(&facts, "card");
    let [(number, alert)] = alerts(&facts, "height")[..] else {
        panic!("once, where it begins");
    };
    // 2500 m is crossed at 18 km, after Hut at 15 km, and the top is at 30 km
    assert_eq!(number, "1");
    assert!(
        alert.brief.contains("Up to 30") || alert.brief.contains("Up to 31"),
        "{}",
        alert.brief
    );
    assert!(
        card.contains(&format!("{}: {}", alert.brief, alert.act)),
        "{card}"
    );
    assert!(alert.act.contains("headache") && alert.act.contains("go down"));
    assert_eq!(alerts(&hot().facts(), "height").len(), 0);
}

/// Thunder is usual over mountains from noon to early evening (Davis and others 2014).
#[test]
fn an_afternoon_up_high_has_its_word_of_thunder_without_a_forecast() {
    let day = |start: &'static str, top_m: f64, forecast: &'static str| {
        let height_m = move |_: f64| top_m;
        let day = Day {
            start,
            height_m: &height_m,
            forecast,
            ..hot()
        };
        day.facts()
    };
    let warm = "temp_c = 18";
    let afternoon = day("2026-07-18T06:00", 2200.0, warm);
    let storms = alerts(&afternoon, "storm");
    assert!(!storms.is_empty());
    let card = page(&afternoon, "card");
    for (_, alert) in storms {
        assert!(
            card.contains(&format!("{}: {}", alert.brief, alert.act)),
            "{card}"
        );
        assert!(alert.act.contains("thunder"), "{}", alert.act);
    }
    let fuel = report(&afternoon, "fuel");
    assert!(fuel.contains("thunder is usual in the afternoon"), "{fuel}");
    assert!(fuel.contains("If you hear thunder"), "{fuel}");
    for (what, facts) in [
        ("at night", day("2026-07-18T20:00", 2200.0, warm)),
        ("low down", day("2026-07-18T06:00", 900.0, warm)),
        ("in frost", day("2026-01-18T06:00", 2200.0, "temp_c = -8")),
    ] {
        assert_eq!(alerts(&facts, "storm").len(), 0, "{what}");
        assert!(
            !report(&facts, "fuel").contains("If you hear thunder"),
            "{what}"
        );
    }
}

/// Warm until 15:00, then 0 °C in a wind: who is on the way by then is told to stop and dress
/// there, and not at the station hours before.
#[test]
fn clothes_go_on_just_before_the_cold() {
    let day = |cold_from: u32| {
        let row = |hour: u32| {
            let temp_c = if hour < cold_from { 14 } else { 0 };
            format!("2026-10-03T{hour:02}:00,{temp_c},25\n")
        };
        Day {
            start: "2026-10-03T06:00",
            hourly: Some((5..24).map(row).collect()),
            height_m: &|_| 400.0,
            runner: "mass_kg = 72\n[carry]\nflasks_ml = [500, 500, 500]\n",
            ..hot()
        }
    };
    for cold_from in 8..18 {
        let planned = day(cold_from).planned();
        let facts = planned.facts(Units::Metric);
        let (plan, told) = (&planned.plans[0], alerts(&facts, "cold"));
        let [(_, alert)] = told[..] else {
            panic!("{cold_from}: {told:?}");
        };
        let cold = &plan.fueling.cold[0];
        let left = plan.schedule.splits[cold.from].departure;
        let dressed = cold.dress.map_or(left, |dress| dress.at);
        let early_h = (cold.begins - dressed).as_hours();
        // never too late, and never hours before
        assert!(
            (0.0..0.5).contains(&early_h) || cold.begins <= left,
            "{cold_from}: {early_h}"
        );
        if let Some(dress) = cold.dress {
            let stations = &planned.prepared.race.course.stations;
            let way_m = stations[cold.from].official_m..stations[cold.from + 1].official_m;
            assert!(way_m.contains(&dress.official_m), "{cold_from}: {dress:?}");
            assert!(
                alert.words.contains("whichever is first"),
                "{}",
                alert.words
            );
            let card = page(&facts, "card");
            assert!(
                card.contains(&format!("{}: {}", alert.brief, alert.act)),
                "{card}"
            );
        }
    }
    let dressed = (8..18).filter(|from| {
        day(*from).planned().plans[0].fueling.cold[0]
            .dress
            .is_some()
    });
    assert!(dressed.count() >= 5, "most colds begin between stations");
}

/// What may kill stands before what costs time, whatever else is found.
#[test]
fn dangers_come_before_what_costs_time() {
    let runner = "mass_kg = 72\n[fueling]\ngut = \"trained\"\n[[rhythm]]\neat = []\n\
                  [carry]\nflasks_ml = [500, 500, 500]\n";
    let windy = "temp_c = 1\nwind_kmh = 30";
    for (forecast, first) in [
        (windy, "cold-wind-chill"),
        ("temp_c = 27\nhumidity_pct = 70", "heat-"),
    ] {
        let day = Day {
            forecast,
            runner,
            height_m: &|_| 400.0,
            ..hot()
        };
        let facts = day.facts();
        let plan = facts.planned().unwrap();
        let warnings: Vec<&str> = (plan.findings.iter())
            .filter(|one| one.weight == "warning")
            .map(|one| one.kind)
            .collect();
        assert!(warnings.contains(&"energy-low"), "{warnings:?}");
        assert!(warnings[0].starts_with(first), "{warnings:?}");
        let lines = plan.verdict.lines.join(" ");
        let told = &plan
            .findings
            .iter()
            .find(|one| one.kind == warnings[0])
            .unwrap()
            .text;
        let told = told.replace('`', "");
        let words = told.split(' ').take(4).collect::<Vec<_>>().join(" ");
        assert!(
            lines.to_lowercase().contains(&words.to_lowercase()),
            "{words}: {lines}"
        );
    }
}
