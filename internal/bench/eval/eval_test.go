package eval

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
)

// bench is one design with its model.
type bench struct {
	name string
	r    *job.Result
	m    *diagnosis.Model
	acts []diagnosis.Act
	rest []string // what a panel without fault shows
}

func open(t *testing.T, name string, src []byte) *bench {
	t.Helper()
	r := job.Run(project.Read(name, src), catalog.Builtin())
	if r.Firmware.Bytes == nil {
		return nil
	}
	b := &bench{name: name, r: r, m: diagnosis.New(diagnosis.Inputs{Panel: r.Panel, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware})}
	b.acts = b.m.Acts()
	b.rest = b.show(t, b.acts)
	return b
}

// show does acts on a panel with faults and writes down what it shows, in a form that can be compared.
func (b *bench) show(t *testing.T, acts []diagnosis.Act, faults ...diagnosis.Fault) []string {
	t.Helper()
	p, err := sim.New(b.r, faults...)
	if err != nil {
		return nil
	}
	out := make([]string, len(acts))
	for i, a := range acts {
		seen, err := p.Do(a)
		if err != nil {
			t.Fatalf("%s: %v: %v", b.name, a, err)
		}
		out[i] = plain(seen)
	}
	return out
}

// plain tells what was seen without times: of every bit how it stood before and after and how often it moved (three and more alike,
// quick chatter left out), of every axis where it was before and after, in sixteenths, and whether it jumped.
func plain(s diagnosis.Seen) string {
	var sb strings.Builder
	if len(s.Moments) > 0 {
		first, last := s.Moments[0], s.Moments[len(s.Moments)-1]
		for i := range 8 * len(first.Raw) {
			bit := func(m diagnosis.Moment) byte { return m.Raw[i/8] >> (i % 8) & 1 }
			n, long := 0, 0.0
			for k := 1; k < len(s.Moments); {
				if bit(s.Moments[k]) == bit(s.Moments[k-1]) {
					k++
					continue
				}
				at, was := s.Moments[k].At, bit(s.Moments[k-1])
				end := at
				for k < len(s.Moments) && s.Moments[k].At-end <= 9 {
					if bit(s.Moments[k]) != bit(s.Moments[k-1]) {
						end = s.Moments[k].At
					}
					k++
				}
				long = max(long, end-at)
				if bit(s.Moments[k-1]) != was {
					n++
				}
			}
			if bit(first) != 0 || n > 0 || bit(last) != 0 {
				fmt.Fprintf(&sb, "%d:%d%d%d ", i, bit(first), min(n, 3), bit(last))
			}
			if long > 28 {
				sb.WriteString("chatter ")
			}
		}
		for i := range first.Axes {
			a, z := int(first.Axes[i]), int(last.Axes[i])
			way := 0
			for k := 1; k < len(s.Moments); k++ {
				d := int(s.Moments[k].Axes[i]) - int(s.Moments[k-1].Axes[i])
				way += max(d, -d)
			}
			if way-max(a-z, z-a) > 3000 {
				sb.WriteString("rough ")
				continue
			}
			fmt.Fprintf(&sb, "a%d:%d>%d ", i, (a+2048)/4096, (z+2048)/4096)
		}
	}
	l := s.Lamp
	if l == "dim" {
		l = "lit"
	}
	return sb.String() + l
}

// result is how one case went.
type result struct {
	rank  int // 0 = first; -1 = not among the causes
	asked int
	kind  string
	sure  bool
	where string
}

// symptoms lists the acts of the sheet that show the faults.
func (b *bench) symptoms(t *testing.T, faults []diagnosis.Fault) ([]int, []string) {
	got := b.show(t, b.acts, faults...)
	var out []int
	for i := range got {
		if got[i] != b.rest[i] {
			out = append(out, i)
		}
	}
	return out, got
}

// try lets the diagnosis find faults: it is told the first act that shows them, or more of them until it sees something wrong, and then
// does what it asks for. False for faults that show in no act of the sheet, or that keep the panel from coming up at all.
func (b *bench) try(t *testing.T, faults []diagnosis.Fault, most int) (result, bool) {
	ks, truth := b.symptoms(t, faults)
	if len(ks) == 0 || truth == nil {
		return result{}, false
	}
	p, err := sim.New(b.r, faults...)
	if err != nil || p.Dead() {
		return result{}, false
	}
	s := b.m.Begin()
	do := func(a diagnosis.Act) {
		seen, err := p.Do(a)
		if err != nil {
			t.Fatalf("%s %v: %v: %v", b.name, faults, a, err)
		}
		s.Add(seen)
	}
	do(diagnosis.Act{Do: diagnosis.Rest})
	k := ks[0]
	for _, k = range ks {
		do(b.acts[k])
		if len(s.Causes(1)) > 0 {
			break
		}
	}
	r := result{rank: -1}
	for range most {
		a, ok := s.Next()
		if !ok {
			break
		}
		r.asked++
		do(a.Act)
		if os.Getenv("BENCH_TELL") != "" {
			t.Log("   asked ", a.Act, a.Bits)
		}
	}
	causes := s.Causes(30)
	above := 0
	for _, c := range causes {
		if sameFaults(c.Faults, faults) {
			r.rank = above
			break
		}
		if alike(b.show(t, b.acts, c.Faults...), truth) {
			r.rank = above
			break
		}
		above++
	}
	if os.Getenv("BENCH_TELL") != "" && r.rank != 0 {
		t.Log(b.name, faults, "rank", r.rank, "asked", r.asked, "symptom", b.acts[k], "\n    saw", truth[k], "\n    not", b.rest[k])
		for i, c := range causes {
			if i < 4 {
				t.Log("     ", c.P, c.Faults)
			}
		}
	}
	return r, true
}

