//! A fit in words and numbers: the figures, what they are worth, what they rest on.

use crate::facts::{
    ErrorFacts, Facts, FitFacts, GradientFacts, OwnFigureFacts, RecordingFacts, StandingFacts,
    StopGroupFacts,
};
use crate::fit::Figures;

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::{Needs, Report, cells};

/// `sutler fit`
pub(super) const REPORT: Report = Report {
    name: "fit",
    about: "your own pacing figures from runs you recorded, and what they are worth",
    needs: Needs::Verb,
    keys: &["fit", "warnings"],
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let Some(fit) = &facts.fit else {
        return Document::default();
    };
    let mut document = Document::titled(match fit.recordings.len() {
        1 => "Your own pace, from 1 recording".to_owned(),
        many => format!("Your own pace, from {many} recordings"),
    });
    document.say(fit.worth.clone());
    document.push(Block::Table(figures(fit)));
    document.say(format!(
        "A figure is drawn from the recordings towards what runners usually show: less, the more \
         recordings there are and the better they agree. The range holds two cases of three. The \
         usual slowing is {:.2} and not the default 1 because standing is counted by itself here.",
        Figures::USUAL.fade
    ));
    document.section("Would they have helped?");
    document.push(Block::Table(trials(facts, fit)));
    document.push(Block::Table(errors(fit)));
    document.say(
        "Splits at every tenth of the way, predicted from course and finish alone, against the \
         recorded ones: the size of the error in percent of the finish time. Each recording is \
         predicted from the others.",
    );
    document.section("By gradient");
    document.push(Block::Table(gradients(facts, fit)));
    document.say(
        "Moving pace where it is about this steep. The last column is your time over the model's \
         at the same effort, level ground being 1; climb and descent multipliers sum it up. Heights \
         are never exact, which makes steep ground look a little easier than it is.",
    );
    document.section("Standing still");
    document.push(Block::Table(stops(facts, fit)));
    document.say(
        "Stops are stretches of more than a minute below 0.3 m/s. With a stop multiplier, a plan \
         counts the minutes it names for stations towards your usual time, and spreads the rest.",
    );
    document.push(Block::Table(standing(fit)));
    document.section("What these recordings cannot tell");
    let items = fit.cannot_tell.iter();
    document.push(Block::List(
        items.map(|text| Item::new(Tone::Plain, text)).collect(),
    ));
    document.section("For runner.toml");
    if fit.better_than_default == Some(false) {
        document
            .say("Nothing: the defaults serve you as well. These are the figures all the same.");
    }
    document.push(Block::Drawing(fit.runner_toml.clone()));
    document
}

fn figures(fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        &fit.figures,
        vec![
            Column::left("", "figure").of(|f: &OwnFigureFacts| Cell::with_raw(f.words, f.key)),
            right("usual", "usual").of(|f| cells::measure(&f.usual)),
            right("yours", "value").of(|f| cells::measure(&f.value).tone(Tone::Strong)),
            right("from", "low").of(|f| cells::measure(&f.low)),
            right("to", "high").of(|f| cells::measure(&f.high)),
            right("own share", "own_share").of(|f| cells::share(&f.own_share)),
        ],
    )
}

fn trials(facts: &Facts, fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        &fit.recordings,
        vec![
            Column::left("Recording", "recording")
                .of(|run: &RecordingFacts| Cell::new(run.recording.clone())),
            right("day", "date").of(|run| Cell::new(run.date.clone().unwrap_or_default())),
            right(facts.race.0.units.distance.as_str(), "length_m")
                .of(|run| cells::measure(&run.length)),
            right("finish", "finish_s").of(|run| cells::measure(&run.finish)),
            right("default", "default_error_pct").of(|run| cells::text(&run.default_error)),
            right("yours", "fitted_error_pct").of(|run| {
                let tone = if run.is_better {
                    Tone::Good
                } else {
                    Tone::Plain
                };
                cells::maybe(run.fitted_error.as_ref(), cells::text).tone(tone)
            }),
        ],
    )
}

fn errors(fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        std::iter::once(&fit.default_error).chain(&fit.fitted_error),
        vec![
            Column::left("All recordings", "settings").of(|e: &ErrorFacts| Cell::new(e.of)),
            right("mean", "mean_pct").of(|e| cells::text(&e.mean)),
            right("half below", "median_pct").of(|e| cells::text(&e.median)),
            right("nine in ten below", "p90_pct").of(|e| cells::text(&e.p90)),
            right("time of a piece", "pieces_pct").of(|e| cells::text(&e.pieces)),
        ],
    )
}

fn gradients(facts: &Facts, fit: &FitFacts) -> Table {
    let right = Column::right;
    let symbol = &facts.race.0.units.distance;
    Table::of(
        &fit.gradients,
        vec![
            right("gradient", "gradient_pct")
                .of(|g: &GradientFacts| Cell::with_raw(g.words.clone(), g.gradient_pct)),
            right(symbol.as_str(), "length_m").of(|g| cells::measure(&g.length)),
            right(format!("pace /{symbol}").as_str(), "pace_s_per_km")
                .of(|g| cells::maybe(g.pace.as_ref(), cells::measure)),
            right("over the model", "over_model").of(|g| match &g.over_model {
                Some(over) => cells::measure(over),
                None => Cell::new("–").tone(Tone::Faint),
            }),
        ],
    )
}

fn stops(facts: &Facts, fit: &FitFacts) -> Table {
    let right = Column::right;
    let ten = format!("stops on 10 {}", facts.race.0.units.distance);
    Table::of(
        &fit.stops,
        vec![
            Column::left("Finish", "hours").of(|g: &StopGroupFacts| Cell::new(g.words.clone())),
            right("runs", "runs").of(|g| Cell::new(g.runs.to_string())),
            right("stood", "stood_pct").of(|g| cells::text(&g.stood)),
            right("usual", "usual_pct").of(|g| cells::text(&g.usual)),
            right(ten.as_str(), "stops_per_ten").of(|g| cells::measure(&g.per_ten)),
            right("half below", "median_s").of(|g| cells::maybe(g.median.as_ref(), cells::text)),
            right("nine in ten below", "p90_s").of(|g| cells::maybe(g.p90.as_ref(), cells::text)),
        ],
    )
}

fn standing(fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        &fit.standing,
        vec![
            Column::left("To plan with", "finish_h").of(|s: &StandingFacts| {
                Cell::with_raw(format!("a finish of {:.0} h", s.finish_h), s.finish_h)
            }),
            right("standing in all", "standing_s").of(|s| cells::measure(&s.standing)),
            right("at each of 5 stations", "each_of_5_s").of(|s| cells::text(&s.each_of_5)),
            right("at each of 15", "each_of_15_s").of(|s| cells::text(&s.each_of_15)),
        ],
    )
}
