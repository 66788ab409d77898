//! The course from above, without tiles: the way in shades of the hour and with its darkness, its
//! clocks, stations, where the crew meets the runner and how it drives, and a close look at every meeting with its
//! coordinates to scan.

use crate::facts::{Facts, MeetingFacts, Moment, StationFacts};

use super::Picture;
use super::axis::{round_step, runs};
use super::canvas::{Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, finished, lined};
use super::code::code;
use super::place::{TakenRoom, around, boxed, name_spots};
use super::profile::{bag_mark, crew_mark};
use super::projection::{M_PER_DEG, Projection};
use super::shades::Shades;
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::ways::{Point, arrow, aside};
use super::words::{clean, fitted, width, wrapped};

/// The map.
pub(super) const PICTURE: Picture = Picture {
    name: "map",
    title: "Map",
    draw,
    describe,
};

const TOP: f64 = 78.0;
/// Height of the map, within bounds.
const LOWEST: f64 = 300.0;
const HIGHEST: f64 = 760.0;
/// The foot of the last inset on a sheet of paper.
const SHEET_HIGH: f64 = 1020.0;
/// Kept free around the course, for numbers and names.
const ROOM: f64 = 46.0;
/// A meeting is shown with the course around it this far, metres.
const AROUND_M: f64 = 1500.0;
/// An inset and its parts.
const INSET_WIDE: f64 = 249.0;
const INSET_HIGH: f64 = 211.0;
const VIEW: f64 = 128.0;
const CODE: f64 = 100.0;
/// The clock stands on the way every so many hours, where there is room.
const EVERY_H: u32 = 2;

struct CourseMap<'f> {
    facts: &'f Facts,
    theme: &'f Theme,
    across: f64,
    high: f64,
    projection: Projection,
    /// The samples of the profile on paper, aside to the right of the way.
    way: Vec<Point>,
    /// The colours of the way.
    shades: Shades<'f>,
}

fn draw(facts: &Facts, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    canvas.heading(facts, PICTURE.title, theme.wide);
    let Some(map) = CourseMap::of(facts, theme) else {
        let size = (theme.wide, 80.0);
        return finished(facts, PICTURE.title, &describe(facts), size, &canvas);
    };
    map.way(&mut canvas);
    let mut taken = TakenRoom::default();
    map.drives(&mut canvas);
    map.scale(&mut canvas, &mut taken);
    map.keep_ways(&mut taken);
    map.drive_times(&mut canvas, &mut taken);
    map.keep_drives(&mut taken);
    map.stations(&mut canvas, &mut taken);
    map.hours(&mut canvas, &mut taken);
    let y = map.insets(&mut canvas, TOP + map.high + 20.0);
    let y = canvas.legend(&map.meanings(), map.across, y + 34.0);
    finished(
        facts,
        PICTURE.title,
        &describe(facts),
        (map.across, y),
        &canvas,
    )
}

fn describe(facts: &Facts) -> String {
    let mut said = format!(
        "The course from above, {} with {} stations.",
        facts.race.0.length.text,
        facts.stations.len()
    );
    let met = facts.planned().map_or(&[][..], |plan| &plan.crew);
    let places = met.iter().map(|met| {
        format!(
            "{} {}: {}",
            met.number,
            clean(&met.station),
            met.spot.coordinates
        )
    });
    let places: Vec<String> = places.collect();
    if facts.planned().is_some() {
        said += " The later the planned hour, the further its shade is from the paper.";
    }
    if !places.is_empty() {
        said += &format!(" The crew meets the runner at {}.", places.join("; "));
    }
    said
}

/// The name of a station's place as far as it is printed, and its width.
fn place_name(at: &StationFacts) -> (String, f64) {
    let name = fitted(&clean(&at.place), SMALL, false, 150.0);
    let wide = 1.1 * width(&name, SMALL, false) + 4.0;
    (name, wide)
}

