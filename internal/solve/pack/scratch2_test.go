package pack

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

func stripPieces(t testing.TB, set, name string) (w int, h int, ps []Piece) {
	n := numbers(t, "strip-packing/"+set, name)
	if set == "BKW" {
		k := n[0]
		w, h = n[1], n[2]
		n = n[3:]
		for i := 0; i < k; i++ {
			ps = append(ps, Piece{Width: float64(n[1]), Height: float64(n[2]), Count: 1})
			n = n[3:]
		}
	} else {
		w, h = n[1], n[2]
		k := n[3]
		n = n[4:]
		for i := 0; i < k; i++ {
			ps = append(ps, Piece{Width: float64(n[0]), Height: float64(n[1]), Count: n[2]})
			n = n[3:]
		}
	}
	if len(n) != 0 {
		t.Fatal(name, n)
	}
	return
}
func TestScratchStrip(t *testing.T) {
	for _, turn := range []bool{false, true} {
		sum, cnt := map[string]float64{}, map[string]int{}
		for _, set := range []string{"BKW", "C", "TN"} {
			for _, p := range publishedRows(t, "strip-packing/"+set) {
				w, h, ps := stripPieces(t, set, p["instance"])
				if turn {
					ps = turnable(ps)
				}
				j, err := newJob(ps, []Sheet{{Width: float64(w), Height: 20000, Count: 1}}, Options{})
				if err != nil {
					t.Fatal(err)
				}
				t0 := time.Now()
				l := expand(j.items)
				a := 0
				for _, p := range l {
					a += p.w * p.h
				}
				s := newShelf(l, j.bins[0].w, (a+j.bins[0].w-1)/j.bins[0].w)
				s.search(100_000_000)
				g := (float64(s.length*j.unit)/float64(h*1000) - 1) * 100
				fam := set
				if set == "TN" {
					fam = p["instance"][:1]
				}
				sum[fam] += g
				cnt[fam]++
				fmt.Printf("%s %v %d %.2f%% %v; ", p["instance"], turn, len(l), g, time.Since(t0).Round(time.Millisecond))
				if strings.HasSuffix(p["instance"], "b") {
					fmt.Println()
				}
			}
		}
		fmt.Println()
		for k, v := range sum {
			fmt.Printf("%s mean %.2f%%\n", k, v/float64(cnt[k]))
		}
	}
}
