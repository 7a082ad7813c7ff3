// Reads a DXF file with dxf-parser and tells the circles and the entities on each layer.
// node read_dxf.cjs FOLDER-WITH-NODE_MODULES FILE
const path = require("path");
const fs = require("fs");
const { createRequire } = require("module");
const DxfParser = createRequire(path.resolve(process.argv[2], "x.js"))("dxf-parser");
const Parser = DxfParser.default || DxfParser.DxfParser || DxfParser;
const dxf = new Parser().parseSync(fs.readFileSync(process.argv[3], "utf8"));
const seen = { Circles: [], Layers: {}, Bounds: [0, 0, 0, 0], Errors: 0 };
for (const e of dxf.entities) {
  seen.Layers[e.layer] = (seen.Layers[e.layer] || 0) + 1;
  if (e.type === "CIRCLE") seen.Circles.push({ Layer: e.layer, X: e.center.x, Y: e.center.y, R: e.radius });
}
console.log(JSON.stringify(seen));
