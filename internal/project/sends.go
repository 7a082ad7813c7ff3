package project

import (
	"math"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// Sends is what a control sends to the computer, as the person writes it. Beside the words here, the names of a part's positions may
// stand as keys: {up: button 1, down: button 2}.
type Sends struct {
	// What it sends while it is pressed, on or held: button, button 5, key ctrl+s, consumer volume-up, axis x, hat up, note 60, control 7,
	// program 5, shift, none.
	Press Action `yaml:"press" kw:"scalar"`
	// Several things one after the other, at each press: [key ctrl+c, wait 50 ms, key ctrl+v].
	Steps []string `yaml:"steps" kw:"list"`
	// USB-MIDI: a note, by its number from 0 to 127 or its name (60, C4, F#3), on while it is pressed or on.
	Note string `yaml:"note"`
	// USB-MIDI: a control, 0 to 127. Of a pot its place, of an encoder too; of a button its value while it is pressed, and 0.
	Control string `yaml:"control"`
	// USB-MIDI: a program that a press chooses, 0 to 127.
	Program string `yaml:"program"`
	// USB-MIDI: channel of all here that name none, 1 to 16; default 1.
	Channel *int `yaml:"channel"`
	// USB-MIDI: how hard the note is struck, 1 to 127; default 127.
	Velocity *int `yaml:"velocity"`
	// USB-MIDI: value of the control while it is pressed, 0 to 127; default 127.
	Value *int `yaml:"value"`
	// An encoder: what a click to the right and one to the left send, or one axis or control.
	Turn Turn `yaml:"turn"`
	// A toggle: held (the default) or pulse, a short press at every change. Three positions: one, two or three buttons. A rotary
	// switch: buttons (the default) or axis.
	As string `yaml:"as" jsonschema:"enum=held,enum=pulse,enum=one,enum=two,enum=three,enum=buttons,enum=axis"`
	// How long a pulse or a step lasts; default 20 ms.
	Pulse string `yaml:"pulse"`
	// How long it is quiet after a pulse or a step; default 20 ms.
	Gap string `yaml:"gap"`
	// An encoder as an axis: how far one click moves it; default 1.
	Step int `yaml:"step"`
	// An encoder as an absolute axis: goes round at its ends instead of stopping.
	Wrap bool `yaml:"wrap"`
	// An encoder as an axis: absolute (the default), or relative, which sends only the change.
	Mode string `yaml:"mode" jsonschema:"enum=absolute,enum=relative"`
	// An encoder as an absolute axis, or a rotary switch as an axis: its least and greatest value; default 0 to 255, of a rotary switch 0 to
	// one less than it has positions, of a MIDI control 0 to 127.
	Range *[2]int `yaml:"range"`
	// An encoder as an absolute axis: its value at power-up; default the middle of the range.
	Start *int `yaml:"start"`
	// Pots and encoders: the other way round.
	Reverse bool `yaml:"reverse"`
	// A pot: where its low end reads, in per cent of the full voltage; default 1 %.
	Low string `yaml:"low"`
	// A pot: where its high end reads; default 99 %.
	High string `yaml:"high"`
	// A pot or stick that has a middle: where it reads.
	Middle string `yaml:"middle"`
	// A pot or stick: how far to either side of the middle counts as the middle; default none.
	Dead string `yaml:"dead"`
	// A pot: how much it is smoothed, 0 (not at all) to 8; default 3.
	Filter *int `yaml:"filter"`
	// A pot: a change as small as that is passed over; default 0.2 %.
	Still string `yaml:"still"`
	// What it sends while a shift control is held.
	Shifted yamlfile.Any `yaml:"shifted"`
	// What it sends when it is held for long.
	Long Action `yaml:"long"`
	// What it sends when it is pressed twice.
	Double Action `yaml:"double"`
	// How long a long press is; default 600 ms.
	After string `yaml:"after"`
	// Within which time the second press of two must come; default 300 ms.
	Within string `yaml:"within"`
	// Its lamp: steady, follows itself, follows a control, flips (at each press), host, host 3, note C4, control 7, none.
	Lamp Action `yaml:"lamp"`
	// For how long a contact is not believed after a change; default by the part's bounce.
	Debounce string `yaml:"debounce"`
	// How a contact is believed: once (the default: at its first change), or stable (when it has been still for the debounce time).
	Bounce string `yaml:"bounce" jsonschema:"enum=once,enum=stable"`
}

// Action is one thing that is sent, or several one after the other.
type Action struct {
	Does  string   `yaml:"does" kw:"scalar"` // button 5, key ctrl+s, none
	Steps []string `yaml:"steps" kw:"list"`  // one after the other: [key ctrl+c, wait 50 ms, key ctrl+v]
}

// Turn is what an encoder sends.
type Turn struct {
	Both []Action `yaml:"both" kw:"list"`   // of a click to the right, and of one to the left
	Axis string   `yaml:"axis" kw:"scalar"` // or one axis or control: axis x, control 7
}

// Asked is what a control is to send, read.
type Asked struct {
	Sends
	Written bool // the file says something; else all is the usual
	Main    Deed
	Turns   []Deed // none, one axis, or two for right and left
	Places  []PlaceDeed
	Second  []PlaceDeed // while a shift is held; Name "" is the main contact
	Longer  Deed
	Twice   Deed
	Light   Deed

	// Times in ms; 0 = the usual.
	PulseMS, GapMS, AfterMS, WithinMS, DebounceMS float64
	// Parts of the full voltage, 0 to 1; below 0 = the usual.
	LowPart, HighPart, MiddlePart, DeadPart, StillPart float64

	at   map[string]finding.Pos
	path string
}

// PlaceDeed is what one position of a part sends.
type PlaceDeed struct {
	Name string // of the position
	Deed Deed
	Path string
	Pos  finding.Pos // of the name
}

// Pos is where a word of it stands in the file: "turn", "pulse"; "" is the whole. Zero when it does not.
func (a *Asked) Pos(word string) finding.Pos {
	if word == "" {
		return a.at[a.path]
	}
	return a.at[yamlfile.Join(a.path, word)]
}

// SendsWords are the words that may stand as keys under sends:.
func SendsWords() []string {
	return []string{
		"press", "steps", "note", "control", "program", "channel", "velocity", "value", "turn", "as", "pulse", "gap", "step", "wrap", "mode", "range", "start", "reverse", "low", "high", "middle", "dead", "filter",
		"still", "shifted", "long", "double", "after", "within", "lamp", "debounce", "bounce",
	}
}

// Limits of what may be written.
const (
	maxSteps = 16     // of one macro
	maxMS    = 10_000 // of any time
)

// sendsReader reads one value of sends:.
type sendsReader struct {
	d     *yamlfile.Decoder
	a     Asked
	path  string
	short bool // one value stands in place of named ones
}

// ReadSends reads what a control sends. file is for positions, path for fixes ("controls.go.sends"). What can be understood is in the
// result even when something else in it is wrong; what is wrong comes as problems of the rules send.unknown-word, send.bad-value and
// those of the file. A position's name is not judged here: that takes the part.
func ReadSends(v yamlfile.Any, file, path string) (Asked, []yamlfile.Problem) {
	r := &sendsReader{d: &yamlfile.Decoder{File: file, Bare: length.MM}, path: path}
	a := &r.a
	a.LowPart, a.HighPart, a.MiddlePart, a.DeadPart, a.StillPart = -1, -1, -1, -1, -1
	n := v.Node
	for n != nil && n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	if n == nil || n.Kind == yaml.ScalarNode && (n.Tag == "!!null" || n.Value == "") {
		return r.a, nil
	}
	a.Written = true
	r.short = n.Kind != yaml.MappingNode
	known, places := split(n)
	r.d.Decode(known, &a.Sends, path)
	a.at, a.path = r.d.Pos, path
	a.Main = r.action(a.Press, "press")
	if a.Main.Zero() && len(a.Steps) > 0 {
		a.Main = r.action(Action{Steps: a.Steps}, "")
	}
	r.midi()
	r.turn()
	for i := 0; i+1 < len(places); i += 2 {
		a.Places = append(a.Places, r.place(places[i], places[i+1], path))
	}
	r.shifted()
	a.Longer, a.Twice, a.Light = r.action(a.Long, "long"), r.action(a.Double, "double"), r.action(a.Lamp, "lamp")
	r.channel()
	a.PulseMS, a.GapMS = r.ms(a.Pulse, "pulse"), r.ms(a.Gap, "gap")
	a.AfterMS, a.WithinMS = r.ms(a.After, "after"), r.ms(a.Within, "within")
	a.DebounceMS = r.ms(a.Debounce, "debounce")
	a.LowPart, a.HighPart = r.part(a.Low, "low"), r.part(a.High, "high")
	a.MiddlePart, a.DeadPart, a.StillPart = r.middle(), r.part(a.Dead, "dead"), r.part(a.Still, "still")
	if f := a.Filter; f != nil && (*f < 0 || *f > 8) {
		r.bad("filter", strconv.Itoa(*f), "Smoothing goes from 0 to 8.")
		a.Filter = nil
	}
	return r.a, r.d.Problems
}

// split parts the words that are always known from those that may be positions. "middle" is both: with a number it is where a stick's
// middle reads, else a position.
func split(n *yaml.Node) (known *yaml.Node, places []*yaml.Node) {
	if n.Kind != yaml.MappingNode {
		return n, nil
	}
	words := map[string]bool{}
	for _, w := range SendsWords() {
		words[w] = true
	}
	c := *n
	c.Content = nil
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		isPlace := k.Kind == yaml.ScalarNode && !words[k.Value] && k.Tag != "!!merge"
		if k.Value == "middle" && (v.Kind != yaml.ScalarNode || strings.Trim(v.Value, "0123456789.% ") != "") {
			isPlace = true
		}
		if isPlace {
			places = append(places, k, v)
		} else {
			c.Content = append(c.Content, k, v)
		}
	}
	return &c, places
}

