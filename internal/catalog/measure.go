package catalog

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"knobwright/internal/length"
)

// The caliper card: the readings that make a part record, taken one at a time from a part in the hand. Questions lists
// them, Check holds the readings against each other, Record writes the record for the person's own file.

// Spot is where on a part a reading is taken; drawings of the card show it.
type Spot string

// The spots of the card.
const (
	SpotNone         Spot = ""              // nothing to point at
	SpotSeat         Spot = "seat"          // the plane that rests on the sheet
	SpotThread       Spot = "thread"        // across the crests of the thread
	SpotPitch        Spot = "pitch"         // along the thread, crest to crest
	SpotThreadLength Spot = "thread-length" // from the seat to the end of the thread
	SpotShoulder     Spot = "shoulder"      // the step between thread and body
	SpotNutFlats     Spot = "nut-flats"     // across the nut
	SpotNutThick     Spot = "nut-thickness" // through the nut
	SpotWasher       Spot = "washer"        // across the washer
	SpotWashers      Spot = "washers"       // through all washers together
	SpotBody         Spot = "body"          // the outline behind, lugs left out
	SpotBodyDepth    Spot = "body-depth"    // from the seat to the back of the body
	SpotLugDepth     Spot = "lug-depth"     // from the seat to the tips of the lugs
	SpotLugs         Spot = "lugs"          // the lugs as seen from behind
	SpotRim          Spot = "rim"           // the rim that lies on the face
	SpotRimThick     Spot = "rim-thickness" // from the seat to the front of the rim
	SpotCap          Spot = "cap"           // what the finger presses
	SpotLegs         Spot = "legs"          // from the rim to where the legs catch
	SpotTab          Spot = "tab"           // the pin or tab beside the thread
	SpotScrews       Spot = "screws"        // the holes for fixing screws
	SpotLever        Spot = "lever"         // the lever or handle
	SpotThrow        Spot = "throw"         // the tip's way from end to end
	SpotShaft        Spot = "shaft"         // the shaft that a knob goes on
	SpotKnob         Spot = "knob"          // the knob
	SpotSlot         Spot = "slot"          // the opening that a lever or display needs
	SpotTurn         Spot = "turn"          // one whole turn of the shaft
)

// AnswerKind is what a question is answered with.
type AnswerKind string

// The kinds of answer.
const (
	AskLength AnswerKind = "length"
	AskWhole  AnswerKind = "whole number"
	AskNumber AnswerKind = "number"
	AskChoice AnswerKind = "choice"
	AskWords  AnswerKind = "words"
)

// Take says which of several readings counts.
type Take string

// Which reading counts.
const (
	TakeLargest  Take = "largest"  // bodies, threads over the crests: what must pass or not meet
	TakeSmallest Take = "smallest" // length of thread: what must suffice
)

// Question is one reading of the card.
type Question struct {
	Key      string     // "thread-length"
	Ask      string     // the question, one sentence
	How      string     // how to take it, may be empty
	Spot     Spot       // where on the part
	Kind     AnswerKind // what answers it
	Choices  []string   // the words allowed, for AskChoice
	Times    int        // how often to measure: 1 or 3
	Take     Take       // which of three readings counts
	Optional bool       // may be left out
	When     []When     // asked only when earlier answers are these; empty = always
}

// When ties a question to an earlier answer.
type When struct {
	Key string
	Is  []string
}

// Answers are the readings taken so far.
type Answers struct {
	ID       string              // name of the record, "push-drawer-green"
	Class    Class               // what kind of part it is
	Unit     length.Unit         // unit of bare numbers; "" = mm
	Readings map[string][]string // as typed, by the question's key
}

// Asked reports whether the question has a place on the card, the answers so far being what they are.
func (q Question) Asked(a Answers) bool {
	for _, w := range q.When {
		if !slices.Contains(w.Is, a.word(w.Key)) {
			return false
		}
	}
	return true
}

// Judge reads one answer as typed and says, in a sentence, what is wrong with it by itself. nil means that it can be used.
func (q Question) Judge(text string, unit length.Unit) error {
	text = strings.TrimSpace(text)
	switch q.Kind {
	case AskLength:
		l, err := length.Parse(text, unit)
		switch {
		case err != nil:
			return err
		case l < 0 || l == 0 && !q.Optional:
			return errors.New("a length is more than nothing")
		case l > 500:
			return fmt.Errorf("%s is longer than any part of a panel", l)
		}
	case AskWhole:
		if n, err := strconv.Atoi(text); err != nil || n < 0 || n > 10000 {
			return fmt.Errorf("%q is not a whole number", text)
		}
	case AskNumber:
		if v, err := strconv.ParseFloat(text, 64); err != nil || !(v >= 0 && v < 1e6) {
			return fmt.Errorf("%q is not a number", text)
		}
	case AskChoice:
		if !slices.Contains(q.Choices, text) {
			return fmt.Errorf("%q is none of: %s", text, strings.Join(q.Choices, ", "))
		}
	case AskWords:
		if text == "" {
			return errors.New("nothing is written here")
		}
	}
	return nil
}

