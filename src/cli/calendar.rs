//! `sutler rehearse --calendar`: every long run on the way to the race.

use std::path::PathBuf;

use chrono::{Days, NaiveDate, NaiveTime};
use clap::{Args as ClapArgs, ValueEnum};

use sutler::calendar::{self, CalendarRequest, Done, Growth, PracticeRace, aims};
use sutler::diagnostics::{Diagnostic, Notes};
use sutler::exports;
use sutler::facts::{CalendarFacts, Facts};
use sutler::inputs::{Inputs, PastResult};
use sutler::pictures::{self, DARK, LIGHT};
use sutler::plan::{Plan, Race};
use sutler::rehearsal::practice::{BUILDING_WEEKS, EASY_WEEKS_AFTER_RACE, SINGLE_RUN_MOST_M};
use sutler::units::M_PER_MILE;
use sutler::unknowns;

use super::args::{OutputArgs, UnitsArg};
use super::load::Loaded;
use super::report::{make, print, view};
use super::show::Stop;
use super::typed::{date, length_m};
use super::{DONE, save, show};

/// Recorded runs this many days before the first day say how long the longest run is now.
const RECENT_DAYS: u64 = 42;
/// A race this many days before does too, by this share of it. Our choice.
const RACED_DAYS: u64 = 84;
const RACED_SHARE: f64 = 0.5;

const CALENDAR: &str = "Calendar";

#[derive(ClapArgs, Debug)]
pub(crate) struct CalendarArgs {
    /// Lay out every long run to the race instead
    ///
    /// Counted back from race day and moved around blocked days, with what each run is to test. Runs in
    /// the record and races in [[past]] from --from on are taken as they were really run, and what
    /// is ahead follows.
    #[arg(long, requires = "from", conflicts_with_all = ["route", "distance", "date", "temp"], help_heading = CALENDAR)]
    pub(crate) calendar: bool,
    /// The first day that a run may be on; keep it when you plan again
    #[arg(long, value_name = "DATE", value_parser = date, requires = "calendar", help_heading = CALENDAR)]
    from: Option<NaiveDate>,
    /// The longest run of the last weeks, such as 20km [default: from the record and [[past]]]
    #[arg(long, value_name = "LENGTH", value_parser = length_m, requires = "calendar", help_heading = CALENDAR)]
    longest_now: Option<f64>,
    /// Length of the longest run [default: 3/4 of the race, 50 km and 8 h at most]
    #[arg(long, value_name = "LENGTH", value_parser = length_m, requires = "calendar", help_heading = CALENDAR)]
    peak: Option<f64>,
    /// Your weekly distance now, such as 60km: weeks grow from it [default: `week_km` in runner.toml]
    #[arg(long, value_name = "LENGTH", value_parser = length_m, requires = "calendar", help_heading = CALENDAR)]
    week: Option<f64>,
    /// A day, or days FIRST..LAST, without a long run; any number of them
    #[arg(long, value_name = "DATES", value_parser = days, requires = "calendar", help_heading = CALENDAR)]
    block: Vec<(NaiveDate, NaiveDate)>,
    /// Days FIRST..LAST with an ache: no long run, and two shorter ones after it
    #[arg(long, value_name = "DATES", value_parser = days, requires = "calendar", help_heading = CALENDAR)]
    ache: Vec<(NaiveDate, NaiveDate)>,
    /// A shorter race on the way, such as 2026-08-22=42km; any number of them
    #[arg(long, value_name = "DATE=LENGTH", value_parser = practice, requires = "calendar", help_heading = CALENDAR)]
    practice: Vec<PracticeRace>,
    /// Weeks of taper
    #[arg(long, value_name = "WEEKS", default_value_t = 2, value_parser = clap::value_parser!(u32).range(0..=4), help_heading = CALENDAR)]
    taper: u32,
    /// Building weeks before one that is reduced
    #[arg(long, value_name = "WEEKS", default_value_t = BUILDING_WEEKS, value_parser = clap::value_parser!(u32).range(1..=8), help_heading = CALENDAR)]
    build: u32,
    /// Easy weeks after a practice race, and one more after a long one
    #[arg(long, value_name = "WEEKS", default_value_t = EASY_WEEKS_AFTER_RACE, value_parser = clap::value_parser!(u32).range(0..=4), help_heading = CALENDAR)]
    easy: u32,
    /// One long run a week, never two in a row
    #[arg(long, requires = "calendar", help_heading = CALENDAR)]
    single: bool,
    /// Let the long run grow by this many percent a week instead of the usual 10 % or two miles
    #[arg(long, value_name = "PERCENT", value_parser = clap::value_parser!(u32).range(1..=30), requires = "calendar", help_heading = CALENDAR)]
    growth: Option<u32>,
    /// Also write the runs as iCalendar (RFC 5545) to this file
    #[arg(long, value_name = "FILE.ics", group = "files", requires = "calendar", help_heading = CALENDAR)]
    events: Option<PathBuf>,
    /// Also draw the weeks as a picture to this file
    #[arg(long, value_name = "FILE.svg", group = "files", requires = "calendar", help_heading = CALENDAR)]
    chart: Option<PathBuf>,
    /// Colours of the picture
    #[arg(long, value_name = "THEME", default_value = "light", help_heading = CALENDAR)]
    theme: ThemeArg,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum ThemeArg {
    /// For screens by day and for paper
    Light,
    /// For screens at night
    Dark,
}

/// Prints the calendar, and writes its events and picture where asked for.
pub(crate) fn run(
    args: &CalendarArgs,
    start: NaiveTime,
    output: &OutputArgs,
    mut loaded: Loaded,
) -> Result<u8, Stop> {
    let made = make(&mut loaded, true);
    let laid_out = made.and_then(|(race, plans)| {
        let request = request(
            args,
            start,
            output,
            &race,
            plans.first()?,
            &loaded.inputs,
            &mut loaded.notes,
        )?;
        calendar::check(&request, &mut loaded.notes);
        let aims = aims(&unknowns::all(&race, plans.first()?, &loaded.inputs));
        (!loaded.notes.has_errors()).then_some((race, plans, request, aims))
    });
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans, request, aims) = laid_out.ok_or(Stop::Shown)?;
    let calendar = calendar::lay_out(&request, &aims);
    let view = view(&race, &plans, &loaded, output.units);
    let mut facts = Facts::of(&view);
    let told = CalendarFacts::of(&view, &calendar, &aims);
    if let Some(path) = &args.events {
        let text = exports::long_runs(&facts, &told);
        save::output(path, text.as_bytes(), output.overwrite, &loaded.read)?;
    }
    if let Some(path) = &args.chart {
        let theme = match args.theme {
            ThemeArg::Light => LIGHT,
            ThemeArg::Dark => DARK,
        };
        save::output(
            path,
            pictures::long_runs(&facts, &told, &theme).as_bytes(),
            output.overwrite,
            &loaded.read,
        )?;
    }
    facts.calendar = Some(told);
    print("calendar", &facts, output, &loaded.read)?;
    Ok(DONE)
}

