package harness

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/trust"
)

// Iron is how a kind of lug is soldered.
type Iron struct {
	Degrees int          // of the tip, °C
	Tip     string       //
	Dwell   float64      // longest, s
	Say     string       // what else to mind
	Source  trust.Source //
}

// Irons are the settings by heat class. Lead-free solder wants about 30 °C more.
var Irons = map[string]Iron{
	"small plastic": {350, "2 mm chisel", 3, "Let it cool before the second joint of the same body.", practice("sheets of small switches: about 350 °C and 3 s a lug; some of plain snap switches say 230 to 280 °C", trust.Medium)},
	"metal":         {370, "3 mm chisel", 5, "Tin lug and wire first; a bigger tip, not a hotter one.", practice("large lugs: 370 to 400 °C with a 3 mm chisel, up to 5 s", trust.Medium)},
	"lock":          {350, "2.4 mm chisel", 7, "Key out, no pull on the lug while it is hot. Tin lug and wire first.", practice("sheets of locks with a plastic body: tip up to 2.5 mm, 275 to 400 °C, done in 7 to 8 s, no side load", trust.High)},
	"board pins":    {330, "fine chisel", 3, "No bridge to the next pin: look with a glass.", practice("pins of small boards", trust.Medium)},
	"lamp leads":    {330, "fine chisel", 3, "Hold the lead with pliers between joint and body.", practice("lamps bear 260 °C for 3 to 5 s at 2 mm from the body", trust.Medium)},
	"free lead":     {330, "fine chisel", 3, "Hold it with pliers between joint and body; draw a sleeve over it.", practice("leads of resistors and diodes", trust.Medium)},
}

// ironFor gives the settings for a terminal.
func (w *worker) ironFor(t wiring.Terminal) (class string, i Iron) {
	class = "small plastic"
	if s, ok := w.spot[t]; ok && s.board >= 0 {
		class = "board pins"
	} else if c := w.control(t.Of); c == nil {
		class = "free lead"
	} else {
		switch {
		case c.Part.Class == catalog.Key:
			class = "lock"
		case c.Part.Class == catalog.Lamp && c.Part.Heat != "metal":
			class = "lamp leads"
		case c.Part.Heat != "":
			class = c.Part.Heat
		}
	}
	i, ok := Irons[class]
	if !ok {
		i = Irons["small plastic"]
	}
	return class, i
}

// restWords says in which position a part is soldered: that in which nothing inside is under a spring.
func restWords(p catalog.Part) string {
	c := p.Circuit
	rest := ""
	if len(c.Positions) > 0 {
		rest = c.Positions[0]
	}
	switch {
	case p.Class == catalog.Key:
		return "Solder with the key out."
	case p.Class == catalog.Push && p.Action == "latching":
		return "Solder with the button out, not latched."
	case p.Class == catalog.Toggle && slices.Contains(c.Positions, "middle"):
		return "Solder with the lever in the middle."
	case p.Class == catalog.Toggle && rest != "":
		return "Solder with the lever " + rest + "."
	case p.Class == catalog.Rocker && rest != "", p.Class == catalog.Slide && rest != "":
		return "Solder in position " + rest + "."
	case p.Class == catalog.Rotary && rest != "":
		return "Solder in position " + rest + ", not between two."
	case p.Class == catalog.Encoder:
		return "Solder with the shaft at rest in a click."
	}
	return ""
}

// place is where something is soldered, all at once.
type place struct {
	t     wiring.Terminal
	board int
	rank  int
	group string
	wires []int
	fits  []string
}

