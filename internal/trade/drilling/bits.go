package drilling

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
)

// kinds are all kinds of bit, in a fixed order.
var kinds = [...]catalog.BitKind{catalog.Twist, catalog.BradPoint, catalog.Step, catalog.Forstner, catalog.HoleSaw, catalog.Spade}

// drawer holds the person's bits by kind, smallest first. Bits of one diameter keep their order.
type drawer [len(kinds)][]catalog.Bit

func newDrawer(bits []catalog.Bit) *drawer {
	var dr drawer
	for i, k := range kinds {
		for _, b := range bits {
			if b.Kind == k && sane(b.Diameter) {
				dr[i] = append(dr[i], b)
			}
		}
		slices.SortStableFunc(dr[i], func(a, b catalog.Bit) int { return cmp.Compare(a.Diameter, b.Diameter) })
	}
	return &dr
}

func (dr *drawer) of(k catalog.BitKind) []catalog.Bit {
	if i := slices.Index(kinds[:], k); i >= 0 {
		return dr[i]
	}
	return nil
}

// near is how close two sizes are to be the same: names such as 1/4 in and 6.35 mm differ by rounding only.
const near = 1e-6

// nearest gives the bit of a kind inside lo..hi that is nearest to aim, the smaller one of two.
func (dr *drawer) nearest(k catalog.BitKind, lo, hi, aim float64) (catalog.Bit, bool) {
	bits := dr.of(k)
	aim = min(max(aim, lo), hi)
	i, _ := slices.BinarySearchFunc(bits, aim, func(b catalog.Bit, v float64) int { return cmp.Compare(b.Diameter, v) })
	var best catalog.Bit
	found := false
	// Equal diameters stand together: the first of the ones below, the first of the ones above.
	for _, j := range [2]int{i - 1, i} {
		if j < 0 || j >= len(bits) {
			continue
		}
		for j > 0 && bits[j-1].Diameter == bits[j].Diameter {
			j--
		}
		b := bits[j]
		if b.Diameter < lo-near || b.Diameter > hi+near {
			continue
		}
		if !found || math.Abs(b.Diameter-aim) < math.Abs(best.Diameter-aim)-near {
			best, found = b, true
		}
	}
	return best, found
}

// below gives the largest bit of a kind that is not larger than most.
func (dr *drawer) below(k catalog.BitKind, most float64) (catalog.Bit, bool) {
	return dr.nearest(k, smallest, most, most+near)
}

// closest gives the bit nearest to a size among some kinds.
func (dr *drawer) closest(ks []catalog.BitKind, lo, hi, aim float64) (best catalog.Bit, found bool) {
	for _, k := range ks {
		if b, ok := dr.nearest(k, lo, hi, aim); ok && (!found || math.Abs(b.Diameter-aim) < math.Abs(best.Diameter-aim)-near) {
			best, found = b, true
		}
	}
	return best, found
}

// words prints sizes the way this person writes them.
type words struct{ inch bool }

// size prints a size as a maker says it: "22.5", and in inches "7/8 in" or "0.843 in".
func (w words) size(v float64) string {
	if !w.inch {
		return length.Plain(v)
	}
	if f, ok := fraction(v); ok {
		return f
	}
	return thousandths(v) + " in"
}

// long prints a size with its unit: "22.5 mm".
func (w words) long(v float64) string {
	if w.inch {
		return w.size(v)
	}
	return length.Plain(v) + " mm"
}

// window prints a range of sizes: "22.3 to 22.7", "0.878 to 0.894 in".
func (w words) window(lo, hi float64) string {
	a, b, unit := length.Plain(lo), length.Plain(hi), ""
	if w.inch {
		a, b, unit = thousandths(lo), thousandths(hi), " in"
	}
	if a == b {
		return a + unit
	}
	return a + " to " + b + unit
}

// longWindow prints a range with its unit.
func (w words) longWindow(lo, hi float64) string {
	if w.inch {
		return w.window(lo, hi)
	}
	return w.window(lo, hi) + " mm"
}

// thousandths prints millimetres as inches with three decimals.
func thousandths(v float64) string { return strconv.FormatFloat(v/length.PerInch, 'f', 3, 64) }

// fraction prints a size that is a whole number of 1/64 in, within 0.005 mm.
func fraction(v float64) (string, bool) {
	n := math.Round(v / length.PerInch * 64)
	if n < 1 || n > 64*1000 || math.Abs(n/64*length.PerInch-v) > 0.005 {
		return "", false
	}
	num, den := int(n), 64
	for num%2 == 0 && den > 1 {
		num, den = num/2, den/2
	}
	s := ""
	if whole := num / den; whole > 0 {
		s = itoa(whole)
		num %= den
	}
	if num > 0 {
		if s != "" {
			s += " "
		}
		s += itoa(num) + "/" + itoa(den)
	}
	return s + " in", true
}

// inSet gives the size of a bit as the bit itself is marked: "7", "#30", "1/4 in", "F".
func inSet(b catalog.Bit) string {
	name := strings.TrimSpace(b.Name)
	drill := b.Kind == catalog.Twist || b.Kind == catalog.BradPoint
	switch {
	case strings.HasSuffix(name, " in") || strings.HasSuffix(name, "\""):
		if f, ok := fraction(b.Diameter); ok {
			return f
		}
		if drill {
			return name
		}
		return thousandths(b.Diameter) + " in"
	case drill && name != "" && !strings.HasSuffix(name, "mm"):
		return name
	}
	return length.Plain(b.Diameter)
}

// marked is inSet with a unit when it would be a bare number.
func marked(b catalog.Bit) string {
	s := inSet(b)
	if s == length.Plain(b.Diameter) {
		s += " mm"
	}
	return s
}

// word is the biggest word at a hole: "7", "step 12", "saw 28", "bore 25".
func word(b catalog.Bit) string {
	switch b.Kind {
	case catalog.Step:
		return "step " + inSet(b)
	case catalog.HoleSaw:
		return "saw " + inSet(b)
	case catalog.Forstner:
		return "bore " + inSet(b)
	case catalog.Spade:
		return "spade " + inSet(b)
	}
	return inSet(b)
}

// called names a bit in a sentence: "7 mm twist bit", "step drill at 12 mm".
func called(b catalog.Bit) string {
	switch b.Kind {
	case catalog.Step:
		return "step drill at " + marked(b)
	case catalog.HoleSaw:
		return marked(b) + " hole saw"
	case catalog.Forstner:
		return marked(b) + " Forstner bit"
	case catalog.Spade:
		return marked(b) + " spade bit"
	case catalog.BradPoint:
		return marked(b) + " brad-point bit"
	case catalog.Twist:
		return marked(b) + " twist bit"
	}
	return b.Name
}

// tool is the thing in the chuck: all steps of one step drill are one tool.
type tool struct {
	kind catalog.BitKind
	name string
	size float64
}

func toolOf(b catalog.Bit) tool {
	if b.Kind == catalog.Step {
		return tool{kind: b.Kind, name: b.Set + " " + b.Name}
	}
	if b.Kind == "" {
		return tool{name: b.Name}
	}
	return tool{kind: b.Kind, name: inSet(b), size: b.Diameter}
}

// The hand tools that finish an opening.
var (
	theFile = catalog.Bit{Name: "file"}
	theSaw  = catalog.Bit{Name: "coping saw"}
)
