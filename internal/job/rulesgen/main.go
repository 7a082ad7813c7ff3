// Command rulesgen writes docs/rules.md, the rule reference, from the rule catalogue.
package main

import (
	"fmt"
	"os"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/job"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: rulesgen FILE")
		os.Exit(2)
	}
	if err := os.WriteFile(os.Args[1], []byte(reference(job.Rules())), 0o644); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// reference is the whole page.
func reference(rules []finding.Rule) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# Rules\n\nMade from the rule catalogue by `go generate`; do not edit. The same texts come from `knobwright explain RULE`.\n\n")
	fmt.Fprintf(&b, "Every number below can be replaced by your own under `limits:` in the panel file. A finding that you leave on purpose goes\nunder `keep:` with your reason; stops cannot be kept.\n\n")
	fmt.Fprintf(&b, "| rule | usual weight | looks at |\n|---|---|---|\n")
	for _, r := range rules {
		fmt.Fprintf(&b, "| [%s](#%s) | %s | %s |\n", r.Name, anchor(r.Name), r.Severity, cell(r.Title))
	}
	for _, r := range rules {
		fmt.Fprintf(&b, "\n## %s\n\n*%s; usually a %s.*\n\n%s\n", r.Name, cell(r.Title), r.Severity, r.Explain)
		if len(r.Limits) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n| limit | usual | means | from |\n|---|---|---|---|\n")
		for _, l := range r.Limits {
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", l.Name, strings.TrimSpace(fmt.Sprintf("%g %s", l.Default, l.Unit)), cell(l.Means), cell(l.Source.String()))
		}
	}
	return b.String()
}

// anchor is how a heading is linked to: small letters, without dots.
func anchor(s string) string { return strings.ReplaceAll(strings.ToLower(s), ".", "") }

func cell(s string) string { return strings.ReplaceAll(s, "|", "\\|") }
