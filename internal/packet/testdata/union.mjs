// Makes printed parts a second time with manifold-3d, by adding and taking away the hulls of points, and takes in the meshes of the first
// making: node union.mjs <folder of npm packages> <file>. The file holds a list of parts; see box_print_peers_test.go.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
const [dir, file] = process.argv.slice(2);
const kernel = await (await import(pathToFileURL(dir + "/node_modules/manifold-3d/manifold.js"))).default();
kernel.setup();
const { Manifold, Mesh } = kernel;
const out = [];
for (const part of JSON.parse(readFileSync(file))) {
  const make = (each) => {
    let solid;
    for (const l of part.Layers) {
      const h = Manifold.hull(l.Points);
      if (!solid) solid = h;
      else solid = l.Cut ? solid.subtract(h) : solid.add(h);
      if (each) solid.volume(); // work it out now; left to the end, the kernel gathers the steps into fewer
    }
    return solid.volume();
  };
  const m = part.Mesh;
  const own = new Manifold(new Mesh({ numProp: 3, vertProperties: new Float32Array(m.Vertices), triVerts: new Uint32Array(m.Triangles) }));
  out.push({
    Volumes: [make(true), make(false)],
    Own: own.volume(), OwnGenus: own.genus(), OwnPieces: own.decompose().length, Status: String(own.status()),
  });
}
console.log(JSON.stringify(out));
