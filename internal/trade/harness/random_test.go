package harness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// laid works out a file and keeps what the work was done with.
func laid(name string, src []byte) *worker {
	p, _ := panel.Place(project.Read(name, src), catalog.Builtin())
	w := &worker{p: p, w: wiring.Work(p, catalog.Builtin()), cat: catalog.Builtin()}
	if len(w.w.Nets) > 0 && len(w.w.Boards) > 0 && p.Face.HasSize() {
		w.work()
	}
	return w
}

// example works out one of the examples.
func example(t testing.TB, name string) *worker {
	t.Helper()
	for _, n := range examples.Names() {
		if n == name {
			return laid(n, examples.File(n))
		}
	}
	t.Fatalf("there is no example %s", name)
	return nil
}

// block is a solid that no wire may pass through.
type block struct {
	of      string
	body    panel.Body
	small   geom.Outline
	box     geom.Box2
	toSheet geom.Pose
}

func (b block) inside(p geom.Vec3, by float64) bool {
	q := b.toSheet.Apply(p)
	if q.Z < b.body.Z0+by || q.Z > b.body.Z1-by || q.X < b.box.Min.X || q.X > b.box.Max.X || q.Y < b.box.Min.Y || q.Y > b.box.Max.Y {
		return false
	}
	if h, ok := b.body.Solid.(*geom.Hull); ok && b.body.Leans {
		for i := range h.Faces {
			if pl := h.Plane(i); pl.N.Dot(q)-pl.D > -by {
				return false
			}
		}
		return true
	}
	return b.small.Contains(q.XY())
}

func (w *worker) blocks() []block {
	var out []block
	for _, g := range w.grids {
		back := g.sheet.ToBox.Inverse()
		for _, c := range g.sheet.Controls {
			for _, b := range c.Rear {
				if b.Role == panel.RoleBody {
					out = append(out, block{of: c.Name, body: b, toSheet: back})
				}
			}
		}
	}
	back := w.p.ToBox.Inverse()
	for _, b := range w.p.Behind {
		if b.Role != panel.RoleBase {
			of := b.Owner
			for _, x := range w.boards {
				if x.module != nil && of == x.module.Origin.Name {
					of = x.name
				}
			}
			out = append(out, block{of: of, body: b, toSheet: back})
		}
	}
	for _, b := range w.boards {
		for _, s := range b.part.Rear {
			if !b.real {
				z0, z1 := b.lift-s.Z[1].MM(), b.lift-s.Z[0].MM()
				out = append(out, block{of: b.name, body: panel.Body{Outline: s.Outline(), Z0: min(z0, z1), Z1: max(z0, z1)}, toSheet: b.pose.Inverse()})
			}
		}
	}
	for i := range out {
		out[i].small, out[i].box = out[i].body.Outline.Grow(-0.05), out[i].body.Outline.Bounds()
	}
	return out
}

// sound holds whatever is true of every harness.
func sound(t interface {
	Helper()
	Errorf(string, ...any)
}, w *worker) (clear, skipped int,
) {
	t.Helper()
	blocks := w.blocks()
	ids := map[string]bool{}
	at := map[wiring.Terminal]int{}
	for i, x := range w.r.Wires {
		if ids[x.ID] {
			t.Errorf("two wires are called %s", x.ID)
		}
		ids[x.ID] = true
		at[x.From]++
		at[x.To]++
		if len(x.Path) < 2 {
			t.Errorf("%s has no way", x.ID)
			continue
		}
		if x.Path[0] != w.spot[x.From].at || x.Path[len(x.Path)-1] != w.spot[x.To].at {
			t.Errorf("%s runs from %v to %v, its terminals are at %v and %v", x.ID, x.Path[0], x.Path[len(x.Path)-1], w.spot[x.From].at, w.spot[x.To].at)
		}
		sum := 0.0
		for j := 1; j < len(x.Path); j++ {
			sum += math.Sqrt(math.Pow(x.Path[j].X-x.Path[j-1].X, 2) + math.Pow(x.Path[j].Y-x.Path[j-1].Y, 2) + math.Pow(x.Path[j].Z-x.Path[j-1].Z, 2))
		}
		if math.Abs(sum-x.Run) > 1e-6 || math.Abs(run(w.raw[i])-x.Run) > 1e-6 {
			t.Errorf("%s runs %g, its way is %g long", x.ID, x.Run, sum)
		}
		if x.Length < x.Run+x.Slack+x.Strip[0]+x.Strip[1] || x.Slack < 0 || math.IsNaN(x.Length) {
			t.Errorf("%s is cut to %g for %g, %g", x.ID, x.Length, x.Run, x.Slack)
		}
		if w.stuck(x) {
			skipped++
			continue
		}
		clear++
		if b, p, hit := w.hits(x, blocks); hit {
			t.Errorf("%s from %v to %v runs through %s of %s at %v", x.ID, x.From, x.To, b.body.Role, b.of, p)
		}
	}
	for t0, n := range at { // no lug takes more than two wires
		most := 2
		if w.spot[t0].board >= 0 { // the only pin of its net, which has lugs in several boards of the box
			most = 5
		}
		if n > most {
			t.Errorf("%d wires end at %v", n, t0)
		}
	}
	w.joined(t)
	for _, k := range w.exitKeys() {
		x := w.exit[k]
		if !x.moves {
			continue
		}
		l := w.lid[k[0]]
		if !l.moves && w.boards[k[1]].on >= 0 {
			l = w.lid[w.boards[k[1]].on]
		}
		long := run(x.loop) + x.more
		const steps = 90
		for s := 0; s <= steps; s++ {
			p := x.from()
			if l.angle == 0 {
				p = p.Add(l.lift.Mul(float64(s) / steps))
			} else {
				turn := geom.TurnAbout(l.axis, l.angle*float64(s)/steps)
				p = turn.Turn(p.Sub(l.about)).Add(l.about)
			}
			out := w.grids[k[0]].sheet.ToBox.Z
			if w.r.Opening.By == "fixed" { // the base comes off
				out = geom.Vec3{Z: 1}
			}
			if up := p.Sub(x.from()).Dot(out); s == 1 && up <= 0 {
				t.Errorf("the face opens inwards, by %g", up)
			}
			if d := p.Sub(x.to()).Len(); d > long-1e-6 {
				t.Errorf("at step %d of the opening the loop of %g spans %g", s, long, d)
				break
			}
		}
	}
	return clear, skipped
}

