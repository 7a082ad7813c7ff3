package harness

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

// ribbonLeast is how many leads side by side are worth a ribbon. Common practice.
const ribbonLeast = 4

// strand is a wire that may be a core: its place at the board, and at its other end.
type strand struct {
	wire     int
	pin, far float64
	at       geom.Vec3 // of its pin
}

// ribbons lays ribbons where the file names one: between two boards, and where leads of one control, or of one group of them, run to
// neighbouring pins in the order in which they stand.
func (w *worker) ribbons() {
	id := w.p.Wiring.Wire.Ribbon
	rb := w.use[useRibbon]
	if id == "" || rb.ID != id {
		return
	}
	if rb.Cores < 2 {
		w.say(ruleRibbon, finding.Finding{Head: rb.Title + " is no ribbon.", Body: "Name one with several cores, or take it out.", Ends: []finding.End{w.end(id, "wiring.wire.ribbon")}})
		return
	}
	type key struct {
		board int
		to    string
	}
	found := map[key][]strand{}
	var keys []key
	add := func(k key, s strand) {
		if found[k] == nil {
			keys = append(keys, k)
		}
		found[k] = append(found[k], s)
	}
	for i, x := range w.r.Wires {
		a, b := x.From, x.To
		if w.spot[a].board < 0 || w.spot[b].board >= 0 && w.spot[b].board < w.spot[a].board {
			a, b = b, a
		}
		sa, sb := w.spot[a], w.spot[b]
		if sa.board < 0 || sa.board == sb.board {
			continue
		}
		s := strand{wire: i, pin: float64(w.boards[sa.board].rank[a.Lug]), at: sa.at}
		if sb.board >= 0 {
			s.far = float64(w.boards[sb.board].rank[b.Lug])
			add(key{sa.board, "board " + w.boards[sb.board].label}, s)
			continue
		}
		c := w.control(w.ownerOf(b))
		if c == nil {
			continue
		}
		to := c.Label
		if c.Group != "" {
			to = "row " + c.Group
		}
		add(key{sa.board, to}, s)
	}
	for _, k := range keys {
		all := found[k]
		slices.SortStableFunc(all, func(a, b strand) int { return cmp.Compare(a.pin, b.pin) })
		if !hasPrefix(k.to, "board ") {
			w.alongRow(all)
		}
		for _, run := range neighbours(all, hasPrefix(k.to, "board ")) {
			for len(run) >= ribbonLeast {
				cores := monotone(run)
				if len(cores) > rb.Cores {
					cores = cores[:rb.Cores]
				}
				if len(cores) < ribbonLeast {
					break
				}
				w.ribbon(rb, w.boards[k.board].label, k.to, cores)
				run = slices.DeleteFunc(run, func(s strand) bool { return w.r.Wires[s.wire].Ribbon >= 0 })
			}
		}
	}
	if len(w.r.Ribbons) == 0 {
		w.say(ruleRibbon, finding.Finding{
			Head: "No leads run side by side in the order of their pins: the ribbon serves nothing.", Body: "Single wires are taken. Leads that you pin in the order of a row can share one.",
			Ends: []finding.End{w.end(id, "wiring.wire.ribbon")},
		})
	}
}

func hasPrefix(s, p string) bool { return len(s) >= len(p) && s[:len(p)] == p }

// alongRow sets how far along their row the far ends stand: along the longer side of what they span.
func (w *worker) alongRow(all []strand) {
	box := geom.EmptyBox2()
	at := make([]geom.Vec2, len(all))
	for i, s := range all {
		x := w.r.Wires[s.wire]
		t := x.To
		if w.spot[t].board >= 0 {
			t = x.From
		}
		sp := w.spot[t]
		at[i] = w.back[sp.sheet].Apply(sp.at).XY()
		box = box.Extend(at[i])
	}
	upright := box.Size().Y > box.Size().X
	for i := range all {
		all[i].far = at[i].X
		if upright {
			all[i].far = at[i].Y
		}
	}
}

// neighbours splits leads where their pins are no neighbours: one pin between them is borne, a ground for instance. Between boards all
// pins are within a hand's breadth.
func neighbours(all []strand, boards bool) [][]strand {
	if boards {
		return [][]strand{all}
	}
	var out [][]strand
	for i, s := range all {
		if i > 0 && s.at.Sub(all[i-1].at).Len() < 2.6*2.54 {
			out[len(out)-1] = append(out[len(out)-1], s)
			continue
		}
		out = append(out, []strand{s})
	}
	return out
}

// monotone gives the longest choice of leads whose far ends stand in the order of the pins, or all in the opposite order: so that no core
// crosses another.
func monotone(all []strand) []strand {
	var best []strand
	for _, sign := range []float64{1, -1} {
		n := len(all)
		length, prev := make([]int, n), make([]int, n)
		end := -1
		for i := range n {
			length[i], prev[i] = 1, -1
			for j := range i {
				if sign*(all[i].far-all[j].far) > -1e-9 && length[j]+1 > length[i] {
					length[i], prev[i] = length[j]+1, j
				}
			}
			if end < 0 || length[i] > length[end] {
				end = i
			}
		}
		if end < 0 || length[end] <= len(best) {
			continue
		}
		best = best[:0:0]
		for i := end; i >= 0; i = prev[i] {
			best = append(best, all[i])
		}
		slices.Reverse(best)
	}
	return best
}

