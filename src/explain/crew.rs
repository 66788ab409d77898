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

pub(super) const DRIVE: What = What {
    name: "drive",
    key: "drive_s",
    meaning: "How long the crew drives from the meeting before.",
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

fn meeting<'a>(asked: &Asked<'a>) -> Option<&'a MeetingFacts> {
    let number = &asked.here().number;
    let meetings = &asked.planned.crew;
    meetings.iter().find(|meeting| meeting.number == *number)
}
