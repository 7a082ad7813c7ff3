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
	budget := int(100e6)
	for _, turn := range []bool{false, true} {
		for _, set := range []string{"CLASS", "A"} {
			got, want, area, cnt, hit := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
			t00 := time.Now()
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
				if p["status_"+col] != "proven" {
					continue
				}
				opt, _ := p.number("sheets_" + col)
				ab, _ := p.number("area_bound")
				j, err := newJob(ps, []Sheet{s}, Options{})
				if err != nil {
					t.Fatal(err)
				}
				t0 := time.Now()
				l := expand(j.items)
				v := []float64{}
				for _, p := range l {
					v = append(v, float64(p.w*p.h))
				}
				r := newRepacker(j, l, v)
				r.start()
				n := len(r.now.planks)
				for r.work < budget && float64(n) > opt {
					r.shrink(float64(n-1) + 0.5)
					if !r.search(budget-r.work, math.MaxInt) {
						break
					}
					n = len(r.best.planks)
					r.now = r.best.clone()
				}
				fam := set
				if set == "CLASS" {
					fam = p["instance"][:5]
				}
				got[fam] += n
				want[fam] += int(opt)
				cnt[fam]++
				area[fam] += int(ab)
				if n == int(opt) {
					hit[fam]++
				} else if os.Getenv("V") != "" {
					fmt.Println(p["instance"], n, opt, ab, time.Since(t0))
				}
				if n < int(opt) {
					t.Error("below optimum", p["instance"], n, opt)
				}
			}
			tg, tw := 0, 0
			for _, k := range strings.Fields("cl_01 cl_02 cl_03 cl_04 cl_05 cl_07 cl_08 cl_09 cl_10 A") {
				if cnt[k] > 0 {
					fmt.Printf("%s turn %v n=%d got %d opt %d area %d  hit %d  gap %.2f%%\n", k, turn, cnt[k], got[k], want[k], area[k], hit[k], (float64(got[k])/float64(want[k])-1)*100)
					tg += got[k]
					tw += want[k]
				}
			}
			fmt.Println(set, turn, tg, tw, time.Since(t00))
		}
	}
}
