package plate

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"knobwright/internal/geom"
)

// Moving holes about gives the same bits as building anew.
func TestUpdate(t *testing.T) {
	m := deskFace()
	p, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	c, d, _ := m.Openings[4].Outline.AsCircle()
	for step, to := range []geom.Vec2{{X: 3, Y: 0}, {X: 3.5, Y: -4}, {X: 160, Y: 35}, {X: 0, Y: 0}} {
		m.Openings[4].Outline = geom.Circle(c.Add(to), d)
		m.Spots[4].At = c.Add(to)
		if err := p.Update(m); err != nil {
			t.Fatal(err)
		}
		w := p.work
		if w.NewCells > 60 || w.NewFronts >= w.Fronts/2 {
			t.Errorf("step %d: too much work for one hole: %+v", step, w)
		}
		q, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		b, _ := q.Solve()
		for i := range a.Cases {
			for j, v := range a.Cases[i].Give {
				if math.Float64bits(v) != math.Float64bits(b.Cases[i].Give[j]) {
					t.Fatalf("step %d: case %d, spot %d: %v after the move, %v anew", step, i, j, v, b.Cases[i].Give[j])
				}
			}
			for j, e := range a.Cases[i].Edges {
				if e.Peak != b.Cases[i].Edges[j].Peak {
					t.Fatalf("step %d: stress %v, anew %v", step, e.Peak, b.Cases[i].Edges[j].Peak)
				}
			}
		}
	}
	// a change of the grid, of the sheet, of the ribs: all worked out anew
	m.Thickness = 4
	if err := p.Update(m); err != nil {
		t.Fatal(err)
	}
	if p.work.NewFronts != p.work.Fronts {
		t.Error("a thicker sheet took over old equations")
	}
	m.Ribs = nil
	if err := p.Update(m); err != nil {
		t.Fatal(err)
	}
	q, _ := New(m)
	if a, b := p.Compliance()[0][0], q.Compliance()[0][0]; a != b {
		t.Errorf("without the rib %v, anew %v", a, b)
	}
	// a failed update leaves the plate as it was
	bad := m
	bad.Thickness = 0
	if err := p.Update(bad); err == nil {
		t.Error("no thickness, no error")
	}
	bad = m
	bad.Lines = m.Lines[:1]
	if err := p.Update(bad); err == nil {
		t.Error("a sheet on one edge, no error")
	}
	if a, b := p.Compliance()[0][0], q.Compliance()[0][0]; a != b {
		t.Errorf("after failed updates %v, before %v", a, b)
	}
}

// Whatever changes, the updated plate is the plate built anew, to the last bit.
func TestUpdateAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	f := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	m := Model{Outline: box(260, 140), Thickness: 3, Material: Even(3200, 0.37, 1190), Lines: sides(260, 140, 0, 100, -1, Clamped)}
	for range 6 {
		m.Spots = append(m.Spots, Spot{At: at(f(10, 250), f(10, 130)), Outer: 8})
	}
	m.Cases = []Case{{Forces: []Force{{0, 5}}}, {Pressure: 1e-3}}
	p, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	local := 0
	for step := range 60 {
		switch k := r.IntN(9); {
		case k < 3:
			m.Openings = append(m.Openings, Opening{"", geom.Circle(at(f(20, 240), f(20, 120)), f(4, 18))})
		case k == 3 && len(m.Openings) > 0:
			i := r.IntN(len(m.Openings))
			m.Openings = append(append([]Opening(nil), m.Openings[:i]...), m.Openings[i+1:]...)
		case k == 4 && len(m.Openings) > 0:
			i := r.IntN(len(m.Openings))
			m.Openings[i].Outline = geom.Circle(at(f(20, 240), f(20, 120)), f(4, 18))
		case k == 5:
			m.Lines[1].Spring = f(1, 500)
		case k == 6:
			m.Points = []Point{{"", at(f(100, 200), 20), 6, f(0, 1) * 1e-3}}
		case k == 7:
			m.Ribs = []Rib{{A: at(30, f(20, 60)), B: at(230, f(70, 120)), Width: 6, Height: 10, Young: 3200, Poisson: 0.37}}
		case k == 8:
			m.Spots[2].At = at(f(10, 250), f(10, 130))
		}
		var off *InputError
		err := p.Update(m)
		if errors.As(err, &off) {
			m.Points = nil // a screw over a hole
			continue
		}
		if err != nil {
			t.Fatalf("step %d: %v", step, err)
		}
		if w := p.Work(); w.NewFronts < w.Fronts {
			local++
		}
		q, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		b, _ := q.Solve()
		for i := range a.Cases {
			if !slices.Equal(a.Cases[i].Give, b.Cases[i].Give) || !slices.Equal(a.Cases[i].Lines, b.Cases[i].Lines) {
				t.Fatalf("step %d, case %d:\n%v\n%v", step, i, a.Cases[i].Give, b.Cases[i].Give)
			}
			for j := range a.Cases[i].Edges {
				if !slices.Equal(a.Cases[i].Edges[j].Along, b.Cases[i].Edges[j].Along) {
					t.Fatalf("step %d, case %d: stress along opening %d", step, i, j)
				}
			}
		}
		if len(p.Notices()) != len(q.Notices()) {
			t.Fatalf("step %d: %v, anew %v", step, p.Notices(), q.Notices())
		}
	}
	if local < 30 {
		t.Errorf("only %d of 60 changes were mended locally", local)
	}
}

// A hole that leaves slivers, to and fro: each step is the plate built anew, and none loses its softer edges.
func TestUpdateThroughTrouble(t *testing.T) {
	m := plain()
	m.Ribs = []Rib{{A: at(10, 10), B: at(190, 22), Width: 5, Height: 9, Young: 3200, Poisson: 0.37}}
	hole := func(d float64) { m.Openings = []Opening{{"", geom.Circle(at(100, 50), d)}} }
	hole(20)
	p, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []float64{99.99, 30, 99.999, 99.99, 20} {
		hole(d)
		if err := p.Update(m); err != nil {
			t.Fatal(err)
		}
		q, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range p.Notices() {
			if n.Kind == EdgeLayerOff {
				t.Errorf("hole of %g mm: %v", d, n)
			}
		}
		if a, b := p.Compliance()[1][1], q.Compliance()[1][1]; a != b {
			t.Errorf("hole of %g mm: %v, anew %v", d, a, b)
		}
	}
}
