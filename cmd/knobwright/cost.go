package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/costing"
)

// usualStock is the name of the stock file when the panel file names none.
const usualStock = "stock.yaml"

// stockFile reads what the person keeps on hand, if there is such a file: the one that the panel file names, else stock.yaml beside it.
func (l *loaded) stockFile() {
	name := l.doc.File.Stock
	if name == "" {
		if _, err := os.Stat(filepath.Join(filepath.Dir(l.path), usualStock)); err != nil {
			return
		}
		name = usualStock
	}
	say := ""
	if !filepath.IsLocal(name) {
		say = fmt.Sprintf("The stock file %q must lie in the folder of the panel file.", name)
	} else if src, err := readLimited(filepath.Join(filepath.Dir(l.path), name)); err != nil {
		say = "The stock file " + strings.Replace(err.Error(), filepath.Join(filepath.Dir(l.path), name), name, 1)
	} else {
		l.doc.StockName, l.doc.StockSrc = filepath.ToSlash(name), src
		return
	}
	l.doc.Findings = append(l.doc.Findings, finding.Finding{
		Rule: "cost.stock-file", Severity: finding.Warn, Head: say, Body: "Nothing is counted as on hand.",
		Ends: []finding.End{{Name: name, Path: "stock", Pos: l.doc.Pos("stock")}},
	})
}

type costCmd struct {
	File  string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Short bool   `help:"Sums only."`
}

// Help is shown below the flags.
func (c *costCmd) Help() string {
	return "Parts, sheets, wire, screws, glue and paint, less what the stock file has on hand, in packs and with spares. Prices are ranges of the trade until your shops' prices stand in the stock file. With budget: in the panel file, changes that bring it under are tried and offered."
}

type costData struct {
	Tool     string            `json:"tool"`
	Version  string            `json:"version"`
	Currency string            `json:"currency"`
	Total    [2]float64        `json:"total"`
	Whole    [2]float64        `json:"whole"`
	Budget   float64           `json:"budget,omitempty"`
	Unpriced int               `json:"unpriced,omitempty"`
	Sections []costSection     `json:"sections"`
	Lines    []costLine        `json:"lines"`
	Shops    []costShop        `json:"shops,omitempty"`
	Split    *costSplit        `json:"split,omitempty"`
	Cheaper  []costChange      `json:"cheaper"`
	Findings []finding.Finding `json:"findings"`
}

type costSection struct {
	Name string     `json:"name"`
	Sum  [2]float64 `json:"sum"`
}

type costLine struct {
	Section string     `json:"section"`
	ID      string     `json:"id"`
	Title   string     `json:"title"`
	Size    string     `json:"size_mm,omitempty"`
	Unit    string     `json:"unit,omitempty"`
	Use     float64    `json:"use"`
	Spare   float64    `json:"spare"`
	Have    float64    `json:"have"`
	Buy     float64    `json:"buy"`
	Pack    float64    `json:"pack"`
	Packs   int        `json:"packs"`
	Each    [2]float64 `json:"each"`
	Sum     [2]float64 `json:"sum"`
	Priced  bool       `json:"priced"`
	For     []string   `json:"for,omitempty"`
	Why     string     `json:"why_spare,omitempty"`
	Source  string     `json:"source,omitempty"`
}

type costShop struct {
	Name  string  `json:"name"`
	Total float64 `json:"total"`
	Lacks int     `json:"lacks"`
}

type costSplit struct {
	Total float64  `json:"total"`
	Lacks int      `json:"lacks"`
	Shop  []string `json:"shop_by_line"`
}

type costChange struct {
	Say   string         `json:"say"`
	Less  [2]float64     `json:"less"`
	After int            `json:"findings_after"`
	Under bool           `json:"within_budget"`
	Edits []finding.Edit `json:"edits"`
}

func pair(r costing.Range) [2]float64 {
	cent := func(v float64) float64 { f, _ := strconv.ParseFloat(fmt.Sprintf("%.2f", v), 64); return f }
	return [2]float64{cent(r.From), cent(r.To)}
}

func (c *costCmd) Run(w *world, a *app) error {
	l, err := w.loadBuilt(c.File, a, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	r := job.Cheaper(l.result, l.doc, l.cat)
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		return enc.Encode(costJSON(r))
	}
	c.print(w, r, l)
	return nil
}

