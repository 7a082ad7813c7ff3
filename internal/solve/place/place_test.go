package place

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/geom"
)

// box is a rectangle as a kind's only piece.
func box(w, h float64, class int) Kind {
	x, y := w/2, h/2
	return Kind{{Core: []geom.Vec2{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}, Class: class}}
}

func disc(r float64, class int) Kind { return Kind{{Core: []geom.Vec2{{}}, R: r, Class: class}} }

// sheet is a rectangular region as sides, from 0, 0.
func sheet(w, h float64) []Side {
	return []Side{{geom.Vec2{X: 1}, w, w}, {geom.Vec2{X: -1}, 0, 0}, {geom.Vec2{Y: 1}, h, h}, {geom.Vec2{Y: -1}, 0, 0}}
}

// plain makes a problem of one class in a rectangle: kinds one an item, a good and a least room.
func plain(w, h, good, least float64, kinds ...Kind) *Problem {
	p := &Problem{
		Kinds: kinds, Apart: [][]Room{{{good, least}}}, Within: [][]Room{{{good, least}}}, Sides: [][]Side{sheet(w, h)},
		Layers: []Layer{{"flat", []bool{true}}}, Grain: 1, Axis: w / 2, Frame: geom.Box2{Max: geom.Vec2{X: w, Y: h}}, Weight: Usual,
	}
	for i := range kinds {
		p.Items = append(p.Items, Item{Name: fmt.Sprint("i", i), Forms: [][]Body{{{Kind: i, Follow: Same}}}, Fresh: true, Mass: 1, Like: 1})
	}
	return p
}

// brute finds the best valid placement on the grain by trying all.
func brute(t *testing.T, p *Problem, w, h int) (best float64, at []geom.Vec2) {
	t.Helper()
	best = math.Inf(1)
	now := make([]geom.Vec2, len(p.Items))
	c, err := compile(p)
	if err != nil {
		t.Fatal(err)
	}
	s := c.blank()
	var try func(i int)
	try = func(i int) {
		if i == len(now) {
			copy(s.at, now)
			c.fill(s)
			if s.sum.hard > 0 {
				return
			}
			if v := c.terms(s); s.sum.trouble*p.Weight.Trouble+v.points(&p.Weight) < best {
				sc := c.score(s)
				if sc.Total < best {
					best = sc.Total
					at = append(at[:0], now...)
				}
			}
			return
		}
		for x := range w + 1 {
			for y := range h + 1 {
				now[i] = geom.Vec2{X: float64(x), Y: float64(y)}
				try(i + 1)
			}
		}
	}
	try(0)
	return best, at
}

// Small instances by random, against all placements there are: the search must find one that is as good.
func TestBestOfAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	hits, n, worst := 0, 0, 0.0
	for k := range 24 {
		items, w, h := 2+k%2, 6+rng.IntN(4), 4+rng.IntN(3)
		if items == 3 {
			w, h = 6, 4
		}
		var kinds []Kind
		for range items {
			if rng.IntN(2) == 0 {
				kinds = append(kinds, disc(0.5+float64(rng.IntN(2))*0.5, 0))
			} else {
				kinds = append(kinds, box(1+float64(rng.IntN(2)), 1, 0))
			}
		}
		p := plain(float64(w), float64(h), 0.5+rng.Float64(), 0, kinds...)
		for i := range p.Items {
			p.Items[i].Like = 1 + rng.IntN(2)
			p.Items[i].Mass = 1 + float64(rng.IntN(3))
			if rng.IntN(2) == 0 {
				p.Items[i].Fresh, p.Items[i].Start = false, geom.Vec2{X: float64(rng.IntN(w)), Y: float64(rng.IntN(h))}
			}
			p.Items[i].Team = rng.IntN(2)
		}
		if rng.IntN(2) == 0 {
			p.Orders = []Order{{A: 0, B: 1, Dir: geom.Vec2{X: 1}, Least: 1}}
		}
		want, at := brute(t, p, w, h)
		r, err := Solve(context.Background(), p, Options{Seed: uint64(k), Work: 1_500_000, Styles: []Style{{"one", Weights{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}, FromStart}}})
		if err != nil {
			t.Fatal(err)
		}
		if math.IsInf(want, 1) {
			if len(r.Solutions) > 0 {
				t.Errorf("%d: a solution where there is none: %+v", k, r.Solutions[0])
			}
			continue
		}
		if len(r.Solutions) == 0 {
			t.Errorf("%d: nothing found; %v scores %.3f", k, at, want)
			continue
		}
		n++
		got := r.Solutions[0].Score.Total
		// starts are multiples of the grain here, so that nothing off the lattice can be better
		if got < want-1e-6 {
			t.Errorf("%d: %.6f is better than the best of all, %.6f", k, got, want)
		}
		worst = max(worst, got-want)
		if got < want+1e-6 {
			hits++
		}
	}
	t.Logf("best of all in %d of %d instances, at worst %.3f points above", hits, n, worst)
	if hits != n {
		t.Errorf("the best of all is missed in %d of %d instances, by up to %.3f points", n-hits, n, worst)
	}
}

