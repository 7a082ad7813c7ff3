package catalog

import (
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/length"
	"knobwright/internal/trust"
	"knobwright/internal/witness"
)

// Holes and key notches against IEC 60947-5-1 and the other cut-outs of the reference table.
func TestHolesAgainstTable(t *testing.T) {
	parts := map[string][]string{
		"D12": {"push-12mm", "push-12mm-lit", "lamp-pilot-12mm"}, "D16": {"push-16mm", "push-16mm-keyed", "key-16mm", "lamp-pilot-16mm"},
		"D22": {"push-22mm", "push-22mm-block", "key-22mm", "buzzer-22mm", "lamp-pilot-22mm"}, "D30": {"push-30mm", "push-30mm-lit-latching"},
		"rocker_small": {"rocker-19x13", "rocker-19x13-lit"}, "usb_d_size": {"usb-b-dsize", "ethernet-dsize"},
	}
	seen := map[string]int{}
	for _, r := range witness.Table(t, "testdata/cutouts.csv") {
		if r["confidence"] == "low" {
			continue
		}
		want := witness.Number(t, r["value"])
		for _, id := range parts[r["size"]] {
			p, ok := Builtin().Part(id)
			if !ok {
				t.Fatal(id)
			}
			near := func(what string, got float64, tol float64) {
				t.Helper()
				seen[r["parameter"]]++
				if math.Abs(got-want) > tol {
					t.Errorf("%s: %s is %v, the table has %v", id, what, got, want)
				}
			}
			switch r["parameter"] {
			case "hole_diameter":
				near("hole", p.Hole.Nominal(), 1e-9)
				if r["confidence"] == "high" && (p.Hole.Tol[0].MM() != 0 || p.Hole.Tol[1].MM() != witness.Number(t, r["tol_plus"])) {
					t.Errorf("%s: tolerance %v, the table has +%s", id, p.Hole.Tol, r["tol_plus"])
				}
			case "key_recess_height_from_opposite_side":
				if p.Hole.Notch != nil {
					near("notch height", p.Hole.Notch.Height.MM(), 1e-9)
				}
			case "key_recess_width":
				if p.Hole.Notch != nil {
					near("notch width", p.Hole.Notch.Width.MM(), 1e-9)
				}
			case "cutout_height": // the table lies the rocker down
				near("cut-out", p.Hole.Rect[0].MM(), 1e-9)
			case "cutout_width":
				near("cut-out", p.Hole.Rect[1].MM(), 1e-9)
			case "panel_thickness_min":
				if id == "push-16mm" {
					near("least grip", p.Grip[0].MM(), 1e-9)
				}
			case "panel_thickness_max":
				if id == "push-16mm" {
					near("most grip", p.Grip[1].MM(), 1e-9)
				}
			}
		}
	}
	for _, k := range []string{"hole_diameter", "key_recess_height_from_opposite_side", "key_recess_width", "cutout_width", "panel_thickness_max"} {
		if seen[k] == 0 {
			t.Errorf("nothing was compared with %s", k)
		}
	}
}

// Threads and the holes for them, every bushed part against the table of bushes.
func TestBushesAgainstTable(t *testing.T) {
	rows := map[string]map[string]string{}
	for _, r := range witness.Table(t, "testdata/bushings.csv") {
		rows[r["thread"]] = r
	}
	n := 0
	for _, id := range Builtin().PartIDs() {
		p, _ := Builtin().Part(id)
		r, ok := rows[p.Thread.Size]
		if id == "pot-22mm-10turn" {
			r = rows["3/8-32 UNEF with 10.31 mm boss"]
		}
		if !ok || !p.SeatsRear() {
			continue
		}
		n++
		if d := math.Abs(p.Thread.Major.MM() - witness.Number(t, r["major_mm"])); d > 1e-3 {
			t.Errorf("%s: thread %s is %v over the crests, the table has %s", id, p.Thread.Size, p.Thread.Major, r["major_mm"])
		}
		if d := math.Abs(p.Thread.Pitch.MM() - witness.Number(t, r["pitch_mm"])); d > 1e-6 {
			t.Errorf("%s: pitch %v, the table has %s", id, p.Thread.Pitch, r["pitch_mm"])
		}
		// The hole from memory wanders with the shop; the one that was seen does not.
		tol := 0.1
		if r["panel_hole_provenance"] == "seen" {
			tol = 1e-9
		}
		if d := math.Abs(p.Hole.Nominal() - witness.Number(t, r["panel_hole_mm"])); d > tol {
			t.Errorf("%s: hole %v, the table has %s", id, p.Hole.Nominal(), r["panel_hole_mm"])
		}
	}
	if n < 40 {
		t.Errorf("only %d parts were compared", n)
	}
}

