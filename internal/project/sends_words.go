package project

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// DeedKind is a kind of thing that a control can send, or that a lamp goes by.
type DeedKind string

// The kinds. Steady to Host are for lamps.
const (
	Button      DeedKind = "button"
	Key         DeedKind = "key"
	Consumer    DeedKind = "consumer"
	System      DeedKind = "system"
	AxisDeed    DeedKind = "axis"
	HatDeed     DeedKind = "hat"
	Note        DeedKind = "note"
	MIDIControl DeedKind = "control" // of USB-MIDI
	Program     DeedKind = "program" // likewise
	Shift       DeedKind = "shift"
	None        DeedKind = "none"
	Wait        DeedKind = "wait"
	Macro       DeedKind = "steps"
	Steady      DeedKind = "steady"
	Follows     DeedKind = "follows"
	Flips       DeedKind = "flips"
	HostDeed    DeedKind = "host"
)

// Deed is one thing that is sent, understood.
type Deed struct {
	Kind    DeedKind
	Number  int    // of a button, hat, note, MIDI control, program or host lamp; 0 = to be given (of MIDI, 0 is a number)
	Name    string // an axis, a direction, a media key, a key; of a lamp: the control that it goes by, "" = its own
	Mods    []string
	Usage   uint16  // of a key, a media key or a system control, on its page of the HID Usage Tables
	Mask    uint8   // of modifiers, bit 0 = left control
	Channel int     // MIDI, 1 to 16; 0 = not said, which is 1
	Value   int     // MIDI: velocity, or the value when on
	MS      float64 // of a wait
	Steps   []Deed  // of a macro

	Text string // as written
	Path string
	Pos  finding.Pos
}

// Zero reports whether nothing was asked for, or nothing could be understood.
func (d Deed) Zero() bool { return d.Kind == "" }

// String says it in the words of the file.
func (d Deed) String() string {
	switch d.Kind {
	case Button, HostDeed:
		if d.Number > 0 {
			return string(d.Kind) + " " + strconv.Itoa(d.Number)
		}
		return string(d.Kind)
	case Key:
		return "key " + strings.Join(append(slices.Clone(d.Mods), nonEmpty(d.Name)...), "+")
	case HatDeed:
		s := "hat"
		if d.Number > 1 {
			s += " " + strconv.Itoa(d.Number)
		}
		return strings.TrimSpace(s + " " + d.Name)
	case Note, MIDIControl, Program:
		s := string(d.Kind) + " " + strconv.Itoa(d.Number)
		if d.Channel > 1 {
			s += " channel " + strconv.Itoa(d.Channel)
		}
		if d.Value != 127 && d.Kind != Program {
			s += map[DeedKind]string{Note: " velocity ", MIDIControl: " value "}[d.Kind] + strconv.Itoa(d.Value)
		}
		return s
	case Wait:
		return "wait " + strconv.FormatFloat(d.MS, 'f', -1, 64) + " ms"
	case Macro:
		var s []string
		for _, x := range d.Steps {
			s = append(s, x.String())
		}
		return strings.Join(s, ", ")
	case Follows, Flips:
		if d.Name == "" {
			return string(d.Kind) + " itself"
		}
		return string(d.Kind) + " " + d.Name
	}
	return strings.TrimSpace(string(d.Kind) + " " + d.Name)
}

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// Slip is why a text cannot be understood.
type Slip struct {
	Bad    bool   // a value out of its range; else an unknown word
	Say    string // one or two sentences
	Hint   string
	Better string // the text that was probably meant
}

var deedWords = []string{"button", "key", "consumer", "system", "axis", "hat", "note", "control", "program", "shift", "none", "wait", "steady", "follows", "flips", "host"}

// AxisNames are the axes that a joystick can have, in the order in which they are given out. Source: HID Usage Tables, Generic Desktop.
var AxisNames = []string{"x", "y", "z", "rx", "ry", "rz", "slider", "dial", "wheel"}

