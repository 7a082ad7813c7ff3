package costing_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/costing"
)

func run(t testing.TB, src, stock string) (*job.Result, *project.Doc) {
	t.Helper()
	doc := project.Read("panel.yaml", []byte(src))
	if stock != "" {
		doc.StockName, doc.StockSrc = "stock.yaml", []byte(stock)
	}
	return job.Run(doc, catalog.Builtin()), doc
}

// The list of every example adds up, and holds what the trades decided, counted another way.
func TestExamplesAddUp(t *testing.T) {
	for _, name := range examples.Names() {
		if !thorough.Is() && name == "signal-desk" {
			continue
		}
		r, _ := run(t, string(examples.File(name)), "")
		c := r.Costs
		var lines, sections costing.Range
		sum := map[string]float64{}
		for _, l := range c.Lines {
			lines = lines.Add(l.Sum)
			sum[l.Section] += l.Use
			if math.Abs(l.Use+l.Spare-l.Have-l.Buy) > 2e-3 {
				t.Errorf("%s %s: use %g, spare %g, on hand %g, buy %g", name, l.ID, l.Use, l.Spare, l.Have, l.Buy)
			}
			if got := float64(l.Packs) * l.Pack; got < l.Buy-1e-6 || got-l.Pack >= l.Buy+1e-6 {
				t.Errorf("%s %s: %d packs of %g for %g", name, l.ID, l.Packs, l.Pack, l.Buy)
			}
			if l.Priced && (l.Each.From <= 0 || l.Each.To < l.Each.From) {
				t.Errorf("%s %s: a pack costs %v", name, l.ID, l.Each)
			}
			if !l.Priced {
				t.Errorf("%s %s has no price", name, l.ID)
			}
		}
		for _, s := range c.Sections {
			sections = sections.Add(s.Sum)
		}
		for _, v := range []float64{lines.From - c.Total.From, lines.To - c.Total.To, sections.From - c.Total.From, sections.To - c.Total.To} {
			if math.Abs(v) > 1e-6 {
				t.Errorf("%s: lines %v, sections %v, together %v", name, lines, sections, c.Total)
				break
			}
		}
		// counted another way: each control once, each board, each metre of wire as the harness cuts it, each fitting
		controls, knobs := 0, 0.0
		for _, p := range r.Panel.Sheets() {
			controls += len(p.Controls)
		}
		for _, l := range c.Lines {
			if strings.HasPrefix(l.ID, "knob ") {
				knobs += l.Use
			}
		}
		if sum[costing.Controls]-knobs != float64(controls) || sum[costing.Boards] != float64(len(r.Wiring.Boards)) && len(r.Wiring.Boards) > 0 {
			t.Errorf("%s: %g controls of %d, %g boards of %d", name, sum[costing.Controls]-knobs, controls, sum[costing.Boards], len(r.Wiring.Boards))
		}
		wire := 0.0
		for _, x := range r.Harness.Cut {
			wire += x.Length * float64(x.Count) / 1000
		}
		// what is cut, and no more than what is cut from ribbon beside it
		if sum[costing.Wire] < wire*0.999 && len(r.Harness.Ribbons) == 0 || wire > 0 && sum[costing.Wire] > wire*1.5+1 {
			t.Errorf("%s: %g m of wire on the list, %g m are cut", name, sum[costing.Wire], wire)
		}
		if c.Whole.To > c.Total.To+1e-6 || c.Whole.From < 0 {
			t.Errorf("%s: the panel holds %v of %v", name, c.Whole, c.Total)
		}
	}
}

const small = `knobwright: 1
title: Lantern
face: {width: 200, height: 120, sheet: {use: acrylic-3mm, actual: 3}}
module: rp2040-40pin
controls:
  go: {part: push-22mm, at: [40, 60]}
  stop: {part: push-22mm, at: [90, 60], legend: HALT}
  dim: {part: pot-16mm, at: [150, 60]}
`

func line(t *testing.T, c costing.Result, id string) costing.Line {
	t.Helper()
	for _, l := range c.Lines {
		if l.ID == id {
			return l
		}
	}
	t.Fatalf("no line %s", id)
	return costing.Line{}
}

