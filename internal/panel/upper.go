package panel

import (
	"knobwright/internal/carcass"
)

// upperStack reads sheet and covering of the upper face of a box with two, when the file gives it its own.
func (pl *placer) upperStack(form carcass.Form, box *Box) {
	u := pl.f.Box.Upper
	if u == nil || form != carcass.TwoSlope || !pl.written("box.upper.sheet") && !pl.written("box.upper.covering") && !pl.written("box.upper.grain") {
		return
	}
	sheet, sheetPath := u.Sheet, "box.upper.sheet"
	if !pl.written(sheetPath) {
		sheet, sheetPath = pl.f.Face.Sheet, "face.sheet"
	}
	cover, coverPath := u.Covering, "box.upper.covering"
	if !pl.written(coverPath) {
		cover, coverPath = pl.f.Face.Covering, "face.covering"
	}
	s := &Stack{}
	pl.stackFrom(s, "the upper face", sheetPath, sheet, coverPath, cover)
	s.GrainUp = pl.p.Stack.GrainUp
	if u.Grain != "" {
		s.GrainUp = u.Grain == "up"
	}
	pl.upper = s
	box.Upper = Stock{Sheet: s.Sheet, Thickness: s.SheetThickness, Origin: s.SheetOrigin, Measured: pl.written(sheetPath + ".actual"), GrainUp: s.GrainUp}
}

// upperFixings places the screws of the upper face.
func (pl *placer) upperFixings() {
	u := pl.f.Box.Upper
	const path = "box.upper.fixings"
	if u == nil || !pl.written(path) {
		return
	}
	if pl.p.Carcass == nil {
		return // said already
	}
	s := pl.side("upper")
	if s == nil {
		pl.noEffect("the screws of the upper face", path, "The screws of the upper face have no effect: a box of the form "+pl.spec.Form.String()+" has none.")
		return
	}
	pl.at(s, func() { pl.fixingsFrom(path, u.Fixings, "upper fixing ") })
}

// upperRibs reads the ribs of the upper face for a box of known sizes.
func (pl *placer) upperRibs(z carcass.Sizes) {
	u := pl.f.Box.Upper
	if u == nil {
		return
	}
	for _, key := range u.Ribs.Keys {
		path := "box.upper.ribs." + key
		if pl.spec.Form != carcass.TwoSlope {
			if !pl.once("rib: " + path) {
				pl.noEffect("the rib", path, "The rib has no effect: a box of the form "+pl.spec.Form.String()+" has no upper face.")
			}
			continue
		}
		if r, ok := pl.ribFrom(path, upperRibName(key), u.Ribs.Get(key), deepest(z), z.FaceWidth, z.UpperHeight); ok {
			r.Name, r.Face = upperRibName(key), 1
			pl.spec.Build.Ribs = append(pl.spec.Build.Ribs, r)
		}
	}
}

func upperRibName(key string) string { return "rib " + plainName(key) + " of the upper face" }

// ribPath gives where a rib stands in the file, by its name; "" when it is none of them.
func (pl *placer) ribPath(name string) string {
	for _, k := range pl.f.Box.Ribs.Keys {
		if ribName(k) == name {
			return "box.ribs." + k
		}
	}
	if u := pl.f.Box.Upper; u != nil {
		for _, k := range u.Ribs.Keys {
			if upperRibName(k) == name {
				return "box.upper.ribs." + k
			}
		}
	}
	return ""
}
