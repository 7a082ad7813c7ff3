package studio

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"path/filepath"
	"strings"
	"sync"

	"knobwright/internal/bench"
	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/sim"
	"knobwright/internal/job"
	"knobwright/internal/record/built"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/diagnosis"
)

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
