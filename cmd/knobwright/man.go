package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

type manCmd struct{}

// Run prints the manual page, in the form that man reads, made from the same words as --help.
func (c *manCmd) Run(w *world, k *kong.Kong) error {
	man(w.out, k.Model.Node, k.Model.Help)
	return nil
}

// roff guards what a manual page would take for an order.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	var out []string
	for _, l := range strings.Split(s, "\n") {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			l = `\&` + l
		}
		out = append(out, l)
	}
	return ascii(strings.Join(out, "\n"))
}

// ascii writes other letters by their numbers, as every reader of manual pages knows them.
func ascii(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r < 0x80 {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\[u%04X]`, r)
		}
	}
	return b.String()
}

func man(o io.Writer, root *kong.Node, help string) {
	p := func(f string, a ...any) { fmt.Fprintf(o, f+"\n", a...) }
	p(`.TH KNOBWRIGHT 1 "" "knobwright %s" "User Commands"`, version)
	p(".SH NAME\nknobwright \\- checks a hand\\-built control panel and makes the papers to build it from")
	p(".SH SYNOPSIS\n.B knobwright\n.I command\n[\\fIarguments\\fR] [\\fIflags\\fR]")
	text, more, _ := strings.Cut(help, "\n\nExamples:\n")
	p(".SH DESCRIPTION\n%s", roff(strings.TrimSpace(text)))
	p(".SH COMMANDS")
	manCommands(o, root, "")
	p(".SH FLAGS OF EVERY COMMAND")
	for _, f := range root.Flags {
		manFlag(o, f)
	}
	examples, codes, _ := strings.Cut(more, "\n\nExit codes:")
	p(".SH EXAMPLES\n.nf\n%s\n.fi", roff(examples))
	p(".SH EXIT STATUS\n%s", roff(strings.TrimSpace(codes)))
	p(".SH FILES\n.TP\n.I desk.yaml\nthe panel file; nothing else is needed\n.TP\n.I desk.record.yaml\nwhat happened at the bench, kept beside it\n.TP\n.I stock.yaml\nwhat you have on hand, if you keep it")
}

func manCommands(o io.Writer, n *kong.Node, before string) {
	for _, c := range n.Children {
		if c.Hidden {
			continue
		}
		name := strings.TrimSpace(before + " " + c.Name)
		fmt.Fprintf(o, ".SS %s", roff(name))
		for _, a := range c.Positional {
			fmt.Fprintf(o, " %s", roff(a.Summary()))
		}
		fmt.Fprintf(o, "\n%s\n", roff(c.Help))
		if d := strings.TrimSpace(c.Detail); d != "" {
			for _, para := range strings.Split(d, "\n\n") {
				if strings.HasPrefix(para, "  ") {
					fmt.Fprintf(o, ".PP\n.nf\n%s\n.fi\n", roff(para))
				} else {
					fmt.Fprintf(o, ".PP\n%s\n", roff(para))
				}
			}
		}
		for _, f := range c.Flags {
			manFlag(o, f)
		}
		manCommands(o, c, name)
	}
}

func manFlag(o io.Writer, f *kong.Flag) {
	if f.Hidden || f.Name == "help" {
		return
	}
	fmt.Fprintf(o, ".TP\n.B %s\n%s\n", roff("--"+strings.TrimPrefix(f.Summary(), "--")), roff(f.Help))
}
