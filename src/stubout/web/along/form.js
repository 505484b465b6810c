// The forms of the file: put into the places that the pages hold open for them. Words go in as text, never as markup.
function el(tag, props = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(props)) {
    if (key === "on") made.addEventListener(...value);
    else if (key in made && typeof value !== "string") made[key] = value;
    else made.setAttribute(key, value);
  }
  made.append(...inside.filter((i) => i !== null && i !== undefined));
  return made;
}

const last = (records, kind, place) => records.findLast((r) => r.kind === kind && r.place === place);
const DONE = { bore: t("bored"), stub: t("set"), glue: t("glued"), hanger: t("hung"), plate: t("on"), cap: t("in place") };
const OUT = "out again: ";
const STATES = { within: t("✓ WITHIN"), out: t("✗ OUT"), open: t("? OPEN") };

// Whether somebody has said who is at work; if not it is asked for where it is said.
function atWork() {
  if (kept.author.trim()) return true;
  document.getElementById("who-wrong").hidden = false;
  location.hash = "start";
  turn();
  document.getElementById("author").focus();
  return false;
}

// Keep an entry under a name; without one ask for it first.
function enter(entry) {
  if (!atWork()) return false;
  keep(entry);
  return true;
}

function byline(r) {
  return el("small", {}, `${r.author}, ${r.at.slice(0, 10)}`);
}

function back(r) {
  return { kind: "taken back", about: r.about, place: r.place, wall: r.wall, takes_back: r.token ? { token: r.token } : { record: r.record } };
}

function tick(records, about, place, wall, words) {
  const done = last(records, "tick", place);
  return el("div", { class: "tick" }, el("button", {
    type: "button", class: `tickbox${done ? " done" : ""}`, "aria-pressed": String(!!done),
    on: ["click", () => { if (enter(done ? back(done) : { kind: "tick", about, place, wall })) draw(); }],
  }, el("span", { "aria-hidden": "true" }, done ? "☒" : "☐"), ` ${words}`, done ? byline(done) : null));
}

function reading(record, judged, shown = record.value) {
  return [
    el("p", { class: "reading" }, `${t("as built")} `, el("b", {}, shown), " ",
      el("span", { class: `verdict ${judged.state}` }, el("b", {}, STATES[judged.state]), ` ${judged.words}`), " ", byline(record)),
    el("button", { type: "button", on: ["click", () => { if (enter(back(record))) draw(); }] }, t("Take back")),
  ];
}

// A value that the app kept and this file cannot read is shown, and not judged.
function judge(by) {
  try {
    return by();
  } catch (error) {
    if (!(error instanceof Unread)) throw error;
    return { state: "open", words: error.message };
  }
}

// A height in the language of the file.
function heightShown(value) {
  const [height, datum] = value.split(ABOVE);
  if (datum === DATUMS.subfloor) return t("{height} above subfloor", { height });
  return datum === DATUMS.finished ? t("{height} above finished floor", { height }) : value;
}

// A form that stays open with the fault where what is typed cannot be read.
function entryForm(title, fields, send) {
  const wrong = el("p", { class: "wrong", role: "alert", hidden: true });
  const form = el("form", {}, ...fields, wrong, el("button", { class: "main" }, t("Judge and keep")));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    try {
      if (send(new FormData(form))) draw();
    } catch (error) {
      if (!(error instanceof Unread)) throw error;
      wrong.textContent = error.message;
      wrong.hidden = false;
      form.querySelector("input:not([type=radio])").setAttribute("aria-invalid", "true");
    }
  });
  return el("details", { class: "entry" }, el("summary", {}, title), form);
}

const input = (name, more = {}) => el("input", { name, required: true, maxlength: "60", autocomplete: "off", ...more });

