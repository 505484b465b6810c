// Keeps style, scripts and fonts, and the wall pages seen last, to be read where there is no signal. Only pages that the
// server marks as such are kept, in a store of their own for each session; another session, or leaving, empties it. What
// changes something is never kept and never answered from here. SHELL and VERSION are put before this by the server.
"use strict";

const SHELL_STORE = `stubout-shell-${VERSION}`;
const PAGES = "stubout-pages-";
const OFFLINE = "/offline";
const MOST_PAGES = 80;
const KEEPS = "x-stubout-keeps"; // on a page that may be kept, and on every page: whose session it is of
const SESSION = "x-stubout-session";

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL_STORE).then((store) => store.addAll([...SHELL, OFFLINE])).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("stubout-shell-") && name !== SHELL_STORE) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

async function forget(but = "") {
  for (const name of await caches.keys()) {
    if (name.startsWith(PAGES) && name !== but) await caches.delete(name);
  }
}

async function page(request) {
  let answer;
  try {
    answer = await fetch(request);
  } catch {
    return kept(request);
  }
  const session = answer.headers.get(SESSION);
  if (session) await forget(PAGES + session);
  else if (answer.type === "basic" && answer.ok) await forget(); // a page for nobody: the session is over
  if (answer.ok && session && answer.headers.get(KEEPS)) {
    const store = await caches.open(PAGES + session);
    await store.delete(request.url);
    await store.put(request.url, answer.clone());
    const all = await store.keys();
    for (const old of all.slice(0, Math.max(0, all.length - MOST_PAGES))) await store.delete(old);
  }
  return answer;
}

// The page as it was seen, with the line that says so; else the page that says there is no signal.
async function kept(request) {
  for (const name of await caches.keys()) {
    if (!name.startsWith(PAGES)) continue;
    const found = await (await caches.open(name)).match(request.url);
    if (!found) continue;
    const text = (await found.text()).replace('id="kept" hidden', 'id="kept"');
    return new Response(text, { status: 200, headers: found.headers });
  }
  return (await (await caches.open(SHELL_STORE)).match(OFFLINE)) ?? Response.error();
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.method === "POST" && url.pathname === "/leave") {
    event.respondWith(forget().then(() => fetch(request)));
    return;
  }
  if (request.method !== "GET") return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (SHELL.includes(url.pathname + url.search)) {
    event.respondWith(caches.open(SHELL_STORE).then((store) => store.match(request)).then((found) => found ?? fetch(request)));
  }
});
