//! Routes that the demo's runner has at home: one over the hills, one along the river.

use super::spec::{Spec, at, via};

/// Up and down the hill behind the town, three times by different ways.
pub fn hills() -> Spec {
    Spec {
        folder: "demo-data/local-hills",
        title: "Three times up the Brunnberg",
        seed: 61_001,
        base_m: 27_400.0,
        waypoints: vec![
            at("Town", 0.0, 0.0, 455.0),
            via(1.4, 0.6, 520.0),
            via(2.9, 1.9, 760.0),
            via(3.8, 3.0, 935.0),
            via(2.6, 3.4, 700.0),
            via(1.2, 2.6, 505.0),
            via(2.4, 4.3, 735.0),
            via(3.9, 4.6, 960.0),
            via(5.2, 4.0, 790.0),
            via(6.1, 2.8, 560.0),
            via(5.0, 1.8, 745.0),
            via(4.2, 2.4, 930.0),
            via(3.2, 0.9, 610.0),
            via(1.5, -0.3, 470.0),
            at("Town/again", 0.0, 0.0, 455.0),
        ],
        runs: vec![("Town", "Town/again")],
        ..bare()
    }
}

/// Along the river and back, all but level.
pub fn river() -> Spec {
    Spec {
        folder: "demo-data/local-river",
        title: "Down the Lenn and back",
        seed: 61_002,
        base_m: 26_000.0,
        wander: 0.5,
        rolling: 0.3,
        waypoints: vec![
            at("Town", 0.0, 0.0, 455.0),
            via(3.0, -1.2, 448.0),
            via(6.2, -1.9, 441.0),
            via(9.5, -3.3, 433.0),
            at("Weir", 12.4, -4.0, 428.0),
            via(9.3, -3.9, 436.0),
            via(6.0, -2.6, 443.0),
            via(2.8, -1.8, 450.0),
            at("Town/again", 0.0, 0.0, 455.0),
        ],
        runs: vec![("Town", "Town/again")],
        ..bare()
    }
}

/// What both have in common: nobody organises anything there.
fn bare() -> Spec {
    Spec {
        folder: "",
        title: "",
        seed: 0,
        origin_deg: (47.31, 13.42),
        base_m: 0.0,
        wander: 0.9,
        rolling: 0.9,
        step_m: (26.0, 36.0),
        official_ratio: 1.0,
        waypoints: Vec::new(),
        runs: Vec::new(),
        stations: Vec::new(),
        surfaces: Vec::new(),
        settings: "",
        notes: ("", ""),
        field: None,
    }
}
