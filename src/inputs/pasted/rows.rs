//! Rows as stations, with every cell that could not be read.

use std::collections::BTreeMap;

use crate::inputs::limits;
use crate::inputs::stations_csv::{StationKind, is_water};
use crate::words::folded;

use super::cells::{self, DistanceUnit};
use super::columns::PastedColumns;
use super::split::PastedLine;
use super::{ColumnMeaning, PasteContext, Unread};
use crate::inputs::moments::{self, TimeReading};

/// A station of a pasted table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PastedStation {
    /// The line in the pasted text, from 1.
    pub line: usize,
    /// Its name; of a later visit to the same spot with a number.
    pub name: String,
    /// The spot, where it is passed more than once.
    pub place: Option<String>,
    /// The distance from the start in metres.
    pub distance_m: Option<f64>,
    /// Degrees north and east.
    pub position: Option<(f64, f64)>,
    /// What the organiser runs there, where the table says.
    pub kind: Option<StationKind>,
    /// The cutoff as `stations.csv` writes it.
    pub cutoff: Option<String>,
    /// Whether the cutoff is on departure.
    pub leave_by: bool,
    /// Whether the crew may come.
    pub crew: bool,
    /// Whether drop bags are brought.
    pub drop_bag: bool,
    /// Whether a pacer may join.
    pub pacer: bool,
    /// Minutes planned there.
    pub stop_min: Option<f64>,
    /// What there is to eat and drink.
    pub offers: Vec<String>,
}

/// Reads every line below the column names.
pub(super) fn read(
    lines: &[PastedLine],
    found: &PastedColumns,
    known: &PasteContext,
) -> (Vec<PastedStation>, Vec<Unread>) {
    let mut reader = RowReader {
        found,
        known,
        unread: Vec::new(),
        walked_m: Some(0.0),
    };
    let mut stations = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        if at < found.first_row() {
            if found.head != Some(at) {
                reader.whole(line, "a line above the column names");
            }
        } else if stations.len() == limits::STATION_ROWS {
            reader.whole(line, "more stations than a course may have");
        } else {
            stations.extend(reader.station(line));
        }
    }
    if stations.len() > 1 && falls(&stations) {
        stations.reverse();
    }
    number_visits(&mut stations);
    (stations, reader.unread)
}

/// Whether the table goes from the finish to the start.
fn falls(stations: &[PastedStation]) -> bool {
    let distances: Vec<f64> = stations.iter().filter_map(|s| s.distance_m).collect();
    distances.len() > 1 && distances.windows(2).all(|pair| pair[0] > pair[1])
}

/// Names that are there more than once become visits to one place.
fn number_visits(stations: &mut [PastedStation]) {
    let mut visits: BTreeMap<String, usize> = BTreeMap::new();
    for station in stations.iter() {
        *visits.entry(folded(&station.name)).or_default() += 1;
    }
    let mut taken: Vec<String> = visits.keys().cloned().collect();
    visits.retain(|_, count| *count > 1);
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for station in stations {
        let key = folded(&station.name);
        if !visits.contains_key(&key) {
            continue;
        }
        let place = station
            .place
            .get_or_insert_with(|| station.name.clone())
            .clone();
        let mut visit = seen.get(&key).map_or(1, |before| before + 1);
        let mut name = station.name.clone();
        while visit > 1 {
            name = format!("{place} {visit}");
            if !taken.contains(&folded(&name)) {
                break;
            }
            visit += 1;
        }
        taken.push(folded(&name));
        seen.insert(key, visit);
        station.name = name;
    }
}

/// Where rows are read one after the other.
struct RowReader<'a> {
    found: &'a PastedColumns,
    known: &'a PasteContext,
    unread: Vec<Unread>,
    /// How far the course has come, where every distance so far was read.
    walked_m: Option<f64>,
}