// What the zones say of two bodies is what the distance of their outlines says, by package geom.
func TestZonesAreDistances(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	outline := func(x Piece) geom.Outline {
		if len(x.Core) == 1 {
			return geom.Circle(x.Core[0], 2*x.R)
		}
		return geom.Polygon(x.Core...).Grow(x.R)
	}
	for n := range 300 {
		piece := func() Piece {
			if rng.IntN(3) == 0 {
				return Piece{Core: []geom.Vec2{{X: rng.Float64() * 4, Y: rng.Float64() * 4}}, R: 1 + rng.Float64()*4}
			}
			var ps []geom.Vec2
			for range 3 + rng.IntN(4) {
				ps = append(ps, geom.Vec2{X: rng.Float64()*10 - 5, Y: rng.Float64()*10 - 5})
			}
			return Piece{Core: hull(ps), R: rng.Float64() * 2}
		}
		a, b := piece(), piece()
		room := Room{rng.Float64() * 3, -1e9}
		z := zonesOf(Kind{a}, Kind{b}, [][]Room{{room}})
		d := geom.Vec2{X: rng.Float64()*30 - 15, Y: rng.Float64()*30 - 15}
		gap, _, _ := outline(a).Gap(outline(b).Move(geom.Place{At: d}))
		lack, _, _ := z.meets(d)
		if gap > 1e-3 { // apart, the two must agree on how much is missing
			if want := max(room.Good-gap, 0); math.Abs(lack-want) > 1e-6 {
				t.Fatalf("%d: gap %.6f of %.6f, lack %.6f", n, gap, room.Good, lack)
			}
		} else if gap < -1e-3 && lack < room.Good {
			t.Fatalf("%d: they overlap by %.6f, lack %.6f of %.6f", n, -gap, lack, room.Good)
		}
	}
}

// A zone left out lies in another one: with and without pruning the answer is the same.
func TestPruning(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	for range 200 {
		var a, b Kind
		for range 3 {
			a = append(a, Piece{Core: []geom.Vec2{{X: rng.Float64() * 3}}, R: rng.Float64() * 5})
			b = append(b, box(1+rng.Float64()*6, 1+rng.Float64()*6, 0)[0])
		}
		rooms := [][]Room{{{1.5, 0.5}}}
		z := zonesOf(a, b, rooms)
		for range 20 {
			d := geom.Vec2{X: rng.Float64()*30 - 15, Y: rng.Float64()*30 - 15}
			lack, hard, _ := z.meets(d)
			var wl, wh float64
			for i := range a {
				for j := range b {
					one := zonesOf(Kind{a[i]}, Kind{b[j]}, rooms)
					l, h, _ := one.meets(d)
					wl, wh = max(wl, l), max(wh, h)
				}
			}
			if math.Abs(lack-wl) > 1e-9 || math.Abs(hard-wh) > 1e-9 {
				t.Fatalf("at %v: %v %v, one by one %v %v", d, lack, hard, wl, wh)
			}
		}
	}
}

