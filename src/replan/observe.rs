//! Observations, read from `Station=time` as typed.

use crate::diagnostics::{Diagnostic, Notes, Sources, Spanned, TypedArgument};

use crate::arrivals::Kind;

use super::moment::WrittenTime;

/// One arrival or departure that somebody saw.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// The one of the two.
    pub kind: Kind,
    /// The name of a station or place, as typed.
    pub station: Spanned<String>,
    /// The time.
    pub moment: Spanned<WrittenTime>,
    /// True where it was read to the minute, seconds left out.
    pub to_the_minute: bool,
}

/// Reads what was typed after `--seen` (arrivals) and `--left` (departures).
///
/// The arguments become a text called `command line` among the `sources`, one on a line, so that
/// what is wrong with them is shown like what is wrong with a file.
pub fn observations(
    seen: &[String],
    left: &[String],
    sources: &mut Sources,
    notes: &mut Notes,
) -> Vec<Observation> {
    let flags = [
        (Kind::Arrival, "--seen", seen),
        (Kind::Departure, "--left", left),
    ];
    let mut read = Vec::new();
    let arguments = flags
        .iter()
        .flat_map(|(kind, flag, typed)| typed.iter().map(|argument| (*kind, (*flag, argument))));
    let (kinds, arguments): (Vec<Kind>, Vec<(&str, &String)>) = arguments.unzip();
    for (kind, argument) in kinds.into_iter().zip(sources.add_typed(arguments)) {
        match observation(kind, &argument) {
            Ok(observation) => read.push(observation),
            Err(problem) => notes.push(problem),
        }
    }
    read
}

fn observation(kind: Kind, argument: &TypedArgument) -> Result<Observation, Diagnostic> {
    let text = &argument.text;
    // a name may hold an equals sign, a time never
    let Some((name, time)) = text.rsplit_once('=') else {
        return Err(
            Diagnostic::error(format!("`{}` names no time", text.trim()))
                .at(argument.whole(), "expected `Station=14:32`")
                .hint(with_time(text.trim())),
        );
    };
    let (name_span, time_span) = (argument.span(0, name), argument.span(name.len() + 1, time));
    if name.trim().is_empty() {
        return Err(Diagnostic::error(format!("`{text}` names no station"))
            .at(name_span, "expected a station before the `=`"));
    }
    if time.trim().is_empty() {
        return Err(Diagnostic::error(format!("`{text}` names no time"))
            .at(time_span, "expected a time after the `=`, such as `14:32`"));
    }
    let (moment, to_the_minute) = WrittenTime::parse(time).map_err(|(expected, hint)| {
        let problem =
            Diagnostic::error(format!("`{}` is not a time", time.trim())).at(time_span, expected);
        match hint {
            Some(hint) => problem.hint(hint),
            None => problem,
        }
    })?;
    Ok(Observation {
        kind,
        station: Spanned::at(name.trim().to_owned(), name_span),
        moment: Spanned::at(moment, time_span),
        to_the_minute,
    })
}

/// The way to write a station whose time is not set off by an equals sign, or is not there.
fn with_time(typed: &str) -> String {
    let name = typed.trim_end_matches(|c: char| c.is_ascii_digit() || ":.".contains(c));
    let time = &typed[name.len()..];
    match name.trim() {
        name if !name.is_empty() && WrittenTime::parse(time).is_ok() => {
            format!("write `{name}={time}`")
        }
        _ if typed.is_empty() => "say where and when".to_owned(),
        _ => format!("say when: `\"{typed}=14:32\"`, in quotes where the name has a space"),
    }
}
