// Package bench sits a person down before a finished panel: a panel that is plugged in, one that is simulated, or a sitting that was
// recorded. It does what the test sheet asks, keeps what was seen, and asks package diagnosis what it means.
package bench

import (
	"context"
	"errors"
	"fmt"
	"reflect"

	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/session"
	"knobwright/internal/bench/sim"
	"knobwright/internal/job"
	"knobwright/internal/trade/diagnosis"
)

// Source is a panel that acts are done to.
type Source interface {
	// Name is how it is called: "the simulated panel", "Knob Cue desk (1209:0001, serial 00C7)".
	Name() string
	// Serial tells two panels of one kind apart; "" = it has none.
	Serial() string
	// Table is the checksum of the table in its module; 0 = not known.
	Table() uint32
	// ByHand reports whether a person has to do the acts, and to say what lamps and meters show.
	ByHand() bool
	// Do waits until an act is done and gives what it showed. It ends early, with what was seen so far, when the context does.
	Do(ctx context.Context, a diagnosis.Act) (diagnosis.Seen, error)
	Close() error
}

// ErrNotRecorded says that a recorded sitting does not hold what is asked.
var ErrNotRecorded = errors.New("this was not done in the recorded sitting")

// simulated is package sim as a source.
type simulated struct {
	p *sim.Panel
}

// Simulate gives a simulated panel with faults. firmware runs the module's own firmware in it, which is slower and shows what its
// debouncing and filtering make of the contacts; without, the contacts are looked at directly.
func Simulate(ctx context.Context, r *job.Result, firmware bool, faults ...diagnosis.Fault) (Source, error) {
	if !firmware {
		p, err := sim.New(r, faults...)
		if err != nil {
			return nil, err
		}
		return &simulated{p}, nil
	}
	t, err := sim.NewTwin(ctx, r, faults...)
	if err != nil {
		return nil, err
	}
	m := decode.New(r.Firmware)
	s, err := m.Stream(r.Firmware.Interfaces[0].Descriptor)
	if err != nil {
		_ = t.Close()
		return nil, err
	}
	for _, f := range t.First {
		if f.Report != nil {
			if _, err := s.Report(f.Report); err != nil {
				_ = t.Close()
				return nil, err
			}
		}
	}
	return &twin{t: t, s: s}, nil
}

func (s *simulated) Name() string   { return "the simulated panel" }
func (s *simulated) Serial() string { return "" }
func (s *simulated) Table() uint32  { return s.p.Table() }
func (s *simulated) ByHand() bool   { return false }
func (s *simulated) Close() error   { return nil }
func (s *simulated) Do(_ context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	return s.p.Do(a)
}

// twin is the firmware behind simulated wires.
type twin struct {
	t *sim.Twin
	s *decode.Stream
}

func (t *twin) Name() string   { return "the simulated panel, with its firmware" }
func (t *twin) Serial() string { return "" }
func (t *twin) Table() uint32  { return t.t.Table() }
func (t *twin) ByHand() bool   { return false }
func (t *twin) Close() error   { return t.t.Close() }

func (t *twin) Do(_ context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	seen, frames, err := t.t.Play(a)
	if err != nil || len(frames) == 0 {
		return seen, err
	}
	seen.Moments = nil
	raw := []byte(nil)
	for _, f := range frames {
		if f.Raw != nil {
			raw = f.Raw
		} else if _, err := t.s.Report(f.Report); err != nil {
			return seen, err
		}
		if f.Before {
			continue
		}
		seen.Moments = appendMoment(seen.Moments, t.s.Moment(f.At, raw))
	}
	return seen, nil
}

// appendMoment adds a moment where something changed.
func appendMoment(all []diagnosis.Moment, m diagnosis.Moment) []diagnosis.Moment {
	if n := len(all); n > 0 && reflect.DeepEqual(all[n-1].Raw, m.Raw) && reflect.DeepEqual(all[n-1].Axes, m.Axes) {
		return all
	}
	return append(all, m)
}

// replayed is a recorded sitting.
type replayed struct {
	s    *session.Session
	used []bool
}

// Replay gives a recorded sitting as a source: each act is answered by what it showed then.
func Replay(s *session.Session) Source {
	return &replayed{s, make([]bool, len(s.Lines))}
}

func (r *replayed) Name() string {
	if r.s.Panel == "" {
		return "a recorded sitting"
	}
	return "a recorded sitting with " + r.s.Panel
}
func (r *replayed) Serial() string { return r.s.Serial }
func (r *replayed) Table() uint32  { return r.s.Head.Table }
func (r *replayed) ByHand() bool   { return false }
func (r *replayed) Close() error   { return nil }

func (r *replayed) Do(_ context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	for i, l := range r.s.Lines {
		if !r.used[i] && l.Seen != nil && reflect.DeepEqual(l.Seen.Act, a) {
			r.used[i] = true
			return *l.Seen, nil
		}
	}
	return diagnosis.Seen{Act: a}, ErrNotRecorded
}

// Acts lists what was done in a recorded sitting, in order.
func Acts(s *session.Session) []diagnosis.Act {
	var out []diagnosis.Act
	for _, l := range s.Lines {
		if l.Seen != nil {
			out = append(out, l.Seen.Act)
		}
	}
	return out
}

// Belongs says whether a panel with a table of this checksum is the one of the file: "" when it is, or when it is not known.
func Belongs(r *job.Result, table uint32, file string) string {
	if table == 0 {
		return ""
	}
	return decode.New(r.Firmware).Belongs(decode.Identity{CRC: table}, file)
}

// ErrOtherPanel is a recorded sitting that belongs to another file.
type ErrOtherPanel struct{ Say string }

func (e ErrOtherPanel) Error() string { return fmt.Sprint(e.Say) }
