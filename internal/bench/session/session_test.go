package session

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"knobwright/internal/trade/diagnosis"
)

func some() (Head, []Line) {
	return Head{Version: 1, File: "cue-desk.yaml", Table: 7, On: "2026-05-02T10:00:00Z"}, []Line{
		{At: 1, Report: []byte{1, 2}, Of: 1},
		{At: 2.5, Raw: []byte{4}},
		{At: 3, Seen: &diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Press, Device: "go"}, Moments: []diagnosis.Moment{{Raw: []byte{1}}, {At: 4, Raw: []byte{0}, Axes: []uint16{5}}}}},
		{At: 4, Mark: &Mark{Line: "go/press", Said: "right"}},
		{At: 5, Gone: "the panel was unplugged"},
	}
}

func TestThereAndBack(t *testing.T) {
	head, lines := some()
	var b bytes.Buffer
	w := NewWriter(&b, head)
	for _, l := range lines {
		w.Add(l)
	}
	if w.Err() != nil {
		t.Fatal(w.Err())
	}
	s, err := Read(bytes.NewReader(b.Bytes()))
	if err != nil || s.Head != head || !reflect.DeepEqual(s.Lines, lines) || s.Torn {
		t.Fatalf("%+v %v", s, err)
	}
	// cut off anywhere after the first line, what was whole is read
	first := bytes.IndexByte(b.Bytes(), '\n')
	for n := first + 1; n < b.Len(); n++ {
		s, err := Read(bytes.NewReader(b.Bytes()[:n]))
		if err != nil {
			t.Fatalf("cut at %d: %v", n, err)
		}
		whole := bytes.Count(b.Bytes()[:n], []byte("\n")) - 1
		if len(s.Lines) < whole || len(s.Lines) > whole+1 {
			t.Fatalf("cut at %d: %d lines of %d", n, len(s.Lines), whole)
		}
	}
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                         "no recorded session",
		"knobwright: 1\n":          "no recorded session",
		"{}\n":                     "no recorded session",
		`{"knobwright-session":2}`: "version 2",
		"{\"knobwright-session\":1}\n{\"at\":1,\"fly\":2}\n{\"at\":2}\n": "line 2 of the session makes no sense",
	} {
		if _, err := Read(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("{\"knobwright-session\":1}\n{\"at\":1,\"raw\":\"AA==\"}\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Read(bytes.NewReader(b))
		if err == nil && s.Version != 1 {
			t.Fatal("a session without a version")
		}
	})
}
