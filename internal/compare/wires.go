package compare

import (
	"fmt"
	"sort"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/record"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// wires finds for each new wire an old one between the same lugs of the same parts.
func (w *worker) wires() {
	oh, nh := w.old.Result.Harness, w.new.Result.Harness
	name := map[string]string{} // of an old control in the new panel
	for o, n := range w.becomes {
		name[o.Name] = n.Name
	}
	gone := map[string]bool{}
	for _, o := range w.olds {
		if w.becomes[o.c] == nil {
			gone[o.c.Name] = true
		}
	}
	key := func(a, b string) string {
		if b < a {
			a, b = b, a
		}
		return a + " | " + b
	}
	term := func(t wiring.Terminal, old bool) string {
		of := t.Of
		if old {
			if gone[of] {
				of = "gone " + of
			} else if n, ok := name[of]; ok {
				of = n
			}
		}
		return of + " " + t.Lug
	}
	have := map[string][]int{}
	for i, x := range oh.Wires {
		k := key(term(x.From, true), term(x.To, true))
		have[k] = append(have[k], i)
	}
	used := make([]bool, len(oh.Wires))
	say := func(r harness.Result, res wiring.Result, x harness.Wire) Wire {
		return Wire{ID: x.ID, From: x.From.Of + " " + x.From.Lug, To: x.To.Of + " " + x.To.Lug, Colour: x.Colour, Length: x.Length}
	}
	for _, x := range nh.Wires {
		out := say(nh, w.new.Result.Wiring, x)
		out.What = "comes"
		k := key(term(x.From, false), term(x.To, false))
		for _, i := range have[k] {
			o := oh.Wires[i]
			if used[i] {
				continue
			}
			if o.Length < x.Length-0.5 {
				out.Say = fmt.Sprintf("the old one (%s) is %s too short", o.ID, w.mm(x.Length-o.Length))
				continue
			}
			used[i] = true
			out.What, out.Was, out.Say = "stays", o.ID, ""
			if o.Colour != x.Colour {
				out.Say = fmt.Sprintf("it is %s, the plan says %s", o.Colour, x.Colour)
			}
			break
		}
		w.r.Wires = append(w.r.Wires, out)
	}
	for i, x := range oh.Wires {
		if !used[i] {
			out := say(oh, w.old.Result.Wiring, x)
			out.What = "off"
			w.r.Wires = append(w.r.Wires, out)
		}
	}
}

// pins lists leads of parts that both panels have and that go to another pin.
func (w *worker) pins() {
	seats := func(r wiring.Result) map[string]string {
		out := map[string]string{}
		label := map[string]string{}
		for _, b := range r.Boards {
			label[b.Name] = b.Label
		}
		for i, s := range r.Signals {
			if i >= len(r.Plan.Seats) {
				break
			}
			p := r.Plan.Seats[i]
			switch {
			case p.Way == wiring.Matrix:
				out[s.Name] = fmt.Sprintf("the crossing of %s and %s", r.Signals[p.Row].Label, r.Signals[p.Column].Label)
			case !p.Pin.Zero():
				out[s.Name] = fmt.Sprintf("pin %s of %s", p.Pin.Lug, label[p.Pin.Of])
			}
		}
		return out
	}
	o, n := seats(w.old.Result.Wiring), seats(w.new.Result.Wiring)
	rename := map[string]string{} // new control to old
	for nc, oc := range w.was {
		rename[nc.Name] = oc.Name
	}
	for _, s := range w.new.Result.Wiring.Signals {
		of, tail, _ := strings.Cut(s.Name, "/")
		old := s.Name
		if was, ok := rename[of]; ok && was != of {
			old = was
			if tail != "" {
				old += "/" + tail
			}
		}
		if a, b := o[old], n[s.Name]; a != "" && b != "" && a != b {
			w.r.Pins = append(w.r.Pins, Pin{s.Label, a, b})
		}
	}
}

// counts says what to buy and what is left.
func (w *worker) counts() {
	type thing struct {
		title string
		n     int
		long  float64
	}
	count := func(s Side) map[string]*thing {
		m := map[string]*thing{}
		add := func(id, title string, n int, long float64) {
			if id == "" {
				return
			}
			t := m[id]
			if t == nil {
				t = &thing{title: title}
				m[id] = t
			}
			t.n += n
			t.long += long
		}
		for _, h := range all(s.Result.Panel) {
			add(h.c.Part.ID, h.c.Part.Title, 1, 0)
		}
		for _, b := range s.Result.Wiring.Boards {
			add(b.Part.ID, b.Part.Title, 1, 0)
		}
		for _, f := range s.Result.Wiring.Fittings {
			add(f.Kind+" "+f.Value, strings.TrimSpace(finding.Capital(f.Kind)+" "+f.Value), 1, 0)
		}
		return m
	}
	o, n := count(w.old), count(w.new)
	for _, x := range w.r.Wires { // wire by the metre: what is new, less nothing, for pieces that come off are short
		if x.What == "comes" {
			id := "wire " + x.Colour
			t := n[id]
			if t == nil {
				t = &thing{title: "Wire, " + x.Colour}
				n[id] = t
			}
			t.long += x.Length
		}
	}
	for _, h := range w.r.Holes {
		if h.Plug != "" {
			if t := n[h.Plug]; t != nil {
				t.n++
			} else {
				p, _ := w.new.Cat.Part(h.Plug)
				n[h.Plug] = &thing{title: p.Title, n: 1}
			}
		}
	}
	diff := func(a, b map[string]*thing) (out []Count) {
		for id, t := range a {
			k := t.n
			if u := b[id]; u != nil {
				k -= u.n
			}
			if k > 0 || t.long > 0 {
				out = append(out, Count{id, t.title, max(k, 0), t.long})
			}
		}
		sort.Slice(out, func(i, j int) bool { return out[i].ID < out[j].ID })
		return out
	}
	w.r.Buy, w.r.Keep = diff(n, o), diff(o, n)
}

// settings lists what else differs.
func (w *worker) settings() {
	o, n := w.old.Result, w.new.Result
	add := func(what, a, b string) {
		if a != b {
			w.r.Settings = append(w.r.Settings, Setting{what, orBare(a), orBare(b)})
		}
	}
	size := func(p *panel.Panel) string {
		if !p.Face.HasSize() {
			return ""
		}
		return w.mm(p.Face.Width) + " by " + w.mm(p.Face.Height)
	}
	add("face", size(o.Panel), size(n.Panel))
	add("sheet", o.Panel.Stack.Sheet.Title, n.Panel.Stack.Sheet.Title)
	add("covering", o.Panel.Stack.Covering.Title, n.Panel.Stack.Covering.Title)
	mod := func(p *panel.Panel) string {
		if p.Module == nil {
			return ""
		}
		return p.Module.Part.Title
	}
	add("module", mod(o.Panel), mod(n.Panel))
	add("inputs", o.Wiring.Plan.Title, n.Wiring.Plan.Title)
	boards := map[string]string{}
	var order []string
	for _, l := range o.Box.Boards {
		boards[l.Name] = w.boardSize(l.Blank.X, l.Blank.Y, l.Thickness)
		order = append(order, l.Name)
	}
	for _, l := range n.Box.Boards {
		add("the "+l.Name, boards[l.Name], w.boardSize(l.Blank.X, l.Blank.Y, l.Thickness))
		delete(boards, l.Name)
	}
	for _, name := range order {
		if s, ok := boards[name]; ok {
			add("the "+name, s, "")
		}
	}
}

func (w *worker) boardSize(l, b, t float64) string {
	return w.mm(l) + " x " + w.mm(b) + " x " + w.mm(t)
}

// facts says which as-built facts hold for the new panel too: those whose parts stay where they are, and whose edits the new file takes.
func (w *worker) facts() {
	if w.old.Record == nil {
		return
	}
	stays := map[string]bool{}
	known := map[string]bool{}
	for _, o := range w.olds {
		known[o.c.Name] = true
		n := w.becomes[o.c]
		stays[o.c.Name] = n != nil && n.Name == o.c.Name && o.c.At.Sub(n.At.Vec2).Len() < 0.05
	}
	for _, f := range w.old.Record.Facts {
		c := Carried{Fact: f, Kept: true}
		switch {
		case f.Past:
			c.Kept, c.Why = false, "it was mended"
		default:
			for _, of := range f.Of {
				if known[of] && !stays[of] {
					c.Kept, c.Why = false, of+" does not stay where it was"
				}
			}
			if c.Kept && f.Kind == "hole" && !w.r.Sheet.Again {
				c.Kept, c.Why = false, "the sheet is new"
			}
			if c.Kept {
				if _, err := w.new.Doc.Apply(f.Edits); err != nil {
					c.Kept, c.Why = false, "the new file has no place for it"
				}
			}
		}
		w.r.Carried = append(w.r.Carried, c)
	}
}

// Merged gives the record of the new panel with the facts that are carried over; ticks and tests stay with the old one.
func (r Result) Merged(into record.Record) record.Record {
	has := map[string]bool{}
	for _, f := range into.Facts {
		has[f.What] = true
	}
	out := into
	out.Facts = append([]record.Fact{}, into.Facts...)
	for _, c := range r.Carried {
		if c.Kept && !has[c.Fact.What] {
			f := c.Fact
			f.ID = fmt.Sprintf("f%d", len(out.Facts)+1)
			out.Facts = append(out.Facts, f)
		}
	}
	return out
}
