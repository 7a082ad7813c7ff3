package image

import (
	"bytes"
	"encoding/hex"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func place(t testing.TB, pieces ...Piece) Image {
	t.Helper()
	m, err := Place(pieces...)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// count gives n bytes that differ from their neighbours.
func count(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(i*7 + i>>8)
	}
	return b
}

// drawImage draws up to six pieces of up to 700 bytes, within 1 MiB so that segments reach them, moved up by base.
func drawImage(t *rapid.T, base uint32) (Image, map[uint32]byte) {
	var pieces []Piece
	want := map[uint32]byte{}
	at := base
	for range rapid.IntRange(1, 6).Draw(t, "pieces") {
		at += rapid.Uint32Range(0, 150000).Draw(t, "gap")
		data := rapid.SliceOfN(rapid.Byte(), 1, 700).Draw(t, "data")
		for i, b := range data {
			want[at+uint32(i)] = b
		}
		pieces = append(pieces, Piece{Addr: at, Data: data})
		at += uint32(len(data))
	}
	for i := range pieces { // the order of pieces does not matter
		k := rapid.IntRange(0, i).Draw(t, "swap")
		pieces[i], pieces[k] = pieces[k], pieces[i]
	}
	m, err := Place(pieces...)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return m, want
}

// TestPlace holds images against a plain map of bytes.
func TestPlace(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m, want := drawImage(rt, 0x10000000)
		if m.Len() != len(want) {
			rt.Fatalf("%d bytes, want %d", m.Len(), len(want))
		}
		lo, hi, _ := m.Span()
		for a, b := range want {
			if got, ok := m.At(a, 1); !ok || got[0] != b || a < lo || a > hi {
				rt.Fatalf("0x%X holds %v, %v; want %d", a, got, ok, b)
			}
		}
		runs := m.Runs()
		for i, r := range runs {
			if _, ok := m.At(r.Addr, len(r.Data)+1); ok {
				rt.Fatalf("run %d reaches too far", i)
			}
			if i > 0 && runs[i-1].end() >= uint64(r.Addr) {
				rt.Fatalf("runs %d and %d touch", i-1, i)
			}
		}
		start, flat, err := m.Flat(0xA5)
		if err != nil || start != lo || len(flat) != int(hi-lo)+1 {
			rt.Fatalf("%d bytes from 0x%X, %v", len(flat), start, err)
		}
		for i, b := range flat {
			if w, ok := want[lo+uint32(i)]; ok && b != w || !ok && b != 0xA5 {
				rt.Fatalf("byte %d is %d", i, b)
			}
		}
		again, err := Place(runs...)
		if err != nil || !again.Equal(m) || !m.Holds(again) {
			rt.Fatalf("the runs make another image, %v", err)
		}
	})
}

func TestPlaceRefuses(t *testing.T) {
	for _, c := range []struct {
		pieces []Piece
		says   string
	}{
		{[]Piece{{"core", 0x1000, count(100)}, {"table", 0x1060, count(100)}}, "core at 0x1000 to 0x1063 and table at 0x1060 to 0x10C3 overlap: they share 4 bytes"},
		{[]Piece{{"core", 0, count(100)}, {"table", 10, count(5)}}, "share 5 bytes"},
		{[]Piece{{"a", 5, count(1)}, {"b", 5, count(1)}}, "share 1 byte"},
		{[]Piece{{"core", 0, nil}}, `the piece "core" at 0x0 is empty`},
		{[]Piece{{"core", 0xFFFFFFF0, count(17)}}, "reaches past the end"},
	} {
		if _, err := Place(c.pieces...); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("gives %v, want %q", err, c.says)
		}
	}
	if m := place(t, Piece{"", 0xFFFFFFF0, count(16)}); m.Len() != 16 {
		t.Error("the last bytes of the memory are refused")
	}
	if m := place(t); m.Len() != 0 || !m.Equal(Image{}) {
		t.Error("no pieces are not the empty image")
	}
	far := place(t, Piece{"", 0, count(1)}, Piece{"", MaxSpan, count(1)})
	if _, _, err := far.Flat(0); err == nil {
		t.Error("a stretch of 64 MiB and a byte is made flat")
	}
	if m := place(t, Piece{"", 4, []byte{1}}); m.Holds(place(t, Piece{"", 4, []byte{2}})) || m.Holds(place(t, Piece{"", 5, []byte{1}})) {
		t.Error("an image holds what it does not")
	}
}

// TestCopies: what was given and what was got can be changed without harm.
func TestCopies(t *testing.T) {
	data := count(8)
	m := place(t, Piece{"", 0, data})
	data[0] ^= 1
	m.Runs()[0].Data[1] ^= 1
	got, _ := m.At(0, 8)
	got[2] ^= 1
	if now, _ := m.At(0, 8); !bytes.Equal(now, count(8)) {
		t.Errorf("% X", now)
	}
}
