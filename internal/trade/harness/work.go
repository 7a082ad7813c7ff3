package harness

import (
	"cmp"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// Work lays the wires. It never panics on a plan that is half finished: what can be wired is. The same panel and plan give the same
// result.
func Work(p *panel.Panel, plan wiring.Result, cat *catalog.Catalog) Result {
	w := &worker{p: p, w: plan, cat: cat}
	w.r.Partial = plan.Plan.Partial
	if len(plan.Nets) == 0 || len(plan.Boards) == 0 || !p.Face.HasSize() {
		return w.r
	}
	w.work()
	return w.r
}

func (w *worker) work() {
	w.sheets()
	w.lids()
	w.place()
	w.spots()
	w.r.Boards, w.r.At = map[string]bool{}, map[wiring.Terminal]geom.Vec3{}
	for _, b := range w.boards {
		w.r.Boards[b.name] = true
	}
	for t, s := range w.spot {
		w.r.At[t] = s.at
	}
	w.choose()
	w.links()
	w.exits()
	w.lay()
	w.loops()
	w.colours()
	w.ribbons()
	w.housings()
	w.loads()
	w.bundles()
	w.breaks()
	w.joints()
	w.smalls()
	w.cut()
	w.rings()
	w.power()
	w.judge()
	w.r.Findings = w.found
}

// worker carries what is constant while one harness is laid.
type worker struct {
	p     *panel.Panel
	w     wiring.Result
	cat   *catalog.Catalog
	r     Result
	found []finding.Finding

	grids   []*grid
	back    []geom.Pose // from the box frame to each sheet
	lid     []lid       // by grid
	boards  []boardAt
	named   map[string]*panel.Control
	spot    map[wiring.Terminal]spot
	cells   map[[2]geom.Vec3]over // of pins on sheets, as they are asked for
	link    []link
	exit    map[[2]int]*exit // by sheet and board
	raw     [][]geom.Vec3    // ways of the wires, cell by cell
	use     [4]catalog.Wire  // by useOf
	service float64          // free wire beyond what the opening wants, mm
	search  search
	whole   map[[2]wiring.Terminal]bool // tracks that are on the continuity list
}

// link is a wire that is wanted, before it is laid.
type link struct {
	net      int
	from, to wiring.Terminal
	chain    int // index into Result.Chains, -1 = single
}

// mm writes a length as the person reads it.
func (w *worker) mm(v float64) string {
	if w.p.Units == "in" {
		return length.Format(length.Length(v), length.Inch)
	}
	return plain(v) + " mm"
}

// say files a finding under a rule.
func (w *worker) say(r finding.Rule, f finding.Finding) {
	f.Rule = r.Name
	if f.Severity < r.Severity {
		f.Severity = r.Severity
	}
	w.found = append(w.found, f)
}

// sheets lays out the room behind every sheet.
func (w *worker) sheets() {
	w.named, w.cells = map[string]*panel.Control{}, map[[2]geom.Vec3]over{}
	w.service = max(0, min(w.p.Limits.Value(limService), 500))
	all := w.p.Sheets()
	for i, s := range all {
		var others []thing
		for j, o := range all {
			for _, c := range o.Controls {
				if w.named[c.Name] == nil {
					w.named[c.Name] = c
				}
				if j == i {
					continue
				}
				for _, b := range c.Rear {
					if b.Role == panel.RoleBody || b.Role == panel.RoleLugs || b.Role == panel.RolePlug {
						others = append(others, thing{b.Outline, b.Z0, b.Z1, o.ToBox, c.Name})
					}
				}
			}
		}
		w.grids = append(w.grids, newGrid(s, others))
		w.back = append(w.back, s.ToBox.Inverse())
	}
}

// exitKeys lists the sheets and boards that exchange wires, in order.
func (w *worker) exitKeys() [][2]int {
	keys := make([][2]int, 0, len(w.exit))
	for k := range w.exit {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b [2]int) int { return cmp.Or(a[0]-b[0], a[1]-b[1]) })
	return keys
}
