package arrange_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/arrange"
)

func quick(doc *project.Doc) (*panel.Panel, []finding.Finding) {
	r := job.Touch(doc, catalog.Builtin())
	return r.Panel, r.Findings
}

func full(doc *project.Doc) (*panel.Panel, []finding.Finding) {
	r := job.Check(doc, catalog.Builtin())
	return r.Panel, r.Findings
}

func order(name, text string) arrange.Order {
	return arrange.Order{Doc: project.Read(name, []byte(text)), Cat: catalog.Builtin(), Quick: quick, Full: full, Seed: 1}
}

func TestLook(t *testing.T) {
	for _, n := range examples.Names() {
		o := order(n, string(examples.File(n)))
		at := time.Now()
		r := arrange.Work(context.Background(), o)
		fmt.Println("==", n, time.Since(at), r.Say, "refused", r.Refused, r.Crowd)
		fmt.Println("moves", r.Moves)
		fmt.Println("stays", r.Stays)
		if r.Now != nil {
			fmt.Printf("now %.2f", r.Now.Total)
			for _, x := range r.Now.Terms {
				fmt.Printf(" %s %.2f=%.2f", x.Name, x.Have, x.Points)
			}
			fmt.Println()
		}
		for _, p := range r.Proposals {
			fmt.Printf("%s: %.2f %s %v->%v", p.Name, p.Score, p.Say, p.Was, p.Counts)
			for _, x := range p.Terms {
				fmt.Printf(" %s %.2f=%.2f", x.Name, x.Have, x.Points)
			}
			fmt.Println()
		}
	}
}