func costJSON(r costing.Result) costData {
	d := costData{
		Tool: "knobwright", Version: version, Currency: r.Currency, Total: pair(r.Total), Whole: pair(r.Whole), Budget: r.Budget, Unpriced: r.Unpriced,
		Sections: []costSection{}, Lines: []costLine{}, Cheaper: []costChange{}, Findings: r.Findings,
	}
	if d.Findings == nil {
		d.Findings = []finding.Finding{}
	}
	for _, s := range r.Sections {
		d.Sections = append(d.Sections, costSection{s.Name, pair(s.Sum)})
	}
	for _, x := range r.Lines {
		d.Lines = append(d.Lines, costLine{x.Section, x.ID, x.Title, x.Size, x.Unit, x.Use, x.Spare, x.Have, x.Buy, x.Pack, x.Packs, pair(x.Each), pair(x.Sum), x.Priced, x.For, x.Why, x.Source.String()})
	}
	for _, s := range r.Shops {
		d.Shops = append(d.Shops, costShop{s.Name, pair(costing.Range{From: s.Total})[0], s.Lacks})
	}
	if s := r.Split; s != nil {
		o := &costSplit{Total: s.Total, Lacks: s.Lacks}
		for _, k := range s.Shop {
			name := ""
			if k >= 0 {
				name = r.Shops[k].Name
			}
			o.Shop = append(o.Shop, name)
		}
		d.Split = o
	}
	for _, x := range r.Cheaper {
		d.Cheaper = append(d.Cheaper, costChange{x.Say, pair(x.Less), x.After, x.Under, x.Fix.Edits})
	}
	return d
}

func (c *costCmd) print(w *world, r costing.Result, l *loaded) {
	s := w.style()
	span := func(x costing.Range) string { return fmt.Sprintf("%8.2f to %8.2f", x.From, x.To) }
	fmt.Fprintln(w.out, s.Bold(terminal.Clean(l.result.Panel.Title)))
	fmt.Fprintf(w.out, "What to buy, in %s\n", r.Currency)
	for _, sec := range r.Sections {
		fmt.Fprintf(w.out, "\n%-50s %s\n", s.Bold(finding.Capital(sec.Name)), span(sec.Sum))
		if c.Short {
			continue
		}
		for _, x := range r.Lines {
			if x.Section != sec.Name {
				continue
			}
			price := span(x.Sum)
			switch {
			case x.Packs == 0:
				price = s.Quiet("on hand")
			case !x.Priced:
				price = s.Quiet("no price")
			}
			name := x.Title
			if x.Size != "" && !strings.Contains(name, x.Size) {
				name += ", " + x.Size + " mm"
			}
			fmt.Fprintf(w.out, "  %-9s %-37s %s\n", terminal.Clean(amount(x)), terminal.Clean(shorten(name, 37)), price)
		}
	}
	fmt.Fprintf(w.out, "\n%-50s %s\n", s.Bold("Together"), span(r.Total))
	fmt.Fprintf(w.out, "%-50s %s\n", s.Quiet("of it in the panel itself, packs split"), span(r.Whole))
	if r.Budget > 0 {
		fmt.Fprintf(w.out, "%-50s %8.2f\n", "Budget", r.Budget)
	}
	for i, x := range r.Shops {
		if i == 0 {
			fmt.Fprintln(w.out, "\n"+s.Bold("In your shops"))
		}
		fmt.Fprintf(w.out, "  %-36s %8.2f   %s\n", terminal.Clean(x.Name), x.Total, s.Quiet(lacks(x.Lacks)))
	}
	if x := r.Split; x != nil {
		fmt.Fprintf(w.out, "  %-36s %8.2f   %s\n", "shared out for the least", x.Total, s.Quiet(lacks(x.Lacks)))
	}
	if len(r.Cheaper) > 0 {
		fmt.Fprintln(w.out, "\n"+s.Bold("Cheaper"))
		for _, x := range r.Cheaper {
			for i, t := range terminal.Wrap(x.Say, 70) {
				lead := "    "
				if i == 0 {
					lead = "  - "
				}
				fmt.Fprintln(w.out, lead+terminal.Clean(t))
			}
		}
	}
	for _, f := range r.Findings {
		fmt.Fprintln(w.out)
		s.Finding(w.out, f)
	}
}

func lacks(n int) string {
	switch n {
	case 0:
		return "has all of it"
	case 1:
		return "without one line"
	}
	return fmt.Sprintf("without %d lines", n)
}

// amount is how much of a line is bought: "2", "1 x 10", "5 m".
func amount(x costing.Line) string {
	n := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	switch {
	case x.Packs == 0:
		return "-"
	case x.Unit != "":
		return n(float64(x.Packs)*x.Pack) + " " + x.Unit
	case x.Pack > 1:
		return fmt.Sprintf("%d x %s", x.Packs, n(x.Pack))
	}
	return strconv.Itoa(x.Packs)
}

