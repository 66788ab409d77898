//! The line of column names: which column holds what, in which unit.

use crate::diagnostics::{Diagnostic, Notes, Span, did_you_mean};
use crate::words::listed_with;

use super::delimited::DelimitedField;
use super::limits::{self, Range, Unit};
use super::synonyms;
use super::values::{either, quoted, with_hint};

/// Contents that a table may hold.
pub(super) struct Shape {
    /// Columns in the order they are named in messages.
    pub(super) columns: &'static [KnownColumn],
    /// The number of rows that are too many to be meant.
    pub(super) most_rows: usize,
}

/// One quantity, in a column for each unit it may be written in.
#[derive(Clone, Copy)]
pub(super) struct KnownColumn {
    name: &'static str,
    units: &'static [Unit],
    required: bool,
}

impl KnownColumn {
    /// Words.
    pub(super) const fn text(name: &'static str) -> Self {
        KnownColumn {
            name,
            units: &[],
            required: false,
        }
    }

    /// A number, in a column that is named with its unit.
    pub(super) const fn number(range: &Range) -> Self {
        KnownColumn {
            name: range.name,
            units: range.units,
            required: false,
        }
    }

    /// One that the table cannot do without.
    pub(super) const fn required(mut self) -> Self {
        self.required = true;
        self
    }

    /// The headers it may stand under.
    fn headers(&self) -> Vec<String> {
        if self.units.is_empty() {
            return vec![self.name.to_owned()];
        }
        let header = |unit: &Unit| match unit.suffix {
            "" => self.name.to_owned(),
            suffix => format!("{}_{suffix}", self.name),
        };
        self.units.iter().map(header).collect()
    }
}

/// A heading that is known.
pub(super) struct Heading {
    pub(super) column: &'static str,
    pub(super) header: String,
    pub(super) unit: Option<Unit>,
}

/// The columns a table may have, for messages.
pub(super) fn names(shape: &Shape) -> String {
    let firsts: Vec<String> = shape
        .columns
        .iter()
        .filter_map(|column| column.headers().into_iter().next())
        .collect();
    listed_with(&firsts, "and")
}

/// Contents of each column, `None` where not known; nothing where no column is.
pub(super) fn headings(
    header: &[DelimitedField],
    line: Span,
    shape: &Shape,
    notes: &mut Notes,
) -> Option<Vec<Option<Heading>>> {
    if header.len() > limits::COLUMNS {
        notes.push(
            Diagnostic::error(format!("the table has {} columns", header.len())).at(
                line,
                format!("expected at most {} columns", limits::COLUMNS),
            ),
        );
        return None;
    }
    let found: Vec<Option<Heading>> = header.iter().map(|field| heading(field, shape)).collect();
    if found.iter().all(Option::is_none) {
        notes.push(
            Diagnostic::error("the first line has no known column name")
                .at(line, "expected column names")
                .hint(renamed(header, shape)),
        );
        return None;
    }
    let mut headings: Vec<Option<Heading>> = Vec::new();
    for (field, heading) in header.iter().zip(found) {
        let Some(heading) = heading else {
            if !field.text.is_empty() {
                notes.push(unknown_column(field, shape));
            }
            headings.push(None);
            continue;
        };
        let twin = headings
            .iter()
            .flatten()
            .find(|h| h.column == heading.column);
        if let Some(twin) = twin {
            notes.push(twice(field, &heading, twin));
            headings.push(None);
        } else {
            headings.push(Some(heading));
        }
    }
    for column in shape.columns.iter().filter(|c| c.required) {
        if !headings.iter().flatten().any(|h| h.column == column.name) {
            let wanted = either(&column.headers());
            notes.push(
                Diagnostic::error(format!("the table has no column {wanted}"))
                    .at(line, format!("expected {wanted} as a column name")),
            );
        }
    }
    Some(headings)
}

fn heading(field: &DelimitedField, shape: &Shape) -> Option<Heading> {
    let typed = field.text.to_lowercase();
    shape.columns.iter().find_map(|column| {
        let at = column
            .headers()
            .iter()
            .position(|header| *header == typed)?;
        Some(Heading {
            column: column.name,
            header: typed.clone(),
            unit: column.units.get(at).copied(),
        })
    })
}

fn unknown_column(field: &DelimitedField, shape: &Shape) -> Diagnostic {
    let typed = field.text.to_lowercase();
    let headers: Vec<String> = shape
        .columns
        .iter()
        .flat_map(KnownColumn::headers)
        .collect();
    let unitless = shape.columns.iter().find(|column| column.name == typed);
    let hint = match unitless {
        Some(column) => Some(format!("say the unit: {}", either(&column.headers()))),
        None => meant(&typed, &headers)
            .or_else(|| did_you_mean(&typed, headers.iter().map(String::as_str)))
            .or_else(|| Some(format!("columns here are {}", names(shape)))),
    };
    let problem = Diagnostic::error(format!("unknown column {}", quoted(&field.text)))
        .at(field.span, "expected a known column name");
    with_hint(problem, hint)
}

/// A first line of other names for known columns, or no column names at all.
fn renamed(header: &[DelimitedField], shape: &Shape) -> String {
    let headers: Vec<String> = shape
        .columns
        .iter()
        .flat_map(KnownColumn::headers)
        .collect();
    let headers: Vec<&str> = headers.iter().map(String::as_str).collect();
    let renamed = header.iter().filter_map(|field| {
        let meant = synonyms::meant(&field.text, &headers);
        (!meant.is_empty())
            .then(|| format!("{} is called {} here", quoted(&field.text), either(&meant)))
    });
    let renamed: Vec<String> = renamed.collect();
    if renamed.is_empty() {
        return format!("columns here are {}", names(shape));
    }
    renamed.join(", ")
}

/// The columns that a word stands for, as a question.
fn meant(typed: &str, headers: &[String]) -> Option<String> {
    let headers: Vec<&str> = headers.iter().map(String::as_str).collect();
    let meant = synonyms::meant(typed, &headers);
    (!meant.is_empty()).then(|| format!("did you mean {}?", either(&meant)))
}

fn twice(field: &DelimitedField, heading: &Heading, twin: &Heading) -> Diagnostic {
    if heading.header == twin.header {
        Diagnostic::error(format!("column `{}` appears twice", heading.header))
            .at(field.span, "expected each column once")
    } else {
        Diagnostic::error(format!(
            "`{}` and `{}` say the same thing",
            twin.header, heading.header
        ))
        .at(field.span, "expected one of the two")
        .hint("keep the column with the unit you use")
    }
}
