package diagnosis_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// A lead that is followed with the meter: a pin that rings clears the lead of being off, no pin that rings condemns it, another pin is
// the one that it is on.
func TestTrace(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	pin, next := pinOf(t, in, "go"), pinOf(t, in, "birds")
	lug := wiring.Terminal{Of: "go", Lug: "no"}
	follow := func(brings []string, rings ...string) []diagnosis.Cause {
		s := m.Begin()
		d := newDesk(in)
		s.Add(d.press(t, "go", brings...))
		s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Trace, Probe: [2]wiring.Terminal{lug, {Of: pin.Of}}}, Rings: rings})
		return s.Causes(1)
	}
	if c := follow(nil); len(c) == 0 || c[0].Faults[0].Kind != diagnosis.OpenLead || c[0].P < 0.9 {
		t.Errorf("no pin rings: %+v", c)
	}
	if c := follow(nil, pin.Lug); len(c) == 0 || c[0].Faults[0].Kind == diagnosis.OpenLead || c[0].Faults[0].Kind == diagnosis.WrongPin {
		t.Errorf("its own pin rings: %+v", c)
	}
	if c := follow([]string{"birds"}, next.Lug); len(c) == 0 || c[0].Faults[0].Kind == diagnosis.OpenLead || c[0].Faults[0].B != next && c[0].Faults[0].A != next {
		t.Errorf("another pin rings: %+v", c)
	}
	if say := words.English.Say(m.AskSay(diagnosis.Act{Do: diagnosis.Trace, Probe: [2]wiring.Terminal{lug, {Of: "module"}}})); !strings.Contains(say, "GO no") || !strings.Contains(say, "the module") {
		t.Error(say)
	}
}

// Nothing is measured twice: a meter shows the same again. And a reading that is hardly expected to tell anything is not asked for.
func TestNothingMeasuredTwice(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.press(t, "go"))
	var asked []diagnosis.Act
	for range 12 {
		a, ok := s.Next()
		if !ok {
			break
		}
		switch a.Act.Do {
		case diagnosis.Measure, diagnosis.MeasureV, diagnosis.Trace, diagnosis.Light:
			if slices.ContainsFunc(asked, func(b diagnosis.Act) bool {
				return b.Do == a.Act.Do && b.Probe == a.Act.Probe && b.Device == a.Act.Device
			}) {
				t.Errorf("asked for twice: %+v", a.Act)
			}
		}
		asked = append(asked, a.Act)
		seen := diagnosis.Seen{Act: a.Act, Meter: 1e9, Lamp: "lit"} // nothing rings anywhere
		switch a.Act.Do {
		case diagnosis.MeasureV:
			seen.Meter = 0
		case diagnosis.Press:
			seen = d.press(t, a.Act.Device)
			if a.Act.Device != "go" {
				seen = d.press(t, a.Act.Device, a.Act.Device)
			}
		}
		s.Add(seen)
	}
	if len(asked) > 4 {
		t.Errorf("%d questions for a lead that is off: %+v", len(asked), asked)
	}
}

// A place that nothing holds reads nothing on a meter, and a reading says that it is held.
func TestMeterOnNothing(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	at := [2]wiring.Terminal{{Of: "go", Lug: "no"}, {Of: "module", Lug: "3"}}
	p := func(volts float64) float64 {
		s := m.Begin()
		s.Add(newDesk(in).press(t, "go"))
		s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.MeasureV, Probe: at}, Meter: volts})
		sum := 0.0
		for _, c := range s.Causes(50) {
			if f := c.Faults[0]; len(c.Faults) == 1 && f.Kind == diagnosis.OpenLead && f.A == at[0] {
				sum += c.P
			}
		}
		return sum
	}
	if off, held := p(0), p(3.3); off < 0.4 || held > 0.1 {
		t.Errorf("off with 0 V: %.3f, with 3.3 V: %.3f", off, held)
	}
}

