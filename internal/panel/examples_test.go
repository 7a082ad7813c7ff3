package panel

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

func TestExamplesPlace(t *testing.T) {
	for _, name := range examples.Names() {
		doc := project.Read(name, examples.File(name))
		p, fs := Place(doc, catalog.Builtin())
		for _, f := range fs {
			if f.Severity == finding.Stop {
				t.Errorf("%s line %d: %s: %s", name, f.Pos().Line, f.Rule, f.Head)
			}
		}
		if len(p.Controls) == 0 || len(p.Waiting) != 0 {
			t.Errorf("%s: %d placed, %d waiting", name, len(p.Controls), len(p.Waiting))
		}
		q, gs := Place(project.Read(name, examples.File(name)), catalog.Builtin())
		if !reflect.DeepEqual(p.Assumed, q.Assumed) || !reflect.DeepEqual(fs, gs) || fmt.Sprint(layoutOf(p)) != fmt.Sprint(layoutOf(q)) {
			t.Errorf("%s: placed twice, two results", name)
		}
		check(t, p)
	}
}

// check holds for every panel, however it was written.
func check(t tester, p *Panel) {
	t.Helper()
	seen := map[string]bool{}
	ids := map[string]bool{}
	for _, c := range p.Controls {
		if seen[c.Name] {
			t.Errorf("two controls are called %s", c.Name)
		}
		seen[c.Name] = true
		if c.Part.ID == "" || c.Label == "" || c.Origin.Path == "" {
			t.Errorf("%+v", c)
		}
		for _, k := range c.Cuts {
			if ids[k.ID] || k.Owner != c || k.Outline.Empty() || k.FinishedMin > k.FinishedMax || k.CutMin < k.FinishedMin {
				t.Errorf("cut %+v", k)
			}
			ids[k.ID] = true
		}
		for _, b := range c.Front {
			if b.Z0 < 0 || b.Z1 <= b.Z0 || b.Solid == nil {
				t.Errorf("%s: %s in front goes from %v to %v", c.Name, b.Role, b.Z0, b.Z1)
			}
		}
		for _, b := range c.Rear {
			if b.Z1 > -p.Stack.Total || b.Z1 <= b.Z0 || b.Solid == nil {
				t.Errorf("%s: %s behind goes from %v to %v", c.Name, b.Role, b.Z0, b.Z1)
			}
		}
		if box := c.Legend.Box; c.Legend.Text != "" && (box.Min.X > box.Max.X || box.Min.Y > box.Max.Y) {
			t.Errorf("%s: the legend's box is %v", c.Name, box)
		}
	}
	for _, b := range p.Behind {
		if b.Solid == nil || b.Z1 <= b.Z0 {
			t.Errorf("%+v", b)
		}
	}
	for _, k := range p.Openings {
		if ids[k.ID] || k.Outline.Empty() {
			t.Errorf("opening %+v", k)
		}
		ids[k.ID] = true
	}
	if p.HasBox && !(p.Interior.Min.X < p.Interior.Max.X && p.Interior.Min.Y < p.Interior.Max.Y) {
		t.Errorf("interior %v", p.Interior)
	}
	if p.Face.HasSize() && (p.Face.Outline.Bounds().Size().Sub(geom.Vec2{X: p.Face.Width, Y: p.Face.Height}).Len() > 1e-6) {
		t.Errorf("outline %v", p.Face.Outline.Bounds())
	}
}

func FuzzPlace(f *testing.F) {
	for _, name := range examples.Names() {
		f.Add(string(examples.File(name)))
	}
	for _, s := range slips {
		f.Add(s.text())
	}
	f.Add("knobwright: 1\nunits: in\nface: {rack: 4, sheet: acrylic-3mm}\nlimits: {fit.hole-slack: -1}\nkeep: [{rule: x, why: y}]")
	cat := testCatalog(f)
	f.Fuzz(func(t *testing.T, src string) {
		p, fs := Place(project.Read("fuzz.yaml", []byte(src)), cat)
		if len(p.Controls) > maxControls+1 {
			t.Errorf("%d controls", len(p.Controls))
		}
		check(t, p)
		for _, x := range fs {
			if x.Head == "" || x.Rule == "" || len(x.Ends) == 0 {
				t.Errorf("%+v", x)
			}
		}
	})
}

func many(n int) []byte {
	var b strings.Builder
	b.WriteString("knobwright: 1\nface: {width: 2900, height: 2900, sheet: acrylic-3mm, covering: vinyl-film}\nbox: {depth: 80, walls: birch-ply-9mm}\ncontrols:\n")
	parts := []string{"push-16mm", "toggle-mini-2", "pot-16mm", "lamp-5mm-holder"}
	for i := range n {
		fmt.Fprintf(&b, "  c%d: {part: %s, at: [%d, %d], turn: %d}\n", i, parts[i%4], 40+60*(i%46), 40+60*(i/46), i%90)
	}
	return []byte(b.String())
}

func BenchmarkPlace(b *testing.B) {
	for _, n := range []int{100, 500, 1000, 2000} {
		doc := project.Read("many.yaml", many(n))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				p, _ := Place(doc, catalog.Builtin())
				if len(p.Controls) != n {
					b.Fatalf("%d controls", len(p.Controls))
				}
			}
		})
	}
}
