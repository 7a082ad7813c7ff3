package pack

import (
	"fmt"
	"testing"
	"time"
)

func TestScratchDP(t *testing.T) {
	for _, p := range patterns(t, "unconstrained") {
		for _, turn := range []bool{false, true} {
			ps := p.pieces
			col := "optimum_fixed"
			if turn {
				ps = turnable(ps)
				col = "optimum_rotated"
			}
			j, err := newJob(ps, []Sheet{p.sheet}, Options{})
			if err != nil {
				t.Fatal(err)
			}
			t0 := time.Now()
			x, y := axes(j.items, j.bins[0].w, j.bins[0].h, 100000);x,y=x.needed(),y.needed()
			r := newRecursion(j.items, x, y)
			v, _ := r.solve(nil)
			b := r.whole()
			l := j.layout(b, 0, ps, []Sheet{p.sheet})
			err = Check(ps, []Sheet{p.sheet}, Options{}, []Layout{l})
			fmt.Println(p.name, turn, len(x.pts), len(y.pts), v, p.row[col], b.value(j.items), time.Since(t0), err, len(l.Cuts()), l.Settings())
		}
	}
}
