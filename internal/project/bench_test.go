package project_test

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// panelText writes a panel of n controls as people write them.
func panelText(n int) string {
	var b strings.Builder
	b.WriteString("knobwright: 1\ntitle: Signal desk\nface: {width: 2000, height: 900, sheet: acrylic-3mm, covering: vinyl-film}\ncontrols:\n")
	for i := range n {
		fmt.Fprintf(&b, "  lamp-%d: {part: push-16mm, at: [%d, %d.5], legend: LAMP %d, sends: button %d} # bay %d\n", i, 20+i%50*34, 20+i/50*34, i, i, i/10)
	}
	return b.String()
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{10, 150, 2000} {
		src := []byte(panelText(n))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.SetBytes(int64(len(src)))
			for b.Loop() {
				if d := project.Read("desk.yaml", src); len(d.Findings) > 0 {
					b.Fatal(d.Findings)
				}
			}
		})
	}
}

// BenchmarkApply moves every control of a panel in one go, as an arrangement does.
func BenchmarkApply(b *testing.B) {
	for _, n := range []int{10, 150} {
		src := []byte(panelText(n))
		var edits []finding.Edit
		for i := range n {
			edits = append(edits, set(fmt.Sprintf("controls.lamp-%d.at", i), fmt.Sprintf("[%d, 31.25]", 10+i)))
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			d := project.Read("desk.yaml", src)
			for b.Loop() {
				if _, err := d.Apply(edits); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
