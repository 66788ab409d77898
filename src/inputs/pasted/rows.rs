//! Rows as stations, with every cell that could not be read.

use std::collections::BTreeMap;

use crate::inputs::limits;
use crate::inputs::stations_csv::{self, CutoffOn, StationKind, is_water};
use crate::words::folded;

use super::cells::{self, DistanceUnit};
use super::columns::PastedColumns;
use super::senses;
use super::services::{self, Services};
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
    /// The kind of station, where the table says.
    pub kind: Option<StationKind>,
    /// The cutoff as `stations.csv` writes it.
    pub cutoff: Option<String>,
    /// The cell that tells of a cutoff and could not be read.
    pub cutoff_unread: Option<String>,
    /// The event that the cutoff limits, where the table says.
    pub cutoff_on: Option<CutoffOn>,
    /// True where the crew may come.
    pub crew: bool,
    /// True where drop bags are brought.
    pub drop_bag: bool,
    /// True where a pacer may join.
    pub pacer: bool,
    /// Minutes planned there.
    pub stop_min: Option<f64>,
    /// Food and drink.
    pub offers: Vec<String>,
    /// True where the offers are the usual ones, as the table says no more than that there is food.
    pub usual_food: bool,
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
        last: lines.last().map_or(0, |line| line.number),
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
    if let [_, between @ .., _] = stations.as_mut_slice() {
        let listed = found
            .columns
            .iter()
            .any(|c| c.meaning == ColumnMeaning::Offers);
        for station in between
            .iter_mut()
            .filter(|s| listed && s.kind.is_none() && s.offers.is_empty())
        {
            station.kind = Some(StationKind::Checkpoint);
        }
    }
    (stations, reader.unread)
}

/// True where the table goes from the finish to the start.
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

