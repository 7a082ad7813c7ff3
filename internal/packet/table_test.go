package packet

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// TestTwinLosesNothing: rows set in two columns stand all there, once, within their half of the page and above its foot, whatever their number.
func TestTwinLosesNothing(t *testing.T) {
	cols := []column{{w: 7, tick: true}, {head: "from", w: 25}, {head: "to", w: 27}, {head: "the meter", bold: true}}
	for _, n := range []int{1, 2, 16, 77, 78, 79, 200} {
		l := (desk{paper: paper{w: 210, h: 297}}).list(sheet{name: "Continuity"})
		half := l.half()
		var rows []row
		for i := range n {
			rows = append(rows, row{"x", fmt.Sprintf("pin %d", i), fmt.Sprintf("GO %d", i), "silent"})
		}
		l.twin(cols, rows)
		l.close()
		seen := map[string]int{}
		for _, p := range l.pages {
			for _, it := range p.Items {
				x, ok := it.(*drawing.Text)
				if !ok {
					continue
				}
				seen[x.S]++
				left := l.left()
				if x.At.X >= left+half+gridGap-1e-9 {
					left += half + gridGap
				}
				if end := x.At.X + drawing.TextWidth(x.Face, x.Size, x.S); end > left+half || x.At.Y < footY {
					t.Errorf("%d rows: %q at %v ends at %.1f, its column at %.1f", n, x.S, x.At, end, left+half)
				}
			}
		}
		for i := range n {
			if a, b := seen[fmt.Sprintf("pin %d", i)], seen[fmt.Sprintf("GO %d", i)]; a != 1 || b != 1 {
				t.Errorf("%d rows: row %d stands there %d times", n, i, a)
			}
		}
		if seen["silent"] != n || seen["from"] != 2*len(l.pages) {
			t.Errorf("%d rows: %d of them, %d heads on %d pages", n, seen["silent"], seen["from"], len(l.pages))
		}
	}
	l := (desk{paper: paper{w: 210, h: 297}}).list(sheet{})
	if l.halves(cols, row{"x", "a name that is much too long for it", "", ""}) || !l.halves(cols, row{"x", "pin 36", "GO no", "silent"}) {
		t.Error("what fits half the width is not told")
	}
}

// TestInchWindowsStandOnOneLine: the window of a hole in inches, of the widest digits, stands on one line of its column.
func TestInchWindowsStandOnOneLine(t *testing.T) {
	src := []byte("knobwright: 1\nunits: in\nface: {width: 6, height: 4, sheet: ply-1-4in, covering: paint-two-coats}\ncontrols: {go: {part: push-19mm, at: [3, 2]}}\n")
	r := job.Run(project.Read("panel.yaml", src), catalog.Builtin())
	l := newDesk(r, src).list(sheet{})
	l.holes(r)
	l.close()
	lines := 0
	for _, p := range l.pages {
		for _, it := range p.Items {
			if x, ok := it.(*drawing.Text); ok && strings.Contains(x.S, " to 0.") {
				lines++
			}
		}
	}
	if lines != 2*len(r.Drilling.Holes) {
		t.Errorf("%d windows of %d holes stand whole on a line", lines, len(r.Drilling.Holes))
	}
}
