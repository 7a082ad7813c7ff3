package face

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// row is a line of the reference table of control spacing.
type row struct {
	standard, a, b, basis, condition, provenance, confidence string
	least                                                    float64
}

func published(t *testing.T) []row {
	t.Helper()
	f, err := os.Open("testdata/control_spacing.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	recs, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, n := range recs[0] {
		col[n] = i
	}
	var rows []row
	for _, r := range recs[1:] {
		v, err := strconv.ParseFloat(r[col["min"]], 64)
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, row{
			standard: r[col["standard"]], a: r[col["control_a"]], b: r[col["control_b"]], basis: r[col["basis"]], condition: r[col["condition"]],
			provenance: r[col["provenance"]], confidence: r[col["confidence"]], least: v,
		})
	}
	return rows
}

var tableKinds = []kind{pushButton, toggle, knob, selector, keySwitch, rocker, thumbwheel, litLegend}

func isKind(s string) bool {
	for _, k := range tableKinds {
		if string(k) == s {
			return true
		}
	}
	return false
}

// Every published row of high confidence for one bare hand and one control at a time is the number in force, both ways round.
func TestRoomsArePublished(t *testing.T) {
	checked := 0
	for _, r := range published(t) {
		if r.confidence != "high" || !isKind(r.a) || !isKind(r.b) {
			continue
		}
		inGroup := false
		switch r.condition {
		case "general", "one hand", "single finger", "one hand, random order", "one hand, one knob at a time":
		case "single finger in sequence":
			inGroup = true
		default: // thumb or palm, two hands at once, lever locks: other ways of working
			continue
		}
		for _, ab := range [][2]string{{r.a, r.b}, {r.b, r.a}} {
			e, ok := fingerRoom(kind(ab[0]), kind(ab[1]), inGroup)
			if !ok {
				t.Errorf("%s: %s to %s is not in the table", r.standard, ab[0], ab[1])
				continue
			}
			if e.least != r.least {
				t.Errorf("%s: %s to %s (%s) wants %g, the table has %g", r.standard, ab[0], ab[1], r.condition, r.least, e.least)
			}
			if inGroup && (e.basis == middles) != (r.basis == "between_actuators") {
				t.Errorf("%s: %s to %s is measured %s", r.standard, ab[0], ab[1], r.basis)
			}
		}
		checked++
	}
	if checked < 40 {
		t.Errorf("only %d published rows were checked", checked)
	}
}

// Every line of the table stands in the reference under the source that it names, read or recalled as it says.
func TestRoomsNameTheirSource(t *testing.T) {
	standards := map[string]string{nureg.Text: "NUREG-0700 r3", mil7.Text: "MIL-STD-1472E", milSl.Text: "MIL-STD-1472E", milPb.Text: "MIL-STD-1472F", milTg.Text: "MIL-STD-1472F", milKn.Text: "MIL-STD-1472F"}
	rows := published(t)
	for _, e := range rooms {
		found := false
		for _, r := range rows {
			same := r.a == string(e.a) && r.b == string(e.b) || r.a == string(e.b) && r.b == string(e.a)
			seen := (r.provenance == "seen") == (e.source.Provenance == "seen")
			if same && seen && r.standard == standards[e.source.Text] && r.least == e.least && r.confidence == string(e.source.Confidence) {
				found = true
			}
		}
		if !found {
			t.Errorf("%s to %s: %g is not in %s", e.a, e.b, e.least, e.source.Text)
		}
	}
}

// Each pair of kinds has a line, so that no two listed kinds fall back on the rule for unlisted ones.
func TestRoomsAreComplete(t *testing.T) {
	for _, a := range tableKinds {
		for _, b := range tableKinds {
			if _, ok := fingerRoom(a, b, false); !ok {
				t.Errorf("no line for %s to %s", a, b)
			}
		}
	}
	names := map[string]bool{}
	for _, r := range Rules {
		for _, l := range r.Limits {
			if r.Name == ruleNeighbours.Name && names[l.Name] {
				t.Errorf("two limits are called %s", l.Name)
			}
			names[l.Name] = true
			if l.Name == "" || l.Means == "" || l.Source.Provenance == "" || l.Source.Confidence == "" {
				t.Errorf("the limit %q of %s says too little", l.Name, r.Name)
			}
		}
		if len(r.Explain) < 120 || r.Title == "" {
			t.Errorf("%s explains too little", r.Name)
		}
	}
}
