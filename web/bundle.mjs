// Bundles the report's code and style into the package. The banner holds a hash of the sources, by which a test that
// knows no npm sees whether the bundle is theirs.
import { createHash } from "node:crypto";
import { copyFileSync, readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const target = join(here, process.argv[2] ?? "../locksweep/report/bundle");
const names = ["package.json", ...readdirSync(join(here, "src")).sort().map((name) => `src/${name}`)];
const hash = createHash("sha256");
for (const name of names) {
  hash.update(`${name}\0`).update(readFileSync(join(here, name))).update("\0");
}
const banner = `/* made by 'make bundle' from web/, sources ${hash.digest("hex")} */`;

await build({
  entryPoints: { report: join(here, "src/main.js") },
  outdir: target,
  bundle: true,
  minify: true,
  format: "iife",
  target: ["es2021"],
  legalComments: "none",
  charset: "ascii",
  banner: { js: `${banner}\n/* holds three.js, MIT License: see LICENSE-three.txt */` },
});
await build({
  entryPoints: { report: join(here, "src/report.css") },
  outdir: target,
  minify: true,
  charset: "ascii",
  banner: { css: banner },
});
copyFileSync(join(here, "node_modules/three/LICENSE"), join(target, "LICENSE-three.txt"));
