package record

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// MaxBytes is the largest record file that is read.
const MaxBytes = 8 << 20

// about heads a file that the tool begins.
const about = "# What happened at the bench: ticks, tests, and what was built otherwise than the panel file says.\n# Written by knobwright beside the panel file; you may read and mend it.\n"

// Read reads a record file. An empty text is an empty record. The error is a sentence with the line.
func Read(name string, src []byte) (*Record, error) {
	if len(src) > MaxBytes {
		return nil, fmt.Errorf("%s has %d bytes; a record has at most %d", name, len(src), MaxBytes)
	}
	r := &Record{}
	if len(bytes.TrimSpace(src)) == 0 {
		return r, nil
	}
	d := yaml.NewDecoder(bytes.NewReader(src))
	d.KnownFields(true)
	if err := d.Decode(r); err != nil {
		var te *yaml.LoadErrors
		if errors.As(err, &te) && len(te.Errors) > 0 {
			err = te.Errors[0]
		}
		return nil, fmt.Errorf("%s cannot be read as a record: %s", name, plainly(err.Error()))
	}
	if r.Version > 1 {
		return nil, fmt.Errorf("%s is a record of version %d; this tool reads version 1", name, r.Version)
	}
	for i, f := range r.Facts {
		for _, e := range f.Edits {
			if e.Op != finding.Set && e.Op != finding.Delete && e.Op != finding.Rename || e.Path == "" {
				return nil, fmt.Errorf("%s: fact %d (%s) has an edit that is not understood: %q %q", name, i+1, f.ID, e.Op, e.Path)
			}
		}
	}
	return r, nil
}

var (
	wrongKind = regexp.MustCompile("cannot construct !!(\\w+) `?(.*?)`? into .*")
	noWord    = regexp.MustCompile(`field (\S+) not found in type .*`)
)

// plainly takes the machinery out of what the YAML reader says.
func plainly(s string) string {
	s = strings.TrimPrefix(strings.ReplaceAll(s, "\n", " "), "yaml: ")
	s = wrongKind.ReplaceAllString(s, "`$2` is not what belongs there")
	return noWord.ReplaceAllString(s, "there is no `$1` in a record")
}

// Write gives the text of a record. old is the text that it replaces, or nil: comments of what is still there stay.
func (r *Record) Write(old []byte) ([]byte, error) {
	c := *r
	c.Version = 1
	var n yaml.Node
	if err := n.Encode(&c); err != nil {
		return nil, err
	}
	head := about
	var was yaml.Node
	if len(bytes.TrimSpace(old)) > 0 && yaml.Unmarshal(old, &was) == nil && len(was.Content) == 1 {
		head = ""
		comments(was.Content[0], &n)
		if was.HeadComment != "" {
			head = was.HeadComment + "\n\n"
		}
	}
	var b bytes.Buffer
	b.WriteString(head)
	e := yaml.NewEncoder(&b)
	e.SetIndent(2)
	if err := e.Encode(&n); err != nil {
		return nil, err
	}
	if err := e.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// comments carries comments from one tree to another, where the same keys and places are.
func comments(from, to *yaml.Node) {
	to.HeadComment, to.LineComment, to.FootComment = from.HeadComment, from.LineComment, from.FootComment
	if from.Kind != to.Kind {
		return
	}
	switch from.Kind {
	case yaml.MappingNode:
		at := map[string]int{}
		for i := 0; i+1 < len(to.Content); i += 2 {
			at[to.Content[i].Value] = i
		}
		for i := 0; i+1 < len(from.Content); i += 2 {
			if j, ok := at[from.Content[i].Value]; ok {
				k := to.Content[j]
				k.HeadComment, k.LineComment, k.FootComment = from.Content[i].HeadComment, from.Content[i].LineComment, from.Content[i].FootComment
				comments(from.Content[i+1], to.Content[j+1])
			}
		}
	case yaml.SequenceNode:
		for i := range min(len(from.Content), len(to.Content)) {
			comments(from.Content[i], to.Content[i])
		}
	}
}

// Add puts a fact behind the others and gives it an id that none had.
func (r *Record) Add(f Fact) Fact {
	most := 0
	for _, x := range r.Facts {
		if n, err := strconv.Atoi(strings.TrimPrefix(x.ID, "f")); err == nil {
			most = max(most, n)
		}
	}
	f.ID = "f" + strconv.Itoa(most+1)
	r.Facts = append(r.Facts, f)
	return f
}
