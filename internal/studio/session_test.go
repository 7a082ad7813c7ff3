package studio

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

const small = `knobwright: 1
title: Small   # a remark
face: {width: 160, height: 100, sheet: acrylic-3mm}
controls:
  # the big one
  go: {part: push-22mm, at: [40, 50], legend: GO}
  bell: {part: push-16mm, at: [110, 50]}
`

func plainJudge(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
	d := project.Read(filepath.Base(path), src)
	return d, catalog.Builtin(), job.Check(d, catalog.Builtin())
}

func plainTouch(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
	d := project.Read(filepath.Base(path), src)
	return d, catalog.Builtin(), job.Touch(d, catalog.Builtin())
}

func opened(t *testing.T) (*Session, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "small.yaml")
	if err := os.WriteFile(path, []byte(small), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, plainJudge, plainTouch)
	if err != nil {
		t.Fatal(err)
	}
	return s, path
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func set(path, value string) []finding.Edit {
	return []finding.Edit{{Op: finding.Set, Path: path, Value: value}}
}

func TestEditIsSplicedAndSaved(t *testing.T) {
	s, path := opened(t)
	if err := s.Edit(set("controls.go.at", "[45, 50]"), "move GO"); err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(small, "[40, 50]", "[45, 50]", 1)
	if got := content(t, path); got != want {
		t.Errorf("the file is\n%s", got)
	}
	if err := s.Undo(); err != nil || content(t, path) != small {
		t.Errorf("undo: %v\n%s", err, content(t, path))
	}
	if err := s.Redo(); err != nil || content(t, path) != want {
		t.Errorf("redo: %v\n%s", err, content(t, path))
	}
	if err := s.Redo(); !errors.Is(err, ErrNothing) {
		t.Errorf("a second redo: %v", err)
	}
}

