package bench

import (
	"bytes"
	"context"
	"errors"
	"sync"
	"time"

	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/device"
	"knobwright/internal/bench/session"
	"knobwright/internal/trade/diagnosis"
)

// Live is a panel that is plugged in. It is read all the time; acts are done by the person.
type Live struct {
	info  device.Info
	link  device.Link
	m     *decode.Mapping
	bench int // interface of our firmware's own reports, -1 = other firmware
	id    decode.Identity
	known bool

	events bool // it is read through the system's key and axis events

	mu      sync.Mutex
	begun   time.Time
	streams map[int]*decode.Stream
	now     diagnosis.Moment
	raw     []byte // as last asked for
	moments []diagnosis.Moment
	keep    bool
	bad     int
	changed chan struct{}
	told    func([]decode.Change)
	watch   chan diagnosis.Moment
	log     *session.Writer
	gone    error
	stop    context.CancelFunc
	done    chan struct{}
}

// pause between two looks at the raw contacts, ms: a look takes a control transfer of one or two frames of the bus.
const pause = 2

// Attach begins to read a panel. The error is a sentence: it was unplugged, or its descriptor makes no sense.
func Attach(info device.Info, link device.Link, m *decode.Mapping) (*Live, error) {
	l := &Live{
		info: info, link: link, m: m, bench: info.Bench(m), begun: time.Now(), streams: map[int]*decode.Stream{}, now: m.Blank(),
		changed: make(chan struct{}, 1), done: make(chan struct{}),
	}
	for _, x := range info.Interfaces {
		s, err := m.Stream(x.Descriptor)
		if err != nil {
			continue // an interface that nobody can read is none of ours
		}
		l.streams[x.Number] = s
	}
	if l.bench >= 0 {
		if b, err := link.Feature(l.bench, 0xF0, 21); err == nil {
			if l.id, err = decode.ReadIdentity(b); err == nil {
				l.known = true
			}
		} else if errors.Is(err, device.ErrGone) {
			return nil, err
		} else {
			l.bench, l.events = -1, errors.Is(err, device.ErrNoFeature)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	l.stop = stop
	var wait sync.WaitGroup
	wait.Add(1)
	go func() { defer wait.Done(); l.listen(ctx) }()
	if l.bench >= 0 {
		wait.Add(1)
		go func() { defer wait.Done(); l.poll(ctx) }()
	}
	go func() { wait.Wait(); close(l.done) }()
	return l, nil
}

// Name is how the device calls itself.
func (l *Live) Name() string { return l.info.String() }

// Serial is its serial.
func (l *Live) Serial() string { return l.info.Serial }

// Table is the checksum of the module's table, 0 with other firmware.
func (l *Live) Table() uint32 { return l.id.CRC }

// Identity is what our firmware says of itself; false with other firmware.
func (l *Live) Identity() (decode.Identity, bool) { return l.id, l.known }

// Coarse tells why contacts are not seen themselves, as a sentence, and whether a udev rule would change it; "" when they are seen.
func (l *Live) Coarse() (say string, rule bool) {
	const through = "contacts are seen only through what is sent, and its table is not known"
	switch {
	case l.bench >= 0:
		return "", false
	case l.events:
		return "The system lets you at this panel through its key and axis events only: " + through + "; lamps cannot be lit from here.", true
	case l.info.Bench(l.m) >= 0:
		return "The panel does not answer what the bench asks of its firmware: " + through + ".", false
	}
	return "This panel has other firmware: " + through + ".", false
}

// Rule is a udev rule that lets whoever sits at the computer talk to this panel. It is offered, never installed.
func (l *Live) Rule() string { return (&device.DeniedError{Info: l.info}).Rule() }

// ByHand is true: a person does what is asked.
func (l *Live) ByHand() bool { return true }

// Bad counts reports that made no sense.
func (l *Live) Bad() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.bad
}

// Record writes everything that comes into a session, too.
func (l *Live) Record(w *session.Writer) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.log = w
}

// Tell calls a function with the lines of the mapping that move, from a goroutine of the reader.
func (l *Live) Tell(f func([]decode.Change)) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.told = f
}

func (l *Live) at() float64 { return float64(time.Since(l.begun).Microseconds()) / 1000 }

func (l *Live) listen(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case r, more := <-l.link.Reports():
			if !more {
				l.lost(l.link.Err())
				return
			}
			l.take(r)
		}
	}
}

func (l *Live) take(r device.Report) {
	l.mu.Lock()
	var changes []decode.Change
	if r.Event != nil {
		if c, ok := l.m.Event(r.Event.Type, r.Event.Code, r.Event.Value); ok {
			changes = append(changes, c)
		}
	} else if s := l.streams[r.Interface]; s != nil && r.Interface != l.bench {
		got, err := s.Report(r.Data)
		if err != nil {
			l.bad++
		}
		changes = got
	}
	if l.log != nil && r.Event == nil {
		l.log.Add(session.Line{At: l.at(), Report: r.Data, Of: r.Interface})
	}
	for _, c := range changes {
		if l.raw == nil || c.Axis {
			l.m.Apply(&l.now, c)
		}
	}
	l.note()
	told := l.told
	l.mu.Unlock()
	if told != nil && len(changes) > 0 {
		told(changes)
	}
}

