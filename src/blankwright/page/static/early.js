// Before anything shows: no flash of the wrong light; and what the keys of plain heads do.
(() => {
  const KEEP = "blankwright";
  const kept = () => {
    try {
      return JSON.parse(localStorage.getItem(KEEP)) || {};
    } catch {
      return {};
    }
  };
  const LIGHTS = { auto: "dark", dark: "light", light: "auto" };
  const apply = () => {
    let light = kept().light || "auto";
    const dark = matchMedia("(prefers-color-scheme: dark)").matches;
    if (light === "auto") light = dark ? "dark" : "light";
    document.documentElement.dataset.light = light;
    document.documentElement.style.colorScheme = light;
  };
  const say = () => {
    const light = kept().light || "auto";
    for (const key of document.querySelectorAll("[data-key=light]")) {
      key.textContent = light === "auto" ? "Light: auto" : light === "dark" ? "Dark" : "Light";
      key.setAttribute("aria-label", `Light: ${light}. Change to ${LIGHTS[light]}`);
    }
  };
  apply();
  addEventListener("DOMContentLoaded", say);
  addEventListener("click", (event) => {
    const key = event.target.closest?.("[data-key]")?.dataset.key;
    if (key === "print") print();
    if (key !== "light") return;
    try {
      localStorage.setItem(KEEP, JSON.stringify({ ...kept(), light: LIGHTS[kept().light || "auto"] }));
    } catch {}
    apply();
    say();
  });
})();
