"use strict";
/* The page asks the desk for parts of itself and puts them in their places. Changes go one after
   the other, each as the page stands when its turn comes. */

let version = 0;
let part = location.hash.slice(1) || "times";
let turn = Promise.resolve();
let missed = 0;
let waiting = 0;
let asking = 0;
const dark = matchMedia("(prefers-color-scheme: dark)");
const at = (id) => document.getElementById(id);
const all = (selector, within = document) => [...within.querySelectorAll(selector)];

/* asking */

/* Shows that it takes time where it does. */
async function ask(path, options) {
  asking += 1;
  const slow = setTimeout(() => document.body.classList.add("busy"), 500);
  try {
    const answer = await fetch(path, options);
    missed = 0;
    return answer;
  } finally {
    asking -= 1;
    clearTimeout(slow);
    if (!asking) document.body.classList.remove("busy");
  }
}

function post(path, body, kind = "application/json") {
  return ask(`${path}${path.includes("?") ? "&" : "?"}part=${encodeURIComponent(part)}`, {
    method: "POST",
    headers: { "Content-Type": kind },
    body: kind === "application/json" ? JSON.stringify(body ?? null) : body,
  });
}

function says(words) {
  at("says").textContent = words;
  clearTimeout(says.timer);
  says.timer = setTimeout(() => (at("says").textContent = ""), 8000);
}

/* Does something in its turn. */
function inTurn(work) {
  waiting += 1;
  turn = turn.then(work).catch(gone).finally(() => (waiting -= 1));
  return turn;
}

function gone(error) {
  console.warn(error);
  missed += 1;
  if (missed > 2) {
    document.body.classList.add("gone");
    at("says").textContent = "The desk is closed. Start it again with sutler desk; what you typed up to a second ago is in the files.";
  }
}

/* Makes a change; `make` is asked for it when its turn comes. */
function change(make, path = "edit") {
  return inTurn(async () => {
    const made = make();
    if (!made) return;
    const answer = await post(path, made);
    if (answer.ok) return apply(await answer.json());
    const told = answer.headers.get("content-type") === "application/json"
      ? await answer.json() : { said: await answer.text() };
    if (told.conflict) conflict(told, made, path);
    else says(told.said);
    await refresh();
  });
}

async function refresh() {
  const answer = await ask(`state?part=${encodeURIComponent(part)}`);
  if (answer.ok) apply(await answer.json());
}

/* putting parts in their places */

