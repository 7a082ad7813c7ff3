package main

import (
	"strings"

	"knobwright/internal/catalog"
)

// The picture of the caliper card: a part from the side, front at the left, drawn once in plain characters; each reading
// marks its own span under it, or its own width across it.
var cardPart = []string{
	"              +--+      +---+            +-----------+     ",
	"        +-----+  +------+   +------------+           |===  ",
	"  ======| cap |rim thread nut            |    body   |     ",
	"        +-----+  +------+   +------------+           |===  ",
	"              +--+      +---+            +-----------+     ",
}

// span is where a reading is taken: along the part from column a to b, or across it at column a.
type span struct {
	a, b   int
	across bool
}

var cardSpans = map[catalog.Spot]span{
	catalog.SpotThread:       {a: 34, across: true},
	catalog.SpotPitch:        {a: 31, b: 33},
	catalog.SpotThreadLength: {a: 17, b: 41},
	catalog.SpotShoulder:     {a: 39, across: true},
	catalog.SpotNutFlats:     {a: 26, across: true},
	catalog.SpotNutThick:     {a: 24, b: 28},
	catalog.SpotWasher:       {a: 29, across: true},
	catalog.SpotWashers:      {a: 28, b: 30},
	catalog.SpotBody:         {a: 47, across: true},
	catalog.SpotBodyDepth:    {a: 17, b: 53},
	catalog.SpotLugDepth:     {a: 17, b: 57},
	catalog.SpotLugs:         {a: 53, b: 57},
	catalog.SpotRim:          {a: 15, across: true},
	catalog.SpotRimThick:     {a: 14, b: 17},
	catalog.SpotCap:          {a: 10, across: true},
	catalog.SpotLegs:         {a: 17, b: 30},
	catalog.SpotTab:          {a: 19, across: true},
	catalog.SpotLever:        {a: 2, b: 17},
	catalog.SpotShaft:        {a: 4, across: true},
	catalog.SpotKnob:         {a: 10, across: true},
	catalog.SpotSeat:         {a: 17, b: 18},
}

// cardPicture draws where a reading is taken, "" when there is nothing to point at.
func cardPicture(s catalog.Spot) string {
	sp, ok := cardSpans[s]
	if !ok {
		return ""
	}
	lines := append([]string(nil), cardPart...)
	mark := func(c int, r byte) string { return strings.Repeat(" ", c) + string(r) }
	if sp.across {
		lines = append([]string{mark(sp.a, 'v')}, lines...)
		lines = append(lines, mark(sp.a, '^')+" "+string(s))
	} else {
		width := sp.b - sp.a
		bar := "|"
		switch {
		case width >= 4:
			bar = "|<" + strings.Repeat("-", width-3) + ">|"
		case width > 0:
			bar = "|" + strings.Repeat("-", width-1) + "|"
		}
		lines = append(lines, strings.Repeat(" ", sp.a)+bar+" "+string(s))
	}
	return strings.Join(lines, "\n")
}