// note keeps the moment that is, if it is another one. The lock is held.
func (l *Live) note() {
	m := diagnosis.Moment{At: l.at(), Raw: bytes.Clone(l.now.Raw), Axes: append([]uint16(nil), l.now.Axes...)}
	if l.watch != nil {
		select {
		case l.watch <- m:
		default: // nobody keeps up with it; the next one tells as much
		}
	}
	if l.keep {
		n := len(l.moments)
		l.moments = appendMoment(l.moments, m)
		if len(l.moments) == n {
			return
		}
	}
	select {
	case l.changed <- struct{}{}:
	default:
	}
}

// poll asks our firmware for the raw contacts again and again.
func (l *Live) poll(ctx context.Context) {
	tick := time.NewTicker(pause * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		b, err := l.link.Feature(l.bench, 0xF1, 1+64)
		if errors.Is(err, device.ErrGone) {
			l.lost(err)
			return
		}
		if err != nil {
			continue
		}
		raw, err := decode.ReadRaw(b)
		if err != nil {
			continue
		}
		l.mu.Lock()
		if !bytes.Equal(raw, l.raw) {
			l.raw = bytes.Clone(raw)
			l.now.Raw = l.raw
			if l.log != nil {
				l.log.Add(session.Line{At: l.at(), Raw: l.raw})
			}
			l.note()
		}
		l.mu.Unlock()
	}
}

func (l *Live) lost(err error) {
	if err == nil {
		return
	}
	l.mu.Lock()
	if l.gone == nil {
		l.gone = err
		if l.log != nil {
			l.log.Add(session.Line{At: l.at(), Gone: err.Error()})
		}
	}
	l.mu.Unlock()
	l.stop()
	select {
	case l.changed <- struct{}{}:
	default:
	}
}

// Gone says why the panel is not there any more; nil while it is.
func (l *Live) Gone() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.gone
}

// Close ends reading.
func (l *Live) Close() error {
	l.stop()
	err := l.link.Close()
	<-l.done
	return err
}

// quiet is how long nothing must change before an act counts as done.
var quiet = map[diagnosis.Do]time.Duration{
	diagnosis.Press: 300 * time.Millisecond, diagnosis.Hold: 600 * time.Millisecond, diagnosis.Put: 500 * time.Millisecond,
	diagnosis.Turn: 700 * time.Millisecond, diagnosis.Slide: 900 * time.Millisecond, diagnosis.Rest: 600 * time.Millisecond,
}

// Do watches the panel while the person does an act: until something moved and is quiet again, after presses until all is back. When
// nothing moves, the end of the context ends it: the person says that it is done.
func (l *Live) Do(ctx context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	l.mu.Lock()
	if l.gone != nil {
		l.mu.Unlock()
		return diagnosis.Seen{Act: a}, l.gone
	}
	start := l.at()
	l.moments, l.keep = nil, true
	l.note()
	l.mu.Unlock()
	still := quiet[a.Do]
	if still == 0 {
		still = 500 * time.Millisecond
	}
	timer := time.NewTimer(still)
	defer timer.Stop()
wait:
	for {
		select {
		case <-ctx.Done():
			break wait
		case <-l.changed:
			if l.Gone() != nil {
				break wait
			}
			timer.Reset(still)
		case <-timer.C:
			if l.over(a) {
				break wait
			}
			timer.Reset(still)
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.keep = false
	seen := diagnosis.Seen{Act: a, Table: l.id.CRC, Moments: l.moments}
	l.moments = nil
	for i := range seen.Moments {
		seen.Moments[i].At = max(seen.Moments[i].At-start, 0)
	}
	return seen, l.gone
}

// over tells whether an act that is quiet now is done.
func (l *Live) over(a diagnosis.Act) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	n := len(l.moments)
	switch {
	case a.Do == diagnosis.Rest:
		return true
	case n < 2:
		return false
	case a.Do == diagnosis.Press, a.Do == diagnosis.Hold: // what is let go later would count for the next line
		return bytes.Equal(l.moments[0].Raw, l.moments[n-1].Raw)
	}
	return true
}

// Free lets the person press what they like: every line of the sheet that is satisfied thereby counts, and is told. It ends with the
// context, or when the panel is unplugged.
func (l *Live) Free(ctx context.Context, w *Walk, tell func(diagnosis.Line)) error {
	r := w.Model.Recognise(w.Lines)
	moments := make(chan diagnosis.Moment, 4096)
	l.mu.Lock()
	l.watch = moments
	moments <- diagnosis.Moment{At: l.at(), Raw: bytes.Clone(l.now.Raw), Axes: append([]uint16(nil), l.now.Axes...)}
	l.mu.Unlock()
	defer func() {
		l.mu.Lock()
		l.watch = nil
		l.mu.Unlock()
	}()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		var ids []string
		select {
		case <-ctx.Done():
			return nil
		case m := <-moments:
			ids = r.Feed(m)
		case <-tick.C:
			if err := l.Gone(); err != nil {
				return err
			}
			ids = r.Tick(l.at())
		}
		for _, line := range w.Satisfied(ids) {
			tell(line)
		}
	}
}
