//! `sutler card`, `sutler crew-sheet`, `sutler bag-sheet` and `sutler race-book`: a plan onto paper.

use std::path::{Path, PathBuf};

use clap::{Args as ClapArgs, ValueEnum};

use sutler::diagnostics::SourceFile;
use sutler::paper::{
    BAG_SHEET, CARD, CREW_SHEET, CardSize, Format, OwnTemplate, Paper, RACE_BOOK, Sheet, Wishes,
    fields_text,
};

use super::args::{SourceArgs, UnitsArg};
use super::load::load;
use super::show::{self, Stop};
use super::{DONE, report, save};

#[derive(ClapArgs, Debug)]
pub(crate) struct CardArgs {
    #[command(flatten)]
    paper: PaperArgs,
    /// How the card is cut and folded
    #[arg(
        long,
        value_name = "SIZE",
        default_value = "pocket",
        help_heading = "Page"
    )]
    size: SizeArg,
    /// No pace on the card, for those who run by feel
    #[arg(long, help_heading = "Page")]
    by_feel: bool,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct PaperArgs {
    #[command(flatten)]
    source: SourceArgs,
    /// The file to write, whole or not at all: .pdf, .png or .svg
    ///
    /// A PDF holds all pages, a picture one of them.
    #[arg(
        short,
        long,
        value_name = "FILE",
        required_unless_present_any = ["data", "fields"],
        help_heading = "Output"
    )]
    output: Option<PathBuf>,
    /// Let --output replace a file that is there
    #[arg(long, requires = "output", help_heading = "Output")]
    overwrite: bool,
    /// The page that a picture shows
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..), help_heading = "Output")]
    page: u16,
    /// Units to print in
    #[arg(
        long,
        value_name = "UNITS",
        default_value = "metric",
        help_heading = "Output"
    )]
    units: UnitsArg,
    /// The sheet in the printer
    #[arg(
        long,
        value_name = "SHEET",
        default_value = "a4",
        help_heading = "Page"
    )]
    sheet: SheetArg,
    /// The day to print as the day it was made, such as 2026-06-01
    #[arg(long, value_name = "DATE", help_heading = "Page")]
    made: Option<chrono::NaiveDate>,
    /// A Typst template of your own
    ///
    /// It reads its data with `json("/data.json")`; --data prints that, --fields what each field
    /// is. `/common.typ` is there to import; the race book has its pictures too, `/profile.svg`,
    /// `/time-distance.svg`, `/fuel.svg` and `/skyline.svg`; there is no other file.
    #[arg(long, value_name = "FILE.typ", help_heading = "Page")]
    template: Option<PathBuf>,
    /// Print the data that templates get, as JSON, and lay out nothing
    #[arg(long, conflicts_with_all = ["output", "template"], help_heading = "Page")]
    data: bool,
    /// Print what each field of that data is, and read no plan
    #[arg(long, conflicts_with_all = ["output", "template", "data"], help_heading = "Page")]
    fields: bool,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum SizeArg {
    /// A7 panels, two side by side
    Pocket,
    /// Narrow panels, three side by side, folded like a letter
    Strip,
    /// A band to wind around the wrist
    Wrist,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum SheetArg {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 in
    Letter,
}

/// Prints the pace card.
pub(crate) fn card(args: &CardArgs) -> Result<u8, Stop> {
    let wishes = Wishes {
        size: match args.size {
            SizeArg::Pocket => CardSize::Pocket,
            SizeArg::Strip => CardSize::Strip,
            SizeArg::Wrist => CardSize::Wrist,
        },
        by_feel: args.by_feel,
        ..Wishes::default()
    };
    run(&CARD, &args.paper, wishes)
}

/// Prints the crew's sheet.
pub(crate) fn crew_sheet(args: &PaperArgs) -> Result<u8, Stop> {
    run(&CREW_SHEET, args, Wishes::default())
}

/// Prints the bag sheet.
pub(crate) fn bag_sheet(args: &PaperArgs) -> Result<u8, Stop> {
    run(&BAG_SHEET, args, Wishes::default())
}

/// Prints the race book.
pub(crate) fn race_book(args: &PaperArgs) -> Result<u8, Stop> {
    run(&RACE_BOOK, args, Wishes::default())
}

fn run(paper: &Paper, args: &PaperArgs, wishes: Wishes) -> Result<u8, Stop> {
    if args.fields {
        show::print(&fields_text(paper.name))?;
        return Ok(DONE);
    }
    let output = args.output.as_deref();
    let format = output.map(format_of).transpose()?;
    let wishes = Wishes {
        sheet: match args.sheet {
            SheetArg::A4 => Sheet::A4,
            SheetArg::Letter => Sheet::Letter,
        },
        made: args.made,
        ..wishes
    };
    let template = args.template.as_deref().map(read).transpose()?;
    let mut loaded = load(&args.source);
    let made = report::make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let own = template.as_ref().map(|file| OwnTemplate {
        text: &file.text,
        id: loaded.sources.add(file.clone()),
    });
    let view = report::view(&race, &plans, &loaded, args.units, 80);
    if let (Some(output), Some(format)) = (output, format) {
        let pages = paper.pages(&view, &wishes, own.as_ref());
        let pages = pages.map_err(|notes| {
            show::problems(&loaded.sources, notes.all());
            Stop::Shown
        })?;
        let page = usize::from(args.page) - 1;
        let bytes = pages.write(format, page).map_err(Stop::Said)?;
        save::file(output, &bytes, args.overwrite)?;
    } else {
        show::print(&format!("{:#}\n", (paper.data)(&view, &wishes)))?;
    }
    Ok(report::verdict(&plans, view.units))
}

/// What a file's name says that it is.
fn format_of(path: &Path) -> Result<Format, Stop> {
    let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
    match ending.to_str() {
        Some("pdf") => Ok(Format::Pdf),
        Some("png") => Ok(Format::Png),
        Some("svg") => Ok(Format::Svg),
        _ => Err(Stop::Said(format!(
            "`{}` names no kind of page: end it with .pdf, .png or .svg",
            path.display()
        ))),
    }
}

fn read(path: &Path) -> Result<SourceFile, Stop> {
    let text = std::fs::read_to_string(path).map_err(|e| {
        let reason = show::reason(&e);
        Stop::Said(format!("could not read `{}`: {reason}", path.display()))
    })?;
    Ok(SourceFile::new(path.display().to_string(), text))
}
