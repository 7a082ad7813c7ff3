package wiring

import (
	"knobwright/internal/finding"
)

// What ladders are made of, ohm. Common practice: a step small enough that the input's leak does not matter, large enough that the
// supply does not feel it.
const (
	ladderStep = 1000
	ladderOpen = 100e3 // pulls the wiper down between two positions
	ladderUp   = 10e3  // pull-up of a ladder of buttons
)

// ladderFractions are the voltages of a ladder of buttons, as shares of the supply; nothing pressed is the whole of it.
var ladderFractions = []float64{0, 0.25, 0.5, 0.75}

// ladderRail gives the supply of a ladder of so many steps: that of the tracks, for all of them are read against one reference. When the
// reference cannot give that too, the tracks move to the supply of the pins with it.
func (w *worker) ladderRail(steps int) string {
	name := w.trackRail()
	d, logic := w.moduleBoard(), w.logicRail()
	if d == nil || logic < 0 {
		return name
	}
	w.laddersTake += d.Volts / (float64(steps) * ladderStep) * 1000 * 1.1
	for _, r := range w.rails {
		if r.name != name || !r.reference || r.gives >= w.tracksTake()+w.laddersTake {
			continue
		}
		w.pots = w.rails[logic].name
		for i := range w.feeds {
			if w.feeds[i].to == name {
				w.feeds[i].to = w.pots
			}
		}
	}
	return w.pots
}

// turning lists the devices that can go over a ladder each: one common, one contact closed in each position.
func (w *worker) turning() []int {
	var out []int
	for d := range w.r.Devices {
		v := &w.r.Devices[d]
		if v.Kind != DevSwitch || len(v.Contact) < 3 || len(v.Control.Part.Circuit.Springs) > 0 { // a stick can be held down and left
			continue
		}
		ok, common := true, ""
		seen := map[string]bool{}
		for i, s := range w.r.Signals {
			if s.Device != d {
				continue
			}
			x := &w.wants[i]
			k := v.Control.Part.Circuit.Contacts[x.contact]
			if common == "" {
				common = x.common
			}
			if x.common != common || len(k.Closed) != 1 || seen[k.Closed[0]] || !x.own || !s.Asked.Zero() {
				ok = false
				break
			}
			seen[k.Closed[0]] = true
		}
		if ok {
			out = append(out, d)
		}
	}
	return out
}

// ladder puts a switch of many positions on one analog pin: its lugs lie along a chain of equal resistors, its common leads to the pin.
func (w *worker) ladder(d int) {
	v := &w.r.Devices[d]
	c := v.Control
	var at []int
	for i, s := range w.r.Signals {
		if s.Device == d {
			at = append(at, i)
		}
	}
	common := Terminal{c.Name, w.wants[at[0]].common}
	l := w.signal(Signal{
		Name: c.Name + "/ladder", Label: c.Label + " (ladder)", Kind: SigLadder, Device: d, Lug: common.Lug, Return: common.Lug, Needs: []string{"analog"}, Origin: c.Origin,
	}, want{contact: -1, ends: []Terminal{common}, heavy: true})
	below := Terminal{}
	for k, i := range at {
		w.cross[i] = &Seat{Way: Ladder, Row: -1, Column: -1, Step: k, Fixed: w.wants[i].via == Ladder, Why: "step " + itoa(k+1) + " of " + itoa(len(at))}
		w.ladderOf[i] = l
		lug := Terminal{c.Name, w.r.Signals[i].Lug}
		r := w.resistorAt(Fitting{Ohms: w.ohms(ladderStep), At: lug, For: d, Way: "from the lug before", Why: "ladder of " + c.Label + ", all alike"})
		if k == 0 {
			w.feeds = append(w.feeds, feed{netAGround, Terminal{r, "1"}})
		} else {
			w.inner = append(w.inner, Net{Name: "ladder of " + c.Label + ", step " + itoa(k), Kind: NetInner, Signal: -1, Terms: []Terminal{below, w.lastEnd, {r, "1"}}})
		}
		below, w.lastEnd = lug, Terminal{r, "2"}
	}
	rail := w.ladderRail(len(at))
	w.feeds = append(w.feeds, feed{rail, below}, feed{rail, w.lastEnd})
	r := w.resistorAt(Fitting{Ohms: w.ohms(ladderOpen), At: common, For: d, Way: "to ground", Why: "reads zero between two positions"})
	w.feeds = append(w.feeds, feed{netAGround, Terminal{r, "2"}})
	w.wants[l].ends = []Terminal{common, {r, "1"}}
}

// buttonLadders puts buttons that are to go over a ladder on analog pins, four at most on each.
func (w *worker) buttonLadders() {
	var at []int
	for i, s := range w.r.Signals {
		x := &w.wants[i]
		if s.Kind != SigContact || x.via != Ladder || w.cross[i] != nil {
			continue
		}
		if w.r.Devices[s.Device].Holds || !x.own {
			w.found(ruleCannot, finding.Finding{
				Head: s.Label + " cannot share a voltage ladder.", Body: "While it is closed, it hides the others. It gets a pin of its own.", Ends: []finding.End{w.wants[i].control.Origin.End()},
				Fixes: w.controlFix(x.control, "via", "direct", "Give it a pin of its own"),
			})
			x.via = ""
			continue
		}
		at = append(at, i)
	}
	for n := 0; len(at) > 0; n++ {
		k := min(len(at), len(ladderFractions))
		w.buttonLadder(n, at[:k])
		at = at[k:]
	}
}

func (w *worker) buttonLadder(n int, at []int) {
	name := "ladder/" + itoa(n+1)
	l := w.signal(Signal{Name: name, Label: "ladder " + itoa(n+1), Kind: SigLadder, Device: -1, Needs: []string{"analog"}}, want{contact: -1, heavy: true})
	var ends []Terminal
	for k, i := range at {
		lug := Terminal{w.wants[i].control.Name, w.r.Signals[i].Lug}
		common := Terminal{w.wants[i].control.Name, w.wants[i].common}
		w.cross[i] = &Seat{Way: Ladder, Row: -1, Column: -1, Step: k, Fixed: true, Why: "step " + itoa(k+1) + " of " + itoa(len(at))}
		w.ladderOf[i] = l
		w.feeds = append(w.feeds, feed{netAGround, common})
		if f := ladderFractions[k]; f > 0 {
			r := w.resistorAt(Fitting{
				Ohms: w.ohms(ladderUp * f / (1 - f)), At: lug, For: w.r.Signals[i].Device, Way: "to the ladder's line", Why: "so that its press reads differently",
			})
			w.inner = append(w.inner, Net{Name: "resistor of " + w.r.Signals[i].Label, Kind: NetInner, Signal: -1, Terms: []Terminal{lug, {r, "1"}}})
			lug = Terminal{r, "2"}
		}
		ends = append(ends, lug)
	}
	r := w.resistorAt(Fitting{Ohms: w.ohms(ladderUp), At: ends[0], For: -1, Way: "to the supply", Why: "pull-up of the ladder"})
	w.feeds = append(w.feeds, feed{w.ladderRail(ladderUp / ladderStep), Terminal{r, "2"}})
	w.wants[l].ends = append(ends, Terminal{r, "1"})
}
