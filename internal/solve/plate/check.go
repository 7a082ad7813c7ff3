package plate

import (
	"math"

	"knobwright/internal/geom"
)

// The widest ranges that make sense for sheets and bars; what lies outside is a slip of the pen or of units.
const (
	leastYoung, mostYoung = 0.01, 2e6 // MPa: soft foam to past diamond
	mostSize              = 1e5       // mm
	mostForce             = 1e9
	mostThings            = 20000
)

// check looks at every number of the model.
func (m *Model) check() error {
	bad := func(thing string, i int, name, field string, v float64, want string) error {
		return &InputError{Thing: thing, Index: i, Name: name, Field: field, Value: v, Want: want}
	}
	place := func(ps ...geom.Vec2) (float64, bool) {
		for _, p := range ps {
			for _, v := range [2]float64{p.X, p.Y} {
				if !(math.Abs(v) <= mostSize) {
					return v, false
				}
			}
		}
		return 0, true
	}
	const far = "a place within 100 m"
	if v, ok := outlineFits(m.Outline); !ok {
		return bad("sheet", -1, "", "outline", v, "at least three corners within 100 m, round some area")
	}
	t := m.Thickness
	if !(t > 0) || t > 1000 {
		return bad("sheet", -1, "", "thickness", t, "more than 0, at most 1000 mm")
	}
	if err := m.Material.check(); err != nil {
		return err
	}
	for _, n := range []int{len(m.Openings), len(m.Lines), len(m.Points), len(m.Ribs), len(m.Spots), len(m.Cases)} {
		if n > mostThings {
			return bad("sheet", -1, "", "number of things on it", float64(n), "at most 20000")
		}
	}
	for i, o := range m.Openings {
		if v, ok := outlineFits(o.Outline); !ok {
			return bad("opening", i, o.Name, "outline", v, "a closed shape round some area, within 100 m")
		}
	}
	for i, l := range m.Lines {
		if v, ok := place(l.A, l.B); !ok {
			return bad("line", i, l.Name, "end", v, far)
		}
		if d := l.B.Sub(l.A).Len(); !(d >= t/10) {
			return bad("line", i, l.Name, "length", d, "at least a tenth of the thickness")
		}
		if !(l.Spring >= 0) {
			return bad("line", i, l.Name, "spring", l.Spring, "0 or more")
		}
	}
	for i, p := range m.Points {
		if v, ok := place(p.At); !ok {
			return bad("point", i, p.Name, "place", v, far)
		}
		if !(p.Diameter >= 0) || p.Diameter > mostSize {
			return bad("point", i, p.Name, "diameter", p.Diameter, "0 or more")
		}
		if !(p.Give >= 0) || p.Give > 1e6 {
			return bad("point", i, p.Name, "give", p.Give, "0 to 1e6 mm/N")
		}
	}
	for i, r := range m.Ribs {
		if v, ok := place(r.A, r.B); !ok {
			return bad("rib", i, r.Name, "end", v, far)
		}
		switch d := r.B.Sub(r.A).Len(); {
		case !(d > 0):
			return bad("rib", i, r.Name, "length", d, "more than 0 mm")
		case !(r.Width > 0) || r.Width > mostSize:
			return bad("rib", i, r.Name, "width", r.Width, "more than 0 mm")
		case !(r.Height > 0) || r.Height > mostSize:
			return bad("rib", i, r.Name, "height", r.Height, "more than 0 mm")
		case !(r.Young >= 0) || r.Young > 1e3*mostYoung || r.Young > 0 && r.Young < 1e-9*m.Material.Along:
			return bad("rib", i, r.Name, "young", r.Young, "a modulus in MPa")
		case !(r.Poisson >= 0) || !(r.Poisson < 0.5):
			return bad("rib", i, r.Name, "poisson", r.Poisson, "0 to below 0.5")
		case !(r.Glue >= 0) || r.Glue > 1e12:
			return bad("rib", i, r.Name, "glue", r.Glue, "0 or more")
		case !(r.Shear >= 0) || r.Shear > 1e3*mostYoung || r.Shear > 0 && r.Shear < 1e-4*r.Young:
			return bad("rib", i, r.Name, "shear", r.Shear, "a shear modulus in MPa")
		case r.Young == 0:
			return bad("rib", i, r.Name, "young", 0, "more than 0 MPa")
		}
	}
	for i, s := range m.Spots {
		if v, ok := place(s.At); !ok {
			return bad("spot", i, s.Name, "place", v, far)
		}
		if !(s.Outer >= 0) || s.Outer > mostSize {
			return bad("spot", i, s.Name, "outer", s.Outer, "0 or more")
		}
		if !(s.Inner >= 0) || s.Outer > 0 && s.Inner >= s.Outer {
			return bad("spot", i, s.Name, "inner", s.Inner, "0 or more, less than outer")
		}
		if s.Outline != nil {
			if v, ok := outlineFits(s.Outline); !ok {
				return bad("spot", i, s.Name, "outline", v, "a closed shape round some area")
			}
		}
	}
	for i, c := range m.Cases {
		if !(math.Abs(c.Pressure) <= mostForce) {
			return bad("case", i, c.Name, "pressure", c.Pressure, "a number of MPa")
		}
		if !(math.Abs(c.Weight) <= 1e6) {
			return bad("case", i, c.Name, "weight", c.Weight, "a share of the sheet's weight")
		}
		for _, f := range c.Forces {
			if f.Spot < 0 || f.Spot >= len(m.Spots) {
				return bad("case", i, c.Name, "spot", float64(f.Spot), "the number of a spot")
			}
			if !(math.Abs(f.Newton) <= mostForce) {
				return bad("case", i, c.Name, "force", f.Newton, "a number of newtons")
			}
		}
	}
	return m.Options.check()
}

