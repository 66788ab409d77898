//! What cannot be laid out, with ways out.

use crate::diagnostics::{Diagnostic, Notes};

use super::Wish;

/// No calendar is longer, weeks.
const LONGEST_WEEKS: i64 = 104;

/// Says what rules out any calendar.
pub fn check(wish: &Wish, notes: &mut Notes) {
    let race = wish.race;
    if wish.from >= race {
        notes.push(
            Diagnostic::error(format!(
                "the calendar starts on {}, and the race is on {race}",
                wish.from
            ))
            .hint(format!(
                "give --from a day before {race}, or check the course's `start`"
            )),
        );
    } else if (race - wish.from).num_weeks() > LONGEST_WEEKS {
        notes.push(
            Diagnostic::error(format!(
                "the calendar starts on {}, more than {LONGEST_WEEKS} weeks before the race on {race}",
                wish.from
            ))
            .hint("start it nearer to the race"),
        );
    }
    for (first, last) in wish.blocked.iter().filter(|(first, last)| last < first) {
        notes.push(
            Diagnostic::error(format!("blocked days from {first} end before, on {last}"))
                .hint(format!("write --block {last}..{first}")),
        );
    }
    for practice in &wish.practice {
        // a first day that is wrong has been said
        let is_early = wish.from < race && practice.date < wish.from;
        if is_early || practice.date >= race {
            notes.push(
                Diagnostic::error(format!(
                    "the practice race on {} is not between {} and the race on {race}",
                    practice.date, wish.from
                ))
                .hint("give --practice a day on the way to the race"),
            );
        }
        if wish.is_blocked(practice.date) {
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
