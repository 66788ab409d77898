"use strict";
// The engine's tables, read again. Times are seconds since the runner's own start.
const data = JSON.parse(document.getElementById("data").textContent);
const stations = data.stations;
for (const station of stations) {
  station.label = document.querySelector(`[data-station="${station.index}"] bdi`).textContent;
}
const last = stations.length - 1;
const sum = (list) => list.reduce((a, b) => a + b, 0);

// a table's value: linear between its places, and beyond them that of the last
function between(places, values, at) {
  let low = 0, high = places.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (places[middle] <= at) low = middle + 1; else high = middle;
  }
  if (low === 0) return values[0];
  if (low === places.length) return values[low - 1];
  const share = (at - places[low - 1]) / (places[low] - places[low - 1]);
  return values[low - 1] + share * (values[low] - values[low - 1]);
}

function arrive(segment, leave, ratio) {
  let now = leave;
  for (const [cool, enter, hour] of data.segments[segment]) {
    now += between(data.slowness, cool, 1 / ratio) * between(enter, hour, now);
  }
  return now;
}

// every arrival from a station on, and the departures
function run(from, leave, stops, ratio) {
  const arrivals = [], departures = [];
  departures[from] = leave;
  for (let k = from; k < last; k += 1) {
    arrivals[k + 1] = arrive(k, departures[k], ratio);
    departures[k + 1] = arrivals[k + 1] + stops[k + 1];
  }
  return { arrivals, departures };
}

// the speed for the rest, over the plan's, that ends at the planned finish
function needed(from, leave, stops) {
  const end = (slowness) => run(from, leave, stops, 1 / slowness).arrivals[last];
  let least = 1 / data.most_ratio, most = 1e3;
  if (end(least) > data.finish_s) return null;
  for (let i = 0; i < 60; i += 1) {
    const middle = 0.5 * (least + most);
    if (end(middle) > data.finish_s) most = middle; else least = middle;
  }
  return 2 / (least + most);
}

// the effort shown by what was seen, in course order: { station, left, at }
function soFar(events) {
  const stops = stations.map((s) => s.stop_s);
  let planned = 0, seen = 0, from = { station: 0, left: true, at: 0 };
  for (const to of events) {
    if (from.station === to.station) {
      if (!from.left && to.left) stops[to.station] = to.at - from.at;
    } else {
      const first = from.station + (from.left ? 1 : 0), end = to.station + (to.left ? 1 : 0);
      const moving = sum(data.moving_s.slice(from.station, to.station));
      const interval = to.at - from.at;
      let stopped = sum(stops.slice(first, end));
      if (interval - stopped < 0.5 * moving) {
        const share = Math.min(interval / (stopped + moving), 1);
        for (let k = first; k < end; k += 1) stops[k] *= share;
        stopped *= share;
      }
      planned += moving;
      seen += interval - stopped;
    }
    from = to;
  }
  const leave = from.left ? from.at : from.at + stops[from.station];
  const hours = planned / 3600, timeRatio = planned > 0 ? seen / planned : 1;
  const weight = hours / (hours + data.prior_h);
  return { here: from.station, hasLeft: from.left, at: from.at, leave, stops, timeRatio,
    ratio: timeRatio ** -weight };
}

// what is still uncertain of the plan's early and late arrivals
function windows(here, leave, arrivals, hold) {
  const widest = (side) => Math.max(0, ...stations.map(side));
  const before = widest((s) => Math.round(s.arrival_s) - s.early_s);
  const after = widest((s) => s.late_s - Math.round(s.arrival_s));
  const whole = data.finish_s / 3600, seen = stations[here].arrival_s / 3600;
  const finish = Math.round(arrivals[last]);
  const found = [];
  let early = leave, late = leave;
  for (let k = here + 1; k <= last; k += 1) {
    const likely = Math.round(arrivals[k]), at = stations[k].arrival_s / 3600;
    const ahead = at - seen, left = Math.max(whole - at, 0);
    const share = hold ? (ahead * left) / (whole * (whole - seen))
      : ahead / whole + (ahead * ahead) / (whole * (seen + data.prior_h));
    const width = 2 * Math.sqrt(share);
    let from = likely - (hold ? before : after) * width;
    from = Math.max(from, leave + ((likely - leave) * 2) / 3, early);
    let until = Math.max(likely + (hold ? after : before) * width, late);
    if (hold) until = Math.min(until, finish);
    early = Math.min(from, likely);
    late = Math.max(until, likely);
    found[k] = [Math.round(early), Math.round(late)];
  }
  return found;
}

