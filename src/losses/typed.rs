//! Losses, read from `kind:name` as typed.

use crate::course::{Place, Station, StationRole};
use crate::diagnostics::{Diagnostic, Notes, Sources, Span, TypedArgument, did_you_mean};
use crate::inputs::Inputs;
use crate::packing::Losses;
use crate::plan::Race;
use crate::words::{folded, listed, same_name};

use super::loss::{PlaceLoss, has_offers};

const KINDS: [&str; 5] = ["bag", "crew", "offers", "item", "flask"];
const EXPECTED: &str =
    "expected `bag:PLACE`, `crew:PLACE`, `crew`, `offers:PLACE`, `item:NAME` or `flask`";
/// The most names given where none is near.
const NAMES_SHOWN: usize = 6;

/// Reads what was typed after `--without`; what is wrong with it is said in `notes`, all at once.
#[must_use]
pub fn read(
    typed: &[String],
    race: &Race,
    inputs: &Inputs,
    sources: &mut Sources,
    notes: &mut Notes,
) -> Losses {
    let mut reader = LossReader {
        race,
        inputs,
        losses: Losses::default(),
    };
    for argument in sources.add_typed(typed.iter().map(|typed| ("--without", typed))) {
        if let Err(problem) = reader.add(&argument) {
            notes.push(problem);
        }
    }
    reader.losses
}

struct LossReader<'a> {
    race: &'a Race,
    inputs: &'a Inputs,
    losses: Losses,
}

