package firmware

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// worked maps a file.
func worked(src string) (Result, *project.Doc) {
	doc := project.Read("test.yaml", []byte(src))
	p, _ := panel.Place(doc, catalog.Builtin())
	return Work(p, wiring.Work(p, catalog.Builtin())), doc
}

// desk is a file of controls, one a line, on a module.
func desk(module string, controls ...string) string {
	var b strings.Builder
	b.WriteString("knobwright: 1\ntitle: Test desk\nface: {width: 1200, height: 800, sheet: acrylic-3mm}\n")
	if module != "" {
		b.WriteString("module: {part: " + module + ", at: [1100, 100]}\n")
	}
	b.WriteString("controls:\n")
	for i, c := range controls {
		name, rec, _ := strings.Cut(c, ": ")
		fmt.Fprintf(&b, "  %s: {at: [%d, %d], %s}\n", name, 40+i%20*52, 60+i/20*60, rec)
	}
	return b.String()
}

const pico = "rp2040-40pin"

func with(fs []finding.Finding, rule string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func heads(fs []finding.Finding) string {
	var s []string
	for _, f := range fs {
		s = append(s, f.Severity.String()+" "+f.Rule+": "+f.Head+" "+f.Body)
	}
	return strings.Join(s, "\n")
}

// row finds a row by its name.
func row(t testing.TB, r Result, name string) Row {
	t.Helper()
	for _, x := range r.Rows {
		if x.Name == name {
			return x
		}
	}
	var names []string
	for _, x := range r.Rows {
		names = append(names, x.Name)
	}
	t.Fatalf("no row %s among %v\n%s", name, names, heads(r.Findings))
	return Row{}
}