// word gives the first answer to a question of words or choices; "" when there is none, or none that the question takes.
func (a Answers) word(key string) string {
	r := a.Readings[key]
	if len(r) == 0 {
		return ""
	}
	s := strings.TrimSpace(r[0])
	for _, q := range card(a.Class) {
		if q.Key == key && q.Judge(s, a.Unit) == nil {
			return s
		}
	}
	return ""
}

// The words of the choices.
const (
	restsFront, restsRear                    = "front", "rear"
	byNut, byLegs, byScrews, byGlue          = "nut", "legs", "screws", "glue"
	formRound, formSquare                    = "round", "square"
	actMomentary, actLatching, actMaintained = "momentary", "latching", "maintained"
)

// Questions lists the readings for a class of part, in the order in which a hand takes them: how it sits, what holds it,
// what lies behind, what the finger meets, what it does.
func Questions(class Class) []Question { return slices.Clone(card(class)) }

// cards are the cards of the trade classes.
var cards = sync.OnceValue(func() map[Class][]Question {
	m := map[Class][]Question{}
	for _, c := range Classes {
		m[c] = newCard(c)
	}
	return m
})

func card(class Class) []Question {
	if qs, ok := cards()[class]; ok {
		return qs
	}
	return newCard(class)
}

func newCard(class Class) []Question {
	var qs []Question
	add := func(q Question) {
		if q.Times == 0 {
			q.Times = 1
		}
		qs = append(qs, q)
	}
	thrice := func(q Question, take Take) {
		q.Kind, q.Times, q.Take = AskLength, 3, take
		add(q)
	}
	once := func(q Question) {
		q.Kind = AskLength
		add(q)
	}

	add(Question{Key: "title", Kind: AskWords, Ask: "What is it, in a few words?", How: "By its trade class: \"Push button, 16 mm ring nut, green\"."})
	if class != ModuleBrd {
		sitting(class, add, once, thrice)
	}
	behind(class, add, once, thrice)
	inFront(class, add, once)
	does(class, add)
	add(Question{Key: "mass", Kind: AskNumber, Optional: true, Ask: "How heavy is it, in grams?", How: "A kitchen balance will do; weigh ten and divide."})
	return qs
}

