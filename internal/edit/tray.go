package edit

import (
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// Lying is a control of the file that has no place, no part or no board yet: it lies in the tray beside the face.
type Lying struct {
	Name  string  `json:"name"`
	Label string  `json:"label"`
	Part  string  `json:"part"`  // catalogue name; "" = none yet
	Title string  `json:"title"` // of its part
	Hole  float64 `json:"hole"`  // mm, diameter or width; 0 = not known
	Path  string  `json:"path"`  // in the file
	Line  int     `json:"line"`  // in the file
	On    string  `json:"on"`    // the board that it is for; "" = the face
	Why   string  `json:"why"`   // what it lacks: "no place yet"
	Free  bool    `json:"free"`  // a place of its own is all that it lacks
}

// Tray lists what lies beside the face, in the order of the file.
func Tray(doc *project.Doc, p *panel.Panel) []Lying {
	m := &maker{doc: doc, p: p, inch: p.Units == string(length.Inch)}
	out := []Lying{}
	for _, c := range p.Waiting {
		x := Lying{Name: c.Name, Label: c.Label, Part: c.Part.ID, Title: c.Part.Title, Path: c.Origin.Path, Line: c.Origin.Pos.Line, On: m.board(c)}
		if c.Part.ID != "" {
			x.Hole = c.Part.Hole.Nominal()
		}
		_, why := m.seat(c)
		x.Why, x.Free = why, why == noPlace
		out = append(out, x)
	}
	return out
}

const noPlace = "no place yet"

// board is the board that a control without a place is for, as the file says it; "" = the face.
func (m *maker) board(c *panel.Control) string {
	on := m.record(c).On
	if on == "" && c.Group != "" {
		on = m.doc.File.Groups.Get(c.Group).On
	}
	if on == "face" {
		return ""
	}
	return on
}

// seat gives the path of the place of a control that has none, and what it lacks; the path is "" when a place is not what it lacks.
func (m *maker) seat(c *panel.Control) (path, why string) {
	g := m.doc.File.Groups.Get(c.Group)
	rec := m.record(c)
	switch {
	case image(c):
		return "", "it is made by the group " + c.Group + ": that has to be mended"
	case c.Part.ID == "" && (rec.Part != "" || c.Group != "" && g.Part != ""):
		return "", "no part is called so"
	case c.Part.ID == "":
		return "", "no part yet"
	case rec.At != nil && m.board(c) != "":
		return "", "there is no such board: " + m.board(c)
	case rec.At != nil, c.Group != "" && (g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil || g.Names != ""):
		return "", "it is placed by the group " + c.Group + ": that has to be mended"
	}
	return own(c) + ".at", noPlace
}

// seatAll gives places to controls that have none: as typed, or free ones on the face when nothing was typed. What cannot be done is
// refused.
func (m *maker) seatAll(cs []*panel.Control, want [2]*float64, typed [2]string) (Done, error) {
	var edits []finding.Edit
	var free []geom.Box2 // that have been given out
	for _, c := range cs {
		path, why := m.seat(c)
		if path == "" {
			return Done{}, refuse(c.Label, " cannot be put there: ", why, ".")
		}
		var at geom.Vec2
		switch {
		case want[0] != nil && want[1] != nil:
			at = geom.Vec2{X: *want[0], Y: *want[1]}
		case want[0] != nil || want[1] != nil:
			return Done{}, refuse(c.Label, " has no place yet: write how far across it is and how far up.")
		case m.board(c) != "":
			return Done{}, refuse(c.Label, " is for another board (", m.board(c), "): write how far across it is and how far up there.")
		default:
			b := room(c.Part)
			at = m.anywhere(b, free...)
			free = append(free, geom.Box2{Min: b.Min.Add(at), Max: b.Max.Add(at)})
			typed = [2]string{}
		}
		text := [2]string{m.value(at.X), m.value(at.Y)}
		for i, t := range typed {
			if t != "" {
				text[i] = t
			}
		}
		edits = append(edits, set(path, "["+text[0]+", "+text[1]+"]"))
	}
	d, err := m.finish(edits, nil, "place", cs, "")
	for _, c := range cs {
		d.Hand = append(d.Hand, c.Name)
	}
	return d, err
}

// lying parts controls into those that have a place on a board and those that have none.
func (m *maker) lying(cs []*panel.Control) (lie, stand []*panel.Control) {
	for _, c := range cs {
		if m.on[c] == nil {
			lie = append(lie, c)
		} else {
			stand = append(stand, c)
		}
	}
	return lie, stand
}

// part gives controls another part of the catalogue.
func (m *maker) part(cs []*panel.Control, id string) (Done, error) {
	part, ok := m.cat.Part(id)
	if !ok {
		return Done{}, refuse("There is no part called ", short(id), ".")
	}
	if part.Hole.Outline().Empty() {
		return Done{}, refuse(part.Title, " is nothing that goes into a face.")
	}
	var edits []finding.Edit
	for _, c := range cs {
		switch {
		case image(c):
			return Done{}, refuse(c.Label, " is made by the group ", c.Group, " from ", c.From, ": that one has the part.")
		case c.Part.ID != part.ID:
			edits = append(edits, set(own(c)+".part", part.ID))
		}
	}
	d, err := m.finish(edits, nil, "another part for", cs, "It is that part already.")
	if err == nil && slices.ContainsFunc(cs, func(c *panel.Control) bool { return strings.TrimSpace(m.record(c).Adjust.Text()) != "" }) {
		d.Note = "What adjust: says in the file is laid over the new part too."
	}
	return d, err
}

// size gives the face its width and height, as typed.
func (m *maker) size(a Act) (Done, error) {
	if m.doc.File.Face.Rack > 0 {
		return Done{}, refuse("The face is a rack panel: its size follows from rack.")
	}
	d := Done{Say: "size of the face"}
	for i, s := range []string{a.Across, a.Up} {
		key, what := "width", "wide"
		if i == 1 {
			key, what = "height", "high"
		}
		if strings.TrimSpace(s) == "" {
			return Done{}, refuse("Write both, how wide the face is and how high.")
		}
		v, err := m.read(s)
		if err != nil {
			return Done{}, err
		}
		if v <= 0 {
			return Done{}, refuse("A face is more than nothing ", what, ".")
		}
		t := plainly(s)
		if !ownWords(t) {
			t = m.value(v)
		}
		d.Edits = append(d.Edits, set("face."+key, t))
	}
	return d, nil
}
