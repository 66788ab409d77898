//! Numbers of the crew: when to stand where and when to drive off.

use crate::facts::MeetingFacts;

use super::What;
use super::question::Question;

pub(super) const BE_THERE: What = What {
    name: "be-there",
    key: "be_there_s",
    meaning: "The time the crew must be there.",
    formula: "early arrival less the crew's buffer, or drive-off and the drive where that is later",
    build: |asked| {
        let meeting = meeting(asked)?;
        let helpers = asked.planned.helpers.as_ref()?;
        let mut draft = asked
            .of_station(&meeting.be_there.text)
            .step("early arrival", &meeting.early.text)
            .step("buffer", &helpers.buffer.text);
        if let (Some(off), Some(drive)) = (&meeting.drive_off_by, &meeting.drive) {
            draft = draft
                .step("drive off", &off.text)
                .step(format!("drive from {}", meeting.drives_from), &drive.text);
        }
        draft
            .source(
                "early is one race in ten; a runner who is early here was early at the meeting \
                     before",
            )
            .into()
    },
};

pub(super) const DRIVE_OFF: What = What {
    name: "drive-off",
    key: "drive_off_by_s",
    meaning: "The time the crew leaves the meeting before; earlier or later with a runner who is \
              early or late there.",
    formula: "early arrival less buffer and drive, but not before the runner has left the meeting \
              before",
    build: |asked| {
        let meeting = meeting(asked)?;
        let off = meeting.drive_off_by.as_ref()?;
        let drive = meeting.drive.as_ref()?;
        let helpers = asked.planned.helpers.as_ref()?;
        let draft = asked
            .of_station(&off.text)
            .step("early arrival", &meeting.early.text)
            .step("buffer", &helpers.buffer.text)
            .step(format!("drive from {}", meeting.drives_from), &drive.text);
        let meetings = &asked.planned.crew;
        let before = meetings
            .iter()
            .take_while(|met| met.number != meeting.number);
        Some(match before.last() {
            Some(before) => draft.step(
                format!("the runner leaves {}", before.station),
                &before.leaves.text,
            ),
            None => draft,
        })
    },
};

pub(super) const LEAVES: What = What {
    name: "leaves",
    key: "leaves_s",
    meaning: "The likely time the runner goes on from the crew.",
    formula: "likely arrival and the planned stop, and not before the planned departure",
    build: |asked| {
        let meeting = meeting(asked)?;
        let stop = asked.split().stop.as_ref();
        let stop = stop.map_or_else(|| "none".to_owned(), |stop| stop.text.clone());
        asked
            .of_station(&meeting.leaves.text)
            .step("likely arrival", &meeting.likely.text)
            .input("planned stop", stop, asked.row(asked.station))
            .step("planned departure", &meeting.departure.text)
            .into()
    },
};

pub(super) const DRIVE: What = What {
    name: "drive",
    key: "drive_s",
    meaning: "The drive from the meeting before.",
    formula: "the drive as the crew file has it, or the quickest way over the drives it has",
    build: |asked| {
        let meeting = meeting(asked)?;
        let drive = meeting.drive.as_ref()?;
        let crew = asked.view.inputs.crew.as_ref()?;
        let draft = asked
            .of_station(&drive.text)
            .step("from", &meeting.drives_from)
            .step("to", &meeting.place);
        let ends = [&meeting.drives_from, &meeting.place];
        let own = crew
            .drives
            .iter()
            .find(|drive| ends.contains(&&drive.from.value) && ends.contains(&&drive.to.value));
        Some(match own {
            Some(own) => draft.input("written", &drive.text, asked.at(own.from.span)),
            None => draft,
        })
    },
};

fn meeting<'a>(asked: &Question<'a>) -> Option<&'a MeetingFacts> {
    let number = &asked.here().number;
    let meetings = &asked.planned.crew;
    meetings.iter().find(|meeting| meeting.number == *number)
}
