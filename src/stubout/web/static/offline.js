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
  const KINDS = ["tick", "height", "slope", "note", "test", "taken back"];

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

  function queue(form) {
    const one = entryOf(form);
    if (!KINDS.includes(one.entry.kind)) return told(form, words.needs);
    const { token, author, at, ...says } = one.entry;
    const words_ = JSON.stringify(says);
    const kept = hold((now) => {
      // A page read from the phone shows the same token again: another entry from it gets one of its own, and the same
      // entry is not kept twice.
      if (now.used[token] === words_) return;
      if (token in now.used) one.entry.token = fresh();
      else now.used = Object.fromEntries([...Object.entries(now.used), [token, words_]].slice(-500));
      now.waiting.push(one);
    });
    told(form, kept ? `${words.kept} ${one.entry.value ?? ""}`.trim() : words.lost);
    if (!kept) return undefined;
    form.reset();
    for (const button of form.querySelectorAll("button")) button.disabled = true; // one entry a form: its token is used
    return undefined;
  }

  const sheaf = (job, revision, entries) => JSON.stringify({ stubout: "entries", schema: 1, job: { id: job, revision }, entries });

  // Send what waits for one job and revision; true when the server has answered for each of them.
  async function send(group) {
    const { job, revision, person } = group[0];
    const body = new URLSearchParams({
      csrf: words.csrf, as: "json", own: person === words.person ? "yes" : "",
      text: sheaf(job, revision, group.map((g) => g.entry)),
    });
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
        const name = `${w.job} ${w.revision} ${w.person}`;
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

  function save() {
    const now = held();
    const all = [...now.waiting, ...now.refused];
    const [first] = all;
    const of = all.filter((w) => w.job === first.job && w.revision === first.revision); // a file is for one job
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([sheaf(first.job, first.revision, of.map((w) => w.entry))], { type: "application/json" }));
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
      box.append(line, button(words.seen, () => hold((h) => {
        h.refused = h.refused.filter((r) => r.entry.token !== one.entry.token);
      })));
    }
    if (!box.hidden) box.append(button(words.save, save));
  }

  const records = (form) => form instanceof HTMLFormElement && /\/jobs\/\d+\/records$/.test(new URL(form.action).pathname);

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
    const next = new FormData(form).get("next");
    fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)), redirect: "manual" }).then(
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
