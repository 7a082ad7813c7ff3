package packet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func docs(t *testing.T, text string) []Doc {
	t.Helper()
	d, err := withManifest(Manifest{Tool: "knobwright"}, []Doc{{Name: "a.txt", About: "a paper", Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestWriteReplacesItsOwn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "desk-packet")
	for _, text := range []string{"one", "two"} {
		if err := Write(dir, docs(t, text), nil); err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(dir, "a.txt"))
		if err != nil || string(got) != text {
			t.Fatalf("%q, %v", got, err)
		}
	}
	left, _ := os.ReadDir(filepath.Dir(dir))
	if len(left) != 1 {
		t.Fatalf("something was left beside it: %v", left)
	}
}

func TestWriteLeavesOthersAlone(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "letter.txt")
	if err := os.WriteFile(mine, []byte("dear aunt"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, docs(t, "x"), nil); !errors.Is(err, ErrNotPacket) {
		t.Fatalf("a folder of somebody else: %v", err)
	}
	if err := Write(mine, docs(t, "x"), nil); !errors.Is(err, ErrNotPacket) {
		t.Fatalf("a file: %v", err)
	}
	packet := filepath.Join(dir, "p")
	if err := Write(packet, docs(t, "x"), nil); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(packet, "my-notes.txt"), []byte("n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(packet, docs(t, "y"), nil); !errors.Is(err, ErrNotPacket) || !strings.Contains(err.Error(), "my-notes.txt") {
		t.Fatalf("notes put into the packet must stop it: %v", err)
	}
	if got, _ := os.ReadFile(filepath.Join(packet, "a.txt")); string(got) != "x" {
		t.Fatalf("the old packet was touched: %q", got)
	}
}

func TestWriteRefusesNames(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "p")
	for _, n := range []string{"../x", "a/b", ".hidden", "", "ü.txt"} {
		if err := Write(dir, []Doc{{Name: n}}, nil); err == nil {
			t.Errorf("%q was taken as a file name", n)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("a failed write left a folder")
	}
}
