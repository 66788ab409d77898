//! Stations as they are typed: by name, by place, by the number in the lists, or by a part of the
//! name that no other place has.

use crate::diagnostics::{Diagnostic, did_you_mean};
use crate::words::{folded, listed, plain};

use super::Course;

/// The most candidates that are listed.
const SHOWN: usize = 6;

impl Course {
    /// The stations that a typed name can mean, in course order, never none: several are visits to
    /// one place.
    ///
    /// # Errors
    /// A name of no station, or a part of several places' names.
    pub fn named(&self, typed: &str) -> Result<Vec<usize>, Diagnostic> {
        let place = |at: usize| self.places[self.stations[at].place].name.as_str();
        let is = |matches: &dyn Fn(usize) -> bool| -> Vec<usize> {
            (0..self.stations.len()).filter(|at| matches(*at)).collect()
        };
        let (wanted, part) = (folded(typed), plain(typed));
        let has_letters = part.chars().filter(|c| c.is_alphabetic()).count() > 1;
        let name = |at: usize| self.stations[at].name.as_str();
        let found = [
            is(&|at| folded(name(at)) == wanted),
            is(&|at| folded(place(at)) == wanted),
            self.numbered(&wanted).into_iter().collect(),
            is(&|at| plain(name(at)) == part),
            is(&|at| {
                has_letters && (plain(name(at)).contains(&part) || plain(place(at)).contains(&part))
            }),
        ];
        let found = found.into_iter().find(|found| !found.is_empty());
        let Some(found) = found else {
            let places = self.places.iter().map(|place| place.name.as_str());
            let names = self.stations.iter().map(|station| station.name.as_str());
            let near = did_you_mean(typed.trim(), names.chain(places));
            let hint = near.unwrap_or_else(|| "`sutler splits` lists the stations".to_owned());
            let says = format!("there is no station `{}`", typed.trim());
            return Err(Diagnostic::error(says).hint(hint));
        };
        let same = |at: &usize| self.stations[*at].place == self.stations[found[0]].place;
        if found.iter().all(same) || folded(name(found[0])) == wanted {
            return Ok(found);
        }
        let says = format!("`{}` is part of several names", typed.trim());
        let more = if found.len() > SHOWN { " and more" } else { "" };
        let names = listed(found.iter().take(SHOWN).map(|at| name(*at)));
        Err(Diagnostic::error(says).hint(format!("it can be {names}{more}")))
    }

    /// The station of a number as the lists print it: `S`, 1, 2 … `F`; of both ends the words, too.
    fn numbered(&self, wanted: &str) -> Option<usize> {
        let finish = self.stations.len() - 1;
        match wanted {
            "s" | "start" => Some(0),
            "f" | "finish" => Some(finish),
            _ => (wanted.parse().ok()).filter(|number| (1..finish).contains(number)),
        }
    }
}
