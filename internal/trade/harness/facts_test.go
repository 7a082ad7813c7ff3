package harness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

// spare is a desk for a planetarium of which nothing is settled but the module.
const spare = `knobwright: 1
face: {width: 300, height: 200, sheet: acrylic-3mm}
box: {form: flat, depth: 60, walls: birch-ply-9mm}
module: {part: rp2040-40pin, at: [60, 60]}
`

func of(fs []finding.Finding, rule string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// Common practice: an encoder with push wants five leads: two signals, the push, and two commons, which may share a ground by a jumper.
func TestEncoderFiveLeads(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  dome: {part: encoder-m7-push, at: [180, 100]}\n"))
	signals, ground, lugs := 0, 0, map[string]bool{}
	for _, x := range w.r.Wires {
		for _, e := range []wiring.Terminal{x.From, x.To} {
			if e.Of == "dome" {
				lugs[e.Lug] = true
			}
		}
		switch w.w.Nets[x.Net].Kind {
		case wiring.NetSignal:
			signals++
		case wiring.NetGround:
			ground++
		}
	}
	if signals != 3 || ground != 2 || len(lugs) != 5 {
		t.Errorf("%d signals, %d ground wires, lugs %v; want 3, 2 and five lugs", signals, ground, lugs)
	}
	if len(w.r.Chains) != 1 || len(w.r.Chains[0].Lugs) != 2 {
		t.Fatalf("chains %+v, want one of two lugs", w.r.Chains)
	}
	if jump := w.r.Wires[w.r.Chains[0].Wires[1]]; jump.Run > 40 || jump.Moves {
		t.Errorf("the jumper of the encoder runs %g", jump.Run)
	}
}

// Common practice: a module with three ground pins suggests three groups of grounds. Here it has more than three, and no more than three
// are taken while no chain gets long.
func TestThreeGroundGroups(t *testing.T) {
	for n, want := range map[int]int{1: 0, 3: 1, 6: 2, 9: 3, 12: 3, 17: 3, 24: 3, 25: 4} {
		lines := "controls:\n"
		for i := range n {
			lines += fmt.Sprintf("  s%d: {part: push-12mm, at: [%d, %d]}\n", i, 100+i%6*30, 170-i/6*30)
		}
		w := laid("panel.yaml", []byte(spare+lines))
		if len(w.r.Chains) != want {
			t.Errorf("%d buttons: %d chains, want %d", n, len(w.r.Chains), want)
		}
		roots := map[wiring.Terminal]bool{}
		for _, c := range w.r.Chains {
			if roots[c.Root] {
				t.Errorf("%d buttons: two chains begin at %v", n, c.Root)
			}
			roots[c.Root] = true
			if len(c.Lugs) > 8 {
				t.Errorf("%d buttons: a chain of %d lugs", n, len(c.Lugs))
			}
		}
	}
}

// The ways of opening: the longest distance of a moving and a resting point over the whole swing, by the law of cosines, against a walk
// in small steps. Check value: hinge to lug 150 mm, hinge to board 50 mm: 158 mm at 90 degrees, 174 at 110 (common practice).
func TestHinge(t *testing.T) {
	l := lid{moves: true, axis: geom.Vec3{X: 1}, angle: 90}
	a, b := geom.Vec3{Y: 150}, geom.Vec3{Y: 50}
	for _, x := range []struct{ angle, want float64 }{{90, 158}, {110, 174}} {
		l.angle = x.angle
		if got := l.open(a, b); math.Abs(got-x.want) > 0.5 {
			t.Errorf("at %g degrees %g apart, want %g", x.angle, got, x.want)
		}
		if got := math.Sqrt(150*150 + 50*50 - 2*150*50*math.Cos(x.angle*math.Pi/180)); math.Abs(got-l.open(a, b)) > 1e-9 {
			t.Errorf("law of cosines gives %g, not %g", got, l.open(a, b))
		}
	}
	for i := range 2000 {
		r := func(k int) float64 { return math.Mod(float64(i*(k*7919+104729))*0.618, 400) - 200 }
		l := lid{moves: true, axis: geom.Vec3{X: r(1), Y: r(2), Z: r(3) + 0.5}.Unit(), about: geom.Vec3{X: r(4), Y: r(5), Z: r(6)}, angle: math.Abs(r(7)) * 1.3}
		a, b := geom.Vec3{X: r(8), Y: r(9), Z: r(10)}, geom.Vec3{X: r(11), Y: r(12), Z: r(13)}
		far := 0.0
		for s := range 721 {
			p := geom.TurnAbout(l.axis, l.angle*float64(s)/720).Turn(a.Sub(l.about)).Add(l.about)
			far = max(far, p.Sub(b).Len())
		}
		if got := l.open(a, b); got < far-1e-6 || got > far+0.05 {
			t.Fatalf("%+v: %v from %v: %g, the walk gives %g", l, a, b, got, far)
		}
	}
}

// Grounds of tracks keep to themselves: they hang on the analog ground pin alone, and no lamp or contact hangs there.
func TestAnalogGroundApart(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  dim: {part: pot-16mm, at: [120, 60]}\n  tide: {part: pot-16mm, at: [180, 60]}\n  lamp: {part: lamp-5mm-holder, at: [240, 60]}\n  bell: {part: push-16mm, at: [240, 130]}\n"))
	for _, c := range w.r.Chains {
		analog := w.w.Nets[c.Net].Kind == wiring.NetAGround
		if w.label(c.Root) == "AGND" != analog {
			t.Errorf("%s begins at %s", c.Name, w.label(c.Root))
		}
		for _, l := range c.Lugs {
			if track := l.Of == "dim" || l.Of == "tide"; w.w.Nets[c.Net].Kind != wiring.NetSupply && track != analog {
				t.Errorf("%v hangs on %s", l, c.Name)
			}
		}
	}
}

// Boards without a place lie clear of each other and of the module, and inside the box.
func TestBoardsApart(t *testing.T) {
	lines := "controls:\n"
	for i := range 40 {
		lines += fmt.Sprintf("  s%d: {part: push-12mm, at: [%d, %d]}\n", i, 40+i%10*24, 40+i/10*38)
	}
	w := laid("panel.yaml", []byte(spare+"wiring: {by: expander}\n"+lines))
	if len(w.boards) < 3 {
		t.Fatalf("%d boards", len(w.boards))
	}
	var feet []geom.Box2
	for _, b := range w.boards {
		f := b.footprint(w.back[0])
		for _, o := range feet {
			if f.Overlaps(o) {
				t.Errorf("%s lies on another board: %v, %v", b.name, f, o)
			}
		}
		feet = append(feet, f)
		if in := w.p.Interior; !b.real && (f.Min.X < in.Min.X || f.Max.X > in.Max.X || f.Min.Y < in.Min.Y || f.Max.Y > in.Max.Y) {
			t.Errorf("%s lies at %v, the box is %v", b.name, f, in)
		}
	}
	sound(t, w)
}

func TestLift(t *testing.T) {
	src := spare + "wiring: {opens: {by: lift, room: 120}}\ncontrols:\n  comet: {part: push-16mm, at: [220, 100]}\n"
	w := laid("panel.yaml", []byte(src))
	if o := w.r.Opening; o.By != "lift" || o.Room != 120 || o.Angle != 0 {
		t.Errorf("%+v", o)
	}
	sound(t, w)
	long := w.r.Wires[0].Length
	w = laid("panel.yaml", []byte(strings.Replace(src, "120", "240", 1)))
	if got := w.r.Wires[0].Length; got < long+100 {
		t.Errorf("lifted 240 mm: %g, lifted 120 mm: %g", got, long)
	}
}

// A lit button has its lamp's minus and its contact's common on ground: one stop, with a jumper between the two.
func TestOneStop(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  moon: {part: push-22mm-lit, at: [130, 130]}\n  sun: {part: push-22mm-lit, at: [250, 60]}\n  mars: {part: push-16mm, at: [190, 130]}\n"))
	if len(w.r.Chains) != 1 {
		t.Fatalf("%d chains", len(w.r.Chains))
	}
	var order []string
	for _, l := range w.r.Chains[0].Lugs {
		if n := len(order); n == 0 || order[n-1] != l.Of {
			order = append(order, l.Of)
		}
	}
	if len(w.r.Chains[0].Lugs) != 5 || len(order) != 3 {
		t.Errorf("%v visits %v", w.r.Chains[0].Lugs, order)
	}
}

// What a broken joint cuts off: all behind it, none in a ring.
func TestBreaks(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  moon: {part: push-22mm-lit, at: [130, 130]}\n  sun: {part: push-22mm-lit, at: [250, 60]}\n  mars: {part: push-16mm, at: [190, 130]}\n"))
	c := w.r.Chains[0]
	if len(c.Behind) != 5 || c.Behind[0] != 3 || c.Behind[4] != 1 {
		t.Errorf("%v: %v", c.Lugs, c.Behind)
	}
	for k := 1; k < len(c.Behind); k++ {
		if c.Behind[k] > c.Behind[k-1] {
			t.Errorf("%v: %v", c.Lugs, c.Behind)
		}
	}
}

// Ties, sleeves, housings and terminals are counted.
func TestSmalls(t *testing.T) {
	src := spare + "wiring: {ends: crimped}\ncontrols:\n  a: {part: lamp-5mm-holder, at: [130, 130]}\n  b: {part: lamp-5mm-holder, at: [180, 130]}\n  c: {part: push-16mm, at: [230, 130]}\n"
	w := laid("panel.yaml", []byte(src))
	got := map[string]Small{}
	for _, s := range w.r.Smalls {
		if _, ok := w.cat.Small(s.Part); !ok {
			t.Errorf("there is no %q", s.Part)
		}
		got[s.Part] = s
	}
	ends := 0
	for _, x := range w.r.Wires {
		for _, e := range []wiring.Terminal{x.From, x.To} {
			if w.spot[e].board >= 0 {
				ends++
			}
		}
	}
	if got["terminal-female"].Count != ends {
		t.Errorf("%d terminals for %d ends", got["terminal-female"].Count, ends)
	}
	sleeve := 0
	for id, s := range got {
		if strings.HasPrefix(id, "shrink") {
			sleeve += s.Count
		}
	}
	if sleeve != 2 {
		t.Errorf("%d sleeves for two free leads: %v", sleeve, w.r.Smalls)
	}
}

func TestClosed(t *testing.T) {
	lines := "controls:\n"
	for i := range 8 {
		lines += fmt.Sprintf("  s%d: {part: push-12mm, at: [%d, %d]}\n", i, 100+i%4*40, 150-i/4*60)
	}
	w := laid("panel.yaml", []byte(spare+"wiring: {chains: closed}\n"+lines))
	sound(t, w)
	for _, c := range w.r.Chains {
		if !c.Closed || len(c.Wires) != len(c.Lugs)+1 {
			t.Errorf("%+v is not closed", c)
			continue
		}
		if last := w.r.Wires[c.Wires[len(c.Wires)-1]]; w.spot[last.To].board != 0 || last.To == c.Root {
			t.Errorf("the ring comes back to %v, it began at %v", last.To, c.Root)
		}
	}
	if fs := of(w.r.Findings, "harness.chain"); len(fs) != 0 {
		t.Errorf("closed, and still: %v", fs)
	}
}

// All that ends on a lug is one joint; small parts come before wires, boards last.
func TestJoints(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  key: {part: key-16mm, at: [120, 60]}\n  moon: {part: push-22mm-lit, at: [190, 60]}\n  lamp: {part: lamp-5mm-holder, at: [250, 60]}\n  dim: {part: toggle-mini-3, at: [250, 150]}\n  hold: {part: push-22mm-latching, at: [190, 150]}\n"))
	seen := map[wiring.Terminal]bool{}
	boards, wired := false, false
	ends := 0
	for i, j := range w.r.Joints {
		if j.N != i+1 || seen[j.At] {
			t.Errorf("joint %d at %v", j.N, j.At)
		}
		seen[j.At] = true
		ends += len(j.Wires)
		onBoard := w.spot[j.At].board >= 0
		if boards && !onBoard {
			t.Errorf("%v comes after the boards", j.At)
		}
		boards = boards || onBoard
		if len(j.Fits) > 0 && wired {
			t.Errorf("the part at %v comes after wires", j.At)
		}
		wired = wired || len(j.Fits) == 0
		if j.Iron < 230 || j.Iron > 400 || j.Dwell < 2 || j.Dwell > 8 || Irons[j.Heat].Source.Text == "" {
			t.Errorf("%+v", j)
		}
		for name, want := range map[string][2]string{
			"key": {"lock", "Solder with the key out."}, "dim": {"small plastic", "Solder with the lever in the middle."},
			"hold": {"small plastic", "Solder with the button out, not latched."}, "lamp": {"lamp leads", ""}, "moon": {"small plastic", ""}, "module": {"board pins", ""},
		} {
			if j.At.Of == name && (j.Heat != want[0] || j.Rest != want[1]) {
				t.Errorf("%v: %s, %q; want %v", j.At, j.Heat, j.Rest, want)
			}
		}
	}
	if ends != 2*len(w.r.Wires) {
		t.Errorf("%d ends in joints, %d wires", ends, len(w.r.Wires))
	}
	sum, count := 0.0, 0
	for _, k := range w.r.Tasks {
		sum += k.Minutes
		if strings.HasPrefix(k.What, "solder") {
			count += k.Count
		}
	}
	if math.Abs(sum-w.r.Minutes) > 1e-9 || count != len(w.r.Joints) {
		t.Errorf("%g minutes of tasks, %g in all; %d joints of %d", sum, w.r.Minutes, count, len(w.r.Joints))
	}
}

func TestColours(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: pot-16mm, at: [190, 60]}\n  c: {part: toggle-mini-3, at: [250, 60]}\n  d: {part: lamp-5mm-holder, at: [250, 150]}\n  e: {part: encoder-m7-push, at: [150, 150]}\n"))
	byPin := map[int]Wire{}
	wire, _ := w.cat.Wire(w.r.Wires[0].Wire)
	for _, x := range w.r.Wires {
		if !slices.Contains(wire.Colours, x.Colour) {
			t.Errorf("%s is %s, which is not sold", x.ID, x.Colour)
		}
		switch n := w.w.Nets[x.Net]; n.Kind {
		case wiring.NetGround:
			if x.Colour != "BK" || x.Tracer != "" {
				t.Errorf("ground is %s, %q", x.Colour, x.Tracer)
			}
		case wiring.NetAGround: // grey is not sold
			if x.Colour != "BK" || x.Tracer == "" {
				t.Errorf("analog ground is %s, %q", x.Colour, x.Tracer)
			}
		case wiring.NetSupply:
			if x.Colour != "RD" {
				t.Errorf("%s is %s", n.Name, x.Colour)
			}
		default:
			if x.Colour == "BK" || x.Colour == "RD" {
				t.Errorf("%s is %s", n.Name, x.Colour)
			}
		}
		if w.spot[x.From].board == 0 {
			byPin[w.boards[0].rank[x.From.Lug]] = x
		}
	}
	for p, x := range byPin {
		if y, ok := byPin[p+1]; ok && x.Net != y.Net && x.Colour == y.Colour && x.Tracer == y.Tracer {
			t.Errorf("pins %d and %d: both %s", p, p+1, x.Colour)
		}
	}
	w = laid("panel.yaml", []byte(spare+"wiring: {wire: {colours: {signal: VT, ground: {use: GNYE}}}}\ncontrols:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: push-16mm, at: [180, 60]}\n  c: {part: push-16mm, at: [240, 60]}\n"))
	knots := map[string]bool{}
	for _, x := range w.r.Wires {
		if w.w.Nets[x.Net].Kind == wiring.NetSignal {
			if x.Colour != "VT" {
				t.Errorf("%s is %s, the file says violet", x.ID, x.Colour)
			}
			knots[x.Tracer] = true
		} else if x.Colour != "GNYE" {
			t.Errorf("%s is %s", x.ID, x.Colour)
		}
	}
	if len(knots) < 2 {
		t.Errorf("one colour for all, and tracers %v", knots)
	}
}

