package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/catalog"
	"knobwright/internal/edit"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/safefile"
	"knobwright/internal/yamlfile"
)

// CardData is the caliper card of a class of part, as far as it is filled in.
type CardData struct {
	Class     string            `json:"class"`
	Like      string            `json:"like"` // a part of the catalogue that it is like; "" = none
	ID        string            `json:"id"`
	Questions []QuestionData    `json:"questions"` // those that have a place on the card now
	Findings  []finding.Finding `json:"findings"`  // what the readings say against each other
	Record    string            `json:"record"`    // as it would stand in the catalogue file; "" = nothing was measured yet
	File      string            `json:"file"`      // that it would be written into
	Fresh     bool              `json:"fresh"`     // which is not there yet
	CanSave   bool              `json:"can_save"`
}

// QuestionData is one reading of the card.
type QuestionData struct {
	Key      string   `json:"key"`
	Ask      string   `json:"ask"`
	How      string   `json:"how"`
	Spot     string   `json:"spot"`
	Kind     string   `json:"kind"` // length, whole number, number, choice, words
	Choices  []string `json:"choices"`
	Times    int      `json:"times"`
	Take     string   `json:"take"` // which of three counts
	Optional bool     `json:"optional"`
	Wrong    string   `json:"wrong"` // what is wrong with the answer by itself; "" = nothing
}

// CardRequest is a card as filled in.
type CardRequest struct {
	Of       string              `json:"of"` // class, or part that it is like
	ID       string              `json:"id"`
	Readings map[string][]string `json:"readings"`
	Control  string              `json:"control"` // save: lay it over the part of this control instead of writing a record
}

// ownParts is the catalogue file that is begun when the panel names none.
const ownParts = "my-parts.yaml"

// filled reads a card; ok is false when there is no such class.
func (s *Session) filled(q CardRequest) (a catalog.Answers, like string, ok bool) {
	now, _, _ := s.Now()
	class := catalog.Class(q.Of)
	if p, found := now.Catalog.Part(q.Of); found {
		class, like = p.Class, p.ID
	}
	if !slices.Contains(catalog.Classes, class) {
		return a, "", false
	}
	a = catalog.Answers{ID: q.ID, Class: class, Unit: length.Unit(now.Result.Panel.Units), Readings: map[string][]string{}}
	if a.ID == "" {
		a.ID = "my-" + q.Of
	}
	for _, x := range catalog.Questions(class) {
		for _, r := range q.Readings[x.Key] {
			if strings.TrimSpace(r) != "" {
				a.Readings[x.Key] = append(a.Readings[x.Key], r)
			}
		}
	}
	return a, like, true
}

func (s *Session) card(q CardRequest) (CardData, error) {
	a, like, ok := s.filled(q)
	if !ok {
		return CardData{}, fmt.Errorf("%q is no class of part, and no part", q.Of)
	}
	d := CardData{Class: string(a.Class), Like: like, ID: a.ID, Questions: []QuestionData{}, Findings: []finding.Finding{}}
	for _, x := range catalog.Questions(a.Class) {
		if !x.Asked(a) {
			continue
		}
		v := QuestionData{Key: x.Key, Ask: x.Ask, How: x.How, Spot: string(x.Spot), Kind: string(x.Kind), Choices: lines(x.Choices), Times: x.Times, Take: string(x.Take), Optional: x.Optional || like != ""}
		for _, r := range a.Readings[x.Key] {
			if err := x.Judge(r, a.Unit); err != nil {
				v.Wrong = finding.Capital(err.Error()) + "."
			}
		}
		d.Questions = append(d.Questions, v)
	}
	d.File, _ = s.ownFile()
	_, err := os.Lstat(filepath.Join(filepath.Dir(s.path), d.File))
	d.Fresh = errors.Is(err, fs.ErrNotExist)
	if len(a.Readings) > 0 {
		for _, f := range catalog.Check(a) {
			if f.Rule != "catalog.reading-missing" && f.Rule != "catalog.reading-unreadable" { // the form shows both at their place
				d.Findings = append(d.Findings, f)
			}
		}
		d.Record = record(a, like)
		stops, _, _ := finding.Count(d.Findings)
		d.CanSave = stops == 0 && !slices.ContainsFunc(d.Questions, func(q QuestionData) bool { return q.Wrong != "" })
	}
	return d, nil
}

// record is the text of a record; what was not measured stays as the part has it that it is like.
func record(a catalog.Answers, like string) string {
	text := catalog.Record(a)
	if like != "" {
		text = strings.Replace(text, "\n    title:", "\n    like: "+like+"\n    title:", 1)
	}
	return text
}

// ownFile names the person's own catalogue file, beside the panel file; named reports whether the panel names it already.
func (s *Session) ownFile() (name string, named bool) {
	now, _, _ := s.Now()
	if n := now.Doc.File.Catalogue; n != "" {
		return n, true
	}
	return ownParts, false
}