func sitting(class Class, add, once func(Question), thrice func(Question, Take)) {
	nut := []When{{"hold", []string{byNut}}}
	add(Question{Key: "seat", Kind: AskChoice, Choices: []string{restsFront, restsRear}, Spot: SpotSeat, Ask: "Where does it rest on the sheet?",
		How: "front: a rim lies on the face. rear: a shoulder is pulled against the back."})
	add(Question{Key: "hold", Kind: AskChoice, Choices: []string{byNut, byLegs, byScrews, byGlue}, Ask: "What holds it in the sheet?"})
	thrice(Question{Key: "thread", Spot: SpotThread, When: nut, Ask: "How wide is the thread, over its crests?",
		How: "Outside jaws, at three places and turned a little each time. The largest counts: the hole must let it through."}, TakeLargest)
	once(Question{Key: "pitch", Spot: SpotPitch, When: nut, Optional: true, Ask: "How far is it from crest to crest?",
		How: "Measure over ten crests and divide by ten, or lay on a thread gauge. Leave it out if you have none."})
	thrice(Question{Key: "thread-length", Spot: SpotThreadLength, When: nut, Ask: "How long is the thread that a nut can use, from the seat to its end?",
		How: "Depth rod or jaws; leave out the run-out at the root. The smallest counts."}, TakeSmallest)
	once(Question{Key: "shoulder", Spot: SpotShoulder, When: nut, Optional: true, Ask: "Is there a round shoulder at the root of the thread? How wide?",
		How: "If it is wider than the thread and should sink into the hole, the hole must take it."})
	once(Question{Key: "nut-flats", Spot: SpotNutFlats, When: nut, Ask: "How wide is the nut, across two flats?", How: "A round nut: its outside diameter."})
	add(Question{Key: "nut-shape", Kind: AskChoice, Choices: []string{"hex", "ring"}, Spot: SpotNutFlats, When: nut, Ask: "Is the nut a hexagon or a ring?"})
	once(Question{Key: "nut-thickness", Spot: SpotNutThick, When: nut, Ask: "How thick is the nut?"})
	once(Question{Key: "washers", Spot: SpotWashers, When: nut, Optional: true, Ask: "How thick are all washers together?", How: "Press them between the jaws, as they will be pressed."})
	once(Question{Key: "washer", Spot: SpotWasher, When: nut, Optional: true, Ask: "How wide is the widest washer?"})
	legs := []When{{"hold", []string{byLegs}}}
	once(Question{Key: "grip-least", Spot: SpotLegs, When: legs, Ask: "How thin a sheet do the legs still hold?", How: "From the underside of the rim to where the legs catch first."})
	once(Question{Key: "grip-most", Spot: SpotLegs, When: legs, Ask: "How thick a sheet do the legs still take?", How: "From the underside of the rim to where the legs catch last."})
	flat := []When{{"hold", []string{byScrews, byGlue}}}
	once(Question{Key: "sheet-most", Spot: SpotSeat, When: flat, Ask: "How thick may the sheet be, so that it still works?"})
	screws := []When{{"hold", []string{byScrews}}}
	once(Question{Key: "screw-up", Spot: SpotScrews, When: screws, Optional: true, Ask: "How far apart are the fixing screws, up and down?", How: "Middle to middle; 0 when they stand side by side."})
	once(Question{Key: "screw-across", Spot: SpotScrews, When: screws, Optional: true, Ask: "How far apart are the fixing screws, side to side?", How: "Middle to middle; 0 when they stand above each other."})
	add(Question{Key: "screw", Kind: AskWords, Spot: SpotScrews, When: screws, Ask: "Which screws are they?", How: "M3, M2.5, #6 ..."})
	once(Question{Key: "hole", Spot: SpotSlot, Optional: true, Ask: "Does the seller's sheet name a hole? How wide?",
		How: "A round hole, or the width of a rectangular one. Leave it out if nothing is said; it is then reckoned from your readings."})
	once(Question{Key: "hole-height", Spot: SpotSlot, Optional: true, Ask: "If the hole is rectangular or a slot: how high?"})
	once(Question{Key: "tab-distance", Spot: SpotTab, When: nut, Optional: true, Ask: "Is there a tab or pin beside the thread? How far is its middle from the middle of the thread?"})
	once(Question{Key: "tab", Spot: SpotTab, When: nut, Optional: true, Ask: "How wide is the tab or pin, over its widest?"})
}

func behind(class Class, add, once func(Question), thrice func(Question, Take)) {
	from := "from the seat"
	if class == ModuleBrd {
		from = "from the underside of the board"
	}
	add(Question{Key: "body-form", Kind: AskChoice, Choices: []string{formRound, formSquare}, Spot: SpotBody, Ask: "Is the body behind round or square?"})
	thrice(Question{Key: "body-across", Spot: SpotBody, Ask: "How wide is the body, side to side?",
		How: "Hold it as it will sit, seen from the front. The largest counts; a round one: its diameter."}, TakeLargest)
	thrice(Question{Key: "body-up", Spot: SpotBody, When: []When{{"body-form", []string{formSquare}}}, Ask: "How high is the body, top to bottom?"}, TakeLargest)
	thrice(Question{Key: "body-depth", Spot: SpotBodyDepth, Ask: "How far does the body reach, " + from + " to its back, without lugs?"}, TakeLargest)
	if class == Plug {
		return
	}
	thrice(Question{Key: "lug-depth", Spot: SpotLugDepth, Ask: "How far do the tips of the lugs reach, " + from + "?"}, TakeLargest)
	add(Question{Key: "lugs", Kind: AskWords, Spot: SpotLugs, Optional: true, Ask: "What are the lugs called, as seen from BEHIND?",
		How: "Row by row from the top, a stroke between rows: \"1 2 3 / 4 5 6\". Find out with a meter which ones close."})
	once(Question{Key: "lug-across", Spot: SpotLugs, Optional: true, Ask: "How far apart are two lugs of a row?", How: "Middle to middle."})
	once(Question{Key: "lug-up", Spot: SpotLugs, Optional: true, Ask: "How far apart are two rows of lugs?", How: "Middle to middle."})
}

