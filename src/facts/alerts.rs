//! Dangers of a way, said where the runner leaves for it, with what to do.

use crate::fueling::{ColdStretch, HighWay, StormHours};
use crate::packing::{Pickup, RunsDry, more_flasks};
use crate::plan::Plan;

use super::View;
use super::race::number;
use super::value::{Measure, Moment, record};
use super::watch;

record! {
    /// A danger of the way to the next supply point, with what to do.
    pub struct AlertFacts {
        /// `dry`, `cold`, `mild` (a night that is cold to who walks), `frost`, `height` or `storm`.
        pub kind: &'static str,
        /// The danger, in as few words as a card has room for.
        pub brief: String,
        /// What to do about it, in as few.
        pub act: String,
        /// Both in full.
        pub words: String,
        /// The same without the plan's times, where it has any: for a runner who is late.
        pub timeless: Option<String>,
        /// The planned time to see to it on the way.
        pub at: Option<Moment>,
    }
}

impl AlertFacts {
    /// True for what the crew sees to before the runner leaves; the rest is told.
    #[must_use]
    pub fn is_cold(&self) -> bool {
        matches!(self.kind, "cold" | "mild")
    }

    /// The danger and what to do, without the plan's times.
    #[must_use]
    pub fn told(&self) -> &str {
        self.timeless.as_ref().unwrap_or(&self.words)
    }

    /// A danger that is told without times of its own.
    fn untimed(kind: &'static str, brief: String, act: String, words: String) -> AlertFacts {
        AlertFacts {
            kind,
            brief,
            act,
            words,
            timeless: None,
            at: None,
        }
    }

    /// Every danger between a supply point and the next.
    pub(super) fn all(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> Vec<AlertFacts> {
        let fueling = &plan.fueling;
        let here = pickup.station..pickup.until;
        let way = Way { view, plan, pickup };
        let mut all: Vec<AlertFacts> = pickup.runs_dry.iter().map(|dry| way.dry(*dry)).collect();
        let cold = || fueling.cold.iter().filter(|cold| here.contains(&cold.from));
        // who dresses for worse soon has what a mild night asks for
        let worse = cold().any(|cold| !cold.is_mild());
        all.extend((cold().filter(|cold| !worse || !cold.is_mild())).map(|cold| way.cold(cold)));
        // what goes on from the way before has been said there
        let before = || here.start.checked_sub(1);
        let is_frosty = |at: usize| fueling.segments[at].frost_c().is_some();
        if here.clone().any(is_frosty) && !before().is_some_and(is_frosty) {
            all.push(frost());
        }
        let thin = |at: usize| {
            fueling
                .high
                .iter()
                .find(|way| way.segment == at && way.is_thin)
        };
        let is_thin = |at: usize| thin(at).is_some();
        if let Some(first) = here.clone().find(|at| is_thin(*at))
            && !before().is_some_and(is_thin)
        {
            let highest = (first..).map_while(thin);
            let highest = highest.max_by(|a, b| a.top_m.total_cmp(&b.top_m));
            all.extend(highest.map(|highest| way.height(highest)));
        }
        let storms = fueling
            .high
            .iter()
            .filter(|way| here.contains(&way.segment));
        all.extend(storms.filter_map(|high| Some(way.storm(high.storms?))));
        all
    }
}

/// The way from a supply point to the next.
struct Way<'a> {
    view: &'a View<'a>,
    plan: &'a Plan,
    pickup: &'a Pickup,
}

