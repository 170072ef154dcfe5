// The page's colours are the style sheet's; the pictures read them from there, so that dark and light change together.

const NAMES = [
  "accent",
  "ink",
  "muted",
  "paper",
  "grid",
  "tyre",
  "rim",
  "vent",
  "member",
  "rod",
  "keep",
  "edge",
  "part",
  "touch",
  "near",
  "close",
  "far",
];

export function paletteOf(element) {
  const style = getComputedStyle(element);
  return Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

// A step for each answer that a builder can act on; told apart by lightness as well as by hue.
export function shadeOf(clearance, wanted, interest, palette) {
  if (clearance < 0) return palette.touch;
  if (clearance < wanted) return palette.near;
  return clearance < interest ? palette.close : palette.far;
}
