package packet

import (
	"bytes"
	"encoding/csv"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"knobwright/examples"
	lang "knobwright/internal/words"
)

// What stands on the paper is what the trade ordered: every step once in its order, in every language.
func TestStepsPapers(t *testing.T) {
	src := examples.File("lantern-desk")
	r := result(t, "lantern-desk")
	for _, l := range lang.Langs() {
		var tr tray
		stepsPapers(r, newDesk(r, src), l, &tr)
		if tr.failed != nil || len(tr.docs) != 2 {
			t.Fatalf("%d papers, %v", len(tr.docs), tr.failed)
		}
		rows, err := csv.NewReader(bytes.NewReader(tr.docs[1].Data)).ReadAll()
		if err != nil || len(rows) != len(r.Steps.Steps)+1 {
			t.Fatalf("%s: %d lines for %d steps: %v", l, len(rows), len(r.Steps.Steps), err)
		}
		for i, s := range r.Steps.Steps {
			x := rows[i+1]
			if x[0] != strconv.Itoa(i+1) || x[1] != s.ID || x[4] != strconv.Itoa(int(s.Minutes)) || (x[15] == "yes") != s.NoReturn {
				t.Errorf("%s: line %d is %v", l, i+1, x)
			}
		}
		pdftotext, err := exec.LookPath("pdftotext")
		if err != nil {
			t.Skip("pdftotext is not here: the paper is not read back")
		}
		c := exec.Command(pdftotext, "-layout", "-", "-")
		c.Stdin = bytes.NewReader(tr.docs[0].Data)
		out, err := c.Output()
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(string(out)), " ")
		at := 0
		for i, s := range r.Steps.Steps {
			title := strconv.Itoa(i+1) + " " + l.Say(s.Title)
			k := strings.Index(text[at:], title)
			if k < 0 && len(title) < 60 { // longer titles take two lines, with the columns between
				t.Errorf("%s: %q is not on the paper after the step before it", l, title)
				continue
			}
			at += max(k, 0)
		}
		detail := text[at:]
		for _, s := range r.Steps.Steps {
			if s.NoReturn && !strings.Contains(detail, strings.Fields(l.Say(s.Check))[0]) {
				t.Errorf("%s: the check before %s is missing", l, s.ID)
			}
		}
		if strings.ContainsAny(text, "<{}") {
			t.Errorf("%s: a text without its sentence", l)
		}
	}
}
