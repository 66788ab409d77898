"use strict";
// The page: what is shown, what is entered. Nothing here reckons; it shows what the tables say.
const by = (id) => document.getElementById(id);
const all = (query, within = document) => [...within.querySelectorAll(query)];
const label = (k) => stations[k].label;
for (const station of stations) {
  station.label = document.querySelector(`[data-station="${station.index}"] .who`).textContent.trim();
}
// the phone's own time, to the second; nothing where the plan has no clock
const clockNow = () => (data.clock ? Date.now() / 1000 - data.clock.start_s : null);
// the same while it is about the race
function raceNow() {
  const now = clockNow();
  return now === null || now < -86400 || now > stations[last].late_s + 43200 ? null : now;
}

// ---- what is kept on the phone

let entries = {}, undone = [], theme = "auto", stored = true;
try {
  const kept = JSON.parse(localStorage.getItem(data.key)) ?? {};
  entries = kept.entries ?? {};
  undone = kept.undone ?? [];
  theme = localStorage.getItem("sutler screen") ?? "auto";
} catch { stored = false; }

function save() {
  try {
    localStorage.setItem(data.key, JSON.stringify({ entries, undone }));
    localStorage.setItem("sutler screen", theme);
    stored = true;
  } catch { stored = false; }
  by("unstored").hidden = stored;
}

// every change can be taken back, the last first
function change(next, says) {
  undone = [...undone, { entries, says }].slice(-30);
  entries = next;
  tell(says);
}
function undo() {
  const before = undone.pop();
  if (!before) return;
  entries = before.entries;
  tell(`Taken back: ${before.says}`);
}
function tell(says) {
  save();
  draw();
  by("told").hidden = false;
  by("told-says").textContent = says;
  by("undo").hidden = undone.length === 0;
}

function enter(k, left, text) {
  const kind = left ? "left" : "came", was = entries[k]?.[kind];
  const next = { ...entries, [k]: { ...entries[k], [kind]: text } };
  if (!text) delete next[k][kind];
  if (was === text) return;
  const what = `${label(k)}, ${left ? "left" : "came in"}`;
  change(next, !text ? `${what} ${was} taken out.` : was ? `${what} ${text}, was ${was}.` : `${what} ${text}.`);
}

// ---- what is shown

function put(within, field, text) {
  for (const at of all(`[data-f="${field}"]`, within)) {
    // in the bar the name stands with the day
    at.textContent = at.matches(".legs b") ? text : named(text);
    const row = at.matches("i, dt, label") ? null : at.closest("[data-row]");
    if (row) row.hidden = text === "";
  }
}

// a length of time in words
const hours = (s) => (toMinute(s) < 3600 ? `${toMinute(s) / 60} min` : `${since(s)} h`);

// with the day where it is not that of another time
const day = (at) => (data.clock ? Math.floor(wall(toMinute(at)) / 86400) : 0);
const beside = (at, other) => (day(at) === day(other) ? showTime(at) : show(at));
const percent = (chance) => (chance < 0.01 ? "< 1\u00a0%" : chance > 0.99 ? "> 99\u00a0%" : `${Math.round(100 * chance)}\u00a0%`);

// how long until then, for a phone whose clock is about the race
function until(at) {
  const now = raceNow();
  if (now === null || at === undefined) return "";
  const minutes = Math.floor((toMinute(at) - now) / 60);
  const text = `${Math.floor(Math.abs(minutes) / 60)}:${two(Math.abs(minutes) % 60)}`;
  return minutes < 0 ? `${text} ago` : `in ${text}`;
}

// half a minute in hand is none, as on paper
const spare = (s) => since(-toMinute(-s));

// what a cutoff says: of who was seen there, of who is on the way, of a plan
function marginText(k, day_) {
  const { events, rest, isSeen } = day_, station = stations[k];
  const seen = handHere(events, k);
  if (seen !== null) {
    if (seen < 0) return `missed by ${since(-seen)}`;
    if (!station.cutoff_leaves || events.some((e) => e.station === k && e.left)) return `made, ${spare(seen)} in hand`;
    const after = seen - station.stop_s;
    return k < rest.here ? "not seen leaving" : after < 0 ? `out of here by ${show(station.cutoff_s)}: the planned stop is too long`
      : `leave by ${show(station.cutoff_s)}; ${spare(after)} left after the planned stop`;
  }
  if (isShut(k, day_)) return "closed, not seen here or beyond";
  const hand = inHand(k, isSeen ? rest.arrivals[k] : rest.windows[k]?.[1]);
  if (hand === null) return "";
  const says = hand < 0 ? `lost by ${since(-hand)}` : `${spare(hand)} in hand`;
  if (isSeen) return says;
  const planned = inHand(k, rest.arrivals[k]);
  return `${says} if in at ${showTime(rest.windows[k][1])}, ${planned < 0 ? "-" : ""}${planned < 0 ? since(-planned) : spare(planned)} on plan`;
}

