//! The small hill route that a new folder begins with. Its tables are written by hand, because
//! their comments are what they are for.

use super::spec::{Spec, at, via};

pub fn spec() -> Spec {
    Spec {
        folder: "src/starter/files/course",
        title: "Example Hill Round",
        seed: 25_001,
        origin_deg: (46.604, 14.127),
        base_m: 24_900.0,
        wander: 0.9,
        rolling: 0.9,
        step_m: (26.0, 36.0),
        official_ratio: 1.0,
        waypoints: vec![
            at("Start", 0.0, 0.0, 512.0),
            via(1.6, 1.0, 560.0),
            via(3.0, 2.4, 742.0),
            at("Hilltop", 4.2, 4.2, 1006.0),
            via(5.6, 5.4, 860.0),
            at("Mill", 7.2, 5.0, 640.0),
            via(8.2, 3.4, 702.0),
            at("Chapel", 7.4, 1.6, 918.0),
            via(5.4, 1.2, 705.0),
            via(3.0, -0.2, 566.0),
            via(1.2, -0.9, 530.0),
            at("Start/again", 0.0, 0.0, 512.0),
        ],
        runs: vec![("Start", "Start/again")],
        stations: Vec::new(),
        surfaces: Vec::new(),
        settings: "",
        notes: ("", ""),
        field: None,
    }
}
