package electric

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"knobwright/internal/solve/circuit"
)

// bruteGap is the smallest gap of a ladder, LSB, worked out by trying every corner of every resistor for every state, on a network
// solved by package circuit: nothing is shared with the formulas.
func bruteGap(t *testing.T, q LadderQuestion, pull float64, ohms []float64) float64 {
	t.Helper()
	type spread struct{ low, nom, high float64 }
	var all []spread
	for _, state := range q.states(len(ohms)) {
		n := circuit.New()
		n.Voltage("ref", "ref", circuit.Ground, 1)
		n.Resistor("pull", "ref", "pin", pull)
		tol := []circuit.Tolerance{circuit.PlusMinus("pull", pull, q.Tol)}
		for _, i := range state {
			name := string(rune('A' + i))
			n.Resistor(name, "pin", circuit.Ground, max(ohms[i], 1e-6))
			if ohms[i] > 0 {
				tol = append(tol, circuit.PlusMinus(name, ohms[i], q.Tol))
			}
		}
		got, err := circuit.Corners(n, tol, func(s *circuit.Solution) []float64 { return []float64{s.V("pin") * q.full()} })
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, spread{got[0].Min, got[0].Nominal, got[0].Max})
	}
	slices.SortFunc(all, func(a, b spread) int { return int(math.Copysign(1, a.nom-b.nom)) })
	gap := math.Inf(1)
	for i := 1; i < len(all); i++ {
		gap = min(gap, all[i].low-all[i-1].high)
	}
	return gap
}

// The readings of a ladder against the network itself.
func TestLadderReadings(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for round := range 60 {
		q := LadderQuestion{Kind: OneAtATime, Tol: []float64{0.1, 1, 5}[round%3], Bits: 12}
		n := 1 + rng.IntN(6)
		if round%2 == 1 {
			q.Kind = AnyCombination
			n = 1 + rng.IntN(4)
		}
		ohms := make([]float64, n)
		for i := range ohms {
			ohms[i] = E24.Nearest(100 * math.Pow(1000, rng.Float64()))
		}
		pull := E24.Nearest(1000 * math.Pow(100, rng.Float64()))
		a, err := JudgeLadder(q, pull, ohms)
		if err != nil {
			t.Fatal(err)
		}
		filled, _ := LadderQuestion{Kind: q.Kind, Tol: q.Tol, Bits: q.Bits, Contacts: n}.filled()
		near(t, "gap", a.Gap, bruteGap(t, filled, pull, ohms), 1e-6)
	}
}

// One contact at a time: no choice of E6 (and wire) has a larger smallest gap, tried for all subsets.
func TestLadderBestOneAtATime(t *testing.T) {
	for _, tol := range []float64{1, 5, 20} {
		for contacts := 1; contacts <= 4; contacts++ {
			for _, noOpen := range []bool{false, true} {
				q := LadderQuestion{Kind: OneAtATime, Contacts: contacts, NoOpen: noOpen, Series: E6, Tol: tol, Ohms: Range{1000, 0, 47e3}}
				a, err := Ladder(q)
				if err != nil {
					t.Fatal(err)
				}
				f, err := q.filled()
				if err != nil {
					t.Fatal(err)
				}
				values := append([]float64{0}, E6.Values(1000, 47e3)...)
				best := math.Inf(-1)
				for _, pull := range values[1:] {
					subsets(values, contacts, func(ohms []float64) { best = max(best, f.gap(pull, ohms)) })
				}
				if contacts == 1 && noOpen {
					continue // one reading: nothing to tell apart
				}
				near(t, "best gap", a.Gap, best, 1e-6)
				if !a.Best || len(a.Limits) != len(a.Rungs)-1 {
					t.Errorf("%+v", a)
				}
			}
		}
	}
}

// Any combination: the same for up to four contacts, all choices with repetition.
func TestLadderBestAnyCombination(t *testing.T) {
	for _, tol := range []float64{0.1, 1, 5} {
		for contacts := 1; contacts <= 4; contacts++ {
			q := LadderQuestion{Kind: AnyCombination, Contacts: contacts, Series: E12, Tol: tol, Ohms: Range{1000, 0, 10e3}, Contact: 2}
			if contacts >= 3 {
				q.Series = E6
				q.Ohms.Max = 33e3
			}
			a, err := Ladder(q)
			if err != nil {
				t.Fatal(err)
			}
			f, err := q.filled()
			if err != nil {
				t.Fatal(err)
			}
			values := q.Series.Values(q.Ohms.Min, q.Ohms.Max)
			best := math.Inf(-1)
			for _, pull := range values {
				repeated(values, contacts, func(ohms []float64) { best = max(best, f.gap(pull, ohms)) })
			}
			near(t, "best gap", a.Gap, best, 1e-6)
			near(t, "gap of the answer", f.gap(a.PullUp, a.Ohms), a.Gap, 1e-9)
		}
	}
}

