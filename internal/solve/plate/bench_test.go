package plate

import (
	"fmt"
	"testing"
	"time"

	"knobwright/internal/geom"
)

// deskFace is the panel of the speed goals: 320 x 180 x 3 mm of acrylic on four edges, thirty openings (round, two slots and a
// window), forty presses on rings and discs, one rib.
func deskFace() Model {
	m := Model{
		Outline: box(320, 180), Thickness: 3, Material: Even(3200, 0.37, 1190),
		Lines: sides(320, 180, 0, 0, 0, 0),
		Ribs:  []Rib{{Name: "rib", A: at(20, 104), B: at(300, 104), Width: 6, Height: 12, Young: 3200, Poisson: 0.37}},
	}
	press := func(s Spot) {
		m.Cases = append(m.Cases, Case{Name: fmt.Sprint(len(m.Spots)), Forces: []Force{{len(m.Spots), 10}}})
		m.Spots = append(m.Spots, s)
	}
	for row := range 3 {
		for col := range 9 {
			c := at(28.0+33*float64(col), 20.0+32*float64(row))
			d := []float64{16, 12, 22, 7}[(row+2*col)%4]
			m.Openings = append(m.Openings, Opening{fmt.Sprintf("hole %d", len(m.Openings)+1), geom.Circle(c, d)})
			press(Spot{At: c, Inner: d, Outer: d + 6})
		}
	}
	m.Openings = append(m.Openings,
		Opening{"fader 1", geom.Slot(at(60, 140), 64, 4)},
		Opening{"fader 2", geom.Slot(at(140, 140), 64, 4)},
		Opening{"window", geom.Rect(at(240, 145), 60, 30, 0)})
	for i := len(m.Spots); i < 40; i++ {
		press(Spot{At: at(20+float64(i-27)*22, 165), Outer: 8})
	}
	return m
}

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

func BenchmarkDeskFace(b *testing.B) {
	m := deskFace()
	b.Run("rebuild to all results", func(b *testing.B) {
		timed(b, func() {
			p, err := New(m)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := p.Solve(); err != nil {
				b.Fatal(err)
			}
		})
	})
	p, err := New(m)
	if err != nil {
		b.Fatal(err)
	}
	b.Log(p.work)
	b.Run("all results of a plate made ready", func(b *testing.B) {
		timed(b, func() {
			if _, err := p.Solve(); err != nil {
				b.Fatal(err)
			}
		})
	})
	b.Run("compliance between all spots", func(b *testing.B) {
		timed(b, func() {
			p.Compliance()
		})
	})
	c, d, _ := m.Openings[4].Outline.AsCircle()
	step := 0
	b.Run("moving one hole, to all results", func(b *testing.B) {
		timed(b, func() {
			step++
			m.Openings[4].Outline = geom.Circle(c.Add(at(float64(step%7), float64(step%5))), d)
			if err := p.Update(m); err != nil {
				b.Fatal(err)
			}
			if _, err := p.Solve(); err != nil {
				b.Fatal(err)
			}
		})
	})
	b.Run("moving one hole, to all movements", func(b *testing.B) {
		timed(b, func() {
			step++
			m.Openings[4].Outline = geom.Circle(c.Add(at(float64(step%7), float64(step%5))), d)
			if err := p.Update(m); err != nil {
				b.Fatal(err)
			}
			p.Compliance()
		})
	})
}
