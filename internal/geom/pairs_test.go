package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

type pair struct{ i, j int }

func allPairs(boxes []Box2, margin float64) (ps []pair) {
	for i := range boxes {
		for j := i + 1; j < len(boxes); j++ {
			if sound(boxes[i]) && sound(boxes[j]) && boxes[i].Grow(margin).Overlaps(boxes[j]) {
				ps = append(ps, pair{i, j})
			}
		}
	}
	return
}

func treePairs(boxes []Box2, margin float64) (ps []pair) {
	for i, j := range Pairs(boxes, margin) {
		ps = append(ps, pair{i, j})
	}
	return
}

// The same pairs in the same order as looking at each with each.
func TestPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 120).Draw(t, "boxes")
		reach := rapid.SampledFrom([]float64{5, 50, 500}).Draw(t, "reach")
		flat := rapid.Bool().Draw(t, "in a row")
		var boxes []Box2
		for range n {
			p := Vec2{num(t, -reach, reach, "x"), num(t, -reach, reach, "y")}
			if flat {
				p.X = 3
			}
			b := Box2{p, p.Add(Vec2{num(t, 0, 20, "w"), num(t, 0, 20, "h")})}
			switch rapid.IntRange(0, 30).Draw(t, "odd") {
			case 0:
				b = EmptyBox2()
			case 1:
				b.Min.X = math.NaN()
			case 2:
				b.Max = Vec2{1e9, 1e9}
			}
			boxes = append(boxes, b)
		}
		margin := num(t, -2, 10, "margin")
		got, want := treePairs(boxes, margin), allPairs(boxes, margin)
		if !slices.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

func TestPairsStops(t *testing.T) {
	n := 0
	for range Pairs(make([]Box2, 10), 1) {
		if n++; n == 7 {
			break
		}
	}
	if n != 7 {
		t.Error(n)
	}
}

// spread lays n boxes of a control's size on a sheet that grows with n, as on panels.
func spread(n int) []Box2 {
	r := rand.New(rand.NewPCG(uint64(n), 1))
	side := 30 * math.Sqrt(float64(n))
	boxes := make([]Box2, n)
	for i := range boxes {
		p := Vec2{r.Float64() * side, r.Float64() * side}
		boxes[i] = Box2{p, p.Add(Vec2{10 + 15*r.Float64(), 10 + 15*r.Float64()})}
	}
	return boxes
}

// rowOf lays them all in one narrow column, the worst case of sorting by x only.
func rowOf(n int) []Box2 {
	boxes := spread(n)
	for i := range boxes {
		w := boxes[i].Size()
		boxes[i].Min.X = 0
		boxes[i].Min.Y *= math.Sqrt(float64(n))
		boxes[i].Max = boxes[i].Min.Add(w)
	}
	return boxes
}

// The work grows like n·log n on spread-out boxes: box comparisons are counted, not seconds.
func TestPairsWork(t *testing.T) {
	for name, lay := range map[string]func(int) []Box2{"spread": spread, "one column": rowOf} {
		var each []float64
		for _, n := range []int{500, 2000, 8000} {
			boxes := lay(n)
			tree := newBoxTree(boxes)
			looks := 0
			for i, b := range boxes {
				tree.looks = &looks
				tree.find(0, len(tree.order), b.Grow(2), i, nil)
			}
			each = append(each, float64(looks)/(float64(n)*math.Log2(float64(n))))
		}
		t.Logf("%s: looks per n·log2 n at 500, 2000, 8000 boxes: %.3g", name, each)
		if each[2] > 1.5*each[0] {
			t.Errorf("%s: the work grows faster than n·log n: %.3g", name, each)
		}
	}
}

func BenchmarkPairs(b *testing.B) {
	for _, n := range []int{100, 500, 2000, 8000} {
		for _, l := range []struct {
			name string
			lay  func(int) []Box2
		}{{"spread", spread}, {"column", rowOf}} {
			boxes := l.lay(n)
			b.Run(fmt.Sprint(l.name, " ", n), func(b *testing.B) {
				found := 0
				for b.Loop() {
					found = 0
					for range Pairs(boxes, 2) {
						found++
					}
				}
				b.ReportMetric(float64(found), "pairs")
			})
		}
	}
}

func BenchmarkAllPairs(b *testing.B) {
	for _, n := range []int{100, 500, 2000, 8000} {
		boxes := spread(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				allPairs(boxes, 2)
			}
		})
	}
}
