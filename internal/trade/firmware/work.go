package firmware

import (
	"fmt"
	"slices"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// worker holds what the parts of the trade share.
type worker struct {
	p      *panel.Panel
	w      wiring.Result
	r      Result
	chip   *chip // nil when the module is missing or unknown
	module *wiring.Board

	asked  map[*panel.Control]*project.Asked
	copied map[*panel.Control]bool
	list   []piece
	steady []*panel.Control // lamps that are lit all the time, because the file says nothing of them

	slots  []slot
	layout layout
	scan   scan
	tick   float64 // ms

	// What is emitted.
	inputs     []input
	pulses     []core.Pulse
	macros     []core.Macro
	toggles    []toggle
	gestures   []gesture
	turns      []turning
	choices    []choice
	neithers   []neither
	neitherOf  map[int][]int   // bits, by piece
	hats       map[int]*[4]int // by number: inputs up, right, down, left; -1 = none
	lampLabels []string        // by lamp
	refused    bool            // something cannot be as the file has it: no table is made
}

// Work maps a placed and wired panel. It never panics on files that make no sense, and the same panel gives the same result.
func Work(p *panel.Panel, wired wiring.Result) Result {
	w := &worker{p: p, w: wired, asked: map[*panel.Control]*project.Asked{}, copied: map[*panel.Control]bool{}, hats: map[int]*[4]int{}, neitherOf: map[int][]int{}}
	w.board()
	w.read()
	w.pieces()
	w.number()
	w.layOut()
	w.judge()
	w.scanPins()
	w.emit()
	w.bitList()
	w.rows()
	w.name()
	w.build()
	return w.r
}

// board finds the module's chip.
func (w *worker) board() {
	w.tick = 1
	for i := range w.w.Boards {
		b := &w.w.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role != "module" {
			continue
		}
		w.module = b
		if w.chip = chipNamed(b.Part.Board.Chip); w.chip == nil {
			w.found(ruleNoChip, finding.Finding{
				Head: "There is no firmware for the chip of " + b.Label + ", " + b.Part.Board.Chip + ".", Body: "The mapping table is made; an image is not. Firmware exists for RP2040 and ATmega32U4.",
				Ends: []finding.End{{Name: "module", Path: "module", Pos: w.p.Pos("module")}},
			})
			return
		}
		us := w.chip.usual(b.Part.Board.Volts)
		if t := w.p.USB.Tick; t != 0 {
			if t < 100 || t > 10000 {
				w.found(ruleBadValue, finding.Finding{
					Head: "The contacts cannot be looked at every " + itoa(t) + " thousandths of a millisecond.", Body: "From 100 to 10000 can be; the usual " + itoa(us) + " is taken.",
					Ends: []finding.End{{Name: "usb", Path: "usb.tick", Pos: w.p.Pos("usb.tick")}},
				})
			} else {
				us = t
			}
		}
		w.r.Chip, w.tick = w.chip.name, float64(us)/1000
		w.r.Tick = w.tick
		return
	}
}

// found adds a finding.
func (w *worker) found(r finding.Rule, f finding.Finding) {
	f.Rule = r.Name
	if f.Severity == finding.Note {
		f.Severity = r.Severity
	}
	w.r.Findings = append(w.r.Findings, f)
}

// cannot says that a control cannot send what the file asks.
func (w *worker) cannot(c *panel.Control, pos finding.Pos, head, body string) {
	if w.copied[c] {
		return // said of the one that it was made from
	}
	w.found(ruleCannot, finding.Finding{Head: head, Body: body, Ends: []finding.End{w.end(c, pos)}})
}

// lack says that the core has no way to do what the file asks.
func (w *worker) lack(c *panel.Control, pos finding.Pos, what, body string) {
	if w.copied[c] {
		return
	}
	w.found(ruleCore, finding.Finding{Head: c.Label + " " + what + ", which the firmware cannot do.", Body: body, Ends: []finding.End{w.end(c, pos)}})
}

// rows makes the mapping table.
func (w *worker) rows() {
	for i := range w.list {
		x := &w.list[i]
		row := Row{Control: x.c, Name: x.key, Label: x.label, Legend: strings.Join(x.c.Legend.Lines, " "), Lamp: x.kind == lamp}
		if x.kind == lamp {
			row.Sends, row.How = x.does.String(), w.lampHow(x)
			row.Board, row.Pin = w.where(x)
			if x.does.MIDI() {
				m := midiOf(&x.does)
				row.MIDI = fmt.Sprintf("%02X %02X", m.status, m.number)
			}
			if x.does.Kind == project.HostDeed {
				row.Place = w.layout.lampPlace(x.does.Number)
				row.Auto = w.auto(&x.does)
			}
			w.r.Rows = append(w.r.Rows, row)
			continue
		}
		row.Raw = w.raws(x)
		put := func(d *project.Deed, tail, how string) {
			if d.Zero() {
				return
			}
			y := row
			if tail != "" {
				y.Name, y.Label = y.Name+"/"+tail, y.Label+", "+tailWords[tail]
			}
			y.Sends, y.How, y.Auto = d.String(), how, w.auto(d)
			y.Board, y.Pin = w.where(x)
			y.Place = w.layout.place(d)
			y.MIDI = message(d, x.whole() && d == &x.does)
			w.r.Rows = append(w.r.Rows, y)
		}
		switch {
		case x.kind == turn && !x.whole():
			put(&x.does, "right", w.pulseWords(x)+" each click")
			put(&x.left, "left", w.pulseWords(x)+" each click")
		case x.kind == turn:
			put(&x.does, "", w.turnWords(x))
		case x.kind == track:
			put(&x.does, "", w.trackWords(x))
		case x.kind == choose:
			put(&x.does, "", w.chooseWords(x))
		default:
			put(&x.does, "", w.contactWords(x))
			put(&x.release, "off", w.pulseWords(x))
			put(&x.second, "shifted", "while a shift is held")
			put(&x.long, "long", "long press of "+plainMS(w.after(x)))
			put(&x.twice, "double", "second press within "+plainMS(w.within(x)))
		}
	}
}

var tailWords = map[string]string{"right": "to the right", "left": "to the left", "off": "off", "shifted": "shifted", "long": "long", "double": "double"}

func (w *worker) contactWords(x *piece) string {
	switch {
	case x.does.Kind == project.None:
		return ""
	case !x.long.Zero() || !x.twice.Zero():
		return "short press, " + w.pulseWords(x)
	case x.pulse && x.release.Zero():
		return w.pulseWords(x) + " at every change"
	case x.pulse:
		return w.pulseWords(x) + " when it closes"
	case x.does.Kind == project.Macro:
		return "once at each press, step by step"
	case x.none:
		return "while no contact is closed"
	case x.does.Kind == project.Note:
		return "sounds while held: " + project.NoteName(x.does.Number)
	case x.does.Kind == project.MIDIControl:
		return "value " + itoa(x.does.Value) + " while held, then 0"
	case x.does.Kind == project.Program:
		return "at each press"
	case x.invert:
		return "held while it is open"
	}
	return "held"
}

func (w *worker) pulseWords(x *piece) string { return "pulse of " + plainMS(w.pulseMS(x)) }

func (w *worker) turnWords(x *piece) string {
	if x.does.Kind == project.None {
		return ""
	}
	lo, hi := x.span()
	s := itoa(lo) + " to " + itoa(hi)
	switch {
	case x.asked.Mode == "relative":
		s = "relative"
	case x.asked.Wrap:
		s += ", goes round"
	default:
		s += ", stops at its ends"
	}
	return s + ", " + itoa(turnStep(x.asked)) + " a click"
}

func (w *worker) trackWords(x *piece) string {
	if x.does.Kind == project.None {
		return ""
	}
	s := "0 to " + itoa(w.fullScale())
	if lo, most := x.span(); x.does.MIDI() {
		s = itoa(lo) + " to " + itoa(most)
	}
	if x.asked.Reverse {
		s += ", reversed"
	}
	return s
}

func (w *worker) chooseWords(x *piece) string {
	if x.does.Kind == project.None {
		return ""
	}
	lo, hi := x.span()
	if x.asked.Reverse {
		lo, hi = hi, lo
	}
	n := len(x.sig)
	if x.coded {
		n = 1 << n
	}
	return itoa(lo) + " to " + itoa(hi) + " over its " + itoa(n) + " positions"
}

// lampHow tells what a lamp goes by.
func (w *worker) lampHow(x *piece) string {
	switch x.does.Kind {
	case project.Steady:
		return "lit while the panel is awake"
	case project.Follows:
		return "lit while the control is on"
	case project.Flips:
		return "on and off in turn at each press"
	case project.HostDeed:
		return "by the computer"
	case project.Note:
		return "lit while the computer plays it: " + project.NoteName(x.does.Number)
	case project.MIDIControl:
		return "lit while the computer has it at 64 or more"
	}
	return "dark"
}

// where gives the board and the pin, or the pins, of a piece.
func (w *worker) where(x *piece) (board, pin string) {
	var pins []string
	for _, i := range x.sig {
		if i >= len(w.w.Plan.Seats) {
			continue
		}
		s := w.w.Plan.Seats[i]
		switch s.Way {
		case wiring.Waits:
		case wiring.Matrix:
			board = "module"
			pins = append(pins, w.w.Signals[s.Row].Name+" x "+w.w.Signals[s.Column].Name)
		case wiring.Ladder:
			board = "module"
			pins = append(pins, "ladder step "+itoa(s.Step+1))
		default:
			board = s.Pin.Of
			pins = append(pins, w.printed(s.Pin))
		}
	}
	return board, strings.Join(pins, ", ")
}

// printed is the name of a pin as it is printed on its board.
func (w *worker) printed(t wiring.Terminal) string {
	for i := range w.w.Boards {
		if b := &w.w.Boards[i]; b.Name == t.Of && b.Part.Board != nil {
			if p, ok := b.Part.Board.Pin(t.Lug); ok && p.Name != "" {
				return p.Name
			}
		}
	}
	return t.Lug
}

// Reports lists the reports of the controls' interface; empty when nothing is sent.
func (r *Result) Reports() []*hid.Report {
	for _, x := range r.Interfaces {
		if x.Name == nameControls {
			return slices.Clone(x.Means.Reports)
		}
	}
	return nil
}
