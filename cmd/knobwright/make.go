package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"knobwright/internal/job"
	"knobwright/internal/packet"
	"knobwright/internal/terminal"
)

type makeCmd struct {
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Out  string `short:"o" help:"Folder for the packet; default: the file's name with -packet, beside it." placeholder:"DIR"`
}

func (c *makeCmd) Run(w *world, a *app) error {
	l, err := w.loadBuilt(c.File, a, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	with, err := l.with()
	if err != nil {
		return err
	}
	docs, err := packet.BuildWith(l.result, l.doc.Src, with)
	if err != nil {
		return usage{say: "The packet cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
	}
	dir := c.Out
	if dir == "" {
		base := filepath.Base(l.path)
		dir = filepath.Join(filepath.Dir(l.path), strings.TrimSuffix(base, filepath.Ext(base))+"-packet")
	} else if !filepath.IsAbs(dir) {
		dir = filepath.Join(w.dir, dir)
	}
	var step func(string)
	if w.terminal && !a.JSON {
		step = func(name string) { fmt.Fprintf(w.err, "\r\x1b[K  %s", name) }
	}
	err = packet.Write(dir, docs, step)
	if step != nil {
		fmt.Fprint(w.err, "\r\x1b[K")
	}
	if err != nil {
		return usage{say: "The packet was not written: " + strings.TrimSuffix(reason(err), ".") + ".", hint: before(dir)}
	}
	if a.JSON {
		l.printJSON(w.out)
		return l.exit(a.Strict)
	}
	l.print(w, false)
	s := w.style()
	fmt.Fprintln(w.out)
	fmt.Fprintln(w.out, s.Bold(fmt.Sprintf("%s in %s", plural(len(docs), "paper", "papers"), terminal.Clean(shown(w, dir)))))
	for _, d := range docs {
		fmt.Fprintf(w.out, "  %-28s %s\n", d.Name, s.Quiet(d.About))
	}
	return l.exit(a.Strict)
}

// before says that an earlier packet is untouched, when there is one.
func before(dir string) string {
	if _, err := os.Stat(dir); err != nil {
		return ""
	}
	return "What was in " + dir + " before is still there, whole."
}

// shown gives a path as short as the person would type it.
func shown(w *world, path string) string {
	abs, err1 := filepath.Abs(path)
	here, err2 := filepath.Abs(w.dir)
	if err1 == nil && err2 == nil {
		if rel, err := filepath.Rel(here, abs); err == nil && !strings.HasPrefix(rel, "..") {
			return rel
		}
	}
	return path
}
