package face

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// grid is a panel of n push buttons and toggles in rows, step apart.
func gridPanel(n int, step float64, group bool) *panel.Panel {
	cols := 1
	for cols*cols < n*2 {
		cols++
	}
	rows := (n + cols - 1) / cols
	src := fmt.Sprintf("knobwright: 1\nface: {width: %g, height: %g, sheet: aluminium-2mm}\nbox: {form: flat, depth: 80, walls: birch-ply-9mm}\n", float64(cols+1)*step, float64(rows+1)*step)
	if group {
		src += fmt.Sprintf("groups:\n  g: {part: push-16mm, grid: {from: [%g, %g], step: [%g, %g], columns: %d, rows: %d}, names: \"k{n}\"}\n", step, float64(rows)*step, step, step, cols, rows)
	} else {
		src += "controls:\n"
		for i := range n {
			id := "push-16mm"
			if i%3 == 0 {
				id = "toggle-mini-2"
			}
			src += fmt.Sprintf("  k%d: {part: %s, at: [%g, %g], legend: K%d}\n", i, id, float64(i%cols+1)*step, float64(i/cols+1)*step, i)
		}
	}
	p, _ := panel.Place(project.Read("grid.yaml", []byte(src)), catalog.Builtin())
	return p
}

// scattered is a panel of n push buttons thrown down anyhow: nearly everything meets something.
func scattered(n int, side float64) *panel.Panel {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	src := fmt.Sprintf("knobwright: 1\nface: {width: %g, height: %g, sheet: aluminium-2mm}\ncontrols:\n", side, side)
	for i := range n {
		src += fmt.Sprintf("  k%d: {part: push-16mm, at: [%.1f, %.1f], legend: K%d}\n", i, 20+r.Float64()*(side-40), 20+r.Float64()*(side-40), i)
	}
	p, _ := panel.Place(project.Read("scattered.yaml", []byte(src)), catalog.Builtin())
	return p
}

func BenchmarkCheck(b *testing.B) {
	for _, n := range []int{100, 150, 500, 1000, 2000} {
		for _, kind := range []string{"roomy", "tight", "row", "scattered"} {
			var p *panel.Panel
			switch kind {
			case "roomy":
				p = gridPanel(n, 40, false)
			case "tight":
				p = gridPanel(n, 24, false)
			case "row":
				p = gridPanel(n, 20, true)
			case "scattered":
				p = scattered(n, 45*sqrt(n))
			}
			b.Run(fmt.Sprintf("%s/%d", kind, n), func(b *testing.B) {
				var f int
				for b.Loop() {
					f = len(Check(p).Findings)
				}
				b.ReportMetric(float64(f), "findings")
			})
		}
	}
}

func sqrt(n int) float64 {
	s := 1.0
	for range 60 {
		s = (s + float64(n)/s) / 2
	}
	return s
}