// the latest departures that still meet every cutoff after them, at this effort
function latest(here, stops, ratio) {
  const found = [];
  for (let k = last - 1; k >= here; k -= 1) {
    const next = stations[k + 1], own = stations[k];
    let limit = next.cutoff_s !== undefined && !next.cutoff_leaves ? next.cutoff_s : Infinity;
    if (found[k + 1] !== undefined) limit = Math.min(limit, found[k + 1] - stops[k + 1]);
    let leave = Infinity;
    if (limit < Infinity) {
      let low = limit - 72 * 3600, high = limit;
      for (let i = 0; i < 40; i += 1) {
        const middle = 0.5 * (low + high);
        if (arrive(k, middle, ratio) > limit) high = middle; else low = middle;
      }
      leave = Math.floor(low);
    }
    if (own.cutoff_s !== undefined && own.cutoff_leaves) leave = Math.min(leave, own.cutoff_s);
    if (leave < Infinity) found[k] = leave;
  }
  return found;
}

// when the crew is at each meeting ahead, and drives off there: not before the runner has left the
// meeting before
function crewTimes(early, gone) {
  const found = [];
  let left;
  for (const { index: k, meets, drive_s } of stations) {
    if (!meets) continue;
    if (early[k] !== undefined) {
      let there = early[k] - data.buffer_s, off;
      if (k > 0 && drive_s !== undefined) {
        const drive = Math.ceil(drive_s);
        off = Math.max(there - drive, left ?? -Infinity);
        there = off + drive;
      }
      found[k] = { off, there };
    }
    left = gone[k];
  }
  return found;
}

// the rest of the day, both ways
function project(events) {
  const seen = soFar(events);
  const way = (ratio, hold) => {
    const { arrivals, departures } = run(seen.here, seen.leave, seen.stops, ratio);
    if (hold) arrivals[last] = departures[last] = data.finish_s;
    const around = windows(seen.here, seen.leave, arrivals, hold);
    const gone = departures.map((s) => Math.round(s));
    for (const e of events) if (e.station < seen.here) gone[e.station] = e.left ? e.at : e.at + seen.stops[e.station];
    return { ratio, arrivals, departures, windows: around, crew: crewTimes(around.map((w) => w[0]), gone),
      latest: latest(seen.here, seen.stops, ratio) };
  };
  const ratio = seen.here < last ? needed(seen.here, seen.leave, seen.stops) : null;
  return { seen, effort: way(seen.ratio, false), finish: ratio === null ? null : way(ratio, true) };
}

// ---- clocks

const DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const two = (n) => String(n).padStart(2, "0");
const toMinute = (s) => Math.floor((Math.round(s) + 30) / 60) * 60;

function offset(at) {
  let found = data.clock.offsets[0][1];
  for (const [from, seconds] of data.clock.offsets) if (from <= at) found = seconds;
  return found;
}
const wall = (at) => data.clock.start_s + at + offset(at);

// the race times at which the wall shows a time, earliest first
function instants(local) {
  const all = new Set(data.clock.offsets.map(([, seconds]) => seconds));
  return [...all].map((seconds) => local - data.clock.start_s - seconds)
    .filter((at) => wall(at) === local).sort((a, b) => a - b);
}

function since(at) {
  const minutes = Math.abs(toMinute(at)) / 60;
  return `${toMinute(at) < 0 ? "-" : ""}${Math.floor(minutes / 60)}:${two(minutes % 60)}`;
}
const margin = (s) => (toMinute(s) < 0 ? since(s) : `+${since(s)}`);

function showTime(at) {
  if (!data.clock) return since(at);
  const minute = toMinute(at), local = wall(minute), same = instants(local);
  const mark = same.length > 1 ? (same[0] === minute ? "¹" : "²") : "";
  const day = ((local % 86400) + 86400) % 86400;
  return `${two(Math.floor(day / 3600))}:${two(Math.floor(day / 60) % 60)}${mark}`;
}
const weekday = (local) => (Math.floor(local / 86400) + 3) % 7; // 1970 began on a Thursday
function show(at) {
  return data.clock ? `${DAYS[weekday(wall(toMinute(at)))]} ${showTime(at)}` : since(at);
}

