package box

import (
	"testing"

	"knobwright/internal/geom"
)

// TestScrewsKeepOffFaceScrews: a screw of the face goes 12 mm down into the edge of a wall, and there a screw through the front comes along. By hand:
// points all along both, a tenth of a millimetre apart, are never nearer than both are thick.
func TestScrewsKeepOffFaceScrews(t *testing.T) {
	for _, insert := range []string{"", "M3"} {
		c := made(t, flat(300, 200, 90, 10))
		o := order(c)
		o.Screws.Insert = insert
		f := c.Faces[0]
		for _, at := range []geom.Vec2{{X: 5, Y: 12}, {X: 295, Y: 12}, {X: 5, Y: 188}, {X: 295, Y: 188}} {
			o.Fixings = append(o.Fixings, Fixing{Name: "fixing", At: at, Screw: "M3", Major: 3, Head: 6})
		}
		thick, long := 3.0, 12.0
		if insert != "" {
			thick = 5.5 // the hole of an insert in plywood
		}
		r := Judge(o)
		if len(r.Screws) == 0 {
			t.Fatal("no screws")
		}
		for _, s := range r.Screws {
			for _, x := range o.Fixings {
				a := f.Frame.ToWorld(x.At.At(-f.Thickness))
				for i := 0.0; i <= long; i += 0.1 {
					p := a.Sub(f.Frame.N.Mul(i))
					for k := 0.0; k <= s.Length; k += 0.1 {
						if d := p.Sub(s.At.Add(s.Dir.Mul(k))).Len(); d < (thick+s.Size.Major)/2 {
							t.Fatalf("insert %q: screw %d through the %s at %v comes within %.1f mm of the face screw at %v", insert, s.N, s.Through, s.At, d, x.At)
						}
					}
				}
			}
		}
	}
}