// How long a contact chatters is what was seen, and what it is left with waits longer.
func TestChatterAsSeen(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	d := newDesk(in)
	d.note()
	for i := range 9 {
		d.at = 60 + 4*float64(i)
		d.set(t, i%2 == 0, "go")
	}
	d.at = 260
	d.set(t, false, "go")
	s := m.Begin()
	s.Add(d.seen(diagnosis.Act{Do: diagnosis.Press, Device: "go"}))
	f := has(t, s.Verdict(), diagnosis.Bounces, "go")
	if f.Value != 32 {
		t.Errorf("it chattered for 32 ms, and %v are told", f.Value)
	}
	r, ok := m.Remedy(f)
	if !ok || !strings.Contains(r.Fact.Edits[0].Value, "50 ms") {
		t.Errorf("%v %+v", ok, r)
	}
}

// The leads of a track's two ends exchanged are its ends exchanged: the table reads it the other way round. What only the iron helps says so.
func TestOnlyTheIron(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	ends := diagnosis.Fault{Kind: diagnosis.Swapped, A: wiring.Terminal{Of: "house", Lug: "1"}, B: wiring.Terminal{Of: "house", Lug: "3"}}
	if r, ok := m.Remedy(ends); !ok || !strings.Contains(r.Fact.Edits[0].Value, "reverse") && !strings.Contains(r.Fact.Edits[0].Path, "reverse") {
		t.Errorf("%v %+v", ok, r)
	}
	for _, f := range []diagnosis.Fault{
		{Kind: diagnosis.ClosedLug, A: wiring.Terminal{Of: "go", Lug: "no"}, B: wiring.Terminal{Of: "go", Lug: "nc"}},
		{Kind: diagnosis.LampTurned, Device: "ready"},
	} {
		if x := m.Explain(f); len(x.Table) > 0 || !strings.Contains(words.English.Say(x.Only), "Only the iron helps") {
			t.Errorf("%v: %+v", f, x)
		}
	}
	if x := m.Explain(ends); !x.Only.Zero() || len(x.Table) != 1 {
		t.Errorf("%+v", x)
	}
}

// A reading that is named to be sure says what it shows when it is so and when it is not.
func TestCheckTells(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	for _, c := range m.Faults() {
		x := m.Explain(c.Fault)
		if (x.Check == nil) != x.Tells.Zero() {
			t.Fatalf("%v: %v %v", c.Fault, x.Check, x.Tells)
		}
		if say := words.English.Say(x.Tells); x.Check != nil && (!strings.Contains(say, "when") || strings.ContainsAny(say, "{<")) {
			t.Fatalf("%v: %q", c.Fault, say)
		}
	}
	x := m.Explain(diagnosis.Fault{Kind: diagnosis.OpenLead, A: wiring.Terminal{Of: "go", Lug: "no"}, B: pinOf(t, in, "go")})
	if say := words.English.Say(x.Tells); x.Check == nil || say != "open when this is so; it rings when it is not" {
		t.Errorf("%+v %q", x, say)
	}
}

// Two pairs of leads exchanged and left as they are: one change of pins does not take back the other.
func TestRemediesTogether(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	lug := func(of string) wiring.Terminal {
		return wiring.Terminal{Of: of, Lug: map[string]string{"fog": "3"}[of] + map[bool]string{true: "no"}[of != "fog"]}
	}
	two := []diagnosis.Fault{{Kind: diagnosis.Swapped, A: lug("go"), B: lug("birds")}, {Kind: diagnosis.Swapped, A: lug("rain"), B: lug("fog")}}
	fixes, ok := m.Remedies(two)
	if !ok {
		t.Fatal("they can be left as they are")
	}
	for _, x := range fixes {
		src, err := doc.Apply(x.Fact.Edits)
		if err != nil {
			t.Fatal(err)
		}
		doc = project.Read("x.yaml", src)
	}
	after := inputs(t, "x.yaml", doc.Src)
	for a, b := range map[string]string{"go": "birds", "birds": "go", "rain": "fog", "fog": "rain"} {
		if pinOf(t, after, a) != pinOf(t, in, b) {
			t.Errorf("%s is on %v, and %s was on %v", a, pinOf(t, after, a), b, pinOf(t, in, b))
		}
	}
	if _, ok := m.Remedies([]diagnosis.Fault{two[0], {Kind: diagnosis.LampTurned, Device: "ready"}}); ok {
		t.Error("a lamp that is turned cannot be left")
	}
}

