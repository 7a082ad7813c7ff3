package drawing

// pen is how a line kind is drawn on paper, mm.
type pen struct {
	width float64
	dash  []float64 // on, off, ...; nil = continuous
	round bool      // round ends and corners; else butt ends and mitred corners
}

// pens is the one table of line widths and dashes. Widths step as ISO 128 asks (0.18, 0.25, 0.35, 0.5, 0.7); the dashes are
// the house's.
var pens = map[Line]pen{
	Datum:    {width: 1.2},
	CutEnds:  {width: 0.7},
	Edge:     {width: 0.5},
	Visible:  {width: 0.35},
	Hidden:   {width: 0.25, dash: []float64{2.4, 1.2}},
	CentreLn: {width: 0.18, dash: []float64{6, 1.2, 0.8, 1.2}},
	Dim:      {width: 0.18},
	Thin:     {width: 0.25},
	LeadStop: {width: 0.5},
	LeadWarn: {width: 0.25, dash: []float64{1.8, 1}},
	LeadNote: {width: 0.18},
	Rule:     {width: 0.18},
	Hairline: {width: 0.05},
	WireDone: {width: 1, round: true},
	WireOpen: {width: 0.6, dash: []float64{0.01, 1.4}, round: true},
	Wire:     {width: 0.25},
}

// penOf works out the pen of a style; ok is false when no line is drawn.
func penOf(s Style) (p pen, ok bool) {
	if s.Line == NoLine {
		return p, false
	}
	p, ok = pens[s.Line]
	if !ok {
		p = pens[Visible]
	}
	if s.Width > 0 {
		p.width = s.Width
	}
	if s.Dash[1] > 0 {
		p.dash = []float64{s.Dash[0], s.Dash[1]}
	}
	p.round = p.round || s.Round
	return p, true
}

// lineInk is the ink a line has when its style names none: table rules are hair, all else is ink.
func lineInk(s Style) Ink {
	switch {
	case s.Ink != NoInk:
		return s.Ink
	case s.Line == Rule:
		return Hair
	case s.Line == Hidden || s.Line == CentreLn:
		return Pencil
	}
	return Ink0
}

// Theme says which numbers the inks have.
type Theme int

// The themes. Paper is for print: grey first, a plain printer loses nothing. Light is the screen's own.
const (
	PaperTheme Theme = iota
	LightTheme
)

type rgb struct{ r, g, b uint8 }

func (c rgb) grey() bool { return c.r == c.g && c.g == c.b }

func hex(v uint32) rgb { return rgb{uint8(v >> 16), uint8(v >> 8), uint8(v)} }

// inks: print value, then the screen's by lamp light. Sign colours are near the signal colours of ISO 3864-4, from memory.
var inks = map[Ink][2]rgb{
	Ink0:        {hex(0x111111), hex(0x20262B)},
	Pencil:      {hex(0x444444), hex(0x565A59)},
	Hair:        {hex(0x888888), hex(0x8F8772)},
	Faint:       {hex(0xBBBBBB), hex(0xC9BFA8)},
	You:         {hex(0x111111), hex(0x5A2A8C)},
	YouWash:     {hex(0xDDDDDD), hex(0xE7DBF0)},
	Bad:         {hex(0x111111), hex(0xB03619)},
	BadWash:     {hex(0xDDDDDD), hex(0xF4D9CB)},
	Paper:       {hex(0xFFFFFF), hex(0xF6F1E4)},
	PlyWash:     {hex(0xE6E6E6), hex(0xEBD7B0)},
	AcrylicWash: {hex(0xF2F2F2), hex(0xDDE7E3)},
	MetalWash:   {hex(0xDDDDDD), hex(0xD9DDDF)},
	CapWash:     {hex(0xFFFFFF), hex(0xFBF8F0)},
	SignBlue:    {hex(0x1D4F8C), hex(0x1D4F8C)},
	SignYellow:  {hex(0xF9C900), hex(0xF9C900)},
	SignRed:     {hex(0xB5121B), hex(0xB5121B)},
	SignBlack:   {hex(0x111111), hex(0x111111)},
	SignWhite:   {hex(0xFFFFFF), hex(0xFFFFFF)},
}

// colour gives the numbers of an ink; an unknown ink is drawn in plain ink rather than lost.
func (t Theme) colour(i Ink) rgb {
	c, ok := inks[i]
	if !ok {
		c = inks[Ink0]
	}
	if t == LightTheme {
		return c[1]
	}
	return c[0]
}

// stripes is one set of parallel lines of a hatch, mm on paper.
type stripes struct {
	angle, pitch, shift, width float64
}

// hatches is the one table of hatch patterns.
var hatches = map[Hatch][]stripes{
	HatchPly:     {{angle: 45, pitch: 2, width: 0.18}},
	HatchAcrylic: {{angle: 135, pitch: 1, width: 0.18}},
	HatchMetal:   {{angle: 45, pitch: 2.4, width: 0.18}, {angle: 45, pitch: 2.4, shift: 0.6, width: 0.18}},
	HatchCovered: {{angle: 45, pitch: 2, width: 0.13}},
	HatchBad:     {{angle: 135, pitch: 1.2, width: 0.5}},
}

// hatchInk is the ink of a hatch.
func hatchInk(h Hatch, s Style) Ink {
	switch {
	case h == HatchBad:
		return Bad
	case h == HatchCovered:
		return Hair
	case s.Ink != NoInk:
		return s.Ink
	}
	return Pencil
}

// solid reports whether a fill is a shape of its own, not a wash or a knock-out: where only lines count, its edge is kept.
func solid(i Ink) bool {
	switch i {
	case Ink0, You, Bad, Pencil, SignBlack, SignBlue, SignRed, SignYellow:
		return true
	}
	return false
}

// cutting is the colour of a process layer on the screen of a cutting program, by its DXF colour index; others are ink.
func cutting(index int) (c rgb, ok bool) {
	if index < 1 || index > 6 {
		return c, false
	}
	return [...]rgb{{255, 0, 0}, {255, 255, 0}, {0, 255, 0}, {0, 255, 255}, {0, 0, 255}, {255, 0, 255}}[index-1], true
}