/// Wishes typed and in the files; `None`, with an error in `notes`, where too little is
/// known.
fn request(
    args: &CalendarArgs,
    start: NaiveTime,
    output: &OutputArgs,
    race: &Race,
    plan: &Plan,
    inputs: &Inputs,
    notes: &mut Notes,
) -> Option<CalendarRequest> {
    let from = args.from?;
    let Some(clock) = race.clock else {
        notes.push(
            Diagnostic::error(
                "the course has no start, so there is no race day to count back from",
            )
            .hint("give `start` and `timezone` in the course's course.toml"),
        );
        return None;
    };
    let race_day = clock.start().date_naive();
    let mut done = recorded(inputs, race_day);
    let longest_now_m = args
        .longest_now
        .or_else(|| longest_m(&done, &inputs.plan.past, from, notes))?;
    let race_m = race.course.profile.length_m();
    let growth = args.growth.map(|percent| Growth {
        share: f64::from(percent) / 100.0,
        most_m: f64::INFINITY,
    });
    // a race that was run on the way is one of practice, whatever it was meant for
    let mut raced = inputs.plan.past.iter().filter_map(|past| {
        past.date.map(|date| PracticeRace {
            date,
            distance_m: past.distance_m,
            time_s: Some(past.time.value.as_s()),
        })
    });
    let mut practice = args.practice.clone();
    // after a race before the first day the first weeks are easy as well
    let eased_from = from
        .checked_sub_days(Days::new(RECENT_DAYS))
        .unwrap_or(from);
    let keeps_record = done.iter().any(|run| run.date >= from);
    for race in raced
        .by_ref()
        .filter(|race| (eased_from..race_day).contains(&race.date))
    {
        let (date, distance_m) = (race.date, race.distance_m);
        practice.retain(|other| other.date != date);
        practice.push(race);
        // without a record nobody knows what else was run, so no week before it counts as lost
        if keeps_record && date >= from {
            done.retain(|run| run.date != date);
            done.push(Done { date, distance_m });
        }
    }
    let mut request = CalendarRequest {
        from,
        race: race_day,
        race_m,
        longest_now_m,
        peak_m: args.peak,
        week_m: (args.week).or(inputs.runner.week_m.as_ref().map(|week| week.value)),
        taper_weeks: args.taper,
        building_weeks: args.build,
        easy_weeks: args.easy,
        pairs: !args.single,
        growth: growth.unwrap_or_default(),
        grain_m: match output.units {
            UnitsArg::Metric => 500.0,
            UnitsArg::Imperial => 0.5 * M_PER_MILE,
        },
        blocked: args.block.clone(),
        aches: args.ache.clone(),
        practice,
        done,
        longest_past_m: (inputs.plan.past.iter())
            .map(|past| past.distance_m)
            .fold(0.0, f64::max),
        pace_s_per_m: 0.0,
        start,
        place: race.course.stations.first().map(|station| {
            let (lat_deg, lon_deg) = station.position_deg;
            (lat_deg, lon_deg, clock.start().timezone())
        }),
        carbs_g_per_h: carbs(plan, inputs),
    };
    let first_m = SINGLE_RUN_MOST_M.min(race_m);
    request.pace_s_per_m = plan.pacing.elapsed_at_s(&race.course, first_m) / first_m;
    Some(request)
}

