package compare

import (
	"cmp"
	"fmt"
	"math"
	"sort"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/record/built"
	"knobwright/internal/trade/costing"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// giveUp is how much of its reserve, for slack and for stripping its ends, a wire may give up before it counts as too short.
const giveUp = 0.2

// labels gives controls the names that people call them by.
func labels(hs []held) map[string]string {
	out := map[string]string{}
	for _, h := range hs {
		out[h.c.Name] = h.c.Label
	}
	return out
}

// terminal names a place to solder: "GO no", "pin 14 of the module", "R3 of STANDBY +".
func terminal(names map[string]string, r wiring.Result, t wiring.Terminal) string {
	if n, ok := names[t.Of]; ok {
		return strings.TrimSpace(n + " " + t.Lug)
	}
	for _, b := range r.Boards {
		if b.Name == t.Of {
			return "pin " + t.Lug + " of " + b.Label
		}
	}
	for _, f := range r.Fittings {
		if f.Name == t.Of {
			return f.Name + " at " + terminal(names, r, f.At)
		}
	}
	return strings.TrimSpace(t.Of + " " + t.Lug)
}

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
	say := func(names map[string]string, res wiring.Result, x harness.Wire) Wire {
		return Wire{ID: x.ID, From: terminal(names, res, x.From), To: terminal(names, res, x.To), Colour: x.Colour, Length: x.Length}
	}
	for _, x := range nh.Wires {
		out := say(labels(w.news), w.new.Result.Wiring, x)
		out.What = "comes"
		k := key(term(x.From, false), term(x.To, false))
		for _, i := range have[k] {
			o := oh.Wires[i]
			if used[i] {
				continue
			}
			short := x.Length - o.Length
			if short > 0.5 && short > (x.Length-x.Run)*giveUp {
				out.Say = fmt.Sprintf("the old one (%s) is %s too short", o.ID, w.mm(short))
				continue
			}
			used[i] = true
			out.What, out.Was, out.Say = "stays", o.ID, ""
			if short > 0.5 {
				out.Say = fmt.Sprintf("%s shorter than drawn: it takes that from its reserve", w.mm(short))
			}
			if o.Colour != x.Colour {
				out.Say = strings.TrimPrefix(out.Say+fmt.Sprintf("; it is %s, the plan says %s", o.Colour, x.Colour), "; ")
			}
			break
		}
		w.r.Wires = append(w.r.Wires, out)
	}
	for i, x := range oh.Wires {
		if !used[i] {
			out := say(labels(w.olds), w.old.Result.Wiring, x)
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
		for _, l := range s.Result.Costs.Lines {
			if l.Section == costing.Screws || strings.HasPrefix(l.ID, "knob ") {
				add(l.ID, l.Title, int(math.Ceil(l.Use)), 0)
			}
		}
		for _, l := range s.Result.Box.Boards {
			if l.Board.Role != carcass.RoleFace {
				size := w.boardSize(l.Blank.X, l.Blank.Y, l.Thickness)
				add("board "+l.Material.ID+" "+size, strings.TrimPrefix(l.Material.Title+", "+size, ", ")+": "+l.Name, 1, 0)
			}
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
	w.newFace(func(id, title string) {
		n["face "+id] = &thing{title: title, n: 1}
	})
	diff := func(a, b map[string]*thing) (out []Count) {
		for id, t := range a {
			k := t.n
			if u := b[id]; u != nil {
				k -= u.n
			}
			if k > 0 || t.long > 0 {
				if strings.HasPrefix(id, "board ") || strings.HasPrefix(id, "face ") { // the title says it
					id = ""
				}
				out = append(out, Count{id, t.title, max(k, 0), t.long})
			}
		}
		sort.Slice(out, func(i, j int) bool {
			return cmp.Or(cmp.Compare(out[i].ID, out[j].ID), cmp.Compare(out[i].Title, out[j].Title)) < 0
		})
		return out
	}
	w.r.Buy, w.r.Keep = diff(n, o), diff(o, n)
}

// newFace tells what a new face is made of: the sheet when the old one does not do, and its covering when sheet or covering are new.
func (w *worker) newFace(buy func(id, title string)) {
	o, n := w.old.Result.Panel, w.new.Result.Panel
	st := n.Stack
	if !n.Face.HasSize() || w.r.Sheet.Again && o.Stack.Covering.ID == st.Covering.ID {
		return
	}
	size := w.mm(n.Face.Width) + " by " + w.mm(n.Face.Height)
	if !w.r.Sheet.Again && st.Sheet.ID != "" {
		buy(st.Sheet.ID, st.Sheet.Title+", "+size+": the face")
	}
	if st.Covering.ID != "" && st.Covering.ID != "none" {
		buy(st.Covering.ID, st.Covering.Title+": for the face of "+size)
	}
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

// facts says which as-built facts hold for the new panel too: those whose parts stay where they were designed to be, and whose edits the
// new file takes.
func (w *worker) facts() {
	if w.old.Record == nil {
		return
	}
	design := w.old.Design
	if design == nil {
		design = w.old.Result.Panel
	}
	becomes := map[string]held{}
	for _, n := range all(w.new.Result.Panel) {
		becomes[n.c.Name] = n
	}
	stays, known := map[string]bool{}, map[string]bool{}
	for _, o := range all(design) {
		known[o.c.Name] = true
		n, ok := becomes[o.c.Name]
		stays[o.c.Name] = ok && n.on == o.on && alike(o.c, n.c) && o.c.At.Sub(n.c.At.Vec2).Len() < 0.05
	}
	doc := w.new.Doc
	before := Carried{Kept: true}
	for _, f := range w.old.Record.Facts {
		c := Carried{Fact: f, Kept: true}
		switch {
		case f.Past:
			c.Kept, c.Why = false, "it was mended"
		case f.Kind == "rescue" && !before.Kept:
			c.Kept, c.Why = false, "what it mended is not there any more"
		default:
			for _, of := range f.Of {
				if known[of] && !stays[of] {
					c.Kept, c.Why = false, of+" does not stay where it was"
				}
			}
			if c.Kept && (f.Kind == "hole" || f.Kind == "sheet") && !w.r.Sheet.Again {
				c.Kept, c.Why = false, "the sheet is new"
			}
			if c.Kept && len(f.Edits) > 0 {
				src, err := doc.Apply(f.Edits)
				if err != nil {
					c.Kept, c.Why = false, "the new file has no place for it"
				} else {
					doc = project.Read(doc.Name, src)
				}
			}
		}
		if f.Kind != "rescue" {
			before = c
		}
		w.r.Carried = append(w.r.Carried, c)
	}
}

// layOver lays the facts that hold over the new panel.
func (w *worker) layOver() {
	if w.new.Run == nil {
		return
	}
	var rec record.Record
	for _, c := range w.r.Carried {
		if c.Kept && len(c.Fact.Edits) > 0 {
			rec.Facts = append(rec.Facts, c.Fact)
			w.laid = w.laid || c.Fact.Kind == "hole" || c.Fact.Kind == "sheet"
		}
	}
	if len(rec.Facts) == 0 {
		return
	}
	text, _, _ := built.Lay(w.new.Doc.Name, w.new.Doc.Src, &rec)
	w.new.Doc, w.new.Result = project.Read(w.new.Doc.Name, text), w.new.Run(text)
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
