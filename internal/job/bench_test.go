package job

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/project"
)

// BenchmarkExamples is the whole pure part, from text to findings.
func BenchmarkExamples(b *testing.B) {
	for _, name := range examples.Names() {
		src := examples.File(name)
		b.Run("check/"+name, func(b *testing.B) {
			for b.Loop() {
				Check(project.Read(name, src), catalog.Builtin())
			}
		})
		b.Run("run/"+name, func(b *testing.B) {
			for b.Loop() {
				Run(project.Read(name, src), catalog.Builtin())
			}
		})
	}
}

// BenchmarkSlope is what it takes to say everything again when the slope of a box has been changed, boards and screws and all,
// but without laying boards out on sheets.
func BenchmarkSlope(b *testing.B) {
	for _, name := range []string{"lantern-desk", "tide-clock"} {
		src := string(examples.File(name))
		at := strings.Index(src, "slope: ")
		end := at + strings.Index(src[at:], " deg")
		b.Run(name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				r := Check(project.Read(name, fmt.Appendf(nil, "%sslope: %.2f%s", src[:at], 14+0.01*float64(i%200), src[end:])), catalog.Builtin())
				if r.Panel.Carcass == nil {
					b.Fatal("no box")
				}
			}
		})
	}
}

// BenchmarkControls is the growth with the number of controls: buttons on a square grid of 40 mm.
func BenchmarkControls(b *testing.B) {
	for _, n := range []int{100, 250, 500, 1000, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			src := []byte(gridPanel(n))
			for b.Loop() {
				Check(project.Read("grid", src), catalog.Builtin())
			}
		})
	}
}

// gridPanel is a panel of n buttons in rows of 50.
func gridPanel(n int) string {
	var s strings.Builder
	rows := (n + 49) / 50
	fmt.Fprintf(&s, "knobwright: 1\ntitle: Grid\nface: {width: 2060, height: %d, sheet: aluminium-2mm}\ntools: {drill: press, bits: [twist-metric-0.1, step-4-20]}\ncontrols:\n", rows*40+60)
	for i := range n {
		fmt.Fprintf(&s, "  b%d: {part: push-16mm, at: [%d, %d]}\n", i+1, 50+i%50*40, 50+i/50*40)
	}
	return s.String()
}
