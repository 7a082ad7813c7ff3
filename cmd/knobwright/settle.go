package main

import (
	"fmt"
	"strings"

	"knobwright/internal/job"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
)

// settle writes every pin of the plan into the file, or shows what would be written.
func settle(w *world, l *loaded, dry, strict bool) error {
	edits := l.result.Wiring.Settle()
	if len(edits) == 0 {
		fmt.Fprintln(w.out, "Every pin of the plan stands in the file.")
		return nil
	}
	out, err := l.doc.Apply(edits)
	if err != nil {
		return usage{say: "The pins cannot be written into the file by itself: " + strings.TrimSuffix(err.Error(), ".") + ".", hint: "By hand they go under wiring.pins."}
	}
	after, err := judge(l.path, out, job.Check)
	if err != nil {
		return err
	}
	printChange(w, l.doc.Src, out)
	if dry {
		fmt.Fprintln(w.out, "Nothing written. Then it would say: "+terminal.Verdict(after.result.Findings))
		return nil
	}
	if err := safefile.Replace(l.path, l.doc.Src, out); err != nil {
		return usage{say: "The file was not written: " + strings.TrimSuffix(reason(err), ".") + ".", hint: "It is as it was."}
	}
	fmt.Fprintln(w.out, "In the file. Now: "+terminal.Verdict(after.result.Findings))
	return after.exit(strict)
}
