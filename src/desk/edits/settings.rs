//! Keys of a file of settings changed in its text, comments and order kept.
//!
//! A key that is taken away becomes a comment, and a key that stands there as a comment is used
//! again: that is how the files are explained.

use std::ops::Range;

use serde::{Deserialize, Serialize};
use toml_edit::{Document, DocumentMut, Item, TableLike, Value};

use super::{closed, line_end, line_start, newline, spliced};

/// A step on the way to a value: a key, or a place in a list of tables.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(untagged)]
pub(crate) enum KeyStep {
    Key(String),
    At(usize),
}

/// A path of keys alone.
pub(crate) fn keys(path: &[&str]) -> Vec<KeyStep> {
    path.iter()
        .map(|key| KeyStep::Key((*key).to_owned()))
        .collect()
}

/// Something of the file that can be gone into.
enum TomlNode<'d> {
    Table(OwnTable<'d>),
    List(Vec<OwnTable<'d>>),
    Value(&'d Value),
}

/// A table, and where the line is that opens it; an inline one has none.
#[derive(Clone, Copy)]
struct OwnTable<'d> {
    table: &'d dyn TableLike,
    opened: Option<usize>,
}

/// A parsed file of settings.
pub(crate) struct Settings<'t> {
    text: &'t str,
    /// Bytes of the byte-order mark.
    mark: usize,
    document: Document<&'t str>,
}

impl<'t> Settings<'t> {
    /// Nothing where it is no TOML.
    pub(crate) fn of(text: &'t str) -> Option<Settings<'t>> {
        let bare = text.trim_start_matches('\u{feff}');
        Some(Settings {
            mark: text.len() - bare.len(),
            document: Document::parse(bare).ok()?,
            text,
        })
    }

    fn node(&self, path: &[KeyStep]) -> Option<TomlNode<'_>> {
        let mut node = TomlNode::Table(OwnTable {
            table: self.document.as_table(),
            opened: None,
        });
        for step in path {
            node = match (node, step) {
                (TomlNode::Table(own), KeyStep::Key(key)) => of_item(own.table.get(key)?)?,
                (TomlNode::List(list), KeyStep::At(at)) => TomlNode::Table(*list.get(*at)?),
                // a list of one is written as one table, too
                (TomlNode::Table(own), KeyStep::At(0)) => TomlNode::Table(own),
                _ => return None,
            };
        }
        Some(node)
    }

    /// The bytes of a value.
    pub(crate) fn range(&self, path: &[KeyStep]) -> Option<Range<usize>> {
        let TomlNode::Value(value) = self.node(path)? else {
            return None;
        };
        let span = value.span()?;
        Some(span.start + self.mark..span.end + self.mark)
    }

    /// A value as a person types it: text without its quotes, a list with a line for each.
    pub(crate) fn typed(&self, path: &[KeyStep]) -> Option<String> {
        match self.node(path)? {
            TomlNode::Value(value) => Some(typed(value)),
            _ => None,
        }
    }

    /// The keys of a table.
    pub(crate) fn keys(&self, path: &[KeyStep]) -> Vec<String> {
        match self.node(path) {
            Some(TomlNode::Table(own)) => own.table.iter().map(|(key, _)| key.to_owned()).collect(),
            _ => Vec::new(),
        }
    }

    /// The number of tables in a list.
    pub(crate) fn count(&self, path: &[KeyStep]) -> usize {
        match self.node(path) {
            Some(TomlNode::List(list)) => list.len(),
            Some(TomlNode::Table(_)) => 1,
            _ => 0,
        }
    }

    /// First bytes of the lines that open a section, in order.
    fn openings(&self) -> Vec<usize> {
        let mut found = Vec::new();
        openings(self.document.as_table(), &mut found);
        found.sort_unstable();
        let start = |at| line_start(self.text, at + self.mark);
        found.into_iter().map(start).collect()
    }

    /// The bytes of a section below the line that opens it, up to the next; nothing where the
    /// file has no such section with lines of its own.
    fn body(&self, path: &[KeyStep]) -> Option<Range<usize>> {
        let from = if path.is_empty() {
            self.mark
        } else {
            let TomlNode::Table(own) = self.node(path)? else {
                return None;
            };
            line_end(self.text, own.opened? + self.mark)
        };
        let openings = self.openings();
        let next = openings.into_iter().find(|at| *at >= from);
        Some(from..next.unwrap_or(self.text.len()))
    }