func alike(a, b []string) bool { return slices.Equal(a, b) }

// sameFaults compares faults by kind and place; which of two is named first makes no difference where both are alike.
func sameFaults(a, b []diagnosis.Fault) bool {
	if len(a) != len(b) {
		return false
	}
	for _, x := range a {
		if !slices.ContainsFunc(b, func(y diagnosis.Fault) bool { return sameFault(x, y) }) {
			return false
		}
	}
	return true
}

func sameFault(a, b diagnosis.Fault) bool {
	if a.Kind != b.Kind {
		return false
	}
	switch a.Kind {
	case diagnosis.Swapped, diagnosis.Bridged, diagnosis.LinesSwapped:
		return a.A == b.A && a.B == b.B || a.A == b.B && a.B == b.A
	case diagnosis.OpenLead, diagnosis.ChainBroken, diagnosis.SupplyOff:
		return a.Wire == b.Wire && a.Wire != "" || a.A == b.A
	case diagnosis.LampTurned, diagnosis.LampDead, diagnosis.EndsSwapped, diagnosis.PhasesSwap, diagnosis.EncoderOpen, diagnosis.WiperOpen, diagnosis.Noisy, diagnosis.Detents:
		return a.Device == b.Device
	}
	return a.A == b.A && a.B == b.B && a.Device == b.Device
}

func benches(t *testing.T, names ...string) []*bench {
	var out []*bench
	for _, n := range examples.Names() {
		if len(names) > 0 && !slices.Contains(names, n) {
			continue
		}
		if b := open(t, n, examples.File(n)); b != nil {
			out = append(out, b)
		}
	}
	return out
}

// tally counts results.
type tally struct {
	cases, first, three, five, lost, asked int
	bad                                    map[string]int
}

func (y *tally) add(r result, kind string) {
	y.cases++
	y.asked += r.asked
	switch {
	case r.rank == 0:
		y.first++
	}
	if r.rank >= 0 && r.rank < 3 {
		y.three++
	}
	if r.rank >= 0 && r.rank < 5 {
		y.five++
	}
	if r.rank < 0 {
		y.lost++
	}
	if r.rank != 0 {
		if y.bad == nil {
			y.bad = map[string]int{}
		}
		y.bad[kind]++
	}
}

func (y *tally) String() string {
	if y.cases == 0 {
		return "no case"
	}
	n := float64(y.cases)
	return fmt.Sprintf("%d cases: first %.2f %%, in three %.2f %%, in five %.2f %%, not found %d, asked %.2f on average; not first by kind: %v", y.cases, 100*float64(y.first)/n, 100*float64(y.three)/n, 100*float64(y.five)/n, y.lost, float64(y.asked)/n, y.bad)
}

// Every single fault that the simulator can lay into the examples, found from its first symptom by what the diagnosis asks for.
func TestSingles(t *testing.T) {
	long := os.Getenv("BENCH") == "long"
	var all tally
	only := os.Getenv("BENCH_ONLY")
	for _, b := range benches(t) {
		if only != "" && !strings.HasPrefix(only, b.name) {
			continue
		}
		faults := sim.Faults(b.r)
		rnd := rand.New(rand.NewPCG(8, uint64(len(faults))))
		rnd.Shuffle(len(faults), func(i, j int) { faults[i], faults[j] = faults[j], faults[i] })
		if n := 60; !long && len(faults) > n {
			if len(b.acts) > 150 {
				n = 12
			}
			faults = faults[:n]
		}
		var y tally
		start := time.Now()
		hidden := 0
		for _, f := range faults {
			if only != "" && !strings.Contains(only, string(f.Kind)) && strings.Contains(only, ":") {
				continue
			}
			r, ok := b.try(t, []diagnosis.Fault{f}, 12)
			if !ok {
				hidden++
				continue
			}
			y.add(r, string(f.Kind))
			all.add(r, string(f.Kind))
		}
		t.Log(b.name, "faults", len(faults), "without a sign", hidden, y.String(), time.Since(start).Round(time.Millisecond))
	}
	t.Log("all:", all.String())
}