/// Every run of the record before race day whose length is known.
fn recorded(inputs: &Inputs, race_day: NaiveDate) -> Vec<Done> {
    let runs = inputs.record.iter().filter(|run| run.date < race_day);
    runs.filter_map(|run| {
        let distance_m = run.ground.distance_m?;
        let date = run.date;
        Some(Done { date, distance_m })
    })
    .collect()
}

/// The longest run of the last weeks, or half of a race of the last months where that is more;
/// `None`, with an error in `notes`, where none is known.
fn longest_m(
    done: &[Done],
    past: &[PastResult],
    from: NaiveDate,
    notes: &mut Notes,
) -> Option<f64> {
    let recent = |date: NaiveDate, days| date < from && date + Days::new(days) >= from;
    let runs = done.iter().filter(|done| recent(done.date, RECENT_DAYS));
    let races = past
        .iter()
        .filter(|past| past.date.is_some_and(|date| recent(date, RACED_DAYS)));
    let races = races.map(|past| RACED_SHARE * past.distance_m);
    let longest_m = runs
        .map(|done| done.distance_m)
        .chain(races)
        .reduce(f64::max);
    if longest_m.is_none() {
        notes.push(
            Diagnostic::error(format!(
                "no run of the {RECENT_DAYS} days before {from} is recorded, and no race of the \
                 {RACED_DAYS}"
            ))
            .hint("give the longest run of the last weeks, such as --longest-now 20km"),
        );
    }
    longest_m
}

/// Carbohydrate that the gut takes now, and what the race asks for, grams per hour.
fn carbs(plan: &Plan, inputs: &Inputs) -> (f64, f64) {
    let target = plan.fueling.mean_per_h(|need| need.carbs_g);
    let runner = &inputs.runner;
    let own = runner.carbs_rehearsed_g_per_h.or(runner.carbs_g_per_h);
    // the low end of what untrained guts take
    let now = own.map_or(30.0, |rate| rate.value);
    (now.min(target), target)
}

fn days(text: &str) -> Result<(NaiveDate, NaiveDate), String> {
    let (first, last) = text.split_once("..").unwrap_or((text, text));
    match (date(first), date(last)) {
        (Ok(first), Ok(last)) => Ok((first, last)),
        _ => Err(
            "expected a day such as `2026-09-12`, or days such as `2026-09-12..2026-09-20`"
                .to_owned(),
        ),
    }
}

fn practice(text: &str) -> Result<PracticeRace, String> {
    let (day, length) = text
        .split_once('=')
        .ok_or("expected a day and a length, such as `2026-08-22=42km`")?;
    Ok(PracticeRace {
        date: date(day)?,
        distance_m: length_m(length)?,
        time_s: None,
    })
}
