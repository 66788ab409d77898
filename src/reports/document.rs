//! A report before it has a format: blocks of words, facts, tables and drawings.

use crate::facts::ProfileFacts;

/// A report, ready to be put into any format.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// Its title.
    pub title: String,
    /// Its parts, in reading order.
    pub blocks: Vec<Block>,
}

/// A part of a report.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The verdict that every report opens with: holds or not, how likely and where it is tightest.
    Verdict(Verdict),
    /// A section's name.
    Heading(String),
    /// A sentence or two.
    Paragraph(String),
    /// Names and values.
    Facts(Vec<(String, String)>),
    /// Rows and columns.
    Table(Table),
    /// Rows and columns for programs, which people read in other words beside them.
    Data(Table),
    /// The course from the side; formats without a fixed pitch leave it out.
    Skyline(Box<Skyline>),
    /// Lines to keep as they are, such as a part of a file.
    Drawing(Vec<String>),
    /// Points, each with lines that belong to it.
    List(Vec<Item>),
}

/// The verdict in lines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Verdict {
    /// True where it holds.
    pub holds: bool,
    /// The verdict first, then what belongs to it.
    pub lines: Vec<String>,
}

/// The course from the side with its stations.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Skyline {
    /// The ground, and the night where a target is known.
    pub ground: ProfileFacts,
    /// Number and organiser's distance of each station, metres.
    pub stations: Vec<(String, f64)>,
}

/// A point of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its meaning.
    pub tone: Tone,
    /// Its text.
    pub text: String,
    /// Lines below it.
    pub under: Vec<String>,
}

/// The meaning of a word or cell; the format chooses how to show it, if at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Tone {
    /// Nothing in particular.
    #[default]
    Plain,
    /// Text that the eye should find first.
    Strong,
    /// Less important than the rest.
    Faint,
    /// Time in hand, a need met.
    Good,
    /// Look at this.
    Warning,
    /// It fails here.
    Bad,
}

/// Rows and columns, each cell as shown to people and as read by programs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// Heads.
    pub columns: Vec<Column>,
    /// Rows, each as long as `columns`.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// The heading that people read.
    pub head: String,
    /// The name that programs use, with its unit; `None` leaves it out of data formats.
    pub key: Option<&'static str>,
    /// The side its text stands on.
    pub align: Align,
    /// True where it is left out where a terminal is too narrow for all.
    pub spare: bool,
}

/// The side that text stands on in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Names.
    Left,
    /// Numbers and times.
    Right,
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// As people read it.
    pub shown: String,
    /// As programs read it.
    pub raw: String,
    /// Its meaning.
    pub tone: Tone,
}

impl Document {
    /// An empty report.
    #[must_use]
    pub fn titled(title: impl Into<String>) -> Self {
        Document {
            title: title.into(),
            blocks: Vec::new(),
        }
    }

    /// Adds a part.
    pub fn push(&mut self, block: Block) {
        self.blocks.push(block);
    }

    /// Starts a section.
    pub fn section(&mut self, name: impl Into<String>) {
        self.blocks.push(Block::Heading(name.into()));
    }

    /// Adds a table as a section of its own.
    pub fn table(&mut self, name: impl Into<String>, table: Table) {
        self.section(name);
        self.push(Block::Table(table));
    }

    /// Adds points as a section of their own; nothing where there are none.
    pub fn list(&mut self, name: &str, items: impl IntoIterator<Item = Item>) {
        let items: Vec<Item> = items.into_iter().collect();
        if !items.is_empty() {
            self.section(name);
            self.push(Block::List(items));
        }
    }

    /// Adds sentences as points.
    pub fn points<T: Into<String>>(&mut self, texts: impl IntoIterator<Item = T>) {
        let items = texts.into_iter().map(|text| Item::new(Tone::Plain, text));
        self.push(Block::List(items.collect()));
    }

    /// Adds a paragraph.
    pub fn say(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Paragraph(text.into()));
    }
}

/// A column with what each row has in it.
pub type Filled<T> = (Column, fn(&T) -> Cell);

impl Table {
    /// A row for each thing, a cell for each column.
    pub fn of<'a, T: 'a>(things: impl IntoIterator<Item = &'a T>, columns: Vec<Filled<T>>) -> Self {
        let row = |thing: &T| columns.iter().map(|(_, cell)| cell(thing)).collect();
        Table {
            rows: things.into_iter().map(row).collect(),
            columns: columns.into_iter().map(|(column, _)| column).collect(),
        }
    }
}

impl Table {
    /// Without the columns that can be spared; `None` where there is none.
    #[must_use]
    pub fn slimmer(&self) -> Option<Table> {
        let kept = |of: usize| !self.columns[of].spare;
        let columns: Vec<Column> = self.columns.iter().filter(|c| !c.spare).cloned().collect();
        let row = |row: &Vec<Cell>| {
            let cells = row.iter().enumerate().filter(|(of, _)| kept(*of));
            cells.map(|(_, cell)| cell.clone()).collect()
        };
        (columns.len() < self.columns.len()).then(|| Table {
            rows: self.rows.iter().map(row).collect(),
            columns,
        })
    }
}

impl Column {
    /// With what each row has in it.
    #[must_use]
    pub fn of<T>(self, cell: fn(&T) -> Cell) -> Filled<T> {
        (self, cell)
    }

    /// A column that another table says too.
    #[must_use]
    pub fn spare(mut self) -> Self {
        self.spare = true;
        self
    }

    /// A column of names.
    #[must_use]
    pub fn left(head: impl Into<String>, key: &'static str) -> Self {
        Column {
            head: head.into(),
            key: Some(key),
            align: Align::Left,
            spare: false,
        }
    }

    /// A column of numbers or times.
    #[must_use]
    pub fn right(head: impl Into<String>, key: &'static str) -> Self {
        Column {
            head: head.into(),
            key: Some(key),
            align: Align::Right,
            spare: false,
        }
    }
}

impl Cell {
    /// The same text for people and programs.
    #[must_use]
    pub fn new(text: impl Into<String>) -> Self {
        let shown = text.into();
        Cell {
            raw: shown.clone(),
            shown,
            tone: Tone::Plain,
        }
    }

    /// One text for people, another for programs.
    #[must_use]
    pub fn with_raw(shown: impl Into<String>, raw: impl ToString) -> Self {
        Cell {
            shown: shown.into(),
            raw: raw.to_string(),
            tone: Tone::Plain,
        }
    }

    /// Nothing to say.
    #[must_use]
    pub fn empty() -> Self {
        Cell::default()
    }

    /// Meant so.
    #[must_use]
    pub fn tone(mut self, tone: Tone) -> Self {
        self.tone = tone;
        self
    }
}

impl Item {
    /// A point without lines below it.
    #[must_use]
    pub fn new(tone: Tone, text: impl Into<String>) -> Self {
        Item {
            tone,
            text: text.into(),
            under: Vec::new(),
        }
    }
}
