//! `sutler card`, `crew-sheet` and every other page: HTML, and through a browser PDF and PNG.

use std::path::{Path, PathBuf};

use clap::{Args as ClapArgs, ValueEnum};

use sutler::facts::Facts;
use sutler::pages::{self, CardSize, Page, Sheet, Wishes};

use super::args::{OUTPUT, SourceArgs, UnitsArg};
use super::browser::{self, Browser};
use super::check::checked;
use super::load::load;
use super::show::{self, Stop};
use super::without::WithoutArgs;
use super::{report, save};

const PAGE: &str = "Page";

#[derive(ClapArgs, Debug)]
pub(crate) struct CardArgs {
    #[command(flatten)]
    sheet: SheetArgs,
    /// Cut and fold of the card
    #[arg(long, value_name = "SIZE", default_value = "pocket", help_heading = PAGE)]
    size: SizeArg,
    /// No pace on the card, for those who run by feel
    #[arg(long, help_heading = PAGE)]
    by_feel: bool,
    /// Race time beside the clock
    #[arg(long, help_heading = PAGE)]
    elapsed: bool,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct PaperArgs {
    #[command(flatten)]
    source: SourceArgs,
    /// The file to write, whole or not at all: .html, .pdf or .png [default: HTML to the terminal]
    ///
    /// Open the HTML in any browser and print it. A PDF (all sheets) or a PNG (one of them) needs a
    /// browser of the Chromium family on this machine; SUTLER_BROWSER names one.
    #[arg(short, long, value_name = "FILE", help_heading = OUTPUT)]
    output: Option<PathBuf>,
    /// Let --output replace an existing file
    #[arg(long, requires = "output", help_heading = OUTPUT)]
    overwrite: bool,
    /// The sheet to show in a PNG, counted from 1
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..), help_heading = OUTPUT)]
    sheet: u16,
    /// Units to print in
    #[arg(long, value_name = "UNITS", default_value = "metric", help_heading = OUTPUT)]
    units: UnitsArg,
    /// The day to print as the day it was made, such as 2026-06-01
    #[arg(long, value_name = "DATE", help_heading = PAGE)]
    made: Option<chrono::NaiveDate>,
    /// A stylesheet of your own, after the page's
    ///
    /// Its rules come last, so they win. Nothing that it names on another machine is loaded.
    #[arg(long, value_name = "FILE.css", help_heading = PAGE)]
    style: Option<PathBuf>,
    #[command(flatten)]
    missing: WithoutArgs,
}