// the first cutoff that the clock has passed with nobody seen there or beyond. It is sure where
// the crew waits, where it was lost as it goes, and where the runner is overdue
function firstShut({ rest, events }) {
  const now = raceNow();
  if (now === null || rest.missed) return null;
  const next = stations.find((s) => s.meets && s.index > Math.max(rest.here, 0));
  const isOverdue = next !== undefined && now > rest.windows[next.index]?.[2];
  const past = stations.slice(1).filter(({ index: k, cutoff_s: cutoff, cutoff_leaves: leaves }) =>
    cutoff !== null && now > cutoff && (k > rest.here || (k === rest.here && leaves && !rest.hasLeft)));
  const isSure = ({ index: k, meets }) => meets || isOverdue || inHand(k, rest.windows[k]?.[1]) < 0;
  const sure = past.find(isSure), maybe = past.findLast((s) => rest.windows[s.index]?.[2] > s.cutoff_s);
  return sure ? { at: sure.index, sure: true } : maybe ? { at: maybe.index, sure: false } : null;
}
const isShut = (k, { rest, shut }) => Boolean(shut?.sure) && k >= shut.at && k > rest.here
  && stations[k].cutoff_s !== null && raceNow() > stations[k].cutoff_s;
const shutText = ({ at, sure }, rest) => !sure ? `${label(at)} closed at ${show(stations[at].cutoff_s)}, unseen by the crew: race control can say if the runner is through.`
  : at === rest.here ? `${label(at)} is closed (${show(stations[at].cutoff_s)}), and the runner was not seen leaving: ask the officials.`
  : `${label(at)} is closed (${show(stations[at].cutoff_s)}): call race control, where is the runner?`;

// the latest departure, and what it is worth: one time, with what it rests on
function leaveBy(rest, k, at, standing) {
  const { cutoff_s: cutoff, cutoff_leaves: leaves } = stations[k];
  let latest = rest.latest[k];
  if (leaves && cutoff !== null) latest = Math.min(latest ?? cutoff, cutoff);
  if (latest === undefined || k === last) return "";
  if (at === undefined || latest >= at) {
    if (standing) return latest === cutoff ? show(latest) : `${show(latest)} at the pace so far`;
    return !leaves && cutoff !== null && latest > cutoff ? `${show(latest)}, if in by ${show(cutoff)}` : show(latest);
  }
  if (!standing) return `${show(latest)}: too late as it goes`;
  if (rest.outBy !== null) return `when fed and filled; it closes ${show(rest.outBy)}`;
  const planned = stations[k].latest_s;
  return planned !== null && planned > at ? `when fed and filled; ${show(planned)} only at the planned pace` : "when fed and filled";
}

