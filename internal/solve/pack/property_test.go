package pack

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// drawPieces draws up to most single pieces, grouped, no side above the limit.
func drawPieces(t *rapid.T, most, side int) []Piece {
	var pieces []Piece
	for most > 0 && rapid.IntRange(0, 5).Draw(t, "more") > 0 {
		p := Piece{
			Width:  float64(rapid.IntRange(1, side).Draw(t, "width")),
			Height: float64(rapid.IntRange(1, side).Draw(t, "height")),
			Count:  rapid.IntRange(1, min(3, most)).Draw(t, "count"),
			Value:  float64(rapid.IntRange(1, 30).Draw(t, "value")),
			Turn:   rapid.Bool().Draw(t, "turn"),
		}
		most -= p.Count
		pieces = append(pieces, p)
	}
	return pieces
}

// fitting leaves out what fits no sheet, so that the question is a fair one.
func fitting(pieces []Piece, sheets ...Sheet) []Piece {
	var kept []Piece
	for _, p := range pieces {
		for _, s := range sheets {
			if s.Count != 0 && (p.Width <= s.Width && p.Height <= s.Height || p.Turn && p.Height <= s.Width && p.Width <= s.Height) {
				kept = append(kept, p)
				break
			}
		}
	}
	return kept
}

func drawSheet(t *rapid.T, side int) Sheet {
	return Sheet{
		Width:  float64(rapid.IntRange(1, side).Draw(t, "sheet width")),
		Height: float64(rapid.IntRange(1, side).Draw(t, "sheet height")),
		Count:  1,
		Cost:   float64(rapid.IntRange(0, 9).Draw(t, "cost")),
	}
}

// quick checks keep small questions from taking the time of large ones.
func drawOptions(t *rapid.T) Options {
	return Options{Kerf: float64(rapid.IntRange(0, 2).Draw(t, "kerf")), Effort: Quick}
}

func TestGuillotineIsBestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet, o := drawSheet(t, 9), drawOptions(t)
		pieces := fitting(drawPieces(t, 5, 7), sheet)
		r, err := Guillotine(pieces, sheet, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(pieces, []Sheet{sheet}, o, []Layout{r.Layout}); err != nil {
			t.Fatal(err)
		}
		best := newCuttable(copiesOf(pieces), int(o.Kerf)).bestValue(int(sheet.Width), int(sheet.Height))
		if r.Value != best || r.Bound != best || !r.Exact {
			t.Fatalf("value %g, bound %g, exact %v; the best is %g", r.Value, r.Bound, r.Exact, best)
		}
	})
}

// Unlimited numbers, for which the exhaustive search gets as many copies as the area holds.
func TestGuillotineUnlimitedIsBestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet := Sheet{Width: float64(rapid.IntRange(1, 6).Draw(t, "w")), Height: float64(rapid.IntRange(1, 6).Draw(t, "h")), Count: 1}
		pieces := fitting(drawPieces(t, 2, 5), sheet)
		var all []Piece
		for i := range pieces {
			p := &pieces[i]
			for range int(sheet.Width*sheet.Height) / int(p.Width*p.Height) {
				one := *p
				one.Count = 1
				all = append(all, one)
			}
			p.Count = Unlimited
		}
		if len(all) > 7 {
			t.Skip("too many for trying all")
		}
		r, err := Guillotine(pieces, sheet, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if best := newCuttable(all, 0).bestValue(int(sheet.Width), int(sheet.Height)); r.Value != best || !r.Exact {
			t.Fatalf("value %g, exact %v; the best is %g", r.Value, r.Exact, best)
		}
	})
}

func TestGuillotineGrowsWithTheSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet, o := drawSheet(t, 40), drawOptions(t)
		pieces := fitting(drawPieces(t, 8, 20), sheet)
		small, err := Guillotine(pieces, sheet, o)
		if err != nil {
			t.Fatal(err)
		}
		large := sheet
		large.Width += float64(rapid.IntRange(0, 5).Draw(t, "wider"))
		large.Height += float64(rapid.IntRange(0, 5).Draw(t, "higher"))
		thin := o
		thin.Kerf = 0
		for name, r := range map[string]func() (Pattern, error){
			"a larger sheet": func() (Pattern, error) { return Guillotine(pieces, large, o) },
			"no kerf":        func() (Pattern, error) { return Guillotine(pieces, sheet, thin) },
		} {
			r, err := r()
			if err != nil {
				t.Fatal(err)
			}
			if r.Exact && r.Value < small.Value || r.Bound < small.Value {
				t.Fatalf("%s gives %g, bound %g, after %g", name, r.Value, r.Bound, small.Value)
			}
		}
	})
}