var directions = []string{"up", "right", "down", "left"}

// MostButtons is the greatest number of a button. Common practice: hosts' joystick interfaces stop at 128.
const MostButtons = 128

// ParseDeed reads one thing that is sent: "button 5", "key ctrl+shift+f5", "note 60 channel 2".
func ParseDeed(text string) (Deed, *Slip) {
	f := strings.Fields(text)
	if len(f) == 0 {
		return Deed{}, &Slip{Say: "Nothing is said here.", Hint: "one of " + strings.Join(deedWords, ", ")}
	}
	d := Deed{Kind: DeedKind(strings.ToLower(f[0])), Text: text}
	rest := f[1:]
	switch d.Kind {
	case Shift, None, Steady:
		if len(rest) > 0 {
			return Deed{}, &Slip{Say: fmt.Sprintf("%s stands alone; %q after it means nothing.", f[0], cut(strings.Join(rest, " "))), Better: string(d.Kind)}
		}
		return d, nil
	case Button, HostDeed:
		return d.numbered(rest)
	case Key:
		return d.chord(rest)
	case Consumer:
		return d.word(rest, consumerWords)
	case System:
		return d.word(rest, systemWords)
	case AxisDeed:
		if len(rest) == 0 {
			return d, nil
		}
		return d.oneOf(rest, AxisNames)
	case HatDeed:
		return d.hat(rest)
	case Note, MIDIControl, Program:
		return d.midi(rest)
	case Follows, Flips:
		if d.Name = strings.Join(rest, " "); d.Name == "itself" {
			d.Name = ""
		}
		return d, nil
	case Wait:
		var ok bool
		if d.MS, ok = parseMS(strings.Join(rest, " ")); !ok || d.MS < 1 || d.MS > maxMS {
			return Deed{}, &Slip{Bad: true, Say: fmt.Sprintf("%q is no time to wait: 1 ms to 10 s, as in wait 50 ms.", cut(text))}
		}
		return d, nil
	}
	return Deed{}, unknownDeed(text, f)
}

// unknownDeed says that a text begins with no known word, and what was probably meant.
func unknownDeed(text string, f []string) *Slip {
	first := strings.ToLower(f[0])
	s := &Slip{Say: fmt.Sprintf("%q is nothing that can be sent.", cut(text)), Hint: "one of " + strings.Join(deedWords, ", ")}
	switch first {
	case "text", "type", "string", "write":
		s.Hint = "text is not typed: what a key means differs from computer to computer. Send a key or a shortcut, and let a program on the computer write the text"
		return s
	}
	if near := yamlfile.Nearest(first, deedWords); near != "" {
		s.Hint, s.Better = "did you mean "+near+"?", strings.Join(append([]string{near}, f[1:]...), " ")
	} else if n, err := strconv.Atoi(first); err == nil && len(f) == 1 && n >= 1 && n <= MostButtons {
		s.Hint, s.Better = "did you mean button "+first+"?", "button "+first
	} else if _, ok := keyWords[first]; ok && len(f) == 1 {
		s.Hint, s.Better = "did you mean key "+first+"?", "key "+first
	} else if _, ok := consumerWords[first]; ok && len(f) == 1 {
		s.Hint, s.Better = "did you mean consumer "+first+"?", "consumer "+first
	}
	if s.Better != "" {
		if _, slip := ParseDeed(s.Better); slip != nil {
			s.Better = slip.Better
		}
	}
	return s
}

// numbered reads an optional number of a button or a host lamp.
func (d Deed) numbered(rest []string) (Deed, *Slip) {
	if len(rest) == 0 {
		return d, nil
	}
	n, err := strconv.Atoi(rest[0])
	if err != nil || len(rest) > 1 {
		return Deed{}, &Slip{Say: fmt.Sprintf("After %s comes its number, or nothing; %q is neither.", d.Kind, cut(strings.Join(rest, " ")))}
	}
	if n < 1 || n > MostButtons {
		return Deed{}, &Slip{Bad: true, Say: fmt.Sprintf("%s %d cannot be: the numbers go from 1 to %d.", d.Kind, n, MostButtons)}
	}
	d.Number = n
	return d, nil
}

