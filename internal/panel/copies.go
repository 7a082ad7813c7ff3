package panel

import (
	"math"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

// mirror makes the copies of a mirror group. A part is never mirrored itself (there are no left-handed switches): its
// place is, and so is its turn.
func (x *expander) mirror(name string, g project.Group) []seat {
	m := g.Mirror
	path := "groups." + name + ".mirror"
	upright := m.Line != "level"
	middle := !x.written(path + ".at")
	if middle && !x.p.Face.HasSize() {
		x.missing("the group "+name, path, "The mirror "+name+" has no line yet.", "The face has no middle before it has a size; give at: or the size.")
		return nil
	}
	return x.derive(name, g, m.Of, path, suffix(m.Suffix, "-m"), func(s *seat) {
		line := m.At.MM()
		if middle {
			f := x.sheetOf(s.rec.On)
			line = f.Width / 2
			if !upright {
				line = f.Height / 2
			}
		}
		s.at, s.turn = Reflect(s.at, s.turn, upright, line)
		if upright && s.letters == "" {
			s.letters = x.lettersAt(s)
		}
		if upright {
			s.letters = swapSides(s.letters)
		}
	})
}

// sheetOf gives the sheet that a word of the file means; the face when there is no such board.
func (x *expander) sheetOf(on string) Face {
	if on != "" && on != "face" {
		if s := x.side(on); s != nil {
			return s.Panel.Face
		}
	}
	return x.p.Face
}

// Reflect mirrors a place and a turn in an upright line x = line, or in a level line y = line. Left and right change
// places in an upright line, so a turn t becomes -t. In a level line nothing is put upside down: a part that stands more
// upright than lying takes -t, one that lies takes 180-t. Reflecting twice changes nothing.
func Reflect(at geom.Vec2, turn float64, upright bool, line float64) (geom.Vec2, float64) {
	if upright {
		return geom.Vec2{X: 2*line - at.X, Y: at.Y}, norm(-turn)
	}
	s := geom.Place{Turn: turn}.Apply(geom.Vec2{X: 1})
	if math.Abs(s.Y) > math.Abs(s.X)+1e-12 {
		turn = 180 - turn
	} else {
		turn = -turn
	}
	return geom.Vec2{X: at.X, Y: 2*line - at.Y}, norm(turn)
}

func swapSides(place string) string {
	switch place {
	case "left":
		return "right"
	case "right":
		return "left"
	}
	return place
}

// lettersAt gives the place of a control's legend as the file says it.
func (x *expander) lettersAt(s *seat) string {
	if l := s.rec.Legend; l != nil && l.Place != "" {
		return l.Place
	}
	return or(x.f.Face.Legend.Place, "below")
}

// copies makes the copies of a copy group: first turned about a point, then shifted.
func (x *expander) copies(name string, g project.Group) []seat {
	c := g.Copy
	first := true
	var pivot geom.Vec2
	if c.About != nil {
		first, pivot = false, vec(*c.About)
	}
	return x.derive(name, g, c.Of, "groups."+name+".copy", suffix(c.Suffix, "-2"), func(s *seat) {
		if first {
			first, pivot = false, s.at
		}
		s.at = rotate(s.at, pivot, float64(c.Turn)).Add(vec(c.By))
		s.turn = norm(s.turn + float64(c.Turn))
	})
}

func suffix(own, usual string) string {
	if own == "" {
		return usual
	}
	return own
}

// derive makes the members of a mirror or copy: each source, moved, under a new name, with the changes to single members
// laid over.
func (x *expander) derive(name string, g project.Group, of []string, path, add string, move func(*seat)) []seat {
	var seats []seat
	var names []string
	for i, word := range of {
		for _, s := range x.sources(name, word, x.firstPath(path+".of."+itoa(i), path+".of")) {
			if x.overflow(path) {
				break
			}
			s.source = s.name
			s.name += add
			s.group, s.derived = name, true
			s.origin = Origin{Path: "groups." + name, Pos: x.pos("groups." + name)}
			s.rec.At, s.rec.Shift = nil, nil // the source's; this one is placed by the group
			if s.placed {
				move(&s)
			}
			x.change(&s, g, "groups."+name+".controls."+s.name)
			seats, names = append(seats, s), append(names, s.name)
		}
	}
	x.strangers(name, g, names)
	x.turnGroup(g, seats)
	for i := range seats {
		if s := &seats[i]; s.rec.At != nil {
			s.origin.MovePath, s.origin.MoveBase = "groups."+name+".controls."+s.name+".at", vec(*s.rec.At)
		}
	}
	return seats
}

// change lays the changes to one member of a mirror or copy over it.
func (x *expander) change(s *seat, g project.Group, path string) {
	over, ok := g.Controls.Map[s.name]
	if g.On != "" {
		s.rec.On, s.on = g.On, "groups."+s.group+".on"
	}
	if !ok {
		if g.Part != "" {
			s.rec.Part, s.part = g.Part, "groups."+s.group+".part"
		}
		return
	}
	s.origin.Path, s.origin.Pos = path, x.pos(path)
	switch {
	case over.Part != "":
		s.rec.Part, s.part = over.Part, path+".part"
	case g.Part != "":
		s.rec.Part, s.part = g.Part, "groups."+s.group+".part"
	}
	if x.written(path + ".turn") {
		s.turn = float64(over.Turn)
	}
	if over.Legend != nil {
		s.rec.Legend, s.legend, s.letters = over.Legend, path+".legend", ""
	}
	if over.Sends.Node != nil {
		s.rec.Sends = over.Sends
	}
	if over.Adjust.Node != nil {
		s.rec.Adjust, s.adjust = over.Adjust, path+".adjust"
	}
	if over.On != "" {
		s.rec.On, s.on = over.On, path+".on"
	}
	if over.Knob != 0 {
		s.rec.Knob, s.knob = over.Knob, path+".knob"
	}
	if over.Note != "" {
		s.rec.Note = over.Note
	}
	s.rec.Pinned = s.rec.Pinned || over.Pinned
	if over.At != nil {
		s.at, s.placed, s.rec.At = vec(*over.At), true, over.At
	}
	if over.Shift != nil {
		s.at, s.rec.Shift = s.at.Add(vec(*over.Shift)), over.Shift
	}
}

// sources gives the controls that a mirror or copy names: one control, all of a group, or one member of a group.
func (x *expander) sources(by, word, path string) []seat {
	_, control := x.f.Controls.Map[word]
	_, group := x.f.Groups.Map[word]
	switch { // a name borne by both is warned about by the reader; the control is taken
	case control:
		return []seat{x.plain(word)}
	case group:
		if x.isOpen(word) {
			x.cycle(by, word, path)
			return nil
		}
		return x.group(word)
	}
	if home := x.home(word); home != "" {
		if x.isOpen(home) {
			x.cycle(by, home, path)
			return nil
		}
		for _, s := range x.group(home) {
			if s.name == word {
				return []seat{s}
			}
		}
		return nil // its group has a finding of its own
	}
	hint, fixes := likely(word, path, x.allNames())
	x.say(ruleUnknownName, finding.Finding{
		Head: "The group " + by + " names " + word + ", but nothing bears that name.", Body: hint,
		Ends: []finding.End{x.end("the group "+by, path)}, Fixes: fixes,
	})
	return nil
}

func (x *expander) cycle(by, word, path string) {
	x.say(ruleCycle, finding.Finding{
		Head: "The group " + by + " is made of itself.", Body: "The way round: " + x.way(word) + ". It is left out.",
		Ends: []finding.End{x.end("the group "+by, path), x.end("the group "+word, "groups."+word)},
	})
}

// home gives the first group that has a member of this name, "" if none has. It looks at names alone, so that mirrors of
// mirrors can be asked before they are laid out: each suffix taken off leaves a shorter name, so the search ends.
func (x *expander) home(word string) string {
	seen := map[memberKey]bool{}
	for _, name := range x.f.Groups.Keys {
		if x.has(name, word, seen) {
			return name
		}
	}
	return ""
}

type memberKey struct {
	group string
	n     int // length of the name asked for; all are the beginnings of one word
}

func (x *expander) has(group, word string, seen map[memberKey]bool) bool {
	key := memberKey{group, len(word)}
	if seen[key] {
		return false // asked before, and it was no, or it is being asked
	}
	seen[key] = true
	g := x.f.Groups.Get(group)
	var of []string
	var add string
	switch {
	case g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil || g.Mirror == nil && g.Copy == nil:
		for _, s := range x.group(group) {
			if s.name == word {
				return true
			}
		}
		return false
	case g.Mirror != nil:
		of, add = g.Mirror.Of, suffix(g.Mirror.Suffix, "-m")
	default:
		of, add = g.Copy.Of, suffix(g.Copy.Suffix, "-2")
	}
	base, ok := strings.CutSuffix(word, add)
	if !ok {
		return false
	}
	for _, o := range of {
		_, control := x.f.Controls.Map[o]
		_, isGroup := x.f.Groups.Map[o]
		if !isGroup && o == base || control && o == base || isGroup && !control && x.has(o, base, seen) {
			return true
		}
	}
	return false
}

// allNames gives every name that a mirror or copy could mean.
func (x *expander) allNames() []string {
	names := append([]string{}, x.f.Controls.Keys...)
	names = append(names, x.f.Groups.Keys...)
	for _, g := range x.f.Groups.Keys {
		for _, s := range x.done[g] {
			names = append(names, s.name)
		}
	}
	return names
}

func (x *expander) isOpen(group string) bool {
	for _, o := range x.open {
		if o == group {
			return true
		}
	}
	return false
}

// way names the groups from one that is being laid out back to itself.
func (x *expander) way(group string) string {
	s := ""
	on := false
	for _, o := range x.open {
		on = on || o == group
		if on {
			s += o + ", "
		}
	}
	return s + group
}