impl LossReader<'_> {
    fn add(&mut self, typed: &TypedArgument) -> Result<(), Diagnostic> {
        let argument = typed.text.as_str();
        let (kind, name) = argument.split_once(':').unwrap_or((argument, ""));
        let kind_span = typed.span(0, kind);
        let name_span = typed.span((kind.len() + 1).min(argument.len()), name);
        let (kind, name) = (folded(kind), name.trim());
        match kind.as_str() {
            "bag" => {
                let place = self.place(PlaceLoss::Bag, name, name_span)?;
                once(&mut self.losses.bags, place);
            }
            // nobody of it comes at all
            "crew" if !argument.contains(':') && self.inputs.crew.is_some() => {
                self.losses.crew = (0..self.race.course.places.len()).collect();
            }
            "crew" => {
                let place = self.place(PlaceLoss::Crew, name, name_span)?;
                once(&mut self.losses.crew, place);
            }
            "offers" => {
                let place = self.place(PlaceLoss::Offers, name, name_span)?;
                once(&mut self.losses.offers, place);
            }
            "item" => {
                let item = self.item(name, name_span)?;
                once(&mut self.losses.items, item);
            }
            "flask" => self.flask(argument, typed.whole())?,
            "" => {
                return Err(Diagnostic::error("`--without` is empty")
                    .at(typed.whole(), EXPECTED)
                    .hint("such as --without \"bag:NAME OF THE PLACE\""));
            }
            other => {
                let problem = Diagnostic::error(format!("there is no loss of the kind `{other}`"))
                    .at(kind_span, EXPECTED);
                let hint = did_you_mean(other, KINDS).unwrap_or_else(|| {
                    "put the whole of it in quotes where the name has a space".to_owned()
                });
                return Err(problem.hint(hint));
            }
        }
        Ok(())
    }

    fn place(&self, loss: PlaceLoss, name: &str, span: Span) -> Result<usize, Diagnostic> {
        let course = &self.race.course;
        let has_it = |place: &Place| {
            let mut visits = place.visits.iter();
            visits.any(|at| loss.is_possible(&course.stations[*at], self.inputs))
        };
        let possible = course.places.iter().filter(|place| has_it(place));
        let possible: Vec<&str> = possible.map(|place| place.name.as_str()).collect();
        let (what, expected) = loss.words();
        if loss == PlaceLoss::Crew && self.inputs.crew.is_none() {
            return Err(Diagnostic::error("the plan has no crew to do without")
                .at(span, "expected a plan with a `crew.toml`"));
        }
        if name.is_empty() {
            let problem = Diagnostic::error("no place is named").at(span, expected);
            return Err(problem.hint(list(&possible)));
        }
        let found = (course.named(name)).map_err(|problem| problem.at(span, expected))?;
        let place = course.stations[found[0]].place;
        if !has_it(&course.places[place]) {
            let problem = Diagnostic::error(format!("`{name}` {what}")).at(span, expected);
            return Err(problem.hint(list(&possible)));
        }
        Ok(place)
    }

    /// A food of the pantry, a piece of gear or of the mandatory kit.
    fn item(&self, name: &str, span: Span) -> Result<String, Diagnostic> {
        let foods = self.inputs.pantry.iter().map(|food| &food.name.value);
        let gear = self.inputs.gear.iter().map(|item| &item.name.value);
        let kit = &self.race.course.mandatory_kit;
        let all: Vec<&str> = foods.chain(gear).chain(kit).map(String::as_str).collect();
        let expected = "expected a food of the pantry or a piece of gear";
        if name.is_empty() {
            let problem = Diagnostic::error("no item is named").at(span, expected);
            return Err(problem.hint(list(&all)));
        }
        let known = all.iter().find(|item| same_name(item, name));
        known.map(|item| (*item).to_owned()).ok_or_else(|| {
            let says = format!("neither pantry nor gear has `{name}`");
            let near = did_you_mean(name, all.iter().copied());
            let problem = Diagnostic::error(says).at(span, expected);
            problem.hint(near.unwrap_or_else(|| list(&all)))
        })
    }

    fn flask(&mut self, argument: &str, span: Span) -> Result<(), Diagnostic> {
        if argument.contains(':') {
            return Err(Diagnostic::error("a flask has no name")
                .at(span, "expected `flask`")
                .hint("the largest is taken as lost; give it twice for two"));
        }
        let there = self.inputs.runner.flasks_ml.len();
        if there == 0 {
            return Err(Diagnostic::error("no flask can be lost: none is known")
                .at(span, "expected `flasks_ml` under `[carry]` of the runner"));
        }
        if self.losses.flasks == there {
            let there = match there {
                1 => "you have only 1 flask".to_owned(),
                n => format!("you have only {n} flasks"),
            };
            return Err(Diagnostic::error(there).at(
                span,
                format!("expected `flask` at most {} times", self.losses.flasks),
            ));
        }
        self.losses.flasks += 1;
        Ok(())
    }
}

impl PlaceLoss {
    /// True where a station has it to lose.
    pub(super) fn is_possible(self, station: &Station, inputs: &Inputs) -> bool {
        let on_the_way = !matches!(station.role, StationRole::Start | StationRole::Finish);
        on_the_way
            && match self {
                PlaceLoss::Bag => station.drop_bag,
                PlaceLoss::Crew => station.crew && inputs.crew.is_some(),
                PlaceLoss::Offers => has_offers(station),
            }
    }

    /// The mistake where a place has none, and what was expected.
    fn words(self) -> (&'static str, &'static str) {
        match self {
            PlaceLoss::Bag => ("has no drop bag", "expected a place with a drop bag"),
            PlaceLoss::Crew => (
                "is not open to the crew",
                "expected a place where the crew may be",
            ),
            PlaceLoss::Offers => (
                "offers nothing on the way",
                "expected a place that offers something",
            ),
        }
    }
}

fn once<T: PartialEq>(list: &mut Vec<T>, new: T) {
    if !list.contains(&new) {
        list.push(new);
    }
}

fn list(names: &[&str]) -> String {
    let shown = listed(names.iter().take(NAMES_SHOWN));
    match (shown.is_empty(), names.len() > NAMES_SHOWN) {
        (true, _) => "there is none in this plan".to_owned(),
        (false, true) => format!("there are {shown} and more"),
        (false, false) => format!("there are {shown}"),
    }
}