// joints lists every joint in soldering order: what hangs on lugs first, then grounds, supplies, lines and buses, leads control by
// control, and the pins of the boards last, when every other end is done. All that ends on one lug is one joint.
func (w *worker) joints() {
	rank := func(k wiring.NetKind) int {
		return slices.Index([]wiring.NetKind{wiring.NetInner, wiring.NetGround, wiring.NetAGround, wiring.NetSupply, wiring.NetLine, wiring.NetBus, wiring.NetSignal}, k)
	}
	net := map[wiring.Terminal]int{}
	for i, n := range w.w.Nets {
		for _, t := range n.Terms {
			net[t] = i + 1
		}
	}
	sits := map[string]wiring.Terminal{} // fittings, and their lugs
	for _, f := range w.w.Fittings {
		sits[f.Name] = f.At
	}
	at := map[wiring.Terminal]*place{}
	var all []*place
	get := func(t wiring.Terminal) *place {
		if lug, ok := sits[t.Of]; ok && net[lug] != 0 && net[lug] == net[t] { // an end of a fitting that sits on a lug of the same net is that lug
			t = lug
		}
		if at[t] == nil {
			p := &place{t: t, board: w.spot[t].board, rank: -1}
			at[t], all = p, append(all, p)
		}
		return at[t]
	}
	for _, f := range w.w.Fittings {
		p := get(f.At)
		p.fits = append(p.fits, f.Name)
	}
	for i, x := range w.r.Wires {
		for _, t := range []wiring.Terminal{x.From, x.To} {
			p := get(t)
			p.wires = append(p.wires, i)
			if r := rank(w.w.Nets[x.Net].Kind); r > p.rank {
				p.rank, p.group = r, w.w.Nets[x.Net].Name
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *place) int {
		if (a.board >= 0) != (b.board >= 0) {
			if a.board >= 0 {
				return 1
			}
			return -1
		}
		if len(a.fits) > 0 != (len(b.fits) > 0) { // what hangs on a lug before the wires, which would move it
			if len(a.fits) > 0 {
				return -1
			}
			return 1
		}
		return a.rank - b.rank
	})
	for _, p := range all {
		class, iron := w.ironFor(p.t)
		j := Joint{N: len(w.r.Joints) + 1, At: p.t, Wires: p.wires, Fits: p.fits, Heat: class, Iron: iron.Degrees, Tip: iron.Tip, Dwell: iron.Dwell, Group: p.group}
		if c := w.control(p.t.Of); c != nil {
			j.Rest = restWords(c.Part)
		}
		j.Crimped = p.board >= 0 && w.p.Wiring.Ends == "crimped"
		w.r.Joints = append(w.r.Joints, j)
	}
	w.tasks()
	w.judgeEyes()
}

// tasks adds up the work by kind. Minutes a piece: common practice.
func (w *worker) tasks() {
	cut, fit := 0, 0
	for _, x := range w.r.Wires {
		if x.Ribbon < 0 {
			cut++
		}
	}
	lugs, leads, pins, crimps := 0, 0, 0, 0
	for _, j := range w.r.Joints {
		fit += len(j.Fits)
		switch {
		case j.Crimped:
			crimps += len(j.Wires)
		case w.spot[j.At].board >= 0:
			pins++
		case j.Heat == "free lead":
			leads++
		default:
			lugs++
		}
	}
	add := func(what string, n int, each float64) {
		if n > 0 {
			w.r.Tasks = append(w.r.Tasks, Task{what, n, float64(n) * each})
			w.r.Minutes += float64(n) * each
		}
	}
	add("cut, strip, tin and tag a wire", cut, 1.5)
	add("split and strip the ends of a ribbon", len(w.r.Ribbons), 6)
	add("bend a small part and set it on its lug", fit, 1)
	add("solder a lug", lugs, 1)
	add("solder a free lead and draw a sleeve over it", leads, 1.5)
	add("solder a pin of a board", pins, 0.8)
	add("crimp an end", crimps, 0.7)
	add("set a tie", len(w.r.Ties), 0.3)
}

// judgeEyes looks for lugs whose eye does not take all wires that end there. Six tenths of the width of a flat lug are its eye; strands lie a
// sixth thicker than a solid wire of the same gauge. From memory.
func (w *worker) judgeEyes() {
	worst, most := -1, 0.0
	var names []string
	for i, j := range w.r.Joints {
		c := w.control(j.At.Of)
		if c == nil || len(j.Wires)+len(j.Fits) < 2 {
			continue
		}
		eye := 0.0
		for _, l := range c.Lugs {
			if long, thin := max(l.W, l.H), min(l.W, l.H); l.Name == j.At.Lug && long >= 2 && thin <= 1.2 {
				eye = 0.6 * long
			}
		}
		if eye == 0 {
			continue // a pin, to be wound round
		}
		sum := 0.6 * float64(len(j.Fits))
		for _, k := range j.Wires {
			if x, ok := w.cat.Wire(w.r.Wires[k].Wire); ok && x.Gauge > 0 {
				sum += electric.AWG(x.Gauge).Diameter() * 1.16
			}
		}
		if sum <= eye+0.05 {
			continue
		}
		names = append(names, c.Label+" "+j.At.Lug)
		if sum-eye > most {
			worst, most = i, sum-eye
		}
	}
	if worst < 0 {
		return
	}
	j := w.r.Joints[worst]
	f := finding.Finding{
		Head: fmt.Sprintf("Not all that ends at lug %s of %s goes through its eye: it lacks about %s.", j.At.Lug, w.name(j.At.Of), w.mm(math.Ceil(most*10)/10)),
		Body: "Twist the wires together and lay them flat on the lug, or take a thinner wire there.", Ends: append(w.ends(j.At.Of), w.end("the wires", "wiring.wire")),
	}
	if n := len(names) - 1; n > 0 {
		f.Body += fmt.Sprintf(" The same goes for %s.", plural(n, "more lug"))
	}
	w.say(ruleEye, f)
}
