//! A mountain traverse of 100 km from evening to the next afternoon.

use super::spec::{Field, Spec, Stop, Waypoint, at, stop, via};

pub fn spec() -> Spec {
    Spec {
        folder: "courses/torvena-100k",
        title: "Torvena Traverse",
        seed: 100_007,
        origin_deg: (46.318, 13.062),
        base_m: 101_000.0,
        wander: 1.0,
        rolling: 0.82,
        step_m: (10.0, 22.0),
        official_ratio: 0.993,
        waypoints: waypoints(),
        runs: vec![("Borgo Salvane", "Lumiesana")],
        stations: stations(),
        surfaces: vec![
            ("Borgo Salvane", "paved"),
            ("Ultima Casa", "smooth-trail"),
            ("Malga Cestra", "rocky"),
            ("Rifugio Dorsel", "smooth-trail"),
            ("Casera Vintola", "rocky"),
            ("Bosco Neruda", "track"),
            ("Ponte Morlin", "smooth-trail"),
            ("Casera Brusola", "rocky"),
            ("Forcella Selvarin", "rough"),
            ("Ghiaione", "rocky"),
            ("Rifugio Tremoli", "smooth-trail"),
            ("Stavoli Grimana", "track"),
        ],
        settings: SETTINGS,
        notes: (STATION_NOTE, SURFACE_NOTE),
        field: Some(Field {
            starters: 320,
            base_h: 12.6,
            spread_h: 6.9,
            limit_h: 27.0,
        }),
    }
}

fn waypoints() -> Vec<Waypoint> {
    vec![
        at("Borgo Salvane", 0.0, 0.0, 622.0),
        at("Ultima Casa", 1.4, 0.9, 690.0),
        via(2.9, 1.6, 1010.0),
        at("Malga Cestra", 4.3, 3.4, 1392.0),
        at("Conca Fredda", 5.3, 5.3, 1850.0),
        at("Forcella Torvena", 6.4, 7.4, 2346.0),
        via(8.4, 8.6, 1985.0),
        at("Rifugio Dorsel", 10.6, 7.5, 1624.0),
        via(12.0, 6.5, 1772.0),
        via(13.4, 6.3, 1345.0),
        at("Pian dei Larovi", 15.4, 7.8, 1142.0),
        via(16.9, 10.0, 1530.0),
        at("Casera Vintola", 18.6, 12.0, 1888.0),
        via(19.9, 13.5, 2128.0),
        via(22.1, 13.3, 1660.0),
        at("Bosco Neruda", 24.4, 11.5, 1180.0),
        at("Ponte Morlin", 27.0, 11.0, 868.0),
        via(28.3, 12.9, 1260.0),
        at("Casera Brusola", 29.8, 14.6, 1612.0),
        via(31.0, 16.2, 2030.0),
        at("Forcella Selvarin", 32.4, 17.4, 2398.0),
        at("Ghiaione", 33.7, 16.9, 2120.0),
        via(34.8, 16.3, 1900.0),
        at("Rifugio Tremoli", 36.6, 15.2, 1542.0),
        via(38.3, 14.0, 1585.0),
        at("Sella Canduna", 39.9, 15.6, 1962.0),
        via(41.8, 17.3, 1430.0),
        at("Stavoli Grimana", 44.0, 18.0, 980.0),
        via(46.0, 17.2, 1128.0),
        at("Lumiesana", 48.2, 18.4, 744.0),
    ]
}

fn stations() -> Vec<Stop> {
    const HUT: &str = "water; drink mix; broth; pretzels; salted potato; cola";
    const VALLEY: &str =
        "water; drink mix; gel; banana; salted potato; sandwich quarter; cola; broth; melon";
    vec![
        stop("Borgo Salvane", "Borgo Salvane", "aid")
            .offers("water")
            .located(),
        stop("Malga Cestra", "Malga Cestra", "aid")
            .offers(HUT)
            .cutoff("+3:00"),
        stop("Conca Fredda", "Conca Fredda", "water").offers("water"),
        stop("Forcella Torvena", "Forcella Torvena", "checkpoint").located(),
        stop("Rifugio Dorsel", "Rifugio Dorsel", "aid")
            .offers(HUT)
            .cutoff("7:30:00"),
        stop("Pian dei Larovi", "Pian dei Larovi", "aid")
            .offers(VALLEY)
            .cutoff("+10:00")
            .leaving()
            .crew()
            .drop_bag()
            .located(),
        stop("Casera Vintola", "Casera Vintola", "water").offers("water"),
        stop("Ponte Morlin", "Ponte Morlin", "aid")
            .offers(VALLEY)
            .cutoff("+15:30")
            .crew()
            .drop_bag()
            .pacer()
            .located(),
        stop("Casera Brusola", "Casera Brusola", "water").offers("water"),
        stop("Forcella Selvarin", "Forcella Selvarin", "checkpoint").located(),
        stop("Ghiaione", "Ghiaione", "water").offers("water"),
        stop("Rifugio Tremoli", "Rifugio Tremoli", "aid")
            .offers(HUT)
            .cutoff("+21:30"),
        stop("Sella Canduna", "Sella Canduna", "water").offers("water"),
        stop("Stavoli Grimana", "Stavoli Grimana", "crew-only").crew(),
        stop("Lumiesana", "Lumiesana", "aid")
            .cutoff("+27:00")
            .located(),
    ]
}

const SETTINGS: &str = "\
# Torvena Traverse: from valley to valley over two high cols, through one night.
# Everything here is invented: do not try to run it.
name = \"Torvena Traverse\"
origin = \"invented: do not try to run it\"

timezone = \"Europe/Rome\"
start = \"2027-09-03T20:00\"     # a Friday

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
    \"lamp\",
    \"spare battery\",
]
rules = [
    \"Kit is checked at Forcella Torvena; without it the race ends there.\",
    \"Crew may help within sight of the tables at crew stations only.\",
    \"Above the huts the marshals may stop the race for storms: what they say goes.\",
]
";

const STATION_NOTE: &str = "\
# Cutoffs count from the official start. At Pian dei Larovi runners must have left by then.
";

const SURFACE_NOTE: &str = "\
# Distances as in the station list.
";
