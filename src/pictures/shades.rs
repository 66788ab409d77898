//! The way on a map in shades of the planned hour: the later, the further from the paper.

use crate::facts::{Facts, Moment};

use super::canvas::{Canvas, Meaning, lined};
use super::svg::path;
use super::theme::Theme;
use super::ways::{Point, arrow};

/// The way is so wide.
const WAY: f64 = 3.0;

/// The colours of a way.
pub(super) struct Shades<'f> {
    /// By the planned clock, the first hours first; nothing without a target.
    hours: Vec<Hours<'f>>,
    /// Without a target.
    plan: &'static str,
}

/// A few hours of the plan in a shade of their own.
struct Hours<'f> {
    /// The first sample of the way in them.
    from: usize,
    /// Their beginning.
    at: &'f Moment,
    shade: &'static str,
}

/// As many hours to a shade as it takes for the shades there are.
fn hours<'f>(facts: &'f Facts, theme: &Theme) -> Vec<Hours<'f>> {
    let (profile, plan) = (&facts.profile, facts.planned());
    let Some((plan, first)) = plan.and_then(|plan| Some((plan, plan.splits.first()?))) else {
        return Vec::new();
    };
    let total_h = plan.finish.elapsed.as_s() / 3600.0;
    let every = (total_h / theme.hours.len() as f64).ceil().max(1.0) as usize;
    let later = profile.hours.iter().step_by(every).skip(1);
    let bounds = std::iter::once(&first.arrival).chain(later.map(|hour| &hour.at));
    let shaded = bounds.zip(theme.hours).map(|(at, shade)| {
        let at_s = at.elapsed.as_s();
        let from = profile.elapsed_s.partition_point(|s| *s < at_s);
        Hours { from, at, shade }
    });
    let last = profile.elapsed_s.len().saturating_sub(1);
    shaded.filter(|hours| hours.from < last).collect()
}

impl<'f> Shades<'f> {
    pub(super) fn of(facts: &'f Facts, theme: &Theme) -> Shades<'f> {
        Shades {
            hours: hours(facts, theme),
            plan: theme.plan,
        }
    }

    /// The way from one sample to another in the shades of its hours.
    pub(super) fn stretch(
        &self,
        canvas: &mut Canvas<'_>,
        way: &[Point],
        (from, to): (usize, usize),
    ) {
        let starts = self.hours.iter().map(|hours| hours.from).skip(1);
        let cuts = starts.filter(|cut| (from + 1..to).contains(cut));
        let ends: Vec<usize> = [from].into_iter().chain(cuts).chain([to]).collect();
        for two in ends.windows(2) {
            let run = path(&way[two[0]..=two[1]], false).stroke(self.shade(two[0]), WAY);
            let run = run.set("stroke-linejoin", "round").set("class", "way");
            canvas.add(run.empty());
        }
    }

    /// The direction in the middle of a stretch that begins with a sample.
    pub(super) fn head(&self, canvas: &mut Canvas<'_>, stretch: &[Point], from: usize) {
        let middle = stretch.len() / 2;
        if let Some(head) = arrow(stretch, middle, 7.0) {
            let shade = self.shade(from + middle);
            canvas.add(path(&head, true).set("fill", shade).empty());
        }
    }

    /// The shade of the hour at a sample.
    fn shade(&self, sample: usize) -> &'static str {
        let hours = self.hours.iter().rfind(|hours| hours.from <= sample);
        hours.map_or(self.plan, |hours| hours.shade)
    }

    /// Every shade with the hour it begins at.
    pub(super) fn meanings(&self) -> Vec<Meaning> {
        let mut before: Option<&Moment> = None;
        let shaded = self.hours.iter().map(|hours| {
            let words = match before.replace(hours.at) {
                Some(before) => hours.at.beside(before).to_owned(),
                None => format!("the way by the planned clock, from {}", hours.at.text),
            };
            Meaning::new(lined(hours.shade, WAY, ""), words)
        });
        let mut meanings: Vec<Meaning> = shaded.collect();
        if meanings.is_empty() {
            meanings.push(Meaning::new(lined(self.plan, WAY, ""), "the way"));
        }
        meanings
    }
}
