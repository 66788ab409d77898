//! Things to look at and to keep in mind.

use crate::findings::{About, Caution, CautionKind, Finding, FindingKind, Weight};
use crate::rehearsal::practice::{LONG_RUN_SHARE, SINGLE_RUN_MOST_M, TAPER_WEEKS};
use crate::units::{Phrase, Quantity};
use crate::words::plural;

use super::{CalendarRequest, Growth, Week, WeekKind};

/// A practice race this much longer than the run of its week is more than it prepares for. Our
/// choice.
const PRACTICE_MOST: f64 = 1.5;
/// More than this above what was planned is worth a word. Our choice.
const MUCH_MORE: f64 = 1.1;

const BODY: Caution = Caution {
    kind: CautionKind::BodyFirst,
    when: "always",
    text: "The calendar bends to your life and body, never the other way: move or drop a run that \
           does not fit, and never make up for a missed one.",
};
const PAIN: Caution = Caution {
    kind: CautionKind::Pain,
    when: "always",
    text: "Pain that changes your stride means stop; see a licensed practitioner before the next \
           long run.",
};
const ILLNESS: Caution = Caution {
    kind: CautionKind::Illness,
    when: "always",
    text: "No long run with a fever, or with an illness below the neck; wait until you are well, \
           and ask a doctor when in doubt.",
};
const WEATHER: Caution = Caution {
    kind: CautionKind::HeatAndCold,
    when: "always",
    text: "In heat go slower, shorter and by shade and water; in cold and storm choose a route with \
           ways out. Follow warnings of local authorities; no test is worth it.",
};
const NIGHT: Caution = Caution {
    kind: CautionKind::Night,
    when: "a run starts in the dark",
    text: "In the dark run with company or tell someone your route and time, with two lamps, seen \
           by traffic, on ground you know; sleep enough before you drive home.",
};

pub(super) fn cautions(weeks: &[Week]) -> Vec<Caution> {
    let mut all = vec![BODY, PAIN, ILLNESS, WEATHER];
    let mut runs = weeks.iter().flat_map(|week| &week.runs);
    if runs.any(|run| run.dark_h > 0.0) {
        all.push(NIGHT);
    }
    all
}

pub(super) fn findings(request: &CalendarRequest, weeks: &[Week]) -> Vec<Finding> {
    let mut all = own_bounds(request);
    all.extend(practice(request, weeks));
    for (first, last) in &request.aches {
        let days = format!("{} to {}", first.format("%-d %b"), last.format("%-d %b"));
        let says = format!("an ache from {days}: no long run until it is gone");
        all.push(warning(FindingKind::Ache, Phrase::new(says)).way_out(Phrase::new(
            "the first run after it is 60 % of the length, the next 80 %, and only if both stay \
             quiet does the plan go on; halve them again if not, and see a licensed practitioner \
             where it changes your stride or outlasts a week",
        )));
    }
    let lost = weeks.iter().filter(|w| w.kind == WeekKind::Blocked).count();
    if lost > 0 {
        let weeks = plural(lost, "week has", "weeks have");
        all.push(warning(
            FindingKind::BlockedWeeks,
            Phrase::new(format!("{lost} {weeks} no free day for a long run")),
        ));
    }
    all.extend(stepped_back(weeks));
    all.extend(share_of_week(weeks));
    all.extend(more_than_planned(weeks));
    all
}

/// The last of the steps back; those that follow each other are one.
fn stepped_back(weeks: &[Week]) -> Option<Finding> {
    let fell = |back: &&[Week]| back[back.len() - 1].level_m < back[0].level_m;
    let mut steps = weeks.chunk_by(|before, week| week.level_m <= before.level_m);
    let back = steps.rfind(fell)?;
    let (first, last) = (back.first()?, back.last()?);
    let after = back.iter().find(|week| week.level_m == last.level_m)?;
    let says = format!(
        "weeks without their long run: from the week of {} the plan goes on from ",
        after.monday.format("%-d %b")
    );
    let says = Phrase::new(says).and(Quantity::Distance { m: last.level_m });
    let says = says.and(" where it stood at ");
    let says = says.and(Quantity::Distance { m: first.level_m });
    Some(warning(FindingKind::SteppedBack, says))
}

