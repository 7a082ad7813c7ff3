package packet

import (
	"bytes"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	lang "knobwright/internal/words"
)

// tableOf gives the rows of a table of the page by its id, cell by cell; bands are left out.
func tableOf(page, id string) [][]string {
	_, rest, ok := strings.Cut(page, `<table id="t-`+id+`">`)
	if !ok {
		return nil
	}
	rest, _, _ = strings.Cut(rest, "</table>")
	_, rest, _ = strings.Cut(rest, "<tbody>")
	var rows [][]string
	for _, r := range regexp.MustCompile(`(?s)<tr[^>]*>(.*?)</tr>`).FindAllStringSubmatch(rest, -1) {
		if strings.Contains(r[0], `class="band"`) || strings.Contains(r[0], `class="under"`) {
			continue
		}
		var cells []string
		for _, c := range regexp.MustCompile(`(?s)<td[^>]*>(.*?)</td>`).FindAllStringSubmatch(r[1], -1) {
			cells = append(cells, html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(c[1], "")))
		}
		rows = append(rows, cells)
	}
	return rows
}

func columnOf(rows [][]string, k int) (out []string) {
	for _, r := range rows {
		if k < len(r) {
			out = append(out, r[k])
		}
	}
	return out
}

// wanted is what the job says that the book must hold: labels with their parts, holes by board, wires.
func wanted(r *job.Result) (labels []string, holes map[string][]string, wires []string) {
	holes = map[string][]string{}
	for _, p := range r.Panel.Sheets() {
		for _, c := range p.Controls {
			labels = append(labels, c.Label)
		}
	}
	for _, h := range r.Drilling.Holes {
		holes["face"] = append(holes["face"], strconv.Itoa(h.N)+" "+h.Name)
	}
	for _, s := range r.Sides {
		for _, h := range s.Drilling.Holes {
			b := strings.ReplaceAll(s.Panel.Board, " ", "-")
			holes[b] = append(holes[b], strconv.Itoa(h.N)+" "+h.Name)
		}
	}
	for _, w := range r.Harness.Wires {
		wires = append(wires, w.ID)
	}
	return labels, holes, wires
}

func equalLists(t *testing.T, what string, got, want []string) {
	t.Helper()
	if !slices.Equal(got, want) {
		for _, w := range want {
			if !slices.Contains(got, w) {
				t.Errorf("%s: %q is missing", what, w)
			}
		}
		for _, g := range got {
			if !slices.Contains(want, g) {
				t.Errorf("%s: %q is too much", what, g)
			}
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d in place of %d", what, len(got), len(want))
		} else if !t.Failed() {
			t.Errorf("%s: another order", what)
		}
	}
}

// bookDays are the examples whose book is looked at every day.
var bookDays = []string{"cue-desk", "lantern-desk", "first-panel"}

