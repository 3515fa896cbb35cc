// The page's modules are imported by name: "blankwright-page/desk.js" and so on.
export { desk } from "blankwright-page/desk.js";
