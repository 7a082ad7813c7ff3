package catalog

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/witness"
)

// switches are the classes whose contacts a hand works.
var switches = []Class{Push, Toggle, Rocker, Slide, Key, Rotary}

// Each part says what it does to the wires on its lugs, and leaves no lug out.
func TestCircuitsComplete(t *testing.T) {
	c := Builtin()
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		need := func(ok bool, what string, a ...any) {
			t.Helper()
			if !ok {
				t.Errorf("%s: "+what, append([]any{id}, a...)...)
			}
		}
		k := p.Circuit
		switch p.Class {
		case Plug:
			need(k.None() && len(p.Lugs) == 0, "a blank plug has a circuit")
			continue
		case ModuleBrd:
			need(k.None() && p.Board != nil, "no board, or a circuit")
			continue
		case Socket:
			need(k.Elsewhere != "", "its leads go nowhere")
			continue
		}
		used := k.Uses()
		for _, l := range p.Lugs {
			need(slices.Contains(used, l.Name), "lug %s is not used", l.Name)
		}
		need(len(used) == len(p.Lugs), "lugs %v, circuit %v", len(p.Lugs), used)
		need((len(k.Lamps) > 0) == (p.Lamp.Drop > 0 && p.Lamp.Current > 0), "lamp %+v on lugs %+v", p.Lamp, k.Lamps)
		switch {
		case slices.Contains(switches, p.Class):
			need(len(k.Contacts) > 0 && len(k.Positions) >= 2, "contacts %v in positions %v", k.Contacts, k.Positions)
			need(slices.ContainsFunc(k.Contacts, func(x Contact) bool { return !x.Spare }), "all contacts are spare")
			need(k.Rating.Class != "" && k.Rating.Least > 0 && k.Rating.Most > k.Rating.Least && k.Rating.Volts > 0, "rating %+v", k.Rating)
			need(k.Bounce > 0, "bounce")
			need((p.Action == "momentary") == (len(k.Springs) > 0), "%s, springs back from %v", p.Action, k.Springs)
			if live := slices.DeleteFunc(slices.Clone(k.Contacts), func(x Contact) bool { return x.Spare }); len(live) > 1 {
				for _, x := range live {
					need(x.Sends != "" || x.Weight > 0, "of several contacts, %v has no name", x.Lugs)
				}
			}
		case p.Class == Encoder:
			phases := map[string]bool{}
			for _, x := range k.Contacts {
				phases[x.Phase] = true
			}
			need(phases["A"] && phases["B"] && phases[""] == p.Push, "phases %v", phases)
		case p.Class == Pot || p.Class == SlidePot:
			need(len(k.Tracks) > 0, "tracks")
		case p.Class == Lamp:
			need(len(k.Lamps) == 1, "lamps")
		case p.Class == Display || p.Class == Buzzer:
			need(k.Powered != nil && k.Powered.Current > 0, "supply")
		}
	}
}

// contactWords are the words of Part.Contacts that say how many pairs of lugs are joined.
var contactWords = []struct {
	form  *regexp.Regexp
	pairs func(m []string) int
}{
	{regexp.MustCompile(`SPST`), func([]string) int { return 1 }},
	{regexp.MustCompile(`DPST|SPDT`), func([]string) int { return 2 }},
	{regexp.MustCompile(`SP3T`), func([]string) int { return 3 }},
	{regexp.MustCompile(`DPDT`), func([]string) int { return 4 }},
	{regexp.MustCompile(`(\d+) poles?, (\d+) positions`), func(m []string) int { return atoi(m[1]) * atoi(m[2]) }},
	{regexp.MustCompile(`(\d+) contacts to common`), func(m []string) int { return atoi(m[1]) }},
}

func atoi(s string) int {
	n, _ := strconv.Atoi(s)
	return n
}

