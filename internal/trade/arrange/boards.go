package arrange

import (
	"strings"

	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// Board is a board with controls, one of which is arranged at a time.
type Board struct {
	On       string `json:"on"`       // as the file says it: back, left, upper; "" = the face
	Name     string `json:"name"`     // in sentences: "the back"
	Board    string `json:"board"`    // its name among the boards of the box; "" = the face
	Controls int    `json:"controls"` // that stand on it, or are for it and have no place yet
}

// Boards lists the face and the other boards that have controls, or are to have some.
func Boards(doc *project.Doc, p *panel.Panel) []Board {
	out := []Board{{Name: "the face", Controls: len(p.Controls)}}
	for _, s := range p.Sides {
		if n := len(s.Panel.Controls); n > 0 {
			out = append(out, Board{On: s.On, Name: s.Name, Board: s.Panel.Board, Controls: n})
		}
	}
next:
	for _, c := range p.Waiting {
		on := boardFor(doc, c)
		for i := range out {
			if out[i].On == on {
				out[i].Controls++
				continue next
			}
		}
		out = append(out, Board{On: on, Name: spoken(on), Controls: 1})
	}
	return out
}

// spoken is what a board is called that is not in the box, or not yet.
func spoken(on string) string {
	switch on {
	case "left", "right":
		return "the " + on + " side"
	case "upper":
		return "the upper face"
	case "rest":
		return "the hand rest"
	}
	return "the " + on
}

// NoBoard says that there is nothing to arrange on a board that was asked for, and where there is; "" = there is.
func NoBoard(doc *project.Doc, p *panel.Panel, on string) string {
	var names []string
	for _, b := range Boards(doc, p) {
		if b.On == plainBoard(on) {
			return ""
		}
		if b.On == "" {
			b.On = "face"
		}
		names = append(names, b.On)
	}
	return "No control is on a board called " + on + ". There are some on: " + strings.Join(names, ", ") + "."
}

func plainBoard(on string) string {
	if on == "face" {
		return ""
	}
	return on
}

// boardFor is the board that a control without a place is for, as the file says it; "" = the face.
func boardFor(doc *project.Doc, c *panel.Control) string {
	g := doc.File.Groups.Get(c.Group)
	rec := doc.File.Controls.Get(c.Name)
	if c.Group != "" {
		rec = g.Controls.Get(c.Name)
	}
	if rec.On == "" {
		rec.On = g.On
	}
	return plainBoard(rec.On)
}

// sheet is the board of a placed panel that is arranged; nil when nothing is on it yet.
func (j *job) sheet(p *panel.Panel) *panel.Panel {
	if j.On == "" {
		return p
	}
	for _, s := range p.Sides {
		if s.On == j.On {
			return s.Panel
		}
	}
	return nil
}

// name is what the board is called in sentences.
func (j *job) name() string {
	if j.On == "" {
		return "the face"
	}
	for _, s := range j.whole.Sides {
		if s.On == j.On {
			return s.Name
		}
	}
	return spoken(j.On)
}
