package wiring

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

var randomParts = []string{
	"push-16mm", "push-16mm-latching", "push-16mm-lit", "toggle-mini-2", "toggle-mini-3", "toggle-mini-3-momentary", "key-16mm", "key-22mm-3", "rotary-6way", "rotary-12way",
	"encoder-m7", "encoder-m7-push", "pot-16mm", "pot-16mm-dual", "slide-pot-60mm", "joystick-thumb", "joystick-switches", "lamp-5mm", "lamp-pilot-12mm", "display-oled-0.96",
	"display-7seg-4", "buzzer-22mm", "buzzer-12mm", "jack-6.35mm", "plug-16mm", "rotary-8way-coded", "encoder-wheel-60mm", "toggle-mini-2-dpdt",
}

// draw makes a panel file: any parts, any module, any wishes, also such that cannot be.
func draw(t *rapid.T) string {
	var b strings.Builder
	b.WriteString("knobwright: 1\nface: {width: 500, height: 300, sheet: acrylic-3mm}\nbox: {form: flat, depth: 80, walls: birch-ply-9mm}\n")
	module := rapid.SampledFrom([]string{"", "rp2040-40pin", "rp2040-14pin", "rp2040-small", "atmega32u4-24pin", "atmega32u4-34pin"}).Draw(t, "module")
	if module != "" {
		at := rapid.SampledFrom([]string{"", ", at: [250, 80]"}).Draw(t, "at")
		fmt.Fprintf(&b, "module: {part: %s%s}\n", module, at)
	}
	n := rapid.IntRange(0, 40).Draw(t, "controls")
	names := []string{}
	var controls strings.Builder
	for i := range n {
		name := fmt.Sprintf("c%d", i)
		names = append(names, name)
		part := rapid.SampledFrom(randomParts).Draw(t, "part")
		via := rapid.SampledFrom([]string{"", "", "", "", "", "", ", via: matrix", ", via: expander", ", via: ladder", ", via: shift-in", ", via: direct", ", via: none"}).Draw(t, "via")
		lit := rapid.SampledFrom([]string{"", "", "", ", lit: always", ", lit: contact", ", lit: none"}).Draw(t, "lit")
		use := rapid.SampledFrom([]string{"", "", "", ", use: [\"1\"]", ", use: [nc]"}).Draw(t, "use")
		fmt.Fprintf(&controls, "  %s: {part: %s, at: [%d, %d]%s%s%s}\n", name, part, 20+(i%10)*45, 280-(i/10)*60, via, lit, use)
	}
	b.WriteString("wiring:\n")
	fmt.Fprintf(&b, "  by: %s\n", rapid.SampledFrom([]string{"auto", "auto", "direct", "matrix", "expander", "shift-in", "ladder"}).Draw(t, "by"))
	if d := rapid.SampledFrom([]string{"", "to-row", "to-column", "none"}).Draw(t, "diodes"); d != "" {
		fmt.Fprintf(&b, "  matrix: {diodes: %s, rows: %d}\n", d, rapid.SampledFrom([]int{0, 0, 2, 5}).Draw(t, "rows"))
	}
	if n > 0 && rapid.Bool().Draw(t, "pins") {
		b.WriteString("  pins:\n")
		seen := map[string]bool{}
		for range rapid.IntRange(1, 4).Draw(t, "how many") {
			lead := rapid.SampledFrom(names).Draw(t, "lead") + rapid.SampledFrom([]string{"", "/a", "/up", "/lamp", "/1"}).Draw(t, "of it")
			if !seen[lead] {
				seen[lead] = true
				fmt.Fprintf(&b, "    %s: %s\n", lead, rapid.SampledFrom([]string{"GP3", "GP26", "\"4\"", "A0", "GND", "\"31\"", "TXO", "nonsense", "{row: 1, column: 2}", "{row: 2, column: 2}", "{row: 3, column: 1}", "{pin: A3, on: left}"}).Draw(t, "pin"))
			}
		}
	}
	if rapid.Bool().Draw(t, "free") {
		b.WriteString("  free: [GP0, GP1]\n")
	}
	if rapid.IntRange(0, 3).Draw(t, "boards") == 0 {
		b.WriteString("  boards: {left: {part: io-expander-16, at: [100, 100]}, chain: {part: shift-in-8}}\n")
	}
	b.WriteString("controls:\n" + controls.String())
	return b.String()
}

// Whatever the file says: every signal is seated once or waits and is reported, no pin is taken twice, abilities hold, nets part the
// terminals, and no plan is cheaper than its bound.
func TestRandomPanels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := draw(t)
		doc := project.Read("random.yaml", []byte(src))
		p, _ := panel.Place(doc, catalog.Builtin())
		r := Work(p, catalog.Builtin())
		check(t, p, &r)
		if r.Plan.Partial && len(of(r, "wire.no-module"))+len(of(r, "wire.no-pins"))+len(of(r, "wire.pins-short")) == 0 {
			t.Errorf("the plan is partial, and nothing is said")
		}
		for _, f := range r.Findings {
			for _, x := range f.Fixes {
				if _, err := doc.Apply(x.Edits); err != nil {
					t.Errorf("%s: %s: %v", f.Head, x.Say, err)
				}
			}
		}
		if t.Failed() {
			t.Log(src)
			t.Log(dump(r))
		}
	})
}
