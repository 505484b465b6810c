// The plan from all sides. Drawn only when something changes: nothing moves by itself. What a finger can do, keys can.
(() => {
  "use strict";
  const box = document.getElementById("model");
  if (!box || typeof THREE === "undefined") return;
  const note = document.getElementById("nomodel"), picked = document.getElementById("picked"), shown = document.getElementById("shown");
  const turns = document.getElementById("turns"), list = document.getElementById("pipes");
  const spoken = JSON.parse(box.dataset.words);
  const t = (words, fill = {}) => (spoken[words] ?? words).replace(/\{(\w+)\}/g, (all, name) => fill[name] ?? all);
  const TURN = Math.PI / 12, NEARER = 1.25, THICKER = 1.5, TAP_PX = 6;
  let renderer;
  try {
    renderer = new THREE.WebGLRenderer({antialias: true});
  } catch {
    note.textContent = t("This browser draws no 3D. Every pipe is in the list.");
    return;
  }
  const scene = new THREE.Scene(), camera = new THREE.PerspectiveCamera(40, 1, 0.05, 500);
  scene.background = new THREE.Color(0xffffff);
  scene.add(new THREE.AmbientLight(0xffffff, 1.6));
  const lamp = new THREE.DirectionalLight(0xffffff, 1.8);
  scene.add(camera);
  camera.add(lamp);  // the light comes over the shoulder, wherever one stands
  lamp.position.set(0.4, 0.8, 1);
  const controls = new THREE.OrbitControls(camera, renderer.domElement);
  let house = null, middle = new THREE.Vector3(), far = 10, chosen = null;
  const draw = () => renderer.render(scene, camera);
  controls.addEventListener("change", draw);

  function size() {
    const w = box.clientWidth, h = box.clientHeight;
    if (!w || !h) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    renderer.setSize(w, h, false);
    camera.aspect = w / h;
    camera.updateProjectionMatrix();
    draw();
  }

  // From where one looks: round about, and over the ground.
  function stand(round, over) {
    const y = Math.max(-1.5, Math.min(1.55, over));
    controls.target.copy(middle);
    camera.position.set(
      middle.x + far * Math.cos(y) * Math.sin(round), middle.y + far * Math.sin(y), middle.z + far * Math.cos(y) * Math.cos(round));
    controls.update();
    draw();
  }

  function turn(way) {
    const from = camera.position.clone().sub(controls.target);
    const distance = from.length(), round = Math.atan2(from.x, from.z), over = Math.asin(from.y / distance);
    const step = {left: [-TURN, 0], right: [TURN, 0], up: [0, TURN], down: [0, -TURN]}[way];
    if (way === "top") return stand(0, 1.55);
    if (way === "front") return stand(0, 0.15);
    if (way === "whole") return whole();
    if (step) {
      const y = Math.max(-1.5, Math.min(1.55, over + step[1])), r = round + step[0];
      from.set(distance * Math.cos(y) * Math.sin(r), distance * Math.sin(y), distance * Math.cos(y) * Math.cos(r));
    } else from.multiplyScalar(way === "nearer" ? 1 / NEARER : NEARER);
    camera.position.copy(controls.target).add(from);
    controls.update();
    draw();
  }

  function whole() {
    const all = new THREE.Box3();
    house.traverse(one => { if (one.isMesh && one.visible) all.expandByObject(one); });
    if (all.isEmpty()) return;
    all.getCenter(middle);
    const reach = all.getSize(new THREE.Vector3()).length() / 2;
    far = reach / Math.sin(camera.fov * Math.PI / 360) / Math.min(1, camera.aspect) * 0.85;
    stand(0.6, 0.45);
  }

  const kindOf = told => told.kind === "pipe" ? told.system : ["wall", "frame", "beam"].includes(told.kind) ? "wood" : told.kind;
  function choose() {
    const on = name => new Set([...shown.querySelectorAll(`input[name=${name}]:checked`)].map(i => i.value));
    const kinds = on("kind"), levels = on("level");
    house.traverse(one => {
      if (one.isMesh) one.visible = kinds.has(kindOf(one.userData)) && (!one.userData.level || levels.has(one.userData.level));
    });
    draw();
  }

  function pick(mesh) {
    if (chosen) {
      chosen.mesh.material = chosen.material;
      chosen.mesh.scale.copy(chosen.scale);
    }
    chosen = null;
    picked.replaceChildren();
    const head = document.createElement("h2");
    picked.append(head);
    head.textContent = mesh ? t("Pipe {about}", mesh.userData) : t("No pipe picked");
    if (mesh) {
      chosen = {mesh, material: mesh.material, scale: mesh.scale.clone()};
      mesh.material = mesh.material.clone();
      mesh.material.color.set(0x000000);
      mesh.scale.x *= THICKER;  // thicker as well as black
      mesh.scale.z *= THICKER;
      const told = mesh.userData, facts = document.createElement("dl");
      const what = told.system === told.what ? t(told.what) : `${t(told.system)}, ${t(told.what)}`;
      for (const [name, value] of [[t("what"), what], [t("size"), told.size], [t("slope"), t(told.slope)], [t("length"), told.length], [t("serves"), told.serves], [t("level"), told.level]]) {
        if (!value) continue;
        const dt = document.createElement("dt"), dd = document.createElement("dd");
        dt.textContent = name;
        dd.textContent = value;
        facts.append(dt, dd);
      }
      picked.append(facts);
      const why = document.querySelector(`a[data-pipe="${CSS.escape(told.about)}"][href*="/why?"]`);
      if (why) {
        const link = document.createElement("a");
        link.className = "button";
        link.href = why.href;
        link.textContent = t("Why {about}?", told);
        picked.append(link);
      }
    }
    draw();
  }

  const byName = new Map();
  function hit(event) {
    const at = renderer.domElement.getBoundingClientRect();
    const place = new THREE.Vector2((event.clientX - at.left) / at.width * 2 - 1, 1 - (event.clientY - at.top) / at.height * 2);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(place, camera);
    const pipes = [...byName.values()].filter(p => p.visible);
    pick(ray.intersectObjects(pipes, false)[0]?.object ?? null);
  }

  let down = null;
  renderer.domElement.addEventListener("pointerdown", e => { down = {x: e.clientX, y: e.clientY}; });
  renderer.domElement.addEventListener("pointerup", e => {
    if (down && Math.hypot(e.clientX - down.x, e.clientY - down.y) < TAP_PX) hit(e);
    down = null;
  });
  box.addEventListener("keydown", event => {
    const way = {ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "nearer", "=": "nearer", "-": "farther", Home: "whole", Escape: "none"}[event.key];
    if (!way || !house) return;
    event.preventDefault();
    if (way === "none") pick(null); else turn(way);
  });
  turns.addEventListener("click", event => { const way = event.target.dataset?.turn; if (way) turn(way); });
  shown.addEventListener("change", choose);
  list.addEventListener("click", event => {
    const mesh = byName.get(event.target.closest("a")?.dataset.pipe);
    if (!mesh) return;
    event.preventDefault();
    mesh.visible = true;
    pick(mesh);
    const all = new THREE.Box3().setFromObject(mesh);
    all.getCenter(controls.target);
    controls.update();
    draw();
    box.scrollIntoView({block: "nearest"});
  });

  function show(model) {
    house = model.scene;
    house.traverse(one => { if (one.isMesh && one.userData.kind === "pipe") byName.set(one.userData.about, one); });
    scene.add(house);
    note.remove();
    box.append(renderer.domElement);
    renderer.domElement.setAttribute("aria-hidden", "true");
    turns.hidden = shown.hidden = false;
    for (const row of list.querySelectorAll("a:not([href])")) row.href = location.hash || "#";  // can be picked now
    size();
    whole();
    if (byName.has(box.dataset.about)) pick(byName.get(box.dataset.about));
    new ResizeObserver(size).observe(box);
    box.dataset.ready = "yes";
  }

  // A page fetches the model; the file that is taken along has it inside and hands it in.
  async function model() {
    if (box.bytes) return box.bytes;
    const answer = await fetch(box.dataset.url);
    if (!answer.ok) throw new Error(answer.statusText);
    return answer.arrayBuffer();
  }

  model().then(bytes => new THREE.GLTFLoader().parseAsync(bytes, "")).then(show, () => {
    note.textContent = t("The model could not be loaded. Every pipe is in the list.");
  });
})();