// The line that leaves everything alone says where levers stand, and what is on then.
func TestRestSays(t *testing.T) {
	_, in := build(t, strings.Replace(small, "  fog: {part: toggle-mini-2", "  mood: {part: rotary-6way, at: [225, 60]}\n  fog: {part: toggle-mini-2", 1))
	for _, l := range diagnosis.New(in).Sheet() {
		if l.ID != "rest" {
			continue
		}
		if s := words.English.Say(l.Say); !strings.Contains(s, "(1, down)") {
			t.Error(s)
		}
		if s := words.English.Say(l.Expect); s != "nothing moves; on is only MOOD 1" {
			t.Error(s)
		}
	}
}

// What was seen once and may be a slip of the hand is asked for again before anything is believed.
func TestOnceMayBeASlip(t *testing.T) {
	_, in := build(t, grid)
	m := diagnosis.New(in)
	var hold diagnosis.Act
	for _, l := range m.Sheet() {
		if l.Act.Do == diagnosis.Hold {
			hold = l.Act
			break
		}
	}
	held := []string{hold.Device, hold.With[0].Device, hold.With[1].Device}
	var fourth string
	for _, d := range in.Wiring.Devices { // shares no line with the one in the middle
		if !slices.Contains(held, d.ID) {
			a, b, x, y := in.Firmware.Bits[newDesk(in).bit(t, d.ID)], in.Firmware.Bits[newDesk(in).bit(t, held[1])], in.Firmware.Bits[newDesk(in).bit(t, held[0])], in.Firmware.Bits[newDesk(in).bit(t, held[2])]
			if (a.Drive != b.Drive && a.Pin != b.Pin) && (a.Pin == x.Pin || a.Pin == y.Pin) && (a.Drive == x.Drive || a.Drive == y.Drive) {
				fourth = d.ID
			}
		}
	}
	s := m.Begin()
	ghost := func() {
		d := newDesk(in)
		d.note()
		s.Add(d.set(t, true, append(held, fourth)...).seen(hold))
	}
	ghost()
	before := s.Causes(1)
	asked := false
	for range 4 {
		a, ok := s.Next()
		if !ok {
			break
		}
		if a.Act.Do == diagnosis.Hold && a.Act.Device == hold.Device {
			asked = true
			ghost()
			break
		}
		d := newDesk(in)
		s.Add(d.press(t, a.Act.Device, a.Act.Device))
	}
	after := s.Causes(1)
	if !asked || len(before) == 0 || len(after) == 0 || after[0].Faults[0].Kind != diagnosis.NoDiode || after[0].P < 0.9 || before[0].P > 0.6 {
		t.Errorf("%v, %+v, %+v", asked, before, after)
	}
}

// A big matrix with a row and a column exchanged makes hundreds of faults suspect: the right one is found without working out every one
// of them against every act.
func TestManySuspects(t *testing.T) {
	_, in := build(t, strings.NewReplacer("{rows: 2, columns: 3}", "{rows: 4, columns: 6}", "width: 260, height: 160", "width: 420, height: 260",
		"step: [60, 50], columns: 3, rows: 2", "step: [55, 45], columns: 6, rows: 4", "at: [130, 30]", "at: [210, 30]", "from: [60, 130]", "from: [60, 230]").Replace(grid))
	m := diagnosis.New(in)
	s := m.Begin()
	n := 0
	for _, l := range m.Sheet() { // nothing comes of any button of one row
		if l.Act.Do == diagnosis.Press {
			bits := []string{l.Device}
			if n++; n <= 6 {
				bits = nil
			}
			d := newDesk(in)
			s.Add(d.press(t, l.Device, bits...))
		}
	}
	for range 300 { // pressed again and again
		d := newDesk(in)
		s.Add(d.press(t, "star-24", "star-24"))
	}
	start := time.Now()
	c := s.Causes(3)
	if len(c) == 0 || len(c[0].Faults) != 1 || c[0].Faults[0].Kind != diagnosis.OpenLead && c[0].Faults[0].Kind != diagnosis.ChainBroken {
		t.Errorf("%+v", c)
	}
	t.Log(time.Since(start))
}

