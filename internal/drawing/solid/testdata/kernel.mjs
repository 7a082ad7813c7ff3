// Builds boards a second time with manifold-3d, from polygons and transforms alone, and takes in the meshes of the first building:
// node kernel.mjs <folder of npm packages> <file>. The file holds a list of boards; see peers_test.go.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
const [dir, file] = process.argv.slice(2);
const kernel = await (await import(pathToFileURL(dir + "/node_modules/manifold-3d/manifold.js"))).default();
kernel.setup();
const { Manifold, CrossSection, Mesh } = kernel;
const out = [];
for (const b of JSON.parse(readFileSync(file))) {
  let solid = b.Points
    ? Manifold.hull(b.Points)
    : new CrossSection([b.Outline]).extrude(b.High - b.Low).translate([0, 0, b.Low]);
  for (const h of b.Holes) {
    const over = 0.5; // reach beyond the faces, so that they do not lie on each other
    const low = h.Low - (h.OpenBelow ? over : 0), high = h.High + (h.OpenAbove ? over : 0);
    solid = solid.subtract(new CrossSection([h.Outline]).extrude(high - low).translate([0, 0, low]));
    if (h.Cone) {
      const [x, y, z, height, below, above] = h.Cone;
      solid = solid.subtract(Manifold.cylinder(height, below, above, h.Steps).translate([x, y, z]));
    }
  }
  const m = b.Mesh;
  const own = new Manifold(new Mesh({ numProp: 3, vertProperties: new Float32Array(m.Vertices), triVerts: new Uint32Array(m.Triangles) }));
  out.push({
    Volume: solid.volume(), Genus: solid.genus(),
    Own: own.volume(), OwnGenus: own.genus(), Status: String(own.status()),
  });
}
console.log(JSON.stringify(out));
