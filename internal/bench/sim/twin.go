package sim

import (
	"bytes"
	"context"

	"knobwright/firmware/rig"
	"knobwright/internal/job"
	"knobwright/internal/trade/diagnosis"
)

// Frame is something that the host of a panel gets: a report with its number, or the row of raw bits that it asked for.
type Frame struct {
	At     float64 // ms from the start of the act
	Report []byte  // nil when Raw is given
	Raw    []byte
	Before bool // it came while what the act before had held was let go
}

// Twin is a simulated panel with the firmware itself in it: the wires of Panel close the contacts, and the core that runs on modules
// makes the reports. It is slower than Panel, by a factor of some hundred, and what it sends is what a module sends, byte by byte.
type Twin struct {
	*Panel
	rig  *rig.Panel
	raw  []byte // as the contacts stand
	axes []uint16
	told []byte // raw bits as the host has them

	First []Frame // what the host got before anything was touched
}

// NewTwin starts one. The errors are those of New, and what the firmware says when it refuses the table.
func NewTwin(ctx context.Context, r *job.Result, faults ...diagnosis.Fault) (*Twin, error) {
	p, err := New(r, faults...)
	if err != nil {
		return nil, err
	}
	f, err := rig.NewPanel(ctx, p.bytes)
	if err != nil {
		return nil, err
	}
	t := &Twin{Panel: p, rig: f, raw: make([]byte, p.table.raw)}
	first := p.look(0)
	if t.First, err = t.stand(diagnosis.Moment{Raw: first.raw, Axes: first.axes}, 60, 0); err != nil {
		_ = f.Close()
		return nil, err
	}
	return t, nil
}

// Play does an act and gives all that the host gets: reports as they come, and the raw bits asked for after each change and at the end.
// Acts that no report tells of (lamps, the meter) give no frames; their answer is in Seen.
func (t *Twin) Play(a diagnosis.Act) (diagnosis.Seen, []Frame, error) {
	seen, err := t.Do(a)
	if err != nil || len(seen.Moments) == 0 {
		return seen, nil, err
	}
	var out []Frame
	if !bytes.Equal(t.raw, seen.Moments[0].Raw[:min(len(t.raw), len(seen.Moments[0].Raw))]) {
		if out, err = t.stand(seen.Moments[0], 80, 0); err != nil {
			return seen, nil, err
		}
		for i := range out {
			out[i].At, out[i].Before = 0, true
		}
	}
	raw, err := t.rig.Raw()
	if err != nil {
		return seen, nil, err
	}
	out = append(out, Frame{Raw: raw})
	for i, m := range seen.Moments {
		wait := 80.0
		if i+1 < len(seen.Moments) {
			wait = seen.Moments[i+1].At - m.At
		}
		frames, err := t.stand(m, int(wait), m.At)
		if err != nil {
			return seen, out, err
		}
		out = append(out, frames...)
	}
	return seen, out, nil
}

// stand brings the contacts and voltages to those of a moment, and lets time pass.
func (t *Twin) stand(m diagnosis.Moment, ms int, at float64) ([]Frame, error) {
	for _, on := range []bool{false, true} { // of a ladder the last one that is closed makes the voltage
		for i := range 8 * len(m.Raw) {
			if now := m.Raw[i/8]>>(i%8)&1 != 0; now == on && now != (t.raw[i/8]>>(i%8)&1 != 0) {
				if _, err := t.rig.Press(i, on); err != nil {
					return nil, err
				}
			}
		}
	}
	copy(t.raw, m.Raw)
	for i, v := range m.Axes {
		if i >= len(t.axes) || t.axes[i] != v {
			if _, err := t.rig.Slide(i, int(v)); err != nil {
				return nil, err
			}
		}
	}
	t.axes = append(t.axes[:0], m.Axes...)
	var out []Frame
	for k := range max(ms, 1) {
		got, err := t.rig.Run(1)
		if err != nil {
			return nil, err
		}
		for _, b := range got {
			out = append(out, Frame{At: at + float64(k+1), Report: b})
		}
		raw, err := t.rig.Raw()
		if err != nil {
			return nil, err
		}
		if !bytes.Equal(raw, t.told) || k == max(ms, 1)-1 {
			t.told = raw
			out = append(out, Frame{At: at + float64(k+1), Raw: raw})
		}
	}
	return out, nil
}

// Identity is what the firmware says of itself: report 0xF0, as it comes.
func (t *Twin) Identity() (rig.Identity, error) { return t.rig.Identity() }

// Close ends the firmware.
func (t *Twin) Close() error { return t.rig.Close() }