// The circuit says the same as the words that people read: contacts, track.
func TestCircuitsAgreeWithWords(t *testing.T) {
	c := Builtin()
	track := regexp.MustCompile(`^(?:(\d) x )?(\d+)k`)
	count := regexp.MustCompile(`(\d+) (NO|NC)`)
	pairs, opens, tracks := 0, 0, 0
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		k := p.Circuit
		for _, w := range contactWords {
			if m := w.form.FindStringSubmatch(p.Contacts); m != nil && !k.None() {
				pairs++
				if len(k.Contacts) != w.pairs(m) {
					t.Errorf("%s: %s, but %d contacts", id, p.Contacts, len(k.Contacts))
				}
			}
		}
		if strings.Contains(p.Contacts, "PDT ") || strings.Contains(p.Contacts, "PST ") {
			off := slices.ContainsFunc(k.Positions, func(s string) bool {
				return !slices.ContainsFunc(k.Contacts, func(x Contact) bool { return slices.Contains(x.Closed, s) })
			})
			if off != strings.Contains(p.Contacts, "off") {
				t.Errorf("%s: %s, but a position with nothing joined: %v", id, p.Contacts, off)
			}
			if springs := strings.Count(p.Contacts, "("); springs != len(k.Springs) {
				t.Errorf("%s: %s, but it springs back from %v", id, p.Contacts, k.Springs)
			}
		}
		for _, m := range count.FindAllStringSubmatch(p.Contacts, -1) {
			opens++
			n := 0
			for _, x := range k.Contacts {
				if x.Phase == "" && slices.Contains(x.Closed, k.Rest()) == (m[2] == "NC") {
					n++
				}
			}
			if n != atoi(m[1]) {
				t.Errorf("%s: %s, but %d are %s", id, p.Contacts, n, m[2])
			}
		}
		if m := track.FindStringSubmatch(p.Track); m != nil {
			tracks++
			if n := max(atoi(m[1]), 1); n != len(k.Tracks) {
				t.Errorf("%s: %s, but %d tracks", id, p.Track, len(k.Tracks))
			}
			for _, x := range k.Tracks {
				if x.Ohms != float64(atoi(m[2])*1000) {
					t.Errorf("%s: %s, but %v ohm", id, p.Track, x.Ohms)
				}
			}
		}
	}
	if pairs < 30 || opens < 60 || tracks < 10 {
		t.Error("too few were compared: ", pairs, opens, tracks)
	}
}

// The circuit says the same as the words beside each lug: "meets 2 with the lever up".
func TestCircuitsAgreeWithLugs(t *testing.T) {
	meets := regexp.MustCompile(`meets (\S+) .*\b(up|down|top|middle|bottom|left|right|rest|turned|on)$`)
	closes := regexp.MustCompile(`closes with the lever (\S+)$`)
	position := regexp.MustCompile(`position (\d+)$`)
	n := map[string]int{}
	c := Builtin()
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		if p.Circuit.None() {
			continue
		}
		closed := func(a, b string) []string {
			for _, x := range p.Circuit.Contacts {
				if x.Lugs == [2]string{a, b} || x.Lugs == [2]string{b, a} {
					return x.Closed
				}
			}
			return nil
		}
		any1 := func(a string) (all []string) { // of all contacts of a lug
			for _, x := range p.Circuit.Contacts {
				if x.Lugs[0] == a || x.Lugs[1] == a {
					all = append(all, x.Closed...)
				}
			}
			return all
		}
		for _, l := range p.Lugs {
			same := func(kind string, got []string, want ...string) {
				n[kind]++
				if !slices.Equal(got, want) {
					t.Errorf("%s: lug %s %s, but its contact closes in %v", id, l.Name, l.Does, got)
				}
			}
			if m := meets.FindStringSubmatch(l.Does); m != nil {
				want := m[2]
				if want == "rest" {
					want = p.Circuit.Rest()
				}
				same("meets", closed(m[1], l.Name), want)
			}
			if m := closes.FindStringSubmatch(l.Does); m != nil {
				same("closes with", any1(l.Name), m[1])
			}
			if m := position.FindStringSubmatch(l.Does); m != nil {
				same("position", any1(l.Name), m[1])
			}
			switch {
			case l.Does == "closes when pressed":
				same("closes", any1(l.Name), "pressed")
			case l.Does == "opens when pressed":
				same("opens", any1(l.Name), "rest")
			case strings.Contains(l.Does, "wiper") && !slices.ContainsFunc(p.Circuit.Tracks, func(x Track) bool { return x.Wiper == l.Name }):
				t.Errorf("%s: lug %s is a wiper", id, l.Name)
			case strings.Contains(l.Does, "anticlockwise") && !slices.ContainsFunc(p.Circuit.Tracks, func(x Track) bool { return x.Ends[0] == l.Name }):
				t.Errorf("%s: lug %s is the low end", id, l.Name)
			case strings.Contains(l.Does, "bottom") && p.Class == SlidePot && !slices.ContainsFunc(p.Circuit.Tracks, func(x Track) bool { return x.Ends[0] == l.Name }):
				t.Errorf("%s: lug %s is the low end", id, l.Name)
			case strings.Contains(l.Does, "lamp plus") && !slices.ContainsFunc(p.Circuit.Lamps, func(x LampLugs) bool { return x.Plus == l.Name }):
				t.Errorf("%s: lug %s feeds the lamp", id, l.Name)
			}
		}
	}
	if n["meets"] < 60 || n["closes with"] != 4 || n["position"] < 40 || n["closes"] < 40 || n["opens"] < 20 {
		t.Error("too few were compared: ", n)
	}
}