func TestRibbonAndHousings(t *testing.T) {
	src := spare + "wiring:\n  ends: crimped\n  wire: {ribbon: ribbon-10-colours}\n  pins: {a: GP2, b: GP3, c: GP4, d: GP5, e: GP6}\ngroups:\n  row:\n    part: push-16mm\n    row: {from: [110, 60], step: 36}\n    controls:\n      a: {}\n      b: {}\n      c: {}\n      d: {}\n      e: {}\n"
	w := laid("panel.yaml", []byte(src))
	sound(t, w)
	if len(w.r.Ribbons) != 1 || len(w.r.Ribbons[0].Wires) != 5 {
		t.Fatalf("ribbons %+v", w.r.Ribbons)
	}
	r := w.r.Ribbons[0]
	for k, i := range r.Wires {
		x := w.r.Wires[i]
		if x.Ribbon != 0 || x.Core != k || x.To.Of != string(rune('a'+k)) || x.Length > r.Length {
			t.Errorf("core %d is %+v", k, x)
		}
	}
	if r.Wires[0] == r.Wires[1] || w.r.Wires[r.Wires[0]].Colour != "BN" || w.r.Wires[r.Wires[4]].Colour != "GN" {
		t.Errorf("colours of the cores: %s ... %s", w.r.Wires[r.Wires[0]].Colour, w.r.Wires[r.Wires[4]].Colour)
	}
	if h := r.Ends[0]; h.At != "module" || h.Ways < 5 || len(h.Pins) != len(h.Of) || h.Part == "" {
		t.Errorf("housing %+v", h)
	}
	seen := map[int]bool{}
	for _, h := range w.r.Housings {
		if h.Ways < len(h.Pins) {
			t.Errorf("%d pins in %d ways", len(h.Pins), h.Ways)
		}
		last := -1
		for k, i := range h.Of {
			if p := w.boards[0].rank[h.Pins[k]]; p <= last || p > last+1 && last >= 0 {
				t.Errorf("pins %v are not side by side", h.Pins)
			} else {
				last = p
			}
			if i >= 0 {
				seen[i] = true
			}
		}
	}
	for i, x := range w.r.Wires {
		if (w.spot[x.From].board == 0 || w.spot[x.To].board == 0) && !seen[i] {
			t.Errorf("%s is in no housing", x.ID)
		}
	}
	// crossed pins want no ribbon
	w = laid("panel.yaml", []byte(strings.NewReplacer("a: GP2", "a: GP4", "b: GP3", "b: GP2", "c: GP4", "c: GP6", "e: GP6", "e: GP3").Replace(src)))
	if len(w.r.Ribbons) != 0 || len(of(w.r.Findings, "harness.ribbon")) != 1 {
		t.Errorf("crossed: %+v", w.r.Ribbons)
	}
	w = laid("panel.yaml", []byte(strings.Replace(src, "wire: {", "wire: {signal: hookup-24-solid, ground: bus-22, ", 1)))
	if len(of(w.r.Findings, "harness.crimp")) == 0 || len(of(w.r.Findings, "harness.solid-moves")) == 0 {
		t.Errorf("solid wire in crimps that bends: %v", w.r.Findings)
	}
}

