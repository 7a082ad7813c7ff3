package main

import (
	"bytes"
	"os"
	"testing"
)

// The committed schemas are those that the types and comments of today give.
func TestNoDrift(t *testing.T) {
	files, err := generate("../../..")
	if err != nil {
		t.Fatal(err)
	}
	again, err := generate("../../..")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range files {
		got, err := os.ReadFile("../" + name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the types give: run go generate ./internal/project", name)
		}
		if !bytes.Equal(again[name], want) {
			t.Errorf("%s comes out different twice", name)
		}
	}
}