const SLOTS = {
  mark(records, [w, m]) {
    const side = DATA.walls[w];
    const mark = side.marks[m];
    const task = mark.task === null ? null : DATA.tasks[mark.task];
    const out = [];
    if (task) out.push(tick(records, task.about, task.place, side.id, DONE[task.kind]));
    const read = last(records, "height", mark.place);
    if (read) out.push(...reading(read, judge(() => heightVerdict(mark, read.value)), heightShown(read.value)));
    out.push(...records.filter((r) => r.kind === "photo" && r.place === mark.place).reverse().map(photoShown));
    const photo = el("details", { class: "entry" }, el("summary", {}, t("Photo of this mark")),
      photoForm({ about: mark.about, place: mark.place, wall: side.id }));
    if (mark.subfloor === null) return [...out, photo];
    const datum = (value, words, checked) => el("label", {}, el("input", { type: "radio", name: "datum", value, checked }), ` ${words}`);
    out.push(entryForm(read ? t("Measure again") : t("As-built height"), [
      el("fieldset", { class: "segments" }, el("legend", {}, t("Measured from")), datum("subfloor", t("subfloor"), true),
        mark.finished === null ? null : datum("finished", t("finished floor"), false)),
      el("label", {}, t("Height of the centre"), " ", input("value", { class: "length", "data-units": DATA.units })),
    ], (form) => {
      lengthMm(form.get("value"));
      return enter({ kind: "height", about: mark.about, place: mark.place, wall: side.id, value: form.get("value"), datum: form.get("datum") });
    }), photo);
    return out;
  },
  task(records, [i]) {
    const task = DATA.tasks[i];
    const out = [tick(records, task.about, task.place, task.wall, DONE[task.kind])];
    if (task.kind === "cap") out.push(tick(records, task.about, OUT + task.place, task.wall, t("out again")));
    return out;
  },
  drain(records, [i]) {
    const drain = DATA.drains[i];
    const read = last(records, "slope", drain.place);
    const out = read ? reading(read, judge(() => slopeVerdict(drain, read.value))) : [];
    out.push(entryForm(read ? t("Measure again") : t("As-built slope"), [
      el("label", {}, t("Slope, as the level shows it"), " ", el("small", {}, "1/4 in/ft, 2 %, 1.2 deg, 20 mm/m"), " ", input("value", { class: "slope" })),
    ], (form) => {
      slopeOf(form.get("value"));
      return enter({ kind: "slope", about: drain.about, place: drain.place, wall: "", value: form.get("value") });
    }));
    return out;
  },
  test(records, [i]) {
    const filling = DATA.fillings[i];
    const read = last(records, "test", filling.place);
    const out = [];
    if (read) {
      const one = testOf(read.value);
      out.push(...reading(read, judge(() => testVerdict(filling, read.value)), `${one.start} → ${one.end}, ${one.minutes} min, ${one.leaks}`));
    }
    const field = (words, name, more) => el("label", {}, words, " ", input(name, more));
    const length = { class: "length", "data-units": DATA.units, maxlength: "40" };
    out.push(entryForm(read ? t("Record another test") : t("Record the test"), [
      field(t("Water level at the start, from any fixed point"), "start", length),
      field(t("Water level at the end, from the same point"), "end", length),
      field(t("Minutes between"), "minutes", { inputmode: "decimal", maxlength: "10" }),
      field(t("Leaks, what was done"), "leaks", { maxlength: "400", placeholder: t("none") }),
      field(t("Witness"), "witness", { maxlength: "80" }),
    ], (form) => {
      lengthMm(form.get("start"));
      lengthMm(form.get("end"));
      const test = Object.fromEntries(Object.keys(TEST_LINES).map((k) => [k, form.get(k)]));
      return enter({ kind: "test", about: `section ${filling.letter}`, place: filling.place, wall: "", test });
    }));
    return out;
  },
  note(records, [w]) {
    const side = DATA.walls[w];
    const marked = new Set(side.marks.map((m) => m.place)); // a photo of a mark stands at the mark
    const found = records.filter((r) => ["note", "photo"].includes(r.kind) && r.wall === side.id && !marked.has(r.place)).reverse();
    const out = found.map((r) => (r.kind === "photo" ? photoShown(r)
      : el("article", { class: "kept" }, el("p", {}, r.value), el("p", {}, byline(r)))));
    const area = el("textarea", { name: "value", rows: "3", maxlength: "4000", required: true });
    const form = el("form", {}, el("label", {}, t("Note"), " ", area), el("button", { class: "main" }, t("Keep the note")));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (area.value.trim() && enter({ kind: "note", about: side.id, place: "", wall: side.id, value: area.value })) draw();
    });
    return [...out, form, photoForm({ about: side.id, place: "", wall: side.id })];
  },
  need(records, [g, n]) {
    const need = DATA.gates[g][n];
    const now = need.by ? counted(records, need) : need;
    const met = now.done >= now.of;
    const left = now.left.slice(0, 12).join("; ") + (now.left.length > 12 ? t(" and {n} more", { n: now.left.length - 12 }) : "");
    return [
      el("span", { class: "box", "aria-hidden": "true" }, met ? "✓" : "☐"),
      el("span", {}, now.of > 1 ? t("{done} of {of}", now) : (met ? t("met") : t("not met")),
        !met && left ? el("small", {}, `, ${t("missing")}: ${left}`) : null),
    ];
  },
};

