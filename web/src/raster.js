// Pictures of parts without WebGL: triangles into a depth buffer, then the sharp edges over them.

const SHARP = Math.cos((28 * Math.PI) / 180);
const FINER = 2;

export function picture(canvas, mesh, width, height, palette) {
  const [w, h] = [width * FINER, height * FINER];
  canvas.width = w;
  canvas.height = h;
  const context = canvas.getContext("2d");
  const image = context.createImageData(w, h);
  const depth = new Float32Array(w * h).fill(-Infinity);
  const seen = projected(mesh, w, h);
  const normals = normalsOf(mesh.vertices_mm, mesh.triangles);
  const [r, g, b] = rgb(palette.part);
  for (let t = 0; t < mesh.triangles.length / 3; t++) {
    const corners = [0, 1, 2].map((i) => seen.points[mesh.triangles[3 * t + i]]);
    const n = seen.turn(normals[t]);
    const light = 0.42 + 0.58 * Math.max(0, Math.abs(0.35 * n[0] + 0.5 * n[1] + 0.79 * n[2]));
    fill(image, depth, w, h, corners, [r * light, g * light, b * light]);
  }
  context.putImageData(image, 0, 0);
  context.strokeStyle = palette.edge;
  context.lineWidth = 0.7 * FINER;
  context.lineCap = "round";
  for (const [i, j] of sharpEdges(mesh.triangles, normals)) {
    line(context, depth, w, h, seen.points[i], seen.points[j]);
  }
}

function rgb(colour) {
  const probe = document.createElement("canvas").getContext("2d");
  probe.fillStyle = colour;
  const hex = probe.fillStyle;
  return [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
}

// Seen from the front, the left and above, with the longest side laid across.
function projected(mesh, w, h) {
  const v = mesh.vertices_mm;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < v.length; i++) {
    low[i % 3] = Math.min(low[i % 3], v[i]);
    high[i % 3] = Math.max(high[i % 3], v[i]);
  }
  const size = low.map((value, i) => high[i] - value);
  const middle = low.map((value, i) => (high[i] + value) / 2);
  const standing = size[2] > Math.max(size[0], size[1]);
  const lay = standing ? ([x, y, z]) => [z, x, y] : ([x, y, z]) => [x, y, z];
  const [ca, sa, ce, se] = [Math.cos(-0.6), Math.sin(-0.6), Math.cos(0.62), Math.sin(0.62)];
  const turn = (point) => {
    const [x, y, z] = lay(point);
    const across = ca * x - sa * y;
    const away = sa * x + ca * y;
    return [across, ce * z + se * away, se * z - ce * away];
  };
  const turned = [];
  for (let i = 0; i < v.length; i += 3) turned.push(turn([v[i] - middle[0], v[i + 1] - middle[1], v[i + 2] - middle[2]]));
  const spanX = Math.max(...turned.map((p) => Math.abs(p[0])));
  const spanY = Math.max(...turned.map((p) => Math.abs(p[1])));
  const scale = Math.min((0.46 * w) / spanX, (0.45 * h) / spanY);
  return { turn, points: turned.map(([x, y, z]) => [w / 2 + scale * x, h / 2 - scale * y, scale * z]) };
}

function normalsOf(v, triangles) {
  const found = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((i) => 3 * triangles[t + i]);
    const u = [v[b] - v[a], v[b + 1] - v[a + 1], v[b + 2] - v[a + 2]];
    const w = [v[c] - v[a], v[c + 1] - v[a + 1], v[c + 2] - v[a + 2]];
    const n = [u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]];
    const size = Math.hypot(...n) || 1;
    found.push(n.map((value) => value / size));
  }
  return found;
}

function sharpEdges(triangles, normals) {
  const first = new Map();
  const sharp = [];
  for (let t = 0; t < normals.length; t++) {
    for (let i = 0; i < 3; i++) {
      const [a, b] = [triangles[3 * t + i], triangles[3 * t + ((i + 1) % 3)]];
      const key = a < b ? `${a} ${b}` : `${b} ${a}`;
      const other = first.get(key);
      if (other === undefined) {
        first.set(key, t);
        continue;
      }
      first.delete(key);
      const [m, n] = [normals[t], normals[other]];
      if (m[0] * n[0] + m[1] * n[1] + m[2] * n[2] < SHARP) sharp.push([a, b]);
    }
  }
  return sharp;
}

function fill(image, depth, w, h, [a, b, c], colour) {
  const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  if (Math.abs(area) < 1e-9) return;
  const pixels = image.data;
  const left = Math.max(0, Math.floor(Math.min(a[0], b[0], c[0])));
  const right = Math.min(w - 1, Math.ceil(Math.max(a[0], b[0], c[0])));
  const top = Math.max(0, Math.floor(Math.min(a[1], b[1], c[1])));
  const bottom = Math.min(h - 1, Math.ceil(Math.max(a[1], b[1], c[1])));
  for (let y = top; y <= bottom; y++) {
    for (let x = left; x <= right; x++) {
      const px = x + 0.5;
      const py = y + 0.5;
      const u = ((b[0] - px) * (c[1] - py) - (b[1] - py) * (c[0] - px)) / area;
      const v = ((c[0] - px) * (a[1] - py) - (c[1] - py) * (a[0] - px)) / area;
      if (u < -1e-6 || v < -1e-6 || u + v > 1 + 1e-6) continue;
      const z = u * a[2] + v * b[2] + (1 - u - v) * c[2];
      const at = y * w + x;
      if (z <= depth[at]) continue;
      depth[at] = z;
      const byte = 4 * at;
      pixels[byte] = colour[0];
      pixels[byte + 1] = colour[1];
      pixels[byte + 2] = colour[2];
      pixels[byte + 3] = 255;
    }
  }
}

// Only what no nearer triangle covers; a little nearer than its own faces, or those would cover half of it.
function line(context, depth, w, h, a, b) {
  const steps = Math.max(1, Math.ceil(Math.hypot(b[0] - a[0], b[1] - a[1]) / 2));
  const seen = (share) => {
    const [x, y, z] = [0, 1, 2].map((i) => a[i] + share * (b[i] - a[i]));
    const [px, py] = [Math.floor(x), Math.floor(y)];
    if (px < 1 || py < 1 || px >= w - 1 || py >= h - 1) return true;
    return z + 3 >= depth[py * w + px];
  };
  for (let i = 0; i < steps; i++) {
    if (!seen((i + 0.5) / steps)) continue;
    context.beginPath();
    for (const share of [i / steps, (i + 1) / steps]) {
      context.lineTo(a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]));
    }
    context.stroke();
  }
}
