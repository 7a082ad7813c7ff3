// Package intake starts a panel from what is there already: a drawing (DXF, SVG) or a list of holes (CSV). Circles and rectangles become
// cut-outs with the parts that likely go into them; nothing is claimed that the drawing does not say, and what was guessed is said.
//
// The readers give a Drawing; Plan finds face, holes, screws and lettering in it; File writes the panel file. Everything is pure.
package intake

import (
	"fmt"

	"knobwright/internal/geom"
)

// Drawing is what a reader found: closed curves and lettering, in the drawing's own unit, y up.
type Drawing struct {
	From    string  // "the drawing", "the list"
	Unit    float64 // mm in one unit of the drawing; 0 = the drawing does not say
	UnitSay string  // "millimetres, by $INSUNITS"; "" = it does not say
	Inch    bool    // it is drawn in inches: the panel file is written in them too
	Corner  bool    // places count from the lower left corner of the face
	Curves  []Curve
	Labels  []Label
	Left    []string // what was seen and left out, in words
}

// Curve is a closed curve.
type Curve struct {
	Outline geom.Outline
	Layer   string
	Name    string // of a list: what the hole is called
	Part    string // of a list: the part that it names
	Legend  string // of a list
	Line    int    // in the file, 0 = not known
}

// Label is lettering.
type Label struct {
	At    geom.Vec2 // its middle, as far as it is known
	Text  string
	Layer string
}

// limits of what is read: a drawing of a panel has a few thousand curves at the very most.
const (
	curvesMost = 20000
	partsMost  = 200000 // lines and arcs
)

// inch in mm.
const inch = 25.4

// note counts what is left out.
type note struct {
	order []string
	n     map[string]int
}

func (c *note) add(what string) {
	if c.n == nil {
		c.n = map[string]int{}
	}
	if c.n[what] == 0 {
		c.order = append(c.order, what)
	}
	c.n[what]++
}

func (c *note) say() []string {
	var out []string
	for _, w := range c.order {
		out = append(out, fmt.Sprintf("%d %s", c.n[w], w))
	}
	return out
}

// looseEnds says how many pieces close to no outline, nothing when all do.
func looseEnds(n int) []string {
	switch n {
	case 0:
		return nil
	case 1:
		return []string{"a line or arc that closes to no outline"}
	}
	return []string{fmt.Sprintf("%d lines and arcs that close to no outline", n)}
}