// desk makes an instance of n discs and boxes that fill about a part of their sheet.
func desk(n int, fill float64, seed uint64) *Problem {
	rng := rand.New(rand.NewPCG(seed, 11))
	var kinds []Kind
	area := 0.0
	for range n {
		r := 5 + float64(rng.IntN(4))*2
		if rng.IntN(3) == 0 {
			kinds = append(kinds, box(2*r, r, 0))
		} else {
			kinds = append(kinds, disc(r, 0))
		}
		area += 4 * (r + 3) * (r + 3)
	}
	w := math.Ceil(math.Sqrt(area / fill * 1.6))
	h := math.Ceil(w / 1.6)
	p := plain(w, h, 6, 0, kinds...)
	for i := range p.Items {
		p.Items[i].Fresh, p.Items[i].Start = false, geom.Vec2{X: math.Round(w * rng.Float64()), Y: math.Round(h * rng.Float64())}
		p.Items[i].Like = 1 + i%3
	}
	return p
}

// The mirror image of a placement scores as the placement does, and the terms add up to the score.
func TestMirrorImageScoresTheSame(t *testing.T) {
	for seed := range uint64(20) {
		p := desk(15, 0.6, seed)
		m := *p
		m.Items = append([]Item(nil), p.Items...)
		at, form := make([]geom.Vec2, len(p.Items)), make([]int, len(p.Items))
		flip := make([]geom.Vec2, len(p.Items))
		for i := range at {
			at[i] = p.Items[i].Start.Add(geom.Vec2{X: float64(i % 4)})
			flip[i] = geom.Vec2{X: 2*p.Axis - at[i].X, Y: at[i].Y}
			m.Items[i].Start.X = 2*p.Axis - p.Items[i].Start.X
		}
		a, err := Evaluate(p, at, form)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := Evaluate(&m, flip, form)
		if math.Abs(a.Total-b.Total) > 1e-6 || a.Hard != b.Hard || a.Soft != b.Soft {
			t.Errorf("%d: %.6f, mirrored %.6f", seed, a.Total, b.Total)
		}
		sum := 0.0
		for _, x := range a.Terms {
			sum += x.Points
		}
		if math.Abs(sum-a.Total) > 1e-9 {
			t.Errorf("%d: the terms add up to %v, the score is %v", seed, sum, a.Total)
		}
	}
}

// What the search keeps of a placement is what is worked out from nothing, also after changes were taken back.
func TestKeptIsTrue(t *testing.T) {
	p := desk(20, 0.8, 4)
	c, err := compile(p)
	if err != nil {
		t.Fatal(err)
	}
	w := p.Weight
	q := &run{compiled: c, w: &w, rng: rand.New(rand.NewPCG(1, 2)), budget: 1, tick: func() bool { return true }}
	q.s = q.begin()
	for n := range 3000 {
		if q.step(float64(n) / 3000) {
			if n%3 == 0 {
				q.back(q.s)
			} else {
				q.s.keep()
			}
		}
		if n%50 == 0 {
			f := c.blank()
			copy(f.at, q.s.at)
			copy(f.form, q.s.form)
			c.fill(f)
			if math.Abs(f.sum.trouble-q.s.sum.trouble) > 1e-6 || f.sum.hard != q.s.sum.hard || f.sum.soft != q.s.sum.soft || math.Abs(f.sum.lack-q.s.sum.lack) > 1e-6 {
				t.Fatalf("after %d: kept %+v, from nothing %+v", n, q.s.sum, f.sum)
			}
			a, b := c.terms(f), c.terms(q.s)
			if math.Abs(a.points(&w)-b.points(&w)) > 1e-9 {
				t.Fatalf("after %d: terms %+v, from nothing %+v", n, b, a)
			}
		}
	}
}

