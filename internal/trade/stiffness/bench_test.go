package stiffness

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// spent gives the time on the processor so far, where the system tells.
var spent = func() time.Duration { return 0 }

// timed runs f over and over, and reports the least and the mean time on the processor, in ms.
func timed(b *testing.B, f func()) {
	least, sum, n := time.Hour, time.Duration(0), 0
	for b.Loop() {
		t := spent()
		f()
		d := spent() - t
		least, sum, n = min(least, d), sum+d, n+1
	}
	b.ReportMetric(least.Seconds()*1e3, "cpu-ms-least")
	b.ReportMetric(sum.Seconds()*1e3/float64(n), "cpu-ms-mean")
}

// thirty is a face of 320 x 180 mm with thirty openings on three rows.
func thirty() string {
	var s strings.Builder
	s.WriteString("knobwright: 1\nface: {width: 320, height: 180, sheet: acrylic-3mm, fixings: {screw: M3, inset: 5, across: 3}}\nbox: {form: flat, depth: 70, walls: birch-ply-9mm}\ncontrols:\n")
	for row := range 3 {
		for col := range 10 {
			part := []string{"push-12mm", "toggle-mini-2", "lamp-5mm-holder", "push-16mm"}[(row+2*col)%4]
			fmt.Fprintf(&s, "  c%d: {part: %s, at: [%d, %d]}\n", row*10+col, part, 30+col*29, 38+row*52)
		}
	}
	return s.String()
}

func BenchmarkFace(b *testing.B) {
	at := map[string]string{"thirty openings": thirty()}
	for _, name := range []string{"cue-desk", "signal-desk"} {
		at[name] = string(examples.File(name))
	}
	for _, name := range []string{"thirty openings", "cue-desk", "signal-desk"} {
		p, _ := panel.Place(project.Read(name, []byte(at[name])), catalog.Builtin())
		b.Run(name+"/presses", func(b *testing.B) {
			timed(b, func() { faces(p)[0].reckon() })
		})
		f := faces(p)[0]
		f.reckon()
		b.Run(name+"/ribs", func(b *testing.B) {
			timed(b, func() { f.Propose(0.5) })
			b.ReportMetric(float64(len(f.Proposal.Ribs)), "ribs")
			b.ReportMetric(float64(f.Proposal.Places), "places")
			b.ReportMetric(f.Proposal.Before, "mm-before")
			b.ReportMetric(f.Proposal.After, "mm-after")
		})
		b.Run(name+"/map", func(b *testing.B) {
			timed(b, func() { f.Map(nil, 44) })
		})
	}
}