impl<'f> CourseMap<'f> {
    fn of(facts: &'f Facts, theme: &'f Theme) -> Option<CourseMap<'f>> {
        let profile = &facts.profile;
        let spots = || {
            profile
                .lat_deg
                .iter()
                .copied()
                .zip(profile.lon_deg.iter().copied())
        };
        let first = spots().next()?;
        // a course over the date line goes on without a jump
        let unwrapped = |lon: f64| lon - ((lon - first.1) / 360.0).round() * 360.0;
        let spots: Vec<Point> = spots().map(|(lat, lon)| (lat, unwrapped(lon))).collect();
        let met = facts.planned().map_or(&[][..], |plan| &plan.crew);
        let parked = met
            .iter()
            .map(|met| (met.spot.lat, unwrapped(met.spot.lon)));
        let all = spots.iter().copied().chain(parked);
        let (mut low, mut high) = (first, first);
        for (lat, lon) in all {
            low = (low.0.min(lat), low.1.min(lon));
            high = (high.0.max(lat), high.1.max(lon));
        }
        let middle = ((low.0 + high.0) / 2.0, (low.1 + high.1) / 2.0);
        let wide_m = (high.1 - low.1) * M_PER_DEG * middle.0.to_radians().cos();
        let high_m = (high.0 - low.0) * M_PER_DEG;
        let across = theme.wide;
        let room = across - 2.0 * MARGIN - 2.0 * ROOM;
        let fits = |wide: f64, high: f64| {
            (wide / wide_m.max(100.0)).min((high - 2.0 * ROOM) / high_m.max(100.0))
        };
        let px_per_m = fits(room, HIGHEST);
        let map_high = (high_m * px_per_m + 2.0 * ROOM)
            .clamp(LOWEST, HIGHEST)
            .round();
        let projection = Projection {
            lat_deg: middle.0,
            lon_deg: middle.1,
            px_per_m,
            middle: (across / 2.0, TOP + map_high / 2.0),
        };
        let flat: Vec<Point> = spots.iter().map(|spot| projection.of(*spot)).collect();
        Some(CourseMap {
            facts,
            theme,
            across,
            high: map_high,
            way: aside(&flat),
            projection,
            shades: Shades::of(facts, theme),
        })
    }

    fn frame(&self) -> [f64; 4] {
        [MARGIN, TOP, self.across - MARGIN, TOP + self.high]
    }

    fn at(&self, station: usize) -> Point {
        self.way[self
            .facts
            .profile
            .sample_at(self.facts.stations[station].official.value)]
    }

    /// Darkness under the way, then every segment of it with its direction.
    fn way(&self, canvas: &mut Canvas<'_>) {
        let frame = self.frame();
        let paper = rect(
            frame[0],
            frame[1],
            frame[2] - frame[0],
            frame[3] - frame[1],
            "none",
        );
        canvas.add(paper.stroke(self.theme.grid, 1.0).empty());
        for (from, to) in runs(&self.facts.profile.dark) {
            let to = to.min(self.way.len() - 1);
            let dark = path(&self.way[from..=to], false).stroke(self.theme.night, 12.0);
            let dark = dark
                .set("stroke-linejoin", "round")
                .set("stroke-linecap", "round");
            canvas.add(dark.set("class", "dark-way").empty());
        }
        for (index, segment) in self.facts.segments.iter().enumerate() {
            let stations = &self.facts.stations;
            let [from, to] = [index, index + 1]
                .map(|k| self.facts.profile.sample_at(stations[k].official.value));
            canvas.marked(&segment.id, |canvas| {
                self.shades.stretch(canvas, &self.way, (from, to));
                self.shades.head(canvas, &self.way[from..=to], from);
            });
        }
    }

    fn meetings(&self) -> &'f [MeetingFacts] {
        self.facts.planned().map_or(&[], |plan| &plan.crew)
    }

    /// A drive from a spot to a meeting as a bow; nothing where the crew stays.
    fn bow(&self, met: &MeetingFacts) -> Option<Vec<Point>> {
        if !met.is_driven_to() {
            return None;
        }
        let stations = self.facts.stations.iter();
        let from = stations
            .clone()
            .position(|at| at.place == met.drives_from)?;
        let to = stations.clone().position(|at| at.number == met.number)?;
        let (a, b) = (self.at(from), self.at(to));
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let bend = |t: f64| 0.22 * 4.0 * t * (1.0 - t);
        let frame = self.frame();
        let inside =
            |(x, y): &Point| frame[0] < *x && *x < frame[2] && frame[1] < *y && *y < frame[3];
        // to the side on which it stays on the map
        let bows = [1.0, -1.0, 0.3].map(|side: f64| -> Vec<Point> {
            let point = |step: i32| {
                let (t, side) = (f64::from(step) / 16.0, side);
                let bend = side * bend(t);
                (a.0 + dx * t - dy * bend, a.1 + dy * t + dx * bend)
            };
            (0..=16).map(point).collect()
        });
        let fits = bows.into_iter().find(|bow| bow.iter().all(inside));
        fits.filter(|_| dx * dx + dy * dy > 400.0)
    }

    fn drives(&self, canvas: &mut Canvas<'_>) {
        for bow in self.meetings().iter().filter_map(|met| self.bow(met)) {
            let road = path(&bow, false)
                .stroke(self.theme.crew, 1.8)
                .dashed("7 3 2 3");
            canvas.add(road.set("class", "drive").empty());
            if let Some(head) = arrow(&bow, bow.len() - 2, 8.0) {
                canvas.add(path(&head, true).set("fill", self.theme.crew).empty());
            }
        }
    }

    fn drive_times(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        for met in self.meetings() {
            let (Some(bow), Some(drive)) = (self.bow(met), &met.drive) else {
                continue;
            };
            let said = drive.text.clone();
            let size = (1.15 * width(&said, SMALL, false) + 6.0, 16.0);
            let spots = [8, 7, 9, 6, 10, 5, 11].map(|at| bow[at]);
            if let Some((x, y)) = taken.first_free(spots, size, self.frame()) {
                let back = rect(x - size.0 / 2.0, y - 8.0, size.0, 16.0, self.theme.paper);
                canvas.add(back.empty());
                let ink = Ink::of(self.theme.crew, SMALL).at(Anchor::Middle);
                canvas.words(x, y + 4.0, ink, &said);
            }
        }
    }

    /// The scale of the map, and its north.
    fn scale(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        let units = &self.facts.race.0.units;
        let per_unit = self.projection.px_per_m * units.distance_m;
        let above = round_step(180.0 / per_unit, 1.0);
        let length = [above, above / 2.0, above / 4.0]
            .into_iter()
            .find(|length| length * per_unit <= 200.0)
            .unwrap_or(above / 5.0);
        let (left, y) = (MARGIN + 12.0, TOP + self.high - 14.0);
        let right = left + length * per_unit;
        let ends = [(left, y - 5.0), (left, y), (right, y), (right, y - 5.0)];
        canvas.add(path(&ends, false).stroke(self.theme.ink, 1.2).empty());
        let said = format!("{} {}", super::svg::number(length), units.distance);
        canvas.words(left + 4.0, y - 7.0, Ink::of(self.theme.faint, SMALL), &said);
        taken.keep([left, y - 22.0, right.max(left + 70.0), y + 6.0]);
        let (x, y) = (self.across - MARGIN - 20.0, TOP + 16.0);
        let needle = [(x, y), (x + 5.0, y + 15.0), (x - 5.0, y + 15.0), (x, y)];
        canvas.add(path(&needle, false).stroke(self.theme.faint, 1.2).empty());
        let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::Middle);
        canvas.words(x, y + 29.0, ink, "N");
        taken.keep([x - 12.0, y - 2.0, x + 12.0, y + 34.0]);
    }

    /// Keeps the way and the dots of stations free of words.
    fn keep_ways(&self, taken: &mut TakenRoom) {
        for index in 0..self.facts.stations.len() {
            taken.keep(boxed(self.at(index), (8.0, 8.0)));
        }
        for spot in &self.way {
            taken.keep(boxed(*spot, (6.0, 6.0)));
        }
    }

    /// Keeps the drives free of words.
    fn keep_drives(&self, taken: &mut TakenRoom) {
        for bow in self.meetings().iter().filter_map(|met| self.bow(met)) {
            for ends in bow.windows(2) {
                taken.keep_line(ends[0], ends[1], 1.5);
            }
        }
    }

    /// Every station: a dot, its number beside it, the name of its place once, crew and bag.
    fn stations(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        let stations = &self.facts.stations;
        let apart = super::canvas::badge_apart(stations);
        for (index, station) in stations.iter().enumerate() {
            canvas.marked(&station.id, |canvas| {
                let (x, y) = self.at(index);
                let dot = tag("circle").num("cx", x).num("cy", y).num("r", 3.0);
                let dot = dot.set("fill", self.theme.paper);
                canvas.add(dot.stroke(self.theme.ink, 1.4).empty());
                let size = (apart + 2.0, 20.0);
                let spots = || around((x, y), apart / 2.0 + 9.0, 17.0);
                // where the name of its place has room beside it, if there is such a spot
                let named = (station.visit < 2).then(|| place_name(station));
                let with_name = named.as_ref().and_then(|(_, wide)| {
                    spots().find(|spot| {
                        let badge = boxed(*spot, size);
                        taken.fits(badge, self.frame())
                            && (name_spots(*spot, apart, *wide).into_iter())
                                .any(|at| taken.fits(boxed(at, (*wide, 15.0)), self.frame()))
                    })
                });
                let spots = with_name.into_iter().chain(spots());
                let Some(spot) = taken.first_free(spots, size, self.frame()) else {
                    return;
                };
                let leader = line((x, y), spot, self.theme.faint, 0.75);
                canvas.add(leader.empty());
                let back = rect(spot.0 - 9.0, spot.1 - 8.0, 18.0, 16.0, self.theme.paper);
                canvas.add(back.empty());
                canvas.badge(spot, &station.number, apart);
                if let Some((name, wide)) = named {
                    let near = name_spots(spot, apart, wide).into_iter();
                    let spots = near.chain(around(spot, wide / 2.0 + 12.0, 18.0));
                    if let Some((x, y)) = taken.first_free(spots, (wide, 15.0), self.frame()) {
                        let ink = Ink::of(self.theme.ink, SMALL).at(Anchor::Middle);
                        canvas.words(x, y + 4.0, ink, &name);
                    }
                }
                self.beside(canvas, taken, (station, apart), spot);
            });
        }
    }

    /// Crew and bag beside a number.
    fn beside(
        &self,
        canvas: &mut Canvas<'_>,
        taken: &mut TakenRoom,
        (at, apart): (&StationFacts, f64),
        spot: Point,
    ) {
        type Draw = fn(&Theme, f64, f64) -> String;
        let marks: [(bool, Draw); 2] = [(at.crew, crew_mark), (at.drop_bag, bag_mark)];
        for (_, draw) in marks.into_iter().filter(|(is, _)| *is) {
            let aside = apart / 2.0 + 8.0;
            let spots = [
                (aside, 0.0),
                (-aside, 0.0),
                (0.0, 18.0),
                (0.0, -18.0),
                (14.0, 18.0),
                (-14.0, 18.0),
                (14.0, -18.0),
                (-14.0, -18.0),
                (aside + 14.0, 0.0),
                (-aside - 14.0, 0.0),
                (0.0, 32.0),
                (0.0, -32.0),
            ];
            let spots = spots.map(|(dx, dy)| (spot.0 + dx, spot.1 + dy));
            if let Some((x, y)) = taken.first_free(spots, (13.0, 13.0), self.frame()) {
                canvas.add(draw(self.theme, x, y));
            }
        }
    }

    /// Full hours on the way as planned.
    fn hours(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        let profile = &self.facts.profile;
        for hour in profile.hours.iter().filter(|hour| hour.hour % EVERY_H == 0) {
            let at_s = hour.at.elapsed.as_s();
            let sample = profile.elapsed_s.partition_point(|s| *s < at_s);
            if sample == 0 || sample >= self.way.len() {
                continue;
            }
            let (x, y) = self.way[sample];
            let size = (1.2 * width(&hour.at.clock, SMALL, true) + 4.0, 15.0);
            let spots = around((x, y), size.0 / 2.0 + 7.0, 15.0);
            let Some(spot) = taken.first_free(spots, size, self.frame()) else {
                continue;
            };
            let dot = tag("circle").num("cx", x).num("cy", y).num("r", 2.6);
            canvas.add(dot.set("fill", self.theme.plan).empty());
            canvas.rule((x, y), spot, self.theme.plan, 0.6);
            let (wide, high) = (size.0 - 4.0, 12.0);
            let back = rect(
                spot.0 - wide / 2.0,
                spot.1 - high / 2.0,
                wide,
                high,
                self.theme.paper,
            );
            canvas.add(back.empty());
            let ink = Ink::of(self.theme.plan, SMALL).bold().at(Anchor::Middle);
            canvas.words(spot.0, spot.1 + 4.0, ink, &hour.at.clock);
        }
    }

    /// Every meeting close up, with its coordinates in words and to scan; returns the foot.
    fn insets(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let room = self.across - 2.0 * MARGIN;
        let columns = ((room + 12.0) / (INSET_WIDE + 12.0)).floor().max(1.0) as usize;
        let mut seen: Vec<&str> = Vec::new();
        let mut foot = y - 12.0;
        // one for each place, though the crew may come to it twice
        for met in self.meetings() {
            if seen.contains(&met.place.as_str()) {
                continue;
            }
            let (row, column) = (seen.len() / columns, seen.len() % columns);
            let below = y + (row + 1) as f64 * (INSET_HIGH + 12.0);
            if self.theme.is_paper() && row > 0 && below > SHEET_HIGH {
                // the crew's sheet has every code
                break;
            }
            seen.push(&met.place);
            let corner = (
                MARGIN + column as f64 * (INSET_WIDE + 12.0),
                y + row as f64 * (INSET_HIGH + 12.0),
            );
            self.inset(canvas, met, corner);
            foot = corner.1 + INSET_HIGH;
        }
        foot
    }

    fn inset(&self, canvas: &mut Canvas<'_>, met: &MeetingFacts, (left, top): Point) {
        let theme = self.theme;
        let frame = rect(left, top, INSET_WIDE, INSET_HIGH, "none");
        canvas.add(frame.stroke(theme.grid, 1.0).empty());
        let here = self
            .meetings()
            .iter()
            .filter(|other| other.place == met.place);
        let numbers: Vec<&str> = here.clone().map(|met| met.number.as_str()).collect();
        let title = format!("{} {}", numbers.join(" · "), clean(&met.place));
        let title = fitted(&title, SMALL, true, INSET_WIDE - 30.0);
        canvas.words(
            left + 8.0,
            top + 18.0,
            Ink::of(theme.ink, SMALL).bold(),
            &title,
        );
        let ink = Ink::of(theme.ink, SMALL);
        let mut before: Option<&Moment> = None;
        let there = here.map(|met| match before.replace(&met.be_there) {
            Some(day) => met.be_there.beside(day),
            None => &met.be_there.text,
        });
        let there = format!("be there by {}", there.collect::<Vec<_>>().join(", "));
        // a place of many laps has two lines of times
        let room = INSET_WIDE - 20.0;
        for (row, line) in wrapped(&there, SMALL, room).iter().take(2).enumerate() {
            let base = top + 36.0 + row as f64 * 15.0;
            canvas.words(left + 8.0, base, ink, &fitted(line, SMALL, false, room));
        }
        let what = if met.spot.is_parking {
            "park at"
        } else {
            "station at"
        };
        let faint = Ink::of(theme.faint, SMALL);
        let foot = top + INSET_HIGH - 8.0;
        let said = format!("{what} {}", met.spot.coordinates);
        canvas.words(left + 8.0, foot, faint, &said);
        let view = (left + 8.0, top + 59.0);
        self.close_up(canvas, met, view);
        if let Some((wide, modules)) = code(&met.spot.geo) {
            let (x, y) = (left + INSET_WIDE - CODE - 8.0, top + 73.0);
            let place = format!(
                "translate({} {}) scale({:.4})",
                super::svg::number(x),
                super::svg::number(y),
                CODE / wide as f64
            );
            let paper = rect(0.0, 0.0, wide as f64, wide as f64, "#ffffff").empty();
            let dark = tag("path")
                .set("d", &modules)
                .set("fill", "#000000")
                .empty();
            let code = tag("g").set("class", "code").set("transform", &place);
            canvas.add(code.around(&(paper + &dark)));
        }
    }

    /// The course around a meeting, and where to park.
    fn close_up(&self, canvas: &mut Canvas<'_>, met: &MeetingFacts, (left, top): Point) {
        let theme = self.theme;
        let frame = rect(left, top, VIEW, VIEW - 6.0, "none");
        canvas.add(frame.stroke(theme.faint, 0.75).empty());
        let close = Projection {
            lat_deg: met.spot.lat,
            lon_deg: met.spot.lon,
            px_per_m: VIEW / (2.0 * AROUND_M),
            middle: (left + VIEW / 2.0, top + VIEW / 2.0 - 3.0),
        };
        let profile = &self.facts.profile;
        let spots = profile.lat_deg.iter().zip(&profile.lon_deg);
        let flat: Vec<Point> = spots.map(|(lat, lon)| close.of((*lat, *lon))).collect();
        let way = aside(&flat);
        let inside =
            |(x, y): &Point| left < *x && *x < left + VIEW && top < *y && *y < top + VIEW - 6.0;
        let here: Vec<bool> = way.iter().map(inside).collect();
        for (from, to) in runs(&here).into_iter().filter(|(from, to)| to - from > 1) {
            self.shades.stretch(canvas, &way, (from, to - 1));
            if to - from > 6 {
                self.shades.head(canvas, &way[from..to], from);
            }
        }
        for station in self
            .facts
            .stations
            .iter()
            .filter(|at| at.number == met.number)
        {
            let at = close.of((station.lat, station.lon));
            if inside(&at) {
                let dot = tag("circle").num("cx", at.0).num("cy", at.1).num("r", 4.0);
                let dot = dot.set("fill", theme.paper);
                canvas.add(dot.stroke(theme.ink, 1.6).empty());
            }
        }
        canvas.add(crew_mark(theme, close.middle.0, close.middle.1));
    }

    fn meanings(&self) -> Vec<Meaning> {
        let theme = self.theme;
        let mut meanings = self.shades.meanings();
        meanings.extend(Meaning::dark(
            theme,
            self.facts,
            "dark when the plan passes",
        ));
        if self.facts.stations.iter().any(|at| at.crew) {
            let mark = crew_mark(theme, 12.0, 0.0);
            meanings.push(Meaning::new(mark, "crew may meet the runner"));
        }
        if self.facts.stations.iter().any(|at| at.drop_bag) {
            meanings.push(Meaning::new(bag_mark(theme, 12.0, 0.0), "drop bag"));
        }
        if self.meetings().iter().any(|met| self.bow(met).is_some()) {
            let road = lined(theme.crew, 1.8, "7 3 2 3");
            meanings.push(Meaning::new(road, "the crew drives, as the crow flies"));
        }
        meanings
    }
}
