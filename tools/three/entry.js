// What the 3D page needs of three.js, as one file: see README.md.
export {
  AmbientLight, Box3, Color, DirectionalLight, PerspectiveCamera, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from "three";
export {OrbitControls} from "three/addons/controls/OrbitControls.js";
export {GLTFLoader} from "three/addons/loaders/GLTFLoader.js";
