package studio

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"knobwright/internal/bench"
	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/sim"
	"knobwright/internal/hid"
	"knobwright/internal/job"
	"knobwright/internal/project"
	notes "knobwright/internal/record"
	"knobwright/internal/record/built"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/words"
)

// BenchData is the bench: the test sheet, what it showed so far, and what that means.
type BenchData struct {
	Rev     int           `json:"rev"`
	Why     string        `json:"why"`  // why there is nothing to test; "" = there is
	Note    string        `json:"note"` // what the page says: another table, facts laid over
	Source  string        `json:"source"`
	Table   int           `json:"table"` // checksum of the file's table
	Vendor  int           `json:"vendor"`
	Product int           `json:"product"`
	Lines   []BenchLine   `json:"lines"`
	Rows    []BenchRow    `json:"rows"`
	Causes  []BenchCause  `json:"causes"`
	Alike   int           `json:"alike"` // how many of the first causes show the same
	Right   bool          `json:"right"` // nothing speaks of a fault
	Next    *BenchAsk     `json:"next,omitempty"`
	Moments []BenchMoment `json:"moments"` // what the last act showed, for the drawing
	Faults  []string      `json:"faults"`  // that a simulated panel can be given
	Kept    []string      `json:"kept"`    // as-built facts in force
}

// BenchLine is a line of the test sheet.
type BenchLine struct {
	ID       string   `json:"id"`
	Say      string   `json:"say"`
	Expect   string   `json:"expect"`
	Do       string   `json:"do"`
	Lamp     string   `json:"lamp"` // the lamp that it looks at, "" = none
	Control  string   `json:"control"`
	Said     string   `json:"said"` // right, partly, wrong, unseen; "" = not tried
	Saw      string   `json:"saw"`
	Before   string   `json:"before"` // the last result in the record, with its date
	Controls []string `json:"controls"`
	Hint     string   `json:"hint"` // how to get there
}

// BenchRow is a line of the mapping: what lights which control.
type BenchRow struct {
	Name    string `json:"name"`
	Label   string `json:"label"`
	Control string `json:"control"`
	Usage   int    `json:"usage"`
	Raw     []int  `json:"raw"`
	Axis    bool   `json:"axis"`
	Lamp    bool   `json:"lamp"`
	Report  int    `json:"report"` // of a lamp that the computer lights: the report that tells it, 0 = none does
	Bit     int    `json:"bit"`    // and its bit there
	Hat     int    `json:"hat"`    // eighths of a turn of its direction on a hat, -1 = it is none
}

// BenchCause is an explanation.
type BenchCause struct {
	N     int         `json:"n"`
	Part  int         `json:"part"` // how likely, per cent
	Say   string      `json:"say"`
	Iron  string      `json:"iron"`
	Table string      `json:"table"`
	Check string      `json:"check"`
	Fix   bool        `json:"fix"` // it can be left as it is
	Spots []BenchSpot `json:"spots"`
	Wires []string    `json:"wires"`
}

