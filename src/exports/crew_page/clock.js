"use strict";
// Times as the crew reads and writes them, and entries made events.
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

// beside the marks of the hour that comes twice, the names that the zone has for both
const back = (data.clock?.offsets ?? []).findIndex(([, seconds], i, all) => i > 0 && seconds < all[i - 1][1]);
const named = (text) => back < 0 ? text : text.replace(/(\d)([¹²])/g,
  (_, digit, mark) => `${digit}${mark}\u00a0${data.clock.offsets[mark === "¹" ? back - 1 : back][2]}`);

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
  const times = [], off = (at) => Math.abs(at - planned);
  let near;
  for (let days = -5; days <= 5; days += 1) {
    const local = midnight + days * 86400 + time.s;
    let found = instants(local);
    if (marked) found = found.length > 1 ? [found[marked[2] === "¹" ? 0 : 1]] : [];
    for (const at of found) {
      if (at > 0 && (near === undefined || off(at) < off(near))) near = at;
      if ((!named || weekday(local) === day) && off(at) <= reach) times.push(at);
    }
  }
  // a day that was picked, where the same time on another is near the plan
  if (named && near !== undefined && times.length > 0 && times.every((at) => off(at) >= 18 * 3600 && off(at) > off(near))) {
    const side = times[0] > planned ? "after" : "before";
    return { near, error: `${show(times[0])} is ${since(off(times[0]))} ${side} the plan. Is ${show(near)} meant? If not, enter the time since the start: +${since(times[0])}.` };
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
  return `Taken as ${show(at)}, ${since(off)} ${at > planned ? "after" : "before"} the plan. Another day? Change it and pick the day.`;
}

// entries become events in course order; of all choices that go forward the one that leaves the
// fewest out, then the nearest to the plan. What is left out is told, and the others count.
function place(entries) {
  const errors = [], sightings = [];
  const planned = (k, left) => stations[k].arrival_s + (left ? stations[k].stop_s : 0);
  stations.forEach((station, k) => {
    for (const left of [false, true]) {
      const text = (entries[k] ?? {})[left ? "left" : "came"];
      if (!text) continue;
      const found = read(text, planned(k, left));
      if (found.error) errors.push({ k, left, says: found.error });
      else sightings.push({ k, left, planned: planned(k, left), ...found });
    }
  });
  const least = (from, to) => stations.slice(from + 1, to + 1).reduce((sum, s) => sum + s.least_s, 0);
  const follows = (a, b) => b.at - a.at >= (a.k === b.k ? 0 : least(a.k, b.k));
  const better = (a, b) => !b || a.count > b.count || (a.count === b.count && a.cost < b.cost);
  const start = { k: 0, left: true, at: 0, count: 0, cost: 0, before: null };
  const cells = [];
  for (const sighting of sightings) {
    for (const at of sighting.times) {
      let best = null;
      for (const before of [start, ...cells]) {
        const cell = { ...sighting, at, before, count: before.count + 1,
          cost: before.cost + Math.abs(at - sighting.planned) };
        const isOther = before.k !== cell.k || before.left !== cell.left || before === start;
        if (isOther && follows(before, cell) && better(cell, best)) best = cell;
      }
      if (best) cells.push(best);
    }
  }
  let cell = cells.reduce((a, b) => (better(b, a) ? b : a), null);
  const events = [];
  for (; cell && cell !== start; cell = cell.before) {
    const { k, left, open } = cell;
    events.unshift({ station: k, left, at: cell.at, far: farOff({ at: cell.at, planned: cell.planned, open }) });
  }
  for (const { k, left } of sightings) {
    if (events.some((e) => e.station === k && e.left === left)) continue;
    const near = events.find((e) => e.station >= k) ?? events[events.length - 1];
    errors.push({ k, left, says: near
      ? `Does not fit with ${label(near.station)}, ${near.left ? "left" : "came in"} ${show(near.at)}. Not counted: correct one of the two.`
      : "Nobody runs there that fast. Not counted: correct it." });
  }
  return { events, errors };
}
