// Opens a STEP file with occt-import-js and says what it holds: node step.mjs <folder of npm packages> <file> <deflection>
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const [dir, file, deflection] = process.argv.slice(2);
const occt = await createRequire(dir + "/package.json")("occt-import-js")();
const r = occt.ReadStepFile(readFileSync(file), {
  linearUnit: "millimeter", linearDeflectionType: "absolute_value", linearDeflection: +deflection, angularDeflection: 0.5,
});
const names = (n) => [n.name, ...n.children.flatMap(names)];
const meshes = r.meshes.map((m) => {
  const p = m.attributes.position.array, t = m.index.array;
  let volume = 0;
  const lo = [1e9, 1e9, 1e9], hi = [-1e9, -1e9, -1e9];
  for (let i = 0; i < p.length; i++) {
    lo[i % 3] = Math.min(lo[i % 3], p[i]);
    hi[i % 3] = Math.max(hi[i % 3], p[i]);
  }
  for (let i = 0; i < t.length; i += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => [0, 1, 2].map((x) => p[3 * t[i + k] + x] - (lo[x] + hi[x]) / 2));
    volume += (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])) / 6;
  }
  return { name: m.name, colour: m.color, volume, lo, hi, faces: m.brep_faces.length };
});
console.log(JSON.stringify({ ok: r.success, names: names(r.root), meshes }));
