//! From what was found to the track: which lines are the route, how they join, what to say.

use geo::{Distance, Haversine, Point};

use super::found::{EarlyEnd, RouteContent};
use super::lines::{Lines, TrackLine};
use super::prologue::Prologue;
use super::values::{short, short_range};
use super::{Track, TrackPoint};
use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span};
use crate::words::{count, plural};

/// Segments that end and begin farther apart than this are worth a word: a recorder that was
/// paused or lost its signal for a moment bridges less (common practice, no source).
const FAR_APART_M: f64 = 200.0;

/// Makes the track.
pub(super) fn track(
    found: RouteContent,
    prologue: &Prologue,
    file: &SourceFile,
    id: FileId,
    notes: &mut Notes,
) -> Track {
    let by_track = is_by_track(&found);
    let beside = beside(&found, by_track, file, id);
    let (kind, lines) = if by_track {
        ("tracks", found.tracks)
    } else {
        ("routes", found.routes)
    };
    let sound = found.problems.is_empty() && lines.problems.is_empty();
    found.problems.tell(&file.name, notes);
    let name = title(found.name, lines.with_points());
    let many = several(kind, lines.with_points(), &file.name);
    lines.problems.tell(&file.name, notes);
    let unusable = [
        lines.heights.warning(&file.name),
        lines.times.warning(&file.name),
    ];
    unusable.into_iter().flatten().for_each(|w| notes.push(w));
    let track = Track {
        name,
        points: lines.points,
        breaks: lines.breaks,
        waypoints: found.waypoints,
        span: Some(Span::new(id, 0..file.text.len())),
    };
    let ended_well = found.stop.is_none();
    if let Some(stop) = found.stop {
        notes.push(early_end(stop, &track, file, id));
    }
    if track.points.len() >= 2 {
        let warnings = [
            many,
            gaps(&track, &file.name),
            found.unknown.warning(&file.name),
            unreadable(&track),
        ];
        let warnings = warnings.into_iter().flatten().chain(beside);
        warnings.for_each(|warning| notes.push(warning));
    } else if sound && ended_well {
        notes.push(too_few(&track, prologue.root, &file.name));
    }
    track
}

/// True where the tracks are the route; where they make no line, the routes are.
fn is_by_track(found: &RouteContent) -> bool {
    let makes_line = |lines: &Lines| lines.points.len() >= 2;
    // A line of bad points only is still what the user meant.
    let has_content = |lines: &Lines| !lines.points.is_empty() || !lines.problems.is_empty();
    makes_line(&found.tracks) || !makes_line(&found.routes) && has_content(&found.tracks)
}

/// Lines that could be read as the course, or as anything, and are not.
fn beside(found: &RouteContent, by_track: bool, file: &SourceFile, id: FileId) -> Vec<Diagnostic> {
    let file_name = &file.name;
    let routes = found.routes.points.len();
    let other_line = (by_track && routes >= 2).then(|| {
        Diagnostic::warning(format!(
            "`{file_name}` holds a track of {} and a route of {}: the track is the course",
            count(found.tracks.points.len(), "point"),
            count(routes, "point")
        ))
        .hint("where the route is what is run, delete the track from the file")
    });
    let text = found.beside.clone().map(|at| {
        Diagnostic::warning(format!(
            "`{file_name}` has text outside of `<gpx>`, skipped"
        ))
        .at(
            Span::new(id, short_range(&file.text, at)),
            "expected nothing after `</gpx>`",
        )
    });
    other_line.into_iter().chain(text).collect()
}

fn title(of_file: Option<String>, lines: &[TrackLine]) -> Option<String> {
    match lines {
        [only] => only.name.clone().or(of_file),
        _ => of_file.or_else(|| lines.iter().find_map(|line| line.name.clone())),
    }
}