// Depth with lugs, without wire, in the ranges that trade practice gives for the classes (low confidence: a range).
func TestDepthsPlausible(t *testing.T) {
	for _, x := range []struct {
		prefix string
		lo, hi float64
	}{
		{"toggle-mini", 17, 27}, {"toggle-std", 34, 42}, {"push-16mm", 25, 35}, {"push-22mm-block", 49, 60}, {"key-", 30, 58},
		{"encoder-m7", 10, 13}, {"encoder-m9", 10, 15}, {"pot-9mm", 10, 14}, {"pot-16mm", 11, 20}, {"push-large", 30, 62},
		{"push-12mm", 20, 35}, {"push-22mm", 28, 60}, {"jack-3.5mm", 12, 16}, {"jack-6.35mm", 25, 35},
	} {
		n := 0
		for _, id := range Builtin().PartIDs() {
			if !strings.HasPrefix(id, x.prefix) {
				continue
			}
			n++
			p, _ := Builtin().Part(id)
			if d := p.LugDepth(); d < x.lo || d > x.hi {
				t.Errorf("%s: %v mm deep with lugs, %v to %v are usual", id, d, x.lo, x.hi)
			}
		}
		if n == 0 {
			t.Errorf("no part begins with %s", x.prefix)
		}
	}
	// The wire bend takes 15 to 20 mm more.
	for _, id := range Builtin().PartIDs() {
		p, _ := Builtin().Part(id)
		for _, s := range p.Rear {
			if s.Role != "bend" {
				continue
			}
			out := math.Max(s.Z[1].MM()-s.Z[0].MM(), s.Outline().Bounds().Size().Y) // backwards, or sideways from a pot
			if out < 14.9 || (p.Class != SlidePot && s.Z[1].MM()-s.Z[0].MM() > 21) {
				t.Errorf("%s: the bend of its wires takes %v", id, s.Z)
			}
		}
	}
}

// Forces of built-in parts against MIL-STD-1472 (figures from memory) and the operating force of the ADAAG manual.
func TestForcesPlausible(t *testing.T) {
	row := map[string][2]float64{}
	for _, r := range witness.Table(t, "testdata/control_dimensions.csv") {
		lo, hi := 0.0, 0.0
		if r["min"] != "" {
			lo = witness.Number(t, r["min"])
		}
		if r["max"] != "" {
			hi = witness.Number(t, r["max"])
		}
		row[r["control"]+"/"+r["parameter"]] = [2]float64{lo, hi}
	}
	key, push, toggle, any := row["key/force"], row["push_button/fingertip_resistance_single"], row["toggle/resistance_large"], row["any_control/accessible_operating_force"]
	if push[1] != 11 || toggle[0] != 2.8 || any[1] != 22.2 || key[0] != 0.25 {
		t.Fatal("the table has changed: ", push, toggle, any, key)
	}
	for _, id := range Builtin().PartIDs() {
		p, _ := Builtin().Part(id)
		lo, hi := 0.0, any[1]
		switch p.Class {
		case Push:
			lo, hi = key[0], push[1] // large ones with micro switches are as light as keys
		case Toggle:
			lo, hi = toggle[0], toggle[1]
		case Rocker, Slide, Key, SlidePot:
			lo = key[0]
		}
		if p.Force < lo || p.Force > hi {
			t.Errorf("%s: %v N, %v to %v are plausible", id, p.Force, lo, hi)
		}
	}
}

// reaches are the kinds of control in the finger-room tables of MIL-STD-1472E and NUREG-0700.
var reaches = []string{"push_button", "toggle", "rotary_selector", "continuous_rotary", "key_operated", "slide_or_rocker", "thumbwheel", "legend_switch"}

