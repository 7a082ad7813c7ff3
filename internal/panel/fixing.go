package panel

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/project"
)

// screwNames are the screws that a face is usually held by, for a likely word.
var screwNames = []string{"M2", "M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "#2", "#4", "#6", "#8", "#10", "1/4"}

// fixings places the screws that hold the face.
func (pl *placer) fixings() {
	pl.rackSlots()
	if pl.written("face.fixings") {
		pl.fixingsFrom("face.fixings", pl.f.Face.Fixings, "fixing ")
	}
	pl.upperFixings()
}

// fixingsFrom places the screws of the sheet in hand from where they stand in the file.
func (pl *placer) fixingsFrom(path string, f project.Fixings, name string) {
	type mark struct {
		at   [2]float64
		path string
	}
	var marks []mark
	for i, pt := range f.At {
		one := pl.firstPath(path+".at."+itoa(i), path+"."+itoa(i), path+".at")
		marks = append(marks, mark{[2]float64{pt[0].MM(), pt[1].MM()}, one})
	}
	w, h := pl.p.Face.Width, pl.p.Face.Height
	inset := pl.written(path+".inset") || pl.written(path+".across") || pl.written(path+".up")
	switch {
	case !inset:
	case !pl.p.Face.HasSize():
		// said already: the face has no size
	case pl.size(path+".inset", f.Inset, 0, min(w, h)/2, "The inset of the screws"):
		across, up := f.Across, f.Up
		for _, n := range []struct {
			key string
			v   *int
		}{{"across", &across}, {"up", &up}} {
			if *n.v == 0 {
				*n.v = 2
			}
			if *n.v < 1 || *n.v > 100 {
				pl.say(ruleBadSize, finding.Finding{
					Head: "There cannot be " + itoa(*n.v) + " screws along an edge.", Ends: []finding.End{pl.end("the fixings", path+"."+n.key)},
					Measure: &finding.Measure{Have: float64(*n.v), Want: 1, WantMax: 100, Sense: finding.Between},
				})
				return
			}
		}
		for _, at := range Rim(w, h, f.Inset.MM(), across, up) {
			marks = append(marks, mark{[2]float64{at.X, at.Y}, ""})
		}
	case !pl.written(path + ".inset"):
		pl.missing("the fixings", path, "The screws of the face have no inset yet.", "Write inset: the distance from the edges to the middle of a screw.")
	}
	screw := f.Screw
	if screw == "" {
		pl.missing("the fixings", path, "The screws of the face have no size yet.", "Write screw: M3, or what you have.")
		return
	}
	d, _, ok := catalog.ClearanceHole(screw, or(f.Fit, "normal"))
	if !ok {
		pl.unknown(ruleUnknownScrew, "screw", screw, path+".screw", "the fixings", screwNames)
		return
	}
	head := catalog.ScrewHead(screw)
	if pl.size(path+".head", f.Head, 0, 50, "The head of the screws") {
		head = f.Head.MM()
	} else if h := catalog.Heads(screw); len(h) > 0 {
		pl.lines.add(screw+" screws: head "+length.Plain(head)+" mm across", "the screws of the face", h[0].Source, "measure yours and write fixings: {head: "+length.Plain(head)+" mm}")
	}
	for _, m := range marks {
		n := itoa(len(pl.p.Fixings) + 1)
		o := Origin{Name: name + n, Path: path, Pos: pl.pos(path)}
		at := P(m.at[0], m.at[1])
		if m.path != "" {
			o.Path, o.Pos, o.MovePath, o.MoveBase = m.path, pl.pos(m.path), m.path, at.Vec2
		}
		pl.addFixing(screw, at, head, catalog.Cut{What: "fixing", Round: length.Length(d), Screw: screw}, o)
	}
}

func (pl *placer) addFixing(screw string, at Pt, head float64, spec catalog.Cut, o Origin) {
	cut := &Cut{ID: "fixing-" + itoa(len(pl.p.Fixings)+1), What: "fixing", Spec: spec, At: at, Outline: spec.Outline().Move(geom.Place{At: at.Vec2}), Origin: o}
	pl.window(cut)
	pl.p.Fixings = append(pl.p.Fixings, &Fixing{Screw: screw, At: at, Head: head, Cut: cut, Origin: o})
	pl.hole(o.Name, o, cut)
}

// Rim gives the places of evenly spaced screws: across along the bottom and along the top, up along each side with the
// corners counted; first the bottom from the left, then the sides upwards, then the top. One across means one in the
// middle of the bottom and of the top; one up adds nothing to the corners.
func Rim(w, h, inset float64, across, up int) []geom.Vec2 {
	var out []geom.Vec2
	line := func(y float64) {
		for i := range across {
			x := w / 2
			if across > 1 {
				x = inset + (w-2*inset)*float64(i)/float64(across-1)
			}
			out = append(out, geom.Vec2{X: x, Y: y})
		}
	}
	line(inset)
	for i := 1; i < up-1; i++ {
		y := inset + (h-2*inset)*float64(i)/float64(up-1)
		out = append(out, geom.Vec2{X: inset, Y: y}, geom.Vec2{X: w - inset, Y: y})
	}
	line(h - inset)
	return out
}
