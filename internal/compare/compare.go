// Package compare says what a rebuild means: which parts of an old panel go into which holes of a new one, which holes are left over and
// what covers them, what must be drilled, which wires can stay, what to buy and what is left to keep.
package compare

import (
	"fmt"
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/record"
)

// Side is one of the two panels.
type Side struct {
	Doc    *project.Doc
	Cat    *catalog.Catalog
	Result *job.Result
	Record *record.Record // what happened at its bench; nil = nothing is known

	Design *panel.Panel                 // of the old one, without what happened at its bench; nil = Result has it
	Run    func(src []byte) *job.Result // of the new one, with all trades: facts that hold for it are laid over it; nil = they are not
}

// Result is what the rebuild means.
type Result struct {
	Same     bool      // nothing differs that the bench would notice
	Sheet    Sheet     // whether the old sheet can be used again
	Parts    []Part    // parts of the new panel in file order, then those that are left over
	Holes    []Hole    // of the old sheet, when it is used again
	Drill    []Drill   // holes that the sheet does not have yet
	Wires    []Wire    // of the new harness in its order, then those that come off
	Pins     []Pin     // leads that move to another pin
	Buy      []Count   // parts that the old panel does not give
	Keep     []Count   // parts of the old panel that are left
	Settings []Setting // other things that differ: box, module, sheet
	Carried  []Carried // as-built facts
	Findings []finding.Finding
	Legends  []Legend // lettering that changes

	Becomes *job.Result `json:"-"` // the new panel, with the facts that hold for it
}

// Sheet says whether the old sheet can be used again.
type Sheet struct {
	Again bool
	Say   string
}

// Part is a part that stays, moves, comes or goes.
type Part struct {
	ID    string // in the catalogue
	What  string // stays, moves, comes, goes
	Label string // in the new panel; of what goes, in the old one
	Was   string // its label in the old panel, when it had another
	From  geom.Vec2
	To    geom.Vec2
	Far   float64 // mm
	On    string  // board, "" = the face
}

// Hole is a hole of the old sheet.
type Hole struct {
	Of      string // control it was for
	ID      string
	On      string // board, "" = the face
	Outline geom.Outline
	At      geom.Vec2
	Size    float64
	Is      string // its size in words: "22.3 mm", "3 mm by 66 mm"
	What    string // used, opened, covered, plugged, open, spoiled
	By      string // control that uses or covers it
	Plug    string // part that closes it
	Say     string
}

// Drill is a hole that is new.
type Drill struct {
	Of   string
	On   string // board, "" = the face
	At   geom.Vec2
	Size float64
	Is   string // its size in words
	Open bool   // an old hole is made larger
}

// Wire is a wire that stays, comes or comes off.
type Wire struct {
	What   string // stays, comes, off
	ID     string // in the new harness; of what comes off, in the old one
	Was    string // in the old harness
	From   string
	To     string
	Colour string
	Length float64 // mm
	Say    string  // "the old one is 35 mm too short"
}

// Pin is a lead that moves to another pin.
type Pin struct{ Of, From, To string }

// Count is a number of things.
type Count struct {
	ID, Title string
	N         int
	Long      float64 // mm, of wire
}

// Setting is something else that differs.
type Setting struct{ What, Old, New string }

// Legend is lettering that changes at a hole that stays.
type Legend struct{ Of, Old, New string }

// Carried says what becomes of an as-built fact of the old panel.
type Carried struct {
	Fact record.Fact
	Kept bool
	Why  string // why not
}

// Work compares. check judges a text as the new panel would be judged: it is asked whether holes that are left over do harm.
//
// What happened to the old panel stands in its Result. Facts that hold for the new one too are laid over it before anything is compared: a
// hole that sits beside its mark is used where it is.
func Work(old, new Side, check func(src []byte) *job.Result) Result {
	w := worker{old: old, new: new, check: check}
	w.work(true)
	if !w.r.Sheet.Again && w.laid {
		w = worker{old: old, new: new, check: check} // on a new sheet the holes are where they should be
		w.work(false)
	}
	return w.r
}

func (w *worker) work(again bool) {
	w.sheet()
	w.r.Sheet.Again = w.r.Sheet.Again && again
	w.facts()
	w.layOver()
	w.pair()
	w.sheet()
	w.parts()
	if w.r.Sheet.Again {
		w.holes()
	}
	if !w.r.Sheet.Again { // by its size, or because its holes run into the new ones
		w.r.Drill, w.r.Findings = nil, nil
		w.drillAll()
	}
	w.boards()
	w.wires()
	w.pins()
	w.counts()
	w.settings()
	w.r.Becomes = w.new.Result
	w.r.Same = w.same()
}