func TestStockIsCheapestOfAll(t *testing.T) {
	off := 0
	rapid.Check(t, func(t *rapid.T) {
		sheets, o := []Sheet{drawSheet(t, 8), drawSheet(t, 8)}, drawOptions(t)
		for i := range sheets {
			sheets[i].Count = rapid.IntRange(0, 3).Draw(t, "sheets")
		}
		pieces := fitting(drawPieces(t, 5, 7), sheets...)
		r, err := Stock(pieces, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(pieces, sheets, o, r.Layouts); err != nil {
			t.Fatal(err)
		}
		checkTotals(t, pieces, r)
		best := newCuttable(copiesOf(pieces), int(o.Kerf)).bestCost(sheets)
		switch {
		case (best < 0) != (r.Missing != nil):
			t.Fatalf("missing %v; the lowest cost is %g", r.Missing, best)
		case best < 0:
		case r.Bound > best || r.Cost < best || r.Exact && r.Cost != best:
			t.Fatalf("cost %g, bound %g, exact %v; the lowest is %g", r.Cost, r.Bound, r.Exact, best)
		case r.Cost > best:
			off++
		}
	})
	if off > 0 {
		t.Errorf("%d small plans cost more than the cheapest", off)
	}
}

// checkTotals compares placed and missing with what is wanted.
func checkTotals(t *rapid.T, pieces []Piece, r Plan) {
	have := make([]int, len(pieces))
	for _, l := range r.Layouts {
		for _, p := range l.Placed {
			have[p.Piece]++
		}
	}
	for i, p := range pieces {
		if r.Missing != nil {
			have[i] += r.Missing[i]
		}
		if have[i] != p.Count {
			t.Fatalf("piece %d: %d of %d accounted for", i, have[i], p.Count)
		}
	}
}

func TestStripIsShortestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width, o := rapid.IntRange(1, 6).Draw(t, "strip width"), drawOptions(t)
		strip := Sheet{Width: float64(width), Height: 20, Count: 1}
		pieces := fitting(drawPieces(t, 4, 5), strip)
		single := copiesOf(pieces)
		for way, best := range map[Way]int{
			EdgeToEdge: newCuttable(single, int(o.Kerf)).shortest(width),
			Anywhere:   shortestFree(single, int(o.Kerf), width),
		} {
			r, err := Strip(pieces, strip.Width, way, o)
			if err != nil {
				t.Fatal(err)
			}
			sheet := Sheet{Width: strip.Width, Height: r.Length, Count: 1}
			if err := Check(pieces, []Sheet{sheet}, o, []Layout{r.Layout}); err != nil {
				t.Fatal(err)
			}
			if len(r.Placed) != len(single) {
				t.Fatalf("%d of %d placed", len(r.Placed), len(single))
			}
			// A jigsaw of few pieces may need a place that no skyline offers; that must show in the bound.
			if r.Bound > float64(best) || r.Length < float64(best) || r.Exact && r.Length != float64(best) ||
				way == EdgeToEdge && r.Length != float64(best) {
				t.Fatalf("way %d: length %g, bound %g, exact %v; the shortest is %d", way, r.Length, r.Bound, r.Exact, best)
			}
		}
	})
}

func TestFreeIsNoDearerThanEdgeToEdge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheets, o := []Sheet{drawSheet(t, 12), drawSheet(t, 12)}, drawOptions(t)
		sheets[0].Count = Unlimited
		pieces := fitting(drawPieces(t, 8, 9), sheets...)
		cut, err := Stock(pieces, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		free, err := Free(pieces, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(pieces, sheets, o, free.Layouts); err != nil {
			t.Fatal(err)
		}
		checkTotals(t, pieces, free)
		if cut.Missing == nil && (free.Missing != nil || free.Cost > cut.Cost || free.Bound > cut.Cost) {
			t.Fatalf("free %g (bound %g), from edge to edge %g", free.Cost, free.Bound, cut.Cost)
		}
	})
}