function apply(state) {
  version = state.version;
  document.title = state.title ? `${state.title}: desk` : "sutler desk";
  document.body.classList.toggle("empty", !state.open);
  if (state.part) part = state.part;
  document.body.dataset.part = part;
  for (const [id, html] of Object.entries(state.html)) put(at(id), html);
  for (const link of all("#parts a")) {
    if (link.dataset.part === part) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  fit();
  if (state.open) {
    for (const figure of all("[data-picture]")) draw(figure);
    marks();
  }
}

/* A part made anew keeps the field that is being typed in, and what is typed there. */
function put(place, html) {
  if (!place || place.made === html) return;
  const active = document.activeElement;
  const inside = place.contains(active) && active.id;
  const typed = inside && "value" in active ? active.value : null;
  const was = inside ? active.dataset.sent ?? active.dataset.was : null;
  let caret = null;
  try { caret = inside ? [active.selectionStart, active.selectionEnd] : null; } catch { /* no text */ }
  const open = all("details[open] > textarea", place).map((area) => area.id);
  const drafts = all("textarea[data-text], #pasted", place).filter((area) => area.value !== (area.dataset.was ?? ""))
    .map((area) => [area.id, area.value, area.dataset.was]);
  const old = all("[data-picture]", place).filter((figure) => figure.firstChild);
  place.made = html;
  place.innerHTML = html;
  // a picture stays until its successor is there
  for (const figure of all("[data-picture]", place)) {
    const before = old.find((other) => other.dataset.picture === figure.dataset.picture
      && ("board" in other.dataset) === ("board" in figure.dataset));
    if (before) figure.replaceChildren(...before.childNodes);
  }
  for (const id of open) at(id)?.closest("details")?.setAttribute("open", "");
  for (const [id, value, told] of drafts) {
    const area = at(id);
    if (area) area.value = value;
    if (area && told !== undefined) area.dataset.was = told;
  }
  if (!inside) return;
  const now = at(active.id);
  if (!now) return;
  now.focus({ preventScroll: true });
  if (typed !== null && typed !== was && now.tagName !== "SELECT" && now.type !== "range") {
    now.value = typed;
  }
  if (caret && now.setSelectionRange) {
    try { now.setSelectionRange(...caret); } catch { /* no text */ }
  }
}

/* pictures: ids are made their own, so that several can stand on one page */

let drawing = 0;
async function draw(figure) {
  drawing += 1;
  try {
    await drawn(figure);
  } finally {
    drawing -= 1;
  }
}

async function drawn(figure) {
  const name = figure.dataset.picture;
  const key = `${name} ${version} ${dark.matches}`;
  if (figure.drawn === key) return;
  figure.drawn = key;
  const answer = await ask(`picture?name=${name}&dark=${dark.matches ? 1 : 0}`).catch(gone);
  if (!answer?.ok || figure.drawn !== key) return;
  // what is being dragged stays under the hand
  while (dragged) await new Promise((go) => setTimeout(go, 50));
  const own = "board" in figure.dataset ? `${name}-board` : name;
  const svg = (await answer.text())
    .replaceAll(/ id="/g, ` id="${own}-`)
    .replaceAll("url(#", `url(#${own}-`)
    .replaceAll('aria-labelledby="name about"', `aria-labelledby="${own}-name ${own}-about"`);
  figure.innerHTML = svg;
  const drawing = figure.querySelector("svg");
  if (!drawing) return;
  for (const mark of all('[id*="-station-"],[id*="-segment-"]', drawing)) {
    mark.dataset.mark = mark.id.slice(own.length + 1);
  }
  light(light.of);
}

function light(mark) {
  light.of = mark;
  for (const lit of all(".lit")) lit.classList.remove("lit");
  if (mark) for (const own of all(`[data-mark="${CSS.escape(mark)}"]`)) own.classList.add("lit");
}
const markOf = (event) => event.target.closest?.("[data-mark]")?.dataset.mark;
for (const kind of ["pointerover", "focusin"]) {
  document.addEventListener(kind, (event) => light(markOf(event)));
}

/* the finish */

const clock = (s) => [s / 3600, (s / 60) % 60, s % 60]
  .map((n, i) => String(Math.floor(n)).padStart(i ? 2 : 1, "0")).join(":");
let wanted = null;
let trying = false;

async function tryFinish(seconds) {
  wanted = seconds;
  if (trying) return;
  trying = true;
  while (wanted !== null) {
    const now = wanted;
    wanted = null;
    const answer = await ask(`times?finish=${now}`).catch(gone);
    if (answer?.ok) showTimes(await answer.json());
  }
  trying = false;
}

function showTimes(told) {
  at("finish-time").value = told.finish;
  const box = at("verdict").querySelector(".verdict");
  box.classList.toggle("fails", !told.holds);
  box.replaceChildren(...told.verdict.map((line) => {
    const p = document.createElement("p");
    p.textContent = line;
    return p;
  }));
  at("verdict").made = null;
  told.rows.forEach((row, index) => {
    const line = document.querySelector(`#splits tr[data-row="${index}"]`);
    if (!line) return;
    line.classList.toggle("dark", row.dark);
    for (const cell of all("[data-cell]", line)) {
      if (!(cell.dataset.cell in row)) continue;
      const words = row[cell.dataset.cell];
      const place = cell.querySelector("button");
      if (place && words) place.textContent = words;
      if (cell.dataset.cell === "margin" && row["margin-is"]) cell.className = `right ${row["margin-is"]}`;
    }
  });
  const last = told.rows[told.rows.length - 1];
  if (at("finish-clock")) at("finish-clock").textContent = last.arrival;
  at("work").made = null;
}

const setFinish = (typed) => change(() => ({
  do: "set", file: "plan", path: ["finish"], value: typed,
  was: at("finish-time")?.dataset.was ?? null,
}));

/* The zone first: a start alone would be refused. */
function setStart() {
  const [start, zone] = [at("next-start").value, at("next-zone").value];
  if (!start) return void at("next-start").focus();
  for (const [key, value] of [["timezone", zone], ["start", start]]) {
    change(() => ({ do: "set", file: "course", path: [key], value, was: null }));
  }
}

async function marks() {
  const slider = at("finish");
  if (!slider || marks.of === version) return placeMarks();
  marks.of = version;
  const answer = await ask("marks").catch(gone);
  if (!answer?.ok) return;
  marks.list = await answer.json();
  placeMarks();
}

function placeMarks() {
  const slider = at("finish");
  if (!slider || !marks.list) return;
  const [least, most] = [Number(slider.min), Number(slider.max)];
  at("marks").replaceChildren();
  at("marks-list").replaceChildren();
  const ends = [];
  for (const mark of marks.list) {
    if (least <= mark.at && mark.at <= most) {
      const line = document.createElement("i");
      const share = (mark.at - least) / (most - least);
      line.style.left = `${100 * share}%`;
      line.classList.toggle("before", share > 0.7);
      line.textContent = mark.name;
      at("marks").append(line);
      // each in the first line where it has room
      const { left, right } = line.getBoundingClientRect();
      const free = ends.findIndex((taken) => taken.every((own) => right < own.left - 2 || left > own.right + 2));
      const row = free < 0 ? ends.length : free;
      (ends[row] ??= []).push({ left, right });
      line.style.top = `${1.3 * row}rem`;
    }
    if (!mark.about) continue;
    const item = document.createElement("li");
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.take = mark.at;
    button.textContent = `${mark.time} ${mark.name}`;
    const about = document.createElement("span");
    about.className = "faint";
    about.textContent = mark.about;
    item.append(button, about);
    at("marks-list").append(item);
  }
  at("marks").style.height = `${1.3 * ends.length + 0.2}rem`;
}

/* Tables are tables where everything typed in them can be read, else a block for each row. */
function fit() {
  for (const table of all("table.stacks")) {
    table.classList.remove("blocks");
    const cut = (input) => input.scrollWidth > input.clientWidth + 1 && input.dataset.column !== "offers";
    const tight = table.scrollWidth > table.parentElement.clientWidth + 1 || all("input", table).some(cut);
    table.classList.toggle("blocks", tight);
  }
}
addEventListener("resize", () => { fit(); placeMarks(); });

/* fields */

const typedAgo = new Map();

/* A field as a change; what it was is what the page shows when its turn comes. */
function fieldChange(id) {
  return () => {
    const field = at(id);
    if (!field || field.value === field.dataset.was || field.value === field.dataset.sent) return null;
    field.dataset.sent = field.value;
    const row = field.closest("tr[data-row]");
    if (field.dataset.column && row) {
      return {
        do: "cell", file: field.closest("[data-sheet]").dataset.sheet, row: Number(row.dataset.row),
        line: row.dataset.line, column: field.dataset.column, value: field.value,
      };
    }
    return {
      do: "set", file: field.dataset.file, path: JSON.parse(field.dataset.path),
      value: field.value, was: field.dataset.was,
    };
  };
}

function commit(field) {
  clearTimeout(typedAgo.get(field.id));
  if (field.dataset.seen) {
    const [station, kind, id] = [field.dataset.seen, field.dataset.kind, field.id];
    return change(() => {
      const now = at(id);
      if (!now || now.value === now.dataset.was) return null;
      return { station, kind, value: now.value };
    }, "seen");
  }
  if ("finish" in field.dataset) return setFinish(field.value);
  return change(fieldChange(field.id));
}

const isField = (e) => e.id && (e.dataset.path || e.dataset.column || e.dataset.seen || "finish" in e.dataset);

document.addEventListener("input", (event) => {
  const field = event.target;
  if (field.id === "finish") return void tryFinish(Number(field.value));
  if (!isField(field) || field.tagName === "SELECT" || "finish" in field.dataset) return;
  // what is typed is saved without being left
  clearTimeout(typedAgo.get(field.id));
  typedAgo.set(field.id, setTimeout(() => commit(field), 900));
});

document.addEventListener("change", (event) => {
  const field = event.target;
  if (field.id === "finish") return void setFinish(clock(Number(field.value)));
  if (field.id === "units") return void change(() => ({}), `units?to=${field.value}`);
  if (field.dataset.unit) return void unit(field);
  if (field.dataset.convert) {
    const { convert: file, from: column } = field.dataset;
    return void change(() => ({ do: "convert", file, column, to: field.value }));
  }
  if (field.dataset.more && field.value) {
    const [file, column] = [field.dataset.more, field.value];
    return void change(() => ({ do: "column", file, column }));
  }
  if ("tick" in field.dataset) {
    const box = field.closest("[data-path]");
    const value = all("[data-tick]:checked", box).map((tick) => tick.value).join("\n");
    const [file, path, was] = [box.dataset.file, JSON.parse(box.dataset.path), box.dataset.was];
    return void change(() => ({ do: "set", file, path, value, was }));
  }
  if ("meaning" in field.dataset) return void readPaste(true);
  if (field.id === "gpx") return void begin(field.files[0]);
  if (isField(field)) commit(field);
});

function unit(field) {
  const path = JSON.parse(field.dataset.path);
  const number = field.closest(".typed").querySelector("input");
  const to = [...path.slice(0, -1), field.value];
  if (!number.value) {
    number.dataset.path = JSON.stringify(to);
    return;
  }
  change(() => ({ do: "unit", file: field.dataset.unit, path, to: field.value }));
}

/* buttons */

const NEW = {
  stations: [["name", "New station"]],
  pantry: [["name", "new food"], ["kind", "food"]],
  gear: [["name", "new thing"], ["when", "always"]],
};

function hourAfter(text) {
  const last = new Date(`${text}:00Z`);
  return Number.isNaN(last.valueOf()) ? null : new Date(last.valueOf() + 3600e3).toISOString().slice(0, 16);
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-part]");
  if (link) {
    event.preventDefault();
    return void go(link.dataset.part, true, link.dataset.seek);
  }
  const button = event.target.closest("button");
  if (!button) return;
  const data = button.dataset;
  if (data.what) return void why(data.of, data.what);
  if ("close" in data) return void at("dialog").close();
  if (data.step) return void change(() => ({}), data.step);
  if (data.stop) return void stop(button);
  if (data.take) return void setFinish(clock(Number(data.take)));
  if (data.push) {
    return void change(() => ({ do: "push", file: data.push, path: JSON.parse(data.path) }));
  }
  if (data.pull) {
    return void change(() => ({
      do: "pull", file: data.pull, path: JSON.parse(data.path), at: Number(data.at),
    }));
  }
  if (data.insert) {
    let values = NEW[data.insert];
    if (data.insert === "weather") {
      const times = all('[data-sheet="weather"] [data-column="time"]').map((input) => input.value);
      values = [["time", hourAfter(times[times.length - 1]) ?? data.first ?? ""]];
    }
    return void change(() => ({ do: "insert", file: data.insert, before: Number(data.before), values }));
  }
  if (data.remove) {
    const row = Number(button.closest("tr").dataset.row);
    return void change(() => {
      const line = document.querySelector(`[data-sheet="${data.remove}"] tr[data-row="${row}"]`);
      return line && { do: "remove", file: data.remove, row, line: line.dataset.line };
    });
  }
  if (data.save) {
    const area = at(`text-${data.save}`);
    return void change(() => {
      const was = area.dataset.was;
      area.dataset.was = area.value;
      return { do: "text", file: data.save, value: area.value, was };
    }).then(() => says(`${data.save} saved`));
  }
  if (button.id === "write-book") {
    says("Writing the book …");
    return void inTurn(async () => says((await (await post("book")).json()).said));
  }
  if (button.id === "again") return void begin(begin.file);
  if (button.id === "set-start") return void setStart();
  if (button.id === "read-paste") return void readPaste(false);
  if (button.id === "take-paste") return void takePaste();
  if (button.id === "quit") {
    return void inTurn(async () => {
      await post("quit");
      document.body.classList.add("gone");
      at("says").textContent = "The desk is closed; everything is in the files. You can close this page.";
      clearInterval(polling);
    });
  }
});

function stop(button) {
  const cell = button.closest("td");
  const minutes = Math.max(0, Number(button.dataset.now) + Number(button.dataset.by));
  // the next click counts on from here, answered or not
  for (const other of all("[data-now]", cell)) other.dataset.now = minutes;
  cell.querySelector(".ask, .none").textContent = `${minutes} min`;
  const name = button.dataset.stop;
  clearTimeout(typedAgo.get(`stop ${name}`));
  typedAgo.set(`stop ${name}`, setTimeout(() => change(() => ({
    do: "set", file: "plan", path: ["stops", "at", name], value: String(minutes), was: null,
  })), 300));
}

async function why(of, what) {
  const answer = await ask(`why?of=${encodeURIComponent(of)}&what=${encodeURIComponent(what)}`).catch(gone);
  if (answer?.ok) dialog(await answer.text());
}

function dialog(html) {
  at("dialog").innerHTML = html;
  if (!at("dialog").open) at("dialog").showModal();
}

/* Both are shown, and neither is lost until one is chosen. */
function conflict(told, made, path) {
  const box = at("dialog");
  dialog('<h2 id="dialog-title"></h2><div class="both"><label>Typed here<textarea id="both-here" rows="6"></textarea></label>'
    + '<label>In the file<textarea id="both-disk" rows="6" readonly></textarea></label></div>'
    + '<div class="tools"><button type="button" id="take-here">Write what stands on the left</button>'
    + '<button type="button" id="take-disk" data-close>Keep the file\'s</button></div>');
  at("dialog-title").textContent = told.said;
  at("both-here").value = told.here;
  at("both-disk").value = told.disk;
  at("take-here").hidden = !made.do;
  at("take-here").addEventListener("click", () => {
    const value = at("both-here").value;
    box.close();
    change(() => made.do === "cell" || made.do === "remove"
      ? { ...made, value, line: told.disk } : { ...made, value, was: null }, path);
  });
}

/* going from part to part */

function go(to, push, seek) {
  part = to;
  if (push) history.pushState(null, "", `#${to}`);
  inTurn(async () => {
    await refresh();
    const sought = seek && at("work").querySelector(seek);
    (sought || at("work")).focus({ preventScroll: !sought });
    if (sought) sought.scrollIntoView({ block: "center" });
    else if (innerWidth < 1000) at("parts").scrollIntoView();
  });
}
addEventListener("popstate", () => go(location.hash.slice(1) || "times", false));
dark.addEventListener("change", () => all("[data-picture]").forEach(draw));
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
  if (event.target.matches("input[type=text], textarea")) return;
  event.preventDefault();
  change(() => ({}), event.shiftKey ? "redo" : "undo");
});

/* two tabs, and an editor: the page follows the files */

const polling = setInterval(async () => {
  if (document.hidden || waiting || dragged || trying) return;
  try {
    const told = await (await ask("version")).json();
    if (told.elsewhere.length) says(`${told.elsewhere.join(", ")} changed on disk; the page follows.`);
    if (told.version !== version && !waiting) inTurn(refresh);
  } catch (error) {
    gone(error);
  }
}, 1000);

inTurn(refresh);
