package pack

import "math"

// None stands for no piece, no sheet.
const None = -1

// perMM is the number of micrometres in a millimetre.
const perMM = 1000

// job is a question in whole units: the kerf is added to all sides, and the units are as coarse as is exact.
type job struct {
	opt   Options
	unit  int // micrometres in a unit
	kerf  int // micrometres
	items []item
	bins  []bin
}

// item is a kind of piece, kerf added.
type item struct {
	w, h  int
	count int // Unlimited or above 0
	value float64
	turn  bool
}

// bin is a kind of sheet within its trims, kerf added.
type bin struct {
	w, h   int // units
	uw, uh int // micrometres
	count  int
	cost   float64
}

// area is in square units.
func (it item) area() int { return it.w * it.h }

// fits tells whether a piece fits a panel as it lies, or turned if it may be.
func (it item) fits(w, h int) bool {
	return it.w <= w && it.h <= h || it.turn && it.h <= w && it.w <= h
}

func micrometres(mm float64) int { return int(math.Round(mm * perMM)) }

// newJob checks a question and scales it. Sides of pieces are rounded down, so that thirds of a sheet still make a
// sheet; they come out at most a micrometre short. A count of 0 leaves a piece out of the work.
func newJob(pieces []Piece, sheets []Sheet, o Options) (*job, error) {
	if err := checkOptions(o); err != nil {
		return nil, err
	}
	j := &job{opt: o, kerf: micrometres(o.Kerf)}
	for i, s := range sheets {
		b, err := j.newBin(i, s)
		if err != nil {
			return nil, err
		}
		j.bins = append(j.bins, b)
	}
	total := 0
	for i, p := range pieces {
		if err := checkPiece(i, p); err != nil {
			return nil, err
		}
		if total += max(0, p.Count); total > MaxPieces {
			return nil, &InputError{i, None, p.Name, "count", float64(p.Count), "at most 10000 pieces in all"}
		}
		down := func(mm float64) int { return int(math.Floor(mm*perMM+1e-6)) + j.kerf }
		it := item{w: down(p.Width), h: down(p.Height), count: p.Count, value: p.Value, turn: p.Turn}
		if it.value == 0 {
			it.value = p.Width * p.Height
		}
		it.turn = it.turn && it.w != it.h
		j.items = append(j.items, it)
	}
	if err := j.checkFit(pieces); err != nil {
		return nil, err
	}
	j.coarsen()
	return j, nil
}

// coarsen makes the unit as large as all sides of pieces allow. A sheet has no use for what is less than a unit.
func (j *job) coarsen() {
	for _, it := range j.items {
		if it.count != 0 {
			j.unit = gcd(j.unit, gcd(it.w, it.h))
		}
	}
	j.unit = max(1, j.unit)
	for i := range j.items {
		j.items[i].w /= j.unit
		j.items[i].h /= j.unit
	}
	for i := range j.bins {
		j.bins[i].w /= j.unit
		j.bins[i].h /= j.unit
	}
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func positive(v, limit float64) bool { return v > 0 && v <= limit } // false for NaN

func checkPiece(i int, p Piece) error {
	const side = "more than 0 and at most 20000 mm"
	switch {
	case !positive(p.Width, MaxLength) || p.Width*perMM < 1:
		return &InputError{i, None, p.Name, "width", p.Width, side}
	case !positive(p.Height, MaxLength) || p.Height*perMM < 1:
		return &InputError{i, None, p.Name, "height", p.Height, side}
	case p.Count < Unlimited || p.Count > MaxPieces:
		return &InputError{i, None, p.Name, "count", float64(p.Count), "0 to 10000"}
	case !(p.Value >= 0 && p.Value <= 1e12):
		return &InputError{i, None, p.Name, "value", p.Value, "0 to 1e12"}
	}
	return nil
}

func checkOptions(o Options) error {
	if !(o.Kerf >= 0 && o.Kerf <= MaxLength) {
		return &InputError{None, None, "", "kerf", o.Kerf, "0 mm or more"}
	}
	for _, t := range []float64{o.Trim.Left, o.Trim.Right, o.Trim.Bottom, o.Trim.Top} {
		if !(t >= 0 && t <= MaxLength) {
			return &InputError{None, None, "", "trim", t, "0 mm or more"}
		}
	}
	return nil
}

// newBin checks a kind of sheet and takes off its trims.
func (j *job) newBin(i int, s Sheet) (bin, error) {
	t := j.opt.Trim
	switch {
	case !positive(s.Width, MaxLength):
		return bin{}, &InputError{None, i, s.Name, "width", s.Width, "more than 0 and at most 20000 mm"}
	case !positive(s.Height, MaxLength):
		return bin{}, &InputError{None, i, s.Name, "height", s.Height, "more than 0 and at most 20000 mm"}
	case s.Count < Unlimited:
		return bin{}, &InputError{None, i, s.Name, "count", float64(s.Count), "0 or more, or Unlimited"}
	case !(s.Cost >= 0 && s.Cost <= 1e12):
		return bin{}, &InputError{None, i, s.Name, "cost", s.Cost, "0 to 1e12"}
	}
	w := micrometres(s.Width-t.Left-t.Right) + j.kerf
	h := micrometres(s.Height-t.Bottom-t.Top) + j.kerf
	w, h = max(w, 0), max(h, 0)
	return bin{w: w, h: h, uw: w, uh: h, count: s.Count, cost: s.Cost}, nil
}

// checkFit reports the first wanted piece that no sheet can hold. Offcuts may be too small for some pieces.
func (j *job) checkFit(pieces []Piece) error {
	for i, it := range j.items {
		if it.count == 0 {
			continue
		}
		fits := false
		e := &FitError{Piece: i, Name: pieces[i].Name, Width: pieces[i].Width, Height: pieces[i].Height, Turn: pieces[i].Turn}
		for _, b := range j.bins {
			if b.count == 0 {
				continue
			}
			fits = fits || it.fits(b.w, b.h)
			w, h := max(0, float64(b.w-j.kerf)/perMM), max(0, float64(b.h-j.kerf)/perMM)
			if w*h > e.RoomWidth*e.RoomHeight {
				e.RoomWidth, e.RoomHeight = w, h
			}
		}
		if !fits {
			return e
		}
	}
	return nil
}
