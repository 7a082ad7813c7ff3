package catalog

import (
	"math"
	"slices"
	"strconv"

	"knobwright/internal/length"
)

// Bits gives the bits of a set, smallest first, at most a thousand of a series. A step drill gives one bit for each of its
// steps.
func (s BitSet) Bits() []Bit {
	var bs []Bit
	add := func(d length.Length, name string) {
		bs = append(bs, Bit{Kind: s.Kind, Diameter: d.MM(), Name: name, StepHeight: s.StepHeight.MM(), Set: s.ID})
	}
	for i, d := range s.Sizes {
		name := ""
		if i < len(s.Names) {
			name = s.Names[i]
		}
		add(d, name)
	}
	if r := s.Series; r != nil && r.By > 0 {
		n := int(math.Floor(min(float64((r.To-r.From)/r.By), 1000) + 1e-6))
		for i := range min(n+1, 1000) {
			add(r.From+length.Length(i)*r.By, "")
		}
	}
	slices.SortStableFunc(bs, func(a, b Bit) int {
		switch {
		case a.Diameter < b.Diameter:
			return -1
		case a.Diameter > b.Diameter:
			return 1
		}
		return 0
	})
	for i := range bs {
		switch {
		case s.Kind == Step:
			bs[i].Name = s.stepName(bs)
		case bs[i].Name == "":
			bs[i].Name = sizeName(bs[i].Diameter, s.Unit)
		}
	}
	return bs
}

// stepName is what a step drill is called: by its smallest and largest step, "step 4-20".
func (s BitSet) stepName(bs []Bit) string {
	lo, hi := bs[0].Diameter, bs[len(bs)-1].Diameter
	if s.Unit == length.Inch {
		return "step " + fraction(lo) + "-" + fraction(hi) + " in"
	}
	return "step " + length.Plain(lo) + "-" + length.Plain(hi)
}

// sizeName is what a plain bit is called: "7.0 mm", "1/4 in".
func sizeName(d float64, u length.Unit) string {
	if u == length.Inch {
		return fraction(d) + " in"
	}
	if s := length.Plain(d); math.Abs(d*10-math.Round(d*10)) > 1e-6 {
		return s + " mm"
	}
	return strconv.FormatFloat(d, 'f', 1, 64) + " mm"
}

// fraction writes a length, in mm, as whole and 64ths of an inch in lowest terms: "1/4", "1 1/8". A length that is no
// whole number of 64ths is written with decimals.
func fraction(mm float64) string {
	in := mm / length.PerInch
	n, d := int(math.Round(in*64)), 64
	if math.Abs(in*64-float64(n)) > 1e-3 || n == 0 {
		return strconv.FormatFloat(in, 'f', 4, 64)
	}
	for n%2 == 0 && d > 1 {
		n, d = n/2, d/2
	}
	whole, n := n/d, n%d
	switch {
	case n == 0:
		return strconv.Itoa(whole)
	case whole == 0:
		return strconv.Itoa(n) + "/" + strconv.Itoa(d)
	}
	return strconv.Itoa(whole) + " " + strconv.Itoa(n) + "/" + strconv.Itoa(d)
}
