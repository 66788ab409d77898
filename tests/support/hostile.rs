//! Races whose names try everything.

use sutler::diagnostics::SourceFile;
use sutler::inputs::Texts;
use sutler::time::Elapsed;

use super::race::{Planned, texts_of_plan};

/// Names as people and attackers write them; no line breaks, which the files refuse.
pub const NAMES: [&str; 12] = [
    "<script>alert(1)</script>",
    "</text></svg><img src=x onerror=alert(1)>",
    "Ober\u{202e}waldhaus an der schönen alten Brücke über den Fluss hinter dem Berg",
    "محطة الماء عند الجسر القديم",
    "תחנת מים 12, ליד הגשר",
    "Hütte \u{1f9d1}\u{200d}\u{1f692}\u{1f3d4}\u{fe0f}\u{1f41d} Einkehr",
    "semi;colon, comma \\ back\\slash \"quotes\" 'n' all & more",
    "a\u{301}\u{302}\u{303}\u{304}\u{305}\u{306}\u{307}b]]>--!>",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
    "水站水站水站水站水站水站水站水站水站水站水站",
    "url(javascript:alert(1)) #set eval(\"x\") *bold* _it_ $x$",
    "END:VEVENT BEGIN:VALARM",
];

/// The hundred miles with so many stations between start and finish, all of them crewed, with
/// cutoffs and the names above; `bunched` puts half of them into two kilometres.
#[track_caller]
pub fn race(stations: usize, bunched: bool) -> Planned {
    Planned::of(texts(stations, bunched), &[Elapsed::from_secs(29 * 3600)])
}

/// The texts of that race.
pub fn texts(stations: usize, bunched: bool) -> Texts {
    let mut list = String::from("name,distance_km,kind,cutoff,crew,drop_bag,offers,stop_min\n");
    list += "\"Start, \"\"here\"\"\",0,aid,,,,water,\n";
    for index in 1..=stations {
        let km = if bunched && index <= stations / 2 {
            80.0 + 2.0 * index as f64 / (stations / 2) as f64
        } else if bunched {
            82.0 + 78.0 * (index - stations / 2) as f64 / (stations - stations / 2 + 1) as f64
        } else {
            161.0 * index as f64 / (stations + 1) as f64
        };
        let name = NAMES[index % NAMES.len()].replace('"', "\"\"");
        let cutoff = if index % 2 == 0 {
            let minutes = 120 + (km / 161.6 * 33.0 * 60.0) as u32;
            format!("+{}:{:02}", minutes / 60, minutes % 60)
        } else {
            String::new()
        };
        list += &format!("\"{index} {name}\",{km:.2},aid,{cutoff},yes,yes,water,3\n");
    }
    list += "Finish & <end>,161.6,aid,40:00:00,,,,\n";
    let mut texts = texts_of_plan("demo-data/plan.toml");
    let file = |name: &str, text: &str| Some(SourceFile::new(name, text.to_owned()));
    texts.stations = file("stations.csv", &list);
    texts.course = file(
        "course.toml",
        "name = '<b>Race</b> & \"Söhne\", \u{202e}מרוץ'\nstart = \"2026-10-24T06:00\"\n\
         timezone = \"Europe/Vienna\"\n",
    );
    texts.crew = file(
        "crew.toml",
        "crew = [\"<i>Ana</i>\"]\n[bring]\n'1 </text></svg><img src=x onerror=alert(1)>' = ['a, b; c\\d \"e\"']\n",
    );
    texts.plan = file("plan.toml", "course = \"x\"\nfinish = \"29:00:00\"\n");
    texts.gear = None;
    texts
}
