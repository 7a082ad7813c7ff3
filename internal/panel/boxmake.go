package panel

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/carcass"
)

// faceOfBox hands the size of the face to the box, and takes what the file leaves out from the box.
func (pl *placer) faceOfBox() {
	f, z := &pl.p.Face, &pl.spec.Sizes
	if pl.p.Box == nil {
		return
	}
	if pl.spec.Form == carcass.Rack {
		return // the units say it
	}
	z.FaceWidth, z.FaceHeight = f.Width, f.Height
	if f.Width > 0 && f.Height > 0 {
		return
	}
	full, _ := carcass.Resolve(pl.spec)
	if f.Width == 0 {
		f.Width = grid(full.FaceWidth)
	}
	if f.Height == 0 {
		f.Height = grid(full.FaceHeight)
	}
}

// unknownDepth is how deep walls and rails are taken to be while the box has no depth: deeper than any control.
const unknownDepth = 300

// makeBox makes the boards. What keeps them from being made is said, and the box is tried again without it, so that the rest of
// the panel is still checked against a box.
func (pl *placer) makeBox() {
	p := pl.p
	if p.Box == nil || !p.Face.HasSize() {
		return
	}
	if full, ps := carcass.Resolve(pl.spec); len(ps) == 0 {
		pl.carcassRibs(full)
	}
	for range 12 {
		c, ps := carcass.Make(pl.spec)
		if c != nil {
			p.Carcass, p.asked = c, pl.spec
			p.BoxDepth = c.Spec.Sizes.Clear
			if given := pl.spec.Sizes.Clear; given > 0 && math.Abs(given-p.BoxDepth) < 1e-6 {
				p.BoxDepth = given
			}
			return
		}
		for _, q := range ps {
			pl.problem(q)
		}
		if !pl.relax(ps) {
			return
		}
	}
}

// openBox makes the walls of a level box whose depth is not known yet.
func (pl *placer) openBox() *carcass.Carcass {
	s := pl.spec
	if z := s.Sizes; s.Form != carcass.Flat || z.Clear > 0 || z.FrontHeight > 0 || z.BackHeight > 0 {
		return nil
	}
	s.Build.BaseFit, s.Sizes.Clear = carcass.NoBase, unknownDepth
	c, _ := carcass.Make(s)
	return c
}

// relax leaves out what the problems are about, when a box can be without it; false when nothing could be left out.
func (pl *placer) relax(ps []carcass.Problem) (changed bool) {
	s := &pl.spec
	for _, q := range ps {
		if q.Kind == carcass.Disagree || q.Kind == carcass.NoUse {
			if v := sizeOf(&s.Sizes, q.Ends[0].Name); v != nil && *v != 0 {
				*v, changed = 0, true
			}
			continue
		}
		for _, e := range q.Ends {
			name := string(e.Name)
			n := len(s.Build.Ribs)
			s.Build.Ribs = slices.DeleteFunc(s.Build.Ribs, func(r carcass.Rib) bool { return r.Name == name })
			changed = changed || len(s.Build.Ribs) < n
			switch {
			case strings.HasPrefix(name, "ledge") && s.Build.Ledge != carcass.Batten{}:
				s.Build.Ledge, changed = carcass.Batten{}, true
			case strings.HasPrefix(name, "cleat") && s.Build.Cleat != carcass.Batten{}:
				s.Build.Cleat, changed = carcass.Batten{}, true
			case strings.Contains(name, "glue block") && s.Build.Blocks != carcass.Blocks{}:
				s.Build.Blocks, changed = carcass.Blocks{}, true
			}
		}
	}
	return changed
}

// sizeOf gives the size of an order by its name, nil for other things.
func sizeOf(z *carcass.Sizes, f carcass.Field) *float64 {
	switch f {
	case carcass.FWidth:
		return &z.Width
	case carcass.FDepth:
		return &z.Depth
	case carcass.FFrontHeight:
		return &z.FrontHeight
	case carcass.FBackHeight:
		return &z.BackHeight
	case carcass.FFaceWidth:
		return &z.FaceWidth
	case carcass.FFaceHeight:
		return &z.FaceHeight
	case carcass.FClear:
		return &z.Clear
	case carcass.FSlope:
		return &z.Slope
	case carcass.FHandRest:
		return &z.HandRest
	case carcass.FUpperSlope:
		return &z.UpperSlope
	case carcass.FUpperHeight:
		return &z.UpperHeight
	}
	return nil
}
