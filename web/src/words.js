// Numbers in words, in the units that the builder measured in. All of them come from the page's data.

const MINUS = "\u2212";

export function fixed(value, digits) {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

export function angle(value, digits = 1) {
  return value === null ? "none" : `${fixed(value, digits)}\u00b0`;
}

// name: of the unit; scale: of it for each mm; more: decimals beyond those that do in mm
function unitOf(units) {
  return units === "in" ? { name: "in", scale: 1 / 25.4, more: 1 } : { name: "mm", scale: 1, more: 0 };
}

export function lengths(units) {
  const unit = unitOf(units);
  const length = (mm, digits = 1) => {
    if (mm === null) return "none";
    return `${fixed(mm * unit.scale, digits + unit.more)} ${unit.name}`;
  };
  return Object.assign(length, { unit });
}

export function short(value) {
  return fixed(value, Number.isInteger(value) ? 0 : 1);
}

export function sentence(clause) {
  return `${clause.charAt(0).toUpperCase()}${clause.slice(1)}.`;
}

export function turnWords(turned) {
  if (Math.abs(turned) < 0.05) return "straight ahead";
  return turned > 0 ? "turned left" : "turned right";
}

export function travelWords(travel, length) {
  if (Math.abs(travel) < 0.05) return "ride height";
  return `${length(Math.abs(travel), 0)} ${travel > 0 ? "bump (wheel up)" : "droop (wheel down)"}`;
}
