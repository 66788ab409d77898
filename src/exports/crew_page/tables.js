"use strict";
// What the day so far says of the rest: read from tables that were made with the plan. Times are
// seconds since the runner's own start.
const data = JSON.parse(document.getElementById("data").textContent);
const stations = data.stations, last = stations.length - 1;
const clamp = (value, least, most) => Math.min(Math.max(value, least), most);

// a column's value at a place: a cubic that rises and falls only where its values do (Fritsch and
// Butland 1984, doi 10.1137/0905021), and straight on beyond the last; places without a value are
// passed over
function between(places, values, at) {
  if (values.includes(null)) {
    const known = places.filter((_, i) => values[i] !== null);
    return known.length < 2 ? null : between(known, values.filter((v) => v !== null), at);
  }
  const end = places.length - 1;
  let i = 0;
  while (i < end - 1 && places[i + 1] <= at) i += 1;
  const wide = (n) => places[n + 1] - places[n];
  const rise = (n) => (values[n + 1] - values[n]) / wide(n);
  const slope = (n) => {
    if (n === 0 || n === end) return rise(Math.max(n - 1, 0));
    const [a, b, u, v] = [rise(n - 1), rise(n), wide(n - 1), wide(n)];
    return a * b > 0 ? (3 * (u + v)) / ((u + 2 * v) / a + (2 * u + v) / b) : 0;
  };
  const h = wide(i), t = (at - places[i]) / h;
  if (t < 0 || t > 1) return values[t < 0 ? i : i + 1] + (t < 0 ? t : t - 1) * h * rise(i);
  const [a, b] = [slope(i) * h, slope(i + 1) * h], step = values[i + 1] - values[i];
  return values[i] + t * (a + t * (3 * step - 2 * a - b + t * (a + b - 2 * step)));
}

// the sightings as on a day without longer stops than planned, the delay of the start, and how much
// longer the stops were in all
function straightened(events) {
  let shift = 0, delay = 0;
  const seen = [];
  for (const { station: k, left, at } of events) {
    const before = seen[seen.length - 1];
    if (k === 0) {
      shift = delay = at;
    } else if (left && before?.k === k) {
      shift = at - stations[k].stop_s - before.came;
      before.left = true;
    } else {
      seen.push({ k, left, came: at - shift - (left ? stations[k].stop_s : 0) });
    }
  }
  return { seen, delay, stood: shift - delay };
}

// a slope at a lateness, beyond the last that of the last
function slopeAt({ slopes_late: places }, slopes, late) {
  return between(places, slopes, clamp(late, places[0], places[places.length - 1]));
}

// the time from coming here to a station ahead, given the last time seen alone and what was seen
// before it: early, likely and late
function moved(table, seen, came, left) {
  const here = seen[seen.length - 1], { k } = here;
  const earlier = seen.slice(0, -1);
  const planned = stations[k].arrival_s, lateHere = here.came - planned;
  const places = [0, ...seen.map((at) => stations[at.k].arrival_s)];
  const off = [0, ...seen.map((at) => {
    const even = (stations[at.k].arrival_s * here.came) / planned;
    return stations[at.k].arrival_s * Math.log(at.came / even);
  })];
  // the trend that is nearest to what was seen, and what each strays from it
  const offs = table.before.map((at) => between(places, off, stations[at].arrival_s) / stations[at].arrival_s);
  const along = table.before.map((at) => 1 - stations[at].arrival_s / planned);
  const sum = (of) => along.reduce((all, by, i) => all + by * of[i], 0);
  const trend = clamp(sum(offs) / sum(along), table.trends[0], table.trends[table.trends.length - 1]);
  const known = Math.min(1, earlier.length / table.before.length);
  const ended = table.before.reduce((all, at, i) =>
    all + (earlier.some((one) => one.k === at && one.left) ? table.end_shares[i] : 0), 0);
  const rough = table.trends.filter((_, i) => i % 2 === 0);
  return (ahead) => [0, 1, 2].map((which) => {
    const at = (logs) => slopeAt(table, logs.map((log) => log / 1e4), lateHere);
    const seenEnd = (trends) => trends.length === 0 ? 0
      : between(rough, trends.map((lates) => at(lates.map((day) => day[ahead][which]))), trend);
    const rest = (time) => Math.log(Math.max(time - here.came, 1));
    const alone = rest(came(ahead)[which]);
    const days = table.days[ahead][which].map((day) => between(table.days_late, day, lateHere));
    const like = rest(stations[k + 1 + ahead].arrival_s + 10 * between(table.trends, days, trend));
    let log = alone + known * (like - alone) + ended * seenEnd(table.ends);
    if (here.left && left) log += known * seenEnd(table.own_end) + (1 - known) * (rest(left(ahead)[which]) - alone);
    offs.forEach((off, i) => {
      log += at(table.slopes.map((day) => day[i][ahead][which])) * (off - trend * along[i]);
    });
    return Math.exp(log);
  });
}

