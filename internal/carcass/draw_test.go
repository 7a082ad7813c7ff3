package carcass

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/geom"
)

// samples are boxes to look at.
func samples() map[string]Spec {
	ply := Build{Wall: 9, Base: 6, Face: 3}
	with := func(f func(*Build)) Build { b := ply; f(&b); return b }
	return map[string]Spec{
		"flat":    {Flat, Sizes{FaceWidth: 300, FaceHeight: 200, FrontHeight: 60}, ply},
		"flat-in": {Flat, Sizes{FaceWidth: 300, FaceHeight: 200, FrontHeight: 60}, with(func(b *Build) { b.FaceFit = In; b.Blocks.Size = 15; b.Corner = Fingered; b.Fingers.Width = 12 })},
		"wedge":   {Wedge, Sizes{FaceWidth: 340, FaceHeight: 200, FrontHeight: 45, Slope: 14}, with(func(b *Build) { b.BaseFit = Between; b.Blocks = Blocks{Size: 18, Triangular: true} })},
		"desk":    {Desk, Sizes{FaceWidth: 340, FaceHeight: 200, FrontHeight: 45, Slope: 14}, with(func(b *Build) { b.Corner = Rebated })},
		"desk-rest": {Desk, Sizes{FaceWidth: 340, FaceHeight: 200, FrontHeight: 50, Slope: 20, HandRest: 70}, with(func(b *Build) {
			b.HandRest = 9
			b.Ledge = Batten{12, 12}
			b.Ribs = []Rib{{From: v2(170, -50), To: v2(170, 400), Width: 9, Height: 20}}
		})},
		"two-slope":  {TwoSlope, Sizes{FaceWidth: 400, FaceHeight: 150, UpperHeight: 160, FrontHeight: 50, Slope: 12, UpperSlope: 55}, with(func(b *Build) { b.Corner = Mitred })},
		"two-convex": {TwoSlope, Sizes{FaceWidth: 400, FaceHeight: 150, UpperHeight: 160, FrontHeight: 50, Slope: 55, UpperSlope: 12}, with(func(b *Build) { b.FaceFit = In })},
		"rack":       {Rack, Sizes{Units: 3, Depth: 180}, ply},
		"rack-lean":  {Rack, Sizes{Units: 4, Depth: 200, Slope: 60}, with(func(b *Build) { b.FaceFit = In })},
		"rack-wedge": {Rack, Sizes{Units: 4, Slope: 30}, with(func(b *Build) { b.BaseFit = Between })},
	}
}

// TestDraw writes wire drawings of the samples into the folder that CARCASS_DRAW names.
func TestDraw(t *testing.T) {
	dir := os.Getenv("CARCASS_DRAW")
	if dir == "" {
		t.Skip("CARCASS_DRAW names no folder to draw into")
	}
	for name, s := range samples() {
		c, ps := Make(s)
		if len(ps) > 0 {
			t.Errorf("%s: %v", name, ps)
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, name+".svg"), []byte(wire(c)), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, b := range c.Boards {
			t.Logf("%s: %s %.1f x %.1f x %.1f", name, b.Name, b.Blank.X, b.Blank.Y, b.Thickness)
		}
	}
}

// wire draws the box together and pulled apart, seen from the front right above.
func wire(c *Carcass) string {
	var body strings.Builder
	box := geom.EmptyBox2()
	see := func(p geom.Vec3) geom.Vec2 {
		s, k := math.Sincos(30 * math.Pi / 180)
		return v2(p.X*k+p.Y*k*0.6, -p.Z*0.9+p.X*s*0.35-p.Y*s*0.9)
	}
	mid := c.Bounds.Centre()
	for pass, pull := range []float64{0, 0.8} {
		at := v2(float64(pass)*(c.Bounds.Max.X-c.Bounds.Min.X)*2.1, 0)
		for i := range c.Boards {
			b := &c.Boards[i]
			box3 := geom.EmptyBox3()
			for _, h := range b.Parts {
				box3 = box3.Union(h.Bounds())
			}
			move := box3.Centre().Sub(mid).Mul(pull)
			for _, h := range b.Parts {
				for f := range h.Faces {
					var pts []string
					pl := h.Plane(f)
					for _, k := range h.Faces[f] {
						q := see(h.Points[k].Add(move)).Add(at)
						box = box.Extend(q)
						pts = append(pts, fmt.Sprintf("%.2f,%.2f", q.X, q.Y))
					}
					style := "fill:none;stroke:#888;stroke-width:0.3;stroke-dasharray:2 1"
					if pl.N.Dot(v3(0.5, -0.6, 0.6)) > 0 {
						style = "fill:#ebd7b0;fill-opacity:0.55;stroke:#20262b;stroke-width:0.7"
					}
					fmt.Fprintf(&body, "<polygon points='%s' style='%s'/>\n", strings.Join(pts, " "), style)
				}
			}
		}
	}
	sz := box.Size()
	return fmt.Sprintf("<svg xmlns='http://www.w3.org/2000/svg' width='%.0f' height='%.0f' viewBox='%.1f %.1f %.1f %.1f'><rect x='%.1f' y='%.1f' width='100%%' height='100%%' fill='#f6f1e4'/>%s</svg>",
		sz.X+20, sz.Y+20, box.Min.X-10, box.Min.Y-10, sz.X+20, sz.Y+20, box.Min.X-10, box.Min.Y-10, body.String())
}
