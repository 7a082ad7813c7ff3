// Package studio holds one open panel file: its text, what the job says of it, and the history of edits, and serves the page that shows
// it. The file is the only truth: an edit of the page is spliced into the text and saved at once; a save by another editor appears in
// the page at once; every step, of either, can be undone.
package studio

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/safefile"
	"knobwright/internal/yamlfile"
)

// Session is one open panel file. It is safe for concurrent use.
type Session struct {
	mu    sync.Mutex
	path  string
	text  []byte            // the text in force
	disk  [sha256.Size]byte // of the file as last read or written
	rev   int               // grows with every change of the text, and of what is known of it
	since int               // revision from which the text is as it is
	aside string            // state of the person's catalogue file, by size and time
	back  []splice          // steps that can be undone, oldest first
	ahead []splice          // steps that can be done again, next one last
	gone  error             // why the file cannot be read or written now; nil = it can
	look  *Look             // of the text in force
	good  *Look             // the last one of a text that could be read
	judge Judge
	touch Judge // for drags
	subs  map[chan int]bool
}

// Judge reads a text that belongs at a path and says what is found: the job, with the person's own catalogue.
type Judge func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result)

// Look is what is known of one text.
type Look struct {
	Rev     int
	Text    []byte
	Doc     *project.Doc
	Result  *job.Result
	Catalog *catalog.Catalog // with what the person has of their own
	Broken  bool             // the text cannot be read as a whole; the drawing is of an earlier one
}

// splice is a step: the bytes from At on that were Old are New.
type splice struct {
	At       int
	Old, New []byte
	Say      string
	Outside  bool // made by another editor
}

// stepsMost is how many steps can be undone.
const stepsMost = 2000

// Errors of a session, as sentences.
var (
	ErrNothing = errors.New("there is nothing to undo or do again")
	ErrSince   = errors.New("the panel has changed since; look again, then choose")
)

// Clash says that a text was made from another one than is in force. Both are kept: nothing is lost.
type Clash struct {
	Yours, Theirs []byte
	Rev           int
}

// Error says it in a sentence.
func (c *Clash) Error() string {
	return "The file was changed elsewhere while you typed. Both texts are here: take one, or mend by hand."
}

// Open opens a panel file. judge looks at everything; touch at what a drag needs at once.
func Open(path string, judge, touch Judge) (*Session, error) {
	s := &Session{path: path, judge: judge, touch: touch, subs: map[chan int]bool{}}
	src, err := read(path)
	if err != nil {
		return nil, err
	}
	s.text, s.disk, s.rev, s.since = src, sha256.Sum256(src), 1, 1
	s.see()
	return s, nil
}

// read reads a panel file within the size limit.
func read(path string) ([]byte, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !st.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is not an ordinary file", filepath.Base(path))
	}
	if st.Size() > yamlfile.MaxBytes {
		return nil, fmt.Errorf("%s has %d bytes; a panel file has at most %d", filepath.Base(path), st.Size(), yamlfile.MaxBytes)
	}
	return os.ReadFile(path)
}

// see judges the text in force.
func (s *Session) see() {
	doc, cat, r := s.judge(s.path, s.text)
	s.aside = s.beside(doc.File.Catalogue)
	s.look = &Look{Rev: s.rev, Text: s.text, Doc: doc, Result: r, Catalog: cat}
	for _, f := range doc.Findings {
		if f.Rule == "file.syntax" {
			s.look.Broken = true
		}
	}
	if !s.look.Broken || s.good == nil {
		s.good = s.look
	}
	for c := range s.subs {
		select {
		case c <- s.rev:
		default: // it has one waiting already
		}
	}
}

// Now gives what is known of the text in force, and of the last text that could be read; they are the same unless the text is broken.
func (s *Session) Now() (now, good *Look, trouble error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.look, s.good, s.gone
}

// Listen gives a channel that gets the revision after every change. Close it with Leave.
func (s *Session) Listen() chan int {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := make(chan int, 1)
	s.subs[c] = true
	return c
}

// Leave ends a Listen.
func (s *Session) Leave(c chan int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.subs, c)
}

// Edit makes edits on the text in force and saves it. The edits name paths and values, so that they hold whatever else has changed.
func (s *Session) Edit(edits []finding.Edit, say string) error { return s.editOf(0, edits, say) }

// editOf makes edits if the text is still as it was at a revision; 0 = whatever it is. ErrSince when somebody changed it.
func (s *Session) editOf(rev int, edits []finding.Edit, say string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.refresh(); err != nil {
		return err
	}
	if rev != 0 && (rev < s.since || rev > s.rev) {
		return ErrSince
	}
	next, err := s.look.Doc.Apply(edits)
	if err != nil {
		return err
	}
	return s.change(next, say, false)
}

// Try gives what is seen at once of the text with edits, without saving anything: for a drag.
func (s *Session) Try(edits []finding.Edit) (*Look, error) {
	s.mu.Lock()
	doc, rev := s.look.Doc, s.rev
	s.mu.Unlock()
	next, err := doc.Apply(edits)
	if err != nil {
		return nil, err
	}
	d, cat, r := s.touch(s.path, next)
	return &Look{Rev: rev, Text: next, Doc: d, Result: r, Catalog: cat}, nil
}