// the rest of the day after sightings in course order; windows are early, likely and late
function project(events) {
  const here = events[events.length - 1], { cutoff_s: limit, cutoff_leaves: leaves, stop_s: stop } = stations[here.station];
  // who must be out by a cutoff leaves at the cutoff
  const isCut = leaves && !here.left && limit >= here.at && limit < here.at + stop;
  const { seen, delay, stood } = straightened(isCut ? [...events, { ...here, left: true, at: limit }] : events);
  const shift = delay + stood;
  const rest = { here: here.station, hasLeft: here.left, at: here.at, several: seen.length > 1,
    arrivals: [], windows: [], latest: [], lost: [], missed: null, outBy: null, chance: null, speed: null, stay: null };
  const hand = handHere(events, here.station);
  // who was let go on is told by leaving after it
  if (hand !== null && hand < 0 && (leaves || !here.left)) rest.missed = -hand;
  else if (leaves && !here.left) rest.outBy = limit;
  if (here.station === last) return rest;
  const at = seen[seen.length - 1];
  if (!at) {
    for (const s of stations.slice(1)) {
      rest.arrivals[s.index] = s.arrival_s + shift;
      rest.windows[s.index] = [s.early_s, s.likely_s, s.late_s].map((time) => time + shift);
      rest.latest[s.index] = s.latest_s;
    }
  } else {
    const k = at.k, table = data.tables[k - 1];
    const columns = (at.left && table.left) || table.came;
    const late = at.came - stations[k].arrival_s;
    const read = (column, ahead, lateness) =>
      stations[k + 1 + ahead].arrival_s + 10 * between(table.late, column[ahead], lateness);
    const windows = (of) => (ahead) => [of.early, of.likely, of.after].map((c) => read(c, ahead, late));
    const alone = windows(columns);
    const before = seen.length > 1 && table.before.length > 0
      ? moved(table, seen, windows(table.came), table.left && windows(table.left))
      : (ahead) => alone(ahead).map((time) => time - at.came);
    const later = (ahead, which) => table.stood.length === 0 ? 1
      : slopeAt(table, table.stood.map((day) => day[ahead][which] / 100), late);
    for (let ahead = 0; k + 1 + ahead <= last; ahead += 1) {
      const j = k + 1 + ahead;
      const [early, likely, after] = before(ahead)
        .map((rest, which) => at.came + rest + delay + stood * later(ahead, which));
      rest.windows[j] = [Math.min(early, likely), likely, Math.max(likely, after)];
      rest.arrivals[j] = likely;
    }
    // the lateness that alone would have the same finish
    const same = (finish) => {
      const ends = columns.likely[last - k - 1].map((tens) => stations[last].arrival_s + 10 * tens);
      return clamp(between(ends, table.late, finish), table.late[0], table.late[table.late.length - 1]);
    };
    const finish = rest.windows[last][1], once = same(alone(last - k - 1)[1]);
    const pace = late + same(finish - shift) - once, whole = late + same(finish) - once;
    for (let j = k + 1; j < last; j += 1) {
      const leave = between(table.late, columns.leave[j - k - 1], pace);
      rest.latest[j] = leave === null ? undefined : stations[j].arrival_s + 10 * leave;
    }
    rest.latest[k] = here.left ? undefined : between(table.late, columns.latest, pace) ?? undefined;
    rest.chance = columns.chance[0] === null ? null
      : clamp(between(table.late, columns.chance, whole), 0, 1);
    rest.speed = between(table.late, columns.speed, pace);
    const now = whole + (at.left && columns === table.came ? stations[k].stop_s : 0);
    rest.chanceWith = (saved) => rest.chance === null ? null
      : clamp(between(table.late, columns.chance, whole - saved), rest.chance, 1);
    // beyond the last lateness with such a speed nobody runs it
    const most = columns.stay.findLastIndex((speed) => speed !== null);
    const reach = most === table.late.length - 1 || now < table.late[most + 1];
    rest.stay = most >= 0 && reach ? between(table.late, columns.stay, now) : null;
  }
  for (let j = rest.here + 1; j <= last; j += 1) {
    const hand = inHand(j, rest.arrivals[j]);
    if (hand !== null && hand < 0) rest.lost.push({ station: j, by: -hand });
  }
  return rest;
}