// A built-in record says all that its class needs.
func TestRecordsComplete(t *testing.T) {
	c := Builtin()
	if n := len(c.PartIDs()); n < 100 {
		t.Errorf("only %d parts", n)
	}
	titles := map[string]string{}
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		if was, ok := titles[p.Title]; ok {
			t.Errorf("%s and %s are both called %q", was, id, p.Title)
		}
		titles[p.Title] = id
		need := func(ok bool, what string) {
			t.Helper()
			if !ok {
				t.Errorf("%s: %s is missing", id, what)
			}
		}
		works := !slices.Contains([]Class{Lamp, Display, Socket, Buzzer, Plug, ModuleBrd}, p.Class)
		need(p.Title != "", "title")
		need(p.Mass > 0, "mass")
		need(p.Price.To > 0 && p.Price.Pack > 0 && p.Price.Currency != "", "price")
		need(len(p.Rear) > 0, "rear")
		need(p.Class == Plug || len(p.Lugs) > 0, "lugs")
		need(p.Class == Plug || p.Contacts != "" || p.Class == Lamp, "contacts")
		need(p.Class == ModuleBrd || p.Grip[1] > 0, "grip")
		need(p.Class == ModuleBrd || p.Hole.What != "", "what the hole is")
		need(p.Heat != "" || p.Class == Plug || strings.HasPrefix(id, "usb-") || strings.HasPrefix(id, "ethernet"), "heat")
		need(works == (p.Reach != ""), "reach, or it has one too many")
		need(p.Reach == "" || slices.Contains(reaches, p.Reach), "a known reach")
		if p.Nut.Side != "" {
			need(p.Nut.Flats > 0 && p.Nut.Thickness > 0 && p.Nut.Tool != "" && p.Nut.ToolRoom > 0 && p.Nut.Shape != "", "part of the nut")
			need(p.Thread.Size != "" && p.Thread.Major > 0 && p.Thread.Pitch > 0 && p.Thread.Length > 0, "part of the thread")
		} else if p.SeatsRear() && !p.noHole() && p.Class != Lamp && id != "buzzer-12mm" {
			need(slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Screw != "" }), "what holds it")
		}
		roles := map[string]bool{}
		for _, s := range slices.Concat(p.Front, p.Rear) {
			roles[s.Role] = true
		}
		switch p.Class {
		case Push:
			need(p.Action != "" && p.Force > 0 && roles["cap"] && roles["lugs"] && roles["bend"], "action, force, cap, lugs or bend")
			need(strings.Contains(id, "lit") == (p.Lamp.Rated > 0), "lamp of a lit push")
			need(strings.HasSuffix(id, "latching") == (p.Action == "latching"), "latching")
		case Toggle:
			need(roles["lever"] && roles["sweep"] && p.Positions >= 2 && p.Action != "", "lever, sweep or positions")
			need(strings.Contains(id, "guarded") == roles["guard"], "guard")
		case Rocker, Slide, Key:
			need(p.Positions >= 2 && p.Action != "" && p.Force > 0, "positions, action or force")
		case Rotary:
			need(roles["knob"] && p.Positions >= 3 && p.Shaft.Diameter > 0 && p.Shaft.Form != "" && p.Shaft.Length > 0, "knob, positions or shaft")
		case Encoder:
			need(roles["knob"] && p.Pulses > 0 && p.Detents > 0, "knob, pulses or clicks")
			need(!strings.Contains(id, "push") == (len(p.Lugs) == 3) || strings.Contains(id, "wheel"), "lugs for the push")
			need(p.Push == strings.Contains(id, "push"), "push")
		case Pot, SlidePot:
			need(p.Track != "" && len(p.Lugs)%3 == 0, "track or lugs")
		case Lamp:
			need(p.Lamp.Drop > 0 && p.Lamp.Current > 0 && p.Lamp.Colour != "", "lamp")
		}
		if p.Lamp.Rated > 0 {
			need(len(p.Lugs) >= 3 || p.Class == Lamp, "lugs for contact and lamp")
		}
		if lit := p.Lamp.Rated > 0 && p.Class == Push; lit {
			plain, ok := c.Part(strings.Replace(id, "-lit", "", 1))
			need(ok && len(p.Lugs) == len(plain.Lugs)+2, "two lamp lugs beside those of the plain part "+plain.ID)
		}
		for f, s := range p.Trust {
			need(s.Text != "" && slices.Contains([]trust.Provenance{trust.Seen, trust.Derived, trust.Practice, trust.Memory}, s.Provenance) &&
				slices.Contains([]trust.Confidence{trust.High, trust.Medium, trust.Low}, s.Confidence), "a known trust of "+f)
		}
	}
}

