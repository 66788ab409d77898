//! A day race of 50 km with four laps of one hill.

use super::spec::{Spec, at, stop, via};

pub fn spec() -> Spec {
    Spec {
        folder: "courses/velprek-50k",
        title: "Velprek Hill Laps",
        seed: 5001,
        origin_deg: (46.214, 14.873),
        base_m: 24_600.0,
        wander: 0.8,
        rolling: 0.9,
        step_m: (10.0, 22.0),
        official_ratio: 1.013,
        waypoints: vec![
            at("Velprek", 0.0, 0.0, 396.0),
            via(1.5, 0.7, 432.0),
            at("Podmlinec", 3.3, 0.3, 505.0),
            via(4.6, 1.7, 668.0),
            at("Sedlink", 6.1, 2.4, 742.0),
            via(7.5, 3.7, 905.0),
            at("Orlovna", 8.8, 3.2, 1094.0),
            via(9.3, 1.9, 968.0),
            via(7.9, 1.0, 795.0),
            at("Sedlink/again", 6.1, 2.4, 742.0),
            via(5.0, 4.0, 655.0),
            at("Jasnova", 3.2, 4.5, 588.0),
            via(1.3, 3.3, 640.0),
            via(0.3, 1.5, 452.0),
            at("Velprek/again", 0.0, 0.0, 396.0),
        ],
        runs: vec![
            ("Velprek", "Sedlink"),
            ("Sedlink", "Sedlink/again"),
            ("Sedlink", "Sedlink/again"),
            ("Sedlink", "Sedlink/again"),
            ("Sedlink", "Sedlink/again"),
            ("Sedlink/again", "Velprek/again"),
        ],
        stations: stations(),
        surfaces: vec![
            ("Velprek", "track"),
            ("Podmlinec", "smooth-trail"),
            ("Orlovna", "rocky"),
            ("Sedlink/again", "smooth-trail"),
            ("Jasnova", "track"),
        ],
        settings: SETTINGS,
        notes: (STATION_NOTE, SURFACE_NOTE),
        field: None,
    }
}

fn stations() -> Vec<super::spec::Stop> {
    const HUT: &str = "water; drink mix; banana; pretzels; salted potato; cola; broth";
    vec![
        stop("Velprek start", "Velprek", "aid")
            .offers("water")
            .located(),
        stop("Podmlinec", "Podmlinec", "water").offers("water"),
        stop("Sedlink 1", "Sedlink", "aid")
            .offers(HUT)
            .crew()
            .located(),
        stop("Orlovna 1", "Orlovna", "water").offers("water"),
        stop("Sedlink 2", "Sedlink", "aid")
            .offers(HUT)
            .crew()
            .located()
            .cutoff("10:30"),
        stop("Orlovna 2", "Orlovna", "water").offers("water"),
        stop("Sedlink 3", "Sedlink", "aid")
            .offers(HUT)
            .crew()
            .located()
            .cutoff("12:15"),
        stop("Orlovna 3", "Orlovna", "water").offers("water"),
        stop("Sedlink 4", "Sedlink", "aid")
            .offers(HUT)
            .crew()
            .located()
            .cutoff("14:00"),
        stop("Orlovna 4", "Orlovna", "water").offers("water"),
        stop("Sedlink 5", "Sedlink", "aid")
            .offers(HUT)
            .crew()
            .located()
            .cutoff("15:50"),
        stop("Jasnova", "Jasnova", "aid").offers("water; banana; cola; melon"),
        stop("Velprek finish", "Velprek", "aid")
            .located()
            .cutoff("17:30"),
    ]
}

const SETTINGS: &str = "\
# Velprek Hill Laps: out to a hut, four times over one hill, home another way. A day race.
# Everything here is invented: do not try to run it.
name = \"Velprek Hill Laps\"
origin = \"invented: do not try to run it\"

timezone = \"Europe/Ljubljana\"
start = \"2027-06-12T07:00\"     # a Saturday

official_distance_km = {distance}
cutoffs_on = \"arrival\"
# route.gpx holds all four laps of the hill, so the file as a whole is run once.
laps = 1
surface = \"smooth-trail\"
heights = \"barometer\"

mandatory_kit = [\"phone\", \"whistle\", \"cup\", \"rain jacket\"]
rules = [
    \"Each lap is run clockwise; numbers must be shown at Orlovna.\",
    \"Crew may help at Sedlink only, within 50 m of the hut.\",
]
";

const STATION_NOTE: &str = "\
# One row a visit, in course order: the hut at Sedlink is passed five times.
";

const SURFACE_NOTE: &str = "\
# Distances as in the station list.
";