    /// The byte after the last key of a section.
    fn last_key_end(&self, path: &[KeyStep]) -> Option<usize> {
        let TomlNode::Table(own) = self.node(path)? else {
            return None;
        };
        let ends = own.table.iter().filter_map(|(_, item)| match item {
            Item::Value(value) => Some(value.span()?.end + self.mark),
            _ => None,
        });
        ends.max()
    }

    /// The lines of a key with its value.
    pub(crate) fn lines(&self, path: &[KeyStep]) -> Option<Range<usize>> {
        let (KeyStep::Key(key), above) = path.split_last()? else {
            return None;
        };
        let TomlNode::Table(own) = self.node(above)? else {
            return None;
        };
        if !above.is_empty() && own.opened.is_none() {
            return None;
        }
        let start = own.table.key(key)?.span()?.start + self.mark;
        let end = self.range(path)?.end;
        Some(line_start(self.text, start)..line_end(self.text, end))
    }
}

fn of_item(item: &Item) -> Option<TomlNode<'_>> {
    fn section(table: &toml_edit::Table) -> OwnTable<'_> {
        let opened = written_as_section(table);
        OwnTable { table, opened }
    }
    fn inline(table: &toml_edit::InlineTable) -> OwnTable<'_> {
        let opened = None;
        OwnTable { table, opened }
    }
    Some(match item {
        Item::Table(table) => TomlNode::Table(section(table)),
        Item::ArrayOfTables(list) => TomlNode::List(list.iter().map(section).collect()),
        Item::Value(Value::InlineTable(table)) => TomlNode::Table(inline(table)),
        Item::Value(Value::Array(list)) if is_of_tables(list) => {
            let tables = list.iter().filter_map(Value::as_inline_table);
            TomlNode::List(tables.map(inline).collect())
        }
        Item::Value(value) => TomlNode::Value(value),
        Item::None => return None,
    })
}

/// The line that opens a section; a table made of dotted keys has none.
fn written_as_section(table: &toml_edit::Table) -> Option<usize> {
    let is_section = !table.is_dotted() && !table.is_implicit();
    is_section
        .then(|| table.span().map(|span| span.start))
        .flatten()
}

fn is_of_tables(list: &toml_edit::Array) -> bool {
    !list.is_empty() && list.iter().all(Value::is_inline_table)
}

fn openings(table: &toml_edit::Table, found: &mut Vec<usize>) {
    for (_, item) in table.iter() {
        let inner: Vec<&toml_edit::Table> = match item {
            Item::Table(table) => vec![table],
            Item::ArrayOfTables(list) => list.iter().collect(),
            _ => continue,
        };
        for table in inner {
            found.extend(written_as_section(table));
            openings(table, found);
        }
    }
}

/// An empty list as a person types it: there is none, where no list leaves it open.
pub(crate) const NONE: &str = "none";

fn typed(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        Value::Array(list) if list.is_empty() => NONE.to_owned(),
        Value::Array(list) => {
            let lines: Vec<String> = list.iter().map(typed).collect();
            lines.join("\n")
        }
        other => other.clone().decorated("", "").to_string(),
    }
}

/// A key as it is written: bare where it may be.
fn written_key(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    if !key.is_empty() && key.chars().all(bare) {
        key.to_owned()
    } else {
        Value::from(key).decorated("", "").to_string()
    }
}

/// Text as a file of settings writes it.
pub(crate) fn quoted(text: &str) -> String {
    Value::from(text).decorated("", "").to_string()
}

/// A list on one line, or where it is long on a line for each.
pub(crate) fn listed(values: &[String], text: &str) -> String {
    let line = format!("[{}]", values.join(", "));
    if line.len() <= 90 {
        return line;
    }
    let end = newline(text);
    let lines: String = values
        .iter()
        .map(|one| format!("    {one},{end}"))
        .collect();
    format!("[{end}{lines}]")
}

/// With a value set, as it is written; the file must be TOML.
pub(crate) fn set(text: &str, path: &[KeyStep], written: &str) -> Option<String> {
    let own = Settings::of(text)?;
    let changed = match own.range(path) {
        Some(range) => spliced(text, range, written),
        None => added(text, &own, path, written)?,
    };
    let holds = Settings::of(&changed)
        .and_then(|new| Some(changed.get(new.range(path)?)? == written))
        .unwrap_or(false);
    if holds {
        return Some(changed);
    }
    rewritten(text, path, Some(written))
}

