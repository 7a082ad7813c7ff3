package plate

import (
	"math"
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
