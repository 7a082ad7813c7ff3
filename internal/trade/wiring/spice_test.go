package wiring

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/solve/circuit"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

// circuits gathers what is compared.
type circuits struct {
	names []string
	nets  []*circuit.Network
	kinds map[string]int
}

func (c *circuits) add(kind, name string, n *circuit.Network) {
	c.kinds[kind]++
	c.names, c.nets = append(c.names, kind+", "+name), append(c.nets, n)
}

// panelsToSolve are all examples as they are, and in every other way that leads can go; those without a module get one.
func panelsToSolve(t *testing.T) map[string]string {
	out := map[string]string{}
	for _, name := range examples.Names() {
		src := string(examples.File(name))
		if !strings.Contains(src, "\nmodule:") {
			src += "\nmodule: {part: rp2040-40pin}\n"
		}
		out[name] = src
		if strings.Contains(src, "\nwiring:") {
			continue
		}
		for _, by := range []string{"matrix", "shift-in", "expander", "ladder"} {
			out[name+" by "+by] = src + "\nwiring: {by: " + by + "}\n"
		}
		out[name+" by a bare matrix"] = src + "\nwiring: {by: matrix, matrix: {diodes: none}}\n"
		out[name+" with lamps from the supply"] = src + "\nwiring: {lamps: {by: always}}\n"
		out[name+" on 5 V"] = strings.Replace(src, "rp2040-40pin", "atmega32u4-34pin", 1)
	}
	out["ladders"] = desk + "wiring: {by: ladder}\ncontrols: {mood: {part: rotary-6way, at: [50, 50]}, tone: {part: rotary-12way, at: [120, 50]}}\n"
	out["ladders of buttons"] = desk + "groups:\n  b: {part: push-16mm, names: \"b-{n}\", row: {from: [20, 50], step: 30, count: 6}, controls: {b-1: {via: ladder}, b-2: {via: ladder}, b-3: {via: ladder}, b-4: {via: ladder}, b-5: {via: ladder}}}\n"
	return out
}

// Whole panels, every lamp, every track, every ladder, every kind of contact and every line of a matrix of all examples, against ngspice
// (Debian package of that name) to 0.1 %.
func TestExamplesAgainstSpice(t *testing.T) {
	thorough.Only(t)
	all := circuits{kinds: map[string]int{}}
	panels := panelsToSolve(t)
	for _, name := range sortedKeysOf(panels) {
		_, _, r := work(t, panels[name])
		gatherCircuits(&all, name, &r)
	}
	t.Logf("%d circuits: %v", len(all.nets), all.kinds)
	for _, kind := range []string{"panel", "lamp", "track", "ladder", "contact", "line of a matrix"} {
		if all.kinds[kind] < 3 {
			t.Errorf("only %d of kind %s", all.kinds[kind], kind)
		}
	}
	compareSpice(t, &all)
}

// gatherCircuits takes the circuits of one panel. Of lamps and contacts that look alike one is taken in the panels that go another way.
func gatherCircuits(all *circuits, name string, r *Result) {
	wire := func(string) float64 { return 0.05 }
	p := partsOf(r, catalog.Builtin())
	add := func(kind, what string, keep []bool, s State, ohms func(string) float64) {
		n := p.network(keep, s, ohms)
		if len(n.Elements()) > 0 {
			all.add(kind, name+": "+what, n)
		}
	}
	whole := make([]bool, len(p.list))
	for i := range whole {
		whole[i] = true
	}
	add("panel", "at rest", whole, State{}, nil)
	add("panel", "all lit", whole, State{Lit: true, Corner: Strong}, wire)
	add("panel", "all lit, weak", whole, State{Lit: true, Corner: Weak}, wire)
	closed := State{At: map[string]string{}, Phase: map[string]string{}, Low: map[int]bool{}}
	for _, d := range r.Devices {
		if k := d.Control; k != nil && len(k.Part.Circuit.Positions) > 0 {
			closed.At[k.Name], closed.Phase[k.Name] = k.Part.Circuit.Positions[len(k.Part.Circuit.Positions)-1], "AB"
		}
	}
	add("panel", "all pressed", whole, closed, wire)
	seen := map[string]bool{}
	for i := range p.list {
		e := &p.list[i]
		switch e.kind {
		case elLamp:
			keep := p.around(e.a)
			keep[i] = true
			key := fmt.Sprintf("%+v %v %v", e.control.Part.Lamp, p.fixed[e.a], len(p.near[e.a]))
			if !strings.Contains(name, " by ") || !seen[key] {
				add("lamp", e.name, keep, State{Lit: true}, nil)
			}
			seen[key] = true
		case elTrack:
			if strings.Contains(name, " by ") {
				continue
			}
			keep := p.around(e.wiper)
			sel := map[string]string{}
			for k := range p.list {
				if x := &p.list[k]; keep[k] && x.kind == elSwitch && x.a == e.wiper {
					sel[r.Boards[x.board].Name] = x.lug
				}
			}
			for _, turn := range []float64{0, 0.3, 1} {
				add("track", fmt.Sprintf("%s at %g", e.name, turn), keep, State{Turn: map[int]float64{e.device: turn}, Select: sel, Corner: Weak}, wire)
			}
		}
	}
	gatherLeads(all, name, r, p, add)
}