func (r *sendsReader) place(k, v *yaml.Node, path string) PlaceDeed {
	p := yamlfile.Join(path, k.Value)
	var x Action
	r.d.Decode(v, &x, p)
	if PressWord(k.Value) && v.Kind == yaml.ScalarNode {
		x.Does = k.Value + " " + x.Does
	}
	pos := finding.Pos{File: r.d.File, Line: k.Line, Column: k.Column, Length: max(1, len([]rune(k.Value)))}
	return PlaceDeed{Name: k.Value, Deed: r.deed(x, p), Path: p, Pos: pos}
}

// PressWord reports whether a word begins what a press sends, and is no key under sends: itself: {axis: x} is meant as press: axis x.
func PressWord(word string) bool {
	switch DeedKind(word) {
	case Button, Key, Consumer, System, AxisDeed, HatDeed:
		return true
	}
	return false
}

func (r *sendsReader) turn() {
	a := &r.a
	p := yamlfile.Join(r.path, "turn")
	switch {
	case a.Turn.Axis != "":
		a.Turns = []Deed{r.deed(Action{Does: a.Turn.Axis}, p)}
	case len(a.Turn.Both) == 2:
		for i, x := range a.Turn.Both {
			a.Turns = append(a.Turns, r.deed(x, yamlfile.Join(p, strconv.Itoa(i))))
		}
	case len(a.Turn.Both) > 0:
		r.bad("turn", strconv.Itoa(len(a.Turn.Both))+" things", "Turning sends two: what a click to the right sends, then what one to the left sends. Or one axis.")
	}
}

