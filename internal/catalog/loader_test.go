package catalog

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"knobwright/internal/length"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

// A maker's name is a proper name, and proper names have capitals: in the data no word has one but the first of a
// sentence or title, and those of this list.
func TestNoMakers(t *testing.T) {
	known := strings.Fields(`EUR LED LEDs GND IEC USB SPDT DPDT SPST DPST UNEF UNS VCC VEE ISO SDA SCL SW CLK DIO PMMA ABS MDF ANSI ASME ASTM BHMA EN
		FRONT GPIO RP2040 ATmega32U4 VSYS VBUS RUN RESET RAW AGND ADC VREF OUT RST VIN AREF MISO MOSI SCK TXO RXI MHz MCP23017 GPA GPB HC165 CLK AWG PVC SPICE BAT85 Schottky Aluminum Association EIA`)
	word := regexp.MustCompile(`[A-Z][A-Za-z]{2,}[A-Za-z0-9]*`)
	files := 0
	err := fs.WalkDir(data, "data", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		files++
		text, err := data.ReadFile(path)
		for n, line := range strings.Split(string(text), "\n") {
			for _, at := range word.FindAllStringIndex(line, -1) {
				w, before := line[at[0]:at[1]], strings.TrimRight(line[:at[0]], " ")
				start := before == "" || before == "#" || strings.HasSuffix(strings.TrimSuffix(before, ` "`), "title:") || strings.HasSuffix(before, ".") || strings.HasSuffix(before, ":") && strings.HasPrefix(line, "#")
				if !start && !slices.Contains(known, w) && !slices.Contains(known, strings.TrimRight(w, "0123456789")) {
					t.Errorf("%s:%d: %q looks like a proper name", path, n+1, w)
				}
			}
			if strings.Contains(line, "://") || strings.Contains(line, "www.") {
				t.Errorf("%s:%d: an address", path, n+1)
			}
		}
		return err
	})
	if err != nil || files < 20 {
		t.Error(files, err)
	}
}

func TestLike(t *testing.T) {
	c := Builtin()
	plain, _ := c.Part("push-22mm")
	lit, _ := c.Part("push-22mm-lit-latching")
	if lit.Hole.Round != 22.3 || lit.Action != "latching" || len(lit.Lugs) != 5 || lit.Lamp.Rated != 5 || lit.Thread != plain.Thread {
		t.Errorf("%+v", lit)
	}
	// Three deeper: the body's end, lugs and bend all move.
	for i, s := range plain.Rear {
		l := lit.Rear[i]
		if l.Z[0] != s.Z[0]-3 || (s.Role == "body") != (l.Z[1] == s.Z[1]) {
			t.Errorf("%s went from %v to %v", s.Role, s.Z, l.Z)
		}
	}
	if plain.LugDepth() != 34 || plain.TotalDepth() != 52 || lit.LugDepth() != 37 {
		t.Error(plain.LugDepth(), plain.TotalDepth(), lit.LugDepth())
	}
	// The hole's source is inherited with the hole, and gone when the hole is given anew.
	if s := lit.Source("hole"); !strings.Contains(s.Text, "IEC 60947-5-1") {
		t.Error(s)
	}
	half, _ := c.Part("encoder-m7-20")
	if s := half.Source("pulses"); s.Confidence != trust.Low {
		t.Error(s)
	}
	if s := plain.Source("mass"); s.Provenance != trust.Practice || s.Confidence != trust.Low || !s.OnTrust() {
		t.Error(s)
	}
	if s := plain.Source("hole.round"); s != plain.Source("hole") {
		t.Error(s)
	}
}

const ownFile = `# my bench
units: mm
parts:
  push-16mm:
    like: push-16mm
    grip: [1, 4]
    thread: {length: 10}
  my-push:
    like: my-base
    title: Green push from the drawer
    hole: {rect: [12.9, 19.2]}
    front:
      - {role: bezel, rect: [15, 21], z: [0, 2]}
    rear:
      - {role: body, rect: [12, 18], z: [-20, 0]}
    lugs: []
    trust:
      hole: {text: calipers, provenance: measured, confidence: high}
  my-base: {like: push-19mm, mass: 21}
  jack-6.35mm: {like: jack-6.35mm, deeper: 2}
sheets:
  shop-ply: {title: Ply from the shop, kind: plywood, nominal: 6, actual: 5.6}
bits:
  drawer: {title: What is in the drawer, kind: twist, sizes: [3, 6.5, 7]}
`

