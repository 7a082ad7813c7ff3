package device

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"sync"
)

type file struct {
	number int
	f      io.ReadWriteCloser
	events bool
}

// link talks to the files of one device.
type link struct {
	tree    Tree
	files   []file
	reports chan Report
	done    chan struct{}
	wait    sync.WaitGroup
	once    sync.Once
	mu      sync.Mutex
	err     error
	closed  bool
}

func (l *link) start() {
	for _, f := range l.files {
		l.wait.Add(1)
		go l.read(f)
	}
	go func() {
		l.wait.Wait()
		close(l.reports)
	}()
}

// A report is at most 64 bytes at full speed, and hidraw gives one with each read; more room shows reports that are too long.
const room = 4096

func (l *link) read(f file) {
	defer l.wait.Done()
	buf := make([]byte, room)
	for {
		n, err := f.f.Read(buf)
		if n > 0 {
			for _, r := range cut(f, buf[:n]) {
				select {
				case l.reports <- r:
				case <-l.done:
					return
				}
			}
		}
		if err != nil || n == 0 {
			l.fail()
			return
		}
	}
}

// cut makes reports of what was read. Events of a 64-bit system are 24 bytes, of a 32-bit one 16: time, type, code, value.
func cut(f file, b []byte) []Report {
	if !f.events {
		return []Report{{Interface: f.number, Data: append([]byte(nil), b...)}}
	}
	size := 24
	if len(b)%24 != 0 && len(b)%16 == 0 {
		size = 16
	}
	var out []Report
	for ; len(b) >= size; b = b[size:] {
		e := b[size-8:]
		le := binary.LittleEndian
		out = append(out, Report{Interface: f.number, Event: &Event{le.Uint16(e), le.Uint16(e[2:]), int32(le.Uint32(e[4:]))}})
	}
	return out
}

// fail notes that the panel went away, unless the link was closed, and ends all reading.
func (l *link) fail() {
	l.mu.Lock()
	if !l.closed && l.err == nil {
		l.err = ErrGone
	}
	l.mu.Unlock()
	l.end()
}

func (l *link) end() {
	l.once.Do(func() {
		close(l.done)
		for _, f := range l.files {
			_ = f.f.Close()
		}
	})
}

func (l *link) Reports() <-chan Report { return l.reports }

func (l *link) Err() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.err
}

func (l *link) Close() error {
	l.mu.Lock()
	l.closed = true
	l.mu.Unlock()
	l.end()
	return nil
}

func (l *link) of(number int) (file, error) {
	for _, f := range l.files {
		if f.number == number {
			if f.events {
				return file{}, ErrNoFeature
			}
			return f, nil
		}
	}
	return file{}, fmt.Errorf("the panel has no interface %d", number)
}

func (l *link) Feature(number int, id byte, size int) ([]byte, error) {
	f, err := l.of(number)
	if err != nil {
		return nil, err
	}
	get := l.tree.Feature
	if get == nil {
		get = feature
	}
	b, err := get(f.f, id, size)
	if err != nil && gone(err) {
		return nil, ErrGone
	}
	return b, err
}

func (l *link) Send(number int, report []byte) error {
	f, err := l.of(number)
	if err != nil {
		return err
	}
	if _, err := f.f.Write(report); err != nil {
		if gone(err) {
			return ErrGone
		}
		return err
	}
	return nil
}

var errNoIoctl = errors.New("this file is no device")
