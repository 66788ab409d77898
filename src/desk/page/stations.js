// A race begun with a route, and its stations: pasted, clicked and dragged.

function begin(file) {
  if (!file) return;
  const typed = at("new-folder").value.trim();
  const own = file.name.replace(/\.gpx$/i, "").toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-+|-+$/g, "");
  const folder = typed || (at("new-folder").dataset.free === "true" ? "" : own || "my-race");
  const [start, finish, past] = ["start", "finish", "past"].map((name) => at(`new-${name}`).value);
  const asked = new URLSearchParams({ folder, start, finish, past });
  begin.file = file;
  inTurn(async () => {
    const answer = await post(`begin?${asked}`, file, "application/octet-stream");
    const told = answer.headers.get("content-type") === "application/json"
      ? await answer.json() : { said: await answer.text() };
    if (answer.ok) return apply(told);
    // the file is kept, so that what is wrong is mended and tried again; the same may be chosen, too
    const wrong = document.createElement("p");
    wrong.className = "wrong";
    wrong.textContent = told.said;
    const again = document.createElement("button");
    again.type = "button";
    again.id = "again";
    again.textContent = `Begin with ${file.name}`;
    at("begin-wrong").replaceChildren(wrong, again);
    at("gpx").value = "";
  });
}

for (const kind of ["dragover", "drop"]) {
  document.addEventListener(kind, (event) => {
    const box = at("drop");
    if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return;
    event.preventDefault();
    box?.classList.toggle("over", kind === "dragover");
    if (kind !== "drop") return;
    if (box) begin(event.dataTransfer.files[0]);
    else says("A race is open here. Start sutler desk with another folder to begin a new one.");
  });
}

/* a pasted table */

const pasted = () => ({
  text: at("pasted").value,
  columns: all("[data-meaning]").map((own) => own.value),
});

function readPaste(chosen) {
  const body = chosen ? pasted() : { ...pasted(), columns: [] };
  return inTurn(async () => {
    const answer = await post("paste", body);
    if (answer.ok) at("paste-seen").innerHTML = await answer.text();
  });
}

function takePaste() {
  const body = pasted();
  at("pasted").value = "";
  change(() => body, "paste/take").then(() => says("The stations are in stations.csv; Undo brings back what was there."));
}

/* profile and map as boards: a click adds a station, a drag moves one */

const FINGER = 14;

/* Where a profile is: its stations' dots lie evenly by distance. */
function onProfile({ drawing, length, x }) {
  const dots = all('[data-mark^="station-"] circle', drawing).map((dot) => Number(dot.getAttribute("cx")));
  const share = (x - dots[0]) / (dots.at(-1) - dots[0]);
  return share >= 0 && share <= 1 ? [{ metres: share * length, x, y: 0 }] : [];
}

/* Where a map is: the nearest point of each stretch of the way within reach. The way is drawn by
   points that are evenly apart along the course. */
function onWay({ drawing, length, x, y, reach }) {
  const way = [];
  for (const run of all('[data-mark^="segment-"] > path[fill="none"]', drawing)) {
    const points = [...run.getAttribute("d").matchAll(/[ML]([-\d.]+) ([-\d.]+)/g)];
    way.push(...points.slice(way.length ? 1 : 0).map((point) => [Number(point[1]), Number(point[2])]));
  }
  const away = way.map((point) => Math.hypot(point[0] - x, point[1] - y));
  const near = reach ?? 1.2 * Math.min(...away);
  const spots = [];
  let before = -2;
  away.forEach((own, at) => {
    if (own > near) return;
    const spot = { metres: (length * at) / (way.length - 1), x: way[at][0], y: way[at][1], own };
    if (before !== at - 1) spots.push(spot);
    else if (own < spots.at(-1).own) spots[spots.length - 1] = spot;
    before = at;
  });
  return spots;
}

function boardAt(event, reaches) {
  const figure = event.target.closest?.("[data-board]");
  const drawing = figure?.querySelector("svg");
  if (!drawing) return null;
  const box = drawing.getBoundingClientRect();
  const scale = drawing.viewBox.baseVal.width / box.width;
  const find = figure.dataset.board === "map" ? onWay : onProfile;
  const spots = find({
    drawing, length: Number(figure.dataset.length), reach: reaches ? FINGER * scale : null,
    x: (event.clientX - box.left) * scale, y: (event.clientY - box.top) * scale,
  });
  return spots.length ? { figure, scale, spots } : null;
}

