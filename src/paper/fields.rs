//! What every field of a template's data is, in words.

/// Headed sections of lines: a path, spaces, what is found there.
const TEXT: &str = include_str!("data/fields.txt");
/// What a value is called that stands for the three fields of a time.
const TIME: &str = "TIME";

/// One field of the data: where it stands, `[]` for any item of a list, and what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    /// Such as `stations[].arrive`.
    pub path: &'static str,
    /// One line.
    pub about: &'static str,
}

impl Field {
    /// Whether it is a time: an object of the fields of [`time_fields`], or null.
    #[must_use]
    pub fn is_time(&self) -> bool {
        self.about.contains(TIME)
    }
}

/// The fields of a paper of this name, those of every page first.
#[must_use]
pub fn fields(paper: &str) -> Vec<Field> {
    sections()
        .filter(|(head, _)| is_of(head, paper))
        .flat_map(|(_, lines)| listed(lines))
        .collect()
}

/// What stands for every time.
#[must_use]
pub fn time_fields() -> Vec<Field> {
    let times = sections().filter(|(head, _)| head.contains(TIME));
    times.flat_map(|(_, lines)| listed(lines)).collect()
}

/// The same as it is printed: the sections that a paper of this name has.
#[must_use]
pub fn fields_text(paper: &str) -> String {
    let own = sections().filter(|(head, _)| is_of(head, paper) || head.contains(TIME));
    let texts: Vec<String> = own
        .map(|(head, lines)| {
            let wide = listed(lines).map(|field| field.path.len()).max();
            let wide = wide.unwrap_or_default();
            let lines = listed(lines).map(|f| format!("{:wide$}  {}\n", f.path, f.about));
            format!("{head}\n{}", lines.collect::<String>())
        })
        .collect();
    texts.join("\n")
}

/// Heads with the lines below.
fn sections() -> impl Iterator<Item = (&'static str, &'static str)> {
    TEXT.split("# ")
        .filter_map(|section| section.split_once('\n'))
}

/// Whether a section is of every page, or names this one.
fn is_of(head: &str, paper: &str) -> bool {
    head == "every page" || head.split([' ', ',']).any(|word| word == paper)
}

fn listed(lines: &'static str) -> impl Iterator<Item = Field> {
    lines.lines().filter_map(|line| {
        let (path, about) = line.split_once(' ')?;
        let about = about.trim_start();
        Some(Field { path, about })
    })
}
