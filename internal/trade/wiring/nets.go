package wiring

import (
	"slices"

	"knobwright/internal/catalog"
)

// nets joins what is joined: ground first, then supplies, then the leads in file order.
func (w *worker) nets() {
	ground := Net{Name: "ground", Kind: NetGround, Signal: -1}
	analog := Net{Name: "analog ground", Kind: NetAGround, Signal: -1}
	rails := make([]Net, len(w.rails))
	for i, r := range w.rails {
		rails[i] = Net{Name: r.name, Kind: NetSupply, Volts: r.volts, Signal: -1, Terms: slices.Clone(r.pins)}
	}
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board == nil {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			t := Terminal{b.Name, p.Lug}
			switch p.Kind {
			case catalog.PinGround:
				ground.Terms = append(ground.Terms, t)
			case catalog.PinAGround:
				analog.Terms = append(analog.Terms, t)
			}
		}
	}
	separate := len(analog.Terms) > 0
	supply := Net{Name: "supply", Kind: NetSupply, Signal: -1} // without a module no supply is known
	for _, f := range w.boardFeeds() {
		w.put(f, &ground, &ground, rails, &supply)
	}
	for _, f := range w.feeds {
		a := &analog
		if !separate {
			a = &ground
		}
		w.put(f, &ground, a, rails, &supply)
	}
	all := []Net{ground, analog}
	all = append(all, rails...)
	all = append(all, supply)
	for _, n := range all {
		if w.crowded(&n) {
			n.Terms = unique(n.Terms)
			w.r.Nets = append(w.r.Nets, n)
		}
	}
	w.leadNets()
	w.r.Nets = append(w.r.Nets, w.inner...)
	w.ownNames()
}

func (w *worker) put(f feed, ground, analog *Net, rails []Net, supply *Net) {
	switch f.to {
	case netGround:
		ground.Terms = append(ground.Terms, f.term)
		return
	case netAGround:
		analog.Terms = append(analog.Terms, f.term)
		return
	}
	for i := range rails {
		if rails[i].Name == f.to {
			rails[i].Terms = append(rails[i].Terms, f.term)
			return
		}
	}
	supply.Terms = append(supply.Terms, f.term)
}

// crowded reports whether anything but pins of the module is in a net.
func (w *worker) crowded(n *Net) bool {
	return slices.ContainsFunc(n.Terms, func(t Terminal) bool { return w.module < 0 || t.Of != w.r.Boards[w.module].Name })
}

func unique(ts []Terminal) []Terminal {
	seen := map[Terminal]bool{}
	out := ts[:0:0]
	for _, t := range ts {
		if !seen[t] {
			seen[t] = true
			out = append(out, t)
		}
	}
	return out
}

// leadNets makes the net of every signal: its pin, then what it leads to.
func (w *worker) leadNets() {
	for i := range w.r.Signals {
		s, seat := &w.r.Signals[i], w.r.Plan.Seats[i]
		if w.cross[i] != nil {
			continue // they are in the nets of their lines
		}
		n := Net{Name: s.Label, Kind: NetSignal, Signal: i}
		switch s.Kind {
		case SigData:
			n.Kind = NetBus
		case SigRow, SigColumn:
			n.Kind = NetLine
		}
		if !seat.Pin.Zero() {
			n.Terms = append(n.Terms, seat.Pin)
		}
		n.Terms = append(n.Terms, w.leads[i]...)
		n.Terms = unique(n.Terms)
		if len(n.Terms) > 0 {
			w.r.Nets = append(w.r.Nets, n)
		}
	}
}

// ownNames gives every net a name of its own: where people call two things alike, the name in the file tells them apart.
func (w *worker) ownNames() {
	seen := map[string]bool{}
	for i := range w.r.Nets {
		n := &w.r.Nets[i]
		if seen[n.Name] && n.Signal >= 0 {
			n.Name += " (" + w.r.Signals[n.Signal].Name + ")"
		}
		for k := 2; seen[n.Name]; k++ {
			n.Name += " " + itoa(k)
		}
		seen[n.Name] = true
	}
}

// boardFeeds says what further boards want of ground and supplies: their supply, and pins that set their address or must not float.
func (w *worker) boardFeeds() []feed {
	var out []feed
	last := Terminal{}
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		d := b.Part.Board
		if d == nil || i == w.module {
			continue
		}
		rail := ""
		for _, s := range d.Supplies {
			if s.Takes {
				v := [2]float64{s.Volts, s.Volts}
				if s.Range != nil {
					v = *s.Range
				}
				rail, _ = w.railFor(v, true)
				out = append(out, feed{rail, Terminal{b.Name, s.Lug}})
			}
		}
		bit := 0
		for _, p := range d.Pins {
			t := Terminal{b.Name, p.Lug}
			switch p.Bus {
			case "address":
				to := netGround
				if (b.Address-d.Address)>>bit&1 == 1 {
					to = rail
				}
				out = append(out, feed{to, t})
				bit++
			case "low":
				out = append(out, feed{netGround, t})
			case "reset":
				out = append(out, feed{rail, t})
			case "data-in":
				last = t
			}
		}
	}
	if !last.Zero() { // of the last shift-in board nothing comes in
		out = append(out, feed{netGround, last})
	}
	return out
}