// Solutions are valid by the definitions, differ from each other, and are the same each time.
func TestSolutionsHold(t *testing.T) {
	p := desk(20, 0.7, 9)
	o := Options{Seed: 5, Most: 3, Apart: 15, Mean: 4, Work: 6_000_000}
	a, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := Solve(context.Background(), p, o)
	if len(a.Solutions) != 3 || len(b.Solutions) != 3 {
		t.Fatalf("%d and %d solutions", len(a.Solutions), len(b.Solutions))
	}
	for i, s := range a.Solutions {
		sc, _ := Evaluate(p, s.At, s.Form)
		if sc.Hard != 0 || math.Abs(sc.Total-s.Score.Total) > 1e-9 {
			t.Errorf("%d: %+v, said to be %+v", i, sc, s.Score)
		}
		// each pair by package geom
		for x := range s.At {
			for y := range x {
				if g := apart(p, x, y, s.At); g < -1e-6 {
					t.Errorf("%d: items %d and %d overlap by %v", i, y, x, -g)
				}
			}
		}
		for j := range i {
			sum, most := 0.0, 0.0
			for k := range s.At {
				d := s.At[k].Sub(a.Solutions[j].At[k]).Len()
				sum += d / float64(len(s.At))
				most = max(most, d)
			}
			if most < 15 && sum < 4 {
				t.Errorf("%d and %d are alike", j, i)
			}
		}
		for k := range s.At {
			if s.At[k] != b.Solutions[i].At[k] {
				t.Fatalf("the second time item %d of %d stands elsewhere", k, i)
			}
		}
	}
}

func apart(p *Problem, i, j int, at []geom.Vec2) float64 {
	out := func(i int) geom.Outline {
		x := p.Kinds[p.Items[i].Forms[0][0].Kind][0]
		if len(x.Core) == 1 {
			return geom.Circle(at[i], 2*x.R)
		}
		return geom.Polygon(x.Core...).Move(geom.Place{At: at[i]})
	}
	g, _, _ := out(i).Gap(out(j))
	return g
}

// Where nothing can be placed, the proof says why, and it is one: each is checked by trying all places.
func TestProofs(t *testing.T) {
	for _, w := range []struct {
		why string
		p   *Problem
	}{
		{"alone", plain(10, 5, 0, 0, box(11, 1, 0))},
		{"pair", plain(10, 4, 1, 1, box(6, 3, 0), box(5, 3, 0))},
		{"area", plain(6, 4, 1, 1, disc(1.5, 0), disc(1.5, 0), disc(1.5, 0))},
	} {
		r, err := Solve(context.Background(), w.p, Options{Work: 100_000})
		if err != nil {
			t.Fatal(err)
		}
		if r.Proof == nil || r.Proof.Why != w.why {
			t.Errorf("want a proof by %s, got %+v with %d solutions", w.why, r.Proof, len(r.Solutions))
			continue
		}
		if best, at := brute(t, w.p, int(w.p.Frame.Max.X), int(w.p.Frame.Max.Y)); !math.IsInf(best, 1) {
			t.Errorf("a proof by %s, but %v is valid", w.why, at)
		}
		if w.why == "area" && r.Proof.Need <= r.Proof.Have {
			t.Errorf("%+v", r.Proof)
		}
	}
	// no proof is given where there is a solution
	rng := rand.New(rand.NewPCG(2, 8))
	for range 60 {
		p := plain(8, 5, 1, 0.5, disc(0.5+rng.Float64(), 0), box(1+rng.Float64()*3, 1+rng.Float64()*2, 0))
		best, at := brute(t, p, 8, 5)
		c, _ := compile(p)
		if pr := c.proof(); pr != nil && !math.IsInf(best, 1) {
			t.Errorf("proof %+v, but %v is valid", pr, at)
		}
	}
}