// Every control, hole and wire of the job is found in the book, no more and no fewer: in the page by its tables and its index.
func TestBookPageHoldsAll(t *testing.T) {
	names := thorough.Of([]string{"cue-desk", "lantern-desk", "first-panel", "tide-clock", "rack-strip", "signal-desk"}, bookDays)
	for _, name := range names {
		for _, l := range []lang.Lang{"en", "de"} {
			if l == "de" && name != "cue-desk" {
				continue
			}
			t.Run(name+"/"+string(l), func(t *testing.T) {
				r := result(t, name)
				labels, holes, wires := wanted(r)
				b, err := Book(r, source(t, name), With{File: name + ".yaml", Lang: l})
				if err != nil {
					t.Fatal(err)
				}
				data, err := b.HTML()
				if err != nil {
					t.Fatal(err)
				}
				page := string(data)
				var where []string
				for _, p := range r.Panel.Sheets() {
					id := "where-face"
					if p.Board != "" {
						id = "where-" + strings.ReplaceAll(p.Board, " ", "-")
					}
					where = append(where, columnOf(tableOf(page, id), 0)...)
				}
				equalLists(t, "controls of the repair sheet", where, labels)
				var index []string
				for _, m := range regexp.MustCompile(`<dt>(.*?)</dt>`).FindAllStringSubmatch(page, -1) {
					index = append(index, html.UnescapeString(m[1]))
				}
				sorted := slices.Clone(labels)
				slices.Sort(index)
				slices.Sort(sorted)
				equalLists(t, "index", index, sorted)
				if i := strings.Index(page, "<dd>&ndash;</dd>"); i >= 0 {
					t.Errorf("a control is told of nowhere: %s", page[max(0, i-80):i])
				}
				for board, want := range holes {
					for i, h := range want {
						n, name, _ := strings.Cut(h, " ")
						said, _ := l.Tell(name)
						want[i] = n + " " + said
					}
					var got []string
					for _, row := range tableOf(page, "holes-"+board) {
						got = append(got, row[1]+" "+row[2])
					}
					equalLists(t, "holes of "+board, got, want)
				}
				equalLists(t, "wires", columnOf(tableOf(page, "wires"), 0), wires)
				var grouped []string
				for i := 1; ; i++ {
					rows := tableOf(page, fmt.Sprintf("group-%d", i))
					if rows == nil {
						break
					}
					grouped = append(grouped, columnOf(rows, 2)...)
				}
				slices.Sort(grouped)
				sorted = slices.Clone(wires)
				slices.Sort(sorted)
				equalLists(t, "wires page by page", grouped, sorted)
				checkPage(t, page)
			})
		}
	}
}