impl RowReader<'_> {
    fn whole(&mut self, line: &PastedLine, reason: &str) {
        let text: Vec<&str> = line.filled().collect();
        self.unread.push(Unread {
            line: line.number,
            column: None,
            text: text.join("  "),
            reason: reason.to_owned(),
        });
    }

    fn cell(&mut self, line: &PastedLine, at: usize, reason: impl Into<String>) {
        self.unread.push(Unread {
            line: line.number,
            column: Some(at + 1),
            text: line.cells.get(at).cloned().unwrap_or_default(),
            reason: reason.into(),
        });
    }

    fn station(&mut self, line: &PastedLine) -> Option<PastedStation> {
        let before = self.unread.len();
        let mut station = PastedStation {
            line: line.number,
            ..PastedStation::default()
        };
        let (mut water, mut food, mut angles) = (None, None, (None, None));
        for (at, text) in line.cells.iter().enumerate() {
            if text.is_empty() {
                continue;
            }
            let Some(meaning) = self.found.columns.get(at).map(|column| column.meaning) else {
                self.cell(line, at, "there are not so many columns");
                continue;
            };
            match meaning {
                ColumnMeaning::Water => water = self.answer(line, at, text),
                ColumnMeaning::Food => food = self.answer(line, at, text),
                ColumnMeaning::Latitude => angles.0 = self.angle(line, at, text, 90.0),
                ColumnMeaning::Longitude => angles.1 = self.angle(line, at, text, 180.0),
                _ => self.take(line, at, text, meaning, &mut station),
            }
        }
        station.position = angles.0.zip(angles.1);
        offered(&mut station, water, food);
        let missing = if station.name.is_empty() {
            "no name in it"
        } else if station.distance_m.is_none() && station.position.is_none() {
            "no distance in it"
        } else {
            self.unread_start(&mut station);
            return Some(station);
        };
        // one line says it all
        self.unread.truncate(before);
        self.whole(line, missing);
        None
    }

    /// A time at the start is the start's.
    fn unread_start(&mut self, station: &mut PastedStation) {
        if station.distance_m == Some(0.0)
            && let Some(text) = station.cutoff.take()
        {
            self.unread.push(Unread {
                line: station.line,
                column: None,
                text,
                reason: "a time at the start is the start's: it belongs in course.toml".to_owned(),
            });
        }
    }

    fn take(
        &mut self,
        line: &PastedLine,
        at: usize,
        text: &str,
        meaning: ColumnMeaning,
        station: &mut PastedStation,
    ) {
        match meaning {
            ColumnMeaning::Name => station.name = self.name(line, at, text),
            ColumnMeaning::Place => station.place = Some(self.name(line, at, text)),
            ColumnMeaning::Kilometres => {
                station.distance_m = self.distance(line, at, DistanceUnit::Kilometres)
            }
            ColumnMeaning::Miles => {
                station.distance_m = self.distance(line, at, DistanceUnit::Miles)
            }
            ColumnMeaning::Metres => {
                station.distance_m = self.distance(line, at, DistanceUnit::Metres)
            }
            ColumnMeaning::KilometresSince => {
                station.distance_m = self.since(line, at, DistanceUnit::Kilometres)
            }
            ColumnMeaning::MilesSince => {
                station.distance_m = self.since(line, at, DistanceUnit::Miles)
            }
            ColumnMeaning::Kind => {
                station.kind = cells::kind(text);
                if station.kind.is_none() {
                    self.cell(line, at, "no kind of station that is known");
                }
            }
            ColumnMeaning::CutoffClock => {
                station.cutoff = self.cutoff(line, at, text, TimeReading::Clock)
            }
            ColumnMeaning::CutoffElapsed => {
                station.cutoff = self.cutoff(line, at, text, TimeReading::Elapsed)
            }
            ColumnMeaning::LeaveByClock | ColumnMeaning::LeaveByElapsed => {
                let reading = match meaning {
                    ColumnMeaning::LeaveByClock => TimeReading::Clock,
                    _ => TimeReading::Elapsed,
                };
                station.cutoff = self.cutoff(line, at, text, reading);
                station.leave_by = station.cutoff.is_some();
            }
            ColumnMeaning::Crew => station.crew = self.answer(line, at, text).unwrap_or(false),
            ColumnMeaning::DropBag => {
                station.drop_bag = self.answer(line, at, text).unwrap_or(false)
            }
            ColumnMeaning::Pacer => station.pacer = self.answer(line, at, text).unwrap_or(false),
            ColumnMeaning::Offers => station.offers = self.offers(line, at, text),
            ColumnMeaning::Stop => {
                let number = cells::number(text.trim_end_matches("in")).map(|(number, _)| number);
                station.stop_min = number.filter(|n| *n <= limits::STOP.high);
                if station.stop_min.is_none() {
                    self.cell(line, at, "not a number of minutes");
                }
            }
            ColumnMeaning::NotUsed
            | ColumnMeaning::Water
            | ColumnMeaning::Food
            | ColumnMeaning::Latitude
            | ColumnMeaning::Longitude => {}
        }
    }

    fn name(&mut self, line: &PastedLine, at: usize, text: &str) -> String {
        if text.chars().count() > limits::NAME_CHARS {
            self.cell(
                line,
                at,
                format!("cut to {} characters", limits::NAME_CHARS),
            );
        }
        text.chars()
            .take(limits::NAME_CHARS)
            .collect::<String>()
            .trim()
            .to_owned()
    }

    fn metres(&mut self, line: &PastedLine, at: usize, unit: DistanceUnit) -> Option<f64> {
        let found = cells::number(line.cells.get(at)?);
        let metres = found.map(|(number, own)| number * own.unwrap_or(unit).metres());
        let metres = metres.filter(|m| *m <= limits::STATION_DISTANCE.high * 1000.0);
        if metres.is_none() {
            self.cell(line, at, "not a distance");
        }
        metres
    }

    fn distance(&mut self, line: &PastedLine, at: usize, unit: DistanceUnit) -> Option<f64> {
        self.metres(line, at, unit)
    }

    fn since(&mut self, line: &PastedLine, at: usize, unit: DistanceUnit) -> Option<f64> {
        let since = self.metres(line, at, unit);
        self.walked_m = self
            .walked_m
            .zip(since)
            .map(|(before, since)| before + since);
        self.walked_m
    }

    fn angle(&mut self, line: &PastedLine, at: usize, text: &str, most: f64) -> Option<f64> {
        let angle = cells::degrees(text).filter(|angle| angle.abs() <= most);
        if angle.is_none() {
            self.cell(line, at, "not a number of degrees");
        }
        angle
    }

    fn cutoff(
        &mut self,
        line: &PastedLine,
        at: usize,
        text: &str,
        reading: TimeReading,
    ) -> Option<String> {
        if matches!(cells::yes_no(text), Some((false, ""))) {
            return None;
        }
        match moments::cutoff(text, reading, self.known.start) {
            Ok(cutoff) => Some(cutoff),
            Err(reason) => {
                self.cell(line, at, reason);
                None
            }
        }
    }

    fn answer(&mut self, line: &PastedLine, at: usize, text: &str) -> Option<bool> {
        let Some((answer, rest)) = cells::yes_no(text) else {
            self.cell(line, at, "neither yes nor no");
            return None;
        };
        if !rest.is_empty() {
            let word = if answer { "yes" } else { "no" };
            self.cell(
                line,
                at,
                format!("read as {word}; the rest is for you to keep in mind"),
            );
        }
        Some(answer)
    }

    fn offers(&mut self, line: &PastedLine, at: usize, text: &str) -> Vec<String> {
        let known = self.known.foods.iter().map(String::as_str);
        let known: Vec<&str> = known.collect();
        let (mut offers, mut unknown) = (Vec::new(), Vec::new());
        let plain = text.replace(" and ", ",").replace(" & ", ",");
        for piece in plain
            .split([';', ',', '/', '+', '\n'])
            .map(str::trim)
            .filter(|p| !p.is_empty())
        {
            if is_water(piece) {
                offers.push("water".to_owned());
                continue;
            }
            let one = folded(piece);
            let same = |food: &&&str| {
                let food = folded(food);
                food == one || format!("{food}s") == one || format!("{one}s") == food
            };
            match known.iter().find(same) {
                Some(food) => offers.push((*food).to_owned()),
                None => unknown.push(piece.to_owned()),
            }
        }
        if !unknown.is_empty() {
            let names = unknown.join(", ");
            self.cell(
                line,
                at,
                format!("not in pantry.csv, so not counted on: {names}"),
            );
        }
        offers.dedup();
        offers
    }
}

/// What yes and no under `water` and `food` say about a station.
fn offered(station: &mut PastedStation, water: Option<bool>, food: Option<bool>) {
    if station.kind.is_none() {
        station.kind = match (water, food) {
            (_, Some(true)) => Some(StationKind::Aid),
            (Some(true), Some(false)) => Some(StationKind::Water),
            (Some(false), _) | (None, Some(false)) => Some(StationKind::Checkpoint),
            _ => None,
        };
    }
    if water == Some(true) && !station.offers.iter().any(|offer| is_water(offer)) {
        station.offers.insert(0, "water".to_owned());
    }
}
