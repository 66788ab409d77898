//! What the TOML parser says, in words for people who write such a file once a year.

use super::values::quoted;

/// What is wrong, what was expected, and the way out.
pub(super) struct Words {
    pub(super) what: String,
    pub(super) expected: String,
    pub(super) hint: Option<String>,
}

/// Puts the parser's message into words. `found` is the text it points at, `rest` all text from
/// there on.
pub(super) fn explained(message: &str, found: &str, rest: &str) -> Words {
    let (said, wanted) = message.split_once(", expected ").unwrap_or((message, ""));
    let found = found.trim();
    let quoting = |hint: &str| Some(hint.to_owned());
    let (what, expected, hint) = match said {
        "string values must be quoted" => return unquoted(found),
        _ if said.starts_with("invalid time") => (
            format!("{} is no time of day", quoted(found)),
            "race time in quotes, such as `\"29:30:00\"`",
            Some(format!("write `\"{found}\"`")),
        ),
        _ if said.starts_with("invalid date") || said.starts_with("invalid offset") => {
            (format!("{} is no date", quoted(found)), wanted, None)
        }
        _ if said.contains("string") => {
            ("a quote is opened and not closed".to_owned(), wanted, None)
        }
        "key with no value" | "missing assignment between key-value pairs" => (
            "a key without a value".to_owned(),
            "`=` and a value",
            rest.contains('=')
                .then(|| "a name with spaces stands in quotes".to_owned()),
        ),
        "duplicate key" => (
            format!("{} is there twice", quoted(found)),
            "each name once",
            None,
        ),
        _ if said.starts_with("unclosed") => (
            "a bracket is opened and not closed".to_owned(),
            wanted,
            None,
        ),
        "unexpected key or value" => (
            "something follows the value".to_owned(),
            "the end of the line",
            decimal_comma(rest),
        ),
        "unexpected leading zero" => (
            "a number starts with a zero".to_owned(),
            "a digit from 1 to 9 first",
            quoting("put dates, times and phone numbers in quotes"),
        ),
        "missing escaped value" => (
            "a backslash with a letter that means nothing after it".to_owned(),
            wanted,
            quoting("write a backslash itself as `\\\\`"),
        ),
        "invalid boolean" => (
            format!("{} is no value", quoted(found)),
            "`true` or `false` in small letters",
            None,
        ),
        "invalid unquoted key" => (
            "a character that a key cannot hold".to_owned(),
            wanted,
            rest.starts_with(':')
                .then(|| "write `=` between the key and its value".to_owned()),
        ),
        "invalid key-value pair" => (
            "a line that is neither a key nor a section".to_owned(),
            "`key = value`",
            None,
        ),
        _ => (said.replace("invalid ", "not a "), wanted, None),
    };
    Words {
        what,
        expected: if expected.is_empty() {
            String::new()
        } else {
            format!("expected {expected}")
        },
        hint,
    }
}

/// A value that is neither a number nor in quotes.
fn unquoted(found: &str) -> Words {
    if found.is_empty() {
        return Words {
            what: "a key without a value".to_owned(),
            expected: "expected a value after the `=`".to_owned(),
            hint: None,
        };
    }
    let number: String = found
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-'))
        .collect();
    let inner = found.trim_matches(['“', '”', '„', '‘', '’', '«', '»']);
    Words {
        what: format!("{} is no value", quoted(found)),
        expected: "expected a number, or text in quotes".to_owned(),
        hint: Some(if number.parse::<f64>().is_ok() {
            format!("the key says the unit; write `{number}`")
        } else if inner.len() < found.len() {
            format!("use straight quotes: `\"{inner}\"`")
        } else {
            format!("write `\"{found}\"`")
        }),
    }
}

fn decimal_comma(rest: &str) -> Option<String> {
    let digits = rest.strip_prefix(',')?.trim_start();
    digits
        .starts_with(|c: char| c.is_ascii_digit())
        .then(|| "write a decimal point instead of the comma".to_owned())
}
