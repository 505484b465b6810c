// Photos of a wall or a mark: taken with the phone, made small, kept with the entries and written out with them. They are
// drawn on canvases, and only on the screen that is looked at: the policy of the file lets no picture in.
let photosHeld = true; // whether the browser keeps photos of a file

const ownPhotos = () => kept.entries.filter((e) => e.kind === "photo" && !KNOWN.has(e.token));

// Keep a photo as an entry; the reason where that cannot be.
async function attach(entry, file, value) {
  if (ownPhotos().length >= Photos.MOST) {
    return t("This file holds {n} photos and takes no more: save the entries as a file, bring them back, and take the job along anew.", { n: Photos.MOST });
  }
  const photo = await Photos.shrunk(file);
  if (!photo) return t("This browser cannot read that picture.");
  const name = token();
  photosHeld = (await Photos.keep(name, photo)) && photosHeld;
  keep({ kind: "photo", ...entry, value }, name);
  return "";
}

function photoForm(entry) {
  const wrong = el("p", { class: "wrong", role: "alert", hidden: true });
  const file = el("input", { type: "file", name: "photo", accept: "image/*", required: true });
  const value = el("input", { name: "value", maxlength: "200", autocomplete: "off" });
  const button = el("button", { class: "main" }, t("Keep the photo"));
  const form = el("form", {}, el("label", {}, t("Photo"), " ", file), el("label", {}, t("What it shows"), " ", value), wrong, button);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!atWork()) return;
    button.disabled = true; // one tap, one photo
    wrong.textContent = await attach(entry, file.files[0], value.value);
    wrong.hidden = !wrong.textContent;
    button.disabled = false;
    if (wrong.hidden) draw();
  });
  return form;
}

// A photo of this file is drawn; of one that the app has, only that it is there is known.
function photoShown(r) {
  const own = r.token && !KNOWN.has(r.token);
  const name = t("Photo of {about}", r) + (r.value ? `: ${r.value}` : "");
  return el("article", { class: "kept" },
    own ? el("canvas", { "data-photo": r.token, role: "img", "aria-label": name }) : el("p", {}, t("A photo, in the app")),
    r.value ? el("p", {}, r.value) : null, el("p", {}, byline(r)));
}

function paintShown() {
  for (const canvas of document.querySelectorAll("section[data-page]:not([hidden]) canvas[data-photo]:not([data-painted])")) {
    canvas.dataset.painted = "yes";
    Photos.find(canvas.dataset.photo).then((photo) => (photo ? Photos.paint(canvas, photo) : null)).catch(() => { /* not to be read */ });
  }
}

// Entries as they are written out: photos with their pictures. One that the app has is not written again; of one that the
// browser does not have any more nothing is left to be written.
async function writtenOut() {
  const entries = [];
  let gone = 0;
  for (const e of kept.entries) {
    const photo = e.kind === "photo" ? await Photos.find(e.token) : "";
    if (e.kind !== "photo") entries.push(e);
    else if (photo && !KNOWN.has(e.token)) entries.push({ ...e, photo });
    else if (!KNOWN.has(e.token)) gone += 1;
  }
  return { entries, gone };
}

function forgetKnown() {
  for (const e of kept.entries) if (e.kind === "photo" && KNOWN.has(e.token)) Photos.drop(e.token);
}