// Odd sizes, kerf and trims: nothing is a whole number of anything.
func TestAnythingIsChecked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		o := Options{Kerf: length(0, 4, "kerf"), Effort: Quick}
		o.Trim = Margins{length(0, 9, "left"), length(0, 9, "right"), length(0, 9, "bottom"), length(0, 9, "top")}
		sheets := []Sheet{{Width: length(300, 900, "w"), Height: length(300, 900, "h"), Count: Unlimited, Cost: 1}}
		var pieces []Piece
		for range rapid.IntRange(0, 6).Draw(t, "kinds") {
			pieces = append(pieces, Piece{Width: length(5, 280, "pw"), Height: length(5, 280, "ph"),
				Count: rapid.IntRange(0, 4).Draw(t, "count"), Turn: rapid.Bool().Draw(t, "turn")})
		}
		plan, err := Stock(pieces, sheets, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(pieces, sheets, o, plan.Layouts); err != nil {
			t.Fatal(err)
		}
		checkTotals(t, pieces, plan)
		if plan.Missing != nil || plan.Bound > plan.Cost {
			t.Fatalf("missing %v, cost %g, bound %g", plan.Missing, plan.Cost, plan.Bound)
		}
		for _, l := range plan.Layouts {
			saw(t, l, pieces)
		}
		again, err := Stock(pieces, sheets, o)
		if err != nil || !reflect.DeepEqual(plan, again) {
			t.Fatal("the same question has two answers")
		}
	})
}

// saw carries out a list of cuts with panels as plain numbers, and looks whether the wanted pieces are in hand at the end.
func saw(t *rapid.T, l Layout, pieces []Piece) {
	type panel struct{ w, h float64 }
	have := map[int]panel{1: {l.Width, l.Height}}
	piece := map[int]int{}
	if n := l.Root; n != nil && n.Leaf() && n.Piece != None && l.Trim == (Margins{}) {
		piece[1] = n.Piece
	}
	for i, c := range l.Cuts() {
		p, ok := have[c.Panel]
		if !ok || math.Abs(p.w-c.Width) > 0.01 || math.Abs(p.h-c.Height) > 0.01 {
			t.Fatalf("cut %d: panel %d is %v, the list says %g × %g", i+1, c.Panel, p, c.Width, c.Height)
		}
		delete(have, c.Panel)
		delete(piece, c.Panel)
		size := p.w
		if !c.Upright {
			size = p.h
		}
		if c.Distance < 0 || c.Kerf < 0 || c.Kerf > l.Kerf+0.001 || c.Distance+c.Kerf > size+0.01 {
			t.Fatalf("cut %d: %g and a kerf of %g in %g", i+1, c.Distance, c.Kerf, size)
		}
		part := func(s float64) panel {
			if c.Upright {
				return panel{s, p.h}
			}
			return panel{p.w, s}
		}
		if c.Keeps != 0 {
			have[c.Keeps] = part(c.Distance)
			if c.KeepsIs != None {
				piece[c.Keeps] = c.KeepsIs
			}
		}
		if c.Leaves != 0 {
			have[c.Leaves] = part(size - c.Distance - c.Kerf)
			if c.LeavesIs != None {
				piece[c.Leaves] = c.LeavesIs
			}
		}
	}
	got := make([]int, len(pieces))
	for number, k := range piece {
		p, q := have[number], pieces[k]
		near := func(w, h float64) bool { return math.Abs(p.w-w) < 0.03 && math.Abs(p.h-h) < 0.03 }
		if !near(q.Width, q.Height) && !(q.Turn && near(q.Height, q.Width)) {
			t.Fatalf("panel %d is %v, not piece %d", number, p, k)
		}
		got[k]++
	}
	for _, p := range l.Placed {
		got[p.Piece]--
	}
	for k, n := range got {
		if n != 0 {
			t.Fatalf("piece %d: %d more cut than placed", k, n)
		}
	}
}

// Stopping at once leaves an answer that is worse, but right.
func TestStop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		asked, after := 0, rapid.IntRange(0, 6).Draw(t, "after")
		o := Options{Kerf: 3, Stop: func() bool { asked++; return asked > after }}
		sheets := []Sheet{{Width: 60, Height: 50, Count: Unlimited, Cost: 1}}
		pieces := fitting(drawPieces(t, 10, 40), sheets...)
		for _, solve := range []func([]Piece, []Sheet, Options) (Plan, error){Stock, Free} {
			r, err := solve(pieces, sheets, o)
			if err != nil || r.Missing != nil || r.Cost < r.Bound {
				t.Fatal(r, err)
			}
			if err := Check(pieces, sheets, o, r.Layouts); err != nil {
				t.Fatal(err)
			}
		}
		p, err := Guillotine(pieces, sheets[0], o)
		if err != nil || p.Value > p.Bound {
			t.Fatal(p, err)
		}
		full, err := Guillotine(pieces, sheets[0], Options{Kerf: 3, Effort: Quick})
		if err != nil || p.Bound < full.Value || p.Value > full.Bound {
			t.Fatalf("stopped %g to %g, in full %g to %g", p.Value, p.Bound, full.Value, full.Bound)
		}
	})
}

