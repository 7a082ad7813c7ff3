package packet

import (
	"fmt"

	"knobwright/internal/carcass"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/trade/box"
)

// orderTable is the order of cuts: one line for each setting of fence and blade, with all that is cut so.
func orderTable(l *lister, r *job.Result, d desk) {
	settings := box.Settings(r.Panel.Carcass, r.Box.Order, r.Box.Laser)
	if len(settings) == 0 {
		return
	}
	l.heading("Order of cuts, " + d.unit())
	say := "Set fence and blade once, then cut all that stands beside it. Cut the first edge of a board straight, then lay that on the fence. Widths and lengths are over the longer side."
	switch {
	case r.Box.Laser:
		say = "The laser has cut the boards. What is left to do by hand:"
	case r.Box.Saw == "hand":
		say = "Mark all that stands beside a size at once, with a marking gauge or a stop; saw a hair outside the line and plane to it. Bevels: mark both sides of the board, then plane from one line to the other."
	}
	l.para(say, true)
	fence := "fence to"
	if r.Box.Saw == "hand" || r.Box.Laser {
		fence = "size"
	}
	cols := []column{{head: "", w: 6, tick: true}, {head: fence, w: 18, right: true, bold: true}, {head: "blade", w: 46}, {head: "boards and edges", w: 0}}
	for i := 0; i < len(settings); {
		group := settings[i].Group
		var rows []row
		for ; i < len(settings) && settings[i].Group == group; i++ {
			s := settings[i]
			at := "line"
			if s.Fence > 0 {
				at = d.coord(round1(s.Fence))
			}
			rows = append(rows, row{"x", at, bladeWords(r, d, s), s.Say()})
		}
		l.room(32) // the name of a group stands with its first line
		l.para(group, false)
		l.table(cols, rows)
	}
}

// bladeWords says how the blade stands, or what joint is cut.
func bladeWords(r *job.Result, d desk, s box.Setting) string {
	switch s.Work {
	case carcass.WorkRebate:
		return "rebate " + s.Detail
	case carcass.WorkFingers:
		return "fingers " + s.Detail
	}
	if s.Tilt == 0 {
		return "square"
	}
	verb := "tilted"
	if r.Box.Laser || r.Box.Saw == "hand" {
		verb = "bevel"
	}
	return fmt.Sprintf("%s %s°: %s over on %s, %s side longer", verb, length.Plain(round1(s.Tilt)), d.num(round1(s.Over)), d.num(round1(s.Thick)), s.Longer)
}
