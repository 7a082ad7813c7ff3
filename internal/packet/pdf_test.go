package packet

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/thorough"
	"knobwright/internal/witness"
)

// papers are the names of the PDFs of a packet.
func papers(m made) []string {
	var out []string
	for _, d := range m.docs {
		if strings.HasSuffix(d.Name, ".pdf") {
			out = append(out, d.Name)
		}
	}
	return out
}

// fewer gives the examples and the variants that differ most from them; less every day, and least with -short.
func fewer() []string {
	if !thorough.Is() {
		return []string{"first-panel", "inches"}
	}
	return thorough.Of(append(examples.Names(), "inches", "words", "wooden"), []string{"first-panel", "lantern-desk", "inches", "wooden"})
}

func TestPDFsAreSound(t *testing.T) {
	prog := witness.Tool(t, "qpdf")
	for _, name := range fewer() {
		m := get(t, name)
		for _, p := range papers(m) {
			if out := witness.Run(t, prog, "--check", m.path(p)); !strings.Contains(out, "No syntax or stream encoding errors") {
				t.Errorf("%s %s: %s", name, p, out)
			}
		}
	}
}

// Paper sizes are held against ISO 216 and ANSI/ASME Y14.1, read from a table of both.
func TestPaperSizes(t *testing.T) {
	f, err := os.Open("testdata/paper.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][2]float64{}
	for _, r := range rows {
		if r[1] == "A4" || r[1] == "ANSI A (Letter)" {
			if r[10] != "high" {
				t.Fatalf("%v is not of high confidence", r)
			}
			w, _ := strconv.ParseFloat(r[4], 64)
			h, _ := strconv.ParseFloat(r[5], 64)
			want[r[1]] = [2]float64{w, h}
		}
	}
	for name, paper := range map[string]string{"cue-desk": "A4", "inches": "ANSI A (Letter)"} {
		m := get(t, name)
		for _, p := range papers(m) {
			for i, s := range pagesOf(t, m.path(p)) {
				w := want[paper]
				if s[0] > s[1] {
					w[0], w[1] = w[1], w[0]
				}
				if math.Abs(s[0]-w[0]) > 0.006 || math.Abs(s[1]-w[1]) > 0.006 {
					t.Errorf("%s %s page %d is %.3f by %.3f points; %s is %.3f by %.3f", name, p, i+1, s[0], s[1], paper, w[0], w[1])
				}
			}
		}
	}
}

// Every view says which side it shows, and no sheet of a panel with stops is without the word STOP.
func TestEveryPageSaysItsView(t *testing.T) {
	thorough.Only(t)
	for _, name := range append(fewer(), "stopped") {
		m := get(t, name)
		for _, p := range papers(m) {
			ws := wordsOf(t, m.path(p))
			pages := len(pagesOf(t, m.path(p)))
			for page := 1; page <= pages; page++ {
				has := map[string]int{}
				for _, w := range ws {
					if w.page == page {
						has[w.s]++
					}
				}
				switch p {
				case "rear.pdf":
					if has["REAR"] < 2 {
						t.Errorf("%s %s page %d: REAR stands %d times", name, p, page, has["REAR"])
					}
				case "template.pdf", "legends.pdf", "covering.pdf", "front.pdf":
					if has["FRONT"] < 2 || has["REAR"] > 0 {
						t.Errorf("%s %s page %d: FRONT stands %d times, REAR %d", name, p, page, has["FRONT"], has["REAR"])
					}
				}
				if d := newDesk(m.r, nil); d.stop != (has["STOP"] > 0) {
					t.Errorf("%s %s page %d: STOP stands %d times on a panel with %q", name, p, page, has["STOP"], d.state)
				}
			}
		}
	}
	if !newDesk(get(t, "stopped").r, nil).stop {
		t.Error("the panel with faults has no stop")
	}
}

// listed gathers the whole numbers that stand under a head of a printed list: aligned at their right edges with it, below it
// and above whatever head comes next in the same place. They come in reading order of pages, left column first.
func listed(ws []word, head string) []word {
	const small = 4.2 // heads are set in 9 point: their lines are lower than this, mm
	var out []word
	var heads []word
	for _, h := range ws {
		if (h.s == "job" || h.s == "hole") && h.y1-h.y0 < small && headLine(ws, h) {
			heads = append(heads, h)
		}
	}
	for _, h := range heads {
		if h.s != head {
			continue
		}
		floor := 0.0
		for _, w := range heads { // the next head of any list below
			if w.page == h.page && w.y1 < h.y0-0.5 && w.y1 > floor {
				floor = w.y1
			}
		}
		for _, w := range ws {
			if w.page != h.page || w.y1 > h.y0+1.5 || w.y0 < floor-1 || math.Abs(w.x1-h.x1) > 0.15 {
				continue
			}
			if _, err := strconv.Atoi(w.s); err == nil {
				out = append(out, w)
			}
		}
	}
	return out
}

// headLine reports whether a word stands in a line of heads: "for" and "across" follow it.
func headLine(ws []word, h word) bool {
	found := map[string]bool{}
	for _, w := range ws {
		if w.page == h.page && math.Abs(w.y0-h.y0) < 0.1 && w.x0 > h.x1 && w.x0 < h.x1+80 {
			found[w.s] = true
		}
	}
	return found["for"] && found["across"]
}

// rowOf joins the words that stand in one row with a word, up to a place across.
func rowOf(ws []word, at word, to float64) []string {
	var in []word
	for _, w := range ws {
		if w.page == at.page && math.Abs((w.y0+w.y1)-(at.y0+at.y1)) < 2.4 && w.x0 > at.x1-0.01 && w.x0 < to {
			in = append(in, w)
		}
	}
	sort.Slice(in, func(i, k int) bool { return in[i].x0 < in[k].x0 })
	var out []string
	for _, w := range in {
		out = append(out, w.s)
	}
	return out
}

// The printed schedule holds every job and every hole of the plan, each once, with its places; it is read back with a reader
// of other people.
func TestScheduleIsComplete(t *testing.T) {
	for _, name := range fewer() {
		m := get(t, name)
		all := wordsOf(t, m.path("drilling.pdf"))
		first := 1
		for _, sh := range sheetsOf(m.r, newDesk(m.r, nil)) {
			pages := len(schedule(sh.r, sh.d).Pages)
			var ws []word
			for _, w := range all {
				if w.page >= first && w.page < first+pages {
					ws = append(ws, w)
				}
			}
			first += pages
			if len(sh.r.Drilling.Jobs) > 0 {
				scheduleComplete(t, name+" "+sh.file, ws, sh)
			}
		}
		if n := len(pagesOf(t, m.path("drilling.pdf"))); n != first-1 {
			t.Errorf("%s: %d pages, the boards make %d", name, n, first-1)
		}
	}
}

// scheduleComplete holds the words on the pages of one board against its plan.
func scheduleComplete(t *testing.T, name string, ws []word, sh sheetOf) {
	t.Helper()
	plan, d := sh.r.Drilling, sh.d
	seen := map[int]int{}
	for _, w := range listed(ws, "job") {
		n, _ := strconv.Atoi(w.s)
		seen[n]++
		if n < 1 || n > len(plan.Jobs) {
			continue
		}
		j := plan.Jobs[n-1]
		row := strings.Join(rowOf(ws, w, w.x1+68), " ")
		want := d.coord(j.At.X) + " " + d.coord(j.At.Y)
		if !strings.HasPrefix(row, fmt.Sprint(j.Hole)+" ") || !strings.Contains(" "+row+" ", " "+want+" ") {
			t.Errorf("%s: job %d is printed as %q; it belongs to hole %d at %s", name, n, row, j.Hole, want)
		}
	}
	complete(t, name+": jobs", seen, len(plan.Jobs))

	seen = map[int]int{}
	for _, w := range listed(ws, "hole") {
		row := strings.Join(rowOf(ws, w, 500), " ")
		n, _ := strconv.Atoi(w.s)
		if n < 1 || n > len(plan.Holes) {
			seen[n]++
			continue
		}
		h := plan.Holes[n-1]
		if strings.Contains(row, strings.TrimSuffix(h.AsCut, " in")) && strings.Contains(row, h.Bit) {
			seen[n]++ // a row of the list of holes, not of the jobs
		}
	}
	complete(t, name+": holes", seen, len(plan.Holes))
}

func complete(t *testing.T, what string, seen map[int]int, n int) {
	t.Helper()
	for i := 1; i <= n; i++ {
		if seen[i] != 1 {
			t.Errorf("%s: number %d is printed %d times", what, i, seen[i])
		}
		delete(seen, i)
	}
	if len(seen) > 0 {
		t.Errorf("%s: printed beyond the plan: %v", what, seen)
	}
}