func TestRefusals(t *testing.T) {
	good := Piece{Name: "SHELF", Width: 100, Height: 50, Count: 1}
	sheet := Sheet{Name: "PLY", Width: 400, Height: 300, Count: 2, Cost: 1}
	type question struct {
		piece Piece
		sheet Sheet
		o     Options
	}
	for _, c := range []struct {
		change func(q *question)
		field  string // of the InputError; empty for a FitError
		name   string
	}{
		{func(q *question) { q.piece.Width = 0 }, "width", "SHELF"},
		{func(q *question) { q.piece.Height = -5 }, "height", "SHELF"},
		{func(q *question) { q.piece.Width = math.NaN() }, "width", "SHELF"},
		{func(q *question) { q.piece.Height = math.Inf(1) }, "height", "SHELF"},
		{func(q *question) { q.piece.Width = 20001 }, "width", "SHELF"},
		{func(q *question) { q.piece.Width = 0.0001 }, "width", "SHELF"},
		{func(q *question) { q.piece.Count = -2 }, "count", "SHELF"},
		{func(q *question) { q.piece.Count = 20000 }, "count", "SHELF"},
		{func(q *question) { q.piece.Value = -1 }, "value", "SHELF"},
		{func(q *question) { q.piece.Value = math.NaN() }, "value", "SHELF"},
		{func(q *question) { q.sheet.Width = 0 }, "width", "PLY"},
		{func(q *question) { q.sheet.Height = math.NaN() }, "height", "PLY"},
		{func(q *question) { q.sheet.Cost = -1 }, "cost", "PLY"},
		{func(q *question) { q.sheet.Count = -7 }, "count", "PLY"},
		{func(q *question) { q.o.Kerf = -1 }, "kerf", ""},
		{func(q *question) { q.o.Kerf = math.NaN() }, "kerf", ""},
		{func(q *question) { q.o.Trim.Top = -1 }, "trim", ""},
		{func(q *question) { q.o.Trim.Left = math.Inf(1) }, "trim", ""},
		{func(q *question) { q.piece.Width = 401 }, "", "SHELF"},
		{func(q *question) { q.piece.Height = 350 }, "", "SHELF"}, // would fit turned, but may not be
		{func(q *question) { q.o.Trim.Left = 350 }, "", "SHELF"},
		{func(q *question) { q.o.Trim.Left = 500 }, "", "SHELF"},
	} {
		q := question{good, sheet, Options{}}
		c.change(&q)
		pieces := []Piece{good, q.piece}
		pieces[0].Width, pieces[0].Height = 1, 1
		_, stock := Stock(pieces, []Sheet{q.sheet}, q.o)
		_, free := Free(pieces, []Sheet{q.sheet}, q.o)
		errs := []error{stock, free}
		if c.name != "PLY" || c.field == "width" || c.field == "height" {
			_, one := Guillotine(pieces, q.sheet, q.o)
			errs = append(errs, one)
		}
		for _, err := range errs {
			var in *InputError
			var fit *FitError
			switch {
			case c.field == "" && errors.As(err, &fit):
				if fit.Name != c.name || fit.Piece != 0 && fit.Piece != 1 {
					t.Errorf("%q does not name %s", err, c.name)
				}
			case c.field != "" && errors.As(err, &in):
				if in.Field != c.field || in.Name != c.name {
					t.Errorf("%q is not about the %s of %q", err, c.field, c.name)
				}
			default:
				t.Errorf("field %q of %q: got %v", c.field, c.name, err)
			}
		}
	}
	if _, err := Stock([]Piece{{Width: 1, Height: 1, Count: Unlimited}}, []Sheet{sheet}, Options{}); err == nil {
		t.Error("endless pieces are taken")
	}
	if _, err := Strip([]Piece{{Name: "LID", Width: 70, Height: 80, Count: 1}}, 60, Anywhere, Options{}); err == nil {
		t.Error("a piece wider than the strip is taken")
	} else {
		t.Log(err)
	}
}