func subsets(values []float64, n int, do func([]float64)) {
	pick := make([]float64, 0, n)
	var from func(int)
	from = func(at int) {
		if len(pick) == n {
			do(pick)
			return
		}
		for i := at; i < len(values); i++ {
			pick = append(pick, values[i])
			from(i + 1)
			pick = pick[:len(pick)-1]
		}
	}
	from(0)
}

func repeated(values []float64, n int, do func([]float64)) {
	pick := make([]float64, 0, n)
	var from func(int)
	from = func(at int) {
		if len(pick) == n {
			do(pick)
			return
		}
		for i := at; i < len(values); i++ {
			pick = append(pick, values[i])
			from(i)
			pick = pick[:len(pick)-1]
		}
	}
	from(0)
}

// With perfect resistors of any value, k contacts and the open reading can be 1/k apart; a choice from E96 comes near, and none beats it.
func TestLadderIdeal(t *testing.T) {
	for contacts := 2; contacts <= 16; contacts++ {
		a, err := Ladder(LadderQuestion{Kind: OneAtATime, Contacts: contacts, Series: E96, Tol: 1e-9, Ohms: Range{100, 0, 1e6}})
		if err != nil {
			t.Fatal(err)
		}
		ideal := 1024 / float64(contacts)
		if a.Gap > ideal*(1+1e-6) || a.Gap < 0.93*ideal {
			t.Errorf("%d contacts: gap %g, ideal %g", contacts, a.Gap, ideal)
		}
	}
}

func TestMostContacts(t *testing.T) {
	last := map[LadderKind]int{OneAtATime: 99, AnyCombination: 99}
	for _, tol := range []float64{0.1, 1, 5} {
		for _, k := range []LadderKind{OneAtATime, AnyCombination} {
			n, a, err := MostContacts(LadderQuestion{Kind: k, Tol: tol})
			if err != nil || n < 1 || n > last[k] || !a.Safe || len(a.Ohms) != n {
				t.Errorf("%s, %g %%: %d, %+v, %v", k, tol, n, a, err)
			}
			t.Logf("%s, resistors of %g %%: %d contacts, %.1f LSB of 10 bits apart", k, tol, n, a.Gap)
			last[k] = n
		}
	}
	if n, _, err := MostContacts(LadderQuestion{Kind: OneAtATime, Off: 300}); err != nil || n != 0 {
		t.Error("an input that is 300 LSB off tells contacts apart", n, err)
	}
}

func TestLadderSentences(t *testing.T) {
	for _, q := range []LadderQuestion{
		{}, {Kind: OneAtATime}, {Kind: OneAtATime, Contacts: 33}, {Kind: AnyCombination, Contacts: 9}, {Kind: AnyCombination, Contacts: 2, NoOpen: true},
		{Kind: OneAtATime, Contacts: 2, Series: 7}, {Kind: OneAtATime, Contacts: 2, Tol: math.NaN()}, {Kind: OneAtATime, Contacts: 2, Bits: 99},
		{Kind: OneAtATime, Contacts: 2, Ohms: Range{1e3, 0, 1}}, {Kind: OneAtATime, Contacts: 2, Ohms: Range{1, 0, math.Inf(1)}},
		{Kind: OneAtATime, Contacts: 9, Series: E6, Ohms: Range{1e3, 0, 2e3}}, {Kind: OneAtATime, Contacts: 2, PullUp: -1},
	} {
		if a, err := Ladder(q); err == nil || err.Error() == "" {
			t.Errorf("%+v gives %+v", q, a)
		}
	}
	if _, err := JudgeLadder(LadderQuestion{Kind: AnyCombination}, 1000, []float64{0}); err == nil {
		t.Error("a wire in a weighted ladder")
	}
	if _, err := JudgeLadder(LadderQuestion{Kind: OneAtATime}, math.NaN(), []float64{1000}); err == nil {
		t.Error("NaN")
	}
}

// Series finer than E24 begin with its choice: never much worse, always from the series.
func TestLadderFine(t *testing.T) {
	for contacts := 2; contacts <= 4; contacts++ {
		coarse, err := Ladder(LadderQuestion{Kind: AnyCombination, Contacts: contacts})
		if err != nil {
			t.Fatal(err)
		}
		fine, err := Ladder(LadderQuestion{Kind: AnyCombination, Contacts: contacts, Series: E96})
		if err != nil {
			t.Fatal(err)
		}
		if fine.Gap < 0.95*coarse.Gap || fine.Best {
			t.Errorf("%d contacts: %g with E96, %g with E24", contacts, fine.Gap, coarse.Gap)
		}
		for _, r := range append(fine.Ohms, fine.PullUp) {
			if E96.Nearest(r) != r {
				t.Errorf("%g is not in E96", r)
			}
		}
	}
}