func TestCutList(t *testing.T) {
	src := spare + "wiring:\n  stock:\n    - {wire: hookup-24, colour: BK, length: 0.5 m}\n    - {wire: hookup-24, colour: BK, length: 0.5 m}\n    - {wire: hookup-24, colour: YE, length: 40 m}\ncontrols:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: push-16mm, at: [180, 60]}\n  c: {part: push-16mm, at: [240, 60]}\n"
	w := laid("panel.yaml", []byte(src))
	ids := map[string]bool{}
	for i, c := range w.r.Cut {
		if c.Count != len(c.IDs) {
			t.Errorf("%+v", c)
		}
		if i > 0 && w.r.Cut[i-1].Wire == c.Wire && w.r.Cut[i-1].Colour == c.Colour && w.r.Cut[i-1].Length <= c.Length {
			t.Errorf("%g comes after %g", c.Length, w.r.Cut[i-1].Length)
		}
		for _, id := range c.IDs {
			ids[id] = true
		}
	}
	if len(ids) != len(w.r.Wires) {
		t.Errorf("%d wires to cut, %d wires", len(ids), len(w.r.Wires))
	}
	for _, u := range w.r.Use {
		sum := 0.0
		for _, x := range w.r.Wires {
			if x.Wire == u.Wire && x.Colour == u.Colour {
				sum += x.Length
			}
		}
		if math.Abs(sum-u.Need) > 1e-9 {
			t.Errorf("%s: %g needed, wires add up to %g", u.Colour, u.Need, sum)
		}
		if u.Colour == "YE" && (u.Lacks != 0 || u.Have != 40000 || math.Abs(u.Left+u.Need-40000) > 1e-9) {
			t.Errorf("%+v", u)
		}
	}
	fs := of(w.r.Findings, "harness.stock-short")
	if len(fs) == 0 {
		t.Fatal("the file has too little wire, and nothing is said")
	}
	for _, f := range fs {
		if len(f.Ends) == 0 || f.Ends[0].Path == "" {
			t.Errorf("%+v", f)
		}
	}
}