func TestWith(t *testing.T) {
	base := Builtin()
	before, _ := base.Part("push-16mm")
	c, problems := base.With("own.yaml", []byte(ownFile))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	p, _ := c.Part("push-16mm")
	if p.Grip != [2]length.Length{1, 4} || p.Hole.Round != 16.2 || p.Thread.Length != 10 || p.Thread.Major != 16 {
		t.Errorf("%+v", p)
	}
	if s := p.Source("grip"); s.Provenance != trust.Yours {
		t.Error(s)
	}
	if s := p.Source("hole"); s.Provenance != trust.Memory {
		t.Error(s)
	}
	m, ok := c.Part("my-push")
	if !ok || m.Class != Push || m.Mass != 21 || m.Hole.Round != 0 || m.Hole.Rect == nil || m.ID != "my-push" || len(m.Lugs) != 0 {
		t.Errorf("%+v", m)
	}
	if s := m.Source("hole"); s.Provenance != trust.Measured || s.OnTrust() {
		t.Error(s)
	}
	if j, _ := c.Part("jack-6.35mm"); j.LugDepth() != 32 {
		t.Error(j.LugDepth())
	}
	if s, _ := c.Sheet("shop-ply"); s.Thickness() != 5.6 {
		t.Error(s)
	}
	if b, _ := c.BitSet("drawer"); len(b.Bits()) != 3 || b.Bits()[1].Name != "6.5 mm" {
		t.Error(b)
	}
	// New parts stand behind their class; the built-in catalogue is untouched.
	ids := c.PartIDs()
	if i := slices.Index(ids, "my-push"); i < 0 || ids[i-1] != "push-large-30mm-nut-lit" || ids[i+2] != "toggle-mini-2" || len(ids) != len(base.PartIDs())+2 {
		t.Error(i, ids)
	}
	if after, _ := base.Part("push-16mm"); after.Grip != before.Grip || after.Source("grip") != before.Source("grip") || after.Thread != before.Thread {
		t.Error("the catalogue under it has changed")
	}
	if _, ok := base.Part("my-push"); ok {
		t.Error("the catalogue under it has the new part")
	}
	// A file laid over a file.
	c2, problems := c.With("two.yaml", []byte("parts: {my-push: {like: my-push, mass: 5}}\n"))
	if p, _ := c2.Part("my-push"); len(problems) > 0 || p.Mass != 5 || p.Hole.Rect == nil {
		t.Error(problems, p)
	}
}

func TestWithProblems(t *testing.T) {
	for _, x := range []struct{ src, rule, say, hint string }{
		{"parts:\n  a: {like: push-16m}\n", "catalog.unknown-like", "There is no record push-16m", "did you mean push-16mm?"},
		{"parts:\n  a: {like: b}\n  b: {like: a}\n", "catalog.unknown-like", "starts from this one", ""},
		{"parts:\n  a: {like: a}\n", "catalog.unknown-like", "no record a", ""},
		{"parts:\n  a: {like: push-16mm, gripp: [1, 2]}\n", "file.unknown-key", "gripp", "did you mean grip?"},
		{"parts:\n  a: {title: x}\n", "file.missing", "class is missing", ""},
		{"parts:\n  a: {like: push-16mm, grip: [4, 2]}\n", "catalog.impossible", "a: the least grip, 4 mm, is more than the most, 2 mm.", "write the smaller one first"},
		{"parts:\n  a: {like: push-16mm}\n  a: {like: push-19mm}\n", "file.duplicate-name", "used twice", ""},
		{"parts:\n  a b: {like: push-16mm}\n", "file.bad-name", "cannot be a name", ""},
		{"partz: {}\n", "file.unknown-key", "partz", "did you mean parts?"},
		{"parts: [1]\n", "file.wrong-shape", "", ""},
		{"parts: {a: 3}\n", "file.wrong-shape", "", ""},
		{"parts:\n  a: {like: push-16mm, hole: {round: wide}}\n", "file.not-a-length", "", ""},
		{"parts:\n  my-odd: {title: x, class: push, hole: {round: 10}, grip: [1, 4], front: [{role: bezel, round: 14, z: [0, 2]}], rear: [{role: body, rect: [20, 12], z: [-15, 0]}]}\n", "catalog.impossible", "my-odd: the body does not go through the smallest hole allowed", "wants seat: rear"},
		{"parts:\n  my-none: {title: x, class: push}\n", "catalog.impossible", "my-none: it has no hole", "hole: {round: 16 mm}"},
		{"sheets:\n  s: {title: x, kind: acrylic, nominal: 0}\n", "catalog.impossible", "no thickness", ""},
		{"bits:\n  s: {title: x, kind: step, sizes: [4, 6]}\n", "catalog.impossible", "height of its steps", ""},
		{"parts: {\n", "file.syntax", "", ""},
	} {
		c, ps := Builtin().With("own.yaml", []byte(x.src))
		if c == nil {
			t.Fatal("no catalogue")
		}
		i := slices.IndexFunc(ps, func(p yamlfile.Problem) bool {
			return p.Rule == x.rule && strings.Contains(p.Say, x.say) && strings.Contains(p.Hint, x.hint)
		})
		if i < 0 {
			t.Errorf("%q: wanted %s %q, got %+v", x.src, x.rule, x.say, ps)
		} else if p := ps[i]; p.Pos.File != "own.yaml" || p.Pos.Line < 1 || p.Pos.Column < 1 {
			t.Errorf("%q: no place: %+v", x.src, p)
		}
	}
	// The place is that of the word meant.
	_, ps := Builtin().With("own.yaml", []byte("# one\nparts:\n  a:\n    like: push-16m\n"))
	if len(ps) == 0 || ps[0].Pos.Line != 4 || ps[0].Pos.Column != 11 || ps[0].Pos.Length != 8 {
		t.Errorf("%+v", ps)
	}
}

