package edit

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/yamlfile"
)

// besides is the room left beside things when a copy has to find its own place, mm.
const besides = 6

// copy makes controls like those in hand, under new names. What they send and how they are wired is not copied: two controls that send
// the same are seldom wanted.
func (m *maker) copy(cs []*panel.Control, by geom.Vec2) (Done, error) {
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	if by == (geom.Vec2{}) {
		by = m.roomFor(cs)
	}
	used := map[string]bool{}
	d := Done{Say: "copy " + called(cs)}
	for _, c := range cs {
		base, n := root(c.Name)
		name := m.free(base, max(n+1, 2), used)
		_, k := root(name)
		d.Edits = append(d.Edits, set("controls."+name, m.flow(c, c.At.Vec2.Add(by), k)))
		d.Hand = append(d.Hand, name)
	}
	return d, nil
}

// root parts a name into what stands before its number and the number: "door-3" is door and 3. Without a number: 0.
func root(name string) (string, int) {
	i := strings.LastIndexByte(name, '-')
	if i > 0 && len(name)-i < 6 {
		if n, err := strconv.Atoi(name[i+1:]); err == nil && n >= 0 {
			return name[:i], n
		}
	}
	return name, 0
}

// flow writes a control like c as one value.
func (m *maker) flow(c *panel.Control, at geom.Vec2, n int) string {
	src := m.pattern(c)
	r := m.record(src)
	s := []string{"part: " + c.Part.ID, "at: [" + m.value(at.X) + ", " + m.value(at.Y) + "]"}
	if math.Abs(c.Turn) >= hair {
		s = append(s, "turn: "+length.Plain(c.Turn))
	}
	if l := r.Legend; l != nil {
		var w []string
		text := strings.Join(strings.Fields(l.Text), " ")
		style := l.Place != "" || l.Cap != 0 || l.Gap != 0
		switch {
		case text != "":
			w = append(w, "text: "+quote(text+" "+strconv.Itoa(n)))
		case !style || m.written(own(src)+".legend.text"):
			w = append(w, `text: ""`)
		}
		if l.Place != "" {
			w = append(w, "place: "+l.Place)
		}
		if l.Cap != 0 {
			w = append(w, "cap: "+m.value(l.Cap.MM()))
		}
		if l.Gap != 0 {
			w = append(w, "gap: "+m.value(l.Gap.MM()))
		}
		if len(w) == 1 && strings.HasPrefix(w[0], "text: ") {
			s = append(s, "legend: "+strings.TrimPrefix(w[0], "text: "))
		} else {
			s = append(s, "legend: {"+strings.Join(w, ", ")+"}")
		}
	}
	on := r.On
	if on == "" && c.Group != "" {
		on = m.doc.File.Groups.Get(c.Group).On
	}
	if on != "" && on != "face" {
		s = append(s, "on: "+on)
	}
	if r.Knob != 0 {
		s = append(s, "knob: "+m.value(r.Knob.MM()))
	}
	if t := r.Adjust.Text(); t != "" {
		s = append(s, "adjust: "+t)
	}
	if r.Note != "" {
		s = append(s, "note: "+strconv.Quote(r.Note))
	}
	return "{" + strings.Join(s, ", ") + "}"
}

// pattern follows images back to the control that they were made of.
func (m *maker) pattern(c *panel.Control) *panel.Control {
	for n := 0; image(c) && n < 50; n++ {
		src := m.by[c.From]
		if src == nil {
			break
		}
		c = src
	}
	return c
}

// roomFor looks for a place beside what is in hand: right, below, above, left; the first one on the sheet where nothing stands.
func (m *maker) roomFor(cs []*panel.Control) geom.Vec2 {
	b, sheet := around(cs), m.on[cs[0]]
	half := m.coarse() / 2
	up := func(v float64) float64 { return math.Ceil(v/half-1e-9) * half }
	w, h := up(b.Size().X+besides), up(b.Size().Y+besides+m.letters(cs))
	for n := 1.0; n <= 4; n++ {
		for _, v := range []geom.Vec2{{X: w * n}, {Y: -h * n}, {Y: h * n}, {X: -w * n}} {
			to := geom.Box2{Min: b.Min.Add(v), Max: b.Max.Add(v)}
			if m.clear(sheet, to) {
				return v
			}
		}
	}
	return geom.Vec2{X: w}
}

// letters is the height that legends take below controls.
func (m *maker) letters(cs []*panel.Control) float64 {
	h := 0.0
	for _, c := range cs {
		if len(c.Legend.Lines) > 0 {
			h = max(h, c.Legend.Cap*1.5*float64(len(c.Legend.Lines))+c.Legend.Gap)
		}
	}
	return h
}

// clear reports whether a box lies on the sheet and meets no front.
func (m *maker) clear(s *panel.Panel, b geom.Box2) bool {
	if f := s.Face; f.HasSize() && (b.Min.X < 0 || b.Min.Y < 0 || b.Max.X > f.Width || b.Max.Y > f.Height) {
		return false
	}
	for _, c := range s.Controls {
		if front(c).Overlaps(b) {
			return false
		}
	}
	return true
}

