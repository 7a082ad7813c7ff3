package box

import (
	"math"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
)

// WoodScrew is a size of wood screw, mm.
type WoodScrew struct {
	Name    string
	Major   float64 // over the thread, and of the shank
	Root    float64 // at the bottom of the thread
	Lengths []float64
}

// metric wood screws as sold, countersunk. Root is two thirds of the major diameter: most sizes average that (USDA Wood Handbook
// FPL-GTR-190, chapter 8). Lengths: common practice.
var metric = []WoodScrew{
	{"2.5", 2.5, 2.5 * 2 / 3, []float64{10, 12, 16, 20, 25}},
	{"3", 3, 2, []float64{10, 12, 16, 20, 25, 30, 35, 40}},
	{"3.5", 3.5, 3.5 * 2 / 3, []float64{12, 16, 20, 25, 30, 35, 40, 45, 50}},
	{"4", 4, 4 * 2. / 3, []float64{12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70}},
	{"4.5", 4.5, 3, []float64{16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80}},
	{"5", 5, 5 * 2. / 3, []float64{20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100}},
	{"6", 6, 4, []float64{30, 40, 50, 60, 70, 80, 90, 100}},
}

// roots of numbered wood screws, inch: NDS Appendix L, from memory.
var roots = map[int]float64{6: 0.113, 7: 0.122, 8: 0.131, 9: 0.142, 10: 0.152, 12: 0.171, 14: 0.196, 16: 0.209, 18: 0.232, 20: 0.255, 24: 0.298}

// Gauge gives a numbered wood screw. The major diameter is 0.060 + 0.013 N inch (ASME B18.6.1); sizes without a tabled root get two
// thirds of it.
func Gauge(n int) WoodScrew {
	d := (0.060 + 0.013*float64(n)) * 25.4
	s := WoodScrew{Name: "#" + itoa(n), Major: d, Root: d * 2 / 3}
	if r, ok := roots[n]; ok {
		s.Root = r * 25.4
	}
	most := 3.0 // thin ones are sold short only: common practice
	switch {
	case n <= 2:
		most = 0.75
	case n <= 4:
		most = 1.5
	case n <= 6:
		most = 2
	}
	for _, l := range []float64{0.375, 0.5, 0.625, 0.75, 1, 1.25, 1.5, 1.75, 2, 2.5, 3} {
		if l <= most {
			s.Lengths = append(s.Lengths, l*25.4)
		}
	}
	return s
}

// numbered are the numbered sizes that are chosen from where the maker works in inches; shops there have no metric ones.
var numbered = []WoodScrew{Gauge(2), Gauge(4), Gauge(6), Gauge(8)}

// Sold names a wood screw of a length as shops do: "3 x 20" of a metric one, with its unit in the papers of one who works in inches, and
// "#4 x 3/4 in" of a numbered one.
func (s WoodScrew) Sold(long float64, inches bool) string {
	switch {
	case strings.HasPrefix(s.Name, "#"):
		return s.Name + " x " + length.Format(length.Length(long), length.Inch)
	case inches:
		return s.Name + " x " + mm(long)
	}
	return s.Name + " x " + plain(long)
}

// screwFor gives the sort of screw of a diameter: the metric or numbered size nearest to it. A #6 is as thick as a 3.5; inch says which it is.
func screwFor(d float64, inch bool) WoodScrew {
	best := metric[0]
	for _, s := range metric {
		if math.Abs(s.Major-d) < math.Abs(best.Major-d) {
			best = s
		}
	}
	like := math.Abs(best.Major-d) < 0.03
	if like && !inch {
		return best
	}
	for n := 2; n <= 24; n++ {
		if g := Gauge(n); math.Abs(g.Major-d) < 0.03 {
			return g
		}
	}
	if like {
		return best
	}
	s := best
	s.Name, s.Major, s.Root = plain(d), d, d*2/3
	return s
}

// Pilot gives the pilot hole of a screw in a kind of wood, mm: 70 % of the root in softwood, 90 % in hardwood, plywood and MDF (USDA Wood
// Handbook, withdrawal).
func Pilot(s WoodScrew, kind string) float64 {
	if kind == Softwood {
		return 0.7 * s.Root
	}
	return 0.9 * s.Root
}