func shorten(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}

// stockCmd is what the person does with the stock file.
type stockCmd struct {
	List  stockListCmd  `cmd:"" help:"What of a panel is on hand, and what is not."`
	Start stockStartCmd `cmd:"" help:"Begin a stock file with every thing that a panel wants."`
	Take  stockTakeCmd  `cmd:"" help:"Take off the shelf what a panel uses. Only this changes the stock file."`
}

type stockListCmd struct {
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
}

func (c *stockListCmd) Run(w *world, a *app) error {
	l, err := w.load(c.File, job.Run)
	if err != nil {
		return err
	}
	if len(l.doc.StockSrc) == 0 {
		return usage{"There is no stock file beside this panel.", "knobwright stock start begins one."}
	}
	var rows [][3]string
	for _, x := range l.result.Costs.Lines {
		unit := ""
		if x.Unit != "" {
			unit = " " + x.Unit
		}
		rows = append(rows, [3]string{x.ID, fmt.Sprintf("%s of %s%s", strconv.FormatFloat(x.Have, 'f', -1, 64), strconv.FormatFloat(x.Use+x.Spare, 'f', -1, 64), unit), x.Title})
	}
	return w.rows(a, rows, "Second column: on hand, of what is wanted with spares.")
}

type stockStartCmd struct {
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
}

func (c *stockStartCmd) Run(w *world, a *app) error {
	l, err := w.load(c.File, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	name := l.doc.File.Stock
	if name == "" {
		name = usualStock
	}
	if !filepath.IsLocal(name) {
		return usage{say: fmt.Sprintf("The stock file %q must lie in the folder of the panel file.", name)}
	}
	path := filepath.Join(filepath.Dir(l.path), name)
	if _, err := os.Stat(path); err == nil {
		return usage{name + " is there already; it stays as it is.", "knobwright stock list shows what it has of this panel."}
	}
	if err := safefile.Write(path, costing.Start(l.result.Costs), 0o644); err != nil {
		return usage{say: name + " was not written: " + reason(err) + "."}
	}
	fmt.Fprintf(w.out, "%s is begun with %s. Write what you have; knobwright cost counts it.\n", terminal.Clean(name), plural(len(l.result.Costs.Lines), "line", "lines"))
	return nil
}

type stockTakeCmd struct {
	File  string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Again bool   `help:"Take once more what was taken already: a second panel of the kind."`
	Dry   bool   `name:"dry-run" help:"Show what would be taken; change nothing."`
}

func (c *stockTakeCmd) Run(w *world, a *app) error {
	l, err := w.load(c.File, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	if len(l.doc.StockSrc) == 0 {
		return usage{"There is no stock file beside this panel, so there is nothing to take from.", "knobwright stock start begins one."}
	}
	stock := costing.ReadStock(l.doc.StockName, l.doc.StockSrc)
	name := strings.TrimSuffix(filepath.Base(l.path), filepath.Ext(l.path))
	if on, done := stock.Taken[name]; done && !c.Again {
		return usage{fmt.Sprintf("What %s uses was taken on %s already.", name, terminal.Clean(on)), "--again takes it once more, for a second panel of the kind."}
	}
	src, took, err := stock.Take(l.result.Costs, name, time.Now().Format("2006-01-02"))
	if err != nil {
		return usage{say: "The stock file was not changed: " + err.Error()}
	}
	if !c.Dry {
		path := filepath.Join(filepath.Dir(l.path), filepath.FromSlash(l.doc.StockName))
		if err := safefile.Replace(path, l.doc.StockSrc, src); err != nil {
			return usage{say: "The stock file was not changed: " + reason(err) + "."}
		}
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		if took == nil {
			took = []costing.Taking{}
		}
		return enc.Encode(map[string]any{"tool": "knobwright", "version": version, "taken": took, "dry_run": c.Dry})
	}
	for _, t := range took {
		fmt.Fprintf(w.out, "  %-32s %6s taken, %s left\n", terminal.Clean(t.ID), strconv.FormatFloat(t.Use, 'f', -1, 64), strconv.FormatFloat(t.Left, 'f', -1, 64))
	}
	done := "taken off " + terminal.Clean(l.doc.StockName)
	if c.Dry {
		done = "would be " + done + "; nothing is changed"
	}
	fmt.Fprintf(w.out, "%s %s.\n", finding.Capital(plural(len(took), "thing", "things")), done)
	return nil
}