/// Lines in one file may be stages of a course, or courses to choose from.
fn several(kind: &str, lines: &[TrackLine], file_name: &str) -> Option<Diagnostic> {
    const NAMED: usize = 3;
    if lines.len() < 2 {
        return None;
    }
    let shown = lines.iter().take(NAMED).map(|line| {
        let name = line.name.as_ref();
        let name = name.map_or_else(
            || "an unnamed one".to_owned(),
            |name| format!("`{}`", short(name)),
        );
        format!("{name} ({})", count(line.points, "point"))
    });
    let mut listed = shown.collect::<Vec<_>>();
    if lines.len() > NAMED {
        listed.push(format!("{} more", lines.len() - NAMED));
    }
    Some(
        Diagnostic::warning(format!(
            "`{file_name}` holds {} {kind}, joined in this order: {}",
            lines.len(),
            listed.join(", ")
        ))
        .hint("where they are courses to choose from, keep one of them in the file"),
    )
}

fn gaps(track: &Track, file_name: &str) -> Option<Diagnostic> {
    let place = |point: &TrackPoint| Point::new(point.lon, point.lat);
    let gaps = track.breaks.iter().filter_map(|&first| {
        let before = track.points.get(first.checked_sub(1)?)?;
        let after = track.points.get(first)?;
        let length_m = Haversine.distance(place(before), place(after));
        (length_m > FAR_APART_M).then_some((length_m, first))
    });
    let gaps = gaps.collect::<Vec<_>>();
    let (longest_m, first) = gaps.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let length = if longest_m < 1000.0 {
        format!("{longest_m:.0} m")
    } else {
        format!("{:.1} km", longest_m / 1000.0)
    };
    let message = if gaps.len() == 1 {
        format!(
            "`{file_name}` has a gap of {length} between points {first} and {}",
            first + 1
        )
    } else {
        format!(
            "`{file_name}` has {} gaps, the longest of {length} between points {first} and {}",
            gaps.len(),
            first + 1
        )
    };
    Some(Diagnostic::warning(message).hint(
        "a gap counts as a straight line; where segments are out of order or a piece is \
         missing, draw the course again",
    ))
}

/// A name with U+FFFD in it lost a character on the way.
fn unreadable(track: &Track) -> Option<Diagnostic> {
    let names = track.waypoints.iter().map(|waypoint| &waypoint.name);
    let first = names.clone().find(|name| name.value.contains('\u{fffd}'))?;
    let count = names.filter(|name| name.value.contains('\u{fffd}')).count();
    let names = plural(count, "name has", "names have");
    Some(
        Diagnostic::warning(format!(
            "{count} waypoint {names} characters that cannot be read"
        ))
        .at(first.span, "expected readable text")
        .hint("save the file as UTF-8, or write the name again"),
    )
}

fn early_end(stop: EarlyEnd, track: &Track, file: &SourceFile, id: FileId) -> Diagnostic {
    let file_name = &file.name;
    let span = |at| Span::new(id, short_range(&file.text, at));
    let points = track.points.len();
    let problem = |what: &str| match points {
        0 => Diagnostic::error(format!("`{file_name}` {what} before the first point")),
        1 => Diagnostic::error(format!("`{file_name}` {what} after a single point")),
        _ => Diagnostic::warning(format!("`{file_name}` {what} after {points} points")),
    };
    let hint = if points < 2 {
        "export or download the file again"
    } else {
        "the points before are taken as the course: where the last of them is not the finish, \
         export or download the file again"
    };
    match stop {
        EarlyEnd::CutOff { at } => problem("breaks off")
            .at(span(at), "expected the rest, up to `</gpx>`")
            .hint(hint),
        EarlyEnd::Damaged { at, why } => problem("is damaged").at(span(at), why).hint(hint),
        EarlyEnd::TooMany { at, most } => {
            Diagnostic::error(format!("`{file_name}` holds more than {most} points"))
                .at(span(at), format!("expected at most {most} points"))
                .hint("export it with fewer points, such as one every 5 m, or split it")
        }
    }
}

fn too_few(track: &Track, root: Span, file_name: &str) -> Diagnostic {
    let what = match (track.points.len(), track.waypoints.len()) {
        (1, _) => "holds a single point".to_owned(),
        (_, 0) => "holds no track and no route".to_owned(),
        (_, 1) => "holds a waypoint, but no track and no route".to_owned(),
        (_, many) => format!("holds {many} waypoints, but no track and no route"),
    };
    Diagnostic::error(format!("`{file_name}` {what}"))
        .at(root, "expected a track or route of at least 2 points")
        .hint("export the course with its track")
}
