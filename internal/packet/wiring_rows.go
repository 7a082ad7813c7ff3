package packet

import (
	"fmt"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// namer gives things of the wiring the names that people call them by.
type namer struct {
	controls map[string]*panel.Control
	boards   map[string]wiring.Board
	pin      map[wiring.Terminal]catalog.Pin
	fit      map[string]wiring.Fitting
	cat      *catalog.Catalog
}

func newNamer(r *job.Result) namer {
	n := namer{map[string]*panel.Control{}, map[string]wiring.Board{}, map[wiring.Terminal]catalog.Pin{}, map[string]wiring.Fitting{}, catalog.Builtin()}
	for _, p := range r.Panel.Sheets() {
		for _, c := range p.Controls {
			n.controls[c.Name] = c
		}
	}
	for _, b := range r.Wiring.Boards {
		n.boards[b.Name] = b
		for _, p := range boardPins(b.Part) {
			n.pin[wiring.Terminal{Of: b.Name, Lug: p.Lug}] = p
		}
	}
	for _, f := range r.Wiring.Fittings {
		n.fit[f.Name] = f
	}
	return n
}

// control names what a terminal is of.
func (n namer) control(of string) string {
	if c := n.controls[of]; c != nil {
		return c.Label
	}
	if b, ok := n.boards[of]; ok {
		return b.Label
	}
	return of
}

// terminal names a place to solder: "GO no", "pin 14 (GP10)", "R3 at STANDBY +".
func (n namer) terminal(t wiring.Terminal) string {
	if p, ok := n.pin[t]; ok {
		name := "pin " + t.Lug
		if t.Of != "module" {
			name = n.boards[t.Of].Label + " pin " + t.Lug
		}
		if p.Name != "" && p.Name != t.Lug {
			name += " (" + p.Name + ")"
		}
		return name
	}
	if f, ok := n.fit[t.Of]; ok {
		return f.Name + " at " + n.terminal(f.At)
	}
	return n.control(t.Of) + " " + t.Lug
}

// brief names a place to solder where there is little room: "14 GP10", "west 1 A0", "STANDBY + R3".
func (n namer) brief(t wiring.Terminal) string {
	if p, ok := n.pin[t]; ok {
		if t.Of != "module" {
			return n.boards[t.Of].Label + " " + t.Lug
		}
		if p.Name != "" && p.Name != t.Lug {
			return t.Lug + " " + p.Name
		}
		return "pin " + t.Lug
	}
	if f, ok := n.fit[t.Of]; ok {
		return n.brief(f.At) + " " + f.Name
	}
	return n.control(t.Of) + " " + t.Lug
}

// colour writes a colour as word and letters.
func (n namer) colour(c string) string {
	if w := harness.ColourNames[c]; w != "" {
		return w + " " + c
	}
	return c
}

// colourShort is the colour of a wire with its tracer.
func (n namer) colourShort(x harness.Wire) string {
	if x.Tracer != "" {
		return x.Colour + ", " + x.Tracer
	}
	return x.Colour
}

// wire names wire of the catalogue.
func (n namer) wire(id string) string {
	if x, ok := n.cat.Wire(id); ok {
		return x.Title
	}
	return id
}

// pinEnd is what a wire at a pin leads to.
type pinEnd struct{ to, brief, colour, wire string }

// pins gives what goes to every pin of the boards.
func (n namer) pins(r *job.Result) map[wiring.Terminal][]pinEnd {
	at := map[wiring.Terminal][]pinEnd{}
	put := func(pin, to wiring.Terminal, x harness.Wire) {
		if _, ok := n.pin[pin]; !ok {
			return
		}
		name, brief := n.terminal(to), n.brief(to)
		if net := r.Wiring.Nets[x.Net]; net.Kind == wiring.NetLine {
			brief = net.Name + ", " + brief
		}
		if net := r.Wiring.Nets[x.Net]; net.Kind == wiring.NetGround || net.Kind == wiring.NetAGround || net.Kind == wiring.NetSupply || net.Kind == wiring.NetLine {
			name = net.Name + ", first to " + name
		}
		at[pin] = append(at[pin], pinEnd{name, brief, x.Colour, fmt.Sprintf("%s, %s", x.ID, length.Plain(x.Length)+" mm")})
	}
	for _, x := range r.Harness.Wires {
		put(x.From, x.To, x)
		put(x.To, x.From, x)
	}
	return at
}

// pinRows is the pin table as a list.
func pinRows(r *job.Result, n namer) [][]string {
	rows := [][]string{{"board", "pin", "printed", "signal", "way", "control", "lug", "fixed_by_you", "why"}}
	for i, s := range r.Wiring.Signals {
		if i >= len(r.Wiring.Plan.Seats) {
			break
		}
		seat := r.Wiring.Plan.Seats[i]
		control, lug := "", s.Lug
		if s.Device >= 0 {
			control = r.Wiring.Devices[s.Device].Control.Name
		}
		fixed := ""
		if seat.Fixed {
			fixed = "yes"
		}
		way := string(seat.Way)
		if seat.Way == wiring.Waits {
			way = "waits for a pin"
		}
		rows = append(rows, []string{seat.Pin.Of, seat.Pin.Lug, n.pin[seat.Pin].Name, s.Name, way, control, lug, fixed, seat.Why})
	}
	return rows
}

// wireRows is the list of all wires.
func wireRows(r *job.Result, n namer) [][]string {
	rows := [][]string{{"wire", "net", "from", "from_lug", "to", "to_lug", "colour", "kind", "cut_mm", "run_mm", "slack_mm", "bends", "tag_at_from", "tag_at_to"}}
	for _, x := range r.Harness.Wires {
		moves := ""
		if x.Moves {
			moves = "yes"
		}
		rows = append(rows, []string{
			x.ID, r.Wiring.Nets[x.Net].Name, x.From.Of, x.From.Lug, x.To.Of, x.To.Lug, n.colourShort(x), x.Wire, decimals(x.Length, 0), decimals(x.Run, 1), decimals(x.Slack, 1), moves, x.Label[0], x.Label[1],
		})
	}
	return rows
}

// jointRows is the list of all joints.
func jointRows(r *job.Result, n namer) [][]string {
	rows := [][]string{{"joint", "at", "lug", "wires", "small_parts", "group", "heat", "iron_c", "tip", "longest_s", "note"}}
	for _, j := range r.Harness.Joints {
		var ws []string
		for _, w := range j.Wires {
			ws = append(ws, r.Harness.Wires[w].ID)
		}
		rows = append(rows, []string{
			fmt.Sprint(j.N), j.At.Of, j.At.Lug, strings.Join(ws, " "), strings.Join(j.Fits, " "), j.Group, j.Heat, fmt.Sprint(j.Iron), j.Tip, trim(j.Dwell), j.Rest,
		})
	}
	return rows
}

// ringRows is the continuity list.
func ringRows(r *job.Result, n namer) [][]string {
	rows := [][]string{{"when", "from", "from_lug", "to", "to_lug", "do", "must", "ohm_least", "ohm_most", "diode_v_least", "diode_v_most", "why"}}
	span := func(v [2]float64) (lo, hi string) {
		if v[0] > 0 || v[1] > 0 {
			lo = trim(v[0])
			if v[1] > 0 {
				hi = trim(v[1])
			}
		}
		return lo, hi
	}
	for _, x := range r.Harness.Rings {
		when, must := "leads free", "ring"
		if !free(x) {
			when = "leads on the boards"
		}
		if !x.Rings {
			must = "not ring"
		}
		lo, hi := span(x.Ohms)
		least, most := span(x.Volts)
		rows = append(rows, []string{when, x.A.Of, x.A.Lug, x.B.Of, x.B.Lug, x.Do, must, lo, hi, least, most, x.Why})
	}
	return rows
}
