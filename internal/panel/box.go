package panel

import (
	"math"
	"strconv"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/trust"
)

// Box is the box as it is ordered: what its boards are cut from and how they are joined.
type Box struct {
	Form    carcass.Form
	Walls   Stock // walls, top of a rack, and battens of their thickness
	Base    Stock
	Rest    Stock // hand rest of a desk
	Face    Stock // the faces; its thickness is without the covering
	Upper   Stock // the upper face, when it has a sheet of its own; else without a sheet
	Kerf    float64
	Written project.Box // as it stands in the file
}

// Stock is what a board is cut from.
type Stock struct {
	Sheet     catalog.Sheet
	Thickness float64 // mm, as measured, else as the sheet is called
	Measured  bool
	GrainUp   bool // of a face: the grain of plywood runs up it, not across
	Origin    Origin
}

// Of gives what a board of a role is cut from.
func (b *Box) Of(r carcass.Role) Stock {
	switch r {
	case carcass.RoleFace:
		return b.Face
	case carcass.RoleRest:
		return b.Rest
	case carcass.RoleBase:
		return b.Base
	}
	return b.Walls
}

// KerfOf is how wide the cut is, mm, when the file does not say: of a laser, a table saw, else a hand saw. Common practice.
func KerfOf(kind string) float64 {
	switch kind {
	case "laser":
		return 0.2
	case "table":
		return 3
	}
	return 1
}

// usualPlay is the gap round a board that is let in, mm a side. Common practice.
const usualPlay = 0.5

// forms are the boxes that the file knows by name, form none apart.
var forms = map[string]carcass.Form{
	"": carcass.Flat, "flat": carcass.Flat, "wedge": carcass.Wedge, "desk": carcass.Desk, "two-slope": carcass.TwoSlope, "rack": carcass.Rack,
}

// order reads the box of the file: what the boards are and which sizes are given. It leaves pl.p.Box nil when there is none.
func (pl *placer) order() {
	b := pl.f.Box
	if pl.size("box.depth", b.Depth, 0, 1000, "The depth of the box") {
		pl.p.BoxDepth = b.Depth.MM()
	}
	walls := pl.written("box.walls")
	form, known := forms[b.Form]
	switch {
	case b.Form == "none":
		if walls {
			pl.noEffect("the walls", "box.walls", "The walls have no effect: the box has form none.")
		}
		return
	case !known || !walls && b.Form == "":
		return
	}
	box := &Box{Form: form, Written: b}
	box.Walls = pl.stock("the walls", "box.walls", b.Walls)
	pl.wall = box.Walls.Thickness
	if pl.wall <= 0 {
		if !walls {
			pl.missing("the box", "box", "The box has no walls yet.", "Name the board, as in walls: birch-ply-9mm.")
		}
		return
	}
	box.Base, box.Rest = box.Walls, box.Walls
	if pl.written("box.rest.sheet") {
		if s := pl.stock("the hand rest", "box.rest.sheet", b.Rest.Sheet); s.Thickness > 0 {
			box.Rest = s
		}
	}
	if pl.written("box.base") {
		if s := pl.stock("the base", "box.base", b.Base); s.Thickness > 0 {
			box.Base = s
		}
	}
	box.Face = Stock{Sheet: pl.p.Stack.Sheet, Thickness: pl.p.Stack.SheetThickness, Origin: pl.p.Stack.SheetOrigin, Measured: pl.written("face.sheet.actual"), GrainUp: pl.p.Stack.GrainUp}
	pl.upperStack(form, box)
	box.Kerf = KerfOf(b.Saw.Kind)
	if pl.size("box.saw.kerf", b.Saw.Kerf, 0, 10, "The kerf of the saw") {
		box.Kerf = b.Saw.Kerf.MM()
	} else if b.Corners.Joint == "finger" {
		pl.lines.add("kerf of the saw: "+length.Plain(box.Kerf)+" mm", "the fingers of the corners", practice("usual kerf of that saw"), "saw into scrap, measure the cut, and write saw: {kerf: "+length.Plain(box.Kerf)+" mm}")
	}
	for i, s := range b.Stock {
		what, of := "A side of the sheet on hand", "the sheet on hand"
		if s.Name != "" {
			what, of = "A side of the "+s.Name, "the "+s.Name
		}
		if _, ok := pl.cat.Sheet(s.Sheet); !ok && s.Sheet != "" {
			pl.unknown(ruleUnknownSheet, "sheet", s.Sheet, "box.stock."+strconv.Itoa(i)+".sheet", of, pl.cat.SheetIDs())
		}
		if side := min(s.Size[0], s.Size[1]); pl.size("box.stock."+strconv.Itoa(i)+".size", side, 0, 10000, what) && s.Size[0] != s.Size[1] {
			pl.size("box.stock."+strconv.Itoa(i)+".size", max(s.Size[0], s.Size[1]), 0, 10000, what)
		}
	}
	pl.p.Box = box
	pl.spec = carcass.Spec{Form: form}
	pl.building()
	pl.given()
}