// images lets the file make mirror images of controls: a group of its own, that follows them.
func (m *maker) images(cs []*panel.Control, how string, face bool) (Done, error) {
	if how != "upright" && how != "level" {
		return Done{}, refuse("Mirror in an upright or a level line.")
	}
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	upright := how == "upright"
	line, err := m.mirrorLine(cs, upright, face)
	if err != nil {
		return Done{}, err
	}
	if !face { // beside them: about a line along the edge of what is in hand
		b, half := around(cs), m.coarse()/2
		if line = math.Ceil((b.Max.X+besides)/half) * half; !upright {
			line = math.Floor((b.Min.Y-besides)/half) * half
		}
	}
	of := m.names(cs)
	name := "mirror"
	if m.taken(name) {
		name = m.free("mirror", 2, map[string]bool{})
	}
	suffix := "-m"
	for i := 2; m.anyTaken(cs, suffix); i++ {
		suffix = "-m" + strconv.Itoa(i)
	}
	v := "{of: [" + strings.Join(of, ", ") + "], line: " + how + ", at: " + m.value(line)
	if suffix != "-m" {
		v += ", suffix: " + suffix
	}
	d := Done{Edits: []finding.Edit{set("groups."+name+".mirror", v+"}")}, Say: "mirror " + called(cs)}
	for _, c := range cs {
		d.Hand = append(d.Hand, c.Name+suffix)
	}
	return d, nil
}

func (m *maker) anyTaken(cs []*panel.Control, suffix string) bool {
	for _, c := range cs {
		if m.taken(c.Name + suffix) {
			return true
		}
	}
	return false
}

// names lists controls as an image's of: takes them, whole groups by the group's name.
func (m *maker) names(cs []*panel.Control) []string {
	in, size := map[string]int{}, map[string]int{}
	for _, c := range cs {
		in[c.Group]++
	}
	for _, c := range m.by {
		size[c.Group]++
	}
	done := map[string]bool{}
	var out []string
	for _, c := range cs {
		_, plain := m.doc.File.Controls.Map[c.Group] // a control of the same name would be meant
		if g := c.Group; g != "" && !plain && in[g] == size[g] {
			if !done[g] {
				done[g] = true
				out = append(out, g)
			}
			continue
		}
		out = append(out, c.Name)
	}
	return out
}

// add puts a part of the catalogue on the face, or a row of several.
func (m *maker) add(a Act) (Done, error) {
	part, ok := m.cat.Part(a.Name)
	if !ok {
		return Done{}, refuse("There is no part called ", short(a.Name), ".")
	}
	if a.Count < 0 || a.Count > 100 {
		return Done{}, refuse("A row takes 1 to 100 controls.")
	}
	at := geom.Vec2{X: a.By[0], Y: a.By[1]}
	if at == (geom.Vec2{}) {
		at = m.anywhere(room(part))
	}
	used := map[string]bool{}
	base := string(part.Class)
	if !yamlfile.GoodName(base) {
		base = "control"
	}
	point := "[" + m.value(at.X) + ", " + m.value(at.Y) + "]"
	if a.Count > 1 {
		g := m.free(base+"-row", 1, used)
		pitch := math.Ceil(room(part).Size().X + besides)
		if m.inch {
			pitch = math.Ceil(pitch/length.PerInch*8) / 8 * length.PerInch
		}
		d := Done{Say: "add a row of " + strconv.Itoa(a.Count), Hand: []string{}}
		var names []string
		for range a.Count {
			n := m.free(base, 1, used)
			names = append(names, n+":")
			d.Hand = append(d.Hand, n)
		}
		d.Edits = []finding.Edit{set("groups."+g, "{part: "+part.ID+", row: {from: "+point+", step: "+m.value(pitch)+"}, controls: {"+strings.Join(names, " , ")+" }}")}
		return d, nil
	}
	name := m.free(base, 1, used)
	return Done{Edits: []finding.Edit{set("controls."+name, "{part: "+part.ID+", at: "+point+"}")}, Say: "add " + name, Hand: []string{name}}, nil
}

// room is the box that a part takes on the face, round its middle.
func room(p catalog.Part) geom.Box2 {
	b := geom.Box2{}
	if f, ok := p.Footprint("bezel", "cap", "knob", "lever", "nut", "guard", "handle"); ok {
		b = b.Union(f)
	}
	if o := p.Hole.Outline(); !o.Empty() {
		b = b.Union(o.Bounds())
	}
	return b
}

// coarse is what places that are found are multiples of: a millimetre, or a sixteenth of an inch.
func (m *maker) coarse() float64 {
	if m.inch {
		return length.PerInch / 16
	}
	return 1
}

// anywhere finds a free place for a front of this size, from the middle of the face outwards, clear of boxes given out before.
func (m *maker) anywhere(b geom.Box2, not ...geom.Box2) geom.Vec2 {
	f := m.p.Face
	if !f.HasSize() {
		return geom.Vec2{X: 50, Y: 50}
	}
	grain := m.coarse()
	near := func(v geom.Vec2) geom.Vec2 {
		return geom.Vec2{X: math.Round(v.X/grain) * grain, Y: math.Round(v.Y/grain) * grain}
	}
	mid := near(geom.Vec2{X: f.Width / 2, Y: f.Height / 2})
	grow := geom.Box2{Min: b.Min.Sub(geom.Vec2{X: 3, Y: 3}), Max: b.Max.Add(geom.Vec2{X: 3, Y: 3})}
	for r := 0.0; r < max(f.Width, f.Height); r += 5 {
		for k := range 16 {
			at := mid.Add(geom.Place{Turn: float64(k) * 22.5}.Apply(geom.Vec2{X: r}))
			at = near(at)
			to := geom.Box2{Min: grow.Min.Add(at), Max: grow.Max.Add(at)}
			if m.clear(m.p, to) && !slices.ContainsFunc(not, to.Overlaps) {
				return at
			}
		}
	}
	return mid
}