/// With a key that was not there.
fn added(text: &str, own: &Settings<'_>, path: &[KeyStep], written: &str) -> Option<String> {
    let (KeyStep::Key(key), above) = path.split_last()? else {
        return None;
    };
    let end = newline(text);
    let line = format!("{} = {written}", written_key(key));
    if let Some(body) = own.body(above) {
        if let Some((range, tail)) = commented(text, body.clone(), key) {
            return Some(spliced(text, range, &format!("{line}{tail}{end}")));
        }
        let after = own.last_key_end(above).map(|at| line_end(text, at));
        let at = after.unwrap_or(if above.is_empty() {
            after_opening_words(text, body.start, body.end)
        } else {
            body.start
        });
        let before = line_break(&text[..at], end);
        return Some(spliced(text, at..at, &format!("{before}{line}{end}")));
    }
    let names: Option<Vec<String>> = above
        .iter()
        .map(|step| match step {
            KeyStep::Key(key) => Some(written_key(key)),
            KeyStep::At(_) => None,
        })
        .collect();
    let name = names?.join(".");
    // the table is there in some other form
    if own.node(above).is_some() {
        return rewritten(text, path, Some(written));
    }
    let uncommented = opened(text, own, &name).and_then(|text| {
        let own = Settings::of(&text)?;
        added(&text, &own, path, written)
    });
    uncommented.or_else(|| {
        let text = closed(text);
        let gap = if text.is_empty() { "" } else { end };
        Some(format!("{text}{gap}[{name}]{end}{line}{end}"))
    })
}

/// The end of the line before a new one, where it has none yet.
fn line_break<'e>(before: &str, end: &'e str) -> &'e str {
    if before.is_empty() || before.ends_with('\n') {
        ""
    } else {
        end
    }
}

/// The first byte after the words that a file opens with.
fn after_opening_words(text: &str, from: usize, to: usize) -> usize {
    let mut at = from;
    while at < to && text[at..].starts_with('#') {
        at = line_end(text, at);
    }
    at
}

/// A line of a section that is this key as a comment, and the words that follow its value.
fn commented(text: &str, body: Range<usize>, key: &str) -> Option<(Range<usize>, String)> {
    let mut at = body.start;
    while at < body.end {
        let end = line_end(text, at);
        let line = text[at..end].trim();
        if let Some(inside) = line.strip_prefix('#') {
            let inside = inside.trim_start();
            if inside.starts_with('[') {
                // what follows is of another section, as a comment
                return None;
            }
            let value = inside
                .strip_prefix(key)
                .or_else(|| inside.strip_prefix(&quoted(key)))
                .and_then(|rest| rest.trim_start().strip_prefix('='));
            if let Some(value) = value.filter(|value| is_whole(value)) {
                let words = value.find('#').map(|words| &value[words..]);
                let words = words.map_or(String::new(), |words| format!("   {}", words.trim()));
                return Some((at..end, words));
            }
        }
        at = end;
    }
    None
}

/// True where what stands behind an equals sign is a value on this line.
fn is_whole(value: &str) -> bool {
    Document::parse(format!("a ={value}")).is_ok()
}

/// With a section's name that was a comment, where nothing below it would change hands.
fn opened(text: &str, own: &Settings<'_>, name: &str) -> Option<String> {
    let openings = own.openings();
    let mut at = 0;
    while at < text.len() {
        let end = line_end(text, at);
        let line = text[at..end].trim();
        let inside = line.strip_prefix('#').map(str::trim_start);
        if inside.is_some_and(|inside| inside == format!("[{name}]")) {
            let next = openings.iter().find(|opening| **opening >= end);
            let below = &text[end..next.copied().unwrap_or(text.len())];
            let is_comment = |line: &str| line.trim().is_empty() || line.trim().starts_with('#');
            if below.lines().all(is_comment) {
                return Some(spliced(
                    text,
                    at..end,
                    &format!("[{name}]{}", newline(text)),
                ));
            }
        }
        at = end;
    }
    None
}

