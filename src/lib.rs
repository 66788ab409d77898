//! Race-day pacing and aid-station fueling for trail ultramarathons: text in, values out.
//!
//! The design is the data flow. Each stage has a folder, takes earlier results by reference and
//! returns a new value:
//!
//! [`inputs`] → [`course`] → [`conditions`] → [`pacing`] → [`ability`] →
//! [`arrivals`] → [`schedule`] → [`exposure`] → [`fueling`] →
//! [`packing`] → [`crew`] → [`plan`] → [`reports`] → [`pictures`] → [`exports`]
//!
//! Beside it: [`fit`], from recorded runs to the runner's own pacing, [`finish`], which targets are in
//! reach, [`replan`], the rest of a race that goes differently, [`losses`], what if something is not
//! there after all, [`unknowns`], what race day holds that no long run has tested,
//! [`rehearsal`], long runs that try the plan out, and [`debrief`], what they showed.
//!
//! Nothing here knows a command line, a terminal, a file system or a clock.
//!
//! # Units
//! Every number carries its unit in its name: `_m` metres, `_s` seconds, `_kg`, `_g`, `_mg`, `_ml`,
//! `_l_per_h`, `_kcal`, `_c` degrees Celsius, `_deg` degrees of arc, `_pct` percent, `_share` of 1.
//! Race time is [`time::Elapsed`], whole seconds since the runner's own start. Reports put numbers
//! into the reader's [`units::Units`].
//!
//! # Example
//! ```
//! use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
//! use sutler::inputs::{self, Texts};
//! use sutler::plan::Race;
//! use sutler::time::Elapsed;
//!
//! let points: String = (0..400)
//!     .map(|i| format!(r#"<trkpt lat="{:.5}" lon="13.0"><ele>500</ele></trkpt>"#, 46.0 + f64::from(i) * 3e-4))
//!     .collect();
//! let gpx = format!(r#"<gpx version="1.1" creator="me"><trk><trkseg>{points}</trkseg></trk></gpx>"#);
//! let texts = Texts { route: Some(SourceFile::new("route.gpx", gpx)), ..Texts::default() };
//!
//! let (mut sources, mut notes) = (Sources::default(), Notes::new());
//! let inputs = inputs::read(texts, &mut sources, &mut notes);
//! let finish = Spanned::unwritten(Elapsed::parse("1:30:00")?);
//! let race = Race::prepare(&inputs, finish.value, &mut notes).expect("it is a course");
//! let plan = race.plan(&inputs, finish, &mut notes).expect("it can be run");
//! assert_eq!(plan.schedule.splits.last().map(|split| split.arrival), Some(finish.value));
//! # Ok::<(), String>(())
//! ```
#![deny(clippy::print_stdout, clippy::print_stderr)]

pub mod diagnostics;
pub mod findings;
pub mod time;
pub mod units;
pub mod words;

pub mod ability;
pub mod arrivals;
pub mod calendar;
pub mod conditions;
pub mod course;
pub mod crew;
pub mod debrief;
pub mod explain;
pub mod exports;
pub mod exposure;
pub mod facts;
pub mod finish;
pub mod fit;
pub mod fueling;
pub mod help;
pub mod inputs;
pub mod losses;
pub mod pacing;
pub mod packing;
pub mod pages;
pub mod pictures;
pub mod plan;
pub mod rehearsal;
pub mod replan;
pub mod reports;
pub mod schedule;
pub mod starter;
pub mod unknowns;
