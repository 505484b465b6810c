// Dragging on a wall or plan: rings over the picture, moved by finger, mouse or arrow keys. The server says what a move
// does; one question is under way at a time, and the last place is what counts. Without this script the forms below do.
(() => {
  "use strict";
  const board = document.getElementById("board");
  if (!board || !board.dataset.handles) return;
  const data = board.dataset, inner = board.querySelector(".inner");
  const number = name => Number(data[name]);
  const width = number("width"), height = number("height"), ratio = number("ratio"), step = number("step"), far = number("far");
  const big = data.units === "mm" ? 10 : 16;
  const REST_MS = 250, GAP_MS = 40;
  const panel = document.getElementById("panel"), keep = document.getElementById("keep"), said = document.getElementById("said");
  const title = document.getElementById("hand-title"), giveUp = document.getElementById("giveup");
  const SVG = "http://www.w3.org/2000/svg";
  const atOnce = document.querySelector("#atonce input");
  document.getElementById("how").hidden = document.getElementById("atonce").hidden = false;
  const badge = document.createElement("p");  // over the picture, where the eye is; the same is said in full beside it
  badge.className = "badge idle";  // its room is kept free: nothing moves under the finger when it comes
  badge.setAttribute("aria-hidden", "true");
  board.before(badge);

  const over = document.createElementNS(SVG, "svg");
  over.setAttribute("viewBox", `0 0 ${width} ${height}`);
  over.setAttribute("class", "over");
  over.setAttribute("aria-hidden", "true");
  inner.append(over);

  function shape(kind, values, sort) {
    const made = document.createElementNS(SVG, kind);
    for (const [name, value] of Object.entries(values)) made.setAttribute(name, value);
    made.setAttribute("class", sort);
    over.append(made);
    return made;
  }

  const leads = document.createElementNS(SVG, "svg");
  leads.setAttribute("viewBox", `0 0 ${width} ${height}`);
  leads.setAttribute("class", "over");
  leads.setAttribute("aria-hidden", "true");
  inner.append(leads);
  inner.querySelectorAll('[data-layer^="ring:"]').forEach(words => words.remove());  // the rings carry the names

  let held = null;  // {handle, grip, right, up}: what is in hand, and how far from where it is planned [mm of the house]
  let asking = false, wanted = null, resting = 0;

  const all = [];
  function place(one) {
    const x = one.handle.x + one.right / ratio, y = one.handle.y - one.up / ratio;
    one.grip.style.left = `${(x + one.aside[0]) / width * 100}%`;
    one.grip.style.top = `${(y + one.aside[1]) / height * 100}%`;
    for (const [name, value] of Object.entries({x1: x, y1: y, x2: x + one.aside[0], y2: y + one.aside[1]})) one.lead.setAttribute(name, value);
  }

  // Rings that would lie on one another stand aside, with a line to their place.
  function spread() {
    const px = width / (inner.getBoundingClientRect().width || 1), apart = 44 * px;
    const ways = [[0, 0]];
    for (const far of [1, 1.5, 2, 3]) for (let k = 0; k < 8; k++) ways.push([Math.cos(k * Math.PI / 4) * far * apart, Math.sin(k * Math.PI / 4) * far * apart]);
    const taken = [];
    for (const one of all) {
      const x = one.handle.x, y = one.handle.y;
      const free = ([a, b]) => x + a > 0 && x + a < width && y + b > 0 && y + b < height
        && taken.every(([p, q]) => Math.hypot(x + a - p, y + b - q) >= apart - 1e-6);
      one.aside = ways.find(free) || [0, 0];
      taken.push([x + one.aside[0], y + one.aside[1]]);
      place(one);
    }
  }

  // Only along the ways a thing can go, in whole steps: the server reckons the same.
  function along(handle, right, up) {
    let r = 0, u = 0;
    for (const [x, y] of handle.ways) {
      const mm = Math.max(-far, Math.min(far, Math.round((right * x + up * y) / step) * step));
      r += x * mm; u += y * mm;
    }
    return [r, u];
  }

  function take(one) {
    if (held === one) return;
    if (held) drop();
    held = one;
    one.grip.classList.add("held");
    title.textContent = `In hand: ${one.handle.name}`;
    keep.elements.handle.value = one.handle.id;
    ask(true);
  }

  function drop() {
    held.grip.classList.remove("held");
    held.right = held.up = 0;
    place(held);
    held = null;
    wanted = null;
    clearTimeout(resting);
    over.replaceChildren();
    panel.replaceChildren();
    keep.hidden = true;
    badge.classList.add("idle");
    title.textContent = "Nothing in hand";
  }

  function go(right, up) {
    const [r, u] = along(held.handle, right, up);
    if (r === held.right && u === held.up) return;
    held.right = r; held.up = u;
    place(held);
    ask(false);
  }

  function ask(rest) {
    clearTimeout(resting);
    wanted = {one: held, right: held.right, up: held.up, rest};
    if (!rest) resting = setTimeout(() => { if (held) ask(true); }, REST_MS);
    if (!asking) send();
  }

  async function send() {
    asking = true;
    while (wanted) {
      const now = wanted;
      wanted = null;
      const form = new URLSearchParams({
        csrf: data.csrf, base: data.base, view: data.view, handle: now.one.handle.id, right: now.right, up: now.up, rest: now.rest ? "yes" : "",
      });
      try {
        const answer = await fetch(data.url, {method: "POST", body: form, headers: {"X-CSRF-Token": data.csrf}, redirect: "manual"});
        if (held === now.one) {
          if (answer.ok) show(now, await answer.json());
          else if (answer.status !== 409) fail(answer.status);
        }
      } catch { if (held === now.one) fail(0); }
      await new Promise(done => setTimeout(done, GAP_MS));
    }
    asking = false;
  }

  function fail(status) {
    said.textContent = "No answer.";
    panel.textContent = status === 429 ? "Too many moves at once; wait a moment." : "No answer from the server. Load the page again if this stays.";
  }

  function show(now, answer) {
    const open = panel.querySelector("details")?.open;
    panel.innerHTML = answer.panel;  // made by our server, every word escaped there
    if (open) panel.querySelector("details")?.setAttribute("open", "");
    keep.elements.right.value = answer.right;
    keep.elements.up.value = answer.up;
    keep.hidden = false;
    draw(answer);
    const came = panel.querySelectorAll(".came").length, went = panel.querySelectorAll(".went").length;
    const band = answer.band ? (answer.band.within ? " · ✓ within" : " · ✗ out") : "";
    badge.textContent = `${answer.by}${band} · ${came} come, ${went} go`;
    badge.classList.remove("idle");
    if (now.rest) {
      said.textContent = `${answer.by}. ${came} findings come, ${went} go.`;
    }
  }

  function draw(answer) {
    over.replaceChildren();
    for (const y of answer.band ? answer.band.y : []) shape("line", {x1: 0, x2: width, y1: y, y2: y}, "bound");
    if (answer.band && answer.band.y.length) {
      const words = [["highest", answer.band.y[0] - 1], ["lowest", answer.band.y[1] + 3.4]];
      for (const [word, y] of words) shape("text", {x: 1.5, y}, "boundword").textContent = word;
    }
    const flat = points => points.map(p => p.join(",")).join(" ");
    for (const points of answer.outlines) shape(points.length > 2 ? "polygon" : "polyline", {points: flat(points)}, "outline");
    for (const pipe of answer.lines) shape("polyline", {points: flat(pipe.points)}, "halo");
    for (const pipe of answer.lines) shape("polyline", {points: flat(pipe.points)}, `line ${pipe.system}`);
    for (const [cx, cy, r, fine] of answer.holes) shape("circle", {cx, cy, r}, fine ? "hole" : "hole bad");
  }

  for (const handle of JSON.parse(data.handles)) {
    const grip = document.createElement("button");
    grip.type = "button";
    grip.className = `grip ${handle.kind}`;
    grip.dataset.id = handle.id;
    grip.setAttribute("aria-label", handle.name);
    grip.setAttribute("aria-describedby", "how");
    if (handle.kind !== "point") {
      const name = document.createElement("span");
      name.textContent = handle.of;
      grip.append(name);
    }
    const lead = document.createElementNS(SVG, "line");
    lead.setAttribute("class", "lead");
    leads.append(lead);
    const one = {handle, grip, lead, aside: [0, 0], right: 0, up: 0};
    all.push(one);
    inner.append(grip);

    let from = null;  // where the finger came down, and how far the thing was moved then
    grip.addEventListener("pointerdown", event => {
      if (event.button) return;
      take(one);
      grip.setPointerCapture(event.pointerId);
      from = {x: event.clientX, y: event.clientY, right: one.right, up: one.up};
    });
    grip.addEventListener("pointermove", event => {
      if (!from || held !== one) return;
      const scale = width * ratio / inner.getBoundingClientRect().width;
      go(from.right + (event.clientX - from.x) * scale, from.up - (event.clientY - from.y) * scale);
    });
    grip.addEventListener("pointerup", () => {
      const drawn = from && held === one && (one.right !== from.right || one.up !== from.up);
      from = null;
      if (drawn && atOnce.checked && (one.right || one.up)) settle();
    });
    grip.addEventListener("pointercancel", () => { from = null; });
    grip.addEventListener("keydown", event => {
      const way = {ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]}[event.key];
      if (way) {
        event.preventDefault();
        take(one);
        const mm = step * (event.shiftKey ? big : 1);
        go(one.right + way[0] * mm, one.up + way[1] * mm);
      } else if (event.key === "Enter" && held === one && (one.right || one.up)) {
        event.preventDefault();
        settle();
      } else if (event.key === "Escape" && held === one) {
        event.preventDefault();
        drop();
      }
    });
    grip.addEventListener("click", () => take(one));
  }

  spread();
  new ResizeObserver(spread).observe(inner);

  // What is kept is where the thing lies now, whether or not the last answer is there.
  function settle() {
    keep.elements.right.value = held.right;
    keep.elements.up.value = held.up;
    keep.requestSubmit();
  }
  keep.addEventListener("submit", () => {
    if (!held) return;
    keep.elements.right.value = held.right;
    keep.elements.up.value = held.up;
  });
  giveUp.addEventListener("click", event => {
    if (!held) return;
    event.preventDefault();
    const grip = held.grip;
    drop();
    grip.focus();
  });
})();
