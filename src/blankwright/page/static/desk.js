// What all views on a page share: the thing pointed at, the thing picked, and the units shown.
// It lives in the browser alone, so that lighting up never waits for the server.
import { reactive } from "vue";

const KEEP = "blankwright";

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEEP)) || {};
  } catch {
    return {};
  }
}

const start = kept();

export const desk = reactive({
  over: "", // such as "bend left", "hole vent", "flat floor", "size width"
  picked: "",
  units: start.units || "mm",
  light: start.light || "auto",
  fold: 1, // share of every bend's angle, 0 flat to 1 formed
  folds: {}, // by bend name, where it differs
  paper: false,
  scene: null,
  part: null,
  project: null,
  big: "", // the view that has the bench to itself: plan or form
  leaf: "sizes", // of the card
  trail: "", // the number whose trail is asked for
  trouble: [], // problems to tell at once
  notice: "",
  clash: null, // what two windows wrote in one place
  arrived: 0,
});

export function keep(key, value) {
  desk[key] = value;
  queueMicrotask(() => dispatchEvent(new Event("bw-units")));
  try {
    localStorage.setItem(KEEP, JSON.stringify({ units: desk.units, light: desk.light }));
  } catch {
    // A browser that keeps nothing still works.
  }
}

export const shown = () => desk.over || desk.picked;

export function pick(name) {
  desk.picked = desk.picked === name ? "" : name;
}

export const share = (bend) => desk.folds[bend] ?? desk.fold;

// Names of everything that can be picked on the blank, in the order of the blank.
export function things(scene) {
  if (!scene) return [];
  return [
    ...scene.bends.map((bend) => `bend ${bend.name}`),
    ...scene.flats.map((flat) => `flat ${flat.name}`),
    ...scene.holes.map((hole) => `hole ${hole.name}`),
  ];
}

export function step(by) {
  const all = things(desk.scene);
  if (!all.length) return;
  const at = all.indexOf(desk.picked);
  desk.picked = all[(at + by + all.length + (at < 0 && by < 0 ? 1 : 0)) % all.length];
}

// A size lights up what is built from it, and a place in the part file the thing it belongs to.
export function lit(name) {
  const now = shown();
  if (!now) return false;
  if (now === name) return true;
  const uses = desk.part?.lights?.[now];
  return Boolean(uses && uses.includes(name));
}

export function dark() {
  if (desk.light === "auto") return matchMedia("(prefers-color-scheme: dark)").matches;
  return desk.light === "dark";
}

export function applyLight() {
  document.documentElement.dataset.light = dark() ? "dark" : "light";
  document.documentElement.style.colorScheme = dark() ? "dark" : "light";
}

applyLight();
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", applyLight);
