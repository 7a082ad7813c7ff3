package wiring

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Work plans the wiring of a placed panel: what is joined to what, and which lead goes to which pin. It never panics on files that make
// no sense, and the same panel gives the same result.
func Work(p *panel.Panel, cat *catalog.Catalog) Result {
	w := newWorker(p, cat)
	w.boards()
	w.devices()
	w.asked()
	w.scheme()
	w.say()
	w.wishes()
	w.check()
	return w.r
}

// worker holds what the parts of the trade share.
type worker struct {
	p   *panel.Panel
	cat *catalog.Catalog
	r   Result

	controls         []*panel.Control          // of all boards of the box, the face first
	pose             map[string]geom.Pose      // of a control's sheet, to the box frame
	named            map[string]*panel.Control // by name
	module           int                       // index of the module in r.Boards, -1 = none
	lines            []line                    // every pin that a lead may go to, of all boards
	free             map[Terminal]bool         // pins that the person keeps free
	rails            []rail                    // what feeds things outside the module
	feeds            []feed                    // what is joined to ground and to supplies
	wants            []want                    // beside r.Signals: what the plan needs to know of each
	pots             string                    // the net that the upper ends of tracks go to
	laddersTake      float64                   // what the ladders take from it, mA
	lit              []lit                     // lamps, and what feeds each
	bus              []busEnd                  // lugs of controls on the I2C bus
	settled          map[string]asking         // pins that the person settled, by the name of the lead
	holder           map[Terminal]string       // which of them has a pin
	later            []string                  // names that no control has: of lines that a plan adds, or of nothing
	least            [2]int                    // rows and columns that settled crossings ask for
	wrong            []wrongPin                // such that cannot be
	kit              map[string]catalog.Part   // boards that the plan may add, by their role
	modules          []catalog.Part            // of the catalogue
	diode            small
	resistor         small
	way              string           // of wiring.by that is worked out
	shapesAre        []shape          // that the counts allow
	must             int              // leads that cannot be served whatever is done
	kind, joint, fit float64          // what a kind of sharing, a joint and a small part are worth
	quick            bool             // only to weigh a way: any bus will do
	turners          []int            // devices that could go over a voltage ladder
	commons          map[Terminal]int // how many contacts end at a common

	// What one way of doing it adds.
	cross    map[int]*Seat // signals that share lines: crossings and steps
	before   *worker       // as it was before leads were joined
	busCount int           // I2C buses in use
	middle   geom.Vec3     // of the module
	placed   bool          // the module has a place
	leads    [][]Terminal  // of each signal: where it leads
	inner    []Net         // nets between fittings and lugs
	mat      *MatrixPlan
	ladderOf map[int]int    // signal of a step: signal of its ladder
	lastEnd  Terminal       // of the resistor laid last
	counts   map[string]int // of fittings, by their letter
}

func newWorker(p *panel.Panel, cat *catalog.Catalog) *worker {
	w := &worker{p: p, cat: cat, pose: map[string]geom.Pose{}, named: map[string]*panel.Control{}, module: -1, free: map[Terminal]bool{}, counts: map[string]int{}}
	for _, s := range p.Sheets() {
		to := s.ToBox
		if to.X == (geom.Vec3{}) { // no box: the face frame is all there is
			to = geom.NoPose()
		}
		for _, c := range s.Controls {
			if w.named[c.Name] != nil {
				continue
			}
			w.controls = append(w.controls, c)
			w.pose[c.Name], w.named[c.Name] = to, c
		}
	}
	return w
}

// at gives the place of a lug of a control or a pin of a board in the box frame; ok is false when it has none.
func (w *worker) at(t Terminal) (v geom.Vec3, ok bool) {
	if c := w.named[t.Of]; c != nil {
		to := w.pose[t.Of]
		for _, l := range c.Lugs {
			if l.Name == t.Lug {
				return to.Apply(l.At.At(l.Z)), true
			}
		}
		return to.Apply(c.At.At(0)), true
	}
	for i := range w.r.Boards {
		if b := &w.r.Boards[i]; b.Name == t.Of && b.Module != nil {
			return b.Module.Pin(t.Lug)
		}
	}
	return v, false
}

// found adds a finding of a rule.
func (w *worker) found(r finding.Rule, f finding.Finding) {
	f.Rule = r.Name
	if f.Severity == finding.Note {
		f.Severity = r.Severity
	}
	w.spot(&f)
	w.r.Findings = append(w.r.Findings, f)
}

// spot gives a finding the place of the control that it is about first.
func (w *worker) spot(f *finding.Finding) {
	if f.Place != nil || len(f.Ends) == 0 {
		return
	}
	e := f.Ends[0]
	at := func(p *panel.Panel, on string) bool {
		for _, c := range p.Controls {
			if c.Origin.Path == e.Path && c.Origin.Name == e.Name {
				f.Place, f.On = &finding.Place{X: c.At.X, Y: c.At.Y}, on
				return true
			}
		}
		return false
	}
	if at(w.p, "") {
		return
	}
	for _, s := range w.p.Sides {
		if at(s.Panel, s.Name) {
			return
		}
	}
}
