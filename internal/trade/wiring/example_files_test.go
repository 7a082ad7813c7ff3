package wiring

import (
	"reflect"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
)

// Every example is planned to the last lead, twice the same.
func TestExamples(t *testing.T) {
	for _, name := range examples.Names() {
		doc, p := place(t, name, examples.File(name))
		r := Work(p, catalog.Builtin())
		check(t, p, &r)
		if !reflect.DeepEqual(r.Plan, Work(p, catalog.Builtin()).Plan) {
			t.Errorf("%s: planned twice, two plans", name)
		}
		for _, f := range r.Findings {
			if f.Severity == finding.Stop {
				t.Errorf("%s: %s: %s", name, f.Rule, f.Head)
			}
			for _, x := range f.Fixes {
				if _, err := doc.Apply(x.Edits); err != nil {
					t.Errorf("%s: %s: %v", name, x.Say, err)
				}
			}
		}
		if p.Module != nil && r.Plan.Partial {
			t.Errorf("%s: the plan is partial:\n%s", name, dump(r))
		}
	}
}

// What a plan adds, written into the file, gives the same plan without a word.
func TestAddedBoardsWritten(t *testing.T) {
	for _, name := range []string{"cue-desk", "signal-desk"} {
		doc, p := place(t, name, examples.File(name))
		r := Work(p, catalog.Builtin())
		if len(of(r, "wire.added")) == 0 {
			continue // the example has them in its file
		}
		f := one(t, r, "wire.added")
		s := mend(t, doc, f.Fixes[0])
		if len(of(s, "wire.added")) != 0 || s.Plan.Title != r.Plan.Title || s.Plan.Partial {
			t.Errorf("%s: %q became %q", name, r.Plan.Title, s.Plan.Title)
		}
	}
}