// checkPage looks whether the page stands alone: nothing from outside, no link into nothing, no name twice, no text without words.
func checkPage(t *testing.T, page string) {
	t.Helper()
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("two things are called %q", m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`\s(?:href|src|xlink:href|action|poster|srcset)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		if to, ok := strings.CutPrefix(m[1], "#"); !ok || !ids[to] {
			t.Errorf("%q leads nowhere", m[1])
		}
	}
	for _, m := range regexp.MustCompile(`url\(([^)]{0,20})`).FindAllStringSubmatch(page, -1) {
		if !strings.HasPrefix(m[1], "data:") && !strings.HasPrefix(m[1], "#") {
			t.Errorf("the style asks for %q", m[1])
		}
	}
	for _, bad := range []string{"<script", "&lt;book.", "&lt;steps.", "&lt;walk.", "@steps.", "<img", "<iframe", "%!"} {
		if i := strings.Index(page, bad); i >= 0 {
			t.Errorf("the page has %q: %s", bad, page[max(0, i-60):min(len(page), i+80)])
		}
	}
}

// The same of the PDF, read back by a reader that is not ours.
func TestBookPaperHoldsAll(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine")
	}
	for _, name := range thorough.Of(examples.Names(), bookDays) {
		t.Run(name, func(t *testing.T) {
			r := result(t, name)
			labels, holes, wires := wanted(r)
			b, err := Book(r, source(t, name), With{File: name + ".yaml"})
			if err != nil {
				t.Fatal(err)
			}
			data, err := drawing.PDF(b.PDF())
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "book.pdf")
			if err := os.WriteFile(path, data, 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			lines := strings.Split(strings.ReplaceAll(string(out), "\f", "\n"), "\n")
			between := func(from, to string) []string {
				a := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) == from })
				if a < 0 {
					t.Fatalf("no heading %q", from)
				}
				for i := a + 1; i < len(lines); i++ {
					if strings.TrimSpace(lines[i]) == to {
						return lines[a+1 : i]
					}
				}
				t.Fatalf("no heading %q after %q", to, from)
				return nil
			}
			starts := func(ls []string, form string) (out []string) {
				re := regexp.MustCompile(form)
				for _, l := range ls {
					if m := re.FindStringSubmatch(l); m != nil {
						out = append(out, m[1])
					}
				}
				return out
			}
			if len(wires) > 0 {
				equalLists(t, "wires", starts(between("Every wire", "Soldering"), `^\s*(W\d+)\s`), wires)
			} else if slices.ContainsFunc(lines, func(l string) bool { return strings.TrimSpace(l) == "Every wire" }) {
				t.Error("wires of a panel without any")
			}
			var got []string
			for board, all := range holes {
				name := strings.ReplaceAll(board, "-", " ")
				rows := between("Every hole: "+name, "Order of drilling: "+name)
				got = nil
				for _, h := range all {
					n, first, _ := strings.Cut(h, " ")
					word := strings.Fields(first)[0]
					if len(starts(rows, `^\s*(`+n+`)\s+`+regexp.QuoteMeta(word)+`.*\d`)) > 0 {
						got = append(got, h)
					}
				}
				equalLists(t, "holes of "+name, got, all)
				if numbers := starts(rows, `^\s*(\d+)\s{1,4}\S.*\d+\.\d+\s+\d+\.\d`); len(numbers) != len(all) {
					t.Errorf("%s: %d rows of holes for %d holes", name, len(numbers), len(all))
				}
			}
			got = nil
			sheet := between("What is where", map[bool]string{true: "Wire colours", false: "Spare parts"}[len(wires) > 0])
			for _, p := range r.Panel.Sheets() {
				for _, c := range p.Controls {
					n := len(starts(sheet, `^\s*(`+regexp.QuoteMeta(c.Label)+`)\s+`+regexp.QuoteMeta(c.Part.ID)+`\s`))
					for range n {
						got = append(got, c.Label)
					}
				}
			}
			equalLists(t, "controls", got, labels)
			rows := starts(sheet, `^\s*\S.*?\s+([a-z]+-[a-z0-9.-]+)\s+\d+\.\d+\s+\d+\.\d`)
			if len(rows) != len(labels) {
				t.Errorf("%d rows of controls for %d", len(rows), len(labels))
			}
			if q, err := exec.LookPath("qpdf"); err == nil {
				if out, err := exec.Command(q, "--check", path).CombinedOutput(); err != nil {
					t.Errorf("qpdf: %s", out)
				}
			}
			if strings.Contains(string(out), "<book.") || strings.Contains(string(out), "@steps.") {
				t.Error("a text has no words")
			}
		})
	}
}

const hostile = `knobwright: 1
title: "<script>alert(1)</script> \"><img src=x onerror=alert(2)>"
face: {width: 200, height: 120, sheet: {use: acrylic-3mm, actual: 3}}
module: rp2040-40pin
notes: "</style><script>"
controls:
  go: {part: push-22mm, at: [40, 60], legend: "<b>GO</b> & \"'", sends: button 1, note: "=1+1"}
  dim: {part: pot-16mm, at: [150, 60], legend: "</svg><script>", sends: axis x}
`

// Whatever things are called, the page holds no markup but its own, and both come out the same twice.
func TestBookHostileTwice(t *testing.T) {
	r := job.Run(project.Read("x.yaml", []byte(hostile)), catalog.Builtin())
	var last [2][]byte
	for i := range 2 {
		b, err := Book(r, []byte(hostile), With{File: `"><x>.yaml`, Units: "both", Lang: "de"})
		if err != nil {
			t.Fatal(err)
		}
		page, err := b.HTML()
		if err != nil {
			t.Fatal(err)
		}
		paper, err := drawing.PDF(b.PDF())
		if err != nil {
			t.Fatal(err)
		}
		checkPage(t, string(page))
		if bytes.Contains(page, []byte("<b>GO")) || bytes.Contains(page, []byte(`"><x>`)) || !bytes.Contains(page, []byte("&lt;b&gt;GO&lt;/b&gt;")) {
			t.Error("a name became markup")
		}
		if !bytes.Contains(page, []byte("mm (")) || !bytes.Contains(page, []byte("Verdrahten")) {
			t.Error("not in German, or not in both units")
		}
		if i == 1 && (!bytes.Equal(last[0], page) || !bytes.Equal(last[1], paper)) {
			t.Error("not the same bytes twice")
		}
		last = [2][]byte{page, paper}
	}
}

