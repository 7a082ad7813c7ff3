package bench

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"sync"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/device"
	"knobwright/internal/bench/session"
	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
)

var cue = sync.OnceValue(func() *job.Result {
	return job.Check(project.Read("cue-desk", examples.File("cue-desk")), catalog.Builtin())
})

// plugged is the firmware itself as a device that is plugged in: what package sim makes it send arrives in real time.
type plugged struct {
	mu      sync.Mutex
	twin    *sim.Twin
	reports chan device.Report
	raw     []byte
	gone    bool
	once    sync.Once
}

func (p *plugged) Reports() <-chan device.Report { return p.reports }
func (p *plugged) Feature(number int, id byte, size int) ([]byte, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.gone {
		return nil, device.ErrGone
	}
	switch id {
	case 0xF1:
		return append([]byte{0xF1}, p.raw...), nil
	case 0xF0:
		b := make([]byte, 21)
		copy(b, []byte{0xF0, 'K', 'W', 0, 1, 1, 1, 0})
		crc := p.twin.Table()
		b[11], b[12], b[13], b[14] = byte(crc), byte(crc>>8), byte(crc>>16), byte(crc>>24)
		return b, nil
	}
	return nil, fs.ErrInvalid
}
func (p *plugged) Send(int, []byte) error { return nil }
func (p *plugged) Err() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.gone {
		return device.ErrGone
	}
	return nil
}
func (p *plugged) Close() error { p.once.Do(func() { close(p.reports) }); return nil }

func (p *plugged) pull() {
	p.mu.Lock()
	p.gone = true
	p.mu.Unlock()
	p.once.Do(func() { close(p.reports) })
}

// act does an act, four times as slowly as it is simulated, so that nothing is missed on a busy machine.
func (p *plugged) act(t *testing.T, a diagnosis.Act) {
	t.Helper()
	_, frames, err := p.twin.Play(a)
	if err != nil {
		t.Error(err)
		return
	}
	for _, f := range frames {
		if f.Raw != nil {
			p.mu.Lock()
			p.raw = f.Raw
			p.mu.Unlock()
			time.Sleep(8 * time.Millisecond)
			continue
		}
		p.reports <- device.Report{Data: f.Report}
	}
}

func plug(t *testing.T, faults ...diagnosis.Fault) (*plugged, device.Info) {
	t.Helper()
	tw, err := sim.NewTwin(context.Background(), cue(), faults...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = tw.Close() })
	p := &plugged{twin: tw, reports: make(chan device.Report, 256)}
	p.act(t, diagnosis.Act{Do: diagnosis.Rest})
	info := device.Info{Name: "Cue desk", Serial: "00C7", Vendor: 0x1209, Product: 1}
	for i, x := range cue().Firmware.Interfaces {
		info.Interfaces = append(info.Interfaces, device.Interface{Number: i, Descriptor: x.Descriptor})
	}
	return p, info
}