// Encoders: the pairs of pulses and clicks that the trade sells.
func TestEncoderPairs(t *testing.T) {
	for id, want := range map[string][2]int{
		"encoder-m7": {24, 24}, "encoder-m7-half": {12, 24}, "encoder-m7-12": {12, 12}, "encoder-m7-20": {20, 20}, "encoder-m7-30": {15, 30},
		"encoder-m9-push": {24, 24}, "encoder-m9-push-30": {15, 30}, "encoder-wheel-60mm": {100, 100},
	} {
		if p, ok := Builtin().Part(id); !ok || p.Pulses != want[0] || p.Detents != want[1] {
			t.Errorf("%s: %d pulses, %d clicks, want %v", id, p.Pulses, p.Detents, want)
		}
	}
}

// Lists go by trade class, in the order of Classes, and within a family by size.
func TestOrder(t *testing.T) {
	c := Builtin()
	last := 0
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		i := slices.Index(Classes, p.Class)
		if i < last {
			t.Errorf("%s (%s) stands behind a later class", id, p.Class)
		}
		last = i
	}
	kinds, size := []string{}, 0.0
	for _, id := range c.SheetIDs() {
		s, _ := c.Sheet(id)
		family := strings.SplitN(id, "-", 2)[0]
		if len(kinds) == 0 || kinds[len(kinds)-1] != family {
			if slices.Contains(kinds, family) {
				t.Errorf("%s stands away from its family", id)
			}
			kinds, size = append(kinds, family), 0
		}
		if s.Nominal.MM() <= size {
			t.Errorf("%s is out of order", id)
		}
		size = s.Nominal.MM()
	}
	for _, f := range []string{"push-12mm push-16mm push-19mm push-22mm push-24mm push-28mm push-30mm", "pot-9mm pot-16mm pot-24mm", "plug-12mm plug-16mm plug-30mm"} {
		at := -1
		for _, id := range strings.Fields(f) {
			i := slices.Index(c.PartIDs(), id)
			if i <= at {
				t.Errorf("%s is out of order", id)
			}
			at = i
		}
	}
}

// Plywood as it really comes: EN 315 and what shops sell in inches.
func TestPlywoodAgainstTable(t *testing.T) {
	ids := map[string]string{"6.35": "ply-1-4in", "9.52": "ply-3-8in", "12.7": "ply-1-2in"}
	n := 0
	for _, r := range witness.Table(t, "testdata/plywood_thickness.csv") {
		id := ids[r["nominal"]]
		if r["product"] == "birch_plywood" {
			id = "birch-ply-" + r["nominal"] + "mm"
		}
		s, ok := Builtin().Sheet(id)
		if !ok || r["confidence"] != "high" {
			continue
		}
		n++
		if math.Abs(s.Thickness()-witness.Number(t, r["actual"])) > 1e-9 {
			t.Errorf("%s is %v, the table has %s", id, s.Thickness(), r["actual"])
		}
		if r["lower"] != "" {
			if math.Abs(s.Thickness()+s.Tol[0].MM()-witness.Number(t, r["lower"])) > 1e-6 || math.Abs(s.Thickness()+s.Tol[1].MM()-witness.Number(t, r["upper"])) > 1e-6 {
				t.Errorf("%s: %v %v, the table has %s to %s", id, s.Thickness(), s.Tol, r["lower"], r["upper"])
			}
			if s.Density != witness.Number(t, r["density_kg_m3"]) {
				t.Errorf("%s: density %v, the table has %s", id, s.Density, r["density_kg_m3"])
			}
		}
	}
	if n != 8 {
		t.Errorf("%d boards compared, 8 expected", n)
	}
}

