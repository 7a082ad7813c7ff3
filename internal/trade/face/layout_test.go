package face

import (
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/solve/place"
)

// What the layout asks for is what the check asks for: two things shifted to each other at random have a finding in the one exactly when
// they are too near in the other. Left out is what a knob hides, which no rule forbids, and what is missed by less than is worth a word.
func TestLayoutAsksForWhatCheckAsksFor(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 9))
	for _, name := range examples.Names() {
		p, _ := panel.Place(project.Read(name, examples.File(name)), catalog.Builtin())
		k := newChecker(p)
		l := Plan(p)
		item := map[*panel.Control]int{}
		for i := range k.items {
			if c := k.items[i].ctl; c != nil {
				item[c] = i
			}
		}
		agree, both, more := 0, 0, 0
		for range 1500 {
			x, y := &l.Things[rng.IntN(len(l.Things))], &l.Things[rng.IntN(len(l.Things))]
			if x == y || x.Control == nil || y.Control == nil {
				continue
			}
			a, b := &k.items[item[x.Control]], &k.items[item[y.Control]]
			d := b.origin0().Sub(a.origin0()).Add(geom.Vec2{X: rng.Float64()*70 - 35, Y: rng.Float64()*70 - 35})
			said := false
			for _, h := range keep(nil, k.pair(nil, a, d, b)) {
				said = said || h.lack() > petty || h.sev == finding.Stop
			}
			lack := lackOf(l, x, d, y, x.Control.Group != "" && x.Control.Group == y.Control.Group)
			switch {
			case said && lack <= 0:
				t.Errorf("%s: %s moved by %v to %s: the check has something to say, the layout has not", name, x.Name, d, y.Name)
			case said:
				both++
			case lack <= petty:
				agree++
			default:
				more++
			}
		}
		if more > 0 || both < 50 || agree < 50 {
			t.Errorf("%s: of one mind %d times that all is well and %d times that it is not; the layout asks for more %d times", name, agree, both, more)
		}
		// against the edge and what stays
		for _, th := range l.Things {
			if th.Control == nil {
				continue
			}
			a := &k.items[item[th.Control]]
			for range 20 {
				d := geom.Vec2{X: rng.Float64()*300 - 150, Y: rng.Float64()*200 - 100}
				said := false
				for _, h := range k.alone(nil, a, d) {
					said = said || h.lack() > petty
				}
				over := math.Inf(-1)
				for _, f := range th.Pieces {
					for _, s := range l.Bounds[f.Class] {
						for _, v := range f.Core {
							if f.Class >= 0 && l.classes[f.Class].layer != atHard && l.classes[f.Class].layer != atNut && l.classes[f.Class].layer != atBend {
								over = max(over, v.Add(d).Dot(s.N)+f.R-s.Good)
							}
						}
					}
				}
				if said != (over > petty) && math.Abs(over-petty) > 0.15 { // 0.15: the chords of round corners
					t.Errorf("%s: %s moved by %v: the check says %v, the layout %.3f over the edge", name, th.Name, d, said, over)
				}
			}
		}
	}
}

func (x *item) origin0() geom.Vec2 { return x.ctl.At.Vec2 }

// lackOf is by how much two things are too near by the layout, without the rule of hidden things.
func lackOf(l *Layout, x *Thing, d geom.Vec2, y *Thing, within bool) float64 {
	rooms := l.Apart
	if within {
		rooms = l.Within
	}
	worst := 0.0
	for _, f := range x.Pieces {
		for _, g := range y.Pieces {
			r := rooms[f.Class][g.Class]
			if math.IsInf(r.Good, -1) || l.classes[f.Class].layer == atRim && l.classes[g.Class].layer == atRim {
				continue
			}
			a := place.Kind{{Core: f.Core, R: f.R}}
			b := place.Kind{{Core: g.Core, R: g.R}}
			p := place.Problem{Kinds: []place.Kind{a, b}, Apart: [][]place.Room{{{Good: r.Good, Least: math.Inf(-1)}}}}
			if place.Inner(&p, []place.Body{{Kind: 0, At: d}, {Kind: 1}}) > 0 {
				lack := 1.0 // more than petty
				p.Apart[0][0].Good = r.Good - petty
				if place.Inner(&p, []place.Body{{Kind: 0, At: d}, {Kind: 1}}) == 0 {
					lack = petty
				}
				worst = max(worst, lack)
			}
		}
	}
	return worst
}