function drawCard(card, k, day_) {
  const { events, rest, crew, isSeen } = day_, station = stations[k];
  const seen = (left) => events.find((e) => e.station === k && e.left === left)?.at;
  const [arrived, left] = [seen(false), seen(true)];
  const past = isSeen && k < rest.here || (k === rest.here && rest.hasLeft) || (k === last && arrived !== undefined);
  const standing = isSeen && k === rest.here && !past;
  card.classList.toggle("past", past);
  card.classList.toggle("here", standing);
  const window = past || standing ? undefined : rest.windows[k];
  const likely = isSeen ? rest.arrivals[k] : window?.[1];
  const line = left !== undefined ? `left ${showTime(left)}`
    : arrived !== undefined ? `in ${showTime(arrived)}` : past && k > 0 ? "not seen"
    : window ? show(likely) : "";
  put(card, "short", line);
  put(card, "kind", isSeen ? "As it goes" : "Likely");
  put(card, "likely", window ? show(likely) : "");
  put(card, "window", window ? `${beside(window[0], likely)} – ${beside(window[2], likely)}` : "");
  const goes = !past && !standing && !rest.missed;
  put(card, "drive", goes && crew[k]?.off !== undefined && station.drive_s ? show(crew[k].off) : "");
  put(card, "there", goes && crew[k]?.there !== undefined ? show(crew[k].there) : "");
  const at = arrived ?? (past ? undefined : isSeen ? rest.arrivals[k] : window?.[1]);
  const hand = handHere(events, k) ?? inHand(k, at);
  put(card, "margin", marginText(k, day_));
  for (const row of all("[data-cutoff]", card)) {
    row.classList.toggle("bad", (hand !== null && hand < 0) || isShut(k, day_));
    row.classList.toggle("close", hand !== null && hand >= 0 && hand < 1200);
  }
  card.classList.toggle("lost", (hand !== null && hand < 0) || isShut(k, day_));
  const here = past || rest.missed;
  const leaves = k === last || here || at === undefined ? undefined
    : Math.min(Math.max(at, window?.[1] ?? 0) + station.stop_s, standing ? rest.outBy ?? Infinity : Infinity);
  put(card, "leaves", leaves === undefined ? "" : show(leaves));
  put(card, "latest", here || isShut(k, day_) || (day_.shut?.sure && standing) ? "" : leaveBy(rest, k, at, standing));
  drawLamp(card, k, past, at, rest);
  drawSleep(card, goes && crew[k]?.off !== undefined && window, likely, crew[k]?.there);
  const late = isSeen && !here && at !== undefined ? at - station.arrival_s : 0;
  put(card, "packed", late < 1800 ? "" : `${hours(late)} behind plan: hand over as packed, and more of what the runner wants, to thirst and hunger; caffeine only as packed, no sooner one after the other.`);
  for (const stint of all("[data-until]", card)) drawStint(stint, leaves, window, rest, crew[k]?.there);
  for (const button of all("[data-enter]", card)) drawField(button, k, day_);
  const text = card.textContent;
  for (const marks of all("[data-marks]", card)) marks.hidden = !/[\d][¹²]/.test(text.replace(marks.textContent, ""));
}

// a pacer: when to stand there ready (no sooner than the car that brings them), when they run
function drawStint(stint, leaves, window, rest, there) {
  const until = rest.windows[Number(stint.dataset.until)];
  const car = stint.dataset.brought === undefined ? -Infinity : there ?? -Infinity;
  const ready = window ? `be ready by ${show(Math.max(window[0], car))}, ` : "";
  const span = leaves === undefined || !until ? "" : `${ready}off about ${show(leaves)}, there about ${beside(until[1], leaves)} (${hours(toMinute(until[1]) - toMinute(leaves))})`;
  put(stint, "stint", span);
}

// a night of the poles has no end
const off = (night, word) => night[1] < 30 * 86400 ? ` ${word} ${show(night[1])}` : "";

// a lamp only where it is dark now or before a late runner is seen again
function drawLamp(card, k, past, at, rest) {
  const next = stations.find((s) => s.meets && s.index > k);
  const back = Math.max(at ?? 0, (next && rest.windows[next.index]?.[2]) ?? 0);
  const night = past || at === undefined ? undefined
    : data.dark.find(([from, to]) => from < back && to > at);
  put(card, "lamp", !night ? "" : night[0] <= at ? `on${off(night, "until")}` : `on from ${show(night[0])}${off(night, "to")}`);
}

// a wait of the crew, as long as it is worth lying down
function drawSleep(card, window, to, from) {
  const row = card.querySelector("[data-f=sleep]");
  if (!row) return;
  const dawn = data.dark.map(([, until]) => until).find((until) => until > from);
  const midnight = window ? instants(Math.floor(wall(toMinute(to)) / 86400) * 86400)[0] : 0;
  const isWorth = window && Math.min(to, dawn) - Math.max(from, midnight) > data.worth_sleeping_s;
  const awake = row.dataset.awake;
  put(card, "sleep", isWorth ? `${show(from)} to ${beside(to, from)}, ${awake} ${beside(window[0], to)}: early runner` : "");
}

function drawField(button, k, { events, errors }) {
  const left = button.dataset.enter === "left", text = entries[k]?.[left ? "left" : "came"] ?? "";
  const wrong = errors.find((e) => e.k === k && e.left === left);
  const taken = events.find((e) => e.station === k && e.left === left);
  button.querySelector("b").textContent = named(taken ? show(taken.at) : text);
  button.classList.toggle("wrong", Boolean(wrong));
  button.setAttribute("aria-invalid", wrong ? "true" : "false");
  const note = by(`${button.id}-note`);
  note.textContent = wrong ? wrong.says : taken?.far ?? "";
  note.classList.toggle("mild", !wrong);
}

