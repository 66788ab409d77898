//! Numbers of the crew: when to stand where and when to drive off.

use crate::facts::MeetingFacts;

use super::What;
use super::asked::Asked;

pub(super) const BE_THERE: What = What {
    name: "be-there",
    key: "be_there_s",
    meaning: "When the crew is to stand there.",
    formula: "early arrival less the crew's buffer",
    build: |asked| {
        let meeting = meeting(asked)?;
        let helpers = asked.planned.helpers.as_ref()?;
        Some(
            asked
                .of_station(&meeting.be_there.text)
                .step("early arrival", &meeting.early.text)
                .step("buffer", &helpers.buffer.text)
                .source("nine runners in ten find their crew waiting: our choice"),
        )
    },
};

pub(super) const DRIVE_OFF: What = What {
    name: "drive-off",
    key: "drive_off_by_s",
    meaning: "When the crew leaves the meeting before at the latest.",
    formula: "when to stand there less the drive",
    build: |asked| {
        let meeting = meeting(asked)?;
        let off = meeting.drive_off_by.as_ref()?;
        let drive = meeting.drive.as_ref()?;
        Some(
            asked
                .of_station(&off.text)
                .step("be there", &meeting.be_there.text)
                .step(format!("drive from {}", meeting.drives_from), &drive.text),
        )
    },
};

fn meeting<'a>(asked: &Asked<'a>) -> Option<&'a MeetingFacts> {
    let number = &asked.here().number;
    let meetings = &asked.planned.crew;
    meetings.iter().find(|meeting| meeting.number == *number)
}