// BenchSpot is a place on the panel, mm, as seen from the front.
type BenchSpot struct {
	Control string  `json:"control"`
	Board   string  `json:"board"`
	Label   string  `json:"label"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	Known   bool    `json:"known"`
}

// BenchAsk is what to do next to tell explanations apart.
type BenchAsk struct {
	Say   string `json:"say"`
	Do    string `json:"do"`    // press, hold, turn, ...
	Lamp  string `json:"lamp"`  // the lamp to be told, "" = none
	On    bool   `json:"on"`    // lit, or dark
	Wants string `json:"wants"` // "panel", "lamp", "ohms", "volts", "pins"
}

// BenchMoment is one moment of an act.
type BenchMoment struct {
	At   float64   `json:"at"`
	On   []string  `json:"on"`   // controls with a closed contact
	Axes []float64 `json:"axes"` // by axis, 0 to 1
}

// BenchBegin sits down anew.
type BenchBegin struct {
	Simulate bool     `json:"simulate"`
	Faults   []string `json:"faults"`
	Source   string   `json:"source"` // how the browser calls the panel
	Serial   string   `json:"serial"`
	Table    int      `json:"table"` // checksum that the panel told; 0 = not known
}

// BenchSeen is what the page saw while a line, or the next question, was done.
type BenchSeen struct {
	Line    string        `json:"line"` // "" = the next question
	Moments []BenchReport `json:"moments"`
	Lamp    string        `json:"lamp"`
	Meter   *float64      `json:"meter,omitempty"`
	Pins    *string       `json:"pins,omitempty"` // that ring, as the person names them
	Itself  bool          `json:"itself"`         // the simulated panel does it
}

// BenchReport is what the browser had at one time.
type BenchReport struct {
	At   float64      `json:"at"`
	Raw  []int        `json:"raw,omitempty"` // bytes of the raw bits, with our firmware
	Rows []BenchMoved `json:"rows"`          // lines of the mapping as they stand
}

// BenchMoved is a line of the mapping as it stands.
type BenchMoved struct {
	Row  int     `json:"row"`
	On   bool    `json:"on"`
	Part float64 `json:"part"`
}

// BenchTake accepts an explanation as it is.
type BenchTake struct {
	N int `json:"n"`
}

// benchRoom is the sitting of the page. There is one, as there is one panel on the bench.
type benchRoom struct {
	mu      sync.Mutex
	rev     int
	result  *job.Result
	walk    *bench.Walk
	mapping *decode.Mapping
	begin   BenchBegin
	note    string
	strange string // the panel has another table: nothing is looked at until then
	kept    []string
	faults  []string
	last    []BenchMoment
	causes  []diagnosis.Cause
	freely  *diagnosis.Recogniser // while the person presses what they like
}

func (v *Server) benchRoutes() {
	b := &benchRoom{}
	handle := func(path string, f func(*http.Request, *benchRoom) error) {
		v.mux.HandleFunc(path, func(w http.ResponseWriter, r *http.Request) {
			b.mu.Lock()
			defer b.mu.Unlock()
			if err := b.ready(v); err != nil {
				say(w, http.StatusUnprocessableEntity, err.Error())
				return
			}
			if err := f(r, b); err != nil {
				say(w, http.StatusUnprocessableEntity, benchSentence(err))
				return
			}
			answer(w, b.data(v))
		})
	}
	handle("GET /api/bench", func(*http.Request, *benchRoom) error { return nil })
	handle("POST /api/bench/begin", func(r *http.Request, b *benchRoom) error {
		q, err := wanted[BenchBegin](r)
		if err != nil {
			return err
		}
		return b.sit(v, q)
	})
	handle("POST /api/bench/seen", func(r *http.Request, b *benchRoom) error {
		q, err := wanted[BenchSeen](r)
		if err != nil {
			return err
		}
		return b.seen(v, q)
	})
	handle("POST /api/bench/free", func(r *http.Request, b *benchRoom) error {
		q, err := wanted[BenchSeen](r)
		if err != nil {
			return err
		}
		return b.pressFreely(v, q)
	})
	handle("POST /api/bench/take", func(r *http.Request, b *benchRoom) error {
		q, err := wanted[BenchTake](r)
		if err != nil {
			return err
		}
		return b.accept(v, q.N)
	})
}

var errAsked = errors.New("the page asked for something that is not understood")

func wanted[T any](r *http.Request) (T, error) {
	var q T
	d := json.NewDecoder(http.MaxBytesReader(nil, r.Body, 8<<20))
	d.DisallowUnknownFields()
	if d.Decode(&q) != nil {
		return q, errAsked
	}
	return q, nil
}

func benchSentence(err error) string {
	s := err.Error()
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
		s += "."
	}
	return s
}

// ready makes the room for the file as it is now; a changed file begins a new sitting.
func (b *benchRoom) ready(v *Server) error {
	_, good, _ := v.session.Now()
	if b.walk != nil && b.rev == good.Rev {
		return nil
	}
	return b.furnish(v, good)
}

func (b *benchRoom) furnish(v *Server, l *Look) error {
	rec, err := shelf.Load(v.session.path)
	if err != nil {
		return errors.New(benchSentence(err))
	}
	name := filepath.Base(v.session.path)
	text, laid, lost := built.Lay(name, l.Text, rec)
	r := l.Result
	if laid > 0 {
		_, _, r = v.session.judge(v.session.path, text)
	}
	b.rev, b.result, b.note, b.kept, b.faults, b.last = l.Rev, r, "", nil, nil, nil
	for _, f := range rec.Facts {
		if !f.Past {
			b.kept = append(b.kept, f.What)
		}
	}
	if len(lost) > 0 {
		b.note = "Left out of what was built otherwise: " + strings.Join(lost, "; ")
	}
	b.mapping = decode.New(r.Firmware)
	for _, f := range sim.Faults(r) {
		b.faults = append(b.faults, faultText(f))
	}
	b.begin, b.freely, b.strange = BenchBegin{}, nil, ""
	b.walk = bench.Begin(r, nobody{})
	return nil
}

// faultText are the words by which a fault is found again.
func faultText(f diagnosis.Fault) string {
	out := []string{string(f.Kind)}
	for _, x := range []string{f.Device, f.Fitting} {
		if x != "" {
			out = append(out, x)
		}
	}
	for _, t := range [][2]string{{f.A.Of, f.A.Lug}, {f.B.Of, f.B.Lug}} {
		if t[0] != "" {
			out = append(out, t[0]+"."+t[1])
		}
	}
	return strings.Join(out, " ")
}

// nobody is the panel that the browser talks to: what it shows comes by itself.
type nobody struct{}

func (nobody) Name() string   { return "" }
func (nobody) Serial() string { return "" }
func (nobody) Table() uint32  { return 0 }
func (nobody) ByHand() bool   { return true }
func (nobody) Close() error   { return nil }
func (nobody) Do(context.Context, diagnosis.Act) (diagnosis.Seen, error) {
	return diagnosis.Seen{}, errors.New("no panel is simulated; the browser talks to it")
}

// sit begins anew, with a simulated panel or with the one that the browser talks to.
func (b *benchRoom) sit(v *Server, q BenchBegin) error {
	if len(b.result.Firmware.Bytes) == 0 {
		return sim.ErrNoTable
	}
	var src bench.Source = nobody{}
	if q.Simulate {
		var faults []diagnosis.Fault
		for _, text := range q.Faults {
			f, err := bench.FindFault(sim.Faults(b.result), text)
			if err != nil {
				return err
			}
			faults = append(faults, f)
		}
		s, err := bench.Simulate(context.Background(), b.result, false, faults...)
		if err != nil {
			return err
		}
		src = s
	}
	_, good, _ := v.session.Now()
	if err := b.furnish(v, good); err != nil {
		return err
	}
	b.begin = q
	b.walk = bench.Begin(b.result, src)
	if !q.Simulate && q.Table != 0 {
		if say := bench.Belongs(b.result, uint32(q.Table), filepath.Base(v.session.path)); say != "" {
			b.note, b.strange = say, say
		}
	}
	return nil
}

func (b *benchRoom) seen(v *Server, q BenchSeen) error {
	if b.strange != "" { // its contacts would be judged by the wrong names
		return errors.New(b.strange)
	}
	act, line := diagnosis.Act{}, diagnosis.Line{}
	if q.Line == "" {
		ask, ok := b.next()
		if !ok {
			return errors.New("nothing is asked just now")
		}
		act = ask.Act
	} else {
		found := false
		for _, l := range b.walk.Lines {
			if l.ID == q.Line {
				line, act, found = l, l.Act, true
			}
		}
		if !found {
			return errors.New("the test sheet has no such line any more")
		}
	}
	seen := diagnosis.Seen{Act: act, Lamp: q.Lamp, Table: uint32(b.begin.Table)}
	switch {
	case q.Itself:
		if !b.begin.Simulate {
			return errors.New("only a simulated panel does it by itself")
		}
		s, err := b.walk.Source().Do(context.Background(), act)
		if err != nil {
			return err
		}
		seen = s
	case act.Do == diagnosis.Trace:
		if q.Pins == nil {
			return errAsked
		}
		pins, ok := bench.Pins(b.result, act.Probe[1].Of, *q.Pins)
		if !ok {
			return errors.New("write the pins that ring, by their numbers or names: 20, GP15; or none")
		}
		seen.Rings = pins
	case q.Meter != nil:
		seen.Meter = *q.Meter
	default:
		seen.Moments = b.moments(q.Moments)
	}
	b.last = b.show(seen)
	if q.Line == "" {
		b.walk.Take(seen)
		return nil
	}
	j := b.walk.Given(line, seen)
	if b.walk.Source().ByHand() {
		return b.keep(v, line, j)
	}
	return nil
}

// pressFreely takes what was pressed in no order; lines that it satisfies are right. Without moments it begins, or ends.
func (b *benchRoom) pressFreely(v *Server, q BenchSeen) error {
	if len(q.Moments) == 0 {
		b.freely = nil
		return nil
	}
	if b.strange != "" {
		return errors.New(b.strange)
	}
	if b.freely == nil {
		b.freely = b.walk.Model.Recognise(b.walk.Lines)
	}
	var ids []string
	for _, m := range b.moments(q.Moments) {
		ids = append(ids, b.freely.Feed(m)...)
	}
	for _, l := range b.walk.Satisfied(ids) {
		if b.walk.Source().ByHand() {
			if err := b.keep(v, l, b.walk.Judged[l.ID]); err != nil {
				return err
			}
		}
	}
	return nil
}

// moments turns what the browser saw into moments.
func (b *benchRoom) moments(in []BenchReport) []diagnosis.Moment {
	var out []diagnosis.Moment
	for _, x := range in {
		m := b.mapping.Blank()
		m.At = x.At
		for _, r := range x.Rows {
			if r.Row >= 0 && r.Row < len(b.result.Firmware.Rows) {
				b.mapping.Apply(&m, decode.Change{Row: r.Row, On: r.On, Part: min(max(r.Part, 0), 1), Axis: b.axial(r.Row)})
			}
		}
		if len(x.Raw) > 0 {
			m.Raw = make([]byte, len(x.Raw))
			for i, v := range x.Raw {
				m.Raw[i] = byte(v)
			}
		}
		out = append(out, m)
	}
	return out
}

func (b *benchRoom) axial(row int) bool { return b.mapping.Axial(row) }

// show is what an act showed, for the drawing.
func (b *benchRoom) show(s diagnosis.Seen) []BenchMoment {
	out := []BenchMoment{}
	for _, m := range s.Moments {
		x := BenchMoment{At: m.At, On: []string{}, Axes: []float64{}}
		seen := map[string]bool{}
		for _, r := range b.result.Firmware.Rows {
			if r.Control == nil || seen[r.Control.Name] {
				continue
			}
			for _, raw := range r.Raw {
				if raw/8 < len(m.Raw) && m.Raw[raw/8]>>(raw%8)&1 != 0 {
					seen[r.Control.Name] = true
				}
			}
			if seen[r.Control.Name] {
				x.On = append(x.On, r.Control.Name)
			}
		}
		for _, a := range m.Axes {
			x.Axes = append(x.Axes, float64(a)/65535)
		}
		out = append(out, x)
	}
	return out
}

// keep writes the result of a line into the record beside the file.
func (b *benchRoom) keep(v *Server, l diagnosis.Line, j diagnosis.Judged) error {
	return shelf.Change(v.session.path, func(r *notes.Record) error {
		t := notes.Test{Line: l.ID, Said: j.Said, On: time.Now().Format(time.RFC3339), Unit: b.begin.Serial}
		if j.Said != diagnosis.Right {
			t.Note = saying(j.Say)
		}
		r.Tests = append(r.Tests, t)
		return nil
	})
}

func saying(ts []words.Text) string {
	var out []string
	for _, t := range ts {
		out = append(out, words.English.Say(t))
	}
	return strings.Join(out, "; ")
}

// accept leaves an explanation as it is: its facts go into the record.
func (b *benchRoom) accept(v *Server, n int) error {
	if n < 1 || n > len(b.causes) {
		return errors.New("there is no such explanation any more")
	}
	fixes, ok := b.walk.Model.Remedies(b.causes[n-1].Faults)
	if !ok {
		return errors.New("this cannot be left as it is: it needs the iron")
	}
	_, now, _ := v.session.Now()
	name := filepath.Base(v.session.path)
	err := shelf.Change(v.session.path, func(r *notes.Record) error {
		text, _, _ := built.Lay(name, now.Text, r)
		for _, x := range fixes {
			f := x.Fact
			f.On = time.Now().Format("2006-01-02")
			var err error
			if text, err = project.Read(name, text).Apply(f.Edits); err != nil {
				return err
			}
			r.Add(f)
		}
		return nil
	})
	if err != nil {
		return err
	}
	_, good, _ := v.session.Now()
	if err := b.furnish(v, good); err != nil {
		return err
	}
	b.note = "Kept in " + filepath.Base(notes.Beside(v.session.path)) + ". The papers and the image follow it: put the new image on the module, then test again."
	return nil
}

func (b *benchRoom) next() (diagnosis.Ask, bool) {
	verdict := b.walk.Verdict()
	if len(b.walk.Judged) == 0 || bench.Enough(verdict) {
		return diagnosis.Ask{}, false
	}
	ask, ok := b.walk.Next()
	if !ok && len(verdict.Groups) > 0 {
		ask, ok = b.walk.Apart(verdict.Groups[0])
	}
	return ask, ok
}

// data is the room as the page sees it.
func (b *benchRoom) data(v *Server) BenchData {
	f := b.result.Firmware
	d := BenchData{
		Rev: b.rev, Note: b.note, Table: int(b.mapping.Table()), Vendor: int(f.Device.Vendor), Product: int(f.Device.Product),
		Lines: []BenchLine{}, Rows: []BenchRow{}, Causes: []BenchCause{}, Moments: b.last, Faults: b.faults, Kept: b.kept, Right: true,
	}
	if d.Moments == nil {
		d.Moments = []BenchMoment{}
	}
	if d.Kept == nil {
		d.Kept = []string{}
	}
	if len(f.Bytes) == 0 {
		d.Why = "There is nothing to test yet: the file names no module that firmware is known for, or not every lead has a pin. The Behind sheet says which leads wait."
	}
	switch {
	case b.begin.Simulate:
		d.Source = "the simulated panel"
	case b.begin.Source != "":
		d.Source = b.begin.Source
	}
	last := map[string]notes.Test{}
	if rec, err := shelf.Load(v.session.path); err == nil {
		for _, t := range rec.Tests {
			last[t.Line] = t
		}
	}
	for _, l := range b.walk.Lines {
		x := BenchLine{ID: l.ID, Say: words.English.Say(l.Say), Expect: words.English.Say(l.Expect), Do: string(l.Act.Do), Control: l.Spot.Control, Controls: []string{}}
		for _, w := range l.Act.With {
			x.Controls = append(x.Controls, strings.Split(w.Device, "/")[0])
		}
		x.Hint = bench.LampHint(b.result, l.Act)
		if l.Act.Do == diagnosis.Light || l.Act.Do == diagnosis.Dark {
			x.Lamp = l.Device
		}
		if j, ok := b.walk.Judged[l.ID]; ok {
			x.Said, x.Saw = j.Said, saying(j.Say)
		}
		if t, ok := last[l.ID]; ok {
			x.Before = t.Said + " on " + t.On[:min(10, len(t.On))]
		}
		d.Lines = append(d.Lines, x)
	}
	for i, r := range f.Rows {
		if r.Control == nil {
			continue
		}
		x := BenchRow{Name: r.Name, Label: r.Label, Control: r.Control.Name, Usage: int(r.Place.Usage), Raw: r.Raw, Axis: b.axial(i), Lamp: r.Lamp, Hat: -1}
		if x.Raw == nil {
			x.Raw = []int{}
		}
		if r.Lamp && r.Place.Width > 0 {
			x.Report, x.Bit = r.Place.Report, r.Place.Bit
		}
		if r.Place.Usage == hid.Usage(0x00010039) {
			for k, word := range []string{"up", "right", "down", "left"} {
				if strings.HasSuffix(r.Sends, word) {
					x.Hat = 2 * k
				}
			}
		}
		d.Rows = append(d.Rows, x)
	}
	b.judge(&d)
	return d
}

// mostShown is how many explanations the page shows.
const mostShown = 5

func (b *benchRoom) judge(d *BenchData) {
	b.causes = nil
	if len(b.walk.Judged) == 0 {
		return
	}
	verdict := b.walk.Verdict()
	d.Right = verdict.Right
	if verdict.Right {
		return
	}
	for g, group := range verdict.Groups {
		for _, c := range group.Causes {
			if len(b.causes) == mostShown || len(b.causes) > 0 && c.P < 0.01*b.causes[0].P {
				break
			}
			if g == 0 && c.P > 0.05*group.Causes[0].P {
				d.Alike++
			}
			b.causes = append(b.causes, c)
			d.Causes = append(d.Causes, b.cause(c, len(b.causes)))
		}
	}
	if ask, ok := b.next(); ok {
		wants := map[diagnosis.Do]string{diagnosis.Light: "lamp", diagnosis.Dark: "lamp", diagnosis.Measure: "ohms", diagnosis.MeasureV: "volts", diagnosis.Trace: "pins"}[ask.Act.Do]
		if wants == "" {
			wants = "panel"
		}
		d.Next = &BenchAsk{Say: words.English.Say(b.walk.Model.AskSay(ask.Act)), Wants: wants, Do: string(ask.Act.Do)}
		if wants == "lamp" {
			d.Next.Lamp, d.Next.On = ask.Act.Device, ask.Act.Do == diagnosis.Light
		}
	}
}

func (b *benchRoom) cause(c diagnosis.Cause, n int) BenchCause {
	x := BenchCause{N: n, Part: int(100*c.P + 0.5), Fix: true, Spots: []BenchSpot{}, Wires: []string{}}
	var says, iron, table []string
	for _, f := range c.Faults {
		e := b.walk.Model.Explain(f)
		says = append(says, benchSentence(errors.New(words.English.Say(e.Say))))
		if !e.Iron.Zero() {
			iron = append(iron, words.English.Say(e.Iron))
		}
		for _, t := range e.Table {
			table = append(table, words.English.Say(t))
		}
		if !e.Only.Zero() {
			iron = append(iron, words.English.Say(e.Only))
		}
		if e.Check != nil && x.Check == "" {
			x.Check = words.English.Say(b.walk.Model.AskSay(*e.Check)) + ": " + words.English.Say(e.Tells)
		}
		for _, s := range e.Spots {
			x.Spots = append(x.Spots, BenchSpot{s.Control, s.Board, s.Label, s.X, s.Y, s.Known})
		}
		x.Wires = append(x.Wires, e.Wires...)
	}
	for _, also := range c.Also {
		says = append(says, "It comes to the same:")
		for _, f := range also {
			e := b.walk.Model.Explain(f)
			says = append(says, words.English.Say(e.Say))
			for _, s := range e.Spots {
				x.Spots = append(x.Spots, BenchSpot{s.Control, s.Board, s.Label, s.X, s.Y, s.Known})
			}
		}
	}
	if _, ok := b.walk.Model.Remedies(c.Faults); !ok { // one of two alone would leave the other
		x.Fix, table = false, nil
	}
	x.Say, x.Iron, x.Table = strings.Join(says, " "), strings.Join(iron, " "), strings.Join(table, " ")
	return x
}
