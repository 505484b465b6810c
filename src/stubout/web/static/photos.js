// Photos on a phone: made small before they are kept, and kept in the browser beside the entries they belong to, by their
// tokens. The file that is taken along and the queue without a signal both go by it. Of a picture its pixels are kept:
// no place, no time, no maker. The server holds the same limits, and draws every picture anew.
"use strict";

const Photos = (() => {
  const SIDE = 2048; // pixels of the longer side
  const LARGEST = 768 * 1024; // bytes of one photo
  const MOST = 40; // of one file of entries
  const THUMB = 704; // pixels of the longer side, where one is shown
  const QUALITIES = [0.85, 0.7, 0.5];
  const SHARES = [1, 0.7, 0.4]; // of the longer side, where a picture stays too heavy
  const NAME = "stubout-photos";
  const STORE = "photos";
  const here = new Map(); // what the browser does not keep, as long as the page is open

  function drawn(picture, side, canvas = document.createElement("canvas")) {
    const scale = Math.min(1, side / Math.max(picture.width, picture.height));
    canvas.width = Math.max(1, Math.round(picture.width * scale));
    canvas.height = Math.max(1, Math.round(picture.height * scale));
    const paper = canvas.getContext("2d");
    paper.fillStyle = "#fff"; // under what is seen through: a JPEG has no holes
    paper.fillRect(0, 0, canvas.width, canvas.height);
    paper.drawImage(picture, 0, 0, canvas.width, canvas.height);
    return canvas;
  }

  async function asText(blob) {
    const bytes = new Uint8Array(await blob.arrayBuffer());
    let out = "";
    for (let i = 0; i < bytes.length; i += 8192) out += String.fromCharCode(...bytes.subarray(i, i + 8192));
    return btoa(out);
  }

  const bitmap = (blob) => createImageBitmap(blob, { imageOrientation: "from-image" });

  // A picture as a JPEG within the limits, in base64; "" if it is none that this browser reads.
  async function shrunk(file) {
    try {
      const picture = await bitmap(file);
      for (const share of SHARES) {
        const canvas = drawn(picture, SIDE * share);
        for (const quality of QUALITIES) {
          const made = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", quality); });
          if (made && made.size <= LARGEST) return await asText(made);
        }
      }
    } catch { /* no picture, or one that is too large for this browser */ }
    return "";
  }

  // Show a photo on a canvas: a page that lets in no pictures can draw one.
  async function paint(canvas, text) {
    const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    drawn(await bitmap(new Blob([bytes], { type: "image/jpeg" })), THUMB, canvas);
  }

  function opened() {
    return new Promise((done, failed) => {
      const asked = indexedDB.open(NAME, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
      asked.onsuccess = () => done(asked.result);
      asked.onerror = asked.onblocked = () => failed(asked.error);
    });
  }

  async function within(mode, act) {
    const base = await opened();
    try {
      return await new Promise((done, failed) => {
        const step = base.transaction(STORE, mode);
        const asked = act(step.objectStore(STORE));
        step.oncomplete = () => done(asked.result);
        step.onerror = step.onabort = () => failed(step.error);
      });
    } finally {
      base.close();
    }
  }

  // Keep a photo by the token of its entry; false where the browser keeps none and it is only held while the page is open.
  async function keep(token, text) {
    try {
      await within("readwrite", (store) => store.put(text, token));
      return true;
    } catch {
      here.set(token, text);
      return false;
    }
  }

  // A photo that is kept, "" where there is none.
  async function find(token) {
    if (here.has(token)) return here.get(token);
    try {
      return (await within("readonly", (store) => store.get(token))) ?? "";
    } catch {
      return "";
    }
  }

  async function drop(token) {
    here.delete(token);
    try {
      await within("readwrite", (store) => store.delete(token));
    } catch { /* nothing is kept there */ }
  }

  return { SIDE, LARGEST, MOST, shrunk, paint, keep, find, drop };
})();