// What of one line of a gate is done by now, reckoned as the app does.
function counted(records, need) {
  const short = (places, good) => {
    const left = places.filter((p) => !good(p)).map((p) => p.about ?? p.letter ?? p.id);
    return { done: places.length - left.length, of: places.length, left };
  };
  const read = (kind, place) => last(records, kind, place);
  const held = (kind, one, by) => { const r = read(kind, one.place); return r ? judge(() => by(one, r.value)).state : ""; };
  if (need.by === "heights") {
    return short(DATA.walls.flatMap((w) => w.marks).filter((m) => m.kind === "stub"), (m) => held("height", m, heightVerdict) === "within");
  }
  if (need.by === "slopes") {
    const asked = DATA.drains.filter((d) => d.asked || read("slope", d.place));
    return short(asked, (d) => !["", "out"].includes(held("slope", d, slopeVerdict)));
  }
  if (need.by === "tests") return short(DATA.fillings, (f) => held("test", f, testVerdict) === "within");
  if (need.by === "photos") {
    return short(DATA.walls.filter((w) => w.covered), (w) => records.some((r) => r.kind === "photo" && r.wall === w.id && !r.place));
  }
  const kind = need.by === "out" ? "cap" : need.by;
  return short(DATA.tasks.filter((k) => k.kind === kind), (k) => read("tick", (need.by === "out" ? OUT : "") + k.place));
}

// Fill every place again whose words have changed; an open form of another place stays as it is.
const shown = new Map();
function draw() {
  const records = standing();
  for (const slot of document.querySelectorAll("[data-slot]")) {
    const [kind, ...at] = slot.dataset.slot.split(":");
    const fresh = SLOTS[kind](records, at.map(Number));
    const look = fresh.map((node) => node.outerHTML).join("");
    if (shown.get(slot) === look) continue;
    shown.set(slot, look);
    slot.replaceChildren(...fresh);
  }
  const n = unsaved();
  document.getElementById("count").textContent = t("{n} entries, {unsaved} of them not yet saved as a file", { n: kept.entries.length, unsaved: n });
  document.getElementById("forgetful").hidden = holds && photosHeld;
  document.getElementById("save").disabled = !kept.entries.length;
  document.getElementById("text-out").textContent = kept.entries.length ? sheaf(kept.entries.filter((e) => e.kind !== "photo")) : "";
  paintShown();
}

// One section a screen, by the address; without scripts all of them stand below each other.
function turn() {
  const sections = [...document.querySelectorAll("section[data-page]")];
  const wanted = location.hash.slice(1);
  const at = sections.find((s) => s.id === wanted) ?? sections[0];
  for (const s of sections) s.hidden = s !== at;
  for (const a of document.querySelectorAll("nav.bar a")) {
    if (a.dataset.pages.split(" ").includes(at.dataset.page)) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
  window.scrollTo(0, 0);
  paintShown();
  if (at.id === "sides") openSides();
}

reload();
forgetKnown();
const author = document.getElementById("author");
author.value = kept.author;
author.addEventListener("input", () => {
  kept.author = author.value;
  document.getElementById("who-wrong").hidden = true;
  store();
});
document.getElementById("save").addEventListener("click", async () => {
  const gone = await saveAsFile();
  const line = document.getElementById("gone");
  line.hidden = !gone;
  line.textContent = t("{n} photos are not in this browser any more, and not in the file: take them again.", { n: gone });
  draw();
});
document.getElementById("who").hidden = false;
window.addEventListener("hashchange", turn);
window.addEventListener("storage", (event) => { if (event.key === KEY) { reload(); draw(); } });
window.addEventListener("beforeunload", (event) => { if (!(holds && photosHeld) && unsaved()) event.preventDefault(); });
turn();
draw();
