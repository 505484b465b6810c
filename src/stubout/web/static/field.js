// What the pages do beyond forms: a keypad for feet, inches and fractions; larger drawings; lines of the editor; the screen
// kept awake on a wall. Every page works without it.
"use strict";

(() => {
  const FRACTIONS = ["1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "11/16", "3/4", "13/16", "7/8", "15/16"];
  const coarse = window.matchMedia("(pointer: coarse)");

  // Put text where the caret is, as a key does.
  function type(input, text) {
    const from = input.selectionStart ?? input.value.length;
    input.setRangeText(text, from, input.selectionEnd ?? from, "end");
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  // A fraction goes behind whole inches with a blank, and has its mark; one that stands there already is replaced.
  function fraction(input, text) {
    const before = input.value.replace(/"\s*$/, "").replace(/\s*\d+\/\d+\s*$/, "");
    const gap = /\d$/.test(before) ? " " : "";
    input.value = `${before}${gap}${text}"`;
    input.setSelectionRange(input.value.length, input.value.length);
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function erase(input) {
    const from = input.selectionStart, to = input.selectionEnd;
    input.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function key(words, act, name, cls) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = words;
    button.tabIndex = -1; // the keypad is for fingers; a keyboard types into the field itself
    if (name) button.setAttribute("aria-label", name);
    if (cls) button.className = cls;
    button.addEventListener("mousedown", (event) => event.preventDefault()); // the caret stays where it is
    button.addEventListener("click", act);
    return button;
  }

  function keypad(input) {
    const pad = document.createElement("div");
    pad.className = "keypad";
    pad.setAttribute("role", "group");
    pad.setAttribute("aria-label", "Keypad");
    const shown = document.createElement("output");
    const tell = () => { shown.textContent = input.value || "\u00a0"; };
    input.addEventListener("input", tell);
    tell();
    pad.append(shown);
    const inch = input.dataset.units !== "mm";
    const put = (words, name) => pad.append(key(words, () => type(input, words), name));
    for (const n of ["7", "8", "9"]) put(n);
    pad.append(key("⌫", () => erase(input), "delete one"));
    for (const n of ["4", "5", "6"]) put(n);
    if (inch) put("'", "feet"); else put(".", "point");
    for (const n of ["1", "2", "3"]) put(n);
    if (inch) put('"', "inches"); else pad.append(key("mm", () => type(input, " mm")));
    put("0");
    put("-", "minus");
    pad.append(key("empty", () => { input.value = ""; input.dispatchEvent(new Event("input", { bubbles: true })); }));
    const entry = input.closest(".entry form");
    const last = entry && entry.querySelectorAll("input.length").length === 1;
    pad.append(key(last ? "keep" : "done", () => {
      close();
      input.blur();
      if (last) entry.requestSubmit();
    }));
    if (input.dataset.many) { // a range, a point, a list: a comma goes between two of them
      const next = key(", and next", () => type(input, ", "), "comma, and the next one", "next");
      pad.append(next);
    }
    if (inch) {
      const row = document.createElement("div");
      row.className = "fractions";
      for (const f of FRACTIONS) row.append(key(f, () => fraction(input, f)));
      pad.append(row);
    }
    return pad;
  }

  let open = null;

  function close() {
    open?.pad.remove();
    open = null;
  }

  document.addEventListener("focusin", (event) => {
    const input = event.target;
    if (open && (open.input === input || open.pad.contains(input))) return;
    if (!(input instanceof HTMLInputElement) || !input.classList.contains("length") || !coarse.matches) return;
    close();
    input.inputMode = "none"; // our keys instead of the phone's
    open = { input, pad: keypad(input) };
    document.body.append(open.pad);
    input.scrollIntoView({ block: "center" });
    window.scrollBy(0, Math.max(0, input.getBoundingClientRect().bottom + 16 - open.pad.getBoundingClientRect().top));
  });
  document.addEventListener("pointerdown", (event) => {
    if (open && event.target !== open.input && !open.pad.contains(event.target)) {
      const gone = open;
      setTimeout(() => { if (open === gone) close(); }, 300); // after the tap: nothing moves under the finger
    }
  });
  document.addEventListener("htmx:before:swap", () => { if (open && !open.input.isConnected) close(); });

  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-zoom]");
    if (button) {
      const larger = document.getElementById(button.dataset.zoom).classList.toggle("larger");
      button.setAttribute("aria-pressed", String(larger));
      button.dataset.larger ??= button.textContent;
      button.textContent = larger ? button.dataset.smaller ?? "Smaller" : button.dataset.larger;
    }
    const line = event.target.closest?.("[data-line]");
    if (line) { event.preventDefault(); goTo(Number(line.dataset.line)); }
  });

  // Put the caret on a line of the editor and bring it into sight.
  function goTo(number) {
    const area = document.getElementById("text");
    if (!area) return;
    const lines = area.value.split("\n");
    const from = lines.slice(0, number - 1).join("\n").length + (number > 1 ? 1 : 0);
    area.focus();
    area.setSelectionRange(from, from + (lines[number - 1] ?? "").length);
    const high = parseFloat(getComputedStyle(area).lineHeight);
    area.scrollTop = Math.max(0, (number - 4) * high);
    area.scrollLeft = 0;
  }

  const area = document.getElementById("text");
  if (area) {
    const caret = document.getElementById("caret");
    const told = () => { caret.textContent = `line ${area.value.slice(0, area.selectionStart).split("\n").length}`; };
    for (const name of ["keyup", "click", "input"]) area.addEventListener(name, told);
    const asked = /^#line-(\d+)$/.exec(location.hash);
    if (asked) goTo(Number(asked[1]));
    let saved = true;
    area.addEventListener("input", () => { saved = false; });
    area.form.addEventListener("submit", () => { saved = true; });
    window.addEventListener("beforeunload", (event) => { if (!saved) event.preventDefault(); });
  }

  // On a wall the screen stays on, where the browser lets it.
  async function awake() {
    try { await navigator.wakeLock?.request("screen"); } catch { /* it goes dark, as always */ }
  }
  if (document.getElementById("marklist")) {
    awake();
    document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") awake(); });
  }
})();