// A panel that is plugged in shows what the simulated one shows: the contact of BELL, down and up.
func TestLive(t *testing.T) {
	p, info := plug(t)
	m := decode.New(cue().Firmware)
	l, err := Attach(info, p, m)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	var log bytes.Buffer
	l.Record(session.NewWriter(&log, session.Head{}))
	if id, ok := l.Identity(); !ok || m.Belongs(id, "x") != "" {
		t.Errorf("%v %v", id, ok)
	}
	var mu sync.Mutex
	var names []string
	l.Tell(func(c []decode.Change) {
		mu.Lock()
		defer mu.Unlock()
		for _, x := range c {
			if !x.Axis && x.Name == "bell" {
				names = append(names, x.Name)
			}
		}
	})
	time.Sleep(50 * time.Millisecond)
	var hand sync.WaitGroup
	defer hand.Wait() // before the panel is closed
	hand.Go(func() { p.act(t, diagnosis.Act{Do: diagnosis.Press, Device: "bell"}) })
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	seen, err := l.Do(ctx, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
	if err != nil || ctx.Err() != nil {
		t.Fatal(err, ctx.Err())
	}
	raw := 0
	for _, r := range cue().Firmware.Rows {
		if r.Name == "bell" {
			raw = r.Raw[0]
		}
	}
	down := false
	for _, x := range seen.Moments {
		down = down || x.Raw[raw/8]>>(raw%8)&1 != 0
	}
	n := len(seen.Moments)
	if !down || seen.Moments[n-1].Raw[raw/8]>>(raw%8)&1 != 0 || seen.Table != m.Table() {
		t.Errorf("BELL was not seen: %+v", seen)
	}
	mu.Lock()
	if len(names) != 2 {
		t.Errorf("the reports told of %v", names)
	}
	mu.Unlock()
	if s, err := session.Read(bytes.NewReader(log.Bytes())); err != nil || len(s.Lines) < 4 {
		t.Errorf("%v %v", s, err)
	}
}

// Free pressing counts: BELL and then RAIN, in no order that anybody asked for.
func TestFree(t *testing.T) {
	p, info := plug(t)
	l, err := Attach(info, p, decode.New(cue().Firmware))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	time.Sleep(50 * time.Millisecond)
	w := Begin(cue(), l)
	var hand sync.WaitGroup
	defer hand.Wait() // it may still let go of RAIN; before that the panel must not be closed
	hand.Go(func() {
		time.Sleep(100 * time.Millisecond)
		p.act(t, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
		time.Sleep(100 * time.Millisecond)
		p.act(t, diagnosis.Act{Do: diagnosis.Press, Device: "rain"})
	})
	ctx, cancel := context.WithTimeout(context.Background(), 15*time.Second)
	defer cancel()
	var got []string
	if err := l.Free(ctx, w, func(line diagnosis.Line) {
		got = append(got, line.ID)
		if len(got) == 2 {
			cancel()
		}
	}); err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 || got[0] != "bell/press" || got[1] != "rain/press" {
		t.Errorf("ticked: %v", got)
	}
}

// Unplugged in the middle of an act: what was seen so far is given, with the sentence.
func TestUnplugged(t *testing.T) {
	p, info := plug(t)
	l, err := Attach(info, p, decode.New(cue().Firmware))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	time.AfterFunc(100*time.Millisecond, p.pull)
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	_, err = l.Do(ctx, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
	if !errors.Is(err, device.ErrGone) || ctx.Err() != nil {
		t.Error(err, ctx.Err())
	}
	if _, err := l.Do(ctx, diagnosis.Act{Do: diagnosis.Rest}); !errors.Is(err, device.ErrGone) {
		t.Error(err)
	}
}

// Nothing moves: the person says so, and that is what was seen.
func TestNothingMoves(t *testing.T) {
	p, info := plug(t)
	l, err := Attach(info, p, decode.New(cue().Firmware))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	time.Sleep(30 * time.Millisecond)
	ctx, cancel := context.WithTimeout(context.Background(), 500*time.Millisecond)
	defer cancel()
	seen, err := l.Do(ctx, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
	if err != nil || len(seen.Moments) > 2 {
		t.Errorf("%v %+v", err, seen)
	}
}

// A sitting that is replayed shows what was seen.
func TestReplay(t *testing.T) {
	src, err := Simulate(context.Background(), cue(), false)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w := session.NewWriter(&b, session.Head{Table: src.Table()})
	acts := []diagnosis.Act{{Do: diagnosis.Press, Device: "bell"}, {Do: diagnosis.Press, Device: "rain"}}
	var first []diagnosis.Seen
	for _, a := range acts {
		seen, err := src.Do(context.Background(), a)
		if err != nil {
			t.Fatal(err)
		}
		first = append(first, seen)
		w.Add(session.Line{Seen: &seen})
	}
	s, err := session.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	again := Replay(s)
	if again.Table() != src.Table() || len(Acts(s)) != 2 {
		t.Error("the sitting lost its table or its acts")
	}
	for i := range acts {
		j := len(acts) - 1 - i
		got, err := again.Do(context.Background(), acts[j])
		if err != nil || len(got.Moments) != len(first[j].Moments) {
			t.Errorf("%v %v", got, err)
		}
	}
	if _, err := again.Do(context.Background(), acts[0]); !errors.Is(err, ErrNotRecorded) {
		t.Error(err)
	}
}

// The firmware's own account of a press agrees with the contacts that were simulated.
func TestTwinAgreesWithContacts(t *testing.T) {
	for _, a := range []diagnosis.Act{{Do: diagnosis.Press, Device: "bell"}, {Do: diagnosis.Press, Device: "go"}, {Do: diagnosis.Put, Device: "gauze", Position: "up"}} {
		plain, err := Simulate(context.Background(), cue(), false)
		if err != nil {
			t.Fatal(err)
		}
		full, err := Simulate(context.Background(), cue(), true)
		if err != nil {
			t.Fatal(err)
		}
		x, err := plain.Do(context.Background(), a)
		if err != nil {
			t.Fatal(err)
		}
		y, err := full.Do(context.Background(), a)
		if err != nil {
			t.Fatal(err)
		}
		n := len(x.Moments[0].Raw)
		last, end := x.Moments[len(x.Moments)-1].Raw, y.Moments[len(y.Moments)-1].Raw
		if !bytes.Equal(x.Moments[0].Raw, y.Moments[0].Raw[:n]) || !bytes.Equal(last, end[:n]) {
			t.Errorf("%v: contacts %v to %v, firmware %v to %v", a, x.Moments[0].Raw, last, y.Moments[0].Raw, end)
		}
		_ = full.Close()
	}
}
