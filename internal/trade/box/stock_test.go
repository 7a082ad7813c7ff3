package box_test

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// TestStockShort: a sheet on hand that is too small for one board is told with the line of the sheet, the board and what to buy; one
// that gives all says nothing; and a material of which nothing is on hand is told too.
func TestStockShort(t *testing.T) {
	for _, tc := range []struct {
		name, stock string
		heads       []string
	}{
		{"enough", "[{sheet: birch-ply-12mm, size: [1200, 600]}, {sheet: acrylic-3mm, size: [600, 300]}]", nil},
		{"too short", "[{sheet: acrylic-3mm, size: [600, 300]}, {sheet: birch-ply-9mm, size: [900, 900]}, {sheet: birch-ply-12mm, size: [280, 240], count: 2, name: shelf offcut}]", []string{"do not give the back, the base and the front"}},
		{"another sheet only", "[{sheet: acrylic-3mm, size: [600, 300]}, {sheet: birch-ply-9mm, size: [900, 900]}]", []string{"No sheet of Birch plywood, 12 mm, 9 plies is on hand"}},
		{"no stock", "[]", nil},
	} {
		src := strings.Replace(string(unheld("", "  ledge: {width: 18, height: 16}\n")), "  cable:", "  stock: "+tc.stock+"\n  cable:", 1)
		r := job.Run(project.Read("desk.yaml", []byte(src)), catalog.Builtin())
		fs := found(r, "box.stock-short")
		if len(fs) != len(tc.heads) {
			t.Errorf("%s: %v", tc.name, fs)
			continue
		}
		for i, f := range fs {
			if !strings.Contains(f.Head, tc.heads[i]) || !strings.Contains(f.Body, "Buy 1 sheet of Birch plywood, 12 mm") {
				t.Errorf("%s: %s %s", tc.name, f.Head, f.Body)
			}
			if len(f.Ends) != 2 || !strings.HasPrefix(f.Ends[0].Path, "box.stock") || f.Ends[0].Pos.Line == 0 || f.Ends[1].Pos.Line == 0 {
				t.Errorf("%s: %+v", tc.name, f.Ends)
			}
			if tc.name == "too short" && (f.Ends[0].Path != "box.stock.2" || f.Ends[0].Name != "the shelf offcut" || !strings.Contains(f.Body, "The largest on hand is 280 x 240 mm; the base wants 300 x 180 mm")) {
				t.Errorf("%s: %+v %s", tc.name, f.Ends, f.Body)
			}
		}
	}
}

// TestStockTooSmallIsChecked: without a cutting plan a board is told that comes out of no sheet on hand; one of which there are too few is not, and
// neither is a material of which there is none. Walls of 12 mm: front, back and base are 300 long, the sides 156.
func TestStockTooSmallIsChecked(t *testing.T) {
	for stock, want := range map[string]string{
		"[{sheet: birch-ply-12mm, size: [280, 240], count: 2, name: shelf offcut}]":                                  "No sheet of Birch plywood, 12 mm, 9 plies on hand is large enough for the front, the back and the base.",
		"[{sheet: birch-ply-12mm, size: [280, 240], name: shelf offcut}, {sheet: birch-ply-12mm, size: [310, 190]}]": "",
		"[{sheet: birch-ply-12mm, size: [190, 310]}]":                                                                "No sheet of Birch plywood, 12 mm, 9 plies on hand is large enough for the front, the back and the base.", // along the grain
		"[{sheet: acrylic-3mm, size: [190, 310]}]":                                                                   "",                                                                                                        // no grain
		"[{sheet: birch-ply-9mm, size: [900, 900]}]":                                                                 "",
		"[]": "",
	} {
		src := strings.Replace(string(unheld("", "  ledge: {width: 18, height: 16}\n")), "  cable:", "  stock: "+stock+"\n  cable:", 1)
		got := ""
		for _, f := range found(job.Check(project.Read("desk.yaml", []byte(src)), catalog.Builtin()), "box.stock-short") {
			got += f.Head
		}
		if got != want {
			t.Errorf("%s: %q, want %q", stock, got, want)
		}
	}
}
