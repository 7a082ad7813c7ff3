package packet

import (
	"bytes"
	"errors"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/record"
)

// The commissioning sheet is the same twice, says which lines failed, and is refused where there is nothing to test.
func TestCommissioning(t *testing.T) {
	src := examples.File("lantern-desk")
	r := job.Check(project.Read("lantern-desk.yaml", src), catalog.Builtin())
	rec := &record.Record{
		Tests: []record.Test{{Line: "rest", Said: "right", On: "2026-05-02T10:00:00Z"}, {Line: "table", Said: "wrong", On: "2026-05-02T10:00:00Z", Note: "nothing came", Unit: "00C7"}},
		Facts: []record.Fact{{ID: "f1", On: "2026-05-02", Kind: "wiring", What: "The leads of two buttons are exchanged."}},
	}
	one, err := Commissioning(r, src, rec)
	if err != nil {
		t.Fatal(err)
	}
	two, err := Commissioning(r, src, rec)
	if err != nil || !bytes.Equal(one, two) || !bytes.HasPrefix(one, []byte("%PDF-")) {
		t.Error("the sheet differs from one time to the next", err)
	}
	empty, err := Commissioning(r, src, &record.Record{})
	if err != nil || bytes.Equal(one, empty) {
		t.Error("the record leaves no trace on the sheet", err)
	}
	bare := job.Check(project.Read("x.yaml", []byte("knobwright: 1\ntitle: x\nface: {width: 100, height: 100, sheet: acrylic-3mm}\n")), catalog.Builtin())
	if _, err := Commissioning(bare, nil, rec); !errors.Is(err, ErrNothingToTest) {
		t.Error(err)
	}
	rec.Tests[1].Note = "\ue000" // private use: nobody knows what it looks like
	if _, err := Commissioning(r, src, rec); err == nil {
		t.Error("a letter that no font has is set")
	}
}
