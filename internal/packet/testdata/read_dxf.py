"""Reads a DXF file with ezdxf and tells the circles, the entities on each layer, and the extent of the outer edge."""
import json
import sys

import ezdxf
from ezdxf import bbox

doc = ezdxf.readfile(sys.argv[1])
seen = {"Circles": [], "Layers": {}, "Bounds": [0, 0, 0, 0], "Errors": len(doc.audit().errors)}
found = False
for e in doc.modelspace():
    layer = e.dxf.layer
    seen["Layers"][layer] = seen["Layers"].get(layer, 0) + 1
    if e.dxftype() == "CIRCLE":
        seen["Circles"].append({"Layer": layer, "X": e.dxf.center.x, "Y": e.dxf.center.y, "R": e.dxf.radius})
    elif e.dxftype() == "LWPOLYLINE" and layer == "CUT" and not found:
        found = True
        b = bbox.extents([e], fast=False)
        seen["Bounds"] = [b.extmin.x, b.extmin.y, b.extmax.x, b.extmax.y]
print(json.dumps(seen))
