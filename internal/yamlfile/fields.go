package yamlfile

import (
	"reflect"
	"strings"
	"sync"
)

// field is one key that a struct type understands.
type field struct {
	name     string
	index    int
	required bool
	enum     []string
}

// fields is what the decoder knows of a struct type.
type fields struct {
	list        []field
	names       []string
	scalar, seq int // index in list of the field that a bare scalar or a bare sequence sets; -1 for none
}

var fieldCache sync.Map // reflect.Type -> *fields

func fieldsOf(t reflect.Type) *fields {
	if f, ok := fieldCache.Load(t); ok {
		return f.(*fields)
	}
	f := &fields{scalar: -1, seq: -1}
	for i := range t.NumField() {
		sf := t.Field(i)
		name, _, _ := strings.Cut(sf.Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		x := field{name: name, index: i}
		for _, opt := range strings.Split(sf.Tag.Get("jsonschema"), ",") {
			if opt == "required" {
				x.required = true
			}
			if w, ok := strings.CutPrefix(opt, "enum="); ok {
				x.enum = append(x.enum, w)
			}
		}
		switch sf.Tag.Get("kw") {
		case "scalar":
			f.scalar = len(f.list)
		case "list":
			f.seq = len(f.list)
		}
		f.list = append(f.list, x)
		f.names = append(f.names, name)
	}
	fieldCache.Store(t, f)
	return f
}