const DRIVE_UNKNOWN = "Drive unknown";

// ---- the top: the next meeting, and what is wrong

function drawTop({ rest, events, crew, isSeen, shut, stay }) {
  const arrived = (k) => came(events, k) !== undefined;
  const met = stations.filter((s) => s.meets && s.index > 0);
  const standing = isSeen && !rest.hasLeft && rest.here > 0 && rest.here < last && stations[rest.here].meets;
  const next = met.find((s) => s.index > rest.here);
  const k = standing || rest.missed ? rest.here : next?.index;
  const top = by("top");
  by("top-first").textContent = rest.here === last ? "In the finish" : rest.missed ? "Out at" : standing ? "Here now" : "Next";
  by("top-name").textContent = rest.here === last ? named(show(rest.at)) : k === undefined ? "no meeting" : label(k);
  const soon = next && crew[next.index];
  const off = soon && next.drive_s ? soon.off : undefined, there = soon?.there;
  const isClosed = Boolean(shut?.sure);
  const after = !next ? "" : isClosed ? `Only if the runner is through: ${label(next.index)}` : rest.missed ? `Only if the officials let the runner go on: ${label(next.index)}` : standing ? `then ${label(next.index)}` : "";
  put(top, "top-after", [after, soon?.unknown ? DRIVE_UNKNOWN : ""].filter(Boolean).join("; "));
  top.classList.toggle("back", Boolean(rest.missed) || isClosed);
  const dayOf = (at) => (data.clock && at !== undefined ? [` ${DAYS[weekday(wall(toMinute(at)))]}`, named(showTime(at)).split("\u00a0")[1]].filter(Boolean).join(" ") : "");
  put(top, "top-off-day", dayOf(off));
  put(top, "top-off", off === undefined ? "" : showTime(off));
  put(top, "top-off-in", off === undefined ? "" : until(off));
  put(top, "top-there-day", dayOf(there));
  put(top, "top-there", there === undefined ? "" : showTime(there));
  put(top, "top-there-in", there === undefined ? "" : until(there));
  const window = next && rest.windows[next.index];
  const comes = window && (isSeen ? rest.arrivals[next.index] : window[1]);
  put(top, "top-kind", `${isSeen ? "as it goes" : "likely"}${dayOf(comes)}`);
  put(top, "top-comes", window ? showTime(comes) : "");
  put(top, "top-window", window ? `${showTime(window[0])}–${showTime(window[2])}` : "");
  const late = standing && rest.outBy !== null && rest.at + stations[k].stop_s > rest.outBy;
  const out = standing && !rest.missed && !late && !isClosed && !stay?.hardly ? leaveBy(rest, k, rest.at, true) : "";
  put(top, "top-out", !out ? "" : `Leave ${label(k)} ${out.startsWith("when") ? "" : "by "}${out}`);
  const now = clockNow();
  put(top, "top-overdue", shut && !shut.sure ? shutText(shut, rest) : isClosed ? "" : window && now !== null && now > window[2] && now < window[2] + 86400
    ? "Overdue: nine in ten would be in. Ask the race who saw the runner last." : "");
  const button = by("top-enter");
  button.hidden = k === undefined || rest.here === last;
  if (!button.hidden) {
    button.dataset.k = k;
    button.dataset.enter = (standing || rest.missed) && arrived(k) ? "left" : "came";
    button.textContent = button.dataset.enter === "left" ? "Left" : "Came in";
  }
  const lost = rest.lost[0];
  by("alarm").classList.toggle("mild", !rest.missed && !isClosed && !late && !isGone({ rest, stay }));
  put(top, "alarm", rest.missed ? missedText(rest) : isClosed ? shutText(shut, rest) : late ? `OUT OF HERE BY ${show(rest.outBy)}`
    : lost ? lostText({ rest, stay }) : "");
  const minutes = late ? Math.floor((rest.outBy - rest.at) / 60) : 0;
  put(top, "saves", rest.missed ? "" : isClosed && shut.at === rest.here ? `Left in time? Enter it. If not, ${stations[shut.at].meets ? "stay with the runner and ask where they are picked up" : NO_CREW}.`
    : isClosed ? "Seen there or beyond? Enter it. Before you drive on, ask where the runner is, and where they would be picked up."
    : lost ? advice(rest, stay) : late ? `SHORTEN the stop here: ${minutes} min instead of ${Math.round(stations[k].stop_s / 60)}.` : "");
  by("alarm-call").hidden = !rest.missed && !isClosed && !stay?.hardly;
}