// What is on hand is taken off, spares follow their rule, shops' own prices go before the catalogue's.
func TestStockSparesShops(t *testing.T) {
	r, _ := run(t, small, "")
	part, _ := catalog.Builtin().Part("push-22mm")
	l := line(t, r.Costs, "push-22mm")
	spare := 0.0
	if (part.Price.From+part.Price.To)/2 < 5 {
		spare = 1
	}
	if l.Use != 2 || l.Spare != spare || l.Buy != 2+spare {
		t.Errorf("%+v", l)
	}
	if p := line(t, r.Costs, "pot-16mm"); p.Use != 1 || p.Spare != 1 || p.Pack != 5 || p.Packs != 1 {
		t.Errorf("%+v", p)
	}
	r, _ = run(t, small, `knobwright-stock: 1
have: {push-22mm: 1, pot-16mm: 4}
shops:
  near: {prices: {push-22mm: 7}}
  far: {shipping: 5, prices: {push-22mm: 4.5, rp2040-40pin: 4}}
`)
	l = line(t, r.Costs, "push-22mm")
	if l.Have != 1 || l.Buy != 1 || l.Spare != 0 || l.Each != (costing.Range{From: 4.5, To: 7}) {
		t.Errorf("%+v", l)
	}
	if p := line(t, r.Costs, "pot-16mm"); p.Have != 2 || p.Buy != 0 || p.Packs != 0 || p.Sum.To != 0 {
		t.Errorf("%+v", p)
	}
	if s := r.Costs.Shops; len(s) != 2 || s[0].Total != 7 || s[1].Total != 5+4.5+4 {
		t.Errorf("%+v", s)
	}
	// the board is to be had far away only, and then the button comes with it
	if s := r.Costs.Split; s == nil || s.Total != 13.5 || !s.Exact {
		t.Errorf("%+v", s)
	}
}

// Another currency wants a rate; with it the sums are that many times as large.
func TestCurrency(t *testing.T) {
	a, _ := run(t, small, "")
	b, _ := run(t, small, "knobwright-stock: 1\ncurrency: CHF\nrate: 0.94\n")
	if b.Costs.Currency != "CHF" || math.Abs(b.Costs.Whole.To-0.94*a.Costs.Whole.To) > 1e-6 {
		t.Errorf("%v and %v %s", a.Costs.Whole, b.Costs.Whole, b.Costs.Currency)
	}
	c, _ := run(t, small, "knobwright-stock: 1\ncurrency: CHF\n")
	if c.Costs.Unpriced == 0 || c.Costs.Total.To != 0 {
		t.Errorf("euros are called francs: %v, %d without a price", c.Costs.Total, c.Costs.Unpriced)
	}
}

// Every change that is offered keeps its word: the file with its edits, judged by the whole job, costs that much less and has no new finding.
func TestCheaperKeepsItsWord(t *testing.T) {
	src := strings.Replace(string(examples.File("cue-desk")), "units: mm", "units: mm\nbudget: 200 EUR", 1)
	r, doc := run(t, src, "")
	list := job.Cheaper(r, doc, catalog.Builtin()).Cheaper
	if len(list) < 3 {
		t.Fatalf("only %d changes", len(list))
	}
	_, warns, _ := finding.Count(r.Findings)
	for i, c := range list[:thorough.Of(3, 1)] {
		text, err := doc.Apply(c.Fix.Edits)
		if err != nil {
			t.Fatal(err)
		}
		then, _ := run(t, string(text), "")
		less := r.Costs.Total.Sub(then.Costs.Total)
		if math.Abs(less.Middle()-c.Less.Middle()) > 0.3 { // a screw or a millimetre of wire more or less
			t.Errorf("%s: it is %.2f less", c.Say, less.Middle())
		}
		if _, w, _ := finding.Count(then.Findings); c.After == 0 && w > warns {
			t.Errorf("%s: %d warnings, before %d", c.Say, w, warns)
		}
		if i > 0 && list[i-1].After == 0 && c.After == 0 && i > 1 && list[i-1].Less.Middle() < c.Less.Middle() {
			t.Error("not best first")
		}
	}
	over := 0
	for _, f := range r.Findings {
		if f.Rule == "cost.over-budget" {
			over++
			if f.Measure == nil || f.Measure.Want != 200 || f.Measure.Unit != "EUR" {
				t.Errorf("%+v", f.Measure)
			}
		}
	}
	if over != 1 {
		t.Errorf("said %d times", over)
	}
	for _, b := range []string{"eighty", "-3 EUR", "80 pounds sterling"} {
		r, _ := run(t, strings.Replace(small, "title: Lantern", "title: Lantern\nbudget: "+b, 1), "")
		if len(r.Costs.Findings) == 0 || r.Costs.Findings[0].Rule != "cost.bad-budget" {
			t.Errorf("%s: %+v", b, r.Costs.Findings)
		}
	}
}

