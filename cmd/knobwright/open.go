package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"runtime/debug"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/packet"
	"knobwright/internal/project"
	"knobwright/internal/studio"
	"knobwright/web"
)

type openCmd struct {
	File    string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Port    int    `help:"Port on this machine; default a free one."`
	Share   bool   `help:"Let phones in this network look and tick, by links that work once. They can change nothing."`
	ShareAt string `help:"Share at this address of this machine only; default: in every local network that it is in." placeholder:"ADDRESS"`
	Stay    bool   `help:"Only print the link; do not start the browser."`
	Page    string `help:"Serve the page from this folder instead of the built-in one: for work on the page." type:"existingdir"`
}

// Help is shown below the flags.
func (c *openCmd) Help() string {
	return "Shows the panel in the browser, alive: what you move is written into your file, with your comments left as they are. Only this machine is answered; Ctrl-C ends it."
}

func (c *openCmd) Run(w *world) error {
	path, err := w.panelFile(c.File)
	if err != nil {
		return err
	}
	if _, err := readLimited(path); err != nil {
		return err
	}
	by := func(run runner) studio.Judge {
		return func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
			l, _ := judge(path, src, run)
			return l.doc, l.cat, l.result
		}
	}
	s, err := studio.Open(path, by(job.Check), by(job.Touch))
	if err != nil {
		return usage{say: fmt.Sprintf("%s cannot be opened: %s.", path, reason(err))}
	}
	assets := web.Assets()
	if c.Page != "" {
		assets = os.DirFS(c.Page)
	}
	debug.SetGCPercent(1000)        // a drag leaves 5 MB behind at every step: it is cleared up more seldom,
	debug.SetMemoryLimit(400 << 20) // but before much of the machine is taken: arranging leaves a gigabyte in seconds
	v := studio.NewServer(s, studio.Rim{
		Assets: assets,
		Papers: func(l *studio.Look) ([]studio.Paper, error) {
			full, err := judge(path, l.Text, job.Run)
			if err != nil {
				return nil, err
			}
			docs, err := packet.Build(full.result, l.Text)
			if err != nil {
				return nil, err
			}
			var out []studio.Paper
			for _, d := range docs {
				out = append(out, studio.Paper{Name: d.Name, About: d.About, Data: d.Data, Pages: d.Pages})
			}
			return out, nil
		},
		Solids: func(l *studio.Look) (*solid.Model, error) { return packet.Solids(l.Result) },
	})
	l, link, err := v.Listen(c.Port)
	if err != nil {
		return usage{say: "That port cannot be used: " + err.Error() + ".", hint: "Leave --port out: a free one is taken."}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	var guest studio.LinkData
	if c.Share || c.ShareAt != "" {
		at := studio.LocalAddresses()
		if c.ShareAt != "" {
			at = []string{c.ShareAt}
		}
		if err := v.ShareOn(ctx, at); err != nil {
			return usage{say: finding.Capital(reason(err)) + ": nothing can be shared.", hint: "Leave --share out, or join a network first."}
		}
		guest, _ = v.Link()
	}
	fmt.Fprintf(w.out, "%s is open at\n  %s\nCtrl-C ends it. The file is saved with every change.\n", path, link)
	if len(guest.Links) > 0 {
		fmt.Fprintf(w.out, "One phone in this network may look and tick, until %s, at\n  %s\nAsk for another link on the page. What passes is not encrypted.\n", guest.Until, strings.Join(guest.Links, "\n  "))
	}
	if !c.Stay {
		browse(link)
	}
	return v.Serve(ctx, l)
}

// browse starts the person's browser, if there is one; the link has been printed in any case.
func browse(link string) {
	name, args := "xdg-open", []string{link}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", link}
	}
	if _, err := exec.LookPath(name); err == nil {
		_ = exec.Command(name, args...).Start()
	}
}