// every race time that a text can mean near the plan
function read(text, planned) {
  const refused = (error) => ({ error });
  let rest = text.trim();
  const number = (words) => {
    const found = /^(\d{1,3})[:.]?([0-5]\d)(?:[:.]([0-5]\d))?$/.exec(words);
    return found && { s: found[1] * 3600 + found[2] * 60 + Number(found[3] ?? 0),
      minute: found[3] === undefined };
  };
  if (rest.startsWith("+") || !data.clock) {
    const time = number(rest.replace(/^\+/, ""));
    return time ? { times: [time.s], minute: time.minute }
      : refused("Expected time since the start, such as +20:31.");
  }
  const marked = /^(.*?)\s*([¹²])$/.exec(rest);
  if (marked) rest = marked[1];
  const named = /^(\p{L}+)\s+(.*)$/u.exec(rest);
  const day = named ? DAYS.findIndex((d) => named[1].slice(0, 3).toLowerCase() === d.toLowerCase()) : -1;
  if (named && day < 0) return refused("Expected a day such as Sun before the time.");
  const time = number(named ? named[2] : rest);
  if (!time || time.s >= 86400) return refused("Expected a clock time such as 14:32 or Sun 02:31.");
  const reach = named ? 84.5 * 3600 : 12.5 * 3600;
  const midnight = Math.floor(wall(Math.round(planned)) / 86400) * 86400;
  let times = [];
  for (let days = -5; days <= 5; days += 1) {
    const local = midnight + days * 86400 + time.s;
    if (named && weekday(local) !== day) continue;
    let found = instants(local);
    if (marked) found = found.length > 1 ? [found[marked[2] === "¹" ? 0 : 1]] : [];
    times = times.concat(found.filter((at) => Math.abs(at - planned) <= reach));
  }
  if (times.length === 0) {
    return refused(marked ? "The clocks show this time once: leave ¹ or ² out."
      : "The clocks do not show this time near the plan.");
  }
  return { times, minute: time.minute, open: !named };
}

// what to say where another day may be meant
function farOff({ at, planned, open }) {
  const off = Math.abs(at - planned);
  if (!open || off <= 6 * 3600) return "";
  return `Taken as ${show(at)}, ${since(off)} ${at > planned ? "after" : "before"} the plan. Name the day, such as Sun 02:31, where another is meant.`;
}

// entries become events in course order; of all choices that go forward, the nearest to the plan
function place(entries) {
  const errors = [], sightings = [];
  stations.forEach((station, k) => {
    for (const left of [false, true]) {
      const text = (entries[k] ?? {})[left ? "left" : "seen"] ?? "";
      if (!text.trim()) continue;
      const planned = left ? station.departure_s : station.arrival_s;
      const found = read(text, planned);
      if (found.error) errors.push({ k, left, says: found.error });
      else sightings.push({ k, left, planned, ...found });
    }
  });
  let row = [{ cost: 0, at: 0, before: null }];
  const events = [];
  for (const sighting of sightings) {
    const next = sighting.times.map((at) => {
      const fits = row.filter((cell) => cell.at <= at);
      if (fits.length === 0) return null;
      const before = fits.reduce((a, b) => (b.cost < a.cost ? b : a));
      return { cost: before.cost + Math.abs(at - sighting.planned), at, before, sighting };
    }).filter(Boolean);
    if (next.length === 0) {
      errors.push({ k: sighting.k, left: sighting.left,
        says: "This is before what was seen earlier on the course. One of the two is wrong." });
    } else row = next;
  }
  let cell = row.reduce((a, b) => (b.cost < a.cost ? b : a));
  for (; cell.sighting; cell = cell.before) {
    const { k, left, planned, minute, open } = cell.sighting;
    const asRead = minute ? toMinute(planned) : Math.round(planned);
    // seen on the planned minute is on plan
    events.unshift({ station: k, left, at: asRead === cell.at ? planned : cell.at,
      far: farOff({ at: cell.at, planned, open }) });
  }
  let from = { station: 0, at: 0 };
  for (const event of events) {
    const effort = sum(data.effort_m.slice(from.station, event.station));
    if (effort > 0 && event.at - from.at < effort / data.fastest_mps) {
      errors.push({ k: event.station, left: event.left, says: "Nobody runs there that fast." });
    }
    from = event;
  }
  return { events, errors };
}

// ---- the page

const by = (id) => document.getElementById(id);
let entries = {}, stored = true;
try {
  entries = JSON.parse(localStorage.getItem(data.key)) ?? {};
  if (typeof entries !== "object" || Array.isArray(entries)) entries = {};
} catch { stored = false; }

function save() {
  try { localStorage.setItem(data.key, JSON.stringify(entries)); stored = true; }
  catch { stored = false; }
  by("unstored").hidden = stored;
}

function put(card, name, text) {
  const field = card.querySelector(`[data-f="${name}"]`);
  if (!field) return;
  const row = field.closest("[data-row]") ?? field;
  row.hidden = text === "";
  field.textContent = text;
}