// ribbon files a ribbon; its cores are as long as the longest of them wants.
func (w *worker) ribbon(rb catalog.Wire, from, to string, cores []strand) {
	for _, p := range []string{"board ", "row "} {
		if hasPrefix(to, p) {
			to = to[len(p):]
		}
	}
	r := Ribbon{Name: fmt.Sprintf("ribbon %d, from %s to %s", len(w.r.Ribbons)+1, from, to), Wire: rb.ID, Cores: len(cores)}
	for k, s := range cores {
		x := &w.r.Wires[s.wire]
		x.Ribbon, x.Core, x.Wire = len(w.r.Ribbons), k, rb.ID
		x.Tracer = ""
		switch {
		case len(rb.Colours) > 1:
			x.Colour = rb.Colours[k%len(rb.Colours)]
		case len(rb.Colours) == 1:
			x.Colour, x.Tracer = rb.Colours[0], fmt.Sprintf("core %d", k+1)
		}
		r.Length = max(r.Length, x.Length)
		r.Wires = append(r.Wires, s.wire)
	}
	w.r.Ribbons = append(w.r.Ribbons, r)
}

// housings puts the wires at the boards into crimp housings: one for every row of neighbouring pins, one empty way borne between them.
func (w *worker) housings() {
	if w.p.Wiring.Ends != "crimped" {
		return
	}
	parts := map[int]catalog.Small{}
	most := 0
	var terminal catalog.Small
	for _, id := range w.cat.SmallIDs() {
		s, ok := w.cat.Small(id)
		switch {
		case !ok:
		case s.Kind == "housing" && math.Abs(s.Pitch.MM()-2.54) < 1e-6 && !hasPrefix(id, "ribbon"):
			if _, has := parts[s.Ways]; !has {
				parts[s.Ways] = s
			}
			most = max(most, s.Ways)
		case s.Kind == "terminal" && terminal.ID == "":
			terminal = s
		}
	}
	if most == 0 {
		return
	}
	at := map[wiring.Terminal][]int{}
	for i, x := range w.r.Wires {
		for _, t := range []wiring.Terminal{x.From, x.To} {
			if w.spot[t].board >= 0 {
				at[t] = append(at[t], i)
			}
		}
	}
	var two []string
	for _, b := range w.boards {
		var h Housing
		var last geom.Vec3
		flush := func() {
			if n := len(h.Pins); n > 0 {
				for h.Ways = n; h.Ways < most && parts[h.Ways].ID == ""; h.Ways++ {
				}
				h.Part = parts[h.Ways].ID
				w.r.Housings = append(w.r.Housings, h)
			}
			h = Housing{At: b.name}
		}
		flush()
		gap := 0
		var empty []string
		for _, l := range b.part.Lugs {
			t := wiring.Terminal{Of: b.name, Lug: l.Name}
			p := w.spot[t].at
			gap++
			if len(h.Pins) > 0 && (p.Sub(last).Len() > 1.5*2.54 || gap > 2 || len(h.Pins)+len(empty) >= most) {
				flush()
				empty = nil
			}
			last = p
			if len(at[t]) == 0 {
				if len(h.Pins) > 0 {
					empty = append(empty, l.Name)
				}
				continue
			}
			for _, e := range empty {
				h.Pins, h.Of = append(h.Pins, e), append(h.Of, -1)
			}
			h.Pins, h.Of = append(h.Pins, l.Name), append(h.Of, at[t][0])
			empty, gap = nil, 0
			if len(at[t]) > 1 {
				two = append(two, w.label(t))
			}
		}
		flush()
	}
	for i := range w.r.Ribbons {
		r := &w.r.Ribbons[i]
		x := w.r.Wires[r.Wires[0]]
		for e, t := range []wiring.Terminal{x.From, x.To} {
			for _, h := range w.r.Housings {
				if h.At == t.Of && slices.Contains(h.Of, r.Wires[0]) {
					r.Ends[e] = h
				}
			}
		}
	}
	w.judgeCrimps(terminal, two)
}

// judgeCrimps tells which wires the terminals do not hold.
func (w *worker) judgeCrimps(terminal catalog.Small, two []string) {
	es := []finding.End{w.end("the ends of the wires", "wiring.ends")}
	if len(two) > 0 {
		w.say(ruleCrimp, finding.Finding{Head: "Two wires come to one crimp terminal at " + list(two) + ".", Body: "Join them a hand's breadth before it, and crimp one of them.", Ends: es})
	}
	said := map[string]bool{}
	for _, x := range w.r.Wires {
		if w.spot[x.From].board < 0 && w.spot[x.To].board < 0 || said[x.Wire] {
			continue
		}
		said[x.Wire] = true
		c, ok := w.cat.Wire(x.Wire)
		if !ok || terminal.ID == "" {
			continue
		}
		f := finding.Finding{Ends: append(es, w.end(c.Title, "wiring.wire")), Body: "Take a stranded wire of AWG " + itoa(terminal.Gauge[0]) + " to " + itoa(terminal.Gauge[1]) + ", or let the ends be soldered."}
		switch g := c.Gauge; {
		case c.Strands == 1:
			f.Head = c.Title + " is solid: crimp terminals do not hold it."
		case g > 0 && (g < terminal.Gauge[0] || g > terminal.Gauge[1]):
			f.Head = fmt.Sprintf("%s does not fit the crimp terminals.", c.Title)
		default:
			continue
		}
		w.say(ruleCrimp, f)
	}
}
