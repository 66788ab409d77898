//! Meetings of crew and runner, and whether the crew can be there in time.

use crate::course::Course;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::CrewFile;
use crate::packing::Packing;
use crate::schedule::Schedule;
use crate::time::Elapsed;
use crate::units::Phrase;
use crate::words::same_name;

use super::Meeting;
use super::drives::{self, Roads};
use super::pacers::Stint;

/// The stations of all meetings: those with crew access and the finish; the start only where
/// something is handed over, a pacer joins, or things are to be brought that fit nowhere else.
pub(super) fn stations(
    course: &Course,
    packing: &Packing,
    crew: &CrewFile,
    stints: &[Stint],
) -> Vec<usize> {
    let finish = course.stations.len() - 1;
    let mut stations: Vec<usize> = (1..finish)
        .filter(|station| course.stations[*station].crew)
        .collect();
    stations.push(finish);
    let handed = packing.handovers.iter().any(|h| h.station == 0);
    let joined = stints.iter().any(|stint| stint.from == 0);
    let place = |station: usize| course.stations[station].place;
    let only_here = !stations.iter().any(|station| place(*station) == place(0));
    let brought = only_here && !bring(course, crew, 0).is_empty();
    if handed || joined || brought {
        stations.insert(0, 0);
    }
    stations
}

/// One meeting, drives apart.
pub(super) fn meeting(
    course: &Course,
    schedule: &Schedule,
    packing: &Packing,
    crew: &CrewFile,
    stints: &[Stint],
    station: usize,
) -> Meeting {
    let split = &schedule.splits[station];
    let names = |at: fn(&Stint) -> usize| -> Vec<String> {
        let here = stints.iter().filter(|stint| at(stint) == station);
        here.map(|stint| stint.name.clone()).collect()
    };
    Meeting {
        station,
        be_there: split.early - Elapsed::from_s(crew.buffer_s),
        likely: split.likely,
        late: split.late,
        departure: split.departure,
        leaves: split.departure_likely(),
        drive_s: None,
        leave_by: None,
        handover: packing.handovers.iter().position(|h| h.station == station),
        bring: bring(course, crew, station),
        pacers_on: names(|stint| stint.from),
        pacers_off: names(|stint| stint.to),
        stints: stints
            .iter()
            .filter(|stint| stint.from == station)
            .cloned()
            .collect(),
        driving: driving(crew, stints, station),
        driver: None,
    }
}

/// Those of the crew who do not come to a station on foot.
fn driving(crew: &CrewFile, stints: &[Stint], station: usize) -> Vec<String> {
    let runs = |name: &str| {
        let mut here = (stints.iter()).filter(|s| s.from < station && station <= s.to);
        here.any(|stint| same_name(&stint.name, name))
    };
    let names = crew.crew.iter().filter(|name| !runs(name));
    names.cloned().collect()
}

/// Things the crew file wants brought to the place of a station.
fn bring(course: &Course, crew: &CrewFile, station: usize) -> Vec<String> {
    let station = &course.stations[station];
    let place = &course.places[station.place].name;
    let wanted = |name: &str| same_name(name, place) || same_name(name, &station.name);
    let lists = crew.bring.iter().filter(|(name, _)| wanted(&name.value));
    lists.flat_map(|(_, things)| things.clone()).collect()
}