// stock looks a board up.
func (pl *placer) stock(of, path string, ref project.SheetRef) Stock {
	sheet, measured := pl.sheet(of, path, ref)
	s := Stock{Sheet: sheet, Thickness: sheet.Thickness(), Origin: Origin{Name: of, Path: path, Pos: pl.pos(path)}}
	if measured > 0 {
		s.Thickness, s.Measured = measured, true
	}
	pl.lines.sheet(of, path, sheet, measured)
	return s
}

// building fills in how the box is built.
func (pl *placer) building() {
	b, box := pl.f.Box, pl.p.Box
	d := &pl.spec.Build
	// A face that is still without a sheet is taken to be as thin as a board can be.
	d.Wall, d.Base, d.HandRest, d.Face = box.Walls.Thickness, box.Base.Thickness, box.Rest.Thickness, max(pl.p.Stack.Total, 0.1)
	if pl.upper != nil {
		d.Upper = max(pl.upper.Total, 0.1)
	}
	if pl.spec.Form == carcass.Desk {
		d.Meeting = carcass.SecondSquare // the face comes straight off; mitred against the hand rest it would catch
	}
	switch b.Corners.Joint {
	case "rebate":
		d.Corner = carcass.Rebated
	case "mitre":
		d.Corner = carcass.Mitred
	case "finger":
		d.Corner = carcass.Fingered
		d.Fingers = carcass.Fingers{Width: box.Walls.Thickness, Kerf: box.Kerf}
		if b.Saw.Kind == "laser" {
			d.Fingers.Tool = carcass.Laser
		}
		if pl.size("box.corners.finger", b.Corners.Finger, 0, 200, "The width of a finger") {
			d.Fingers.Width = b.Corners.Finger.MM()
		}
		if pl.sizeOr0("box.corners.fit", b.Corners.Fit, -1, 1, "The fit of the fingers") {
			d.Fingers.Clearance = b.Corners.Fit.MM()
		}
	}
	if b.Corners.Through == "sides" {
		d.Through = carcass.Sides
	}
	if b.Edges == "square" {
		if pl.spec.Form == carcass.Flat {
			pl.noEffect("the square edges", "box.edges", "The square edges have no effect: no edge of a flat box meets on the slant.")
		} else {
			d.WallEdges, d.BaseEdges, d.FaceEdges = carcass.Squared, carcass.Squared, carcass.Squared
		}
	}
	if b.Face == "let-in" {
		d.FaceFit = carcass.In
	}
	switch b.Held {
	case "glued":
		d.FaceHeld = carcass.GluedDown
	case "hinged":
		d.FaceHeld = carcass.Hinged
	}
	if b.BaseFit == "let-in" {
		d.BaseFit = carcass.Between
	}
	pl.play()
	if d.FaceFit == carcass.In {
		if b.Inset != 0 {
			pl.noEffect("the inset", "box.inset", "The inset has no effect: the face is let in between the walls.")
		}
	} else if pl.sizeOr0("box.inset", b.Inset, 0, 500, "The inset of the walls") {
		d.Overhang = b.Inset.MM()
	}
	pl.battens()
}

// play sets the gap round what is let in.
func (pl *placer) play() {
	b, d := pl.f.Box, &pl.spec.Build
	face, base := d.FaceFit == carcass.In && pl.spec.Form != carcass.Rack, d.BaseFit == carcass.Between
	if !face && !base {
		if pl.written("box.play") {
			pl.noEffect("the play", "box.play", "The play has no effect: nothing of the box is let in.")
		}
		return
	}
	play := usualPlay
	if pl.sizeOr0("box.play", b.Play, 0, 10, "The play") {
		play = b.Play.MM()
	} else {
		pl.lines.add("play round what is let in: "+length.Plain(play)+" mm", "the box", trust.Source{Text: "half a millimetre a side for what has to go in by hand", Provenance: trust.Practice, Confidence: trust.Low}, "write play: what suits your saw")
	}
	if face {
		d.Play = play
	}
	if base {
		d.BasePlay = play
	}
}

// battens reads ledge, cleat and glue blocks; ribs come when the size of the box is known.
func (pl *placer) battens() {
	b, d := pl.f.Box, &pl.spec.Build
	d.Ledge = pl.batten(b.Ledge, "ledge")
	if b.Cleat != nil && d.BaseFit != carcass.Between {
		pl.noEffect("the cleat", "box.cleat", "The cleat has no effect: the base is not let in.")
	} else {
		d.Cleat = pl.batten(b.Cleat, "cleat")
	}
	if k := b.Blocks; k != nil && pl.size(pl.firstPath("box.blocks.size", "box.blocks"), k.Size, 0, maxFace, "The size of the glue blocks") {
		d.Blocks.Size = k.Size.MM()
		if pl.size("box.blocks.height", k.Height, 0, maxFace, "The height of the glue blocks") {
			d.Blocks.Height = k.Height.MM()
		}
	}
}