func TestWithInches(t *testing.T) {
	c, ps := Builtin().With("own.yaml", []byte("units: in\nparts:\n  a: {like: toggle-std-2, hole: {round: 1/2}}\n"))
	if p, _ := c.Part("a"); len(ps) > 0 || p.Hole.Round.MM() != 12.7 {
		t.Error(ps, p.Hole)
	}
}

func TestAdjust(t *testing.T) {
	p, _ := Builtin().Part("key-16mm")
	d := &yamlfile.Decoder{File: "panel.yaml", Bare: length.MM}
	n := d.Parse([]byte("grip: [1, 4]\nhole: {double-d: [16.2, 14]}\ndeeper: 2 mm\n"))
	q := Adjust(p, n, d, "controls.desk.adjust")
	if len(d.Problems) > 0 {
		t.Fatal(d.Problems)
	}
	if q.Grip[1] != 4 || q.Hole.Round != 0 || q.Hole.Notch != nil || q.Hole.DoubleD[1] != 14 || q.LugDepth() != p.LugDepth()+2 || q.Title != p.Title || q.ID != p.ID {
		t.Errorf("%+v", q)
	}
	if q.Source("grip").Provenance != trust.Yours || q.Source("mass") != p.Source("mass") {
		t.Error(q.Trust)
	}
	if again, _ := Builtin().Part("key-16mm"); again.Grip != p.Grip || again.Hole.Notch == nil || again.Hole.Round != 16.2 || again.LugDepth() != p.LugDepth() || again.Source("grip").Provenance == trust.Yours {
		t.Errorf("the catalogue's part has changed: %+v", again)
	}
	// What only changes the notch keeps the rest of the hole.
	d = &yamlfile.Decoder{}
	q = Adjust(p, d.Parse([]byte("hole: {notch: {width: 2}}")), d, "adjust")
	if q.Hole.Round != 16.2 || q.Hole.Notch.Width != 2 || q.Hole.Notch.Height != 17.9 {
		t.Errorf("%+v", q.Hole)
	}
	if again, _ := Builtin().Part("key-16mm"); again.Hole.Notch.Width != 1.7 {
		t.Error("the catalogue's notch has changed")
	}
	d = &yamlfile.Decoder{File: "panel.yaml"}
	Adjust(p, d.Parse([]byte("like: push-16mm\ngripp: 3\n")), d, "adjust")
	if len(d.Problems) != 2 {
		t.Errorf("%+v", d.Problems)
	}
	if q := Adjust(p, nil, d, "adjust"); q.Grip != p.Grip {
		t.Error("nothing to adjust changed something")
	}
}

func TestConcurrent(t *testing.T) {
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			c, _ := Builtin().With("own.yaml", []byte(ownFile))
			for _, id := range c.PartIDs() {
				if p, ok := c.Part(id); !ok || p.ID != id {
					t.Error(id)
				}
			}
		})
	}
	wg.Wait()
}

func TestOutlines(t *testing.T) {
	for _, id := range Builtin().PartIDs() {
		p, _ := Builtin().Part(id)
		for _, c := range p.AllCuts() {
			if o := c.Outline(); len(o) == 0 || o.Area() <= 0 || c.Nominal() <= 0 {
				t.Errorf("%s: cut-out %+v has no outline", id, c)
			}
		}
		for _, s := range append(slices.Clone(p.Front), p.Rear...) {
			if o := s.Outline(); len(o) == 0 || o.Area() <= 0 {
				t.Errorf("%s: shape %+v has no outline", id, s)
			}
		}
	}
	p, _ := Builtin().Part("slide-pot-60mm")
	if b := p.Hole.Outline().Bounds().Size(); b.X != 3 || b.Y != 66 {
		t.Errorf("the slot of a slide pot stands %v", b)
	}
	if b, ok := p.Footprint("sweep"); !ok || b.Size().Y != 82 {
		t.Error(b, ok)
	}
	if _, ok := p.Footprint("bezel"); ok {
		t.Error("a slide pot has a bezel")
	}
}

func FuzzWith(f *testing.F) {
	f.Add([]byte(ownFile))
	f.Add([]byte("parts:\n  a: &x {like: b}\n  b: *x\n"))
	f.Add([]byte("units: in\nbits: {a: {title: t, kind: twist, series: {from: 1, to: 1e5, by: 1e-9}}}\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		c, _ := Builtin().With("own.yaml", src)
		for _, id := range c.PartIDs()[:3] {
			c.Part(id)
		}
		for _, id := range c.BitSetIDs() {
			s, _ := c.BitSet(id)
			s.Bits()
		}
	})
}

// What the first call costs: finding where the records start.
func BenchmarkBuiltin(b *testing.B) {
	for b.Loop() {
		if c := builtin(); len(c.parts.ids) < 100 {
			b.Fatal("no parts")
		}
	}
}

// What reading one record costs that starts from two others.
func BenchmarkPart(b *testing.B) {
	for b.Loop() {
		c := builtin()
		if _, ok := c.Part("push-22mm-lit-latching"); !ok {
			b.Fatal("no part")
		}
	}
}
