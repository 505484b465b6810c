// What is recorded without a signal: kept on this phone, sent when the server answers again, each once by its token. What
// the server refuses is shown until somebody has seen it. Beside it the worker that keeps the walls seen last to be read.
"use strict";

(() => {
  const box = document.getElementById("queue");
  if (!box) return;
  const KEY = "stubout-queue";
  const words = box.dataset;

  function held() {
    try {
      return { waiting: [], refused: [], used: {}, ...JSON.parse(localStorage.getItem(KEY) ?? "{}") };
    } catch {
      return { waiting: [], refused: [], used: {} };
    }
  }

  // Change what is held in one step; false where this browser keeps nothing.
  function hold(change) {
    const now = held();
    change(now);
    try {
      localStorage.setItem(KEY, JSON.stringify(now));
    } catch {
      return false;
    }
    show();
    return true;
  }

  const fresh = () => [...crypto.getRandomValues(new Uint8Array(12))].map((b) => b.toString(16).padStart(2, "0")).join("");
  const KINDS = ["tick", "height", "slope", "note", "test", "photo", "taken back"];

  // A form of the page as an entry of the file that docs/along.md describes.
  function entryOf(form) {
    const said = Object.fromEntries(new FormData(form));
    const entry = {
      token: said.token, kind: said.kind, about: said.about, place: said.place ?? "", wall: said.wall ?? "",
      author: words.name, at: `${new Date().toISOString().slice(0, 19)}Z`,
    };
    if (said.kind === "test") {
      entry.test = Object.fromEntries(["start", "end", "minutes", "leaks", "witness"].map((k) => [k, said[k] ?? ""]));
    } else if (said.value !== undefined) entry.value = said.value;
    if (said.datum) entry.datum = said.datum;
    if (said.takes_back) entry.takes_back = { record: Number(said.takes_back) };
    return { job: Number(/\/jobs\/(\d+)\//.exec(form.action)[1]), revision: Number(said.revision), person: words.person, entry };
  }

  function told(form, text) {
    const item = form.closest(".item, .card, article") ?? form;
    let line = item.querySelector(":scope > .waits");
    if (!line) {
      line = document.createElement("p");
      line.className = "notice waits";
      line.setAttribute("role", "status");
      item.append(line);
    }
    line.textContent = text;
  }

  // What a form says, to be known again; of a picture its length and its end.
  function saying({ token, author, at, ...says }, picture) {
    return JSON.stringify(picture ? { ...says, picture: `${picture.length} ${picture.slice(-64)}` } : says);
  }

  async function queue(form) {
    const one = entryOf(form);
    const isPhoto = one.entry.kind === "photo";
    if (!KINDS.includes(one.entry.kind)) return told(form, words.needs);
    const buttons = [...form.querySelectorAll("button")];
    for (const button of buttons) button.disabled = true; // one entry a form: its token is used
    const picture = isPhoto ? await Photos.shrunk(new FormData(form).get("photo")) : "";
    const kept = (picture || !isPhoto) && await waits(one, picture);
    told(form, kept ? [words.kept, isPhoto ? words.photo : "", one.entry.value].filter(Boolean).join(" ")
      : (isPhoto && !picture ? words.unread : words.lost));
    if (kept) form.reset();
    for (const button of buttons) button.disabled = kept && !isPhoto; // a wall has many photos
    return undefined;
  }

  // A page read from the phone shows the same token again: another entry from it gets one of its own, and the same entry
  // is not kept twice.
  async function waits(one, picture) {
    const { token } = one.entry;
    const says = saying(one.entry, picture);
    const { used } = held();
    if (used[token] === says) return true;
    if (token in used) one.entry.token = fresh();
    if (picture && !(await Photos.keep(one.entry.token, picture))) return false; // it would be gone with the page
    return hold((now) => {
      if (!(token in now.used)) now.used = Object.fromEntries([...Object.entries(now.used), [token, says]].slice(-500));
      now.waiting.push(one);
    });
  }

  const sheaf = (job, revision, entries) => JSON.stringify({ stubout: "entries", schema: 2, job: { id: job, revision }, entries });

  // Entries with their pictures; one whose picture is gone goes without, and is refused.
  const whole = (entries) => Promise.all(entries.map(async (e) => (e.kind === "photo" ? { ...e, photo: await Photos.find(e.token) } : e)));

  // Send what waits for one job and revision; true when the server has answered for each of them.
  async function send(group) {
    const { job, revision, person } = group[0];
    const body = new FormData();
    const entries = sheaf(job, revision, await whole(group.map((g) => g.entry)));
    body.set("csrf", words.csrf);
    body.set("as", "json");
    body.set("own", person === words.person ? "yes" : "");
    body.set("file", new Blob([entries], { type: "application/json" }), "entries.json");
    const answer = await fetch(`/jobs/${job}/along/entries`, { method: "POST", body });
    if (!(answer.headers.get("content-type") ?? "").includes("json")) return false; // asked who is at work, or gone
    const said = await answer.json();
    const outcome = new Map((said.outcomes ?? []).map((o) => [o.token, o]));
    hold((now) => {
      for (const g of group) {
        const o = said.error ? { state: "refused", words: said.error } : outcome.get(g.entry.token);
        if (!o) continue;
        now.waiting = now.waiting.filter((w) => w.entry.token !== g.entry.token);
        if (o.state === "refused" || (o.state === "there" && o.words)) now.refused.push({ ...g, words: o.words });
        else Photos.drop(g.entry.token);
      }
    });
    return true;
  }

  let busy = false;
  async function flush() {
    if (busy || !words.csrf || !held().waiting.length) return;
    busy = true;
    try {
      const groups = new Map();
      for (const w of held().waiting) {
        const name = `${w.job} ${w.revision} ${w.person} ${w.entry.kind === "photo" ? w.entry.token : ""}`; // a photo at a time
        groups.set(name, [...(groups.get(name) ?? []), w]);
      }
      let sent = false;
      for (const group of groups.values()) sent = (await send(group)) || sent;
      if (sent && document.querySelector(".waits") && !document.querySelector(".entry[open]")) location.reload();
    } catch { /* no signal yet */ } finally {
      busy = false;
    }
  }

  function button(text, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  }

  async function save() {
    const now = held();
    const all = [...now.waiting, ...now.refused];
    const [first] = all;
    const of = all.filter((w) => w.job === first.job && w.revision === first.revision); // a file is for one job
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([sheaf(first.job, first.revision, await whole(of.map((w) => w.entry)))], { type: "application/json" }));
    link.download = `entries-job-${first.job}.json`;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  }

  function show() {
    const now = held();
    box.hidden = !now.waiting.length && !now.refused.length;
    box.replaceChildren();
    if (now.waiting.length) {
      const line = document.createElement("p");
      line.textContent = words.waiting.replace("{n}", String(now.waiting.length));
      box.append(line, button(words.send, flush));
    }
    for (const one of now.refused) {
      const line = document.createElement("p");
      line.className = "wrong";
      line.textContent = `${words.refused}: ${one.entry.about} ${one.entry.value ?? ""}: ${one.words}`;
      box.append(line, button(words.seen, () => {
        Photos.drop(one.entry.token);
        hold((h) => { h.refused = h.refused.filter((r) => r.entry.token !== one.entry.token); });
      }));
    }
    if (!box.hidden) box.append(button(words.save, save));
  }

  const records = (form) => form instanceof HTMLFormElement && /\/jobs\/\d+\/(records|photos)$/.test(new URL(form.action).pathname);

  // The server did not answer a form that changes its part of the page.
  document.addEventListener("htmx:error", (event) => {
    const form = event.detail?.ctx?.sourceElement;
    if (event.detail?.error instanceof TypeError && form && records(form)) queue(form);
  });

  // A form that loads its page anew: asked first whether the server answers at all.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (new URL(form.action).pathname === "/leave" && held().waiting.length) {
      event.preventDefault();
      told(form, words.leave);
      flush();
      return;
    }
    if (!records(form) || form.hasAttribute("hx-post")) return;
    event.preventDefault();
    const said = new FormData(form);
    const next = said.get("next");
    const body = said.has("photo") ? said : new URLSearchParams(said);
    fetch(form.action, { method: "POST", body, redirect: "manual" }).then(
      (answer) => {
        if (answer.type !== "opaqueredirect") return form.submit(); // its page says what is wrong
        const to = new URL(next, location.href);
        const same = to.pathname === location.pathname;
        location.assign(to);
        if (same) location.reload();
        return undefined;
      },
      () => queue(form),
    );
  }, true);

  window.addEventListener("online", flush);
  window.addEventListener("storage", (event) => { if (event.key === KEY) show(); });
  setInterval(flush, 15_000);
  show();
  flush();
  navigator.serviceWorker?.register("/worker.js").catch(() => { /* only on this machine or over TLS */ });
})();