/// A reader of rows one after the other.
struct RowReader<'a> {
    found: &'a PastedColumns,
    known: &'a PasteContext,
    unread: Vec<Unread>,
    /// The number of the last line.
    last: usize,
    /// The course so far, where every distance was read.
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
        let mut told = Vec::new();
        for (at, text) in line.cells.iter().enumerate() {
            if text.is_empty() {
                continue;
            }
            let Some(column) = self.found.columns.get(at) else {
                self.cell(line, at, "there are not that many columns");
                continue;
            };
            let unit_m = |meaning| match meaning {
                ColumnMeaning::Miles | ColumnMeaning::MilesSince => DistanceUnit::Miles.metres(),
                ColumnMeaning::Metres => 1.0,
                _ => 1000.0,
            };
            let yes = |answer: Option<bool>| answer.unwrap_or(false);
            match column.meaning {
                ColumnMeaning::NotUsed => {}
                ColumnMeaning::Name => station.name = self.name(line, at, text),
                ColumnMeaning::Place => station.place = Some(self.name(line, at, text)),
                meaning @ (ColumnMeaning::Kilometres
                | ColumnMeaning::Miles
                | ColumnMeaning::Metres) => {
                    station.distance_m = self.metres(line, at, unit_m(meaning));
                }
                meaning @ (ColumnMeaning::KilometresSince | ColumnMeaning::MilesSince) => {
                    let since = self.metres(line, at, unit_m(meaning));
                    self.walked_m = self
                        .walked_m
                        .zip(since)
                        .map(|(before, since)| before + since);
                    station.distance_m = self.walked_m;
                }
                ColumnMeaning::Latitude => angles.0 = self.angle(line, at, text, 90.0),
                ColumnMeaning::Longitude => angles.1 = self.angle(line, at, text, 180.0),
                ColumnMeaning::CutoffClock
                | ColumnMeaning::LeaveByClock
                | ColumnMeaning::CutoffElapsed
                | ColumnMeaning::LeaveByElapsed => self.cutoff(&mut station, line, at),
                ColumnMeaning::Crew => station.crew |= yes(self.answer(line, at, text)),
                ColumnMeaning::DropBag => station.drop_bag |= yes(self.answer(line, at, text)),
                ColumnMeaning::Pacer => station.pacer |= yes(self.answer(line, at, text)),
                ColumnMeaning::Water => water = self.answer(line, at, text),
                ColumnMeaning::Food => food = self.answer(line, at, text),
                ColumnMeaning::Offers => told.push(self.services(line, at, text)),
                ColumnMeaning::Stop => {
                    let number =
                        cells::number(text.trim_end_matches("in")).map(|(number, _)| number);
                    station.stop_min = number.filter(|n| *n <= limits::STOP.high);
                    if station.stop_min.is_none() {
                        self.cell(line, at, "not a number of minutes");
                    }
                }
            }
        }
        station.position = angles.0.zip(angles.1);
        self.offered(&mut station, water, food, told);
        let missing = if station.name.is_empty() {
            "no name in it"
        } else if station.distance_m.is_none() && station.position.is_none() {
            let (end_m, whose) = match stations_csv::is_finish_word(&station.name) {
                true => (
                    self.known.route_m.filter(|_| line.number == self.last),
                    "end",
                ),
                false => ((folded(&station.name) == "start").then_some(0.0), "start"),
            };
            if end_m.is_some() {
                station.distance_m = end_m;
                self.whole(
                    line,
                    &format!("no distance in it: put at the {whose} of the route"),
                );
                self.unread_start(&mut station);
                return Some(station);
            }
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
        if station.distance_m != Some(0.0) {
            return;
        }
        station.cutoff_unread = None;
        let told = self
            .known
            .start
            .map(|start| start.format("%H:%M").to_string());
        let is_told = |text: &String| told.as_ref().is_some_and(|told| text.ends_with(told));
        if let Some(text) = station.cutoff.take().filter(|text| !is_told(text)) {
            self.unread.push(Unread {
                line: station.line,
                column: None,
                text,
                reason: "a time at the start is the start's: it belongs in course.toml".to_owned(),
            });
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

    fn metres(&mut self, line: &PastedLine, at: usize, unit_m: f64) -> Option<f64> {
        let found = cells::number(line.cells.get(at)?);
        let metres = found.map(|(number, own)| number * own.map_or(unit_m, DistanceUnit::metres));
        let metres = metres.filter(|m| *m <= limits::STATION_DISTANCE.high * 1000.0);
        if metres.is_none() {
            self.cell(line, at, "not a distance");
        }
        metres
    }

    fn angle(&mut self, line: &PastedLine, at: usize, text: &str, most: f64) -> Option<f64> {
        let angle = cells::degrees(text).filter(|angle| angle.abs() <= most);
        if angle.is_none() {
            self.cell(line, at, "not a number of degrees");
        }
        angle
    }

    /// A cutoff with the event that it limits: by the cell's own words, else by the column's.
    fn cutoff(&mut self, station: &mut PastedStation, line: &PastedLine, at: usize) {
        let (Some(column), Some(text)) = (self.found.columns.get(at), line.cells.get(at)) else {
            return;
        };
        if matches!(cells::yes_no(text), Some((false, ""))) {
            return;
        }
        let (reading, leaves) = match column.meaning {
            ColumnMeaning::CutoffElapsed => (TimeReading::Elapsed, false),
            ColumnMeaning::LeaveByElapsed => (TimeReading::Elapsed, true),
            meaning => (TimeReading::Clock, meaning == ColumnMeaning::LeaveByClock),
        };
        let start = self.known.start;
        let read = moments::cutoff(text, reading, start).or_else(|reason| {
            let found = moments::cutoff_among_words(text, reading, start).ok_or(reason)?;
            let kept = "the rest is for you to keep in mind";
            self.cell(line, at, format!("read as {found}; {kept}"));
            Ok::<_, String>(found)
        });
        station.cutoff = match read {
            Ok(cutoff) => Some(cutoff),
            Err(reason) => {
                self.cell(line, at, reason);
                station.cutoff_unread = Some(text.clone());
                return;
            }
        };
        let coming = |heading| senses::event(heading).filter(|on| *on == CutoffOn::Arrival);
        station.cutoff_on = senses::event(text).or(match leaves {
            true => Some(CutoffOn::Departure),
            false => coming(&column.heading),
        });
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

    /// Services in the words of a cell; those that are not understood are listed.
    fn services(&mut self, line: &PastedLine, at: usize, text: &str) -> Services {
        let services = Services::of(text, &self.known.pantry);
        if !services.unknown.is_empty() {
            let words = services.unknown.join(", ");
            self.cell(
                line,
                at,
                format!("not understood and not in pantry.csv, so not counted on: {words}"),
            );
        }
        if !services.noted.is_empty() {
            let words = services.noted.join(", ");
            self.cell(line, at, format!("noted, but of no use to a plan: {words}"));
        }
        services
    }

    /// Services of a station by answers under `water` and `food` and words in other columns.
    fn offered(
        &self,
        station: &mut PastedStation,
        water: Option<bool>,
        food: Option<bool>,
        told: Vec<Services>,
    ) {
        let any = |holds: fn(&Services) -> bool| told.iter().any(holds);
        station.crew |= any(|s| s.crew);
        station.drop_bag |= any(|s| s.drop_bag);
        station.pacer |= any(|s| s.pacer);
        station.kind = match (water, food) {
            (_, Some(true)) => Some(StationKind::Aid),
            (Some(true), Some(false)) => Some(StationKind::Water),
            (Some(false), _) | (None, Some(false)) => Some(StationKind::Checkpoint),
            // the fullest of what several columns say
            _ => told
                .iter()
                .filter_map(|s| s.kind)
                .min_by_key(|kind| *kind as u8),
        };
        if water == Some(true) || any(|s| s.water) {
            station.offers.push("water".to_owned());
        }
        station
            .offers
            .extend(told.iter().flat_map(|s| s.foods.iter().cloned()));
        let unnamed = food == Some(true) || any(|s| s.food);
        if unnamed && told.iter().all(|s| s.foods.is_empty()) {
            station
                .offers
                .extend(services::usual(&self.known.pantry, any(|s| s.hot)));
            station.usual_food = true;
        }
    }
}

/// Assumptions about the stations, in words.
pub(super) fn assumed(stations: &[PastedStation]) -> Vec<String> {
    let mut assumed = Vec::new();
    let named = |holds: &dyn Fn(&PastedStation) -> bool| {
        let names = stations
            .iter()
            .filter(|s| holds(s))
            .map(|s| s.name.as_str());
        names.collect::<Vec<_>>().join(", ")
    };
    let mut foods: Vec<&str> = Vec::new();
    for station in stations.iter().filter(|s| s.usual_food) {
        let others = station
            .offers
            .iter()
            .map(String::as_str)
            .filter(|offer| !is_water(offer));
        foods.extend(
            others
                .filter(|food| !foods.contains(food))
                .collect::<Vec<_>>(),
        );
    }
    let fed = named(&|s| s.usual_food);
    if !foods.is_empty() {
        let foods = foods.join(", ");
        assumed.push(format!(
            "food at {fed} is what stations usually have ({foods}; common practice, no source), as the table names none: ask the organiser and correct `offers`"
        ));
    } else if !fed.is_empty() {
        assumed.push(format!(
            "no food is counted on at {fed}: the table names none, and pantry.csv has none with `own` no"
        ));
    }
    let dry = named(&|s| s.kind == Some(StationKind::Checkpoint) && s.offers.is_empty());
    if !dry.is_empty() {
        assumed.push(format!(
            "no water at {dry}: the table lists none there; where there is, correct `kind`"
        ));
    }
    assumed
}
