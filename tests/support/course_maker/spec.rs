//! How a course is described: where it goes, and what the organiser runs there.

/// One course.
pub struct Spec {
    /// Where it lies below the crate's root.
    pub folder: &'static str,
    /// The course's name.
    pub title: &'static str,
    pub seed: u64,
    /// Latitude and longitude of the point `0, 0` of the waypoints, degrees.
    pub origin_deg: (f64, f64),
    /// Length of the base line, metres; the map is scaled to it.
    pub base_m: f64,
    /// How far the map wanders off the line between waypoints, 1 as usual.
    pub wander: f64,
    /// How much the ground rolls between waypoints, 1 as usual.
    pub rolling: f64,
    /// Metres between points of the track, least and most.
    pub step_m: (f64, f64),
    /// The organiser's metres for each metre of the base line.
    pub official_ratio: f64,
    /// The base line.
    pub waypoints: Vec<Waypoint>,
    /// Stretches of the base line in running order, by the names of their ends.
    pub runs: Vec<(&'static str, &'static str)>,
    /// The organiser's list in course order.
    pub stations: Vec<Stop>,
    /// From which waypoint the ground is what, along the base line.
    pub surfaces: Vec<(&'static str, &'static str)>,
    /// `course.toml` with `{distance}` and `{climb}` in place of the numbers.
    pub settings: &'static str,
    /// Comment lines above `stations.csv` and `surfaces.csv`.
    pub notes: (&'static str, &'static str),
    /// Who ran a former edition, where `results.csv` tells.
    pub field: Option<Field>,
}

/// The runners of a former edition: hours are `base_h` and the square of a bell times `spread_h`,
/// so that the slow half is spread wider than the fast one.
pub struct Field {
    pub starters: usize,
    pub base_h: f64,
    pub spread_h: f64,
    /// Who needs longer did not finish.
    pub limit_h: f64,
}

/// A point that the base line passes.
pub struct Waypoint {
    /// Empty where nobody refers to it.
    pub name: &'static str,
    /// Kilometres east and north of the origin.
    pub at_km: (f64, f64),
    /// Metres above the sea.
    pub height_m: f64,
}

/// A named waypoint.
pub const fn at(name: &'static str, x: f64, y: f64, height_m: f64) -> Waypoint {
    Waypoint {
        name,
        at_km: (x, y),
        height_m,
    }
}

/// A waypoint that only shapes the line.
pub const fn via(x: f64, y: f64, height_m: f64) -> Waypoint {
    at("", x, y, height_m)
}

/// One row of the organiser's list.
#[derive(Clone, Default)]
pub struct Stop {
    pub name: &'static str,
    /// The waypoint, which is the place.
    pub place: &'static str,
    pub kind: &'static str,
    pub cutoff: &'static str,
    pub cutoff_on: &'static str,
    pub crew: bool,
    pub drop_bag: bool,
    pub pacer: bool,
    /// Whether the organiser gives coordinates.
    pub located: bool,
    pub offers: &'static str,
}

/// A row with neither cutoff nor anybody waiting.
pub fn stop(name: &'static str, place: &'static str, kind: &'static str) -> Stop {
    Stop {
        name,
        place,
        kind,
        ..Stop::default()
    }
}

impl Stop {
    pub fn offers(self, offers: &'static str) -> Self {
        Stop { offers, ..self }
    }

    pub fn cutoff(self, cutoff: &'static str) -> Self {
        Stop { cutoff, ..self }
    }

    pub fn leaving(self) -> Self {
        Stop {
            cutoff_on: "departure",
            ..self
        }
    }

    pub fn crew(self) -> Self {
        Stop { crew: true, ..self }
    }

    pub fn drop_bag(self) -> Self {
        Stop {
            drop_bag: true,
            ..self
        }
    }

    pub fn pacer(self) -> Self {
        Stop {
            pacer: true,
            ..self
        }
    }

    pub fn located(self) -> Self {
        Stop {
            located: true,
            ..self
        }
    }
}
