//! Numbers of the course: distances, climb and descent.

use crate::facts::Measure;

use super::What;
use super::question::{Question, Working};

pub(super) const DISTANCE: What = What {
    name: "distance",
    key: "official_m",
    meaning: "Distance from the start by the organiser's count.",
    formula: "a distance of the station list stands as it is; coordinates are placed on the route in \
              course order, and their distance along it is stretched between the stations whose \
              distances are known",
    build: |asked| {
        let here = asked.here();
        let survey = &asked.facts.race.0.survey;
        let draft = asked
            .of_station(&here.official.text)
            .input("station", &here.station, asked.row(asked.station))
            .step("along the route file", &here.distance.text)
            .step("route file in all", &survey.route_length.text);
        let official = survey.official_length.as_ref();
        Some(match official {
            Some(official) => draft.step("organiser's length", &official.text),
            None => draft,
        })
    },
};

pub(super) const LENGTH: What = What {
    name: "length",
    key: "official_length_m",
    meaning: "Length of the segment by the organiser's count.",
    formula: "distance of its second station less distance of its first",
    build: |asked| {
        let segment = asked.segment()?;
        let stations = &asked.facts.stations;
        let (from, to) = (&stations[asked.station - 1], asked.here());
        asked
            .of_segment(&segment.official_length.text)?
            .input(&to.station, &to.official.text, asked.row(asked.station))
            .input(
                &from.station,
                &from.official.text,
                asked.row(asked.station - 1),
            )
            .step("along the route file", &segment.length.text)
            .into()
    },
};

pub(super) const CLIMB: What = What {
    name: "climb",
    key: "climb_m",
    meaning: "Metres up on the segment.",
    formula: "sum of the rises of the filtered profile, scaled to the organiser's climb where that \
              is known; turns below the threshold do not count",
    build: |asked| height(asked, &asked.segment()?.climb, true),
};

pub(super) const DESCENT: What = What {
    name: "descent",
    key: "descent_m",
    meaning: "Metres down on the segment.",
    formula: "sum of the falls of the filtered profile; turns below the threshold do not count",
    build: |asked| height(asked, &asked.segment()?.descent, false),
};

fn height(asked: &Question<'_>, own: &Measure, up: bool) -> Option<Working> {
    let survey = &asked.facts.race.0.survey;
    let (raw, filtered) = if up {
        (&survey.raw_climb, &survey.filtered_climb)
    } else {
        (&survey.raw_descent, &survey.filtered_descent)
    };
    let draft = asked
        .of_segment(&own.text)?
        .step("whole course as recorded", &raw.text)
        .step("whole course after filtering", &filtered.text)
        .step("smallest turn that counts", &survey.least_turn.text);
    let draft = match survey.official_climb.as_ref().filter(|_| up) {
        Some(official) => draft.step("organiser's climb", &official.text),
        None => draft,
    };
    Some(draft.source(
        "our own filter; the rule that turns below the noise do not count is common practice",
    ))
}