/// A page for sheets of paper.
#[derive(ClapArgs, Debug)]
pub(crate) struct SheetArgs {
    #[command(flatten)]
    page: PaperArgs,
    /// The paper in the printer
    #[arg(long, value_name = "PAPER", default_value = "a4", help_heading = PAGE)]
    paper: PaperSize,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct PosterArgs {
    #[command(flatten)]
    page: PaperArgs,
    /// A sheet of paper (a3, a4, a5, letter), or the pixels of a phone's screen, such as 1080x2400
    ///
    /// Common screens: 1080x1920, 1080x2340, 1080x2400, 1170x2532, 1290x2796, 1440x3120. Write a
    /// PNG for a phone: it has just these pixels, and its upper part stays free for the clock.
    #[arg(long, value_name = "SIZE", default_value = "a4", value_parser = poster_size, help_heading = PAGE)]
    size: Sheet,
    /// Light on dark; the default for a phone
    #[arg(long, help_heading = PAGE)]
    dark: bool,
    /// Dark on light, on a phone too
    #[arg(long, conflicts_with = "dark", help_heading = PAGE)]
    light: bool,
}

/// The pixels that a side of a screen may have.
const PIXELS: std::ops::RangeInclusive<u32> = 480..=8000;

fn poster_size(typed: &str) -> Result<Sheet, String> {
    match typed.to_ascii_lowercase().as_str() {
        "a3" => return Ok(Sheet::A3),
        "a4" => return Ok(Sheet::A4),
        "a5" => return Ok(Sheet::A5),
        "letter" => return Ok(Sheet::Letter),
        _ => {}
    }
    let sides = typed.split_once(['x', '×', 'X']);
    let sides = sides.and_then(|(wide, high)| Some((wide.parse().ok()?, high.parse().ok()?)));
    match sides {
        Some((wide, high)) if PIXELS.contains(&wide) && PIXELS.contains(&high) && wide < high => {
            // two pixels are one of CSS: a browser's window has whole ones
            Ok(Sheet::Screen(wide & !1, high & !1))
        }
        _ => Err(format!(
            "expected a3, a4, a5, letter or an upright screen such as 1080x2400, of {} to {} pixels a side",
            PIXELS.start(),
            PIXELS.end()
        )),
    }
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum SizeArg {
    /// Panels as large as a phone, two side by side
    Pocket,
    /// Narrow panels, three side by side, folded like a letter
    Strip,
    /// A band to wind around the wrist, times outside, food and drink inside
    Wrist,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum PaperSize {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 in
    Letter,
}

/// The kind of a file by its name.
#[derive(Clone, Copy, PartialEq, Eq)]
enum PictureKind {
    Html,
    Pdf,
    Png,
}

/// Makes the pace card.
pub(crate) fn card(args: &CardArgs) -> Result<u8, Stop> {
    let wishes = Wishes {
        size: match args.size {
            SizeArg::Pocket => CardSize::Pocket,
            SizeArg::Strip => CardSize::Strip,
            SizeArg::Wrist => CardSize::Wrist,
        },
        by_feel: args.by_feel,
        elapsed: args.elapsed,
        ..Wishes::default()
    };
    on_paper("card", &args.sheet, wishes)
}

/// Makes any page that has no arguments of its own.
pub(crate) fn run(name: &str, args: &SheetArgs) -> Result<u8, Stop> {
    on_paper(name, args, Wishes::default())
}

/// Makes the poster.
pub(crate) fn poster(args: &PosterArgs) -> Result<u8, Stop> {
    let wishes = Wishes {
        sheet: args.size,
        dark: args.dark || matches!(args.size, Sheet::Screen(..)) && !args.light,
        ..Wishes::default()
    };
    make("poster", &args.page, wishes)
}

fn on_paper(name: &str, args: &SheetArgs, wishes: Wishes) -> Result<u8, Stop> {
    let sheet = match args.paper {
        PaperSize::A4 => Sheet::A4,
        PaperSize::Letter => Sheet::Letter,
    };
    make(name, &args.page, Wishes { sheet, ..wishes })
}

fn make(name: &str, args: &PaperArgs, wishes: Wishes) -> Result<u8, Stop> {
    let page =
        pages::by_name(name).ok_or_else(|| Stop::Said(format!("there is no page `{name}`")))?;
    let kind = args.output.as_deref().map(kind_of).transpose()?;
    // a browser that is not there is told before anything is planned
    let browser = match kind {
        Some(PictureKind::Pdf | PictureKind::Png) => Some(Browser::find()?),
        _ => None,
    };
    let style = args.style.as_deref().map(read).transpose()?;
    let wishes = Wishes {
        made: args.made,
        style,
        ..wishes
    };
    let mut loaded = load(&args.source);
    loaded.read.extend(args.style.clone());
    let raced = report::made_without(&mut loaded, true, &args.missing)?;
    let view = raced.view(&loaded, args.units);
    let mut facts = Facts::of(&view);
    if name == "race-book" {
        facts.check = checked(&view, &loaded);
    }
    let html = page.html(&facts, &wishes);
    match (&args.output, browser) {
        (None, _) => show::print(&html)?,
        (Some(output), None) => {
            save::output(output, html.as_bytes(), args.overwrite, &loaded.read)?
        }
        (Some(output), Some(browser)) => {
            save::no_input(output, &loaded.read)?;
            save::is_free(output, args.overwrite)?;
            let bytes = if kind == Some(PictureKind::Pdf) {
                browser.pdf(&html)?
            } else {
                picture(&browser, page, &facts, &wishes, args.sheet)?
            };
            save::file(output, &bytes, args.overwrite)?;
        }
    }
    Ok(report::verdict(&raced.plans, view.units))
}

/// One sheet of a page as PNG.
fn picture(
    browser: &Browser,
    page: &Page,
    facts: &Facts,
    wishes: &Wishes,
    number: u16,
) -> Result<Vec<u8>, Stop> {
    // the others keep their size, by which parts are laid out on them
    let alone = format!(
        "html,body,main{{margin:0;background:none}}.sheet{{margin:0}}\
         .sheet:not(:nth-of-type({number})){{position:absolute;top:0;left:0;visibility:hidden}}"
    );
    let style = wishes.style.clone().unwrap_or_default() + "\n" + &alone;
    let style = Some(style);
    let html = page.html(
        facts,
        &Wishes {
            style,
            ..wishes.clone()
        },
    );
    let shot = browser.png(&html, wishes.sheet.size_mm())?;
    let sheets = browser::sheets_of(&shot.dom);
    if usize::from(number) > sheets {
        return Err(Stop::Said(format!(
            "there is no sheet {number}: this page has {sheets}"
        )));
    }
    Ok(shot.bytes)
}

fn kind_of(path: &Path) -> Result<PictureKind, Stop> {
    let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
    match ending.to_str() {
        Some("html" | "htm") => Ok(PictureKind::Html),
        Some("pdf") => Ok(PictureKind::Pdf),
        Some("png") => Ok(PictureKind::Png),
        _ => Err(Stop::Said(format!(
            "`{}` names no kind of page: end it with .html, .pdf or .png",
            path.display()
        ))),
    }
}

fn read(path: &Path) -> Result<String, Stop> {
    std::fs::read_to_string(path).map_err(|e| {
        let reason = show::reason(&e);
        Stop::Said(format!("could not read `{}`: {reason}", path.display()))
    })
}
