//! Figures of straying fitted on all editions but one, and how that one is foretold by them.

use sutler::arrivals::figures::Straying;

use super::held::{self, Foretold, Held};
use super::solved::Solved;

/// Figures tried: spread of going out, the share of the way it lasts, and the drift.
const STARTS: [f64; 4] = [0.10, 0.14, 0.18, 0.22];
const START_OVERS: [f64; 2] = [0.035, 0.07];
const DRIFTS: [f64; 3] = [0.15, 0.19, 0.23];

/// An edition as some figures foretell it.
struct Tried {
    figures: Straying,
    held: Vec<Held>,
    foretold: Vec<Foretold>,
}

/// Prints the tables, every edition foretold by figures fitted on the others.
pub(crate) fn print(solved: &[Solved<'_>]) {
    let mut names: Vec<&str> = solved.iter().map(|one| one.edition.name.as_str()).collect();
    names.dedup();
    let tried: Vec<Vec<Tried>> = (names.iter())
        .map(|name| {
            let own = |one: &&Solved<'_>| one.edition.name == *name;
            let own: Vec<&Solved<'_>> = solved.iter().filter(own).collect();
            let each = all().into_iter().map(|figures| Tried {
                held: held::held(&own, &figures),
                foretold: held::foretold(&own, &figures),
                figures,
            });
            each.collect()
        })
        .collect();
    let (mut held, mut foretold) = (Vec::new(), Vec::new());
    println!(
        "\nFigures fitted without the edition: least pinball loss of early, likely and late\n"
    );
    for (left_out, name) in names.iter().enumerate() {
        let loss = |figures: &usize| -> f64 {
            let others = tried.iter().enumerate().filter(|(at, _)| *at != left_out);
            others.map(|(_, of)| of[*figures].loss()).sum()
        };
        let best = (0..tried[left_out].len()).min_by(|a, b| loss(a).total_cmp(&loss(b)));
        let own = &tried[left_out][best.expect("figures were tried")];
        let Straying {
            start,
            start_over,
            drift,
            ..
        } = own.figures;
        println!("{name}: start {start}, over by {start_over}, drift {drift}");
        held::print_foretold(&own.foretold);
        held.extend(own.held.iter().copied());
        foretold.extend(own.foretold.iter().copied());
    }
    println!("\nAll editions, each left out");
    held::print_held(&held);
    held::print_foretold(&foretold);
}

fn all() -> Vec<Straying> {
    let mut found = Vec::new();
    for start in STARTS {
        for start_over in START_OVERS {
            for drift in DRIFTS {
                found.push(Straying {
                    start,
                    start_over,
                    drift,
                    ..Straying::default()
                });
            }
        }
    }
    found
}

impl Tried {
    /// Mean loss of the windows given the finish and of those of finishes foretold.
    fn loss(&self) -> f64 {
        let held = self.held.iter().map(|one| one.window.loss());
        let foretold = self.foretold.iter().map(|one| one.window.loss());
        held.sum::<f64>() / self.held.len().max(1) as f64
            + foretold.sum::<f64>() / self.foretold.len().max(1) as f64
    }
}