// held is a control with the sheet that it sits in.
type held struct {
	c  *panel.Control
	on string
}

type worker struct {
	old, new Side
	check    func([]byte) *job.Result
	r        Result
	laid     bool                              // facts of holes are laid over the new panel
	was      map[*panel.Control]*panel.Control // old control of a new one: the same part in the hand
	becomes  map[*panel.Control]*panel.Control
	olds     []held
	news     []held
}

func all(p *panel.Panel) (out []held) {
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			out = append(out, held{c, s.Board})
		}
	}
	return out
}

// alike reports whether two controls take the same part in the hand.
func alike(a, b *panel.Control) bool {
	return a.Part.ID == b.Part.ID && math.Abs(a.Part.Hole.Nominal()-b.Part.Hole.Nominal()) < 1e-6
}

// sheet decides whether the old sheet can be used again.
func (w *worker) sheet() {
	o, n := w.old.Result.Panel, w.new.Result.Panel
	mm := w.mm
	s := Sheet{Again: true}
	no := func(f string, a ...any) { s = Sheet{Say: fmt.Sprintf(f, a...)} }
	switch {
	case !o.Face.HasSize() || !n.Face.HasSize():
		no("One of the panels has no face yet; holes are not compared.")
	case math.Abs(o.Face.Width-n.Face.Width) > 0.05 || math.Abs(o.Face.Height-n.Face.Height) > 0.05 || o.Face.Corner > n.Face.Corner+0.05:
		no("A new sheet: the face was %s by %s and becomes %s by %s.", mm(o.Face.Width), mm(o.Face.Height), mm(n.Face.Width), mm(n.Face.Height))
	case o.Stack.Sheet.ID != n.Stack.Sheet.ID || math.Abs(o.Stack.SheetThickness-n.Stack.SheetThickness) > 0.3:
		no("A new sheet: it was %s and becomes %s.", o.Stack.Sheet.Title, n.Stack.Sheet.Title)
	default:
		s.Say = "The old sheet can be used again."
		if o.Stack.Covering.ID != n.Stack.Covering.ID {
			s.Say = fmt.Sprintf("The old sheet can be used again; its covering changes from %s to %s.", orBare(o.Stack.Covering.Title), orBare(n.Stack.Covering.Title))
		}
	}
	w.r.Sheet = s
}

func orBare(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func (w *worker) mm(v float64) string {
	return length.Format(length.Length(v), length.Unit(w.new.Result.Panel.Units))
}

// parts lists what becomes of every part.
func (w *worker) parts() {
	for _, n := range w.news {
		p := Part{ID: n.c.Part.ID, What: "comes", Label: n.c.Label, To: n.c.At.Vec2, On: n.on}
		if o := w.was[n.c]; o != nil {
			p.What, p.From = "stays", o.At.Vec2
			p.Far = o.At.Sub(n.c.At.Vec2).Len()
			if p.Far > 0.05 || w.boardOf(o) != n.on || math.Abs(o.Turn-n.c.Turn) > 0.05 {
				p.What = "moves"
			}
			if o.Label != n.c.Label {
				p.Was = o.Label
			}
			if o.Legend.Text != n.c.Legend.Text {
				w.r.Legends = append(w.r.Legends, Legend{n.c.Label, o.Legend.Text, n.c.Legend.Text})
			}
		}
		w.r.Parts = append(w.r.Parts, p)
	}
	for _, o := range w.olds {
		if w.becomes[o.c] == nil {
			w.r.Parts = append(w.r.Parts, Part{ID: o.c.Part.ID, What: "goes", Label: o.c.Label, From: o.c.At.Vec2, On: o.on})
		}
	}
}

func (w *worker) boardOf(o *panel.Control) string {
	for _, h := range w.olds {
		if h.c == o {
			return h.on
		}
	}
	return ""
}

// same reports whether the bench would notice nothing.
func (w *worker) same() bool {
	for _, p := range w.r.Parts {
		if p.What != "stays" {
			return false
		}
	}
	for _, x := range w.r.Wires {
		if x.What != "stays" {
			return false
		}
	}
	return w.r.Sheet.Again && len(w.r.Drill)+len(w.r.Pins)+len(w.r.Buy)+len(w.r.Keep)+len(w.r.Settings)+len(w.r.Legends) == 0
}
