// Numbers as a builder reads them. Lengths come in mm; the switch says how they are shown.

// Set once by the server, so that the factor has one home (base/units.py).
const factor = { mm: 1 };

export function setFactor(millimetresPerInch) {
  factor.mm = millimetresPerInch;
}

// A half goes away from zero, as in base/units.py: 3.175 is 3.18, though the nearest double is under it.
const fixed = (value, digits) => {
  const text = (value + Math.sign(value) * 1e-6 * 10 ** -digits).toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text;
};

export const mmText = (mm) => fixed(mm, 2);
export const inchText = (mm) => fixed(mm / factor.mm, 3);

// A dimension on a drawing: two units stand as the trade writes them, the second in brackets.
export function dimension(mm, units) {
  if (units === "in") return inchText(mm);
  if (units === "both") return `${mmText(mm)} [${inchText(mm)}]`;
  return mmText(mm);
}

export function length(mm, units) {
  if (units === "in") return `${inchText(mm)} in`;
  if (units === "both") return `${mmText(mm)} mm [${inchText(mm)} in]`;
  return `${mmText(mm)} mm`;
}

export function angle(rad) {
  const degrees = (rad * 180) / Math.PI;
  return `${Number(degrees.toFixed(2))}°`;
}

const plain = (value) => String(Number(value.toPrecision(6)));

// Any kind of number that a trail or a form shows.
export function figure(value, kind, units) {
  if (value === null || value === undefined) return "";
  if (kind === "length") return length(value, units);
  if (kind === "angle") return angle(value);
  if (kind === "area") {
    const inch = `${plain(value / factor.mm ** 2)} in²`;
    if (units === "in") return inch;
    return units === "both" ? `${plain(value)} mm² [${inch}]` : `${plain(value)} mm²`;
  }
  if (kind === "mass") return `${plain(value)} kg`;
  if (kind === "text") return "";
  return plain(value);
}
