# Reads a DXF file with ezdxf, audits it and prints what it holds as JSON.
import json
import sys

import ezdxf

doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
out = {
    "version": doc.dxfversion,
    "errors": [str(e.message) for e in audit.errors],
    "fixes": [str(e.message) for e in audit.fixes],
    "units": doc.header.get("$INSUNITS", -1),
    "metric": doc.header.get("$MEASUREMENT", -1),
    "layers": sorted(l.dxf.name + ":" + str(l.dxf.color) for l in doc.layers),
    "entities": [],
}
for e in doc.modelspace():
    d = {"kind": e.dxftype(), "layer": e.dxf.layer}
    if d["kind"] in ("CIRCLE", "ARC"):
        d["at"] = list(e.dxf.center)[:2]
        d["r"] = e.dxf.radius
    if d["kind"] == "ARC":
        d["from"], d["to"] = e.dxf.start_angle, e.dxf.end_angle
    if d["kind"] == "LINE":
        d["points"] = [list(e.dxf.start)[:2], list(e.dxf.end)[:2]]
    if d["kind"] == "LWPOLYLINE":
        d["points"] = [list(p) for p in e.get_points("xyb")]
        d["closed"] = bool(e.closed)
    if d["kind"] == "POLYLINE":
        d["points"] = [list(v.dxf.location)[:2] + [v.dxf.get("bulge", 0)] for v in e.vertices]
        d["closed"] = bool(e.is_closed)
    if d["kind"] == "TEXT":
        d["text"] = ezdxf.lldxf.encoding.decode_dxf_unicode(e.dxf.text)
        d["height"] = e.dxf.height
        d["at"] = list(e.dxf.insert)[:2]
        d["turn"] = e.dxf.get("rotation", 0)
    out["entities"].append(d)
json.dump(out, sys.stdout)