/// The last week in which much more was run than planned.
fn more_than_planned(weeks: &[Week]) -> Option<Finding> {
    let done_m = |week: &Week| week.done.iter().fold(0.0, |m, done| m + done.distance_m);
    let more = |week: &&Week| done_m(week) > MUCH_MORE * week.long_m() && !week.runs.is_empty();
    let week = weeks.iter().rfind(more)?;
    let says = format!("in the week of {} you ran ", week.monday.format("%-d %b"));
    let says = Phrase::new(says)
        .and(Quantity::Distance { m: done_m(week) })
        .and(" where ")
        .and(Quantity::Distance { m: week.long_m() })
        .and(" was planned; the next runs do not grow faster for it");
    Some(warning(FindingKind::MoreThanPlanned, says))
}

/// The first week of which the long runs are more than is usual.
fn share_of_week(weeks: &[Week]) -> Option<Finding> {
    let most = *LONG_RUN_SHARE.end();
    let building = weeks.iter().filter(|week| week.kind == WeekKind::Building);
    let shares = building.filter_map(|week| Some((week, week.long_m() / week.week_m?)));
    let (week, share) = shares.into_iter().find(|(_, share)| *share > most)?;
    let says = Phrase::new(format!(
        "from the week of {} the long runs are {:.0} % and more of ",
        week.monday.format("%-d %b"),
        100.0 * share
    ));
    let says = says.and(Quantity::Distance { m: week.week_m? });
    let says = says.and(" a week; 30 to 50 % is usual");
    Some(warning(FindingKind::WeekShare, says).way_out(Phrase::new(
        "run more on the other days first, or set a lower `--peak`",
    )))
}

fn warning(kind: FindingKind, says: Phrase) -> Finding {
    Finding::new(kind, Weight::Warning, About::Race, says)
}

/// Bounds that the runner sets otherwise.
fn own_bounds(request: &CalendarRequest) -> Vec<Finding> {
    let mut all = Vec::new();
    if request.peak_m() > SINGLE_RUN_MOST_M {
        all.push(
            warning(
                FindingKind::SingleRun,
                Phrase::new("a single run of ")
                    .and(Quantity::Distance {
                        m: request.peak_m(),
                    })
                    .and(" is longer than the usual most of ")
                    .and(Quantity::Distance {
                        m: SINGLE_RUN_MOST_M,
                    }),
            )
            .way_out(Phrase::new(
                "two runs on one weekend tire as much and heal sooner",
            )),
        );
    }
    let usual = Growth::default();
    if request.growth.share > usual.share || request.growth.most_m > usual.most_m {
        all.push(warning(
            FindingKind::Growth,
            Phrase::new(format!(
                "the long run grows by up to {:.0} % a week, faster than the usual 10 %",
                request.growth.share * 100.0
            )),
        ));
    }
    let (least, most) = (TAPER_WEEKS.start(), TAPER_WEEKS.end());
    if !TAPER_WEEKS.contains(&request.taper_weeks) {
        all.push(warning(
            FindingKind::Taper,
            Phrase::new(format!(
                "a taper of {} weeks; {least} to {most} are usual",
                request.taper_weeks
            )),
        ));
    }
    all
}

fn practice(request: &CalendarRequest, weeks: &[Week]) -> Vec<Finding> {
    let mut all = Vec::new();
    let ahead = request.practice.iter();
    for race in ahead.filter(|race| race.time_s.is_none()) {
        let until = (request.race - race.date).num_weeks();
        let date = race.date.format("%-d %b");
        if until < i64::from(request.taper_weeks) + 2 {
            all.push(warning(
                FindingKind::PracticeLate,
                Phrase::new(format!(
                    "the practice race on {date} leaves {until} weeks: too few for an easy week \
                     and the taper"
                )),
            ));
        }
        let own = weeks.iter().find(|week| {
            week.kind == WeekKind::Practice && week.runs.iter().any(|run| run.date == race.date)
        });
        if own.is_some_and(|week| race.distance_m > PRACTICE_MOST * week.level_m) {
            all.push(warning(
                FindingKind::PracticeLong,
                Phrase::new(format!("the practice race on {date} is "))
                    .and(Quantity::Distance { m: race.distance_m })
                    .and(", much longer than any long run before it"),
            ));
        }
    }
    all
}