// Two leads exchanged at their pins or at their lugs are the same panel: one explanation, which names both ends.
func TestSameNamedOnce(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.press(t, "go", "birds"))
	s.Add(d.press(t, "birds", "go"))
	v := s.Verdict()
	if c := v.Groups[0].Causes; len(c) != 1 || c[0].Faults[0].Kind != diagnosis.Swapped || len(c[0].Also) != 1 || c[0].Also[0][0].Kind != diagnosis.Swapped || c[0].P < 0.8 {
		t.Errorf("%+v", v.Groups)
	}
}

// A switch of several places that is worn chatters at all of them: one fault, not one for each place. And two places that touch stay closed
// on the way between them but for a moment, which is no chatter.
func TestWornAndTouching(t *testing.T) {
	_, in := build(t, strings.Replace(small, "  fog: {part: toggle-mini-2", "  mood: {part: rotary-6way, at: [225, 60]}\n  fog: {part: toggle-mini-2", 1))
	m := diagnosis.New(in)
	put := func(s *diagnosis.Session, to string, ends func(d *desk)) {
		d := newDesk(in)
		ends(d)
		s.Add(d.seen(diagnosis.Act{Do: diagnosis.Put, Device: "mood", Position: to}))
	}
	worn := m.Begin()
	was := "1"
	for _, to := range []string{"2", "3", "4"} {
		put(worn, to, func(d *desk) {
			d.set(t, true, "mood/"+was)
			d.set(t, false, "mood/"+was)
			for i := range 11 {
				d.at = 64 + 4*float64(i)
				d.set(t, i%2 == 0, "mood/"+to)
			}
		})
		was = to
	}
	if c := worn.Causes(1); len(c) == 0 || len(c[0].Faults) != 1 || c[0].Faults[0].Kind != diagnosis.Bounces || c[0].Faults[0].Device != "mood" || c[0].Faults[0].A.Lug != "" {
		t.Errorf("%+v", c)
	}
	touch := m.Begin()
	put(touch, "2", func(d *desk) {
		d.set(t, true, "mood/1", "mood/2")
		for i := range 6 { // 4 ms on the way, and both chatter
			d.at = 60 + 3*float64(i)
			d.set(t, i%2 == 1, "mood/1", "mood/2")
		}
	})
	if c := touch.Causes(1); len(c) == 0 || c[0].Faults[0].Kind != diagnosis.Bridged || len(c[0].Faults) != 1 {
		t.Errorf("%+v", c)
	}
}

// A lamp that a pull-up alone feeds glows so little that not everybody sees it: called dark, it does not clear the leads exchanged.
func TestFaintGlow(t *testing.T) {
	in := inputs(t, "star-lamp", examples.File("star-lamp"))
	m := diagnosis.New(in)
	s := m.Begin()
	s.Add(newDesk(in).press(t, "turn/push"))
	a, b := wiring.Terminal{Of: "turn", Lug: "E"}, wiring.Terminal{Of: "R1", Lug: "1"}
	exchanged := func() float64 {
		for _, c := range s.Causes(400) {
			if f := c.Faults[0]; len(c.Faults) == 1 && f.Kind == diagnosis.Swapped && (f.A == a && f.B == b || f.A == b && f.B == a) {
				return c.P
			}
		}
		return 0
	}
	before := exchanged()
	s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Dark, Device: "ready"}, Lamp: "dark"})
	if after := exchanged(); before == 0 || after < before/20 {
		t.Errorf("%.6f before, %.6f after", before, after)
	}
}
