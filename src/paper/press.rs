//! Templates and data into pages, and pages into files.
//!
//! A template sees two files beside itself, `/data.json` and `/common.typ`, and pictures where the
//! page has them; there is no disk, no network, no font of the machine and no clock to reach.

use std::ops::Range;
use std::sync::LazyLock;

use serde_json::Value;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime};
use typst::layout::{Page, PagedDocument};
use typst::syntax::{FileId, Source, VirtualPath};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World, WorldExt};
use typst_pdf::PdfOptions;

use crate::diagnostics::{self, Diagnostic, Notes, Span};

use super::COMMON;

/// A template that the user brings.
#[derive(Clone, Copy, Debug)]
pub struct OwnTemplate<'a> {
    /// Its text.
    pub text: &'a str,
    /// The same text among the sources, so that its mistakes are shown in their place.
    pub id: diagnostics::FileId,
}

/// Pages, laid out.
#[derive(Clone, Debug)]
pub struct Pages(PagedDocument);

/// What pages are written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// All pages, tagged for readers that speak.
    Pdf,
    /// One page in pixels, 200 to the inch.
    Png,
    /// One page in outlines.
    Svg,
}

/// Pixels per point of a picture: 200 to the inch.
const PIXELS_PER_PT: f32 = 200.0 / 72.0;

impl Pages {
    /// The laid-out document.
    #[must_use]
    pub fn document(&self) -> &PagedDocument {
        &self.0
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.0.pages.len()
    }

    /// The bytes of a file; a picture shows the page with this index.
    ///
    /// # Errors
    /// In words, why there is no such picture.
    pub fn write(&self, format: Format, page: usize) -> Result<Vec<u8>, String> {
        if format == Format::Pdf {
            return typst_pdf::pdf(&self.0, &PdfOptions::default())
                .map_err(|problems| problems.iter().map(|p| p.message.to_string()).collect());
        }
        let Some(page) = self.0.pages.get(page) else {
            return Err(format!(
                "there is no page {}: it has {}",
                page + 1,
                self.count()
            ));
        };
        match format {
            Format::Png => png(page, PIXELS_PER_PT),
            _ => Ok(typst_svg::svg(page).into_bytes()),
        }
    }
}

/// Lays out the pages of a template that may read pictures, each a name and its SVG.
pub(super) fn lay_out(
    template: &str,
    own: Option<&OwnTemplate<'_>>,
    data: &Value,
    pictures: Vec<(String, String)>,
) -> Result<Pages, Notes> {
    let press = Press::new(own.map_or(template, |own| own.text), data, pictures);
    match typst::compile::<PagedDocument>(&press).output {
        Ok(document) => Ok(Pages(document)),
        Err(problems) => {
            let mut notes = Notes::new();
            for problem in &problems {
                notes.push(press.said(problem, own));
            }
            Err(notes)
        }
    }
}

fn png(page: &Page, pixels_per_pt: f32) -> Result<Vec<u8>, String> {
    let pixels = typst_render::render(page, pixels_per_pt);
    pixels.encode_png().map_err(|e| e.to_string())
}

/// A picture's SVG as PNG, two pixels to each of its own.
///
/// # Errors
/// In words, what cannot be drawn.
pub fn pixels(svg: String) -> Result<Vec<u8>, String> {
    // a picture's own pixel is 0.75 pt wide (CSS Values 4, 6.2)
    const TWO_PER_PX: f32 = 2.0 / 0.75;
    const TEMPLATE: &str = "#set page(width: auto, height: auto, margin: 0pt)
#set text(font: (\"DejaVu Sans\", \"Noto Emoji\"), stretch: 75%)
#image(\"/picture.svg\")";
    let pictures = vec![("/picture.svg".to_owned(), svg)];
    let pages =
        lay_out(TEMPLATE, None, &Value::Null, pictures).map_err(|notes| in_words(&notes))?;
    let page = pages.0.pages.first().ok_or("there is no picture")?;
    png(page, TWO_PER_PX)
}

/// What is wrong on one line, where there is no text of the user's to show it in.
pub(crate) fn in_words(notes: &Notes) -> String {
    let said = notes.all().iter().map(|note| note.message.as_str());
    said.collect::<Vec<_>>().join("; ")
}

/// Regular and bold letters, and plain emoji for what they lack.
static FONTS: LazyLock<(LazyHash<FontBook>, Vec<Font>)> = LazyLock::new(|| {
    let files: [&'static [u8]; 3] = [
        dejavu::sans_condensed::regular(),
        dejavu::sans_condensed::bold(),
        epaint_default_fonts::NOTO_EMOJI_REGULAR,
    ];
    let fonts: Vec<Font> = files
        .into_iter()
        .filter_map(|file| Font::new(Bytes::new(file), 0))
        .collect();
    (LazyHash::new(FontBook::from_fonts(&fonts)), fonts)
});

static LIBRARY: LazyLock<LazyHash<Library>> = LazyLock::new(|| LazyHash::new(Library::default()));

/// All that a template can reach.
struct Press {
    main: Source,
    common: Source,
    files: Vec<(FileId, Bytes)>,
}

impl Press {
    fn new(template: &str, data: &Value, pictures: Vec<(String, String)>) -> Press {
        let id = |name: &str| FileId::new(None, VirtualPath::new(name));
        let data = ("/data.json".to_owned(), data.to_string());
        let files = pictures.into_iter().chain([data]);
        Press {
            main: Source::new(id("/main.typ"), template.to_owned()),
            common: Source::new(id("/common.typ"), COMMON.to_owned()),
            files: files
                .map(|(name, text)| (id(&name), Bytes::from_string(text)))
                .collect(),
        }
    }

    /// What the typesetter says, at its place in the user's template.
    fn said(&self, problem: &SourceDiagnostic, own: Option<&OwnTemplate<'_>>) -> Diagnostic {
        let traced = problem.trace.iter().map(|point| point.span);
        let place: Option<Range<usize>> = std::iter::once(problem.span)
            .chain(traced)
            .find(|span| span.id() == Some(self.main.id()))
            .and_then(|span| self.range(span));
        let span = own.zip(place).map(|(own, range)| Span::new(own.id, range));
        let said =
            Diagnostic::error(format!("the template fails: {}", problem.message)).at(span, "");
        match problem.hints.first() {
            Some(hint) => said.hint(hint.as_str()),
            None => said,
        }
    }
}

impl World for Press {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.0
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        [&self.main, &self.common]
            .into_iter()
            .find(|source| source.id() == id)
            .cloned()
            .ok_or_else(|| missing(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if let Some((_, bytes)) = self.files.iter().find(|(name, _)| *name == id) {
            return Ok(bytes.clone());
        }
        let source = self.source(id)?;
        Ok(Bytes::from_string(source.text().to_owned()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.1.get(index).cloned()
    }

    fn today(&self, _offset: Option<i64>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().as_rootless_path().to_owned())
}