// Taking touches nothing but the amounts and the note.
func TestTake(t *testing.T) {
	text := "# mine\nknobwright-stock: 1\nhave:\n  push-22mm: 5 # blue ones\n  pot-16mm: 0\n  other: 3\n"
	r, doc := run(t, small, text)
	s := costing.ReadStock("stock.yaml", doc.StockSrc)
	out, took, err := s.Take(r.Costs, "panel", "2026-05-02")
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.Replace(text, "push-22mm: 5 ", "push-22mm: 3 ", 1); !strings.HasPrefix(string(out), want) {
		t.Errorf("%s", out)
	}
	again := costing.ReadStock("stock.yaml", out)
	if len(took) != 1 || took[0].Use != 2 || took[0].Left != 3 || again.Have["push-22mm"] != 3 || again.Taken["panel"] != "2026-05-02" || len(again.Findings) != 0 {
		t.Errorf("%+v %+v", took, again)
	}
	if start := costing.ReadStock("s", costing.Start(r.Costs)); len(start.Findings) != 0 || len(start.Have) < 10 {
		t.Errorf("%+v", start.Findings)
	}
}

// No cell of the CSV is a formula, whatever things are called.
func TestCSV(t *testing.T) {
	evil := strings.Replace(small, "legend: HALT", `legend: "=HYPERLINK(1)"`, 1)
	r, _ := run(t, evil, "knobwright-stock: 1\nshops:\n  minus: {prices: {push-22mm: 3}}\n")
	for _, inches := range []bool{false, true} {
		b, err := costing.CSV(r.Costs, inches)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) != len(r.Costs.Lines)+1 {
			t.Errorf("%d rows for %d lines", len(rows), len(r.Costs.Lines))
		}
		for _, row := range rows {
			for _, c := range row {
				if c == "" {
					continue
				}
				if _, err := strconv.ParseFloat(c, 64); err != nil && strings.ContainsAny(c[:1], "=+-@\t\r") {
					t.Errorf("%q", c)
				}
			}
		}
	}
	for in, want := range map[string]string{"=1+1": "'=1+1", "+cmd": "'+cmd", "-2": "-2", "-a": "'-a", "@x": "'@x", "\tx": "' x", "\r=x": "' =x", "＝x": "'＝x", " =x": "' =x", "5.5": "5.5", "1e9": "1e9", "a\nb": "a b"} {
		if got := costing.Cell(in); got != want {
			t.Errorf("%q gives %q, want %q", in, got, want)
		}
	}
}

// The split among shops is the best there is: every way to share a list out is looked at.
func TestSplitIsBest(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 4))
	for range 60 {
		var s strings.Builder
		s.WriteString("knobwright-stock: 1\nshops:\n")
		ids := []string{"push-22mm", "pot-16mm", "rp2040-40pin", "masking-tape"}
		for k := range 3 {
			s.WriteString("  s" + strconv.Itoa(k) + ":\n    shipping: " + strconv.Itoa(rnd.IntN(6)) + "\n    prices: {x: 1")
			for _, id := range ids {
				if rnd.IntN(3) > 0 {
					s.WriteString(", " + id + ": " + strconv.Itoa(1+rnd.IntN(9)))
				}
			}
			s.WriteString("}\n")
		}
		stock := costing.ReadStock("s", []byte(s.String()))
		r := costing.Work(costing.Inputs{Panel: base(t), Cat: catalog.Builtin(), Stock: stock})
		best, lacks := math.Inf(1), math.MaxInt
		var at func(i int, used [3]bool, sum float64, lack int)
		at = func(i int, used [3]bool, sum float64, lack int) {
			if i == len(r.Lines) {
				for k, u := range used {
					if u {
						sum += r.Shops[k].Shipping
					}
				}
				if lack < lacks || lack == lacks && sum < best {
					best, lacks = sum, lack
				}
				return
			}
			some := false
			for k := range r.Shops {
				if v := r.Shops[k].Sums[i]; v > 0 && r.Lines[i].Packs > 0 {
					u := used
					u[k], some = true, true
					at(i+1, u, sum+v, lack)
				}
			}
			if !some {
				if r.Lines[i].Packs > 0 {
					lack++
				}
				at(i+1, used, sum, lack)
			}
		}
		at(0, [3]bool{}, 0, 0)
		if r.Split.Lacks != lacks || math.Abs(r.Split.Total-best) > 1e-6 {
			t.Fatalf("split %g without %d, best %g without %d\n%s", r.Split.Total, r.Split.Lacks, best, lacks, s.String())
		}
	}
}

func FuzzReadStock(f *testing.F) {
	f.Add("knobwright-stock: 1\nhave: {a: 3 m}\nshops: {b: {prices: {a: {price: 3, pack: 2}}}}")
	f.Add("have: [1]\n")
	f.Add("rate: -1\ncurrency: \"=\"\ntaken: {a: b}\n")
	f.Fuzz(func(t *testing.T, s string) {
		st := costing.ReadStock("s", []byte(s))
		for k, v := range st.Have {
			if !(v >= 0) {
				t.Errorf("%s: %g", k, v)
			}
		}
		_, _, _ = st.Take(costing.Result{}, "p", "d")
	})
}

