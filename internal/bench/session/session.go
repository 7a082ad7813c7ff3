// Package session keeps what happened at the bench in a file of lines, one JSON value each, and reads it back: the same sitting can be
// looked at again anywhere, without the panel. A file whose last line was cut off by a crash is read up to there. Everything is pure.
package session

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"knobwright/internal/trade/diagnosis"
)

// Head is the first line of a session.
type Head struct {
	Version int    `json:"knobwright-session"` // 1
	File    string `json:"file,omitempty"`     // the panel file, without its folder
	Title   string `json:"title,omitempty"`
	Panel   string `json:"panel,omitempty"`  // what was talked to: "Knob Cue desk (1209:0001, serial 00C7)", "simulated"
	Serial  string `json:"serial,omitempty"` //
	Table   uint32 `json:"table,omitempty"`  // checksum of the table in the module
	On      string `json:"on,omitempty"`     // date and time, RFC 3339
}

// Line is one thing that happened. Exactly one of its fields beside At is given.
type Line struct {
	At     float64         `json:"at"`               // ms from the start
	Report []byte          `json:"report,omitempty"` // a report as it came, number first
	Of     int             `json:"of,omitempty"`     // the interface that it came from
	Raw    []byte          `json:"raw,omitempty"`    // the row of raw bits that was asked for
	Seen   *diagnosis.Seen `json:"seen,omitempty"`   // an act and what it showed
	Mark   *Mark           `json:"mark,omitempty"`   // a line of the test sheet and its result
	Gone   string          `json:"gone,omitempty"`   // the panel was lost; why
}

// Mark is a result of the test sheet.
type Mark struct {
	Line string `json:"line"` // of the test sheet
	Said string `json:"said"` // right, wrong, skipped
	Note string `json:"note,omitempty"`
}

// Writer writes a session line by line; each line is whole when it is written.
type Writer struct {
	w   io.Writer
	err error
}

// NewWriter begins a session.
func NewWriter(w io.Writer, h Head) *Writer {
	h.Version = 1
	s := &Writer{w: w}
	s.put(h)
	return s
}

func (s *Writer) put(v any) {
	if s.err != nil {
		return
	}
	b, err := json.Marshal(v)
	if err == nil {
		_, err = s.w.Write(append(b, '\n'))
	}
	s.err = err
}

// Add adds a line. The first error is kept and given by Err.
func (s *Writer) Add(l Line) { s.put(l) }

// Err is the first error of writing.
func (s *Writer) Err() error { return s.err }

// Session is a session that was read.
type Session struct {
	Head
	Lines []Line
	Torn  bool // its end is missing
}

// ErrNone says that a file is no session.
var ErrNone = errors.New("this file is no recorded session: its first line does not say knobwright-session")

// most is the longest line that is read: a rotary turned for a minute has far less.
const most = 16 << 20

// Read reads a session. The error says which line makes no sense; a last line that was cut off is no error.
func Read(r io.Reader) (*Session, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 64<<10), most)
	s := &Session{}
	var torn error
	for n := 1; lines.Scan(); n++ {
		b := bytes.TrimSpace(lines.Bytes())
		if n > 1 && len(b) == 0 {
			continue
		}
		if torn != nil {
			return nil, torn
		}
		if n == 1 {
			if json.Unmarshal(b, &s.Head) != nil || s.Version == 0 {
				return nil, ErrNone
			}
			if s.Version != 1 {
				return nil, fmt.Errorf("this session is of version %d; this program reads version 1", s.Version)
			}
			continue
		}
		var l Line
		d := json.NewDecoder(bytes.NewReader(b))
		d.DisallowUnknownFields()
		if err := d.Decode(&l); err != nil || !(l.At >= 0) {
			torn = fmt.Errorf("line %d of the session makes no sense", n)
			continue
		}
		s.Lines = append(s.Lines, l)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("the session cannot be read: %w", err)
	}
	if s.Version == 0 {
		return nil, ErrNone
	}
	s.Torn = torn != nil
	return s, nil
}
