//! Problems of a file, told in bounds: the first few whole, the others as a number.

use super::values::short;
use crate::diagnostics::{Diagnostic, Notes};
use crate::words::count;

/// Problems of one kind of place: the first few whole, the others as a number.
#[derive(Default)]
pub(super) struct Problems {
    shown: Vec<Diagnostic>,
    more: usize,
}

impl Problems {
    const SHOWN: usize = 3;

    pub(super) fn push(&mut self, problem: Diagnostic) {
        if self.shown.len() < Self::SHOWN {
            self.shown.push(problem);
        } else {
            self.more += 1;
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.shown.is_empty()
    }

    pub(super) fn tell(self, file_name: &str, notes: &mut Notes) {
        self.shown
            .into_iter()
            .for_each(|problem| notes.push(problem));
        if self.more > 0 {
            notes.push(Diagnostic::error(format!(
                "`{file_name}` has {} more problems like these",
                self.more
            )));
        }
    }
}

/// Elements that no GPX schema knows.
#[derive(Default)]
pub(super) struct UnknownElements {
    count: usize,
    names: Vec<String>,
}

impl UnknownElements {
    const NAMED: usize = 3;

    pub(super) fn add(&mut self, name: &str) {
        self.count += 1;
        // One more than is shown, to know whether there are others.
        if self.names.len() <= Self::NAMED && !self.names.iter().any(|known| *known == short(name))
        {
            self.names.push(short(name).into_owned());
        }
    }

    pub(super) fn warning(&self, file_name: &str) -> Option<Diagnostic> {
        let shown = self.names.iter().take(Self::NAMED);
        let mut names = shown.map(|name| format!("`{name}`")).collect::<Vec<_>>();
        if names.is_empty() {
            return None;
        }
        if self.names.len() > Self::NAMED {
            names.push("others".to_owned());
        }
        Some(Diagnostic::warning(format!(
            "`{file_name}` holds {} that GPX does not know, skipped: {}",
            count(self.count, "element"),
            names.join(", ")
        )))
    }
}