// What is bought for glue, finish, covering and lettering is what the order of work uses: the file's own glue, finish and coats.
func TestStuffAsTheOrderOfWorkHasIt(t *testing.T) {
	box := func(covering, by, work string) costing.Result {
		src := strings.Replace(small, "actual: 3}}", "actual: 3}, covering: "+covering+", legend: {by: "+by+"}}\nbox: {form: flat, depth: 60, walls: birch-ply-9mm}\nwork: {"+work+"}", 1)
		r, _ := run(t, src, "")
		return r.Costs
	}
	use := func(r costing.Result, id string) float64 {
		for _, l := range r.Lines {
			if l.ID == id {
				return l.Use
			}
		}
		return 0
	}
	usual := box("none", "print", "")
	for _, id := range []string{"wood-glue", "wood-paint", "template-paper", "glue-stick"} {
		if use(usual, id) <= 0 {
			t.Errorf("the usual list has no %s", id)
		}
	}
	if a, b := use(usual, "wood-paint"), use(box("none", "print", "coats: 4"), "wood-paint"); math.Abs(b-2*a) > 1.01 {
		t.Errorf("two coats take %g ml, four %g", a, b)
	}
	area := 0.2 * 0.12
	for _, x := range []struct {
		r         costing.Result
		has, lack []string
	}{
		{box("none", "print", "glue: epoxy, finish: none"), []string{"epoxy"}, []string{"wood-glue", "wood-paint", "finish"}},
		{box("none", "print", "glue: polyurethane, finish: varnish"), []string{"polyurethane", "finish"}, []string{"wood-glue", "wood-paint"}},
		{box("laminate-0.8mm", "print", ""), []string{"contact-glue", "laminate-0.8mm", "wood-glue"}, []string{"primer"}},
		{box("lacquer-clear", "print", ""), []string{"lacquer"}, []string{"primer", "paint lacquer-clear"}},
		{box("powder-coat", "print", ""), []string{"powder-coat"}, []string{"primer", "paint powder-coat"}},
		{box("none", "label", ""), []string{"label-film"}, []string{"rub-on"}},
		{box("none", "transfer", ""), []string{"rub-on", "lacquer"}, []string{"label-film"}},
		{box("none", "engrave", ""), []string{"fill-paint"}, []string{"label-film"}},
		{box("engraving-laminate-1.6mm", "engrave", ""), nil, []string{"fill-paint"}},
	} {
		for _, id := range x.has {
			if use(x.r, id) <= 0 {
				t.Errorf("no %s in %v", id, x.r.Lines)
			}
		}
		for _, id := range x.lack {
			if use(x.r, id) > 0 {
				t.Errorf("%s is bought, and nothing uses it", id)
			}
		}
	}
	if got, want := use(box("laminate-0.8mm", "print", ""), "contact-glue"), 2*area*160; math.Abs(got-want) > 0.6 {
		t.Errorf("contact adhesive %g ml, both sides of %g m2 take %g", got, area, want)
	}
	empty, _ := run(t, "knobwright: 1\ntitle: x\nface: {width: 100, height: 80, sheet: acrylic-3mm}\n", "")
	if use(empty.Costs, "template-paper")+use(empty.Costs, "glue-stick") > 0 {
		t.Error("templates of a sheet without holes")
	}
}

// A stock file that was begun names every line, and keeps the unit of what is taken.
func TestStockNamesEverything(t *testing.T) {
	src := strings.Replace(small, "actual: 3}}", "actual: 3}, covering: vinyl-film}\nbox: {form: flat, depth: 60, walls: birch-ply-9mm}", 1)
	r, _ := run(t, src, "")
	stock := string(costing.Start(r.Costs))
	for _, l := range r.Costs.Lines {
		if !strings.Contains(stock, l.ID) {
			t.Errorf("%s is not in the stock file", l.ID)
		}
	}
	s := costing.ReadStock("stock.yaml", []byte(strings.NewReplacer("wood-glue: 0 ml", "wood-glue: 200 ml", "vinyl-film: 0 m2", "vinyl-film: 1 m2").Replace(stock)))
	if len(s.Findings) > 0 {
		t.Fatal(s.Findings)
	}
	out, took, err := s.Take(r.Costs, "p", "2026-01-02")
	if err != nil || len(took) != 2 || !strings.Contains(string(out), " ml") || !strings.Contains(string(out), " m2") {
		t.Errorf("%v %v\n%s", err, took, out)
	}
}