// oneOf reads one word out of a list.
func (d Deed) oneOf(rest, words []string) (Deed, *Slip) {
	w := strings.ToLower(strings.Join(rest, "-"))
	if slices.Contains(words, w) {
		d.Name = w
		return d, nil
	}
	s := &Slip{Say: fmt.Sprintf("%q is no %s.", cut(strings.Join(rest, " ")), d.Kind), Hint: "one of " + strings.Join(words, ", ")}
	if len(words) > 30 {
		s.Hint = "the guide lists them"
	}
	if near := yamlfile.Nearest(w, words); near != "" {
		s.Hint, s.Better = "did you mean "+near+"?", string(d.Kind)+" "+near
	}
	return Deed{}, s
}

// word reads one word of a table of usages.
func (d Deed) word(rest []string, table map[string]uint16) (Deed, *Slip) {
	if len(rest) == 0 {
		return Deed{}, &Slip{Say: fmt.Sprintf("Which %s control?", d.Kind), Hint: "as in " + string(d.Kind) + " " + slices.Sorted(maps.Keys(table))[0]}
	}
	d, s := d.oneOf(rest, slices.Sorted(maps.Keys(table)))
	d.Usage = table[d.Name]
	return d, s
}

// chord reads a key with its modifiers.
func (d Deed) chord(rest []string) (Deed, *Slip) {
	all := strings.ToLower(strings.Join(rest, ""))
	if all == "" {
		return Deed{}, &Slip{Say: "Which key?", Hint: "as in key a, key f5, key ctrl+shift+s"}
	}
	parts := strings.Split(all, "+")
	if strings.HasSuffix(all, "++") || all == "+" {
		return Deed{}, &Slip{Say: "The plus key is called plus or keypad-plus here, since + joins keys.", Better: "key " + strings.TrimSuffix(all, "+") + "keypad-plus"}
	}
	var wrong []string
	guessed := 0
	for i, p := range parts {
		if m, ok := modWords[p]; ok {
			if d.Mask&(1<<m) == 0 {
				d.Mods = append(d.Mods, modNames[m])
			}
			d.Mask |= 1 << m
			continue
		}
		k, ok := keyWords[p]
		switch {
		case !ok:
			wrong = append(wrong, p)
			if near := yamlfile.Nearest(p, append(slices.Sorted(maps.Keys(keyWords)), slices.Sorted(maps.Keys(modWords))...)); near != "" {
				parts[i] = near
				guessed++
			}
		case d.Usage != 0:
			return Deed{}, &Slip{Say: fmt.Sprintf("%q holds two keys at once; a shortcut is one key with ctrl, shift, alt or gui. Several keys in a row are steps: [key a, key b].", cut(all))}
		default:
			d.Usage, d.Name = k, p
		}
	}
	if len(wrong) > 0 {
		s := &Slip{Say: fmt.Sprintf("There is no key %q.", cut(wrong[0])), Hint: "keys are called a to z, 0 to 9, f1 to f24, enter, esc, space, tab, up, keypad-1 ...; the guide lists them"}
		if better := "key " + strings.Join(parts, "+"); len(parts) < 8 && guessed == len(wrong) {
			if _, again := ParseDeed(better); again == nil {
				s.Hint, s.Better = "did you mean "+better+"?", better
			}
		}
		return Deed{}, s
	}
	return d, nil
}