const PER = { distance_km: 1000, distance_mi: 1609.344, distance_m: 1 };
const distanceColumn = () => document.querySelector('[data-sheet="stations"] [data-column^="distance_"]')?.dataset.column
  ?? document.querySelector("[data-board]").dataset.column;
const inColumn = (metres) => (metres / PER[distanceColumn()]).toFixed(distanceColumn() === "distance_m" ? 0 : 1);
const stationRows = () => all('[data-sheet="stations"] tr[data-row]');
const distanceIn = (row) => Number(row.querySelector(`[data-column="${distanceColumn()}"]`)?.value);

/* The station within a finger's width, so that none has to be hit exactly. */
function nearest(figure, event) {
  const isFlat = figure.dataset.board === "profile";
  const dots = all('[data-mark^="station-"] circle', figure).map((dot) => {
    const box = dot.getBoundingClientRect();
    const [dx, dy] = [box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY];
    return [Math.hypot(dx, isFlat ? 0 : dy), dot.closest("[data-mark]").dataset.mark];
  });
  const [near] = dots.sort((a, b) => a[0] - b[0]);
  return near?.[0] <= FINGER ? near[1] : undefined;
}

let dragged = null;
document.addEventListener("pointerdown", (event) => {
  const place = boardAt(event, false);
  if (!place || event.button !== 0) return;
  const hit = event.target.closest('[data-mark^="station-"]')?.dataset.mark;
  const mark = hit ?? nearest(place.figure, event);
  const row = stationRows().find((one) => one.dataset.mark === mark);
  const metres = row ? distanceIn(row) * PER[distanceColumn()] : 0;
  dragged = { hit, mark, row: row?.dataset.row, metres, from: [event.clientX, event.clientY], moved: false };
  if (mark) event.preventDefault();
});
document.addEventListener("pointermove", (event) => {
  if (!dragged) return;
  if (Math.hypot(event.clientX - dragged.from[0], event.clientY - dragged.from[1]) > 4) dragged.moved = true;
  const place = dragged.mark && dragged.moved && boardAt(event, false);
  if (!place) return;
  // where the way is passed again, the passage that the hand is on
  const off = (spot) => Math.abs(spot.metres - dragged.metres);
  const spot = place.spots.reduce((one, other) => (off(other) < off(one) ? other : one));
  dragged.metres = spot.metres;
  dragged.to = spot.metres;
  const line = at("board-line") ?? document.createElement("i");
  line.id = "board-line";
  if (line.parentNode !== place.figure) place.figure.append(line);
  line.style.left = `${spot.x / place.scale}px`;
  line.style.top = `${spot.y / place.scale}px`;
  line.textContent = inColumn(spot.metres);
});
document.addEventListener("pointerup", (event) => {
  const was = dragged;
  dragged = null;
  at("board-line")?.remove();
  if (was?.to !== undefined) return void moveStation(was.row, was.to);
  const place = was && !was.hit && !was.moved && boardAt(event, true);
  if (place) addStation(place.spots);
});
addEventListener("pointercancel", () => { dragged = null; at("board-line")?.remove(); });

function moveStation(row, metres) {
  if (row === undefined) return says("This station is not in the table: the route itself begins or ends here.");
  const [column, value] = [distanceColumn(), inColumn(metres)];
  change(() => {
    const line = document.querySelector(`[data-sheet="stations"] tr[data-row="${row}"]`);
    return line && { do: "cell", file: "stations", row: Number(row), line: line.dataset.line, column, value };
  });
}

/* Where the course passes more than once, it is asked at which passage. */
function addStation(spots) {
  if (spots.length > 1) {
    dialog('<h2 id="dialog-title">The course passes here more than once. Where is the station?</h2>'
      + '<div class="tools" id="passages"></div><div class="tools"><button type="button" data-close>Cancel</button></div>');
    for (const spot of spots) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = `at ${inColumn(spot.metres)}`;
      button.addEventListener("click", () => { at("dialog").close(); addStation([spot]); });
      at("passages").append(button);
    }
    return;
  }
  const [column, value] = [distanceColumn(), inColumn(spots[0].metres)];
  const rows = stationRows();
  const after = rows.find((one) => distanceIn(one) > Number(value));
  const before = after ? Number(after.dataset.row) : rows.length;
  const values = [["name", `New station ${value}`], [column, value]];
  change(() => ({ do: "insert", file: "stations", before, values })).then(() => {
    const name = at(`c-stations-${before}-name`);
    name?.focus();
    name?.select?.();
  });
}
