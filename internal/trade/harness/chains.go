package harness

import (
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

// chains joins the terminals of a net by runs from lug to lug, each run from a pin of its own where the net has several.
func (w *worker) chains(ni int, n wiring.Net, pins, lugs []wiring.Terminal) {
	var roots []wiring.Terminal
	taken := map[int]bool{}
	for _, t := range pins {
		switch b := w.spot[t].board; {
		case b == 0:
			roots = append(roots, t)
		case !taken[b]: // a further board hangs on the chain by one pin
			taken[b] = true
			lugs = append(lugs, t)
		}
	}
	if len(roots) == 0 && len(lugs) > 0 {
		roots, lugs = lugs[:1], lugs[1:]
	}
	if len(roots) == 0 || len(lugs) == 0 {
		return
	}
	k := groups(len(lugs), len(roots), int(w.p.Limits.Value(limChain)))
	for i, run := range w.runs(roots, lugs, k) {
		c := Chain{Name: n.Name, Net: ni, Root: run[0], Lugs: run[1:], Closed: w.p.Wiring.Chains == "closed"}
		if k > 1 {
			c.Name += " " + itoa(i+1)
		}
		ci := len(w.r.Chains)
		if c.Closed && len(c.Lugs) > 1 {
			run = append(run, w.spareRoot(roots, run[0]))
		} else {
			c.Closed = false
		}
		for j := 1; j < len(run); j++ {
			w.link = append(w.link, link{ni, run[j-1], run[j], ci})
		}
		w.r.Chains = append(w.r.Chains, c)
	}
}

// groups says on how many pins a net is split: as many that no chain is long, and up to three in any case, where each has enough to
// carry.
func groups(lugs, pins, most int) int {
	most = max(1, most)
	return max(1, min(pins, max((lugs+most-1)/most, min(3, lugs/3))))
}

// spareRoot gives the pin to which a ring comes back: another pin of the net where there is one.
func (w *worker) spareRoot(roots []wiring.Terminal, first wiring.Terminal) wiring.Terminal {
	best, least := first, math.Inf(1)
	for _, r := range roots {
		if d := w.spot[r].at.Sub(w.spot[first].at).Len(); r != first && d < least {
			best, least = r, d
		}
	}
	return best
}

// runs splits the lugs into k runs that begin at pins, each the shortest way on from where it stands.
func (w *worker) runs(roots, lugs []wiring.Terminal, k int) [][]wiring.Terminal {
	at := func(t wiring.Terminal) geom.Vec3 { return w.spot[t].at }
	left := append([]wiring.Terminal{}, lugs...)
	most := (len(lugs) + k - 1) / k
	var out [][]wiring.Terminal
	for i := range k {
		run := []wiring.Terminal{roots[i*len(roots)/k]}
		for len(run) <= most && len(left) > 0 {
			best, least := 0, math.Inf(1)
			for j, t := range left {
				if d := at(run[len(run)-1]).Sub(at(t)).Len(); d < least-1e-9 {
					best, least = j, d
				}
			}
			run = append(run, left[best])
			left = append(left[:best], left[best+1:]...)
		}
		if len(run) > 1 {
			out = append(out, run)
		}
	}
	return out
}

// Uses of wire.
const (
	useSignal = iota
	useGround
	useSupply
	useRibbon
)

// useOf tells what a net's wire is used for.
func (w *worker) useOf(net int) int {
	switch w.w.Nets[net].Kind {
	case wiring.NetGround, wiring.NetAGround:
		return useGround
	case wiring.NetSupply:
		return useSupply
	}
	return useSignal
}

// choose picks the wire for each use: what the file says, else stranded hook-up wire of 24 AWG.
func (w *worker) choose() {
	ask := w.p.Wiring.Wire
	usual := w.usualWire()
	for i, id := range []string{useSignal: ask.Signal, useGround: ask.Ground, useSupply: ask.Supply, useRibbon: ask.Ribbon} {
		w.use[i] = usual
		if id == "" {
			continue
		}
		x, ok := w.cat.Wire(id)
		if !ok {
			w.unknownWire(id, "wiring.wire."+[]string{"signal", "ground", "supply", "ribbon"}[i])
			continue
		}
		w.use[i] = x
	}
}

func (w *worker) usualWire() catalog.Wire {
	for _, id := range w.cat.WireIDs() {
		if x, ok := w.cat.Wire(id); ok && x.Gauge == 24 && x.Strands > 1 && x.Cores <= 1 {
			return x
		}
	}
	return catalog.Wire{ID: "hook-up wire", Title: "hook-up wire, 24 AWG, stranded", Gauge: 24, Strands: 7, Outside: 1.4}
}