func gatherLeads(_ *circuits, _ string, r *Result, p *parts, add func(string, string, []bool, State, func(string) float64)) {
	seen := map[string]bool{}
	for i, s := range r.Signals {
		d := s.Device
		switch {
		case s.Kind == SigLadder:
			for _, x := range ladderStates(r, d) {
				add("ladder", s.Name, p.around(p.nodeOf(i)), x, nil)
			}
		case s.Kind == SigContact && d >= 0 && r.Plan.Seats[i].Way != Waits && r.Plan.Seats[i].Way != Ladder:
			seat := r.Plan.Seats[i]
			k := r.Devices[d].Control
			key := fmt.Sprint(seat.Way, seat.Pin.Of, k.Part.ID)
			if seen[key] {
				continue
			}
			seen[key] = true
			for _, at := range k.Part.Circuit.Positions {
				st := State{At: map[string]string{k.Name: at}}
				if seat.Way == Matrix {
					pulled, _ := p.lines(seat)
					st.Low = map[int]bool{pulled: true}
				}
				add("contact", s.Name+" "+at, p.around(p.nodeOf(i)), st, nil)
			}
		case s.Kind == SigRow || s.Kind == SigColumn:
			if p.pulled(s.Kind) {
				continue
			}
			st := State{At: map[string]string{}, Low: map[int]bool{i: true}}
			for j := range r.Devices { // every second control in its last position
				if k := r.Devices[j].Control; k != nil && j%2 == 0 && len(k.Part.Circuit.Positions) > 0 {
					st.At[k.Name] = k.Part.Circuit.Positions[len(k.Part.Circuit.Positions)-1]
				}
			}
			node := p.at[r.Plan.Seats[i].Pin]
			if node > 0 {
				add("line of a matrix", s.Name, p.around(node), st, nil)
			}
		}
	}
}

// ladderStates are the states of a ladder: each position of its switch, or each of its buttons.
func ladderStates(r *Result, device int) []State {
	var out []State
	for i, s := range r.Signals {
		if r.Plan.Seats[i].Way != Ladder || s.Device < 0 || device >= 0 && s.Device != device {
			continue
		}
		k := r.Devices[s.Device].Control
		for _, at := range k.Part.Circuit.Positions {
			out = append(out, State{At: map[string]string{k.Name: at}})
		}
		if device >= 0 {
			break
		}
	}
	return out
}

func compareSpice(t *testing.T, all *circuits) {
	t.Helper()
	said := witness.Spice(t, all.nets)
	compared, worst := 0, 0.0
	for i, n := range all.nets {
		s, err := n.Solve()
		if err != nil {
			t.Errorf("%s: %v", all.names[i], err)
			continue
		}
		same := func(vector string, have, floor float64) {
			want, ok := said[i][vector]
			if !ok {
				t.Errorf("%s: ngspice says nothing about %s, here it is %g", all.names[i], vector, have)
				return
			}
			compared++
			off := math.Abs(have - want)
			if math.Abs(want) > 1e3*floor {
				worst = max(worst, off/math.Abs(want))
			}
			if off > 1e-3*max(math.Abs(have), math.Abs(want))+floor {
				t.Errorf("%s: %s is %.9g, ngspice says %.9g", all.names[i], vector, have, want)
			}
		}
		for _, node := range n.Nodes() {
			same(n.SpiceNode(node), s.V(node), 1e-6)
		}
		for _, e := range n.Elements() {
			if name := n.SpiceElement(e); name[0] == 'v' {
				same(name+"#branch", s.I(e), 1e-10)
			}
		}
	}
	t.Logf("%d circuits, %d values compared, largest difference %.2g of the value", len(all.nets), compared, worst)
	if compared < 1000 {
		t.Errorf("only %d values compared", compared)
	}
}