// Without prices nothing of money is in the book.
func TestBookWithoutPrices(t *testing.T) {
	r := result(t, "cue-desk")
	b, err := Book(r, source(t, "cue-desk"), With{File: "cue-desk.yaml", NoPrices: true})
	if err != nil {
		t.Fatal(err)
	}
	page, _ := b.HTML()
	if bytes.Contains(page, []byte("EUR")) {
		t.Error("the page names a currency")
	}
	if rows := tableOf(string(page), "buy"); len(rows) != len(r.Costs.Lines) {
		t.Errorf("%d rows for %d lines", len(rows), len(r.Costs.Lines))
	}
}

// Every language says all of the book in its own words: of the words that the book itself says, none stands in both languages alike
// unless it is one of the few that are the same.
func TestBookIsGerman(t *testing.T) {
	r := result(t, "cue-desk")
	b, err := Book(r, source(t, "cue-desk"), With{File: "cue-desk.yaml", Lang: "de"})
	if err != nil {
		t.Fatal(err)
	}
	en, err := Book(r, source(t, "cue-desk"), With{File: "cue-desk.yaml"})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Chapters) != len(en.Chapters) {
		t.Fatalf("%d chapters, %d", len(b.Chapters), len(en.Chapters))
	}
	for i, c := range b.Chapters {
		if c.Title == en.Chapters[i].Title || c.Use != "" && c.Use == en.Chapters[i].Use || len(c.Blocks) != len(en.Chapters[i].Blocks) {
			t.Errorf("chapter %s", c.ID)
		}
	}
	page, _ := b.HTML()
	if !bytes.Contains(page, []byte(`<html lang="de">`)) || !bytes.Contains(page, []byte("Was noch auf Englisch steht")) {
		t.Error("the book does not say what stays in English")
	}
}

// What the trades say in the examples is told in German too: only the sources of numbers taken on trust stay in English.
func TestBookTellsTheTrades(t *testing.T) {
	for _, name := range thorough.Of(examples.Names(), bookDays) {
		b, err := Book(result(t, name), source(t, name), With{File: name + ".yaml", Lang: "de"})
		if err != nil {
			t.Fatal(err)
		}
		data, err := b.HTML()
		if err != nil {
			t.Fatal(err)
		}
		page := string(data)
		trust := strings.Index(page, `<section id="trust"`)
		end := trust + strings.Index(page[max(0, trust):], "</section>")
		for _, m := range regexp.MustCompile(`<[a-z]+[^>]* lang="en"[^>]*>([^<]*)`).FindAllStringSubmatchIndex(page, -1) {
			text := html.UnescapeString(page[m[2]:m[3]])
			// names of parts and of tools that have none in German
			if m[0] > trust && m[0] < end || regexp.MustCompile(`^[a-z0-9.-]+$|^[A-Z0-9 ]+ \(.*\)$`).MatchString(text) || !regexp.MustCompile(`[a-z]{3}`).MatchString(text) {
				continue
			}
			t.Errorf("%s: %q stays in English", name, text)
		}
		if name == "cue-desk" && strings.Count(page[:trust], "Bohren 6.5 mm.") == 0 {
			t.Error("the drilling is not told in German")
		}
	}
}

// BenchmarkBook is the book with both its writers.
func BenchmarkBook(b *testing.B) {
	r := result(b, "cue-desk")
	src := source(b, "cue-desk")
	for b.Loop() {
		bk, err := Book(r, src, With{File: "cue-desk.yaml"})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := bk.HTML(); err != nil {
			b.Fatal(err)
		}
		if _, err := drawing.PDF(bk.PDF()); err != nil {
			b.Fatal(err)
		}
	}
}