func inFront(class Class, add, once func(Question)) {
	if class == ModuleBrd {
		return
	}
	front := []When{{"seat", []string{restsFront}}}
	once(Question{Key: "rim-across", Spot: SpotRim, When: front, Ask: "How wide is the rim that lies on the face?"})
	once(Question{Key: "rim-up", Spot: SpotRim, When: front, Optional: true, Ask: "How high is the rim, if it is not round?"})
	once(Question{Key: "rim-thickness", Spot: SpotRimThick, When: front, Ask: "How thick is the rim?"})
	switch class {
	case Push:
		once(Question{Key: "cap", Spot: SpotCap, Ask: "How wide is what the finger presses?"})
		once(Question{Key: "cap-height", Spot: SpotCap, Ask: "How high does it stand, from the seat to its top, not pressed?"})
	case Toggle, Key, Slide, SlidePot, Rocker, Joystick:
		once(Question{Key: "lever", Spot: SpotLever, Ask: "How thick is the lever, handle or key where it is widest?"})
		once(Question{Key: "lever-height", Spot: SpotLever, Ask: "How far does it stand out, from the seat to its tip?"})
		once(Question{Key: "throw", Spot: SpotThrow, Optional: true, Ask: "How far does its tip travel, from one end to the other, the tip's own width counted in?",
			How: "A key sweeps a circle: its whole width."})
	case Rotary, Encoder, Pot:
		once(Question{Key: "shaft", Spot: SpotShaft, Ask: "How thick is the shaft?"})
		add(Question{Key: "shaft-form", Kind: AskChoice, Choices: []string{"D", "knurled", "round", "slotted"}, Spot: SpotShaft, Ask: "What form has the shaft's end?"})
		once(Question{Key: "shaft-length", Spot: SpotShaft, Ask: "How long is the shaft, from the seat to its end?"})
		once(Question{Key: "knob", Spot: SpotKnob, Optional: true, Ask: "How wide is the knob you will fit?"})
		once(Question{Key: "knob-height", Spot: SpotKnob, Optional: true, Ask: "How high is that knob?"})
	case Socket:
		once(Question{Key: "plug", Spot: SpotCap, Optional: true, Ask: "How wide is the grip of the plug that goes in?"})
		once(Question{Key: "plug-height", Spot: SpotCap, Optional: true, Ask: "How far does that plug stand out, from the seat?"})
	}
}

func does(class Class, add func(Question)) {
	switch class {
	case Push, Toggle, Rocker, Slide, Key, Rotary:
		add(Question{Key: "action", Kind: AskChoice, Choices: []string{actMomentary, actLatching, actMaintained}, Ask: "What does it do when you let go?",
			How: "momentary: springs back. latching: stays until pressed again. maintained: stays where it is put."})
		add(Question{Key: "contacts", Kind: AskWords, Ask: "Which contacts has it?", How: "Find out with a meter: \"1 NO\", \"SPDT on-off-on\"."})
	case Lamp, Plug, ModuleBrd:
	default:
		add(Question{Key: "contacts", Kind: AskWords, Optional: true, Ask: "Which contacts has it?"})
	}
	switch class {
	case Toggle, Rocker, Slide, Key, Rotary:
		add(Question{Key: "positions", Kind: AskWhole, Ask: "How many positions has it?"})
	case Encoder:
		add(Question{Key: "detents", Kind: AskWhole, Spot: SpotTurn, Ask: "How many clicks do you feel in one whole turn?", How: "Mark the shaft, turn once round, count. 0 when it turns without clicks."})
		add(Question{Key: "pulses", Kind: AskWhole, Spot: SpotTurn, Ask: "How many times does A close in one whole turn?", How: "A meter between A and C, turned slowly; or from the seller's sheet."})
		add(Question{Key: "push", Kind: AskChoice, Choices: []string{"yes", "no"}, Ask: "Can it be pressed?"})
	case Pot, SlidePot:
		add(Question{Key: "track", Kind: AskWords, Ask: "Which track has it?", How: "\"10k linear\": a meter over the ends, then the wiper at the middle: half is linear."})
	}
	switch class {
	case Push, Rocker, Lamp:
		opt := class != Lamp
		add(Question{Key: "lamp-colour", Kind: AskWords, Optional: opt, Ask: "Which colour is its lamp?", How: "Leave out what follows when there is none."})
		add(Question{Key: "lamp-drop", Kind: AskNumber, Optional: opt, Ask: "How many volts does the lamp drop?", How: "Light it through 1000 ohms and measure across it."})
		add(Question{Key: "lamp-current", Kind: AskNumber, Optional: opt, Ask: "How many milliamperes does it want?"})
		add(Question{Key: "lamp-rated", Kind: AskNumber, Optional: true, Ask: "For how many volts is it sold, with its own resistor?", How: "0 for a bare LED."})
	}
	switch class {
	case Lamp, Display, Socket, Buzzer, Plug, ModuleBrd, Pot, Rotary, Encoder:
	default:
		add(Question{Key: "force", Kind: AskNumber, Optional: true, Ask: "How many newtons work it?", How: "Press it with a bottle on a kitchen balance: 100 grams are 1 newton."})
	}
}