const NO_CREW = "no crew there: call race control, ask where the runner is brought";
const missedText = (rest) => rest.here === last ? `Over the cutoff by ${since(rest.missed)}: ask the officials.` : `CUTOFF MISSED by ${hours(rest.missed)} (${show(stations[rest.here].cutoff_s)}): ${stations[rest.here].meets ? "ask the officials, stay with the runner." : `${NO_CREW}.`}`;

// one time alone says little of the rest, unless nothing in reason makes up for it
const isGone = ({ rest, stay }) => Boolean(stay?.hardly) || (rest.lost.length > 0 && rest.several);
function lostText({ rest, stay }) {
  const { station, by: late } = rest.lost[0];
  return isGone({ rest, stay }) ? `Cutoff lost as it goes: ${label(station)}, by ${since(late)}`
    : `Cutoff at risk: ${label(station)}, ${since(late)} late by one time seen`;
}

// what keeps the runner in: one thing, the first word says which
function advice(rest, { kept, to, stops, faster, reach, hardly }) {
  if (hardly) {
    return `${reach ? "HARDLY IN REACH" : "OUT OF REACH"}, even with the shortest stops; ${data.do_not_push}.`;
  }
  const here = stations[rest.here].stop_s;
  const cut = (s, where) => `${Math.floor((kept * s) / 60)} min ${where} instead of ${Math.round(s / 60)}`;
  const stand = rest.hasLeft || rest.here === 0 || !here ? "" : cut(here, "here");
  if (kept > 0 && stops === here) return `SHORTEN the stop: ${stand}.`;
  if (kept > 0) return `SHORTEN the stops: ${stand && `${stand}, `}${cut(stops, "in all")} up to ${label(to)}.`;
  const speed = `${Math.ceil(100 * faster)} % faster than so far`;
  if (!stops) return `SPEED UP: ${speed}.`;
  return `SHORT STOPS up to ${label(to)}, still fill and feed${faster ? `, and ${speed}` : ""}.`;
}

// the verdict of the day so far
function drawSays({ rest, errors, isSeen, shut, stay }) {
  by("verdict").hidden = isSeen;
  by("says").hidden = !isSeen;
  if (isSeen) {
    const seen = `${label(rest.here)}, ${rest.hasLeft ? "left" : "came in"} ${show(rest.at)}, ${behind(rest)}.`;
    const isClosed = Boolean(shut?.sure);
    const holds = isClosed ? `Not known: ${label(shut.at)} is closed, and the runner was not seen ${shut.at === rest.here ? "leaving" : "there or beyond"}.` : rest.missed ? "Fails: a cutoff is missed." : rest.here === last ? "" : rest.lost.length ? (isGone({ rest, stay }) ? "Fails as it goes." : "In doubt by one time seen.")
      : rest.chance !== null && rest.chance < data.doubtful ? "Doubtful as it goes." : "Holds as it goes.";
    const chance = rest.chance === null || rest.missed || isClosed ? "" : ` All cutoffs made: ${percent(rest.chance)}.`;
    const finish = rest.here === last || rest.missed || isClosed ? "" : `Finish ${show(rest.arrivals[last])}, 8 in 10 between ${show(rest.windows[last][0])} and ${show(rest.windows[last][2])}.`;
    put(document, "says-seen", seen);
    put(document, "says-holds", holds + chance);
    put(document, "says-finish", finish);
    by("says").classList.toggle("fails", isGone({ rest, stay }) || Boolean(rest.missed) || isClosed);
  }
  by("several").hidden = !rest.several;
  by("wrong").hidden = errors.length === 0;
  const first = errors[0];
  by("wrong").textContent = first ? `${errors.length === 1 ? "An entry is" : `${errors.length} entries are`} not counted: ${label(first.k)}, ${first.left ? "left" : "came in"}.` : "";
}

function behind(rest) {
  const { arrival_s: arrival, stop_s: stop } = stations[rest.here];
  const off = toMinute(rest.at) - toMinute(arrival + (rest.hasLeft ? stop : 0));
  return off === 0 ? "on plan" : `${since(Math.abs(off))} ${off > 0 ? "behind" : "ahead of"} plan`;
}