// joined holds that wires join the whole of every net, and join nothing twice but to close a ring.
func (w *worker) joined(t interface {
	Helper()
	Errorf(string, ...any)
},
) {
	t.Helper()
	for ni, n := range w.w.Nets {
		if n.Kind == wiring.NetInner {
			continue
		}
		up := map[any]any{}
		var find func(k any) any
		find = func(k any) any {
			if v, ok := up[k]; ok {
				return find(v)
			}
			return k
		}
		key := func(tm wiring.Terminal) any {
			if s := w.spot[tm]; s.board < 0 {
				return s
			} else if s.board == 0 || w.joinedInside(s.board, tm.Lug) {
				return s.board // joined on the board
			}
			return tm
		}
		for _, x := range w.r.Wires {
			if x.Net != ni {
				continue
			}
			a, b := find(key(x.From)), find(key(x.To))
			if a == b && !w.inRing(x) {
				t.Errorf("%s of %s joins what is joined already", x.ID, n.Name)
			}
			if a != b {
				up[a] = b
			}
		}
		var first any
		for _, tm := range n.Terms {
			if _, ok := w.spot[tm]; !ok {
				continue
			}
			k := find(key(tm))
			if first == nil {
				first = k
			}
			if k != first {
				t.Errorf("%s: %v is not joined to %v", n.Name, tm, n.Terms[0])
			}
		}
	}
}

func (w *worker) inRing(x Wire) bool {
	return slices.ContainsFunc(w.r.Chains, func(c Chain) bool {
		return c.Closed && slices.ContainsFunc(c.Wires, func(i int) bool { return w.r.Wires[i].ID == x.ID })
	})
}

// stuck reports whether no way leads to an end of a wire, as a finding says, or an end of it lies on a board that stands in something.
func (w *worker) stuck(x Wire) bool {
	for _, t := range []wiring.Terminal{x.From, x.To} {
		s := w.spot[t]
		if s.board < 0 && !w.grids[s.sheet].open(s.cell) {
			return true
		}
		if w.within(s, t) {
			return true
		}
		if s.board >= 0 {
			other := x.To
			if other == t {
				other = x.From
			}
			if o := w.above(s, max(0, w.sheetOf(w.spot[other]))); o.at == s.at {
				return true
			}
		}
	}
	return false
}

// within reports whether a pin or a lug stands in another thing's body, or between it and the sheet on which it hangs by stand-offs of up to 12 mm: the
// two meet, which is a stop of its own.
func (w *worker) within(s spot, t wiring.Terminal) bool {
	for _, o := range w.blocks() {
		q := o.toSheet.Apply(s.at)
		if o.of != t.Of && o.of != w.ownerOf(t) && q.Z > o.body.Z0 && q.Z < o.body.Z1+12 && o.small.Contains(q.XY()) {
			return true
		}
	}
	return false
}

// hits looks for a body that a wire runs through. At its ends it may: lugs sit on bodies.
func (w *worker) hits(x Wire, blocks []block) (block, geom.Vec3, bool) {
	own := []string{x.From.Of, x.To.Of, w.ownerOf(x.From), w.ownerOf(x.To)}
	for j := 1; j < len(x.Path); j++ {
		a, b := x.Path[j-1], x.Path[j]
		n := max(1, int(b.Sub(a).Len()/2))
		for k := 0; k <= n; k++ {
			p := a.Add(b.Sub(a).Mul(float64(k) / float64(n)))
			near := p.Sub(x.Path[0]).Len() < 25 || p.Sub(x.Path[len(x.Path)-1]).Len() < 25
			for _, o := range blocks {
				if near && slices.Contains(own, o.of) {
					continue
				}
				if o.inside(p, 0.05) {
					return o, p, true
				}
			}
		}
	}
	return block{}, geom.Vec3{}, false
}

