//! Wishes that cannot be laid out, with ways out.

use crate::diagnostics::{Diagnostic, Notes};

use super::CalendarRequest;

/// No calendar is longer, weeks.
const LONGEST_WEEKS: i64 = 104;

/// Says what rules out any calendar.
pub fn check(request: &CalendarRequest, notes: &mut Notes) {
    let race = request.race;
    if request.from >= race {
        notes.push(
            Diagnostic::error(format!(
                "the calendar starts on {}, and the race is on {race}",
                request.from
            ))
            .hint(format!(
                "give --from a day before {race}, or check the course's `start`"
            )),
        );
    } else if (race - request.from).num_weeks() > LONGEST_WEEKS {
        notes.push(
            Diagnostic::error(format!(
                "the calendar starts on {}, more than {LONGEST_WEEKS} weeks before the race on {race}",
                request.from
            ))
            .hint("start it nearer to the race"),
        );
    }
    for (first, last) in request.blocked.iter().filter(|(first, last)| last < first) {
        notes.push(
            Diagnostic::error(format!("blocked days from {first} end before, on {last}"))
                .hint(format!("write --block {last}..{first}")),
        );
    }
    // a race that was run was where it was
    let ahead = request.practice.iter();
    for practice in ahead.filter(|race| race.time_s.is_none()) {
        // a first day that is wrong has been said
        let is_early = request.from < race && practice.date < request.from;
        if is_early || practice.date >= race {
            notes.push(
                Diagnostic::error(format!(
                    "the practice race on {} is not between {} and the race on {race}",
                    practice.date, request.from
                ))
                .hint("give --practice a day on the way to the race"),
            );
        }
        if request.is_blocked(practice.date) {
            notes.push(
                Diagnostic::error(format!(
                    "the practice race on {} is on a blocked day",
                    practice.date
                ))
                .hint("free that day, or leave the race out"),
            );
        }
    }
}
