package harness

import (
	"slices"

	"knobwright/internal/trade/wiring"
)

// Iron is how a kind of lug is soldered.
type Iron struct {
	Degrees int     // of the tip, °C
	Tip     string  //
	Dwell   float64 // longest, s
	Say     string  // what else to mind
}

// Irons are the settings by heat class of the part record. Lead-free solder wants about 30 °C more. Board pins and metal lugs: common
// practice; plastic bodies and locks: makers' sheets of such switches, medium confidence.
var Irons = map[string]Iron{
	"small plastic": {350, "2 mm chisel", 3, "Let it cool before the second joint of the same body."},
	"metal":         {370, "3 mm chisel", 5, "Tin lug and wire first; a bigger tip, not a hotter one."},
	"lock":          {350, "2.4 mm chisel", 7, "Key out, no pull on the lug while it is hot."},
	"board pins":    {330, "fine chisel", 3, "No bridge to the next pin: look with a glass."},
	"lamp leads":    {330, "fine chisel", 3, "Hold the lead with pliers between joint and body."},
}

// ironFor gives the settings for a terminal.
func (w *worker) ironFor(t wiring.Terminal) (class string, i Iron) {
	class = "small plastic"
	if s, ok := w.spot[t]; ok && s.board >= 0 {
		class = "board pins"
	} else if c := w.control(t.Of); c != nil && c.Part.Heat != "" {
		class = c.Part.Heat
	}
	i, ok := Irons[class]
	if !ok {
		i = Irons["small plastic"]
	}
	return class, i
}

// joints lists every joint in soldering order: what hangs on lugs first, then grounds, supplies, lines and buses, leads control by
// control, and the pins of the boards last, when every other end is done.
func (w *worker) joints() {
	rank := func(k wiring.NetKind) int {
		return slices.Index([]wiring.NetKind{wiring.NetInner, wiring.NetGround, wiring.NetAGround, wiring.NetSupply, wiring.NetLine, wiring.NetBus, wiring.NetSignal}, k)
	}
	type place struct {
		t     wiring.Terminal
		board int
		rank  int
		group string
		order int
		wires []int
		fits  []string
	}
	at := map[wiring.Terminal]*place{}
	var all []*place
	get := func(t wiring.Terminal) *place {
		for _, f := range w.w.Fittings { // an end of a fitting that sits on a lug of the same net is that lug
			if f.Name == t.Of && w.sameNet(f.At, t) {
				t = f.At
			}
		}
		if at[t] == nil {
			p := &place{t: t, board: w.spot[t].board, rank: -1, order: len(all)}
			at[t], all = p, append(all, p)
		}
		return at[t]
	}
	for _, f := range w.w.Fittings {
		p := get(f.At)
		p.fits = append(p.fits, f.Name)
	}
	for i, x := range w.r.Wires {
		for _, t := range []wiring.Terminal{x.From, x.To} {
			p := get(t)
			p.wires = append(p.wires, i)
			if r := rank(w.w.Nets[x.Net].Kind); r > p.rank {
				p.rank, p.group = r, w.w.Nets[x.Net].Name
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *place) int {
		if (a.board >= 0) != (b.board >= 0) {
			if a.board >= 0 {
				return 1
			}
			return -1
		}
		return a.rank - b.rank
	})
	for _, p := range all {
		class, iron := w.ironFor(p.t)
		j := Joint{N: len(w.r.Joints) + 1, At: p.t, Wires: p.wires, Fits: p.fits, Heat: class, Iron: iron.Degrees, Tip: iron.Tip, Dwell: iron.Dwell, Group: p.group}
		if c := w.control(p.t.Of); c != nil {
			j.Rest = restWords(c.Part)
		}
		j.Crimped = p.board >= 0 && w.p.Wiring.Ends == "crimped"
		w.r.Joints = append(w.r.Joints, j)
	}
	// minutes: cut, strip and tin a wire 1.5, solder a joint 1, crimp an end 0.7. Common practice.
	w.r.Minutes = 1.5 * float64(len(w.r.Wires))
	for _, j := range w.r.Joints {
		if j.Crimped {
			w.r.Minutes += 0.7
		} else {
			w.r.Minutes++
		}
	}
}

// sameNet tells whether two terminals are joined.
func (w *worker) sameNet(a, b wiring.Terminal) bool {
	for _, n := range w.w.Nets {
		if slices.Contains(n.Terms, a) {
			return slices.Contains(n.Terms, b)
		}
	}
	return false
}
