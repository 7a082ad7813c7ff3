package harness

import (
	"knobwright/internal/catalog"
	"knobwright/internal/trade/wiring"
)

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