// Replace puts a whole text in place of the one of revision rev. A Clash when another one is in force by now.
func (s *Session) Replace(rev int, text []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(text) > yamlfile.MaxBytes {
		return fmt.Errorf("the text has %d bytes; a panel file has at most %d", len(text), yamlfile.MaxBytes)
	}
	if err := s.refresh(); err != nil {
		return err
	}
	if rev < s.since || rev > s.rev {
		return &Clash{Yours: text, Theirs: s.text, Rev: s.rev}
	}
	return s.change(text, "typed", false)
}

// Undo takes the last step back, of whoever made it.
func (s *Session) Undo() error { return s.step(&s.back, &s.ahead, true, 0) }

// UndoOf takes the last step back if the text is still as it was at a revision; 0 = whatever it is. ErrSince when somebody changed it.
func (s *Session) UndoOf(rev int) error { return s.step(&s.back, &s.ahead, true, rev) }

// Redo does the last step that was taken back again.
func (s *Session) Redo() error { return s.step(&s.ahead, &s.back, false, 0) }

func (s *Session) step(from, to *[]splice, undo bool, of int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.refresh(); err != nil {
		return err
	}
	if of != 0 && (of < s.since || of > s.rev) {
		return ErrSince
	}
	if len(*from) == 0 {
		return ErrNothing
	}
	x := (*from)[len(*from)-1]
	old, new := x.Old, x.New
	if undo {
		old, new = new, old
	}
	next := make([]byte, 0, len(s.text)-len(old)+len(new))
	next = append(append(append(next, s.text[:x.At]...), new...), s.text[x.At+len(old):]...)
	if err := s.save(next); err != nil {
		return err
	}
	*from = (*from)[:len(*from)-1]
	*to = append(*to, x)
	s.text = next
	s.rev++
	s.since = s.rev
	s.see()
	return nil
}

// Steps says what can be undone and done again next; "" = nothing.
func (s *Session) Steps() (back, ahead string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.back); n > 0 {
		back = s.back[n-1].Say
	}
	if n := len(s.ahead); n > 0 {
		ahead = s.ahead[n-1].Say
	}
	return back, ahead
}

// change makes a text the one in force, saves it, and remembers the step.
func (s *Session) change(next []byte, say string, outside bool) error {
	if bytes.Equal(next, s.text) {
		return nil
	}
	if !outside {
		if err := s.save(next); err != nil {
			return err
		}
	}
	x := diff(s.text, next)
	x.Say, x.Outside = say, outside
	s.back = append(s.back, x)
	if len(s.back) > stepsMost {
		s.back = append([]splice{}, s.back[len(s.back)-stepsMost:]...)
	}
	s.ahead = nil
	s.text = next
	s.rev++
	s.since = s.rev
	s.see()
	return nil
}

// save writes the file, if it is still as it was.
func (s *Session) save(next []byte) error {
	err := safefile.Replace(s.path, s.text, next)
	if err != nil {
		s.gone = err
		return err
	}
	s.gone = nil
	s.disk = sha256.Sum256(next)
	return nil
}

// stillFor is how long a file must be as it is before it is taken for saved: many editors empty it before they write.
const stillFor = 100 * time.Millisecond

// glance looks at the file as Look does, but not while somebody may be writing it.
func (s *Session) glance() error {
	if st, err := os.Stat(s.path); err == nil {
		if age := time.Since(st.ModTime()); age >= 0 && age < stillFor {
			return nil // the next glance sees it
		}
	}
	return s.Look()
}

// Look at the file: a save by another editor becomes a step like any other.
func (s *Session) Look() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.refresh()
}

func (s *Session) refresh() error {
	src, err := read(s.path)
	if err != nil {
		changed := s.gone == nil
		s.gone = err
		if changed {
			s.rev++
			s.see()
		}
		return err
	}
	back := s.gone != nil && errors.Is(s.gone, fs.ErrNotExist)
	if back {
		s.gone = nil
	}
	if sha256.Sum256(src) == s.disk {
		if s.look != nil && (back || s.aside != s.beside(s.look.Doc.File.Catalogue)) { // it is there again, or a record was changed
			s.rev++
			s.see()
		}
		return nil
	}
	s.disk, s.gone = sha256.Sum256(src), nil
	return s.change(src, "saved by another editor", true)
}

// beside tells the state of the person's catalogue file, so that a change of it is seen; "" when there is none.
func (s *Session) beside(name string) string {
	if name == "" || !filepath.IsLocal(name) {
		return ""
	}
	st, err := os.Stat(filepath.Join(filepath.Dir(s.path), name))
	if err != nil {
		return "gone"
	}
	return fmt.Sprint(st.Size(), st.ModTime().UnixNano())
}

// diff is the step from one text to another: what lies between their common beginning and end.
func diff(a, b []byte) splice {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	j := 0
	for j < len(a)-i && j < len(b)-i && a[len(a)-1-j] == b[len(b)-1-j] {
		j++
	}
	return splice{At: i, Old: bytes.Clone(a[i : len(a)-j]), New: bytes.Clone(b[i : len(b)-j])}
}
