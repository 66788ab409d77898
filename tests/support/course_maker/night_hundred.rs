//! A hundred miles out and back, on the night that summer time ends.

use super::spec::{Spec, Stop, Waypoint, at, stop, via};

pub fn spec() -> Spec {
    Spec {
        folder: "courses/wolkenried-100mi",
        title: "Wolkenried Night Hundred",
        seed: 161_002,
        origin_deg: (46.742, 13.318),
        base_m: 79_900.0,
        wander: 1.0,
        rolling: 0.8,
        step_m: (10.0, 22.5),
        official_ratio: 1.011,
        waypoints: waypoints(),
        runs: vec![("Wolkenried", "Innerfalz"), ("Innerfalz", "Wolkenried")],
        stations: stations(),
        surfaces: vec![
            ("Wolkenried", "paved"),
            ("Wehrsteg", "track"),
            ("Mühlgatter", "smooth-trail"),
            ("Tesslinghütte", "rocky"),
            ("Lärchriegel", "smooth-trail"),
            ("Grell", "track"),
            ("Sankt Olbert", "smooth-trail"),
            ("Kaltwandalm", "rocky"),
            ("Rotmoos", "smooth-trail"),
            ("Moosgatter", "track"),
            ("Hollerboden", "smooth-trail"),
        ],
        settings: SETTINGS,
        notes: (STATION_NOTE, SURFACE_NOTE),
        field: None,
    }
}

fn waypoints() -> Vec<Waypoint> {
    vec![
        at("Wolkenried", 0.0, 0.0, 642.0),
        at("Wehrsteg", 1.2, 1.2, 651.0),
        via(2.6, 2.3, 690.0),
        at("Mühlgatter", 4.6, 2.5, 788.0),
        via(6.2, 4.4, 1105.0),
        at("Tesslinghütte", 7.4, 6.6, 1418.0),
        via(9.6, 7.1, 1570.0),
        at("Krummbergsattel", 11.5, 8.9, 1816.0),
        at("Lärchriegel", 13.8, 7.3, 1352.0),
        via(15.2, 4.8, 930.0),
        at("Grell", 17.2, 3.7, 742.0),
        at("Sankt Olbert", 19.6, 2.1, 676.0),
        via(21.8, 2.9, 778.0),
        via(23.6, 5.0, 1140.0),
        at("Kaltwandalm", 25.6, 6.4, 1492.0),
        via(27.9, 5.5, 1610.0),
        at("Eisnerkreuz", 29.4, 7.7, 1908.0),
        at("Rotmoos", 31.5, 9.1, 1525.0),
        via(33.1, 8.5, 1245.0),
        at("Moosgatter", 34.7, 10.7, 1016.0),
        via(36.7, 12.1, 1205.0),
        at("Hollerboden", 38.9, 11.3, 1238.0),
        via(40.9, 13.0, 1040.0),
        at("Innerfalz", 43.2, 14.5, 904.0),
    ]
}

fn stations() -> Vec<Stop> {
    const HUT: &str = "water; drink mix; broth; pretzels; salted potato; cola";
    const VILLAGE: &str = "water; drink mix; gel; banana; pretzels; salted potato; sandwich quarter; cola; broth; melon";
    vec![
        stop("Wolkenried start", "Wolkenried", "aid")
            .offers("water")
            .located(),
        stop("Mühlgatter out", "Mühlgatter", "water").offers("water"),
        stop("Tesslinghütte out", "Tesslinghütte", "aid").offers(HUT),
        stop("Krummbergsattel out", "Krummbergsattel", "checkpoint"),
        stop("Lärchriegel out", "Lärchriegel", "water").offers("water"),
        stop("Sankt Olbert out", "Sankt Olbert", "aid")
            .offers(VILLAGE)
            .cutoff("Sat 13:00")
            .crew()
            .drop_bag()
            .located(),
        stop("Kaltwandalm out", "Kaltwandalm", "aid").offers(HUT),
        stop("Eisnerkreuz out", "Eisnerkreuz", "water").offers("water"),
        stop("Moosgatter out", "Moosgatter", "aid")
            .offers(VILLAGE)
            .cutoff("Sat 18:30")
            .crew()
            .located(),
        stop("Hollerboden out", "Hollerboden", "water").offers("water"),
        stop("Innerfalz", "Innerfalz", "aid")
            .offers(VILLAGE)
            .cutoff("+14:30")
            .leaving()
            .crew()
            .drop_bag()
            .pacer()
            .located(),
        stop("Hollerboden back", "Hollerboden", "water").offers("water"),
        stop("Moosgatter back", "Moosgatter", "aid")
            .offers(VILLAGE)
            .cutoff("Sat 23:45")
            .crew()
            .pacer()
            .located(),
        stop("Eisnerkreuz back", "Eisnerkreuz", "water").offers("water"),
        stop("Kaltwandalm back", "Kaltwandalm", "aid")
            .offers(HUT)
            .cutoff("2026-10-25T02:30+02:00"),
        stop("Sankt Olbert back", "Sankt Olbert", "aid")
            .offers(VILLAGE)
            .cutoff("2026-10-25T03:30")
            .crew()
            .drop_bag()
            .pacer()
            .located(),
        stop("Lärchriegel back", "Lärchriegel", "water").offers("water"),
        stop("Krummbergsattel back", "Krummbergsattel", "checkpoint"),
        stop("Tesslinghütte back", "Tesslinghütte", "aid")
            .offers(HUT)
            .cutoff("28:00:00"),
        stop("Mühlgatter back", "Mühlgatter", "water").offers("water"),
        stop("Wolkenried finish", "Wolkenried", "aid")
            .cutoff("Sun 12:00")
            .located(),
    ]
}

const SETTINGS: &str = "\
# Wolkenried Night Hundred: a hundred miles out and back. The clocks go back during the race, at
# 03:00 on Sunday, so the night has an hour more than the watch shows.
# Everything here is invented: do not try to run it.
name = \"Wolkenried Night Hundred\"
origin = \"invented: do not try to run it\"

timezone = \"Europe/Vienna\"
start = \"2026-10-24T06:00\"     # a Saturday

official_distance_km = {distance}
official_climb_m = {climb}
cutoffs_on = \"arrival\"
surface = \"smooth-trail\"
heights = \"barometer\"

mandatory_kit = [
    \"phone\",
    \"whistle\",
    \"cup\",
    \"emergency blanket\",
    \"first-aid kit\",
    \"rain jacket\",
    \"warm layer\",
    \"gloves\",
    \"hat\",
    \"lamp\",
    \"spare battery\",
]
hand_in = \"20:00 on Friday, in the school hall\"
rules = [
    \"Pacers may join from Innerfalz on, one at a time, and carry nothing for the runner.\",
    \"Crew may help within 100 m of the tables at crew stations only.\",
    \"Poles are allowed everywhere except on the first 2 km.\",
    \"One drop bag of 15 litres for each bag station.\",
]
";

const STATION_NOTE: &str = "\
# One row a visit, in course order. `place` is the spot: a bag lies there for both visits.
# Cutoffs as the organiser writes them: a clock time with its day, `+14:30` or `28:00:00` since
# the official start, or a date and time. At 02:30 on Sunday it is the first of two, +02:00.
";

const SURFACE_NOTE: &str = "\
# Distances as in the station list; the way back mirrors the way out.
";
