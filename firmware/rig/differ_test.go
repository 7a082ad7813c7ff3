package rig

import (
	"bufio"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/thorough"
)

// long says whether the whole of what takes long is asked for: RIG=long.
func long() bool { return os.Getenv("RIG") == "long" }

// story is what became of each control over a random run.
type story map[string][]string

// randomRun moves contacts, shafts and slides at random, one at a time, for a number of ticks, and tells what the host heard of each
// control. Chips look at different moments, so the order between controls is not compared, nor the way of a slide before it is at rest.
func randomRun(d *device, seed uint64, ticks int, contacts []int, shafts [][2]int, axes map[int]string) story {
	d.t.Helper()
	r := rand.New(rand.NewPCG(seed, 1))
	s := story{}
	note := func() {
		for _, c := range d.seen {
			name, value, ok := strings.Cut(c, "=")
			if !ok { // relative
				name, value = c[:len("Wheel")], c[len("Wheel"):]
			}
			slide := false
			for _, a := range axes {
				slide = slide || a == name
			}
			if !slide {
				s[name] = append(s[name], value)
			}
		}
		d.changes()
	}
	closed := map[int]bool{}
	for left := ticks * deskTick / 1000; left > 0; {
		ms := 0
		switch k := r.IntN(10); {
		case k < 7 || len(shafts) == 0 && len(axes) == 0:
			raw := contacts[r.IntN(len(contacts))]
			closed[raw] = !closed[raw]
			d.set(raw, closed[raw])
			ms = 8 + r.IntN(8)
		case k < 9 && len(shafts) > 0:
			e := shafts[r.IntN(len(shafts))]
			quarters := r.IntN(9) - 4
			us := 1500 + r.IntN(3)*500
			d.turn(e[0], e[1], quarters, us)
			left -= max(quarters, -quarters) * us / 1000
			ms = 16 // a detent back takes away a pulse that waits: let none wait
		case len(axes) > 0:
			names := slices.Sorted(maps.Keys(axes))
			a := names[r.IntN(len(names))]
			d.say(d.w.Voltage(a, r.IntN(9)*8000))
			ms = 20
		}
		d.listen(ms)
		left -= ms
		note()
	}
	d.listen(60)
	note()
	sums := 0
	for _, v := range s["Wheel"] {
		var n int
		fmt.Sscan(v, &n)
		sums += n
	}
	s["Wheel"] = []string{fmt.Sprint(sums)}
	for axis, name := range axes {
		for k := range 4 { // at its ends, and between
			d.say(d.w.Voltage(axis, []int{0, 65535, 20000, 50000}[k]))
			d.listen(80)
			s[name] = append(s[name], fmt.Sprint(d.on[name]/16)) // chips convert to 10 or 12 bits
		}
	}
	d.changes()
	return s
}

// TestSameOnAll plays the same random run on every back end; the PC is what the others are compared with.
func TestSameOnAll(t *testing.T) {
	t.Parallel()
	ticks := thorough.Of(240, 150)
	if long() {
		ticks = 4000
	}
	panels := []struct {
		name     string
		fixture  func(testing.TB, firmware.Chip) *fixture
		contacts []int
		shafts   [][2]int
		axes     map[int]string
	}{
		{"desk", desk, []int{deskPush, deskHeld, deskPulse, deskUp, deskDown, deskStable, deskNC}, [][2]int{{deskA, deskB}, {deskWheelA, deskWheelB}, {deskDialA, deskDialB}}, map[int]string{0: "Slider"}},
		{"wall", wall, slices.Concat(ints(wallMatrix, 16), ints(wallChain, 16), ints(wallFirst, 16), ints(wallSecond, 8)), nil, nil},
	}
	for n, p := range panels {
		t.Run(p.name, func(t *testing.T) {
			var want story
			each(t, func(t *testing.T, m maker) {
				d := plugged(t, m, p.fixture(t, m.chip))
				got := randomRun(d, uint64(n)+7, ticks, p.contacts, p.shafts, p.axes)
				if want == nil {
					want = got
					moved := 0
					for _, v := range got {
						moved += len(v)
					}
					if moved < ticks/60 {
						t.Errorf("only %d changes", moved)
					}
					t.Logf("%d changes of %d controls in %d ticks", moved, len(got), ticks)
					return
				}
				differences := 0
				for _, name := range slices.Sorted(maps.Keys(merge(want, got))) {
					if !slices.Equal(want[name], got[name]) {
						differences++
						t.Errorf("%s: %v; on the PC %v", name, got[name], want[name])
					}
				}
				t.Logf("%d ticks, %d differences", ticks, differences)
				d.clean()
			})
		})
	}
}

func merge(a, b story) story {
	out := story{}
	maps.Copy(out, a)
	maps.Copy(out, b)
	return out
}

// gray is the published table of steps: old state, new state, step.
func gray(t *testing.T) map[[2]int]int {
	f, err := os.Open("../testdata/quadrature.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[[2]int]int{}
	lines := bufio.NewScanner(f)
	lines.Scan()
	for lines.Scan() {
		var old, now, step int
		if _, err := fmt.Sscanf(strings.ReplaceAll(lines.Text(), ",", " "), "%b %b %d", &old, &now, &step); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(lines.Text(), ",valid,") {
			out[[2]int{old, now}] = step
		}
	}
	if len(out) != 12 {
		t.Fatalf("%d steps", len(out))
	}
	return out
}

// TestWalks takes a sample of the legal walks of twelve steps of a shaft, with pauses, on each back end; the core's own tests take all of
// them. What the wheel gives in all must be what the published table counts, in whole detents from one rest to the next.
func TestWalks(t *testing.T) {
	t.Parallel()
	steps := gray(t)
	walks := 25
	if long() {
		walks = 300
	}
	each(t, func(t *testing.T, m maker) {
		d := plugged(t, m, desk(t, m.chip))
		r := rand.New(rand.NewPCG(3, 4))
		state, sum, heard := 0, 0, 0
		hear := func(n int) {
			d.listen(n)
			for _, c := range d.seen {
				var v int
				if _, err := fmt.Sscanf(c, "Wheel%d", &v); err == nil {
					heard += v
				}
			}
			d.changes()
		}
		for walk := range walks {
			way := 1 + 2*(walk%2) // most steps go one way, and walks take turns
			for range 12 {
				next := state ^ []int{1, 2, 0}[r.IntN(3)] // one contact moves, or none
				if r.IntN(3) > 0 {
					next = []int{0, 1, 3, 2}[([]int{0, 1, 3, 2}[state]+way)&3]
				}
				sum += steps[[2]int{state, next}]
				state = next
				d.set(deskWheelA, state&2 != 0)
				d.set(deskWheelB, state&1 != 0)
				d.say("run 700")
			}
			for state != 0 { // on to a rest, one contact at a time
				next := state & (state - 1)
				sum += steps[[2]int{state, next}]
				state = next
				d.set(deskWheelA, state&2 != 0)
				d.set(deskWheelB, state&1 != 0)
				d.say("run 700")
			}
			hear(6)
			if sum%4 != 0 || heard != sum/4 {
				t.Fatalf("walk %d: %d detents; the table counts %d steps", walk, heard, sum)
			}
		}
		t.Logf("%d walks, %d detents", walks, heard)
	})
}