/// With a key that has another name and another value, in the same place.
pub(crate) fn renamed(
    text: &str,
    above: &[KeyStep],
    key: &str,
    new: &str,
    written: &str,
) -> Option<String> {
    let own = Settings::of(text)?;
    let path: Vec<KeyStep> = above
        .iter()
        .cloned()
        .chain([KeyStep::Key(key.to_owned())])
        .collect();
    let value = own.range(&path)?;
    let TomlNode::Table(table) = own.node(above)? else {
        return None;
    };
    let name = table.table.key(key)?.span()?;
    let changed = spliced(text, value, written);
    let name = name.start + own.mark..name.end + own.mark;
    let changed = spliced(&changed, name, &written_key(new));
    Settings::of(&changed).is_some().then_some(changed)
}

/// With a key made a comment.
pub(crate) fn unset(text: &str, path: &[KeyStep]) -> Option<String> {
    let own = Settings::of(text)?;
    if own.range(path).is_none() {
        return Some(text.to_owned());
    }
    let Some(lines) = own.lines(path) else {
        return rewritten(text, path, None);
    };
    let as_comment: String = text[lines.clone()]
        .split_inclusive('\n')
        .map(|line| format!("# {line}"))
        .collect();
    let changed = spliced(text, lines, &as_comment);
    let gone = Settings::of(&changed).is_some_and(|new| new.range(path).is_none());
    if gone {
        return Some(changed);
    }
    rewritten(text, path, None)
}

/// With one more table in a list.
pub(crate) fn push(text: &str, list: &[&str]) -> Option<String> {
    let own = Settings::of(text)?;
    let path = keys(list);
    let end = newline(text);
    let name = list.join(".");
    // one table alone is written without the second pair of brackets
    let text = match own.node(&path) {
        Some(TomlNode::Table(table)) => {
            let opened = table.opened? + own.mark;
            spliced(
                text,
                opened..opened + name.len() + 2,
                &format!("[[{name}]]"),
            )
        }
        _ => text.to_owned(),
    };
    let own = Settings::of(&text)?;
    let at = match own.count(&path) {
        0 => text.len(),
        count => {
            let last: Vec<KeyStep> = path
                .iter()
                .cloned()
                .chain([KeyStep::At(count - 1)])
                .collect();
            let body = own.body(&last)?;
            own.last_key_end(&last)
                .map_or(body.start, |key| line_end(&text, key))
        }
    };
    let gap = if text[..at].is_empty() { "" } else { end };
    let before = line_break(&text[..at], end);
    let changed = spliced(&text, at..at, &format!("{before}{gap}[[{name}]]{end}"));
    Settings::of(&changed).is_some().then_some(changed)
}

/// Without one table of a list.
pub(crate) fn pull(text: &str, list: &[&str], at: usize) -> Option<String> {
    let own = Settings::of(text)?;
    let path: Vec<KeyStep> = keys(list).into_iter().chain([KeyStep::At(at)]).collect();
    let Some(body) = own.body(&path) else {
        return rewritten(text, &path, None);
    };
    let start = line_start(text, body.start.saturating_sub(1));
    let key = own.last_key_end(&path);
    let mut end = key.map_or(body.start, |key| line_end(text, key));
    // the empty line below goes too, or removing would leave two
    if text[end..].starts_with(newline(text)) && text[..start].ends_with('\n') {
        end += newline(text).len();
    }
    let changed = spliced(text, start..end, "");
    Settings::of(&changed).is_some().then_some(changed)
}

/// The same by writing the whole file again, where it is written in a way that has no lines to
/// change: tables in one line, dotted keys.
fn rewritten(text: &str, path: &[KeyStep], written: Option<&str>) -> Option<String> {
    let mut document: DocumentMut = text.trim_start_matches('\u{feff}').parse().ok()?;
    let (last, above) = path.split_last()?;
    let mut item: &mut Item = document.as_item_mut();
    for step in above {
        item = match step {
            KeyStep::Key(key) => item
                .as_table_like_mut()?
                .entry(key)
                .or_insert(Item::Table(toml_edit::Table::new())),
            KeyStep::At(at) => item.get_mut(*at)?,
        };
    }
    match (last, written) {
        (KeyStep::Key(key), Some(written)) => {
            let value: Value = written.parse().ok()?;
            item.as_table_like_mut()?.insert(key, Item::Value(value));
        }
        (KeyStep::Key(key), None) => {
            item.as_table_like_mut()?.remove(key);
        }
        (KeyStep::At(at), None) => match item {
            Item::Value(Value::Array(list)) => {
                list.remove(*at);
            }
            _ => return None,
        },
        (KeyStep::At(_), Some(_)) => return None,
    }
    Some(document.to_string())
}