function today() {
  const { events, errors } = place(entries);
  const isSeen = events.length > 0, rest = isSeen ? project(events) : planned();
  const stay = rest.lost.length > 0 && !rest.missed ? staying(rest) : null;
  return { events, errors, isSeen, rest, stay, crew: crewTimes(events, rest), shut: firstShut({ events, rest }) };
}

let open = null;
function draw() {
  const day_ = today();
  drawTop(day_);
  drawSays(day_);
  for (const card of all("[data-station]")) drawCard(card, Number(card.dataset.station), day_);
  for (const group of all(".between")) {
    const wrong = all(".wrong, .lost", group).length > 0;
    group.querySelector("summary").classList.toggle("bad", wrong);
  }
  // the meeting that matters is open, and others as they were left
  const next = by("top-enter").hidden ? undefined : by("top-enter").dataset.k;
  if (next !== open) {
    for (const card of all("details[data-station]")) card.open = card.dataset.station === next;
    open = next;
  }
}

// ---- entering: two taps

let asked = null;
const pad = by("pad");
function ask(k, left) {
  asked = { k, left };
  const was = entries[k]?.[left ? "left" : "came"];
  by("pad-name").textContent = `${label(k)}: ${left ? "left" : "came in"}`;
  by("pad-was").textContent = was ? `Entered: ${was}. Another time replaces it; it can be taken back.` : "";
  by("pad-out").hidden = !was;
  by("pad-time").value = "";
  by("pad-note").textContent = "";
  by("pad-twice").hidden = true;
  for (const choice of all("#pad-days input")) choice.checked = choice.value === "";
  const now = nowText();
  by("pad-now").hidden = now === null;
  by("pad-now").textContent = `Now, ${now}`;
  by("pad-or").hidden = now === null;
  pad.showModal();
  (now === null ? by("pad-time") : by("pad-now")).focus();
}
// the running minute, where it lies within the race
function nowText() {
  const now = clockNow();
  if (now === null) return null;
  const start = ((data.clock.start_s % 60) + 60) % 60;
  const at = Math.floor((now + start) / 60) * 60 - start;
  return at < -60 || at > 2 * stations[last].arrival_s + 86400 ? null : show(Math.max(at, 0));
}
function finishAsking(text) {
  pad.close();
  enter(asked.k, asked.left, text);
}
by("pad-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const { k, left } = asked, chosen = all("#pad-days input").find((c) => c.checked)?.value ?? "";
  const typed = by("pad-time").value.trim(), text = /^\p{L}/u.test(typed) ? typed : `${chosen} ${typed}`.trim();
  const planned = stations[k].arrival_s + (left ? stations[k].stop_s : 0);
  const found = typed ? read(text, planned) : { error: "Type a time, such as 1432." };
  by("pad-twice").hidden = true;
  if (found.error) {
    by("pad-note").textContent = found.error;
    if (found.near !== undefined) offer([show(found.near)], ["that day"]);
    return;
  }
  const twice = found.times.filter((at) => /[¹²]$/.test(show(at)));
  if (twice.length < 2) {
    const taken = found.times.length === 1 ? written(found.times[0], planned) : text, doubt = doubtful(found.times, planned);
    if (!doubt) { finishAsking(taken); return; }
    by("pad-note").textContent = named(doubt);
    offer([taken], ["it is right"]);
    return;
  }
  by("pad-note").textContent = "The clocks show this time twice. Which?";
  offer(twice.map(show), ["before they go back", "after they go back"]);
});
// what is asked first: a time ahead of this phone's clock, or hours before the plan
function doubtful(times, planned) {
  const at = Math.min(...times), now = raceNow();
  if (now !== null && at > now + 120) return `That is ${hours(at - now)} ahead of this phone's clock, ${show(now)}. Is it right?`;
  return times.every((time) => planned - time > Math.max(3600, planned / 4)) ? `That is ${hours(planned - Math.max(...times))} before the plan. Is it right?` : "";
}
// times to choose from
function offer(times, notes) {
  by("pad-twice").hidden = false;
  all("#pad-twice button").forEach((button, which) => {
    button.hidden = which >= times.length;
    button.textContent = `${times[which]}, ${notes[which]}`;
    button.onclick = () => finishAsking(times[which]);
  });
}
// as it is kept: with its day, and as time since the start where that day is asked about
const written = (at, planned) => (data.clock && !read(show(at), planned).error ? show(at) : `+${since(at)}`);
by("pad-now").addEventListener("click", () => finishAsking(nowText()));
by("pad-out").addEventListener("click", () => finishAsking(""));
by("pad-cancel").addEventListener("click", () => pad.close());
for (const button of all("[data-enter]")) {
  button.addEventListener("click", () => ask(Number(button.dataset.k), button.dataset.enter === "left"));
}
by("undo").addEventListener("click", undo);
by("told-ok").addEventListener("click", () => { by("told").hidden = true; });
by("clear").addEventListener("click", () => change({}, "All entries cleared."));

