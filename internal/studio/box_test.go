package studio

import (
	"encoding/json"
	"math"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/packet"
)

// boxOf serves an example and gives its box.
func boxOf(t *testing.T, text string) (*Server, BoxData) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "panel.yaml")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, plainJudge, plainTouch)
	if err != nil {
		t.Fatal(err)
	}
	v := NewServer(s, Rim{Solids: func(l *Look) (*solid.Model, error) { return packet.Solids(l.Result) }})
	w := httptest.NewRecorder()
	v.mux.ServeHTTP(w, httptest.NewRequest("GET", "/api/box", nil))
	var d BoxData
	if err := json.Unmarshal(w.Body.Bytes(), &d); w.Code != 200 || err != nil {
		t.Fatalf("%d %v %.300s", w.Code, err, w.Body)
	}
	return v, d
}

// swung takes a place along with a lid, opened by a share.
func swung(d BoxData, lid int, q [3]float64, share float64) geom.Vec3 {
	p := geom.Vec3{X: q[0], Y: q[1], Z: q[2]}
	if lid < 0 {
		return p
	}
	l := d.Lids[lid]
	v := func(a [3]float64) geom.Vec3 { return geom.Vec3{X: a[0], Y: a[1], Z: a[2]} }
	if l.Angle == 0 {
		return p.Add(v(l.Lift).Mul(share))
	}
	return v(l.About).Add(geom.TurnAbout(v(l.Axis), l.Angle*share).Turn(p.Sub(v(l.About))))
}

// While a box is opened, no wire is pulled: its free part is longer than its ends come apart. What it belongs to is found for every body.
func TestBoxOpensWithItsWires(t *testing.T) {
	glued := strings.Replace(string(examples.File("cue-desk")), "  depth: 62\n", "  depth: 62\n  held: glued\n  screws: 3x20\n", 1)
	hinged := strings.Replace(string(examples.File("cue-desk")), "  depth: 62\n", "  depth: 62\n  held: hinged\n", 1)
	texts := map[string]string{"glued": glued, "hinged": hinged}
	for _, name := range []string{"cue-desk", "lantern-desk", "tide-clock"} {
		texts[name] = string(examples.File(name))
	}
	for name, text := range texts {
		v, d := boxOf(t, text)
		if len(d.Lids) == 0 || d.Opens == "" || len(d.Wires) < 5 || len(d.Bodies) < 10 {
			t.Errorf("%s: %d lids, %q, %d wires, %d bodies", name, len(d.Lids), d.Opens, len(d.Wires), len(d.Bodies))
			continue
		}
		boards, carried, moving := 0, map[string]bool{}, 0
		for _, b := range d.Bodies {
			switch b.Kind {
			case "board":
				boards++
				if want := b.Name == d.Lids[0].Board; want != (b.Lid == 0) && !strings.HasPrefix(b.Name, "rib") {
					t.Errorf("%s: %s is on lid %d", name, b.Name, b.Lid)
				}
			case "front", "behind":
				carried[b.Control] = true
			}
		}
		if boards < 6 || len(carried) < len(d.Controls)*3/4 {
			t.Errorf("%s: %d boards, bodies of %d of %d controls", name, boards, len(carried), len(d.Controls))
		}
		for _, x := range d.Wires {
			if x.From == x.To {
				continue
			}
			moving++
			if x.Free[0] < 0 || x.Free[1] >= len(x.Path) || x.Free[0] >= x.Free[1] {
				t.Errorf("%s: %s has no free part: %v of %d", name, x.ID, x.Free, len(x.Path))
				continue
			}
			a, b := x.Path[x.Free[0]], x.Path[x.Free[1]]
			for share := 0.0; share <= 1; share += 0.1 {
				if far := swung(d, x.From, a, share).Sub(swung(d, x.To, b, share)).Len(); far > x.Long+1 {
					t.Errorf("%s: %s is pulled at %.0f %%: %.0f mm apart, %.0f long", name, x.ID, share*100, far, x.Long)
					break
				}
			}
		}
		if moving == 0 {
			t.Errorf("%s: no wire goes from what comes off to what stays", name)
		}
		for _, b := range d.Bodies {
			if b.Kind != "board" {
				continue
			}
			w := httptest.NewRecorder()
			v.mux.ServeHTTP(w, httptest.NewRequest("GET", "/api/box/board/"+url.PathEscape(b.Name)+".svg", nil))
			if s := w.Body.String(); w.Code != 200 || !strings.HasPrefix(s, "<svg") || !strings.Contains(s, "var(--ink") {
				t.Errorf("%s: the drawing of %s: %d %.200s", name, b.Name, w.Code, s)
			}
		}
		w := httptest.NewRecorder()
		v.mux.ServeHTTP(w, httptest.NewRequest("GET", "/api/box/board/nobody.svg", nil))
		if w.Code != 404 {
			t.Errorf("%s: a board that is not there: %d", name, w.Code)
		}
	}
}

func TestCutAt(t *testing.T) {
	path := []geom.Vec3{{}, {X: 10}, {X: 10, Y: 10}, {X: 20, Y: 10}}
	at := func(q geom.Vec3) stop {
		i, u, gap := nearestOn(path, q)
		if gap > 1e-9 {
			t.Fatalf("%v lies %g beside", q, gap)
		}
		return stop{i, u, q}
	}
	for _, x := range []struct{ a, b geom.Vec3 }{{geom.Vec3{X: 4}, geom.Vec3{X: 10, Y: 6}}, {geom.Vec3{X: 2}, geom.Vec3{X: 7}}, {geom.Vec3{}, geom.Vec3{X: 20, Y: 10}}} {
		out, free := cutAt(path, at(x.a), at(x.b))
		long := func(ps []geom.Vec3) (l float64) {
			for i := range len(ps) - 1 {
				l += ps[i+1].Sub(ps[i]).Len()
			}
			return l
		}
		if out[free[0]] != x.a || out[free[1]] != x.b || math.Abs(long(out)-long(path)) > 1e-9 {
			t.Errorf("%v to %v: %v %v", x.a, x.b, out, free)
		}
	}
}
