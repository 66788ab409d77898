//! Mistakes in what the user wrote: which file, line and column, what was expected, and
//! the way out. Stages collect problems in [`Notes`], so that one run shows all of them.

use std::ops::Range;
use std::sync::Arc;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet, Title};

/// A text the user wrote, with the name to call it by in messages.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceFile {
    /// As the user would type it, or `command line`.
    pub name: String,
    /// The whole text.
    pub text: Arc<str>,
}

impl SourceFile {
    /// A text under a name.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<Arc<str>>) -> Self {
        SourceFile {
            name: name.into(),
            text: text.into(),
        }
    }
}

/// The index into [`Sources`] of the file a span is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FileId(usize);

/// Every text that was read for this run.
#[derive(Clone, Debug, Default)]
pub struct Sources(Vec<SourceFile>);

impl Sources {
    /// Keeps a text and says how to refer to it.
    pub fn add(&mut self, file: SourceFile) -> FileId {
        self.0.push(file);
        FileId(self.0.len() - 1)
    }

    /// The text behind an id.
    #[must_use]
    pub fn get(&self, id: FileId) -> &SourceFile {
        &self.0[id.0]
    }

    /// Keeps arguments of the command line as a text, each on a line after its flag, so that what is
    /// wrong with them is shown like what is wrong with a file.
    pub fn add_typed<'a>(
        &mut self,
        arguments: impl IntoIterator<Item = (&'a str, &'a String)>,
    ) -> Vec<TypedArgument> {
        let file = FileId(self.0.len());
        let (mut lines, mut typed) = (String::new(), Vec::new());
        for (flag, argument) in arguments {
            // one line each, whatever was typed
            let text = argument.replace(['\n', '\r'], " ");
            lines += &format!("{flag} \"{text}\"\n");
            let at = lines.len() - text.len() - 2;
            typed.push(TypedArgument { text, file, at });
        }
        self.add(SourceFile::new("command line", lines));
        typed
    }

    /// Line and column of a span's start, both from 1; columns count characters.
    #[must_use]
    pub fn position(&self, span: Span) -> (usize, usize) {
        let text = &self.get(span.file).text;
        let before = &text[..floor_boundary(text, span.start)];
        let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        (line, before[line_start..].chars().count() + 1)
    }
}

/// An argument of the command line, and where it stands among the [`Sources`].
#[derive(Clone, Debug)]
pub struct TypedArgument {
    /// As typed.
    pub text: String,
    file: FileId,
    at: usize,
}

impl TypedArgument {
    /// A part of it from a byte on, without the spaces around it.
    #[must_use]
    pub fn span(&self, from: usize, part: &str) -> Span {
        let before = part.len() - part.trim_start().len();
        let start = self.at + from + before;
        Span::new(self.file, start..start + part.trim().len())
    }

    /// All of it.
    #[must_use]
    pub fn whole(&self) -> Span {
        self.span(0, &self.text)
    }
}

/// A range of bytes in one of the [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text.
    pub file: FileId,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A range of bytes of a text.
    #[must_use]
    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Span {
            file,
            start: range.start,
            end: range.end,
        }
    }
}

/// A value, and where it was written; `None` where it is a default.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spanned<T> {
    /// The value as written.
    pub value: T,
    /// The place.
    pub span: Option<Span>,
}

impl<T> Spanned<T> {
    /// A value that stands in a text.
    #[must_use]
    pub fn at(value: T, span: Span) -> Self {
        Spanned {
            value,
            span: Some(span),
        }
    }

    /// A value that nobody wrote.
    #[must_use]
    pub fn unwritten(value: T) -> Self {
        Spanned { value, span: None }
    }
}

/// The severity of a problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Read on, but know this.
    Warning,
    /// No plan can be made from this.
    Error,
}

/// One problem.
///
/// Wording: lower case, no full stop, the thing in backticks, the value with its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Its severity.
    pub severity: Severity,
    /// The mistake, with the value: "station `X` (38.4 km) is listed before `Y` (36.9 km)".
    pub message: String,
    /// The place.
    pub at: Option<Span>,
    /// The expected value: "expected less than 36.9 km".
    pub expected: String,
    /// The way out: "stations go in course order; swap lines 7 and 8".
    pub hint: Option<String>,
}

impl Diagnostic {
    /// A problem without a plan to follow.
    #[must_use]
    pub fn error(message: impl Into<String>) -> Self {
        Diagnostic {
            severity: Severity::Error,
            message: message.into(),
            at: None,
            expected: String::new(),
            hint: None,
        }
    }

    /// Something to know, with a plan all the same.
    #[must_use]
    pub fn warning(message: impl Into<String>) -> Self {
        Diagnostic {
            severity: Severity::Warning,
            ..Diagnostic::error(message)
        }
    }

    /// At this place in a text, where something else was expected.
    #[must_use]
    pub fn at(mut self, span: impl Into<Option<Span>>, expected: impl Into<String>) -> Self {
        self.at = span.into();
        self.expected = expected.into();
        self
    }

    /// With the way out.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

/// Problems, in the order they were met.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notes(Vec<Diagnostic>);

impl Notes {
    /// No problems yet.
    #[must_use]
    pub fn new() -> Self {
        Notes::default()
    }

    /// Adds a problem.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.0.push(diagnostic);
    }

