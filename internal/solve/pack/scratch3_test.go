package pack

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

func stockPieces(t testing.TB, set, name string) (s Sheet, ps []Piece) {
	n := numbers(t, "guillotine-stock/"+set, name)
	s = Sheet{Width: float64(n[1]), Height: float64(n[2]), Count: Unlimited, Cost: 1}
	k := n[3]
	n = n[4:]
	for i := 0; i < k; i++ {
		ps = append(ps, Piece{Width: float64(n[0]), Height: float64(n[1]), Count: n[2]})
		n = n[3:]
	}
	if len(n) != 0 {
		t.Fatal(name, n)
	}
	return
}
func TestScratchStock(t *testing.T) {
	eff := Usual
	if os.Getenv("EFF") == "q" {
		eff = Quick
	}
	if os.Getenv("EFF") == "t" {
		eff = Thorough
	}
	for _, turn := range []bool{false, true} {
		for _, set := range []string{"CLASS", "A"} {
			if os.Getenv("SET") != "" && os.Getenv("SET") != set {
				continue
			}
			got, want, area, cnt, hit, bnd, ex := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
			t00 := time.Now()
			worst := time.Duration(0)
			for i, p := range publishedRows(t, "guillotine-stock/"+set) {
				if set == "CLASS" && os.Getenv("ALL") == "" && i%4 != 0 {
					continue
				}
				s, ps := stockPieces(t, set, p["instance"])
				col := "fixed"
				if turn {
					ps = turnable(ps)
					col = "rotated"
				}
				opt, _ := p.number("sheets_" + col)
				ab, _ := p.number("area_bound")
				t0 := time.Now()
				pl, err := Stock(ps, []Sheet{s}, Options{Effort: eff})
				if err != nil {
					t.Fatal(err)
				}
				el := time.Since(t0)
				worst = max(worst, el)
				if err := Check(ps, []Sheet{s}, Options{}, pl.Layouts); err != nil {
					t.Fatal(p["instance"], err)
				}
				n := len(pl.Layouts)
				if pl.Missing != nil {
					t.Fatal("missing")
				}
				if p["status_"+col] != "proven" {
					if set == "A" {
						fmt.Println(p["instance"], turn, "got", n, "bound", pl.Bound, el)
					}
					continue
				}
				fam := set
				if set == "CLASS" {
					fam = p["instance"][:5]
				}
				got[fam] += n
				want[fam] += int(opt)
				cnt[fam]++
				area[fam] += int(ab)
				bnd[fam] += int(math.Round(pl.Bound))
				if pl.Exact {
					ex[fam]++
				}
				if n == int(opt) {
					hit[fam]++
				} else if os.Getenv("V") != "" {
					fmt.Println(p["instance"], turn, "got", n, "opt", opt, "bound", pl.Bound, el)
				}
				if n < int(opt) || pl.Bound > opt {
					t.Error("below optimum", p["instance"], n, opt, pl.Bound)
				}
			}
			tg, tw := 0, 0
			for _, k := range strings.Fields("cl_01 cl_02 cl_03 cl_04 cl_05 cl_07 cl_08 cl_09 cl_10 A") {
				if cnt[k] > 0 {
					fmt.Printf("%s turn %v n=%d got %d opt %d bound %d area %d  hit %d exact %d gap %.2f%%\n", k, turn, cnt[k], got[k], want[k], bnd[k], area[k], hit[k], ex[k], (float64(got[k])/float64(want[k])-1)*100)
					tg += got[k]
					tw += want[k]
				}
			}
			fmt.Println(set, turn, tg, tw, time.Since(t00), "worst", worst)
		}
	}
}
