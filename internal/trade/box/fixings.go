package box

import (
	"fmt"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trust"
)

// Insert is a threaded insert under a screw of the face.
type Insert struct {
	Fixing string
	Board  string
	At     geom.Vec3 // middle of its mouth
	Dir    geom.Vec3 // into the wood
	Size   InsertSize
	Hole   Hole
	Wall   float64 // least wood beside its hole
}

// fixings looks what the screws of the faces hold in.
func (w *worker) fixings(r *Result) {
	w.unheld()
	said := map[string]bool{}
	for _, x := range w.Fixings {
		if x.Face < 0 || x.Face >= len(w.c.Faces) || w.c.Spec.Build.FaceHeld == carcass.GluedDown {
			continue
		}
		f := w.c.Faces[x.Face]
		at, dir := f.Frame.ToWorld(x.At.At(-f.Thickness)), f.Frame.N.Mul(-1)
		under := w.under(x.Face, x.At)
		ends := []finding.End{w.end(x.Name), w.end(f.Name)}
		if under == nil {
			if w.Screws.Insert != "" {
				w.sayOnce(said, "none"+f.Name, ruleFixing, finding.Finding{
					Head: fmt.Sprintf("Under %s lies no wood: there is nothing for an insert to go into.", x.Name), Body: "Make the ledge wider, or move the screws over it.", Ends: ends,
				})
			}
			continue // a nut holds it
		}
		thread := w.Screws.Insert
		if thread == "" {
			if machine(x.Screw) {
				w.sayOnce(said, "reopen", ruleReopen, finding.Finding{
					Head: fmt.Sprintf("The %s screws of the face go into the %s: they want inserts, or nuts behind it.", x.Screw, under.Name), Ends: append(ends, w.end(under.Name)),
					Fixes: []finding.Fix{{Say: "Put inserts in", Short: "insert: " + catalog.ScrewName(x.Screw), Edits: []finding.Edit{{Op: finding.Set, Path: "box.screws.insert", Value: catalog.ScrewName(x.Screw)}}}},
				})
			}
			continue
		}
		size, ok := InsertFor(thread)
		if !ok {
			w.sayOnce(said, thread, ruleFixing, finding.Finding{
				Head: fmt.Sprintf("There is no insert %s in the tables; M3, M4, M5, M6 and M8 are.", thread), Ends: ends,
			})
			continue
		}
		hole := size.HoleHard
		if w.material(under).Kind == Softwood {
			hole = size.HoleSoft
		}
		in := Insert{Fixing: x.Name, Board: under.Name, At: at, Dir: dir, Size: size, Hole: bitFor(w.Bits, hole, 0.3, 0.2)}
		in.Wall = cover(under, at, at.Add(dir.Mul(size.Length)), hole/2)
		r.Inserts = append(r.Inserts, in)
		if in.Wall < size.Wall-1e-6 {
			w.sayOnce(said, under.Name, ruleFixing, finding.Finding{
				Head:    fmt.Sprintf("The %s leaves too little wood round the insert under %s.", under.Name, x.Name),
				Body:    "Make the ledge wider and deeper, or move the screws to its middle.",
				Ends:    append(ends, w.end(under.Name)),
				Measure: &finding.Measure{Have: in.Wall, Want: size.Wall, Unit: "mm", Sense: finding.AtLeast}, Source: practice("as much wood beside an insert as its own radius and more", trust.Low),
			})
		}
	}
}

// faceScrew is the room that a screw of a face takes in the wood behind it, with its insert where it has one.
type faceScrew struct {
	name     string
	from, to geom.Vec3
	thick    float64
}

// behindFace is how far a screw of a face without an insert goes behind the sheet, mm: what the sizes sold come to. Common practice.
const behindFace = 12

// faceScrews gives the screws of the faces as bars in the wood; those of a face that is glued down are none.
func (w *worker) faceScrews() []faceScrew {
	if w.bars != nil || w.c.Spec.Build.FaceHeld == carcass.GluedDown {
		return w.bars
	}
	w.bars = []faceScrew{}
	for _, x := range w.Fixings {
		if x.Face < 0 || x.Face >= len(w.c.Faces) {
			continue
		}
		f := w.c.Faces[x.Face]
		at, dir := f.Frame.ToWorld(x.At.At(-f.Thickness)), f.Frame.N.Mul(-1)
		bar, long := faceScrew{name: x.Name, from: at, thick: x.Major}, float64(behindFace)
		if size, ok := InsertFor(w.Screws.Insert); ok {
			long, bar.thick = max(long, size.Length), max(bar.thick, size.HoleHard)
		}
		bar.to = at.Add(dir.Mul(long))
		w.bars = append(w.bars, bar)
	}
	return w.bars
}

// machine reports whether a screw name is that of a machine screw.
func machine(name string) bool {
	n := catalog.ScrewName(name)
	return len(n) > 1 && (n[0] == 'M' || n == "1/4")
}
