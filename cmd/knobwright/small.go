package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"knobwright/examples"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/terminal"
	"knobwright/internal/yamlfile"
)

type schemaCmd struct {
	Catalogue bool `help:"The schema of a catalogue file of your own instead."`
}

func (c *schemaCmd) Run(w *world) error {
	b := project.Schema()
	if c.Catalogue {
		b = project.CatalogueSchema()
	}
	_, err := w.out.Write(b)
	return err
}

type assumedCmd struct {
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
}

func (c *assumedCmd) Run(w *world, a *app) error {
	l, err := w.load(c.File, job.Check)
	if err != nil {
		return err
	}
	if l.result.Panel == nil {
		l.print(w, false)
		return code(exitCannot)
	}
	list := l.result.Panel.Assumed
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		return enc.Encode(list)
	}
	s := w.style()
	if len(list) == 0 {
		fmt.Fprintln(w.out, "Nothing is taken on trust: every number was measured, written by you, or read in a named text.")
		return nil
	}
	fmt.Fprintf(w.out, "%s taken on trust. The parts in your hand decide: measure them before you cut.\n\n", plural(len(list), "number is", "numbers are"))
	for _, x := range list {
		fmt.Fprintln(w.out, s.Bold(terminal.Clean(x.What)))
		for _, t := range terminal.Wrap("From: "+x.Source.String()+", confidence "+orUnknown(string(x.Source.Confidence))+".", 68) {
			fmt.Fprintln(w.out, "    "+terminal.Clean(t))
		}
		if x.Used != "" {
			used := "Used by: "
			if strings.HasPrefix(x.What, "limit ") {
				used = "It is "
			}
			for _, t := range terminal.Wrap(used+x.Used+".", 68) {
				fmt.Fprintln(w.out, "    "+s.Quiet(terminal.Clean(t)))
			}
		}
		if x.Do != "" {
			fmt.Fprintln(w.out, "    "+s.Quiet(terminal.Clean(x.Do)))
		}
	}
	return nil
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return s
}

type explainCmd struct {
	Rule string `arg:"" optional:"" help:"Name of the rule, or an image (firmware.uf2, firmware.hex); without one, all rules are listed."`
}

func (c *explainCmd) Run(w *world, a *app) error {
	if isImage(c.Rule) {
		return w.explainImage(a, c.Rule)
	}
	s := w.style()
	rules := job.Rules()
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		if c.Rule == "" {
			return enc.Encode(rules)
		}
		for _, r := range rules {
			if r.Name == c.Rule {
				return enc.Encode(r)
			}
		}
	}
	if c.Rule == "" {
		for _, r := range rules {
			fmt.Fprintf(w.out, "  %-26s %-5s %s\n", r.Name, r.Severity, s.Quiet(r.Title))
		}
		return nil
	}
	names := make([]string, len(rules))
	for i, r := range rules {
		names[i] = r.Name
		if r.Name == c.Rule {
			explain(w, r)
			return nil
		}
	}
	u := usage{say: fmt.Sprintf("There is no rule %q.", c.Rule), hint: "knobwright explain    lists them all"}
	if n := yamlfile.Nearest(c.Rule, names); n != "" {
		u.hint = "did you mean " + n + "?\n" + u.hint
	}
	return u
}

func explain(w *world, r finding.Rule) {
	s := w.style()
	fmt.Fprintf(w.out, "%s  %s (%s)\n\n", s.Bold(r.Name), r.Title, r.Severity)
	for _, para := range strings.Split(r.Explain, "\n\n") {
		for _, l := range terminal.Wrap(para, 72) {
			fmt.Fprintln(w.out, l)
		}
		fmt.Fprintln(w.out)
	}
	if len(r.Limits) == 0 {
		return
	}
	fmt.Fprintln(w.out, "Numbers that decide; write your own under limits: in the file.")
	for _, l := range r.Limits {
		fmt.Fprintf(w.out, "  %s\n", s.Bold(strings.TrimSpace(fmt.Sprintf("%s: %g %s", l.Name, l.Default, l.Unit))))
		for _, t := range terminal.Wrap(l.Means+". "+l.Source.String()+".", 68) {
			fmt.Fprintln(w.out, "    "+t)
		}
	}
}

type newCmd struct {
	Dir   string `arg:"" optional:"" help:"Folder for the new panel; made if it is not there."`
	From  string `help:"Example to start from, or a drawing (.dxf, .svg) or a list of holes (.csv)." placeholder:"EXAMPLE|FILE" default:"first-panel"`
	Known string `help:"A length that you know, to prove the scale of a drawing: \"width 340 mm\", \"height 8 in\", \"hole 22 mm\"."`
	Title string `help:"What the new panel is called; with a drawing."`
	List  bool   `help:"List the examples."`
}

func (c *newCmd) Run(w *world) error {
	names := examples.Names()
	if c.List || c.Dir == "" {
		fmt.Fprintln(w.out, "Examples to start from:")
		for _, n := range names {
			fmt.Fprintf(w.out, "  %-14s %s\n", n, terminal.Clean(project.Read(n, examples.File(n)).File.Title))
		}
		fmt.Fprintln(w.out, "\n  knobwright new my-desk --from cue-desk")
		return nil
	}
	name, src := c.From+".yaml", examples.File(c.From)
	if isDrawing(c.From) {
		var err error
		if name, src, err = c.startFrom(w); err != nil {
			return err
		}
	}
	if src == nil {
		u := usage{say: fmt.Sprintf("There is no example %q.", c.From), hint: "There are: " + strings.Join(names, ", ")}
		if n := yamlfile.Nearest(c.From, names); n != "" {
			u.hint = "did you mean " + n + "?\n" + u.hint
		}
		return u
	}
	dir := c.Dir
	if !filepath.IsAbs(dir) {
		dir = filepath.Join(w.dir, dir)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return usage{say: "The folder cannot be made: " + reason(err) + "."}
	}
	files := map[string][]byte{name: src, "knobwright.schema.json": project.Schema()}
	order := make([]string, 0, len(files))
	for n := range files {
		order = append(order, n)
	}
	sort.Strings(order)
	for _, n := range order {
		if _, err := os.Lstat(filepath.Join(dir, n)); err == nil && n != "knobwright.schema.json" {
			return usage{say: fmt.Sprintf("%s is there already; nothing was written.", shown(w, filepath.Join(dir, n)))}
		}
	}
	for _, n := range order {
		if err := writeNew(filepath.Join(dir, n), files[n]); err != nil {
			return usage{say: fmt.Sprintf("%s cannot be written: %s.", n, reason(err))}
		}
	}
	fmt.Fprintf(w.out, "%s is yours to change. Next:\n  cd %s\n  knobwright check\n  knobwright make\n",
		terminal.Clean(shown(w, filepath.Join(dir, name))), terminal.Clean(shown(w, dir)))
	return nil
}

// writeNew writes a file that must not be there yet, except the schema, which belongs to the tool.
func writeNew(path string, data []byte) error {
	flags := os.O_WRONLY | os.O_CREATE | os.O_EXCL
	if filepath.Base(path) == "knobwright.schema.json" {
		flags = os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	}
	f, err := os.OpenFile(path, flags, fs.FileMode(0o644))
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}
