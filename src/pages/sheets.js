"use strict";
// Lays the parts of a page out on sheets, by what they measure here: the same on screen, in the
// print dialogue and in a PDF. A part with class `splits`, a list or a table goes on overleaf;
// any other stays whole. A part with class `keeps` stays with the one after it. On a narrow screen
// parts follow each other until they are printed.
{
  const main = document.querySelector("main");
  const SPLITS = ".splits, ol, ul, dl.facts, table, tbody";
  const copy = id => document.getElementById(id).content.firstElementChild.cloneNode(true);
  const parts = () => [...main.children].filter(part => part.tagName !== "NOSCRIPT");
  const FEWEST = 6; // rows of a table at the foot of a sheet
  const LAST = 3; // rows of a table at the head of the next
  const used = body => body.childElementCount && (body.lastElementChild.getBoundingClientRect().bottom - body.getBoundingClientRect().top) / body.clientHeight;
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
    if (part.tagName === "TBODY" && part.childElementCount) while (part.childElementCount < LAST && shell.childElementCount > LAST) part.prepend(shell.lastElementChild);
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

  // How many rows of a table or of facts have room at the foot of a sheet; all of them are enough.
  const foot = (part, body) => {
    body.append(part);
    const end = body.getBoundingClientRect().bottom;
    const rows = [...part.querySelectorAll("tbody tr, :scope > div:not(.scroll)")];
    const room = rows.filter(row => row.getBoundingClientRect().bottom <= end).length;
    part.remove();
    return room === rows.length || !body.childElementCount ? FEWEST : room;
  };

  // The last meeting does not stand alone on its sheet where the one before it has company.
  const company = () => {
    const [before, last] = [...main.querySelectorAll(".sheet .body")].slice(-2);
    const met = body => body.querySelectorAll(".meeting");
    if (!last || met(last).length !== 1 || met(before).length < 3) return;
    const moved = [met(before).item(met(before).length - 1)];
    if (moved[0].previousElementSibling.matches(".keeps")) moved.unshift(moved[0].previousElementSibling);
    last.prepend(...moved);
    if (isFull(last)) before.append(...moved);
  };

  // As large as the same number of sheets has room for, then more room for notes.
  const GROWN = [1.3, 1.25, 1.2, 1.15, 1.1, 1.05, 1];
  const NOTES = 90; // pixels that a meeting gains at most
  const grow = () => {
    const again = flowAgain("--grow");
    const fewest = again(1);
    GROWN.find(by => again(by) <= fewest);
    for (const body of main.querySelectorAll(".body")) {
      const met = [...body.querySelectorAll(".meeting")];
      const free = body.getBoundingClientRect().bottom - body.lastElementChild.getBoundingClientRect().bottom - 4;
      const more = Math.min(NOTES, free / met.length);
      const heights = met.map(meeting => meeting.getBoundingClientRect().height);
      if (more > 0) met.forEach((meeting, i) => { meeting.style.minHeight = `${heights[i] + more}px`; });
    }
  };

  // Lays all parts out once more with another value of a property; returns how many sheets it takes.
  const flowAgain = property => {
    const all = parts().map(part => part.cloneNode(true));
    return value => {
      main.querySelectorAll(".sheet").forEach(sheet => sheet.remove());
      parts().forEach(part => part.remove());
      main.prepend(...all.map(part => part.cloneNode(true)));
      main.style.setProperty(property, value);
      flow();
      return main.querySelectorAll(".sheet").length;
    };
  };

  // A last sheet with next to nothing on it is saved where less room between lines does it.
  const TIGHT = [.85, .7, .55, .4];
  const HARDLY = .3; // of the last sheet
  const tighten = () => {
    const again = flowAgain("--tight");
    const most = again(1);
    const last = [...main.querySelectorAll(".sheet .body")].at(-1);
    if (most > 1 && used(last) < HARDLY && !TIGHT.some(by => again(by) < most)) again(1);
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
      // a sheet that has hardly begun has room for it
      if (part.matches(".new-sheet") && used(body) > 0.4) body = begin();
      if (part.matches(".picture") && move(part, body, body)) {
        waiting.push(part);
        if (waiting.length > 1) body = begin();
        continue;
      }
      if (part.matches(".picture")) continue;
      // twice at most: a picture that waited may leave as little room overleaf
      for (let tries = 0; tries < 2 && part.matches(".scroll, .facts") && foot(part, body) < FEWEST; tries += 1) body = overleaf(body, begin());
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
    company();
    for (const mark of document.querySelectorAll("[data-sheet-of]")) {
      const place = document.getElementById(mark.dataset.sheetOf)?.closest(".sheet");
      mark.textContent = place ? [...main.querySelectorAll(".sheet")].indexOf(place) + 1 : "";
    }
  };

  // Pieces into panels of one height, as even as they can be, in rows and on sheets. A piece with a
  // front and a back goes into a pair of panels; one that may stand anywhere fills the largest gap.
  const panels = () => {
    const [across, down] = [Number(main.dataset.across), Number(main.dataset.down)];
    const all = parts();
    all.forEach(piece => piece.remove());
    const faces = piece => {
      const sides = [...piece.children].filter(side => side.matches(".front, .back"));
      if (!sides.length) return [piece];
      return sides.map(side => {
        const face = piece.cloneNode(false);
        face.append(side);
        return face;
      });
    };
    const probe = copy("panel");
    main.append(probe);
    const room = probe.querySelector(".room");
    const most = room.clientHeight;
    const measured = piece => {
      const sides = faces(piece);
      // each with something below it: the last in a panel has no line at its foot
      const below = document.createElement("div");
      room.append(...sides, below);
      const heights = sides.map(side => side.getBoundingClientRect().height);
      room.replaceChildren();
      return { sides, heights };
    };
    const pieces = all.map(measured);
    const loose = pieces.filter((_, i) => all[i].matches(".anywhere"));
    const fixed = pieces.filter((_, i) => !all[i].matches(".anywhere"));
    probe.remove();
    const count = Math.max(...fixed.map(piece => piece.sides.length), 1);
    const used = group => Array.from({ length: count }, (_, side) => group.reduce((sum, piece) => sum + (piece.heights[side] ?? 0), 0));
    const fits = group => group.length === 1 || used(group).every(sum => sum <= most);
    // the fewest groups, and of all cuts into so many the one with the most even gaps
    const cut = list => {
      const best = [{ groups: 0, gap: 0, from: 0 }];
      for (let end = 1; end <= list.length; end += 1) {
        for (let from = end - 1; from >= 0 && fits(list.slice(from, end)); from -= 1) {
          const gap = best[from].gap + used(list.slice(from, end)).reduce((sum, high) => sum + Math.max(0, most - high) ** 2, 0);
          const groups = best[from].groups + 1;
          const now = best[end];
          if (!now || groups < now.groups || (groups === now.groups && gap < now.gap)) best[end] = { groups, gap, from };
        }
      }
      const made = [];
      for (let end = list.length; end > 0; end = best[end].from) made.unshift(list.slice(best[end].from, end));
      return made;
    };
    let made = cut(fixed);
    for (const piece of loose) {
      const gaps = made.map(group => used(group).map(high => most - high));
      const [group, side] = gaps.flatMap((sides, group) => sides.map((_, side) => [group, side])).sort((a, b) => gaps[b[0]][b[1]] - gaps[a[0]][a[1]])[0];
      const high = piece.heights[0];
      if (high <= gaps[group][side]) {
        const sides = [];
        sides[side] = piece.sides[0];
        const heights = Array.from({ length: count }, (_, at) => (at === side ? high : 0));
        made[group].push({ sides, heights });
      } else made = cut([...made.flat(), piece]);
    }
    let row;
    const each = Math.floor(across / count);
    made.forEach((group, index) => {
      if (index % (each * down) === 0) newSheet();
      if (index % each === 0) {
        row = document.createElement("div");
        row.className = "row";
        main.lastElementChild.querySelector(".grid").append(row);
      }
      for (let side = 0; side < count; side += 1) {
        const panel = copy("panel");
        panel.querySelector(".room").append(...group.map(piece => piece.sides[side]).filter(Boolean));
        panel.querySelector(".of").textContent = made.length > 1 ? `${index + 1} of ${made.length}` : "";
        if (count > 1 && side === 0) panel.classList.add("outside");
        row.append(panel);
      }
    });
  };

  const lay = () => {
    document.documentElement.classList.add("laid-out");
    main.classList.remove("narrow");
    if (main.matches(".panels")) panels();
    else if (main.matches(".crew-sheet")) grow();
    else if (main.matches(".flow")) tighten();
    const sheets = main.querySelectorAll(".sheet");
    sheets.forEach((sheet, index) => {
      const body = sheet.querySelector(".body");
      for (const note of sheet.querySelectorAll("[data-explains]"))
        if (!(note.dataset.explains === "marks" ? /\d[¹²]/.test(body.textContent) : body.querySelector(note.dataset.explains))) note.remove();
      for (const mark of sheet.querySelectorAll(".sheet-number")) mark.textContent = `${index + 1}/${sheets.length}`;
    });
  };
  if (main.matches(".flow") && matchMedia("screen and (max-width: 44rem)").matches) {
    main.classList.add("narrow");
    addEventListener("beforeprint", lay, { once: true });
  } else lay();
}
