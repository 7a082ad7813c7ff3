package steps

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/trade/firmware"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// Inputs is what the other trades decided. Everything but the panel may be empty.
type Inputs struct {
	Panel    *panel.Panel
	Drilling drilling.Result
	Sides    []Side // the other boards that carry controls
	Box      box.Result
	Wiring   wiring.Result
	Harness  harness.Result
	Firmware firmware.Result
}

// Side is a board, other than the face, that carries controls or openings.
type Side struct {
	On       string // as the file says: upper, back, left ...
	Panel    *panel.Panel
	Drilling drilling.Result
}

// What is taken when the file does not say.
const (
	usualEvenings = 120.0 // minutes
	usualWeekend  = 300.0
	usualRoom     = 20.0 // °C
	usualCoats    = 2
)

// maker builds the graph of steps.
type maker struct {
	Inputs
	work   project.Work
	room   float64
	glue   string
	paint  string
	finish string
	coats  int
	steps  []*Step
	by     map[string]*Step
	used   map[string]bool // kinds of work
	waited map[string]bool // kinds of waiting
	stuffs map[string][]*Step
	found  []finding.Finding
	sheets []sheet
}

// Work makes the order of work. It never panics on a panel that is not finished: what is not there has no steps. The same inputs give the
// same result.
func Work(in Inputs) Result {
	if in.Panel == nil || !in.Panel.Face.HasSize() {
		return Result{}
	}
	m := newMaker(in)
	m.shop()
	m.trial()
	m.cut()
	for _, s := range m.sheets {
		m.drill(s)
		m.cover(s)
		m.letter(s)
	}
	m.box()
	m.mount()
	m.wire()
	m.power()
	m.close()
	m.settle()
	r := m.order()
	m.judge(&r)
	r.Findings = m.found
	return r
}

func newMaker(in Inputs) *maker {
	w := in.Panel.Work
	m := &maker{
		Inputs: in, work: w, by: map[string]*Step{}, used: map[string]bool{}, waited: map[string]bool{}, stuffs: map[string][]*Step{},
		room: usualRoom, glue: or(w.Glue, "pva"), paint: or(w.Paint, "water"), finish: or(w.Finish, "paint"), coats: usualCoats,
	}
	if w.Room.Text != "" {
		m.room = w.Room.Celsius
	}
	if w.Coats > 0 {
		m.coats = w.Coats
	}
	if _, ok := glues[m.glue]; !ok { // a word that the reader has refused
		m.glue = "pva"
	}
	if _, ok := paints[m.paint]; !ok {
		m.paint = "water"
	}
	m.sheets = append(m.sheets, sheet{slug: "face", p: in.Panel, d: in.Drilling, face: true})
	for _, s := range in.Sides {
		m.sheets = append(m.sheets, sheet{slug: s.On, p: s.Panel, d: s.Drilling, face: s.On == "upper"})
	}
	return m
}

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// add puts a step into the graph. Its texts stand under steps.<key> in the catalogue: title, and the lines of do.
func (m *maker) add(id, part, key string, args ...any) *Step {
	s := &Step{ID: id, Part: part, Title: words.T("steps."+key+".title", args...), Source: sourceMinutes}
	m.steps = append(m.steps, s)
	m.by[id] = s
	return s
}

// do adds a line of what to do: a key under steps, whole.
func (s *Step) do(key string, args ...any) *Step {
	s.Do = append(s.Do, words.T("steps."+key, args...))
	return s
}

// item adds a line to tick.
func (s *Step) item(id, key string, args ...any) *Step {
	s.Items = append(s.Items, Item{ID: id, Text: words.T("steps."+key, args...)})
	return s
}

// after says that a step comes before; why is a key under steps.why.
func (s *Step) after(id, why string) *Step {
	s.After = append(s.After, After{Step: id, Why: words.T("steps.why." + why)})
	return s
}

// dry says that a step comes before, and its waiting is over too: all of it, or the least number of minutes.
func (s *Step) dry(id, why string, least float64) *Step {
	s.After = append(s.After, After{Step: id, Why: words.T("steps.why." + why), Dry: true, Least: least})
	return s
}

// mind adds a caution; the key stands under steps.caution.
func (s *Step) mind(sign, key string) *Step {
	if !slices.ContainsFunc(s.Cautions, func(c Caution) bool { return c.Text.Key == "steps.caution."+key }) {
		s.Cautions = append(s.Cautions, Caution{Sign: sign, Text: words.T("steps.caution." + key)})
	}
	return s
}

// noReturn says that it cannot be undone, and what to look at just before.
func (s *Step) noReturn(key string, args ...any) *Step {
	s.NoReturn, s.Check = true, words.T("steps.check."+key, args...)
	return s
}

// leave says that the work is left alone afterwards, for a kind of waiting.
func (m *maker) leave(s *Step, kind, what string) {
	v, src := m.wait(kind)
	if v <= 0 {
		return
	}
	from, to, _ := warmth(m.stuff(kind))
	s.Wait = &Wait{Minutes: v, What: words.T("steps.until." + what), From: from, To: to, Source: src}
	if x := m.stuff(kind); x != "" {
		m.stuffs[x] = append(m.stuffs[x], s)
	}
}

// settle takes out what a step waits for that is not there, gives every step whole minutes, and asks the maker's sheet where stuffs are used.
func (m *maker) settle() {
	for _, s := range m.steps {
		var keep []After
		for _, a := range s.After {
			if m.by[a.Step] == nil || a.Step == s.ID {
				continue
			}
			if a.Dry && m.by[a.Step].Wait == nil {
				a.Dry, a.Least = false, 0
			}
			if i := slices.IndexFunc(keep, func(k After) bool { return k.Step == a.Step }); i >= 0 {
				if a.Dry && (!keep[i].Dry || a.Least == 0) {
					keep[i] = a
				}
				continue
			}
			keep = append(keep, a)
		}
		s.After = keep
		s.Minutes = math.Max(1, math.Round(s.Minutes))
	}
}

// board is the name of a board of the box as a text in a gap: a key where the catalogue knows it.
func boardName(name string) string {
	key := "steps.board." + strings.ReplaceAll(name, " ", "-")
	if words.English.Has(key) {
		return "@" + key
	}
	kind, where, ok := strings.Cut(name, ", ")
	for _, k := range []string{"ledge", "cleat", "glue block"} {
		if key := "steps.batten." + strings.ReplaceAll(k, " ", "-") + "." + strings.ReplaceAll(where, " ", "-"); ok && strings.HasPrefix(kind, k) && words.English.Has(key) {
			return "@" + key
		}
	}
	return name
}

// slugName is the name of a sheet by the word of the file.
func slugName(slug string) string { return "@steps.sheet." + slug }

// mm writes a length as the person does.
func (m *maker) mm(v float64) string {
	if m.Panel.Units == "in" {
		return length.Inches(length.Length(v))
	}
	return length.Plain(math.Round(v*10)/10) + " mm"
}

func itoa(n int) string { return strconv.Itoa(n) }