    /// Adds all of another collection.
    pub fn extend(&mut self, other: Notes) {
        self.0.extend(other.0);
    }

    /// True if any of them rules out a plan.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.0.iter().any(|d| d.severity == Severity::Error)
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Diagnostic] {
        &self.0
    }

    /// True if there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// The name in a list that someone probably meant, if one is near.
///
/// ```
/// use sutler::diagnostics::nearest;
/// assert_eq!(nearest("stationz", ["stations", "surfaces"]), Some("stations"));
/// assert_eq!(nearest("banana", ["stations", "surfaces"]), None);
/// ```
#[must_use]
pub fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = typed.to_lowercase();
    known
        .into_iter()
        .map(|name| (strsim::jaro_winkler(&lower, &name.to_lowercase()), name))
        .filter(|(score, _)| *score >= 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// The question "did you mean `X`?", where a known name is near.
#[must_use]
pub fn did_you_mean<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(typed, known).map(|name| format!("did you mean `{name}`?"))
}

/// Problems as a person reads them, each with the line it is about and a blank line after it.
///
/// ```
/// use sutler::diagnostics::{Diagnostic, SourceFile, Sources, Span, render};
///
/// let mut sources = Sources::default();
/// let file = sources.add(SourceFile::new("runner.toml", "mass_kg = 700"));
/// let problem = Diagnostic::error("`mass_kg` is 700 kg")
///     .at(Span::new(file, 10..13), "expected 30 to 200 kg")
///     .hint("write the mass in kilograms");
/// assert_eq!(
///     render(&sources, &[problem], false),
///     "error: `mass_kg` is 700 kg
///  --> runner.toml:1:11
///   |
/// 1 | mass_kg = 700
///   |           ^^^ expected 30 to 200 kg
/// hint: write the mass in kilograms
///
/// "
/// );
/// ```
#[must_use]
pub fn render(sources: &Sources, problems: &[Diagnostic], colour: bool) -> String {
    // Excerpts are cut here, so that they can say where they are cut.
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    }
    .term_width(1000);
    problems
        .iter()
        .map(|problem| render_one(sources, problem, &renderer) + "\n")
        .collect()
}

fn render_one(sources: &Sources, problem: &Diagnostic, renderer: &Renderer) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(printable(&problem.message));
    let expected = printable(&problem.expected);
    let mut text = match problem.at {
        Some(span) => excerpt(sources, span, title, &expected, renderer),
        None if expected.is_empty() => renderer.render(&[Group::with_title(title)]),
        None => renderer.render(&[Group::with_title(title)]) + "\n" + &expected,
    };
    if let Some(hint) = &problem.hint {
        let hint = Level::HELP.with_name("hint").primary_title(printable(hint));
        text = text + "\n" + &renderer.render(&[Group::with_title(hint)]);
    }
    text + "\n"
}

fn excerpt(
    sources: &Sources,
    span: Span,
    title: Title<'_>,
    expected: &str,
    renderer: &Renderer,
) -> String {
    let file = sources.get(span.file);
    let shown = Excerpt::around(&file.text, span);
    let path = printable(&file.name);
    let mut mark = AnnotationKind::Primary.span(shown.range.clone());
    if !expected.is_empty() {
        mark = mark.label(expected);
    }
    let snippet = Snippet::source(shown.text.as_str())
        .line_start(shown.first_line)
        .annotation(mark);
    if !shown.cut {
        return renderer.render(&[title.element(snippet.path(path))]);
    }
    // The renderer would count columns from where the excerpt starts.
    let (line, column) = sources.position(span);
    let origin = Origin::path(path).line(line).char_column(column);
    let text = renderer.render(&[title.element(origin).element(snippet)]);
    // Below title, place and margin it says that the excerpt is of the same file.
    let lines = text.lines().enumerate().filter(|(at, _)| *at != 3);
    lines.map(|(_, line)| line).collect::<Vec<_>>().join("\n")
}

/// The line a span is in, cut down where it is very long: a track may be one line of megabytes.
struct Excerpt {
    text: String,
    first_line: usize,
    range: Range<usize>,
    cut: bool,
}

impl Excerpt {
    const LONGEST: usize = 120;

    fn around(text: &str, span: Span) -> Self {
        let start = floor_boundary(text, span.start);
        let first_line = text[..start].bytes().filter(|b| *b == b'\n').count() + 1;
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        let end = floor_boundary(text, span.end).clamp(start, line_end);
        let from = if line_end - line_start <= Self::LONGEST {
            line_start
        } else {
            floor_boundary(text, start.saturating_sub(Self::LONGEST / 2)).max(line_start)
        };
        let to = floor_boundary(text, (from + Self::LONGEST).min(line_end));
        let cut = line_start < from;
        let (head, tail) = (
            if cut { "…" } else { "" },
            if to < line_end { "…" } else { "" },
        );
        let middle = text[from..to].trim_end_matches('\r').replace('\t', " ");
        let within = |at: usize| head.len() + (at - from).min(middle.len());
        Excerpt {
            range: within(start)..within(end),
            text: format!("{head}{middle}{tail}"),
            first_line,
            cut,
        }
    }
}

/// Names come from files: no control character of theirs reaches a terminal.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}

fn floor_boundary(text: &str, at: usize) -> usize {
    text.floor_char_boundary(at.min(text.len()))
}
