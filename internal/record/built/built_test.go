package built

import (
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/record"
)

// Facts are laid over in order; what is past or does not fit is left out, and the rest stands.
func TestLay(t *testing.T) {
	src := "knobwright: 1\n# mine\ntitle: x\nface: {width: 100, height: 100}\ncontrols:\n  go: {part: push-16mm, at: [50, 50]}\n"
	set := func(path, value string) []finding.Edit {
		return []finding.Edit{{Op: finding.Set, Path: path, Value: value}}
	}
	r := &record.Record{Facts: []record.Fact{
		{ID: "f1", What: "one", Edits: set("controls.go.at", "[51, 50]")},
		{ID: "f2", What: "two", Edits: set("controls.go.at", "[99, 99]"), Past: true},
		{ID: "f3", What: "three", Edits: []finding.Edit{{Op: finding.Delete, Path: "controls.gone"}}},
		{ID: "f4", What: "four", Edits: set("title", "two words")},
	}}
	text, laid, lost := Lay("x.yaml", []byte(src), r)
	for _, want := range []string{"# mine", "[51, 50]", "title: two words"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if laid != 2 || len(lost) != 1 || !strings.HasPrefix(lost[0], "f3 (three): ") {
		t.Error(laid, lost)
	}
}
