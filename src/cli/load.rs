//! Files into texts: the plan names the others, and the core reads none itself.

use std::path::{Path, PathBuf};

use sutler::diagnostics::{Diagnostic, Notes, Severity, SourceFile, Sources, Span, Spanned};
use sutler::inputs::{self, Inputs, Texts, plan_toml, route_gpx};
use sutler::starter;
use sutler::time::Elapsed;

use super::args::SourceArgs;

/// Files read for a command, and every problem met so far.
pub(crate) struct Loaded {
    pub(crate) sources: Sources,
    pub(crate) notes: Notes,
    pub(crate) inputs: Inputs,
    /// Every file that was read, so that none is replaced by what is made of it.
    pub(crate) read: Vec<PathBuf>,
    /// True where a file that is needed could not be read, so that what follows from it is no news.
    incomplete: bool,
}

impl Loaded {
    /// True where a course can be made of what was read: the files it is made of are there and right.
    /// Otherwise the course would only say again what was said about them.
    pub(crate) fn makes_a_course(&self) -> bool {
        let of_the_course = |span: Span| {
            let rows = self.inputs.stations.iter().filter_map(|row| row.span);
            let start = self
                .inputs
                .course
                .start
                .as_ref()
                .and_then(|start| start.span);
            let mut spans = rows.chain(self.inputs.track.span).chain(start);
            spans.any(|own| own.file == span.file)
        };
        let wrong = self
            .notes
            .all()
            .iter()
            .filter(|note| note.severity == Severity::Error);
        !self.incomplete && !wrong.filter_map(|note| note.at).any(of_the_course)
    }
}

/// Reads everything a command needs.
pub(crate) fn load(args: &SourceArgs) -> Loaded {
    load_with(args, None)
}

/// The same, and the log of a long run.
pub(crate) fn load_with(args: &SourceArgs, log: Option<&Path>) -> Loaded {
    let mut finder = Finder {
        notes: Notes::new(),
        read: Vec::new(),
    };
    let mut texts = finder.texts(args);
    if let Some(path) = log {
        texts.log = finder.named(path, None, "give the path of a CSV file");
    }
    let mut sources = Sources::default();
    let mut notes = finder.notes;
    let incomplete = notes.has_errors();
    let mut inputs = inputs::read(texts, &mut sources, &mut notes);
    if args.route.is_some() && args.plan.is_none() {
        inputs.generic_foods = true;
        if inputs.course.name.is_none() {
            inputs.course.name = inputs.track.name.clone();
        }
    }
    if let Some((first, others)) = args.finish.split_first() {
        inputs.plan.finish = Some(Spanned::unwritten(first.planned()));
        let others = others.iter().flat_map(|target| {
            let ends = target.beside();
            std::iter::once(target.planned()).chain(ends)
        });
        let beside = first.beside().into_iter().chain(others);
        inputs.plan.other_finishes = beside.map(Spanned::unwritten).collect();
    }
    inputs.plan.past.extend(args.past.iter().cloned());
    if let (Some(start), Some(zone)) = (args.start, args.timezone) {
        inputs.course.start = Some(Spanned::unwritten(start));
        inputs.course.timezone = Some(Spanned::unwritten(zone));
    }
    Loaded {
        sources,
        notes,
        inputs,
        read: finder.read,
        incomplete,
    }
}

/// The finishes to plan, the plan's own first.
pub(crate) fn finishes(inputs: &Inputs, notes: &mut Notes) -> Vec<Spanned<Elapsed>> {
    const MOST: usize = 3;
    let finishes: Vec<Spanned<Elapsed>> = inputs
        .plan
        .finish
        .iter()
        .chain(&inputs.plan.other_finishes)
        .copied()
        .collect();
    if finishes.len() > MOST {
        notes.push(
            Diagnostic::error(format!(
                "{} finishes are too many to compare",
                finishes.len()
            ))
            .at(finishes[MOST].span, format!("expected at most {MOST}"))
            .hint("leave some out"),
        );
    }
    finishes
}

/// Follows the names from the plan to its files.
struct Finder {
    notes: Notes,
    read: Vec<PathBuf>,
}