// Shank gives the hole that the screw goes through freely, mm: the shank and a tenth of a millimetre for every millimetre of it. Common
// practice.
func Shank(s WoodScrew) float64 { return 1.1 * s.Major }

// Hole is a hole for a screw: the size wished for and the bit owned that comes nearest.
type Hole struct {
	Want float64
	Bit  catalog.Bit
	OK   bool // a bit owned lies near enough
}

// bitFor gives the owned bit nearest to a size, within less below and more above.
func bitFor(bits []catalog.Bit, want, less, more float64) Hole {
	h := Hole{Want: want}
	best := math.Inf(1)
	for _, b := range bits {
		if b.Kind != catalog.Twist && b.Kind != catalog.BradPoint {
			continue
		}
		off := math.Abs(b.Diameter - want)
		if b.Diameter < want-less-1e-9 || b.Diameter > want+more+1e-9 || off > best-1e-9 {
			continue
		}
		best, h.Bit, h.OK = off, b, true
	}
	return h
}

// inserts for wood, screwed in: thread, hole in softwood and hardwood, length and the least wood beside the hole; mm. Common practice:
// measure yours.
var insertSizes = []InsertSize{
	{"M3", 3, 5, 5.5, 8, 4}, {"M4", 4, 5.5, 6, 10, 5}, {"M5", 5, 7, 7.5, 12, 5}, {"M6", 6, 8, 8.5, 13, 6}, {"M8", 8, 11, 11.5, 15, 8},
}

// InsertSize is a threaded insert that is screwed into wood, mm.
type InsertSize struct {
	Thread             string
	Major              float64
	HoleSoft, HoleHard float64
	Length             float64
	Wall               float64 // least wood beside the hole
}

// InsertFor gives the insert of a thread.
func InsertFor(thread string) (InsertSize, bool) {
	for _, s := range insertSizes {
		if s.Thread == catalog.ScrewName(thread) {
			return s, true
		}
	}
	return InsertSize{}, false
}

// HeatSet is a heat-set insert for plastics: hole and least boss wall, mm; wall 0 = not published.
type HeatSet struct {
	Thread             string
	Hole, Length, Wall float64
}

// heatSets: holes of the metric ones from a heat-set insert pilot chart, of the inch ones from low-stress insert data; lengths of the metric
// ones are common practice.
var heatSets = []HeatSet{
	{"M3", 4, 5.7, 0}, {"M4", 5.6, 8.1, 0}, {"M5", 6.4, 9.5, 0}, {"M6", 8, 12.7, 0},
	{"#2", 0.126 * 25.4, 0.155 * 25.4, 0.055 * 25.4}, {"#4", 0.157 * 25.4, 0.228 * 25.4, 0.071 * 25.4}, {"#6", 0.189 * 25.4, 0.281 * 25.4, 0.083 * 25.4},
	{"#8", 0.22 * 25.4, 0.32 * 25.4, 0.094 * 25.4}, {"#10", 0.252 * 25.4, 0.374 * 25.4, 0.11 * 25.4}, {"1/4", 0.315 * 25.4, 0.5 * 25.4, 0.142 * 25.4},
}

// HeatSetFor gives the heat-set insert of a thread; only for printed or moulded plastic, never for wood.
func HeatSetFor(thread string) (HeatSet, bool) {
	for _, s := range heatSets {
		if s.Thread == catalog.ScrewName(thread) {
			return s, true
		}
	}
	return HeatSet{}, false
}

// sheetSizes are sheets as sold, width along the grain, mm, by kind of the catalogue.
var sheetSizes = map[string][][2]float64{
	"plywood":       {{600, 300}, {1220, 610}, {1525, 1525}, {2440, 1220}, {2500, 1250}},
	"mdf":           {{600, 300}, {1220, 610}, {2440, 1220}, {2800, 2070}},
	"hardboard":     {{1220, 610}, {2440, 1220}},
	"acrylic":       {{600, 400}, {1000, 500}, {3050, 2050}},
	"polycarbonate": {{600, 400}, {1000, 500}, {3050, 2050}},
	"abs":           {{600, 400}, {1000, 500}, {2000, 1000}},
	"aluminium":     {{500, 300}, {1000, 500}, {2000, 1000}, {2500, 1250}},
	"steel":         {{500, 300}, {1000, 500}, {2000, 1000}, {2500, 1250}},
}
