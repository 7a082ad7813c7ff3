package pack

import (
	"fmt"
	"testing"
	"time"
)

func TestScratchLag(t *testing.T) {
	for _, set := range []string{"unconstrained", "constrained", "ngcut"} {
		for _, p := range patterns(t, set) {
			for _, kerf := range []bool{false, true} {
				for _, turn := range []bool{false, true} {
					ps := p.pieces
					col := "optimum_fixed"
					if turn {
						ps = turnable(ps)
						col = "optimum_rotated"
					}
					if set == "ngcut" {
						col = "optimum_guillotine_computed"
						if turn || kerf {
							continue
						}
					}
					o := Options{}
					if kerf {
						k, ok := p.row.number("kerf")
						if !ok {
							k = 3
						}
						o.Kerf = k
						if set == "unconstrained" {
							col += "_kerf3"
						} else {
							col += "_kerf_computed"
						}
					} else if set == "constrained" && turn {
						col += "_computed"
					}
					opt, ok := p.row.number(col)
					if !ok {
						fmt.Println(p.name, col, "no value")
						opt = 1
					}
					t0 := time.Now()
					r, err := Guillotine(ps, p.sheet, o)
					if err != nil {
						t.Fatal(err)
					}
					err = Check(ps, []Sheet{p.sheet}, o, []Layout{r.Layout})
					fmt.Printf("%-8s %v %v opt %8.0f got %6.2f%% bnd %6.2f%% %v %v %v\n", p.name, turn, o.Kerf, opt, (r.Value/opt-1)*100, (r.Bound/opt-1)*100, r.Exact, err, time.Since(t0))
				}
			}
		}
	}
}