// batten reads the section of a ledge or a cleat; none when there is none, or half of it is missing.
func (pl *placer) batten(l *project.Ledge, what string) carcass.Batten {
	if l == nil {
		return carcass.Batten{}
	}
	path := "box." + what
	w := pl.size(path+".width", l.Width, 0, maxFace, "The width of the "+what)
	h := pl.size(path+".height", l.Height, 0, maxFace, "The height of the "+what)
	if !pl.written(path+".width") || !pl.written(path+".height") {
		pl.missing("the "+what, path, "The "+what+" has no size yet.", "Write width: and height:.")
	}
	if !w || !h {
		return carcass.Batten{}
	}
	return carcass.Batten{Width: l.Width.MM(), Height: l.Height.MM()}
}

// given fills in the sizes that the file gives, those that the form has.
func (pl *placer) given() {
	b, z, form := pl.f.Box, &pl.spec.Sizes, pl.spec.Form
	pl.boxSize("box.front", b.Front, &z.FrontHeight, "The height in front", form != carcass.Rack)
	pl.boxSize("box.back", b.Back, &z.BackHeight, "The height behind", true)
	pl.boxAngle("box.slope", b.Slope, &z.Slope, "The slope", form != carcass.Flat)
	pl.boxSize(pl.firstPath("box.rest.depth", "box.rest"), b.Rest.Depth, &z.HandRest, "The hand rest", form == carcass.Desk)
	if u := b.Upper; u != nil {
		has := form == carcass.TwoSlope
		pl.boxAngle("box.upper.slope", u.Slope, &z.UpperSlope, "The slope of the upper face", has)
		pl.boxSize("box.upper.height", u.Height, &z.UpperHeight, "The height of the upper face", has)
	}
	if o := b.Outside; o != nil {
		pl.boxSize(pl.firstPath("box.outside.0", "box.outside"), o[0], &z.Width, "The width of the box", true)
		pl.boxSize(pl.firstPath("box.outside.1", "box.outside"), o[1], &z.Depth, "The depth of the box from front to back", true)
	}
	z.Clear = pl.p.BoxDepth
	if form == carcass.Rack {
		if pl.f.Face.Rack == 0 {
			pl.missing("the face", "face", "A box of the form rack wants a rack panel.", "Write rack: its height units under face:.")
		}
		z.Units = pl.f.Face.Rack
	}
}

// boxSize takes a size of the box over when the form has it and it is one.
func (pl *placer) boxSize(path string, v length.Length, to *float64, what string, has bool) {
	if pl.hasIt(path, what, has) && pl.size(path, v, 0, maxFace, what) {
		*to = v.MM()
	}
}

func (pl *placer) boxAngle(path string, v length.Angle, to *float64, what string, has bool) {
	if !pl.hasIt(path, what, has) {
		return
	}
	least, most, body := 0.0, float64(carcass.MaxSlope), "It can be anything above 0° up to 75°; a steeper face is a wall."
	if pl.spec.Form == carcass.Rack {
		least, most, body = carcass.MinRack, 90, "It can be anything from 15° to 90°, upright."
	}
	switch d := float64(v); {
	case d > 0 && d <= 90:
		*to = d // package carcass says what is too steep for the form
	case d == 0 && pl.unread(path) || pl.once(path):
	case d == 0 && (pl.spec.Form == carcass.Wedge || pl.spec.Form == carcass.Desk):
		pl.say(ruleBadSize, finding.Finding{
			Head: what + " is 0°: a " + pl.spec.Form.String() + " whose face lies level is a flat box.", Body: "Write form: flat and take the slope out, or give it a slope.",
			Ends:    []finding.End{pl.end(small(what), path), pl.end("the form", pl.firstPath("box.form", "box"))},
			Measure: &finding.Measure{Have: 0, Want: 1, WantMax: most, Unit: "deg", Sense: finding.Between},
			Fixes: []finding.Fix{{Say: "Make it a flat box", Short: "form: flat", Edits: []finding.Edit{
				{Op: finding.Set, Path: "box.form", Value: "flat"}, {Op: finding.Delete, Path: path},
			}}},
		})
	default:
		pl.outOfRange(path, d, least, most, "deg", what+" cannot be "+length.Plain(d)+"°.", body, what)
	}
}

// hasIt reports whether a size stands in the file and belongs to the form of the box; one that does not is a finding.
func (pl *placer) hasIt(path, what string, has bool) bool {
	if !pl.written(path) {
		return false
	}
	if !has {
		pl.noEffect(small(what), path, what+" has no effect: a box of the form "+pl.spec.Form.String()+" has none.")
	}
	return has
}

// deepest is a bound on the depth that there may be behind the face, mm.
func deepest(z carcass.Sizes) float64 {
	lean := min(max(z.Slope, z.UpperSlope), 89)
	return z.Clear + (z.FaceHeight+z.UpperHeight)*math.Tan(lean*math.Pi/180)
}
