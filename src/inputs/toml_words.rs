//! Messages of the TOML parser, in words for people who write such a file once a year.

use super::values::{leading_number, quoted};

/// A message: the mistake, the expectation, and the way out.
pub(super) struct TomlMessage {
    pub(super) what: String,
    pub(super) expected: String,
    pub(super) hint: Option<String>,
}

const EQUALS: &str = "write `=` between the key and its value";

/// Puts the parser's message into words. `found` is the text it points at; around it stand the
/// line up to there and the line from there on.
pub(super) fn explained(message: &str, found: &str, (before, rest): (&str, &str)) -> TomlMessage {
    let (said, wanted) = message.split_once(", expected ").unwrap_or((message, ""));
    let found = found.trim();
    let words = TomlMessage::of;
    match said {
        "string values must be quoted" => unquoted(found),
        "key with no value" | "missing assignment between key-value pairs" => {
            words("a key without a value", "`=` and a value").hint(
                if before.trim_end().ends_with(':') {
                    Some(EQUALS.to_owned())
                } else {
                    rest.contains('=')
                        .then(|| "a name with spaces stands in quotes".to_owned())
                },
            )
        }
        "invalid unquoted key" => words("a character that a key cannot hold", wanted)
            .hint(rest.starts_with(':').then(|| EQUALS.to_owned())),
        "invalid key-value pair" => words(
            "a line that is neither a key nor a section",
            "`key = value`",
        ),
        "duplicate key" => words(&format!("{} is set twice", quoted(found)), "each name once"),
        "unexpected key or value" => {
            words("something follows the value", "the end of the line").hint(decimal_comma(rest))
        }
        _ => value(said, wanted, found),
    }
}

/// The parser's message about a value.
fn value(said: &str, wanted: &str, found: &str) -> TomlMessage {
    let words = TomlMessage::of;
    let starts = |with: &str| said.starts_with(with);
    if starts("invalid time") {
        words(
            &format!("{} is not a time of day", quoted(found)),
            "race time in quotes, such as `\"29:30:00\"`",
        )
        .hint(Some(format!("write `\"{found}\"`")))
    } else if starts("invalid date") || starts("invalid offset") {
        words(&format!("{} is not a date", quoted(found)), wanted)
    } else if starts("invalid boolean") {
        let expected = "`true` or `false` in small letters";
        words(&format!("{} is not a value", quoted(found)), expected)
    } else if starts("unexpected leading zero") {
        words("a number starts with a zero", "a digit from 1 to 9 first").hint(Some(
            "put dates, times and phone numbers in quotes".to_owned(),
        ))
    } else if starts("missing escaped value") {
        words(
            "a backslash with a letter that means nothing after it",
            wanted,
        )
        .hint(Some("write a backslash itself as `\\\\`".to_owned()))
    } else if starts("unclosed") {
        words("a bracket is never closed", wanted)
    } else if said.contains("string") {
        words("a quote is never closed", wanted)
    } else {
        words(&said.replace("invalid ", "not a "), wanted)
    }
}

impl TomlMessage {
    fn of(what: &str, wanted: &str) -> Self {
        TomlMessage {
            what: what.to_owned(),
            expected: if wanted.is_empty() {
                String::new()
            } else {
                format!("expected {wanted}")
            },
            hint: None,
        }
    }

    fn hint(mut self, hint: Option<String>) -> Self {
        self.hint = hint;
        self
    }
}

/// A value that is neither a number nor in quotes.
fn unquoted(found: &str) -> TomlMessage {
    if found.is_empty() {
        return TomlMessage {
            what: "a key without a value".to_owned(),
            expected: "expected a value after the `=`".to_owned(),
            hint: None,
        };
    }
    let number = leading_number(found);
    let inner = found.trim_matches(['“', '”', '„', '‘', '’', '«', '»']);
    TomlMessage {
        what: format!("{} is not a value", quoted(found)),
        expected: "expected a number, or text in quotes".to_owned(),
        hint: Some(
            if let Some(number) = number.as_ref().filter(|_| found.contains('%')) {
                format!(
                    "the key says the unit; write `{number}`, or the hundredth of it for a share"
                )
            } else if let Some(number) = number {
                format!("the key says the unit; write `{number}`")
            } else if inner.len() < found.len() {
                format!("use straight quotes: `\"{inner}\"`")
            } else {
                format!("write `\"{found}\"`")
            },
        ),
    }
}

fn decimal_comma(rest: &str) -> Option<String> {
    let digits = rest.strip_prefix(',')?.trim_start();
    digits
        .starts_with(|c: char| c.is_ascii_digit())
        .then(|| "write a decimal point instead of the comma".to_owned())
}