// Densities of the other sheets.
func TestDensitiesAgainstTable(t *testing.T) {
	row := map[string]float64{}
	for _, r := range witness.Table(t, "testdata/materials.csv") {
		if r["property"] == "density" && r["confidence"] == "high" {
			row[r["material"]] = witness.Number(t, r["value"])
		}
	}
	for id, m := range map[string]string{"acrylic-3mm": "acrylic_cast", "polycarbonate-2mm": "polycarbonate", "abs-3mm": "ABS", "aluminium-2mm": "aluminium_5052_H32", "steel-1mm": "mild_steel_A36"} {
		if s, ok := Builtin().Sheet(id); !ok || row[m] == 0 || s.Density != row[m] {
			t.Errorf("%s: density %v, the table has %v", id, s.Density, row[m])
		}
	}
}

// Number, letter and fraction drills against ANSI/ASME B94.11M, the metric ones against the steps of ISO 235.
func TestDrillsAgainstTable(t *testing.T) {
	rows := map[string]map[string]float64{}
	for _, r := range witness.Table(t, "testdata/drills.csv") {
		if rows[r["series"]] == nil {
			rows[r["series"]] = map[string]float64{}
		}
		rows[r["series"]][r["designation"]] = witness.Number(t, r["dia_in"]) * length.PerInch
	}
	for id, x := range map[string]struct {
		series string
		n      int
	}{"twist-number": {"number", 80}, "twist-letter": {"letter", 26}, "twist-fractional": {"fraction", 29}} {
		s, _ := Builtin().BitSet(id)
		bits := s.Bits()
		if len(bits) != x.n {
			t.Errorf("%s has %d bits, want %d", id, len(bits), x.n)
		}
		for _, b := range bits {
			want, ok := rows[x.series][strings.TrimSuffix(b.Name, " in")]
			if !ok {
				t.Errorf("%s: %s is not in the table", id, b.Name)
			}
			if tol := 0.0000508 * 25.4; math.Abs(b.Diameter-want) > tol+1e-9 { // the table gives fractions to four places
				t.Errorf("%s: %s is %v, the table has %v", id, b.Name, b.Diameter, want)
			}
		}
	}
	for _, id := range []string{"twist-metric-0.5", "twist-metric-0.1", "twist-metric-plain"} {
		s, _ := Builtin().BitSet(id)
		for _, b := range s.Bits() {
			if _, ok := rows["metric"][length.Plain(b.Diameter)+" mm"]; !ok {
				t.Errorf("%s: %s is no step of the metric series", id, b.Name)
			}
		}
	}
}

// Names and steps of bits as a person calls them.
func TestBitNames(t *testing.T) {
	for id, want := range map[string][]string{
		"twist-metric-0.5": {"1.0 mm", "1.5 mm", "13.0 mm"}, "twist-fractional": {"1/16 in", "5/64 in", "1/2 in"}, "twist-number": {"#80", "#79", "#1"},
		"twist-letter": {"A", "B", "Z"}, "step-4-20": {"step 4-20", "step 4-20", "step 4-20"}, "step-1-4-1-3-8in": {"step 1/4-1 3/8 in", "step 1/4-1 3/8 in", "step 1/4-1 3/8 in"},
		"hole-saws-inch": {"5/8 in", "3/4 in", "1 1/2 in"}, "hole-saws-plastic": {"16.0 mm", "17.0 mm", "40.0 mm"},
	} {
		s, ok := Builtin().BitSet(id)
		if !ok {
			t.Fatal(id)
		}
		bs := s.Bits()
		got := []string{bs[0].Name, bs[1].Name, bs[len(bs)-1].Name}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
		for i, b := range bs {
			if b.Set != id || b.Kind != s.Kind || i > 0 && b.Diameter <= bs[i-1].Diameter {
				t.Errorf("%s: %+v", id, b)
			}
		}
	}
	s, _ := Builtin().BitSet("step-6-30")
	if bs := s.Bits(); len(bs) != 13 || bs[12].Diameter != 30 || bs[3].StepHeight != 5 {
		t.Errorf("step-6-30: %+v", bs)
	}
}