// shifted reads the second layer: of the main contact, or position by position.
func (r *sendsReader) shifted() {
	n := r.a.Shifted.Node
	if n == nil {
		return
	}
	p := yamlfile.Join(r.path, "shifted")
	if n.Kind == yaml.MappingNode && !hasKey(n, "does") && !hasKey(n, "steps") {
		for i := 0; i+1 < len(n.Content); i += 2 {
			x := r.place(n.Content[i], n.Content[i+1], p)
			if x.Name == "press" {
				x.Name = ""
			}
			r.a.Second = append(r.a.Second, x)
		}
		return
	}
	var x Action
	r.d.Decode(n, &x, p)
	r.a.Second = []PlaceDeed{{Deed: r.deed(x, p), Path: p, Pos: r.d.Pos[p]}}
}

func hasKey(n *yaml.Node, key string) bool {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return true
		}
	}
	return false
}

func (r *sendsReader) action(x Action, word string) Deed {
	p := yamlfile.Join(r.path, word)
	if word == "" || r.short {
		p = r.path
	}
	return r.deed(x, p)
}

// deed reads an action; its place is kept with it.
func (r *sendsReader) deed(x Action, path string) Deed {
	pos := r.d.Pos[path]
	if len(x.Steps) > 0 {
		return r.macro(x.Steps, path, pos)
	}
	if strings.TrimSpace(x.Does) == "" {
		return Deed{}
	}
	d, slip := ParseDeed(x.Does)
	if slip != nil {
		r.slip(*slip, path, pos)
		return Deed{Path: path, Pos: pos, Text: x.Does}
	}
	if d.Kind == Wait {
		r.slip(Slip{Bad: true, Say: "A wait stands alone; it belongs between steps: [key a, wait 50 ms, key b]."}, path, pos)
		return Deed{Path: path, Pos: pos, Text: x.Does}
	}
	d.Path, d.Pos = path, pos
	return d
}