impl Way<'_> {
    /// Such as `flasks hold 1000 ml, 2580 ml is likely drunk: fill up by 38.5 km (treat it), then sip
    /// 690 ml/h; or carry a reservoir of 2000 ml`.
    fn dry(&self, dry: RunsDry) -> AlertFacts {
        let units = self.view.units;
        let volume = |ml: f64| Measure::volume(units, ml).text;
        let (hold, drunk) = (volume(self.pickup.capacity_ml), volume(self.pickup.way_ml));
        let by = Measure::distance(units, dry.official_m).text;
        let fill = match dry.fills {
            1 => format!("fill up by {by}"),
            fills => format!("fill up {fills} times, first by {by}"),
        };
        let more = more_flasks("", dry.flasks).show(units);
        let then = watch::wanted(self.view, self.plan, self.pickup);
        let then = then.map_or_else(String::new, |rate| format!(", then sip {}", rate.text));
        AlertFacts::untimed(
            "dry",
            format!("Only {hold} fits, {drunk} likely"),
            format!("{fill}{then}; or {more}"),
            format!(
                "the flasks hold {hold}, {drunk} is likely drunk: {fill}{then} (treat water \
                 from a stream), or carry {more}; with neither slow down; in heat do not run on dry"
            ),
        )
    }

    fn cold(&self, cold: &ColdStretch) -> AlertFacts {
        let course = &self.view.race.course;
        let schedule = &self.plan.schedule;
        let name = |station: usize| &course.stations[station].name;
        let dress = cold.dress.map(|dress| {
            let at = Measure::distance(self.view.units, dress.official_m).text;
            (at, Moment::of(schedule, dress.at))
        });
        let on = match &dress {
            Some((at, time)) => format!(" by {at} or {}, whichever is first", time.text),
            None if cold.from == self.pickup.station => String::new(),
            None => format!(" at {}", name(cold.from)),
        };
        let act = match &dress {
            Some((at, time)) => format!("{} by {at} or {}", cold.wear_briefly()[1], time.clock),
            None => format!("{}{on}", cold.wear_briefly()[0]),
        };
        let by = match &dress {
            Some((at, _)) => format!(" by {at}"),
            None => on.clone(),
        };
        let timeless = format!(
            "{}{by}: {} as far as {}",
            cold.wear(),
            cold.name(),
            name(cold.until)
        );
        AlertFacts {
            kind: if cold.is_mild() { "mild" } else { "cold" },
            timeless: Some(timeless),
            at: dress.map(|(_, time)| time),
            brief: format!("Cold to {}", number(course, cold.until)),
            act,
            words: format!(
                "{}{on}: {} from {} to {}, as far as {}",
                cold.wear(),
                cold.name(),
                schedule.show(cold.begins),
                schedule.show(cold.ends),
                name(cold.until)
            ),
        }
    }

    fn height(&self, high: &HighWay) -> AlertFacts {
        let top = Measure::height(self.view.units, high.top_m).text;
        AlertFacts::untimed(
            "height",
            format!("Up to {top}"),
            "headache and sick, or stumbling: go down".to_owned(),
            format!(
                "up to {top}: headache with nausea, dizziness or stumbling is height: no higher, go \
                 down, tell the next station"
            ),
        )
    }

    fn storm(&self, at: StormHours) -> AlertFacts {
        let schedule = &self.plan.schedule;
        let clock = |time| Moment::of(schedule, time).clock;
        let (hours, briefly) = match schedule.clock {
            Some(_) => (
                format!(" {} to {}", schedule.show(at.from), schedule.show(at.to)),
                format!(" {} to {}", clock(at.from), clock(at.to)),
            ),
            None => Default::default(),
        };
        let (brief, why) = match at.forecast {
            true => ("Storms", "storms are forecast"),
            false => ("High ground", "open ground in the hours of thunder"),
        };
        AlertFacts::untimed(
            "storm",
            format!("{brief}{briefly}"),
            "thunder: off the ridge, wait low".to_owned(),
            format!(
                "{why}{hours}: look at the sky before you climb; towering cloud or thunder: off ridge \
                 and summit, wait lower down"
            ),
        )
    }
}

fn frost() -> AlertFacts {
    let act = "flasks in the jacket, lid down; blow the hose empty; battery warm";
    let words = "flasks under the jacket, lid down, hose blown empty after each sip; gels and a spare \
                 battery in an inside pocket; skin that turns white or numb: cover and warm it, get \
                 inside";
    AlertFacts::untimed(
        "frost",
        "Frost".to_owned(),
        act.to_owned(),
        words.to_owned(),
    )
}
