"use strict";
// Lays the parts of a page out on sheets, by what they measure here: the same on screen, in the
// print dialogue and in a PDF. A part with class `splits`, a list or a table goes on overleaf;
// any other stays whole. A part with class `keeps` stays with the one after it.
{
  const main = document.querySelector("main");
  const SPLITS = ".splits, ol, ul, dl.facts, table, tbody";
  const copy = id => document.getElementById(id).content.firstElementChild.cloneNode(true);
  const parts = () => [...main.children].filter(part => part.tagName !== "NOSCRIPT");
  const FEWEST = 6; // rows of a table at the foot of a sheet
  const isFull = body => body.scrollHeight > body.clientHeight + 1;

  const newSheet = () => {
    const sheet = copy("sheet");
    main.append(sheet);
    return sheet;
  };

  // Moves a part into `box` as far as `body` has room; returns what is left of it.
  const move = (part, box, body) => {
    box.append(part);
    if (!isFull(body)) return null;
    part.remove();
    if (!part.matches(SPLITS)) return part;
    const shell = part.cloneNode(false);
    const head = part.tagName === "TABLE" ? part.tHead : null;
    if (head) shell.append(head.cloneNode(true));
    const empty = shell.childElementCount;
    box.append(shell);
    for (;;) {
      const child = head ? head.nextElementSibling : part.firstElementChild;
      if (!child) break;
      const left = move(child, shell, body);
      if (left) {
        part.insertBefore(left, head ? head.nextElementSibling : part.firstElementChild);
        break;
      }
    }
    if (shell.childElementCount === empty) shell.remove();
    else shell.classList.add("goes-on");
    return part;
  };

  // Headings at the foot of a sheet go overleaf with what they are above.
  const overleaf = (body, next) => {
    const keeps = [];
    for (let at = body.lastElementChild; at && at.matches(".keeps") && at.previousElementSibling; at = at.previousElementSibling) keeps.unshift(at);
    next.append(...keeps);
    return next;
  };

  // How many rows of a table have room at the foot of a sheet; all of them count as enough.
  const foot = (part, body) => {
    body.append(part);
    const end = body.getBoundingClientRect().bottom;
    const rows = [...part.querySelectorAll("tbody tr")];
    const room = rows.filter(row => row.getBoundingClientRect().bottom <= end).length;
    part.remove();
    return room === rows.length || !body.childElementCount ? FEWEST : room;
  };

  const flow = () => {
    const all = parts();
    all.forEach(part => part.remove());
    const waiting = []; // pictures that a later sheet begins with
    const begin = () => {
      const body = newSheet().querySelector(".body");
      while (waiting.length) {
        body.append(waiting[0]);
        if (isFull(body) && body.childElementCount > 1) {
          waiting[0].remove();
          break;
        }
        waiting.shift();
      }
      return body;
    };
    let body = begin();
    for (const part of all) {
      if (part.matches(".new-sheet") && body.childElementCount) body = begin();
      if (part.matches(".picture") && move(part, body, body)) {
        waiting.push(part);
        if (waiting.length > 1) body = begin();
        continue;
      }
      if (part.matches(".picture")) continue;
      // twice at most: a picture that waited may leave as little room overleaf
      for (let tries = 0; tries < 2 && part.matches(".scroll") && foot(part, body) < FEWEST; tries += 1) body = overleaf(body, begin());
      for (let left = part; left;) {
        const last = body.lastElementChild;
        left = move(left, body, body);
        if (!left) break;
        if (!last && !body.childElementCount) {
          body.append(left);
          break;
        }
        const next = begin();
        body = body.lastElementChild === last ? overleaf(body, next) : next;
      }
    }
    while (waiting.length) begin();
    for (const mark of document.querySelectorAll("[data-sheet-of]")) {
      const place = document.getElementById(mark.dataset.sheetOf)?.closest(".sheet");
      mark.textContent = place ? [...main.children].indexOf(place) + 1 : "";
    }
  };

  // Pieces into panels of one height, as even as they can be, in rows and on sheets.
  const panels = () => {
    const [across, down] = [Number(main.dataset.across), Number(main.dataset.down)];
    const pieces = parts();
    pieces.forEach(piece => piece.remove());
    const probe = copy("panel");
    main.append(probe);
    const room = probe.querySelector(".room");
    const most = room.clientHeight;
    room.append(...pieces);
    const heights = pieces.map(piece => piece.getBoundingClientRect().height);
    probe.remove();
    const split = limit => {
      const made = [[]];
      let used = 0;
      pieces.forEach((piece, i) => {
        if (used + heights[i] > limit && made.at(-1).length) {
          made.push([]);
          used = 0;
        }
        made.at(-1).push(piece);
        used += heights[i];
      });
      return made;
    };
    const fewest = split(most).length;
    let [low, high] = [0, most];
    for (let i = 0; i < 24; i += 1) {
      const middle = (low + high) / 2;
      if (split(middle).length > fewest) low = middle;
      else high = middle;
    }
    const made = split(high);
    let row;
    made.forEach((pieces, index) => {
      if (index % (across * down) === 0) newSheet();
      if (index % across === 0) {
        row = document.createElement("div");
        row.className = "row";
        main.lastElementChild.querySelector(".grid").append(row);
      }
      const panel = copy("panel");
      panel.querySelector(".room").append(...pieces);
      panel.querySelector(".of").textContent = made.length > 1 ? `${index + 1} of ${made.length}` : "";
      row.append(panel);
    });
  };

  if (main.matches(".panels")) panels();
  else if (main.matches(".flow")) flow();
  const sheets = main.querySelectorAll(".sheet");
  sheets.forEach((sheet, index) => {
    for (const mark of sheet.querySelectorAll(".sheet-number")) mark.textContent = `${index + 1}/${sheets.length}`;
  });
  document.documentElement.classList.add("laid-out");
}