const came = (events, k) => events.find((e) => e.station === k && !e.left)?.at;

// time in hand at a station's cutoff; one on leaving counts from the planned departure
function inHand(k, arrival) {
  const { cutoff_s: cutoff, cutoff_leaves: leaves, stop_s: stop } = stations[k];
  if (cutoff === null || cutoff === undefined || arrival === undefined) return null;
  return cutoff - Math.round(arrival + (leaves ? stop : 0));
}

// time in hand at a station where the runner was seen: one on leaving counts until they leave
function handHere(events, k) {
  const { cutoff_s: cutoff, cutoff_leaves: leaves } = stations[k];
  const gone = events.find((e) => e.station === k && e.left)?.at, at = leaves ? gone ?? came(events, k) : came(events, k);
  if (cutoff === null || cutoff === undefined || at === undefined) return null;
  return cutoff - at;
}

// what makes every cutoff ahead, one way: stops cut as far as it takes, then speed. `kept` is the
// share of each stop, in tenths as replanning tries them; `faster` is over the speed so far
function staying(rest) {
  const first = rest.here + (rest.hasLeft ? 1 : 0);
  let kept = 1, to = rest.lost[0].station, stops = 0;
  for (const { station, by } of rest.lost) {
    const until = station + (stations[station].cutoff_leaves ? 1 : 0);
    const sum = stations.slice(first, until).reduce((all, s) => all + s.stop_s, 0);
    const share = sum > 0 ? Math.floor(10 * (1 - by / sum)) / 10 : -1;
    if (share < kept) [kept, to, stops] = [share, station, sum];
  }
  const enough = kept >= 0, faster = enough || rest.stay === null ? 0 : Math.max(rest.stay / rest.speed - 1, 0.01);
  kept = Math.max(kept, 0);
  const reach = rest.lost.every(({ station }) => stations[station].cutoff_s > rest.at)
    && (enough || (rest.stay !== null && rest.stay <= data.most_speed));
  const chance = rest.chanceWith?.((1 - kept) * stops) ?? null;
  const hardly = !reach || (kept === 0 && (faster > data.hardly_faster || (chance !== null && chance < data.hardly_chance)));
  return { kept, to, stops, faster, reach, hardly };
}

// when the crew is at each meeting ahead, and drives off there: not before the runner has left the
// meeting before
function crewTimes(events, rest) {
  const found = [], first = stations.find((s) => s.meets)?.index;
  let gone;
  for (const { index: k, meets, drive_s: drive, stop_s: stop } of stations) {
    if (!meets) continue;
    const window = rest.windows[k];
    if (window && k > 0) {
      const knows = drive !== undefined && drive !== null;
      let there = window[0] - data.buffer_s, off;
      if (knows) {
        off = Math.max(there - Math.ceil(drive), gone ?? -Infinity);
        there = off + Math.ceil(drive);
      }
      found[k] = { off, there, unknown: !knows && k !== first };
    }
    const left = events.find((e) => e.station === k && e.left)?.at;
    const arrived = came(events, k) ?? rest.arrivals[k];
    if (left !== undefined) gone = left;
    else if (arrived !== undefined) gone = Math.max(arrived, window?.[1] ?? 0) + stop;
    else if (k === 0) gone = 0;
  }
  return found;
}

// the plan, in the same form
function planned() {
  const of = (name) => stations.map((s) => s[name] ?? undefined);
  return { here: -1, hasLeft: false, arrivals: of("arrival_s"), latest: of("latest_s"), lost: [],
    missed: null, outBy: null, windows: stations.map((s) => [s.early_s, s.likely_s, s.late_s]), chance: null, speed: null, stay: null };
}
