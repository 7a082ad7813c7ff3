package catalog

import (
	"bytes"
	"sync"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// entry is where a built-in record stands in the embedded text.
type entry struct {
	file string // "parts/push.yaml"
	text []byte
	line int // lines of the file above the text
}

// shelf holds records of one kind: built-in ones as text until asked for, and the person's own.
type shelf[T any] struct {
	ids  []string // in the order of lists
	text map[string]entry
	read *sync.Map // id -> T, of built-in records read so far; shared by all layers over one built-in shelf
	own  map[string]T
}

// get gives a record: the person's own first.
func (s *shelf[T]) get(id string) (T, bool) {
	if v, ok := s.own[id]; ok {
		return v, true
	}
	return s.builtin(id)
}

// builtin gives a built-in record.
func (s *shelf[T]) builtin(id string) (T, bool) {
	var zero T
	e, ok := s.text[id]
	if !ok {
		return zero, false
	}
	if v, ok := s.read.Load(id); ok {
		return v.(T), true
	}
	v, _ := s.parse(id, e, nil)
	s.read.Store(id, v)
	return v, true
}

// scan finds the records of an embedded file: each starts with its name at the start of a line.
func (s *shelf[T]) scan(name string) {
	text, err := data.ReadFile("data/" + name)
	if err != nil {
		panic("catalog: " + err.Error()) // the file is part of the program
	}
	if s.text == nil {
		s.text, s.read = map[string]entry{}, &sync.Map{}
	}
	id, start, startLine, line := "", 0, 0, 0
	end := func(at int) {
		if id != "" {
			s.ids = append(s.ids, id)
			s.text[id] = entry{file: name, text: text[start:at], line: startLine}
		}
	}
	for at := 0; at < len(text); line++ {
		if c := text[at]; c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			end(at)
			colon := bytes.IndexByte(text[at:], ':')
			id, start, startLine = string(text[at:at+colon]), at, line
		}
		n := bytes.IndexByte(text[at:], '\n')
		if n < 0 {
			break
		}
		at += n + 1
	}
	end(len(text))
}

// parse reads a built-in record, and those it is like. above lists the records that wait for this one.
func (s *shelf[T]) parse(id string, e entry, above []string) (T, []yamlfile.Problem) {
	d := &yamlfile.Decoder{File: e.file, Bare: length.MM, LineOff: e.line}
	var v T
	n := d.Parse(e.text)
	if n == nil || n.Kind != yaml.MappingNode || len(n.Content) != 2 {
		return v, d.Problems
	}
	v = record(d, n.Content[1], id, id, false, s.names, func(like string) (T, bool) {
		b, ok := s.text[like]
		for _, a := range above {
			ok = ok && a != like
		}
		if !ok || like == id {
			var zero T
			return zero, false
		}
		if v, ok := s.read.Load(like); ok {
			return v.(T), true
		}
		v, p := s.parse(like, b, append(above, id))
		d.Problems = append(d.Problems, p...)
		s.read.Store(like, v)
		return v, true
	})
	return v, d.Problems
}

func (s *shelf[T]) names() []string { return s.ids }