/// Adds the drives to the meetings, and says which cannot be made in time.
///
/// A runner who is early at a meeting was early at the one before: the crew leaves that when the
/// runner has left it, and is at the next no sooner than the drive lets it.
pub(super) fn drive(
    course: &Course,
    schedule: &Schedule,
    crew: &CrewFile,
    mut meetings: Vec<Meeting>,
    blocked: &[&str],
) -> (Vec<Meeting>, Vec<Finding>) {
    let roads = Roads::of(&crew.drives);
    let place = |station: usize| course.places[course.stations[station].place].name.as_str();
    let mut findings = Vec::new();
    // a road is good both ways
    let mut said = Vec::new();
    let mut before: Option<LastMeeting> = None;
    for meeting in &mut meetings {
        let left = before.replace(LastMeeting::of(meeting, schedule));
        let from = left.as_ref().map_or(0, |left| left.station);
        let first = left.is_none();
        if meeting.station == 0 {
            continue;
        }
        let (there, here) = (place(from), place(meeting.station));
        meeting.driver = drives::driver(&crew.drives, there, here);
        findings.extend(driver_runs(
            crew,
            meeting,
            &course.stations[meeting.station].name,
        ));
        match roads.drive(there, here, blocked) {
            Some(route) => {
                let drive_s = route.drive_s;
                let by = blocked.iter().find(|place| route.passes(place));
                let ends = (there.min(here), there.max(here));
                let by = by
                    .filter(|_| !said.contains(&ends))
                    .inspect(|_| said.push(ends));
                findings.extend(by.map(|by| blocked_drive(there, here, by, meeting.station)));
                meeting.drive_s = Some(drive_s);
                // a minute begun is a minute driven
                let drive = Elapsed::from_secs(drive_s.ceil() as i64);
                let early = schedule.splits[meeting.station].early;
                let wanted = early - Elapsed::from_s(crew.buffer_s);
                let off = (left.as_ref()).map_or(wanted - drive, |l| l.gone.max(wanted - drive));
                meeting.leave_by = Some(off);
                meeting.be_there = off + drive;
                let leg = DriveLeg {
                    names: (
                        &course.stations[from].name,
                        &course.stations[meeting.station].name,
                    ),
                    left,
                    drive,
                };
                findings.extend(leg.late(meeting.station, wanted, schedule));
            }
            None if first => {}
            None => findings.push(unknown_drive(there, here, meeting.station)),
        }
    }
    (meetings, findings)
}

/// One of the crew who should drive to a meeting and comes to it on foot.
fn driver_runs(crew: &CrewFile, meeting: &Meeting, here: &str) -> Option<Finding> {
    let driver = meeting.driver.as_ref()?;
    let is_in = |list: &[String]| list.iter().any(|name| same_name(name, driver));
    (is_in(&crew.crew) && !is_in(&meeting.driving)).then(|| {
        let says = format!("`{driver}` should drive to `{here}`, and runs along to it");
        let about = About::Station(meeting.station);
        Finding::new(
            FindingKind::DriverRuns,
            Weight::Warning,
            about,
            Phrase::new(says),
        )
        .way_out(Phrase::new(
            "let somebody else drive: `who` of the `[[drive]]`",
        ))
    })
}

/// The meeting that the crew drives off from.
struct LastMeeting {
    station: usize,
    /// The likely time the runner goes on.
    gone: Elapsed,
    /// The time an early runner goes on.
    early_gone: Elapsed,
}

impl LastMeeting {
    fn of(meeting: &Meeting, schedule: &Schedule) -> LastMeeting {
        let split = &schedule.splits[meeting.station];
        let early_gone = split.early + (split.departure - split.arrival);
        LastMeeting {
            station: meeting.station,
            gone: meeting.leaves,
            early_gone: early_gone.min(meeting.leaves),
        }
    }
}

/// The crew's way from one meeting to the next.
struct DriveLeg<'a> {
    names: (&'a str, &'a str),
    /// The meeting before; nothing on the way to the first, where nobody said that the crew sees
    /// the runner off.
    left: Option<LastMeeting>,
    drive: Elapsed,
}