// with the day where it is not that of the likely time
function range(pair, likely) {
  if (!pair) return "";
  const day = (at) => (data.clock ? Math.floor(wall(toMinute(at)) / 86400) : 0);
  return pair.map((at) => (day(at) === day(likely) ? showTime(at) : show(at))).join(" – ");
}

function cutoff(card, station, way, past) {
  if (station.cutoff_s === undefined) return;
  const k = station.index;
  const at = station.cutoff_leaves ? way.departures[k] : way.arrivals[k];
  const known = at !== undefined;
  const hand = known ? station.cutoff_s - Math.round(at) : 0;
  put(card, "margin", known ? (hand < 0 ? `missed by ${since(-hand)}` : `${margin(hand)} in hand`)
    : past ? "passed" : "");
  const row = card.querySelector("[data-cutoff]");
  row.classList.toggle("bad", known && hand < 0);
  row.classList.toggle("close", known && hand >= 0 && hand < 1200);
}

function drawCard(card, k, shown, seenAt) {
  const station = stations[k], { seen, effort, finish } = shown;
  const any = seen !== null, past = any && k <= seen.here, current = any && k === seen.here;
  card.classList.toggle("past", past && !current);
  card.classList.toggle("here", current);
  const real = seenAt[k] ?? {};
  const stamp = [real.seen !== undefined && `arrived ${show(real.seen)}`,
    real.left !== undefined && `left ${show(real.left)}`].filter(Boolean).join(", ");
  put(card, "real", stamp || (past && k > 0 ? "passed, not seen" : ""));
  const likely = effort.arrivals[k];
  put(card, "effort-label", any ? "At the effort shown" : "Planned");
  put(card, "effort", past || likely === undefined ? "" : show(likely));
  put(card, "window", past ? "" : range(effort.windows[k], likely));
  put(card, "hold", !any || past || !finish ? "" : show(finish.arrivals[k]));
  put(card, "hold-window", !any || past || !finish ? "" : range(finish.windows[k], finish.arrivals[k]));
  const leaves = effort.departures[k];
  put(card, "leaves", k === last || leaves === undefined || (past && !(current && !seen.hasLeft))
    ? "" : show(leaves));
  const open = !past || (current && !seen.hasLeft);
  put(card, "latest", open && effort.latest[k] !== undefined ? show(effort.latest[k]) : "");
  if (station.meets) {
    const crew = past ? undefined : effort.crew[k];
    put(card, "there", crew ? show(crew.there) : "");
    put(card, "drive", crew && station.drive_s ? show(crew.off) : "");
  }
  const known = { ...effort };
  if (real.seen !== undefined) known.arrivals = Object.assign([...effort.arrivals], { [k]: real.seen });
  cutoff(card, station, known, past);
}

function planned() {
  return { seen: null, finish: null, effort: {
    ratio: 1, arrivals: stations.map((s) => s.arrival_s), departures: stations.map((s) => s.departure_s),
    windows: stations.map((s) => [s.early_s, s.late_s]),
    crew: crewTimes(stations.map((s) => s.early_s), stations.map((s) => s.gone_s)),
    latest: latest(0, stations.map((s) => s.stop_s), 1) } };
}

const percent = (ratio) => `${(Math.abs(ratio - 1) * 100).toFixed(1)} %`;

function summary(shown) {
  const { seen, effort, finish } = shown;
  if (!seen) return ["Nothing seen yet: times are the plan's.", show(data.finish_s), ""];
  const where = `Last seen: ${stations[seen.here].label} ${seen.hasLeft ? "left" : "reached"} ${show(seen.at)}.`;
  if (seen.here === last) return ["In the finish.", show(seen.at), ""];
  const pace = Math.abs(seen.timeRatio - 1) < 5e-4 ? "On the plan's effort."
    : `Moving took ${percent(seen.timeRatio)} ${seen.timeRatio > 1 ? "more" : "less"} time than planned.`;
  const hold = !finish ? `The planned finish ${show(data.finish_s)} is out of reach: nobody runs that fast.`
    : Math.abs(finish.ratio - 1) < 5e-4 ? `The planned finish ${show(data.finish_s)} takes the plan's effort.`
    : `The planned finish ${show(data.finish_s)} takes ${percent(finish.ratio)} ${finish.ratio > 1 ? "more" : "less"} speed than the plan for the rest.`;
  return [`${where} ${pace}`, show(effort.arrivals[last]), hold];
}