// Measure writes a card: as a record into the person's catalogue file, which the panel then names, or over the part of a control.
func (s *Session) Measure(q CardRequest) (says string, err error) {
	d, err := s.card(q)
	if err != nil {
		return "", err
	}
	switch {
	case d.Record == "":
		return "", errors.New("nothing was measured; nothing is written")
	case !d.CanSave:
		return "", errors.New("the readings contradict each other; mend them first")
	}
	a, like, _ := s.filled(q)
	if q.Control != "" {
		return s.adjust(q.Control, a)
	}
	name, named := s.ownFile()
	if !filepath.IsLocal(name) {
		return "", fmt.Errorf("the catalogue %q must lie in the folder of the panel file", name)
	}
	if err := putRecord(filepath.Join(filepath.Dir(s.path), name), name, a.ID, record(a, like)); err != nil {
		return "", err
	}
	if !named {
		if err := s.Edit([]finding.Edit{{Op: finding.Set, Path: "catalogue", Value: name}}, "name the catalogue"); err != nil {
			return "", err
		}
	}
	s.Again()
	return fmt.Sprintf("%s stands in %s.", a.ID, name), nil
}

// putRecord adds a record to a catalogue file, beginning the file where there is none. What stands there stays, byte for byte.
func putRecord(path, name, id, text string) error {
	old, err := read(path)
	if errors.Is(err, fs.ErrNotExist) {
		return safefile.Write(path, []byte("knobwright: 1\n"+text), 0o644)
	}
	if err != nil {
		return err
	}
	had, before := catalog.Builtin().With(name, old)
	if len(before) > 0 {
		return fmt.Errorf("%s cannot be added to before this is mended, line %d: %s", name, before[0].Pos.Line, before[0].Say)
	}
	if root := new(yamlfile.Decoder).Parse(old); root != nil && strings.Contains("\n"+string(old), "\n  "+id+":") {
		return fmt.Errorf("%s has a record called %s already; take another name", name, id)
	}
	body := strings.TrimPrefix(text, "parts:\n")
	for _, next := range []string{after(string(old), body), strings.TrimRight(string(old), "\n") + "\n" + text} {
		if next == "" {
			continue
		}
		now, problems := catalog.Builtin().With(name, []byte(next))
		if _, ok := now.Part(id); ok && len(problems) == 0 && len(now.PartIDs()) >= len(had.PartIDs()) {
			return safefile.Replace(path, old, []byte(next))
		}
	}
	return fmt.Errorf("%s is written in a way that cannot be added to from here; copy the record into it by hand", name)
}

// after puts lines at the end of the section parts: of a text, "" when it has none that is written in lines.
func after(text, body string) string {
	ls := strings.SplitAfter(text, "\n")
	i := slices.IndexFunc(ls, func(l string) bool {
		rest, ok := strings.CutPrefix(l, "parts:")
		rest = strings.TrimSpace(rest)
		return ok && (rest == "" || rest[0] == '#')
	})
	if i < 0 {
		return ""
	}
	j := i + 1
	end := j
	for ; j < len(ls); j++ {
		t := strings.TrimSpace(ls[j])
		if t != "" && !strings.HasPrefix(ls[j], " ") && !strings.HasPrefix(t, "#") {
			break
		}
		if strings.HasPrefix(ls[j], " ") && t != "" {
			end = j + 1
		}
	}
	head := strings.Join(ls[:end], "")
	if !strings.HasSuffix(head, "\n") {
		head += "\n"
	}
	return head + body + strings.Join(ls[end:], "")
}

// adjust lays what was measured over the part of one control.
func (s *Session) adjust(control string, a catalog.Answers) (string, error) {
	root := new(yamlfile.Decoder).Parse([]byte(catalog.Record(a)))
	if root == nil || len(root.Content) < 2 || len(root.Content[1].Content) < 2 {
		return "", errors.New("nothing was measured; nothing is written")
	}
	fields := map[string]string{}
	var keys []string
	rec := root.Content[1].Content[1]
	for i := 0; i+1 < len(rec.Content); i += 2 {
		switch k := rec.Content[i].Value; k {
		case "title", "class", "like", "trust":
		default:
			keys = append(keys, k)
			fields[k] = (yamlfile.Any{Node: plainNode(rec.Content[i+1])}).Text()
		}
	}
	if len(keys) == 0 {
		return "", errors.New("none of these readings changes the part")
	}
	d, err := s.Act(edit.Act{Do: "adjust", Names: []string{control}, Fields: fields, Order: keys})
	if err != nil {
		return "", err
	}
	return finding.Capital(d.Say) + ": done.", nil
}

// plainNode takes the comments off a tree.
func plainNode(n *yaml.Node) *yaml.Node {
	c := *n
	c.HeadComment, c.LineComment, c.FootComment, c.Content = "", "", "", nil
	for _, x := range n.Content {
		c.Content = append(c.Content, plainNode(x))
	}
	return &c
}

// Again judges the text in force anew: something beside it has changed.
func (s *Session) Again() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.rev++
	s.see()
}

func (v *Server) card(w http.ResponseWriter, r *http.Request) {
	q, ok := body[CardRequest](w, r)
	if !ok {
		return
	}
	d, err := v.session.card(q)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, finding.Capital(err.Error())+".")
		return
	}
	answer(w, d)
}

func (v *Server) saveCard(w http.ResponseWriter, r *http.Request) {
	q, ok := body[CardRequest](w, r)
	if !ok {
		return
	}
	s, err := v.session.Measure(q)
	if err != nil {
		v.done(w, r, err)
		return
	}
	now, good, trouble := v.session.Now()
	answer(w, ActData{Look: lookData(v.session, now, good, trouble), Note: s, Keep: true, Hand: []string{}})
}
