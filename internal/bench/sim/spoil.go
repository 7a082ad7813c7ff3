package sim

import (
	"fmt"
	"slices"

	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// spoil does to the wires what a fault says.
//
//   - open-lead: the wire between A and B is off; without B, the wire that comes to A from the side of the pin.
//   - chain-broken, supply-missing: the wire that comes to A is off, so that A and all that is behind it hang in the air.
//   - encoder-common, wiper-open, end-open: the lug A itself is off; wires that met there still meet.
//   - wrong-pin: the end of A's wire that belongs elsewhere than A is on B.
//   - swapped, lines-swapped, closed-lug, phases-swapped, ends-swapped: the ends of all wires and fittings at two places are exchanged.
func (l *loom) spoil(f diagnosis.Fault) error {
	d := device(l.job, f.Device)
	a, b := f.A, f.B
	switch f.Kind {
	case diagnosis.OpenLead, diagnosis.ChainBroken, diagnosis.SupplyOff:
		return l.cut(f)
	case diagnosis.EncoderOpen, diagnosis.WiperOpen, diagnosis.EndOpen:
		if a.Zero() {
			a = l.lugOf(d, f.Kind)
		}
		return l.lift(a)
	case diagnosis.WrongPin:
		return l.move(f)
	case diagnosis.Swapped, diagnosis.LinesSwapped, diagnosis.ClosedLug:
		return l.swap(a, b)
	case diagnosis.PhasesSwap, diagnosis.EndsSwapped:
		if a.Zero() || b.Zero() {
			a, b = l.pair(d, f.Kind)
		}
		return l.swap(a, b)
	case diagnosis.ToGround:
		l.joins = append(l.joins, [2]wiring.Terminal{{Of: "ground"}, a})
	case diagnosis.ToSupply, diagnosis.Bridged:
		if a.Zero() || b.Zero() {
			return lost(f)
		}
		l.joins = append(l.joins, [2]wiring.Terminal{a, b})
	case diagnosis.NoDiode:
		l.over[f.Fitting] = true
	case diagnosis.OpenDiode:
		l.gone[f.Fitting] = true
	case diagnosis.DiodeTurned:
		l.flip[f.Fitting] = true
	case diagnosis.LampTurned:
		l.flip["lamp "+f.Device] = true
	case diagnosis.LampDead:
		l.gone["lamp "+f.Device] = true
	case diagnosis.Stuck, diagnosis.Dead:
		return l.weld(f, d)
	case diagnosis.NoPullUp:
		l.noUp[a] = true
	case diagnosis.Detents, diagnosis.Noisy, diagnosis.Bounces, diagnosis.WrongTable: // no matter of the wires
	default:
		return fmt.Errorf("%s is not a fault that is known", f.Kind)
	}
	return nil
}

func lost(f diagnosis.Fault) error {
	return fmt.Errorf("%s: the panel has no such place (%s %s, %s %s)", f.Kind, f.A.Of, f.A.Lug, f.B.Of, f.B.Lug)
}

// cut takes a wire off.
func (l *loom) cut(f diagnosis.Fault) error {
	for i, w := range l.wires {
		if f.Wire != "" && w.id == f.Wire || !f.B.Zero() && (w.ends == [2]wiring.Terminal{f.B, f.A} || w.ends == [2]wiring.Terminal{f.A, f.B}) {
			l.wires = slices.Delete(l.wires, i, i+1)
			return nil
		}
	}
	for i, w := range l.wires { // wires run away from the pin
		if w.ends[1] == f.A {
			l.wires = slices.Delete(l.wires, i, i+1)
			return nil
		}
	}
	for i, w := range l.wires {
		if w.ends[0] == f.A {
			l.wires = slices.Delete(l.wires, i, i+1)
			return nil
		}
	}
	for i, j := range l.joins { // a fitting on its lug, or the place behind a fitting
		if j[0] == f.A || j[1] == f.A {
			l.joins = slices.Delete(l.joins, i, i+1)
			return nil
		}
	}
	return lost(f)
}

// lift takes a lug off all wires that meet there; they stay together.
func (l *loom) lift(a wiring.Terminal) error {
	apart := wiring.Terminal{Of: a.Of, Lug: a.Lug + " (wires)"}
	if !l.rename(a, apart, nil) {
		return lost(diagnosis.Fault{Kind: diagnosis.EndOpen, A: a})
	}
	return nil
}

// rename moves all ends at one place to another; those of wires in keep stay.
func (l *loom) rename(from, to wiring.Terminal, keep map[int]bool) bool {
	found := false
	for i := range l.wires {
		for k := range 2 {
			if l.wires[i].ends[k] == from && !keep[2*i+k] {
				l.wires[i].ends[k] = to
				found = true
			}
		}
	}
	for i := range l.joins {
		for k := range 2 {
			if l.joins[i][k] == from {
				l.joins[i][k] = to
				found = true
			}
		}
	}
	return found
}

// swap exchanges what is soldered to two places. One of them may be bare.
func (l *loom) swap(a, b wiring.Terminal) error {
	if a.Zero() || b.Zero() || a == b {
		return lost(diagnosis.Fault{Kind: diagnosis.Swapped, A: a, B: b})
	}
	between := wiring.Terminal{Of: "in the hand"}
	one := l.rename(a, between, nil)
	two := l.rename(b, a, nil)
	if !one && !two {
		return lost(diagnosis.Fault{Kind: diagnosis.Swapped, A: a, B: b})
	}
	l.rename(between, b, nil)
	return nil
}

// move puts the far end of A's wire on B.
func (l *loom) move(f diagnosis.Fault) error {
	try := func(at wiring.Terminal) bool {
		for i := range l.wires {
			w := &l.wires[i]
			for k := range 2 {
				if w.ends[k] == at && (l.job.Harness.Boards[w.ends[1-k].Of] || f.Wire == w.id || w.ends[1-k].Of == f.B.Of) {
					w.ends[1-k] = f.B
					return true
				}
			}
		}
		return false
	}
	if f.B.Zero() {
		return lost(f)
	}
	if try(f.A) {
		return nil
	}
	for _, j := range l.joins { // the wire comes to the other end of a fitting on the lug
		for k := range 2 {
			if x := fitting(l.job, j[k].Of); j[1-k] == f.A && x != nil {
				for _, lug := range []string{"1", "2", "a", "k"} {
					if lug != j[k].Lug && try(wiring.Terminal{Of: x.Name, Lug: lug}) {
						return nil
					}
				}
			}
		}
	}
	return lost(f)
}

// weld makes contacts that never open, or never close. A says which one where a device has several.
func (l *loom) weld(f diagnosis.Fault, d *wiring.Device) error {
	if d == nil {
		return lost(f)
	}
	how := 1
	if f.Kind == diagnosis.Dead {
		how = -1
	}
	found := false
	for _, i := range d.Contact {
		c := circuitOf(d.Control).Contacts[i]
		if f.A.Zero() || f.A.Lug == c.Lugs[0] || f.A.Lug == c.Lugs[1] {
			l.stuck[contactID{d.Control.Name, i}] = how
			found = true
		}
	}
	if !found {
		return lost(f)
	}
	return nil
}

// lugOf is the lug that a fault of a device is about where it does not say.
func (l *loom) lugOf(d *wiring.Device, k diagnosis.Kind) wiring.Terminal {
	if d == nil {
		return wiring.Terminal{}
	}
	t := wiring.Terminal{Of: d.Control.Name}
	switch x := circuitOf(d.Control); {
	case k == diagnosis.EncoderOpen && len(d.Contact) > 0:
		t.Lug = x.Contacts[d.Contact[0]].Lugs[0]
	case k == diagnosis.WiperOpen && d.Index < len(x.Tracks):
		t.Lug = x.Tracks[d.Index].Wiper
	case k == diagnosis.EndOpen && d.Index < len(x.Tracks):
		t.Lug = x.Tracks[d.Index].Ends[1]
	}
	return t
}

// pair is the pair of lugs that a fault of a device exchanges.
func (l *loom) pair(d *wiring.Device, k diagnosis.Kind) (a, b wiring.Terminal) {
	if d == nil {
		return
	}
	x := circuitOf(d.Control)
	a.Of, b.Of = d.Control.Name, d.Control.Name
	switch {
	case k == diagnosis.PhasesSwap && len(d.Contact) > 1:
		a.Lug, b.Lug = x.Contacts[d.Contact[0]].Lugs[1], x.Contacts[d.Contact[1]].Lugs[1]
	case k == diagnosis.EndsSwapped && d.Index < len(x.Tracks):
		a.Lug, b.Lug = x.Tracks[d.Index].Ends[0], x.Tracks[d.Index].Ends[1]
	}
	return
}
