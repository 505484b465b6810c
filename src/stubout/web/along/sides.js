// The view from all sides: what draws it and the model lie packed in the file, and are unpacked when it is opened first.
// The script is let in by its hash like the other one; it finds the model in its box.
async function unpacked(id) {
  const bytes = Uint8Array.from(atob(document.getElementById(id).textContent), (c) => c.charCodeAt(0));
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"))).arrayBuffer();
}

let sidesOpened = false;
async function openSides() {
  const box = document.getElementById("model");
  if (sidesOpened || !box) return;
  sidesOpened = true;
  try {
    box.bytes = await unpacked("packed-model");
    const script = document.createElement("script");
    script.textContent = new TextDecoder().decode(await unpacked("packed-viewer"));
    document.head.append(script);
  } catch {
    document.getElementById("nomodel").textContent = t("This browser draws no 3D. Every pipe is in the list.");
  }
}
