// The entries of this file: kept in the browser, told from those of other files by the job and its text, written out as
// one JSON file that the app merges. Nothing is ever taken out of it: a wrong entry is taken back by another.
const KEY = `stubout-along ${DATA.job.id} ${DATA.job.revision} ${DATA.job.sha256}`;
const kept = { author: "", entries: [], saved: [] }; // saved: tokens that have been written into a file
let holds = true; // whether the browser keeps what is put into it

function reload() {
  try {
    const found = JSON.parse(localStorage.getItem(KEY) ?? "null");
    if (!found) return;
    const known = new Set(kept.entries.map((e) => e.token));
    kept.entries.push(...found.entries.filter((e) => !known.has(e.token)));
    kept.saved = [...new Set([...kept.saved, ...found.saved])];
    kept.author ||= found.author;
  } catch {
    holds = false;
  }
}

function store() {
  reload(); // what another window of the same file has put there meanwhile stays
  try {
    localStorage.setItem(KEY, JSON.stringify(kept));
    holds = true;
  } catch {
    holds = false;
  }
}

function token() {
  return `along-${[...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("")}`;
}

function keep(entry, name = token()) {
  const at = `${new Date().toISOString().slice(0, 19)}Z`;
  kept.entries.push({ token: name, ...entry, author: kept.author, at });
  store();
}

// An entry as the records of the app are: one value, as it is shown and judged.
function asRecord(e) {
  let value = e.value ?? "";
  if (e.kind === "height") value = `${value.trim()}${ABOVE}${DATUMS[e.datum]}`;
  if (e.kind === "test") value = testValue(e.test);
  return { token: e.token, kind: e.kind, about: e.about, place: e.place ?? "", wall: e.wall ?? "", value, author: e.author, at: e.at };
}

// What counts: records of the app when the file was made, and entries, but those taken back. An entry that had come back
// by then is one of those records, and what the app says of it holds.
const KNOWN = new Set(DATA.known);
function standing() {
  const fresh = kept.entries.filter((e) => !KNOWN.has(e.token));
  const gone = new Set();
  for (const e of fresh) {
    if (e.kind === "taken back") gone.add(e.takes_back.token || `record ${e.takes_back.record}`);
  }
  const own = fresh.filter((e) => e.kind !== "taken back").map(asRecord);
  return [...DATA.records, ...own].filter((r) => !(r.token && gone.has(r.token)) && !gone.has(`record ${r.record}`));
}

function unsaved() {
  const done = new Set([...kept.saved, ...KNOWN]);
  return kept.entries.filter((e) => !done.has(e.token)).length;
}

function sheaf(entries) {
  return `${JSON.stringify({ stubout: "entries", schema: DATA.schema, job: DATA.job, entries }, null, 1)}\n`;
}

function nameOfFile() {
  const plainName = DATA.job.name.normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "").toLowerCase();
  return `entries-${plainName.slice(0, 40) || "job"}-${new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-")}.json`;
}

// Write all entries into one file; how many photos are missing in it.
async function saveAsFile() {
  const { entries, gone } = await writtenOut();
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([sheaf(entries)], { type: "application/json" }));
  link.download = nameOfFile();
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  kept.saved = entries.map((e) => e.token);
  store();
  return gone;
}
