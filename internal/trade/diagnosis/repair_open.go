package diagnosis

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/geom"
	"knobwright/internal/trade/harness"
	"knobwright/internal/words"
)

func (m *Model) mend(x Cause) Mend {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := Mend{Cause: x}
	board := ""
	for _, f := range x.Faults {
		e := m.explain(f)
		out.Explain = append(out.Explain, e)
		for _, sp := range e.Spots {
			if sp.Control != "" {
				board = sp.Board
			}
			for _, w := range m.c.over(sp, e.Wires) {
				if !slices.ContainsFunc(out.InWay, func(o InWay) bool { return o.Bundle == w.Bundle }) {
					out.InWay = append(out.InWay, w)
				}
			}
		}
	}
	slices.SortStableFunc(out.InWay, func(a, b InWay) int {
		switch {
		case a.Off < b.Off:
			return -1
		case a.Off > b.Off:
			return 1
		}
		return a.Bundle - b.Bundle
	})
	out.InWay = out.InWay[:min(len(out.InWay), 4)]
	m.c.screws(&out, board)
	return out
}

// Opens says which screws come out so that the back of a board of the box can be reached; "" is the face. It weighs nothing, and is quick.
func (m *Model) Opens(board string) words.Text {
	var out Mend
	m.c.screws(&out, board)
	return out.Open
}

// screws says what comes out so that the back of a board can be reached.
func (c *circuit) screws(out *Mend, board string) {
	name := board
	if name == "" {
		name = "face"
	}
	out.Opening = c.in.Harness.Opening.Say
	out.Open = words.T("repair.open.free", "board", name)
	if c.in.Panel == nil {
		return
	}
	for _, s := range c.in.Panel.Sheets() {
		if s.Board != board && !(board == "" && s == c.in.Panel) {
			continue
		}
		var kinds []string
		for _, f := range s.Fixings {
			out.Screws = append(out.Screws, geom.Vec2{X: f.At.X, Y: f.At.Y})
			if f.Screw != "" && !slices.Contains(kinds, f.Screw) {
				kinds = append(kinds, f.Screw)
			}
		}
		if len(out.Screws) > 0 {
			out.Open = words.T("repair.open.screws", "n", len(out.Screws), "board", name, "screw", strings.Join(kinds, ", "))
		}
		return
	}
}

// overNear is how close to a place a bundle counts as in the way, mm from its skin: what an iron and a finger want. Common practice.
const overNear = 12

// over lists the bundles that pass over a place as seen from behind, without those that only hold its own wires.
func (c *circuit) over(s Spot, own []string) []InWay {
	if !s.Known || s.At == (geom.Vec3{}) {
		return nil
	}
	flat := geom.Pose{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}, Z: geom.Vec3{Z: 1}}
	if c.in.Panel != nil {
		flat = c.in.Panel.ToBox.Inverse()
		for _, sh := range c.in.Panel.Sheets() {
			if s.Control != "" && sh.Board == s.Board {
				flat = sh.ToBox.Inverse()
			}
		}
	}
	p := flat.Apply(s.At)
	var out []InWay
	for i := range c.in.Harness.Bundles {
		b := &c.in.Harness.Bundles[i]
		off, deep := nearest(b, flat, p)
		off -= b.Diameter / 2
		if off > overNear || deep > p.Z+1 { // in front of the lug it is in nobody's way
			continue
		}
		ids := []string{}
		foreign := false
		for _, w := range b.Wires {
			if w >= 0 && w < len(c.in.Harness.Wires) {
				ids = append(ids, c.in.Harness.Wires[w].ID)
				foreign = foreign || !slices.Contains(own, c.in.Harness.Wires[w].ID)
			}
		}
		if !foreign {
			continue
		}
		off = max(0, off)
		out = append(out, InWay{
			Say:    words.T("repair.way.bundle", "n", len(ids), "mm", strconv.FormatFloat(math.Round(b.Diameter*10)/10, 'f', -1, 64), "off", strconv.Itoa(int(math.Round(off)))),
			Bundle: i, Wires: ids, Off: off,
		})
	}
	return out
}

// nearest gives how far a bundle passes from a place as seen from behind, and how deep it lies there.
func nearest(b *harness.Bundle, flat geom.Pose, p geom.Vec3) (off, z float64) {
	off, z = math.Inf(1), math.Inf(1)
	for k := 0; k+1 < len(b.Path); k++ {
		u, v := flat.Apply(b.Path[k]), flat.Apply(b.Path[k+1])
		d := v.Sub(u)
		l := d.X*d.X + d.Y*d.Y
		t := 0.0
		if l > 0 {
			t = min(1, max(0, ((p.X-u.X)*d.X+(p.Y-u.Y)*d.Y)/l))
		}
		q := u.Add(d.Mul(t))
		if h := math.Hypot(q.X-p.X, q.Y-p.Y); h < off {
			off, z = h, q.Z
		}
	}
	return off, z
}
