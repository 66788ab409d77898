//! Lines of iCalendar (RFC 5545).

/// A line is folded after so many bytes (section 3.1).
const LONGEST_LINE: usize = 75;

/// A name in letters and digits that any identifier may hold.
pub(super) fn slug(name: &str) -> String {
    let kept: String = name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .take(40)
        .collect();
    let kept = kept.trim_matches('-').to_owned();
    if kept.is_empty() {
        "race".to_owned()
    } else {
        kept
    }
}

/// Content lines (section 3.1).
pub(super) struct ContentLines(String);

impl ContentLines {
    /// A calendar that holds such events.
    pub(super) fn open(of: &str) -> ContentLines {
        let mut lines = ContentLines(String::new());
        lines.raw("BEGIN:VCALENDAR");
        lines.raw("VERSION:2.0");
        lines.raw(&format!("PRODID:-//sutler//{of}//EN"));
        lines.raw("CALSCALE:GREGORIAN");
        lines
    }

    /// The whole text.
    pub(super) fn close(mut self) -> String {
        self.raw("END:VCALENDAR");
        self.0
    }

    /// A property whose value is no text, or the bounds of a component.
    pub(super) fn raw(&mut self, line: &str) {
        let mut room = LONGEST_LINE;
        for c in line.chars() {
            if c.len_utf8() > room {
                self.0 += "\r\n ";
                room = LONGEST_LINE - 1;
            }
            room -= c.len_utf8();
            self.0.push(c);
        }
        self.0 += "\r\n";
    }

    /// A property of text (section 3.3.11).
    pub(super) fn text(&mut self, key: &str, value: &str) {
        let mut escaped = String::with_capacity(value.len());
        for c in value.chars() {
            match c {
                '\n' => escaped += "\\n",
                '\\' | ';' | ',' => {
                    escaped.push('\\');
                    escaped.push(c);
                }
                c => escaped.push(c),
            }
        }
        self.raw(&format!("{key}:{escaped}"));
    }
}