impl Finder {
    fn texts(&mut self, args: &SourceArgs) -> Texts {
        let mut texts = Texts::default();
        let plan_path = match (&args.plan, &args.route) {
            (Some(path), _) => Some(path.clone()),
            (None, Some(_)) => None,
            (None, None) => Some(PathBuf::from("plan.toml")),
        };
        let mut course_folder = None;
        if let Some(path) = plan_path {
            let path = if path.is_dir() {
                path.join("plan.toml")
            } else {
                path
            };
            texts.plan = self.named(
                &path,
                None,
                "give the plan's file, or --route for a quick start; `sutler new DIR` writes examples",
            );
            if let Some(plan) = texts.plan.clone() {
                course_folder = self.beside_plan(&plan, &path, args, &mut texts);
            }
        }
        if let Some(folder) = course_folder {
            texts.course = self.optional(&folder.join("course.toml"));
            texts.stations = self.optional(&folder.join("stations.csv"));
            texts.surfaces = self.optional(&folder.join("surfaces.csv"));
            texts.results = self.optional(&folder.join("results.csv"));
            if args.route.is_none() {
                let hint = "a course folder holds course.toml, route.gpx and stations.csv";
                texts.route = self.named(&folder.join("route.gpx"), None, hint);
            }
        }
        if args.plan.is_none() && args.route.is_some() {
            // a quick start eats what most runners do, and says so
            texts.pantry = Some(SourceFile::new("generic foods", starter::PANTRY));
        }
        if let Some(path) = &args.route {
            texts.route = self.named(path, None, "give the path of a GPX file");
        }
        if let Some(path) = &args.stations {
            texts.stations = self.named(path, None, "give the path of a CSV file");
        }
        texts
    }

    /// Reads the runner's files that the plan names, and finds the course folder.
    fn beside_plan(
        &mut self,
        plan: &SourceFile,
        path: &Path,
        args: &SourceArgs,
        texts: &mut Texts,
    ) -> Option<PathBuf> {
        // the plan is the first text the reader keeps, so spans of this first look hold there too
        let id = Sources::default().add(plan.clone());
        let names = plan_toml::read(plan, id, &mut Notes::new());
        let folder = path.parent().unwrap_or(Path::new(""));
        let mut beside = |name: &Option<Spanned<String>>, default: &str| match name {
            Some(name) => {
                let hint = "names are relative to the plan's own folder";
                self.named(&folder.join(&name.value), name.span, hint)
            }
            None => self.optional(&folder.join(default)),
        };
        texts.runner = beside(&names.files.runner, "runner.toml");
        texts.pantry = beside(&names.files.pantry, "pantry.csv");
        texts.gear = beside(&names.files.gear, "gear.csv");
        // a plan with a forecast of its own means that one
        let lines = names.forecast.is_some() || names.weather.is_some();
        if !lines || names.files.weather.is_some() {
            texts.weather = beside(&names.files.weather, "weather.csv");
        }
        texts.crew = beside(&names.files.crew, "crew.toml");
        texts.record = beside(&names.files.record, "long-runs/record.toml");
        if names.course.is_none() && args.route.is_none() {
            self.notes.push(
                Diagnostic::error("the plan names no course")
                    .at(Span::new(id, 0..0), "expected `course = \"folder\"`")
                    .hint("name the course folder, or give --route"),
            );
        }
        let course = names.course?;
        let course_folder = folder.join(&course.value);
        if course_folder.is_dir() {
            return Some(course_folder);
        }
        self.notes.push(
            Diagnostic::error(format!("there is no folder `{}`", course_folder.display()))
                .at(course.span, "expected a course folder")
                .hint("names are relative to the plan's own folder"),
        );
        None
    }

    /// A file that must be there.
    fn named(&mut self, path: &Path, span: Option<Span>, hint: &str) -> Option<SourceFile> {
        match crate::cli::read_file::bytes(path) {
            Ok(bytes) => {
                self.read.push(path.to_owned());
                self.text(path, bytes)
            }
            Err(e) => {
                let reason = super::show::reason(&e);
                self.notes.push(
                    Diagnostic::error(format!("could not read `{}`: {reason}", path.display()))
                        .at(span, "expected a file that can be read")
                        .hint(hint),
                );
                None
            }
        }
    }

    /// A file that need not be there.
    fn optional(&mut self, path: &Path) -> Option<SourceFile> {
        if !is_named(path) {
            return None;
        }
        if path.exists() {
            return self.named(path, None, "delete it to do without it");
        }
        self.notes.push(
            Diagnostic::error(format!("`{}` is a link that leads nowhere", path.display()))
                .hint("fix the link, or delete it to do without the file"),
        );
        None
    }

    fn text(&mut self, path: &Path, bytes: Vec<u8>) -> Option<SourceFile> {
        match route_gpx::decode(&path.display().to_string(), bytes) {
            Ok(file) => Some(file),
            Err(problem) => {
                self.notes.push(problem);
                None
            }
        }
    }
}

/// True where anything has this name: a file, a folder, or a link, even one that leads nowhere or
/// lies in a folder that is such a link.
fn is_named(path: &Path) -> bool {
    let folder = path.parent().unwrap_or(Path::new(""));
    let is_broken = |path: &Path| std::fs::symlink_metadata(path).is_ok() && !path.exists();
    std::fs::symlink_metadata(path).is_ok() || is_broken(folder)
}
