package studio

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// ownJudge reads the person's catalogue beside the file, as the program does.
func ownJudge(run func(*project.Doc, *catalog.Catalog) *job.Result) Judge {
	return func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
		d, cat := project.Read(filepath.Base(path), src), catalog.Builtin()
		if c := d.File.Catalogue; c != "" {
			if b, err := os.ReadFile(filepath.Join(filepath.Dir(path), c)); err == nil {
				cat, _ = cat.With(c, b)
			}
		}
		return d, cat, run(d, cat)
	}
}

func measured(t *testing.T) (*Session, string) {
	t.Helper()
	_, path := opened(t)
	s, err := Open(path, ownJudge(job.Check), ownJudge(job.Touch))
	if err != nil {
		t.Fatal(err)
	}
	return s, path
}

// readings of a push button like the catalogue's.
func readings() map[string][]string {
	return map[string][]string{
		"title": {"Push button, drawer find"}, "seat": {"front"}, "hold": {"nut"}, "thread": {"15.9", "15.8", "15.9"}, "thread-length": {"14", "14.1", "14"},
		"nut-flats": {"19"}, "nut-shape": {"hex"}, "nut-thickness": {"3"}, "body-form": {"round"}, "body-across": {"15", "15", "15"}, "body-depth": {"30", "30", "30.1"},
		"lug-depth": {"36", "36", "36"}, "rim-across": {"18"}, "rim-thickness": {"2"}, "cap": {"12"}, "cap-height": {"4"}, "action": {"momentary"}, "contacts": {"1 NO"},
	}
}