// ---- what a person would send

function message() {
  const { rest, isSeen, crew, shut, stay } = today();
  const lines = [];
  if (isSeen) {
    lines.push(`${document.querySelector("h1 bdi").textContent}: ${rest.hasLeft ? "left" : "in at"} ${label(rest.here)} ${show(rest.at)}, ${behind(rest)}.`);
  } else lines.push(`${document.querySelector("h1 bdi").textContent}: not seen yet${shut?.sure ? "" : ", as planned so far"}.`);
  const next = stations.find((s) => s.meets && s.index > rest.here && s.index > 0);
  if (rest.missed) lines.push(`Cutoff there missed by ${since(rest.missed)}: ${stations[rest.here].meets ? "we ask the officials and stay there" : "no crew there, we call race control and ask where the runner is brought"}.`);
  else if (shut?.sure) lines.push(`${label(shut.at)} closed at ${show(stations[shut.at].cutoff_s)} and we have not seen the runner ${shut.at === rest.here ? "leave" : "there or beyond"}: we ask race control.`);
  else if (next) {
    const window = rest.windows[next.index], at = isSeen ? rest.arrivals[next.index] : window[1];
    lines.push(`Next ${label(next.index)} about ${show(at)} (${beside(window[0], at)} to ${beside(window[2], at)}).`);
    const { off, there, unknown } = crew[next.index];
    lines.push(off !== undefined && next.drive_s ? `We drive off by ${show(off)}, there by ${beside(there, off)}.` : `We are there by ${show(there)}.${unknown ? ` ${DRIVE_UNKNOWN}.` : ""}`);
  }
  const goes = !rest.missed && !shut?.sure;
  if (rest.here !== last && next?.index !== last && goes) {
    const window = rest.windows[last], at = isSeen ? rest.arrivals[last] : window[1];
    lines.push(`Finish about ${show(at)} (${show(window[0])} to ${show(window[2])}).`);
  }
  const lost = rest.lost[0];
  const leave = rest.outBy === null || !goes ? "" : `Out of there by ${show(rest.outBy)}.`;
  if (leave) lines.push(leave);
  if (lost && goes) lines.push(`${lostText({ rest, stay })}. ${advice(rest, stay)}`);
  if (rest.chance !== null && isSeen && goes && !stay?.hardly) lines.push(`All cutoffs made: ${percent(rest.chance)}.`);
  const text = named(lines.filter(Boolean).join(" "));
  return /\d[¹²]/.test(text) ? `${text} ${by("marks").textContent}` : text;
}
by("copy").addEventListener("click", async () => {
  const box = by("copied");
  box.value = message();
  by("copy-box").hidden = false;
  box.focus();
  box.select();
  let done = false;
  try { await navigator.clipboard.writeText(box.value); done = true; } catch { done = document.execCommand("copy"); }
  by("copy-says").textContent = done ? "Copied: paste it into a message." : "Hold a finger on the text to copy it.";
});

// ---- light, dark, red

function dress() {
  document.documentElement.dataset.theme = theme;
  for (const choice of all("#screen button")) choice.setAttribute("aria-pressed", String(choice.dataset.theme === theme));
}
for (const choice of all("#screen button")) {
  choice.addEventListener("click", () => { theme = choice.dataset.theme; save(); dress(); });
}

let folded = [];
addEventListener("beforeprint", () => {
  folded = all("details:not([open])");
  for (const each of folded) each.open = true;
});
addEventListener("afterprint", () => { for (const each of folded) each.open = false; });
setInterval(draw, 15000);
addEventListener("visibilitychange", draw);
by("unstored").hidden = stored;
for (const each of all("[data-live]")) each.hidden = false;
dress();
draw();