func TestOutsideSaveIsAStep(t *testing.T) {
	s, path := opened(t)
	c := s.Listen()
	theirs := strings.Replace(small, "title: Small", "title: Larger", 1)
	if err := os.WriteFile(path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Look(); err != nil {
		t.Fatal(err)
	}
	if <-c != 2 {
		t.Error("nobody was told")
	}
	now, _, _ := s.Now()
	if string(now.Text) != theirs || now.Result.Panel.Title != "Larger" {
		t.Errorf("the text in force is\n%s", now.Text)
	}
	// an edit of the page goes on top, and undo takes both back in their order
	if err := s.Edit(set("controls.go.legend", "START"), "rename"); err != nil {
		t.Fatal(err)
	}
	if err := s.Undo(); err != nil || content(t, path) != theirs {
		t.Error(err, content(t, path))
	}
	if err := s.Undo(); err != nil || content(t, path) != small {
		t.Error(err, content(t, path))
	}
}

func TestEditAfterAnUnseenOutsideSave(t *testing.T) {
	s, path := opened(t)
	theirs := strings.Replace(small, "[110, 50]", "[115, 52]", 1)
	if err := os.WriteFile(path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Edit(set("controls.go.at", "[45, 50]"), "move"); err != nil {
		t.Fatal(err)
	}
	got := content(t, path)
	if !strings.Contains(got, "[115, 52]") || !strings.Contains(got, "[45, 50]") {
		t.Errorf("one of the two is lost:\n%s", got)
	}
}

func TestTypedTextClashes(t *testing.T) {
	s, path := opened(t)
	theirs := strings.Replace(small, "[110, 50]", "[115, 52]", 1)
	if err := os.WriteFile(path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	mine := strings.Replace(small, "GO", "START", 1)
	var clash *Clash
	if err := s.Replace(1, []byte(mine)); !errors.As(err, &clash) {
		t.Fatalf("no clash: %v", err)
	}
	if string(clash.Yours) != mine || string(clash.Theirs) != theirs || content(t, path) != theirs {
		t.Error("a side is lost")
	}
	if err := s.Replace(clash.Rev, []byte(mine)); err != nil || content(t, path) != mine {
		t.Errorf("taking one side: %v", err)
	}
}

func TestBrokenTextKeepsTheDrawing(t *testing.T) {
	s, _ := opened(t)
	if err := s.Replace(1, []byte(small+"  new: {part: [")); err != nil {
		t.Fatal(err)
	}
	now, good, _ := s.Now()
	if !now.Broken || good.Broken || len(good.Result.Panel.Controls) != 2 || good.Rev != 1 {
		t.Errorf("broken %v; the drawing is of %d with %d controls", now.Broken, good.Rev, len(good.Result.Panel.Controls))
	}
	if err := s.Edit(set("controls.go.at", "[45, 50]"), ""); err == nil {
		t.Error("a broken text was edited")
	}
	if err := s.Undo(); err != nil {
		t.Error(err)
	}
}

func TestFileGoneAndReadOnly(t *testing.T) {
	s, path := opened(t)
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := s.Edit(set("controls.go.at", "[45, 50]"), ""); err == nil {
		t.Error("an edit of a file that is gone")
	}
	if _, _, trouble := s.Now(); trouble == nil {
		t.Error("nothing is said")
	}
	if err := os.WriteFile(path, []byte(small), 0o444); err != nil {
		t.Fatal(err)
	}
	was, _, _ := s.Now()
	if err := s.Look(); err != nil {
		t.Fatal(err)
	}
	if now, _, trouble := s.Now(); trouble != nil || now.Rev == was.Rev {
		t.Errorf("nobody is told that the file is there again: %v, revision %d", trouble, now.Rev)
	}
	if os.Getuid() != 0 { // nothing is read-only to the superuser
		if err := s.Edit(set("controls.go.at", "[45, 50]"), ""); err == nil || content(t, path) != small {
			t.Error("a read-only file was written")
		}
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.Edit(set("controls.go.at", "[45, 50]"), ""); err != nil {
		t.Error(err)
	}
}

// Random edits, undone to the beginning and done again to the end, pass through the same texts.
func TestHistoryIsExact(t *testing.T) {
	s, path := opened(t)
	rng := rand.New(rand.NewPCG(1, 2))
	var texts []string
	texts = append(texts, small)
	for i := range 24 {
		var err error
		switch rng.IntN(3) {
		case 0:
			err = s.Edit(set("controls.go.at", "["+strconv.Itoa(20+rng.IntN(100))+", 50]"), "move")
		case 1:
			err = s.Edit(set("controls.k"+strconv.Itoa(i), "{part: push-12mm, at: [20, "+strconv.Itoa(10+i)+"]}"), "add")
		case 2:
			b := content(t, path) + "# " + strconv.Itoa(i) + "\n"
			if err = os.WriteFile(path, []byte(b), 0o644); err == nil {
				err = s.Look()
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		if got := content(t, path); got != texts[len(texts)-1] {
			texts = append(texts, got)
		}
	}
	for i := len(texts) - 2; i >= 0; i-- {
		if err := s.Undo(); err != nil || content(t, path) != texts[i] {
			t.Fatalf("undo to %d: %v", i, err)
		}
	}
	for i := 1; i < len(texts); i++ {
		if err := s.Redo(); err != nil || content(t, path) != texts[i] {
			t.Fatalf("redo to %d: %v", i, err)
		}
	}
}

func TestHistoryIsBounded(t *testing.T) {
	s, _ := opened(t)
	s.judge = func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
		return project.Read("x", src), nil, nil
	}
	for i := range stepsMost + 50 {
		if err := s.change([]byte(small+"# "+strconv.Itoa(i)+"\n"), "", true); err != nil {
			t.Fatal(err)
		}
	}
	if len(s.back) != stepsMost {
		t.Errorf("%d steps are kept", len(s.back))
	}
}

// A step that belongs to a text takes nothing else back, and a proposal of it changes nothing else: not what another editor has saved since,
// seen or not.
func TestStepOfAText(t *testing.T) {
	s, path := opened(t)
	if err := s.Edit(set("controls.go.at", "[45, 50]"), "move GO"); err != nil {
		t.Fatal(err)
	}
	now, _, _ := s.Now()
	theirs := strings.Replace(content(t, path), "Small", "Theirs", 1)
	if err := os.WriteFile(path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := s.UndoOf(now.Rev); !errors.Is(err, ErrSince) {
		t.Errorf("undo of revision %d after a save: %v", now.Rev, err)
	}
	if err := s.editOf(now.Rev, set("controls.bell.at", "[100, 50]"), "a proposal"); !errors.Is(err, ErrSince) {
		t.Errorf("a proposal of revision %d after a save: %v", now.Rev, err)
	}
	if content(t, path) != theirs {
		t.Errorf("the file is\n%s", content(t, path))
	}
	now, _, _ = s.Now()
	if err := s.UndoOf(now.Rev); err != nil || strings.Contains(content(t, path), "Theirs") {
		t.Errorf("undo of the revision in force: %v\n%s", err, content(t, path))
	}
}

// Half of a save of another editor is not taken for the whole of it.
func TestGlanceWaitsForTheWriter(t *testing.T) {
	s, path := opened(t)
	write := func(text string, age time.Duration) int {
		t.Helper()
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		at := time.Now().Add(-age)
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
		if err := s.glance(); err != nil {
			t.Fatal(err)
		}
		now, _, _ := s.Now()
		return now.Rev
	}
	if rev := write("", 0); rev != 1 {
		t.Error("an emptied file was taken while it was being written")
	}
	if rev := write(small+"# theirs\n", time.Minute); rev != 2 {
		t.Error("a save was not seen")
	}
	if rev := write(small, -time.Hour); rev != 3 {
		t.Error("a save of a clock that goes ahead was not seen")
	}
}