func TestCardIsWrittenAndUsed(t *testing.T) {
	s, path := measured(t)
	d, err := s.card(CardRequest{Of: "push"})
	if err != nil || len(d.Questions) < 8 || d.Record != "" || d.CanSave || !d.Fresh || d.File != ownParts {
		t.Fatalf("%v %+v", err, d)
	}
	for _, q := range d.Questions {
		if q.Key == "thread" || q.Key == "grip-least" {
			t.Errorf("%s is asked before it is known what holds the part", q.Key)
		}
	}
	q := CardRequest{Of: "push", ID: "push-drawer", Readings: readings()}
	if d, err = s.card(q); err != nil || !d.CanSave || !strings.Contains(d.Record, "push-drawer:") {
		t.Fatalf("%v %+v", err, d)
	}
	if _, err := s.Measure(q); err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(filepath.Dir(path), ownParts)
	if !strings.Contains(content(t, path), "catalogue: "+ownParts) || !strings.Contains(content(t, own), "push-drawer:") {
		t.Errorf("%s\n%s", content(t, path), content(t, own))
	}
	if err := s.Edit(set("controls.bell.part", "push-drawer"), ""); err != nil {
		t.Fatal(err)
	}
	now, _, _ := s.Now()
	if c := now.Result.Panel.Controls[1]; c.Part.ID != "push-drawer" || c.Part.Nut.Flats.MM() != 19 {
		t.Errorf("%+v", c.Part)
	}
	// a second record goes beside it; comments of the file stay; the same name is refused
	b := content(t, own)
	if err := os.WriteFile(own, []byte(strings.Replace(b, "parts:\n", "parts:   # from the drawer\n  # the first one\n", 1)+"\nsheets: {}   # none\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Measure(q); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("a name twice: %v", err)
	}
	q.ID = "push-other"
	if _, err := s.Measure(q); err != nil {
		t.Fatal(err)
	}
	b = content(t, own)
	if !strings.Contains(b, "# from the drawer") || !strings.Contains(b, "sheets: {}   # none") || !strings.Contains(b, "push-other:") || !strings.Contains(b, "push-drawer:") {
		t.Error(b)
	}
	now, _, _ = s.Now()
	if _, ok := now.Catalog.Part("push-other"); !ok {
		t.Error("the new record is not known")
	}
}

func TestCardBeginsAFileInLines(t *testing.T) {
	s, path := measured(t)
	own := filepath.Join(filepath.Dir(path), ownParts)
	if err := os.WriteFile(own, []byte("knobwright: 1\nparts:\n  x: {title: X, class: push, like: push-16mm}\n\n# the end\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Measure(CardRequest{Of: "push", ID: "y", Readings: readings()}); err != nil {
		t.Fatal(err)
	}
	b := content(t, own)
	if !strings.HasPrefix(b, "knobwright: 1\nparts:\n  x: {title: X, class: push, like: push-16mm}\n  y:\n") || !strings.HasSuffix(b, "\n# the end\n") {
		t.Error(b)
	}
}

func TestCardOverOneControl(t *testing.T) {
	s, path := measured(t)
	says, err := s.Measure(CardRequest{Of: "push-16mm", ID: "x", Control: "bell", Readings: map[string][]string{"body-form": {"round"}, "body-across": {"17.5"}, "body-depth": {"41"}, "lug-depth": {"45"}}})
	if err != nil {
		t.Fatal(err)
	}
	now, _, _ := s.Now()
	c := now.Result.Panel.Controls[1]
	if !strings.Contains(content(t, path), "adjust: {") || c.Part.TotalDepth() < 41 || says != "Adjust BELL: done." {
		t.Errorf("%s: %v\n%s", says, c.Part.TotalDepth(), content(t, path))
	}
	if err := s.Undo(); err != nil || content(t, path) != small {
		t.Error("a measured control is not one step")
	}
}

func TestCardRefuses(t *testing.T) {
	s, path := measured(t)
	for _, q := range []CardRequest{
		{Of: "teapot"}, {Of: "push"}, {Of: "push", Readings: map[string][]string{"cap": {"a lot"}}},
		{Of: "push", Readings: map[string][]string{"body-depth": {"30"}, "lug-depth": {"10"}}},
	} {
		if _, err := s.Measure(q); err == nil {
			t.Errorf("%+v was written", q)
		}
	}
	if content(t, path) != small {
		t.Error("the panel file has changed")
	}
}

func TestOutsideChangeOfTheCatalogueIsSeen(t *testing.T) {
	s, path := measured(t)
	if _, err := s.Measure(CardRequest{Of: "push", ID: "mine", Readings: readings()}); err != nil {
		t.Fatal(err)
	}
	if err := s.Edit(set("controls.bell.part", "mine"), ""); err != nil {
		t.Fatal(err)
	}
	was, _, _ := s.Now()
	own := filepath.Join(filepath.Dir(path), ownParts)
	if err := os.WriteFile(own, []byte(strings.Replace(content(t, own), "drawer find", "drawer find, blue", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Look(); err != nil {
		t.Fatal(err)
	}
	now, _, _ := s.Now()
	if now.Rev == was.Rev || !strings.HasSuffix(now.Result.Panel.Controls[1].Part.Title, "blue") {
		t.Errorf("%d %s", now.Rev, now.Result.Panel.Controls[1].Part.Title)
	}
	// what was typed from the text before is no clash: the text is the same
	if err := s.Replace(was.Rev, append(was.Text, "# more\n"...)); err != nil {
		t.Error(err)
	}
}

func TestPartsAreFound(t *testing.T) {
	base, link, _ := served(t)
	c := browser(t, link)
	for q, want := range map[string]func(PartsData) bool{
		"q=push+16":         func(d PartsData) bool { return len(d.Parts) > 0 && d.Parts[0].Class == "push" },
		"class=encoder":     func(d PartsData) bool { return d.Found > 2 && d.Parts[0].Class == "encoder" },
		"hole=16+mm":        func(d PartsData) bool { return d.Found > 0 && d.Parts[0].Hole >= 15.5 && d.Parts[0].Hole <= 16.5 },
		"hole=5/8+in":       func(d PartsData) bool { return d.Found > 0 },
		"q=no+such+thing":   func(d PartsData) bool { return d.Found == 0 && d.Parts != nil },
		"":                  func(d PartsData) bool { return d.Found > 60 && len(d.Parts) == partsMost && len(d.Classes) > 10 },
		"q=%3Cscript%3E":    func(d PartsData) bool { return d.Found == 0 },
		"class=push&hole=8": func(d PartsData) bool { return d.Found == 0 },
	} {
		code, b := get(t, c, base+"/api/parts?"+q)
		var d PartsData
		if err := json.Unmarshal([]byte(b), &d); code != 200 || err != nil || !want(d) {
			t.Errorf("%s: %d %v %d found", q, code, err, d.Found)
		}
		for _, p := range d.Parts {
			if !strings.HasPrefix(p.Picture, "<svg") {
				t.Errorf("%s has no picture", p.ID)
			}
		}
	}
	for _, hole := range []string{"wide", "-5", "0", "NaN", "1e999"} {
		if code, b := get(t, c, base+"/api/parts?hole="+hole); code != 422 || !strings.Contains(b, "say") {
			t.Errorf("%s: %d %.100s", hole, code, b)
		}
	}
	if code, b := get(t, c, base+"/api/parts/push-16mm"); code != 200 || !strings.Contains(b, "svg") {
		t.Errorf("%d %.100s", code, b)
	}
	if code, _ := get(t, c, base+"/api/parts/nothing"); code != 404 {
		t.Error(code)
	}
}