// An item with a mirror image keeps clear of it, and its image moves the other way.
func TestMirrorImageFollows(t *testing.T) {
	p := plain(60, 30, 2, 0, disc(5, 0))
	p.Items[0].Forms = [][]Body{{{Kind: 0, Follow: Same}, {Kind: 0, At: geom.Vec2{X: 60}, Follow: Matrix{-1, 0, 0, 1}}}}
	p.Items[0].Fresh, p.Items[0].Start = false, geom.Vec2{X: 29, Y: 15}
	r, err := Solve(context.Background(), p, Options{Work: 300_000, Most: 1})
	if err != nil || len(r.Solutions) != 1 {
		t.Fatal(err, r)
	}
	at := r.Solutions[0].At[0]
	if gap := math.Abs(60-2*at.X) - 10; gap < 2-1e-6 {
		t.Errorf("at %v the image is %v away", at, gap)
	}
	if r.Start == nil || r.Start.Hard != 1 {
		t.Errorf("the start is not valid, but scored %+v", r.Start)
	}
}

// Of two forms the one without trouble is taken.
func TestForms(t *testing.T) {
	p := plain(80, 20, 6, 0, disc(5, 0))
	row := func(step float64) []Body {
		return []Body{{Kind: 0, Follow: Same}, {Kind: 0, At: geom.Vec2{X: step}, Follow: Same}, {Kind: 0, At: geom.Vec2{X: 2 * step}, Follow: Same}}
	}
	p.Items[0].Forms = [][]Body{row(12), row(16)}
	p.Items[0].Fresh, p.Items[0].Start = false, geom.Vec2{X: 20, Y: 10}
	r, err := Solve(context.Background(), p, Options{Work: 300_000, Most: 1})
	if err != nil || len(r.Solutions) != 1 || r.Solutions[0].Form[0] != 1 || r.Solutions[0].Score.Soft != 0 {
		t.Fatalf("%v %+v", err, r)
	}
}

// A context that has ended gives back at once.
func TestStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	calls := 0
	r, err := Solve(ctx, desk(60, 0.8, 1), Options{Progress: func(float64, int) {
		if calls++; calls == 20 {
			cancel()
		}
	}})
	if err != nil || !r.Stopped || calls > 22 {
		t.Errorf("%v, stopped %v after %d looks", err, r.Stopped, calls)
	}
}

func TestBadProblems(t *testing.T) {
	for i, spoil := range []func(*Problem){
		func(p *Problem) { p.Grain = 0 },
		func(p *Problem) { p.Items[0].Forms = nil },
		func(p *Problem) { p.Items[0].Mass = 0 },
		func(p *Problem) { p.Items[0].Forms[0][0].Kind = 9 },
		func(p *Problem) { p.Kinds[0][0].Class = 3 },
		func(p *Problem) { p.Orders = []Order{{A: 0, B: 7}} },
		func(p *Problem) { p.Sides = nil },
		func(p *Problem) { p.Stay = []Body{{Kind: -1}} },
	} {
		p := plain(20, 20, 1, 0, disc(2, 0))
		spoil(p)
		if _, err := Solve(context.Background(), p, Options{}); err == nil {
			t.Errorf("problem %d is taken", i)
		}
	}
	if r, err := Solve(context.Background(), plain(20, 20, 1, 0), Options{}); err != nil || len(r.Solutions) != 0 {
		t.Error("nothing to place is no trouble")
	}
}

func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{20, 60, 200} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := desk(n, 0.75, 1)
			var total, soft, k float64
			for b.Loop() {
				r, err := Solve(context.Background(), p, Options{Seed: uint64(k), Most: 3, Apart: 15, Mean: 4})
				if err != nil || len(r.Solutions) == 0 {
					b.Fatal("nothing found")
				}
				total += r.Solutions[0].Score.Total
				soft += float64(r.Solutions[0].Score.Soft)
				k++
			}
			b.ReportMetric(total/k, "points")
			b.ReportMetric(soft/k, "trouble")
		})
	}
}