impl DriveLeg<'_> {
    /// Findings where the crew misses the likely runner, or the early one, or has not its
    /// buffer, as `wanted` has it.
    fn late(&self, next: usize, wanted: Elapsed, schedule: &Schedule) -> Option<Finding> {
        let (early, likely) = (schedule.splits[next].early, schedule.splits[next].likely);
        let clock = |time| clock(schedule, time);
        if let Some(left) = &self.left
            && left.gone + self.drive > likely
        {
            let there = left.gone + self.drive;
            let then = format!(
                "{} after the likely arrival ({})",
                there - likely,
                clock(likely)
            );
            let says = self.says("the runner", left.gone, schedule, &then);
            return Some(self.too_late(
                Weight::Warning,
                next,
                says,
                Some(clock(early - self.drive)),
            ));
        }
        let free = self
            .left
            .as_ref()
            .map_or(Elapsed::ZERO, |left| left.early_gone);
        let there = free + self.drive;
        if there > early {
            let then = format!(
                "{} after the early arrival ({})",
                there - early,
                clock(early)
            );
            let says = self.says("an early runner", free, schedule, &then);
            let sooner = self.left.is_none().then(|| clock(early - self.drive));
            return Some(self.too_late(Weight::Note, next, says, sooner));
        }
        (there > wanted).then(|| {
            let then = format!(
                "{} before the early arrival ({}), less than the buffer",
                early - there,
                clock(early)
            );
            let says = Phrase::new(self.says("an early runner", free, schedule, &then));
            let about = About::Station(next);
            Finding::new(FindingKind::CrewTight, Weight::Note, about, says)
        })
    }

    fn says(&self, who: &str, gone: Elapsed, schedule: &Schedule, then: &str) -> String {
        let (from, to) = self.names;
        format!(
            "{who} leaves `{from}` at {}, the drive takes {}: the crew is at `{to}` at {}, {then}",
            clock(schedule, gone),
            self.drive,
            clock(schedule, gone + self.drive)
        )
    }

    /// The crew misses the runner, unless it leaves as soon as `sooner`.
    fn too_late(
        &self,
        weight: Weight,
        next: usize,
        says: String,
        sooner: Option<String>,
    ) -> Finding {
        let (from, to) = self.names;
        let about = About::Station(next);
        let mut finding = Finding::new(FindingKind::CrewTooLate, weight, about, Phrase::new(says));
        if let Some(sooner) = sooner {
            finding = finding.way_out(Phrase::new(format!(
                "leave `{from}` by {sooner} without waiting for the runner"
            )));
        }
        finding
            .way_out(Phrase::new(format!(
                "leave out `{from}` or `{to}`, or split the crew"
            )))
            .way_out(Phrase::new(format!(
                "let the drop bag, the station or earlier pockets supply `{to}`"
            )))
    }
}

/// A time as the crew reads it: on the wall where that is known, else since the start.
fn clock(schedule: &Schedule, time: Elapsed) -> String {
    match &schedule.clock {
        Some(clock) => clock.show(time),
        None => time.to_string(),
    }
}

/// The only known road leads past a place that the crew does not get to.
fn blocked_drive(there: &str, here: &str, by: &str, station: usize) -> Finding {
    let says = format!(
        "the drive from `{there}` to `{here}` goes by way of `{by}`, where the crew does not get: \
         no other road is known"
    );
    let (kind, about) = (FindingKind::DriveUnknown, About::Station(station));
    let finding = Finding::new(kind, Weight::Warning, about, Phrase::new(says));
    finding.way_out(Phrase::new(format!(
        "if the road itself is closed, find another and add a `[[drive]]` between `{there}` and `{here}`"
    )))
}

fn unknown_drive(there: &str, here: &str, station: usize) -> Finding {
    let says = format!("the drive from `{there}` to `{here}` is not known");
    let about = About::Station(station);
    Finding::new(
        FindingKind::DriveUnknown,
        Weight::Note,
        about,
        Phrase::new(says),
    )
    .way_out(Phrase::new(format!(
        "add a `[[drive]]` between `{there}` and `{here}`"
    )))
}

/// Things to bring to a place where the crew never is.
pub(super) fn brought_nowhere(course: &Course, crew: &CrewFile, met: &[usize]) -> Vec<Finding> {
    let at = |name: &str, station: usize| {
        let station = &course.stations[station];
        same_name(name, &station.name) || same_name(name, &course.places[station.place].name)
    };
    crew.bring
        .iter()
        .map(|(name, _)| &name.value)
        .filter(|name| !met.iter().any(|station| at(name, *station)))
        .map(|name| {
            let says = format!("things are to be brought to `{name}`, where the crew meets nobody");
            Finding::new(
                FindingKind::BringNowhere,
                Weight::Note,
                About::Race,
                Phrase::new(says),
            )
        })
        .collect()
}