function draw() {
  const { events, errors } = place(entries);
  const shown = errors.length === 0 && events.length > 0 ? project(events) : planned();
  const seenAt = [];
  for (const event of events) (seenAt[event.station] ??= {})[event.left ? "left" : "seen"] = event.at;
  const [says, finish, hold] = summary(shown);
  by("says").textContent = errors.length ? "An entry below cannot be so: times are the plan's until it is put right." : says;
  by("says").classList.toggle("bad", errors.length > 0);
  by("finish").textContent = finish;
  by("verdict").hidden = shown.seen !== null;
  by("finish-label").textContent = shown.seen && shown.seen.here === last ? "Finished" : shown.seen ? "Finish, at the effort shown" : "Planned finish";
  by("hold").textContent = hold;
  let next = null;
  for (const card of document.querySelectorAll("[data-station]")) {
    const k = Number(card.dataset.station);
    drawCard(card, k, shown, seenAt);
    if (next === null && stations[k].meets && (shown.seen ? k > shown.seen.here : k > 0)) next = card;
    for (const input of card.querySelectorAll("input")) {
      const left = input.dataset.kind === "left";
      const wrong = errors.find((e) => e.k === k && e.left === left);
      const note = by(`${input.id}-note`);
      const taken = events.find((e) => e.station === k && e.left === left);
      note.textContent = wrong ? wrong.says : taken?.far ?? "";
      note.classList.toggle("mild", !wrong);
      input.setAttribute("aria-invalid", wrong ? "true" : "false");
    }
  }
  for (const card of document.querySelectorAll(".next")) card.classList.remove("next");
  if (next) next.classList.add("next");
}

function set(input, text) {
  const k = input.closest("[data-station]").dataset.station;
  const kind = input.dataset.kind;
  entries[k] = { ...entries[k], [kind]: text };
  if (!text.trim()) delete entries[k][kind];
  if (Object.keys(entries[k]).length === 0) delete entries[k];
  input.value = text;
  save();
  draw();
}

// as arguments of a shell
const folded = (k) => stations[k].name.trim().toLowerCase();
// the name, or the number where more stations are called so and none is called by the number
function called(k) {
  const number = k === 0 ? "S" : k === last ? "F" : String(k);
  const twice = stations.some((other, i) => i !== k && folded(i) === folded(k));
  return twice && !stations.some((s, i) => folded(i) === number.toLowerCase()) ? number : stations[k].name;
}
const quoted = (text) => `'${text.replaceAll("'", "'\\''")}'`;
function copied() {
  const { events } = place(entries);
  const words = events.map((e) => `--${e.left ? "left" : "seen"}=${quoted(`${called(e.station)}=${show(e.at).replace(/^(\d)/, "+$1")}`)}`);
  return `sutler replan ${words.join(" ")}`.trim();
}

for (const input of document.querySelectorAll("input")) {
  const own = entries[input.closest("[data-station]").dataset.station];
  input.value = own?.[input.dataset.kind] ?? "";
  input.addEventListener("change", () => set(input, input.value));
}
for (const button of document.querySelectorAll("[data-now]")) {
  button.hidden = !data.clock;
  button.addEventListener("click", () => {
    const at = Math.floor((Date.now() / 1000 - data.clock.start_s) / 60) * 60;
    const input = by(button.dataset.now);
    if (at < 0 || at > 2 * data.finish_s + 86400) {
      by(`${input.id}-note`).textContent = "This phone's clock is not within the race: type the time.";
      return;
    }
    const start = ((data.clock.start_s % 60) + 60) % 60;
    set(input, show(at + (start ? 60 - start : 0)));
  });
}
by("copy").addEventListener("click", async () => {
  const text = copied(), box = by("copied");
  box.value = text;
  by("copy-box").hidden = false;
  box.focus();
  box.select();
  try { await navigator.clipboard.writeText(text); by("copy-says").textContent = "Copied."; }
  catch { by("copy-says").textContent = "Copy the text from the box."; }
});
function ask(open) {
  by("clear-ask").hidden = !open;
  by("clear").hidden = open;
  (open ? by("clear-no") : by("clear")).focus();
}
by("clear").addEventListener("click", () => ask(true));
by("clear-no").addEventListener("click", () => ask(false));
by("clear-yes").addEventListener("click", () => {
  entries = {};
  for (const input of document.querySelectorAll("input")) input.value = "";
  by("copy-box").hidden = true;
  save();
  draw();
  ask(false);
});
by("unstored").hidden = stored;
by("tools").hidden = false;
for (const form of document.querySelectorAll(".enter")) form.hidden = false;
draw();
