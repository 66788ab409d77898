//! Column names: the synonyms that organisers use, common practice without a source.

use super::cells::DistanceUnit;

/// The sense of a column name, before its cells say in which unit or clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    NotUsed,
    Name,
    Place,
    Distance,
    Since,
    Latitude,
    Longitude,
    Kind,
    Cutoff,
    LeaveBy,
    Crew,
    DropBag,
    Pacer,
    Water,
    Food,
    Offers,
    Stop,
}

/// So many lines may stand above the column names: a title, a date.
pub(super) const LINES_ABOVE: usize = 6;

/// Words that decide, the first line that has one of the column name's words first.
const WORDS: &[(Sense, &[&str])] = &[
    (
        Sense::NotUsed,
        &["next", "remaining", "go", "nächsten", "prochain"],
    ),
    (
        Sense::NotUsed,
        &[
            "gain",
            "loss",
            "climb",
            "ascent",
            "descent",
            "elevation",
            "altitude",
            "elev",
            "ele",
            "height",
            "höhe",
            "hm",
            "vert",
            "dénivelé",
            "quota",
            "altitud",
            "altitudine",
        ],
    ),
    (
        Sense::NotUsed,
        &[
            "opens", "open", "opening", "first", "fastest", "leader", "expected", "eta", "pace",
            "split", "öffnung",
        ],
    ),
    (Sense::Latitude, &["lat", "latitude"]),
    (Sense::Longitude, &["lon", "lng", "longitude"]),
    (
        Sense::Cutoff,
        &[
            "cut",
            "cutoff",
            "cutoffs",
            "limit",
            "closes",
            "closing",
            "close",
            "closed",
            "barrier",
            "barrière",
            "barriere",
            "zeitlimit",
            "cierre",
            "corte",
            "deadline",
            "latest",
            "schluss",
            "cancello",
            "leave",
        ],
    ),
    (
        Sense::DropBag,
        &["drop", "bag", "bags", "dropbag", "dropbags"],
    ),
    (Sense::Pacer, &["pacer", "pacers", "pacing"]),
    (
        Sense::Crew,
        &[
            "crew",
            "crews",
            "support",
            "supporters",
            "assistance",
            "betreuung",
        ],
    ),
    (
        Sense::Offers,
        &[
            "offers",
            "supplies",
            "provisions",
            "menu",
            "stocked",
            "offer",
        ],
    ),
    (Sense::Water, &["water", "wasser", "eau", "acqua", "agua"]),
    (
        Sense::Food,
        &["food", "foods", "solid", "nutrition", "meal"],
    ),
    (
        Sense::Kind,
        &["kind", "type", "category", "services", "service", "art"],
    ),
    (
        Sense::Since,
        &[
            "leg", "since", "previous", "prev", "interval", "between", "section", "segment", "last",
        ],
    ),
    (
        Sense::Distance,
        &[
            "distance",
            "dist",
            "km",
            "kms",
            "kilometre",
            "kilometres",
            "kilometer",
            "kilometers",
            "mile",
            "miles",
            "mi",
            "cumulative",
            "total",
            "distanz",
            "entfernung",
            "distanza",
            "distancia",
            "kilometrage",
        ],
    ),
    (
        Sense::Name,
        &[
            "name",
            "station",
            "stations",
            "aid",
            "checkpoint",
            "checkpoints",
            "cp",
            "point",
            "where",
            "posten",
            "verpflegung",
            "vp",
            "ravitaillement",
            "ravito",
            "poste",
            "ristoro",
            "punto",
            "avituallamiento",
            "control",
            "stop",
        ],
    ),
    (
        Sense::Place,
        &["place", "location", "town", "ort", "lieu", "luogo", "lugar"],
    ),
];

/// A column name as words.
pub(super) fn words(heading: &str) -> Vec<String> {
    heading
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// The sense of a column name, where it is one.
pub(super) fn sense(heading: &str) -> Option<Sense> {
    let words = words(heading);
    let has = |any: &[&str]| words.iter().any(|word| any.contains(&word.as_str()));
    if heading.trim() == "#"
        || (words.len() == 1 && has(&["no", "nr", "number", "notes", "remarks", "comments"]))
    {
        return Some(Sense::NotUsed);
    }
    if has(&["stop", "rest"]) && has(&["min", "mins", "minutes"]) {
        return Some(Sense::Stop);
    }
    if has(&["food"]) && has(&["water", "drink", "drinks"]) {
        return Some(Sense::Offers);
    }
    // `km from start` and `total km` are no legs, whatever else the name says
    if has(&["start", "total", "cumulative"])
        && words.iter().any(|word| DistanceUnit::named(word).is_some())
    {
        return Some(Sense::Distance);
    }
    let (sense, _) = WORDS.iter().find(|(_, any)| has(any))?;
    let leaving = has(&["out", "leave", "leaving", "departure", "depart", "exit"]);
    Some(match sense {
        Sense::Cutoff if leaving => Sense::LeaveBy,
        other => *other,
    })
}

/// The unit that a column name says.
pub(super) fn unit(heading: &str) -> Option<DistanceUnit> {
    words(heading)
        .iter()
        .find_map(|word| DistanceUnit::named(word))
}

/// Whether cells are column names: two or more are known, and none is a number or a time.
pub(super) fn is_head<'t>(cells: impl Iterator<Item = &'t str>) -> bool {
    let mut known = 0;
    for cell in cells {
        if cell.starts_with(|c: char| c.is_ascii_digit()) {
            return false;
        }
        known += usize::from(sense(cell).is_some());
    }
    known >= 2
}