// hat reads a hat: "hat", "hat up", "hat 2 up", "hat 2".
func (d Deed) hat(rest []string) (Deed, *Slip) {
	d.Number = 1
	if len(rest) > 0 {
		if n, err := strconv.Atoi(rest[0]); err == nil {
			if n < 1 || n > 4 {
				return Deed{}, &Slip{Bad: true, Say: fmt.Sprintf("hat %d cannot be: there are four at most.", n)}
			}
			d.Number, rest = n, rest[1:]
		}
	}
	if len(rest) == 0 {
		return d, nil
	}
	return d.oneOf(rest, directions)
}

// MIDI reports whether it is of USB-MIDI.
func (d Deed) MIDI() bool { return d.Kind == Note || d.Kind == MIDIControl || d.Kind == Program }

// midi reads a note, a control or a program: "note 60 channel 2 velocity 100", "note F#3".
func (d Deed) midi(rest []string) (Deed, *Slip) {
	d.Value = 127
	second := map[DeedKind]string{Note: "velocity", MIDIControl: "value"}[d.Kind]
	known, like := []string{"channel"}, fmt.Sprintf("%s 60 channel 2", d.Kind)
	if second != "" {
		known, like = append(known, second), like+" "+second+" 100"
	}
	if len(rest) == 0 {
		hint := "a number from 0 to 127"
		if d.Kind == Note {
			hint += ", or a name: C4 is 60, F#3 is 54"
		}
		return Deed{}, &Slip{Say: fmt.Sprintf("Which %s?", d.Kind), Hint: hint}
	}
	words := append([]string{""}, rest...)
	if len(words)%2 != 0 {
		return Deed{}, &Slip{Say: fmt.Sprintf("%q is not understood after %s.", cut(rest[len(rest)-1]), d.Kind), Hint: "as in " + like}
	}
	for i := 0; i < len(words); i += 2 {
		n, err := strconv.Atoi(words[i+1])
		lo, hi := 0, 127
		switch word := strings.ToLower(words[i]); {
		case word == "":
			if key, ok := noteNumber(words[i+1]); ok && d.Kind == Note {
				n, err = key, nil
			}
			d.Number = n
		case word == "channel":
			lo, hi, d.Channel = 1, 16, n
		case word == second && second == "velocity":
			lo, d.Value = 1, n // a note of velocity 0 is one that ends
		case word == second:
			d.Value = n
		default:
			return Deed{}, &Slip{Say: fmt.Sprintf("%q is not understood after %s.", cut(words[i]), d.Kind), Hint: "known here: " + strings.Join(known, ", ")}
		}
		if err != nil || n < lo || n > hi {
			s := &Slip{Bad: true, Say: strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", d.Kind, words[i], cut(words[i+1]))), " ") + fmt.Sprintf(" cannot be: the numbers go from %d to %d.", lo, hi)}
			if words[i] == "" && d.Kind == Note {
				s.Say = strings.TrimSuffix(s.Say, ".") + ", the names from C-1 to G9."
			}
			return Deed{}, s
		}
	}
	return d, nil
}

// noteNames are the notes of an octave from C on.
var noteNames = []string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// noteNumber reads a name: C4 is 60, Bb2 is 46. The number may be outside of what can be sent. Common practice: the middle C of a piano is
// C4; some makers call it C3 or C5.
func noteNumber(s string) (int, bool) {
	if s == "" {
		return 0, false
	}
	n := slices.Index(noteNames, strings.ToUpper(s[:1]))
	rest := s[1:]
	if n < 0 {
		return 0, false
	}
	switch {
	case strings.HasPrefix(rest, "#"):
		n, rest = n+1, rest[1:]
	case strings.HasPrefix(rest, "b"):
		n, rest = n-1, rest[1:]
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || octave < -100 || octave > 100 {
		return 0, false
	}
	return 12*(octave+1) + n, true
}

// NoteName is what people call a note: 60 is C4.
func NoteName(n int) string { return noteNames[((n%12)+12)%12] + strconv.Itoa(n/12-1) }

// cut shortens a text that is quoted in a sentence.
func cut(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:57]) + "..."
	}
	return s
}
