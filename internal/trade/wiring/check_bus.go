package wiring

import (
	"math"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// looseBoard is the wire that is reckoned to a board that has no place yet, mm.
const looseBoard = 300

// Bus is what is known of an I2C bus.
type Bus struct {
	Net     int       // the data line, index into Nets
	Signal  int       // and its signal
	Volts   float64   // of the module's pins
	PullUps []float64 // that boards and displays bring along, ohm
	Chips   []float64 // capacitance of each that hangs on it, F
	Clock   float64   // fastest that all of them can, Hz; 0 = not known
	Devices []int     // displays on it
	Boards  []int     // boards on it, the module too
	Terms   []Terminal
}

// Buses lists the I2C buses of a plan.
func (r *Result) Buses() []Bus {
	var out []Bus
	for k, n := range r.Nets {
		if n.Kind != NetBus || n.Signal < 0 {
			continue
		}
		b := Bus{Net: k, Signal: n.Signal, Terms: n.Terms}
		sda := false
		for _, t := range n.Terms {
			for i := range r.Boards {
				d := r.Boards[i].Part.Board
				if r.Boards[i].Name != t.Of || d == nil {
					continue
				}
				pin := pinOf(d, t.Lug)
				if pin == nil {
					continue
				}
				if d.Role != roleModule {
					sda = sda || pin.Bus == "sda"
					if d.Resistors > 0 {
						b.PullUps = append(b.PullUps, d.Resistors)
					}
				} else {
					b.Volts = d.Volts
				}
				b.Boards = append(b.Boards, i)
				b.Chips = append(b.Chips, d.PinLoad*1e-12)
				b.slowest(d.Bus * 1000)
			}
			for i, d := range r.Devices {
				if d.Kind != DevPowered || d.Control == nil || d.Control.Name != t.Of || d.Control.Part.Circuit.Powered == nil {
					continue
				}
				pw := d.Control.Part.Circuit.Powered
				for _, x := range pw.Data {
					if x.Lug != t.Lug {
						continue
					}
					sda = sda || x.Does == "sda" && pw.Bus == "i2c"
					b.Devices = append(b.Devices, i)
					b.Chips = append(b.Chips, pw.PinLoad*1e-12)
					if pw.PullUp > 0 {
						b.PullUps = append(b.PullUps, pw.PullUp)
					}
				}
			}
		}
		if sda && b.Volts > 0 {
			out = append(out, b)
		}
	}
	return out
}

func (b *Bus) slowest(hertz float64) {
	if hertz > 0 && (b.Clock == 0 || hertz < b.Clock) {
		b.Clock = hertz
	}
}

// Judge tells what a bus needs at a speed with so many metres of wire in its data line, all branches together.
func (b *Bus) Judge(mode electric.I2CMode, metres float64) (electric.I2CAnswer, error) {
	return electric.I2C(electric.I2CQuestion{Mode: mode, Supply: b.Volts, Metres: metres, Chips: b.Chips, PullUps: b.PullUps})
}

// buses judges the I2C buses, with wire as the crow flies and a third more.
func (c *checker) buses() {
	buses := c.r.Buses()
	for k := range buses {
		b := &buses[k]
		metres := c.metres(b.Terms)
		name := "The bus"
		if len(buses) > 1 {
			name = "The " + ordinal(k+1) + " bus"
		}
		c.judgeBus(b, name, metres)
	}
}

// metres is how much wire a net takes, as the crow flies and a third more, m.
func (c *checker) metres(terms []Terminal) float64 {
	var at []geom.Vec3
	loose := 0
	for _, t := range terms {
		if v, ok := c.w.at(t); ok {
			at = append(at, v)
		} else {
			loose++
		}
	}
	return (treeLength(at)*4/3 + float64(loose)*looseBoard) / 1000
}

func (c *checker) judgeBus(b *Bus, name string, metres float64) {
	fast, errFast := b.Judge(electric.I2CFast, metres)
	slow, errSlow := b.Judge(electric.I2CStandard, metres)
	if errFast != nil || errSlow != nil {
		return
	}
	a, mode := fast, electric.I2CFast
	good := func(v electric.BusVerdict) bool { return v == electric.BusWorks || v == electric.BusWants }
	if b.Clock > 0 && b.Clock < electric.I2CFast.Hertz || fast.Verdict != electric.BusWorks && slow.Verdict == electric.BusWorks || !good(fast.Verdict) && good(slow.Verdict) {
		a, mode = slow, electric.I2CStandard
	}
	var ends []finding.End
	for _, i := range b.Boards {
		ends = append(ends, c.boardEnd(i))
	}
	ends = append(c.ends(b.Devices), ends...)
	ends = ends[:min(len(ends), 4)]
	f := finding.Finding{Ends: ends, Source: electric.I2CSource}
	pull := electric.FormatOhms(roundOhm(a.Total))
	switch {
	case a.Verdict == electric.BusWants && math.IsInf(a.Present, 1):
		f.Head = "Nothing on " + lower(name) + " brings pull-ups along."
		f.Body = "Put a resistor of " + electric.FormatOhms(a.Add) + " from data to " + plain(b.Volts) + " V and another from clock to it, anywhere on the bus."
		f.Measure = &finding.Measure{Have: 0, Want: 1000 / a.Max, Unit: "mS", Sense: finding.AtLeast}
		c.w.found(ruleBusPullUp, f)
	case a.Verdict == electric.BusWants:
		f.Head = name + " has pull-ups of " + electric.FormatOhms(roundOhm(a.Present)) + "; its " + amount(a.Farad*1e12) + " pF want no more than " + electric.FormatOhms(roundOhm(a.Max)) + "."
		f.Body = "Put a resistor of " + electric.FormatOhms(a.Add) + " from data to " + plain(b.Volts) + " V and another from clock to it."
		f.Measure = &finding.Measure{Have: a.Present / 1000, Want: a.Max / 1000, Unit: "kΩ", Sense: finding.AtMost}
		c.w.found(ruleBusPullUp, f)
	case a.Verdict == electric.BusTooStrong:
		f.Head = name + " has " + countWord(len(b.PullUps), "pair") + " of pull-ups, " + electric.FormatOhms(roundOhm(a.Present)) + " together; chips can pull no less than " + electric.FormatOhms(roundOhm(a.Min)) + " low for sure."
		f.Body = "Take the pull-ups off all boards but one or two: most have a bridge of solder for it."
		f.Measure = &finding.Measure{Have: a.Present / 1000, Want: a.Min / 1000, Unit: "kΩ", Sense: finding.AtLeast}
		c.w.found(ruleBusPullUp, f)
	case !good(a.Verdict):
		f.Head = name + " has " + amount(a.Farad*1e12) + " pF with " + amount(metres) + " m of wire: too much at " + amount(mode.Hertz/1000) + " kHz."
		f.Body = "Lay it shorter, or put fewer boards on it. " + amount(a.Longest) + " m would do."
		f.Measure = &finding.Measure{Have: a.Farad * 1e12, Want: electric.I2CStandard.Farad * 1e12, Unit: "pF", Sense: finding.AtMost}
		c.w.found(ruleBusLong, f)
	case mode.Hertz < electric.I2CFast.Hertz && !(b.Clock > 0 && b.Clock < electric.I2CFast.Hertz):
		f.Head = name + " is good for 100 kHz, not for 400 kHz: " + amount(a.Farad*1e12) + " pF on pull-ups of " + pull + "."
		f.Body = "That is fast enough for buttons. Keep the clock at 100 kHz in the program."
		if fast.Verdict == electric.BusWants {
			f.Body += " A resistor of " + electric.FormatOhms(fast.Add) + " from data to " + plain(b.Volts) + " V and another from clock to it make it fit for 400 kHz."
		}
		f.Measure = &finding.Measure{Have: a.Total / 1000, Want: fast.Max / 1000, Unit: "kΩ", Sense: finding.AtMost}
		c.w.found(ruleBusSlow, f)
	}
	if good(a.Verdict) {
		c.tell("%s: about %s m of wire, %s pF, pull-ups of %s in all; %s to %s would do for %s kHz.", name, amount(metres), amount(a.Farad*1e12), pull,
			electric.FormatOhms(roundOhm(a.Min)), electric.FormatOhms(roundOhm(a.Max)), amount(mode.Hertz/1000))
	}
}

// roundOhm keeps two digits.
func roundOhm(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 1) {
		return v
	}
	pow := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Round(v/pow) * pow
}
