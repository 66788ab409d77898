//! Observations, read from `Station=time` as typed.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Sources, Span, Spanned};

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
    let typed: Vec<(Kind, String)> = seen
        .iter()
        .map(|text| (Kind::Arrival, text))
        .chain(left.iter().map(|text| (Kind::Departure, text)))
        // one line each, whatever was typed
        .map(|(kind, text)| (kind, text.replace(['\n', '\r'], " ")))
        .collect();
    let mut line_start = 0;
    let mut text = String::new();
    let mut places = Vec::new();
    for (kind, argument) in &typed {
        let flag = match kind {
            Kind::Arrival => "--seen \"",
            Kind::Departure => "--left \"",
        };
        places.push(line_start + flag.len());
        text += &format!("{flag}{argument}\"\n");
        line_start = text.len();
    }
    let file = sources.add(SourceFile::new("command line", text));
    typed
        .iter()
        .zip(places)
        .filter_map(|((kind, argument), at)| {
            TypedArgument { file, at }
                .observation(*kind, argument)
                .map_err(|problem| notes.push(problem))
                .ok()
        })
        .collect()
}

/// One argument and where it stands.
struct TypedArgument {
    file: FileId,
    at: usize,
}

impl TypedArgument {
    fn observation(&self, kind: Kind, argument: &str) -> Result<Observation, Diagnostic> {
        // a name may hold an equals sign, a time never
        let Some((name, time)) = argument.rsplit_once('=') else {
            let whole = self.span(0, argument);
            return Err(
                Diagnostic::error(format!("`{}` names no time", argument.trim()))
                    .at(whole, "expected `Station=14:32`")
                    .hint(with_time(argument.trim())),
            );
        };
        let (name_span, time_span) = (self.span(0, name), self.span(name.len() + 1, time));
        if name.trim().is_empty() {
            return Err(Diagnostic::error(format!("`{argument}` names no station"))
                .at(name_span, "expected a station before the `=`"));
        }
        if time.trim().is_empty() {
            return Err(Diagnostic::error(format!("`{argument}` names no time"))
                .at(time_span, "expected a time after the `=`, such as `14:32`"));
        }
        let (moment, to_the_minute) = WrittenTime::parse(time).map_err(|(expected, hint)| {
            let problem = Diagnostic::error(format!("`{}` is not a time", time.trim()))
                .at(time_span, expected);
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

    /// The part of the argument from a byte on, without the spaces around it.
    fn span(&self, from: usize, part: &str) -> Span {
        let before = part.len() - part.trim_start().len();
        let start = self.at + from + before;
        Span::new(self.file, start..start + part.trim().len())
    }
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
