package rig

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

const documentPath = "../../docs/firmware.md"

// document holds the table of requests in the document against the columns of the back ends that ran. UPDATE=1 writes them; columns of
// back ends that did not run stay as they are.
func document(t *testing.T, mark string, columns map[string]string) {
	t.Helper()
	text, err := os.ReadFile(documentPath)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := "<!-- "+mark+" -->\n", "<!-- end of "+mark+" -->\n"
	head, rest, ok1 := strings.Cut(string(text), begin)
	old, foot, ok2 := strings.Cut(rest, end)
	if !ok1 || !ok2 {
		t.Fatalf("%s has no place for %s", documentPath, mark)
	}
	was := map[string]map[string]string{}
	for l := range strings.Lines(old) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(l), "|"), "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if len(cells) == len(makers)+2 {
			was[cells[0]] = map[string]string{}
			for i, m := range makers {
				was[cells[0]][m.name] = cells[i+2]
			}
		}
	}
	cells := map[string][]string{}
	for name, c := range columns {
		cells[name] = strings.Split(c, "\n")
	}
	var b strings.Builder
	b.WriteString("\n| request | must give |")
	for _, m := range makers {
		fmt.Fprintf(&b, " %s |", m.name)
	}
	b.WriteString("\n|---|---|" + strings.Repeat("---|", len(makers)) + "\n")
	for i, r := range requests {
		fmt.Fprintf(&b, "| %s | %s |", r.name, r.want)
		for _, m := range makers {
			switch c, ran := cells[m.name]; {
			case ran && c[i] == "as it should":
				b.WriteString(" yes |")
			case ran:
				fmt.Fprintf(&b, " %s |", c[i])
			case was[r.name][m.name] != "":
				fmt.Fprintf(&b, " %s |", was[r.name][m.name])
			default:
				b.WriteString(" not run |")
			}
		}
		b.WriteString("\n")
	}
	b.WriteString("\n")
	now := head + begin + b.String() + end + foot
	if now == string(text) {
		return
	}
	if os.Getenv("UPDATE") == "" {
		t.Errorf("%s does not have these results: UPDATE=1 go test -run TestRequests ./firmware/rig", documentPath)
		return
	}
	if err := os.WriteFile(documentPath, []byte(now), 0o644); err != nil {
		t.Fatal(err)
	}
}
