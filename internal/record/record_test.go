package record

import (
	"reflect"
	"strings"
	"testing"

	"knobwright/internal/finding"
)

func TestWriteKeepsCommentsAndReadsBack(t *testing.T) {
	src := `# my own words at the top

knobwright-record: 1
ticks:
  # done in the rain
  drill-face: {on: 2026-05-02, note: slow}   # took two bits
  cut-boards: {on: 2026-05-03}
facts:
  - id: f3
    on: 2026-05-04
    kind: hole
    what: GO sits 1.5 mm right of its mark.
    of: [go]
    edits:
      - {op: set, path: controls.go.at, value: "[61.5, 48]"}
`
	r, err := Read("x.record.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	r.Ticks["paint"] = Tick{On: "2026-05-05"}
	f := r.Add(Fact{On: "2026-05-06", Kind: "wire", What: "W4 is \"short\": # really", Edits: []finding.Edit{{Op: finding.Set, Path: "a", Value: "b"}}})
	if f.ID != "f4" {
		t.Error(f.ID)
	}
	out, err := r.Write([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"# my own words at the top", "# done in the rain", "# took two bits"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("%q is lost:\n%s", want, out)
		}
	}
	again, err := Read("x", out)
	if err != nil || !reflect.DeepEqual(r.Facts, again.Facts) || !reflect.DeepEqual(r.Ticks, again.Ticks) {
		t.Errorf("%v\n%+v\n%+v", err, r, again)
	}
	twice, _ := again.Write(out)
	if string(twice) != string(out) {
		t.Errorf("written again it is otherwise:\n%s\n%s", out, twice)
	}
}

func TestReadRefuses(t *testing.T) {
	for name, src := range map[string]string{
		"unknown key":  "knobwright-record: 1\nticsk: {}\n",
		"version":      "knobwright-record: 2\n",
		"broken":       "ticks: [",
		"unknown edit": "facts:\n  - {id: f1, on: x, kind: hole, what: y, edits: [{op: explode, path: a}]}\n",
		"no path":      "facts:\n  - {id: f1, on: x, kind: hole, what: y, edits: [{op: set}]}\n",
	} {
		if _, err := Read("x", []byte(src)); err == nil {
			t.Errorf("%s: is taken", name)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: not one sentence: %v", name, err)
		}
	}
	if r, err := Read("x", nil); err != nil || len(r.Ticks) != 0 {
		t.Error(err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("knobwright-record: 1\nticks: {a: {on: b}}\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		r, err := Read("x", src)
		if err != nil {
			return
		}
		out, err := r.Write(src)
		if err != nil {
			t.Skip() // what no YAML can hold
		}
		if _, err := Read("x", out); err != nil {
			t.Fatalf("%v\n%q", err, out)
		}
	})
}