// The coded switch gives each position its own number, and that number is the position's name.
func TestCodedRotary(t *testing.T) {
	p, _ := Builtin().Part("rotary-8way-coded")
	for _, s := range p.Circuit.Positions {
		sum := 0
		for _, x := range p.Circuit.Contacts {
			if slices.Contains(x.Closed, s) {
				sum += x.Weight
			}
		}
		if fmt.Sprint(sum) != s {
			t.Errorf("position %s reads %d", s, sum)
		}
	}
}

// Drops of the lamps against the catalogue table of 5 mm LEDs: between its usual and most drops for that colour.
func TestLampDrops(t *testing.T) {
	lo, hi := map[string]float64{}, map[string]float64{}
	for _, r := range witness.Table(t, "testdata/led_vf.csv") {
		colour := strings.TrimPrefix(r["colour"], "bright_") // the dim and the bright red are sold as red
		if r["confidence"] != "high" || strings.Contains(colour, "old") {
			continue
		}
		a, b := witness.Number(t, r["vf_typ_V"]), witness.Number(t, r["vf_max_V"])
		if was, ok := lo[colour]; !ok || a < was {
			lo[colour] = a
		}
		hi[colour] = max(hi[colour], b)
	}
	n := 0
	for _, id := range Builtin().PartIDs() {
		p, _ := Builtin().Part(id)
		if l := p.Lamp; l.Drop > 0 && hi[l.Colour] > 0 {
			n++
			if l.Drop < lo[l.Colour] || l.Drop > hi[l.Colour] {
				t.Errorf("%s: a %s lamp drops %v V, the table has %v to %v", id, l.Colour, l.Drop, lo[l.Colour], hi[l.Colour])
			}
		}
	}
	if n < 15 {
		t.Errorf("only %d lamps were compared", n)
	}
}

// copied gives a value that shares nothing with v.
func copied[T any](t *testing.T, v T) T {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var w T
	if err := json.Unmarshal(b, &w); err != nil {
		t.Fatal(err)
	}
	return w
}

// Each rule finds its own slip, put into a circuit that is sound otherwise.
func TestCircuitSlips(t *testing.T) {
	for _, x := range []struct {
		part string
		slip func(p *Part, c *Circuit)
		want string
	}{
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Lugs[0] = "x" }, "names lug x, but its lugs are called c, no."},
		{"push-16mm", func(p *Part, c *Circuit) { p.Lugs = nil }, "names lugs c and no, but it has no lugs"},
		{"push-16mm", func(p *Part, _ *Circuit) { p.Action = "latching" }, "It stays where it is put (action: latching), but its circuit springs back from pressed."},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Springs = nil }, "does not say from which positions"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Springs[0] = "rest" }, "named first is where it rests"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Springs[0] = "in" }, "which is none of its positions"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Positions = c.Positions[:1] }, "one position only"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Positions[0] = "pressed" }, "stands twice"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Closed = nil }, "is never closed"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Closed = []string{"rest", "pressed"} }, "that is a wire"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Closed = []string{"down"} }, "closes in down, which is none"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Lugs[1] = "c" }, "joins lug c with itself"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Contacts[0].Phase, c.Contacts[0].Closed = "A", nil }, "Only an encoder"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Elsewhere = "goes to the bell" }, "go elsewhere"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Rating.Least = 100 }, "bear only 50 mA"},
		{"push-16mm", func(_ *Part, c *Circuit) { c.Bounce = 6200 }, "bounce for less"},
		{"push-16mm-lit", func(_ *Part, c *Circuit) { c.Lamps[0].Minus = "+" }, "the same lug"},
		{"push-16mm-lit", func(_ *Part, c *Circuit) { c.Lamps[0].Minus = "" }, "wants both of its lugs"},
		{"toggle-mini-3", func(p *Part, _ *Circuit) { p.Positions = 2 }, "It has 2 positions, but its circuit has 3."},
		{"toggle-mini-3", func(_ *Part, c *Circuit) { c.Contacts[1].Sends = "up" }, "are called up"},
		{"toggle-mini-3", func(_ *Part, c *Circuit) { c.Contacts[1].Lugs = [2]string{"3", "2"} }, "stands twice"},
		{"encoder-m7", func(_ *Part, c *Circuit) { c.Contacts = c.Contacts[:1] }, "no phase B"},
		{"encoder-m7", func(_ *Part, c *Circuit) { c.Contacts[1].Phase = "Z" }, "none called Z"},
		{"encoder-m7", func(_ *Part, c *Circuit) { c.Contacts[1].Phase = "A" }, "stands 2 times"},
		{"encoder-m7", func(p *Part, _ *Circuit) { p.Push = true }, "no contact closes when it is"},
		{"encoder-m7-push", func(p *Part, _ *Circuit) { p.Push = false }, "does not say so"},
		{"rotary-8way-coded", func(_ *Part, c *Circuit) { c.Contacts[2].Weight = 2 }, "are worth 2"},
		{"rotary-8way-coded", func(_ *Part, c *Circuit) { c.Contacts[0].Closed = c.Contacts[0].Closed[1:] }, "its code is the same, 0"},
		{"pot-16mm", func(_ *Part, c *Circuit) { c.Tracks[0].Wiper = "1" }, "an end of a track and its wiper"},
		{"pot-16mm", func(_ *Part, c *Circuit) { c.Tracks[0].Ends[1] = "1" }, "Both ends"},
		{"pot-16mm", func(_ *Part, c *Circuit) { c.Tracks[0].Ohms = 0 }, "has no resistance"},
		{"pot-16mm", func(_ *Part, c *Circuit) { c.Tracks[0].Tol = 120 }, "per cent"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Address = 120 }, "the address 120"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Data = c.Powered.Data[:1] }, "its scl"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Data[0].Lug = "VCC" }, "wanted for two things"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Data[0].Does = "talk" }, "which is none of sda"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Bus = "" }, "does not speak on an I2C bus"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Volts = [2]float64{5, 3} }, "write the least first"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Minus = "VCC" }, "the same lug, VCC"},
		{"display-oled-0.96", func(_ *Part, c *Circuit) { c.Powered.Switch = true }, "only one of them"},
		{"buzzer-22mm", func(_ *Part, c *Circuit) { c.Powered.Volts = [2]float64{110, 230} }, "above 60 V"},
		{"rp2040-40pin", func(_ *Part, c *Circuit) { c.Bounce = 1 }, "and no circuit"},
	} {
		p, ok := Builtin().Part(x.part)
		if !ok {
			t.Fatal(x.part)
		}
		p.Circuit = copied(t, p.Circuit)
		x.slip(&p, &p.Circuit)
		wantSentence(t, x.part, p.Validate(), x.want)
	}
}