func TestExamplesSound(t *testing.T) {
	for _, name := range examples.Names() {
		w := laid(name, examples.File(name))
		clear, skipped := sound(t, w)
		t.Logf("%s: %d wires clear, %d without a way", name, clear, skipped)
		if skipped > 0 {
			t.Errorf("%s: %d wires have no way", name, skipped)
		}
	}
}

// randomPanel writes a panel file of parts on a raster, in a box of one form or another.
func randomPanel(t *rapid.T) string {
	pick := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	num := func(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(t, name) }
	var b strings.Builder
	cols, rows := num("columns", 1, 7), num("rows", 1, 4)
	wide, high := cols*52+80, rows*50+90
	fmt.Fprintf(&b, "knobwright: 1\nface: {width: %d, height: %d, sheet: acrylic-3mm}\n", wide, high)
	held := pick("held", "screwed", "hinged", "glued")
	form := pick("form", "flat", "desk", "none", "wedge", "two-slope")
	switch form {
	case "flat":
		fmt.Fprintf(&b, "box: {form: flat, depth: %d, walls: birch-ply-9mm, held: %s", num("depth", 40, 90), held)
		if num("rib", 0, 2) == 0 {
			fmt.Fprintf(&b, ", ribs: {middle: {from: [%d, 9.2], to: [%d, %d], width: 9, height: %d}}", 92, 92, high-10, num("rib height", 10, 30))
		}
		b.WriteString("}\n")
	case "desk":
		fmt.Fprintf(&b, "box: {form: desk, front: %d, slope: %d deg, walls: birch-ply-9mm, held: %s}\n", num("front", 50, 90), num("slope", 5, 30), held)
	case "two-slope":
		fmt.Fprintf(&b, "box: {form: two-slope, front: %d, slope: %d deg, upper: {height: %d, slope: %d deg}, walls: birch-ply-9mm, held: %s}\n", num("front", 50, 90), num("slope", 5, 25), num("upper height", 90, 160), num("upper slope", 40, 70), held)
	case "wedge":
		fmt.Fprintf(&b, "box: {form: wedge, front: %d, slope: %d deg, walls: birch-ply-9mm, held: %s}\n", num("front", 50, 90), num("slope", 5, 30), held)
	}
	fmt.Fprintf(&b, "module: {part: rp2040-40pin")
	if num("module placed", 0, 3) > 0 {
		fmt.Fprintf(&b, ", at: [%d, %d], on: %s, turn: %d deg", num("mx", 40, wide-40), num("my", 45, max(46, high-45)), pick("on", "base", "base", "face"), 90*num("turn", 0, 3))
	}
	b.WriteString("}\nwiring:\n  by: auto\n")
	fmt.Fprintf(&b, "  chains: %s\n  ends: %s\n", pick("chains", "open", "closed"), pick("ends", "soldered", "crimped"))
	switch num("opens", 0, 4) {
	case 0:
		fmt.Fprintf(&b, "  opens: {by: hinge, edge: %s, angle: %d deg}\n", pick("edge", "top", "bottom", "left", "right"), num("angle", 20, 260))
	case 1:
		fmt.Fprintf(&b, "  opens: {by: lift, room: %d}\n", num("room", 20, 300))
	case 2:
		b.WriteString("  wire: {ribbon: ribbon-10}\n")
	}
	b.WriteString("controls:\n")
	n := 0
	for y := range rows {
		for x := range cols {
			part := pick("part", "push-16mm", "push-22mm-lit", "toggle-mini-2", "toggle-mini-3", "encoder-m7-push", "pot-16mm", "lamp-5mm-holder", "key-16mm", "rotary-6way", "")
			if part == "" {
				continue
			}
			n++
			fmt.Fprintf(&b, "  c%d: {part: %s, at: [%d, %d]}\n", n, part, 66+x*52+num("dx", -2, 2), 70+y*50+num("dy", -2, 2))
		}
	}
	if n == 0 {
		b.WriteString("  go: {part: push-16mm, at: [60, 60]}\n")
	}
	if form != "none" {
		for i, on := range []string{"back", "left", "right", "upper"} {
			if (on != "upper" || form == "two-slope") && num("on "+on, 0, 2) == 0 {
				fmt.Fprintf(&b, "  side%d: {part: push-12mm, at: [%d, 30], on: %s}\n", i, num("sx", 30, 60), on)
			}
		}
	}
	return b.String()
}

func TestRandomSound(t *testing.T) {
	clear, skipped := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		src := randomPanel(t)
		w := laid("panel.yaml", []byte(src))
		c, s := sound(t, w)
		clear += c
		skipped += s
		if t.Failed() {
			t.Log(src)
		}
	})
	t.Logf("%d wires clear, %d without a way", clear, skipped)
}

func TestSameAgain(t *testing.T) {
	for _, name := range examples.Names() {
		_, w, a := work(t, name, examples.File(name))
		_, _, b := work(t, name, examples.File(name))
		if dump(w, a) != dump(w, b) {
			t.Errorf("%s: laid twice, two harnesses", name)
		}
	}
}
