package project

import (
	"strconv"
	"strings"

	"knobwright/internal/yamlfile"
)

// midi reads what stands under note:, control: and program:, of which one may, in place of press:.
func (r *sendsReader) midi() {
	a := &r.a
	for _, x := range []struct {
		kind DeedKind
		text string
	}{{Note, a.Note}, {MIDIControl, a.Control}, {Program, a.Program}} {
		text := strings.TrimSpace(x.text)
		if text == "" {
			continue
		}
		word := string(x.kind)
		if !a.Main.Zero() {
			r.bad(word, text, "A press sends one thing, and "+a.Main.String()+" stands here already. For several, write steps: [...].")
			continue
		}
		p := yamlfile.Join(r.path, word)
		d, slip := ParseDeed(word + " " + text)
		if slip != nil {
			slip.Better = strings.TrimPrefix(slip.Better, word+" ")
			r.slip(*slip, p, r.d.Pos[p])
			a.Main = Deed{Path: p, Pos: r.d.Pos[p], Text: text}
			continue
		}
		d.Path, d.Pos = p, r.d.Pos[p]
		a.Main = d
	}
	for _, x := range []struct {
		kind   DeedKind
		word   string
		value  *int
		lo, hi int
	}{{Note, "velocity", a.Velocity, 1, 127}, {MIDIControl, "value", a.Value, 0, 127}} {
		switch {
		case x.value == nil:
		case *x.value < x.lo || *x.value > x.hi:
			r.bad(x.word, strconv.Itoa(*x.value), "It goes from "+strconv.Itoa(x.lo)+" to "+strconv.Itoa(x.hi)+".")
		case a.Main.Kind != x.kind:
			r.bad(x.word, strconv.Itoa(*x.value), "It is for "+string(x.kind)+":, which does not stand here.")
		default:
			a.Main.Value = *x.value
		}
	}
}

// channel gives all that is of MIDI, and names no channel, that of the whole.
func (r *sendsReader) channel() {
	a := &r.a
	all := 1
	if c := a.Channel; c != nil {
		if *c < 1 || *c > 16 {
			r.bad("channel", strconv.Itoa(*c), "Channels go from 1 to 16.")
		} else {
			all = *c
		}
	}
	any := false
	var put func(d *Deed)
	put = func(d *Deed) {
		any = any || d.MIDI()
		if d.MIDI() && d.Channel == 0 {
			d.Channel = all
		}
		for i := range d.Steps {
			put(&d.Steps[i])
		}
	}
	for _, d := range []*Deed{&a.Main, &a.Longer, &a.Twice} {
		put(d)
	}
	for i := range a.Turns {
		put(&a.Turns[i])
	}
	for _, list := range [][]PlaceDeed{a.Places, a.Second} {
		for i := range list {
			put(&list[i].Deed)
		}
	}
	if a.Channel != nil && all == *a.Channel && !any {
		r.bad("channel", strconv.Itoa(*a.Channel), "It is for notes, controls and programs, of which none stands here.")
	}
}