func wantSentence(t *testing.T, id string, says []string, want string) {
	t.Helper()
	for _, s := range says {
		if strings.Contains(strings.ToLower(s), strings.ToLower(want)) {
			if !strings.HasSuffix(s, ".") {
				t.Errorf("%s: %q is no sentence", id, s)
			}
			return
		}
	}
	t.Errorf("%s: nothing says %q: %q", id, want, says)
}

// What a record takes over goes along with what it says anew.
func TestCircuitTakenOver(t *testing.T) {
	c, problems := Builtin().With("own.yaml", []byte(`
parts:
  plain: {like: push-16mm, title: As it is}
  stays: {like: push-16mm, title: Stays, action: latching}
  springs: {like: toggle-mini-2, title: Springs, action: momentary}
  middle: {like: toggle-mini-3, title: Springs somewhere, action: momentary}
  other-lugs: {like: push-16mm, title: Other lugs, lugs: [{name: a, at: [-3, 0]}, {name: b, at: [3, 0]}]}
  both: {like: push-16mm, title: Both, lugs: [{name: a, at: [-3, 0]}, {name: b, at: [3, 0]}], circuit: {contacts: [{lugs: [a, b], closed: [pressed]}]}}
  other-pins: {like: rp2040-small, title: Other pins, lugs: [{name: a, at: [0, 0]}]}
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	get := func(id string) Part {
		p, ok := c.Part(id)
		if !ok {
			t.Fatal(id)
		}
		return p
	}
	if p := get("plain"); len(p.Circuit.Contacts) != 1 || len(p.Circuit.Springs) != 1 {
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("stays"); len(p.Circuit.Contacts) != 1 || len(p.Circuit.Springs) != 0 {
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("springs"); !slices.Equal(p.Circuit.Springs, []string{"up"}) {
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("middle"); !p.Circuit.None() { // where it rests is not known
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("other-lugs"); !p.Circuit.None() || p.Source("circuit.rating").Text == "your file" {
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("both"); len(p.Circuit.Contacts) != 1 || p.Circuit.Contacts[0].Lugs[0] != "a" || p.Circuit.Rating.Class != "gold" || p.Source("circuit").Text != "your file" {
		t.Errorf("%+v", p.Circuit)
	}
	if p := get("other-pins"); p.Board != nil {
		t.Errorf("%+v", p.Board)
	}
	if p, _ := Builtin().Part("push-16mm"); len(p.Circuit.Springs) != 1 || p.Circuit.Contacts[0].Lugs[0] != "c" {
		t.Errorf("the built-in record has changed: %+v", p.Circuit)
	}
}