func (r *sendsReader) macro(steps []string, path string, pos finding.Pos) Deed {
	out := Deed{Kind: Macro, Path: path, Pos: pos, Text: strings.Join(steps, ", ")}
	if len(steps) > maxSteps {
		r.slip(Slip{Bad: true, Say: "There are " + strconv.Itoa(len(steps)) + " steps; " + strconv.Itoa(maxSteps) + " are the most. A long sequence belongs into a program on the computer."}, path, pos)
		return Deed{Path: path, Pos: pos}
	}
	for _, s := range steps {
		d, slip := ParseDeed(s)
		switch {
		case slip != nil:
			r.slip(*slip, path, pos)
			return Deed{Path: path, Pos: pos}
		case d.Kind != Wait && d.Kind != Button && d.Kind != Key && d.Kind != Consumer && d.Kind != System && !d.MIDI():
			r.slip(Slip{Bad: true, Say: strconv.Quote(cut(s)) + " cannot be a step. Steps are buttons, keys, media keys, notes, controls, programs and waits."}, path, pos)
			return Deed{Path: path, Pos: pos}
		}
		out.Steps = append(out.Steps, d)
	}
	return out
}

// slip adds a problem; where it knows the right text, with the fix that writes it.
func (r *sendsReader) slip(s Slip, path string, pos finding.Pos) {
	if pos.Line == 0 {
		pos = r.d.Pos[r.path]
	}
	p := yamlfile.Problem{Rule: "send.unknown-word", Pos: pos, Path: path, Say: s.Say, Hint: s.Hint}
	if s.Bad {
		p.Rule = "send.bad-value"
	}
	if s.Better != "" {
		p.Fixes = []finding.Fix{{Say: "Write " + s.Better, Short: s.Better, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: quoted(s.Better)}}}}
	}
	r.d.Problems = append(r.d.Problems, p)
}

// quoted writes a text as YAML flow text.
func quoted(s string) string {
	if strings.ContainsAny(s, ",:#[]{}&*!|>'\"%@`") {
		return strconv.Quote(s)
	}
	return s
}

func (r *sendsReader) bad(word, have, say string) {
	r.slip(Slip{Bad: true, Say: word + ": " + cut(have) + " cannot be. " + say}, yamlfile.Join(r.path, word), r.d.Pos[yamlfile.Join(r.path, word)])
}

// ms reads a time; 0 when none is given or it cannot be read.
func (r *sendsReader) ms(s, word string) float64 {
	if strings.TrimSpace(s) == "" {
		return 0
	}
	v, ok := parseMS(s)
	if !ok || v < 1 || v > maxMS {
		r.bad(word, s, "A time is written like 20 ms or 0.5 s, from 1 ms to 10 s.")
		return 0
	}
	return v
}

func parseMS(s string) (float64, bool) {
	t, scale := strings.TrimSpace(s), 1.0
	if body, ok := strings.CutSuffix(t, "ms"); ok {
		t = body
	} else if body, ok := strings.CutSuffix(t, "s"); ok {
		t, scale = body, 1000
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
	return v * scale, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// part reads a part of the whole: "3 %", "0.03"; below 0 when none is given or it cannot be read.
func (r *sendsReader) part(s, word string) float64 {
	if strings.TrimSpace(s) == "" {
		return -1
	}
	t, scale := strings.TrimSpace(s), 1.0
	if body, ok := strings.CutSuffix(t, "%"); ok {
		t, scale = strings.TrimSpace(body), 0.01
	}
	v, err := strconv.ParseFloat(t, 64)
	if v *= scale; err != nil || math.IsNaN(v) || v < 0 || v > 1 {
		r.bad(word, s, "It is a part of the full voltage, from 0 % to 100 %.")
		return -1
	}
	return v
}

func (r *sendsReader) middle() float64 { return r.part(r.a.Middle, "middle") }