func (o *Options) check() error {
	if !(o.Cell >= 0) || o.Cell > mostSize {
		return &InputError{Thing: "option", Index: -1, Field: "cell", Value: o.Cell, Want: "0 or more"}
	}
	if !(math.Abs(o.Turn) <= 360) {
		return &InputError{Thing: "option", Index: -1, Field: "turn", Value: o.Turn, Want: "an angle"}
	}
	return nil
}

// check looks at a material.
func (m Material) check() error {
	bad := func(field string, v float64, want string) error {
		return &InputError{Thing: "sheet", Index: -1, Field: field, Value: v, Want: want}
	}
	if !(m.Along >= leastYoung) || m.Along > mostYoung {
		return bad("young's modulus", m.Along, "0.01 to 2000000 MPa")
	}
	if !(m.Poisson >= 0) || !(m.Poisson < 0.5) {
		return bad("poisson's ratio", m.Poisson, "0 to below 0.5")
	}
	for _, e := range []struct {
		name string
		v    float64
	}{
		{"modulus across", m.Across}, {"shear modulus in the plane", m.InPlane},
		{"shear modulus through", m.Through}, {"rolling shear modulus", m.Rolling},
	} {
		if e.v != 0 && (!(e.v >= m.Along/1e4) || e.v > m.Along*1e4) {
			return bad(e.name, e.v, "0, or within a factor of 10000 of that along the grain")
		}
	}
	f := m.filled()
	if !(m.Poisson*m.Poisson*f.Across/f.Along < 1) {
		return bad("poisson's ratio", m.Poisson, "less than the root of along/across")
	}
	if !(math.Abs(m.Grain) <= 1e6) {
		return bad("grain", m.Grain, "an angle in degrees")
	}
	if !(m.Density >= 0) || m.Density > 1e5 {
		return bad("density", m.Density, "0 to 100000 kg/m³")
	}
	return nil
}

// outlineFits reports whether an outline is closed round some area, with usable numbers.
func outlineFits(o geom.Outline) (float64, bool) {
	if len(o) < 2 || len(o) > mostThings {
		return float64(len(o)), false
	}
	for _, v := range o {
		for _, x := range [3]float64{v.P.X, v.P.Y, v.Bulge} {
			if !(math.Abs(x) <= mostSize) {
				return x, false
			}
		}
	}
	if o.Empty() || !(o.Area() > 1e-9) {
		return o.Area(), false
	}
	return 0, true
}
