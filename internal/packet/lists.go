package packet

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/terminal"
)

// partsCSV lists what goes into the face: every part with how many, for what, its hole and what it costs about.
func partsCSV(sheets []sheetOf) ([]byte, error) {
	r, d := sheets[0].r, sheets[0].d
	type line struct {
		n     int
		used  []string
		notes []string
		part  catalog.Part
		hole  string
	}
	lines := map[string]*line{}
	var order []string
	for _, s := range sheets {
		for _, c := range s.r.Panel.Controls {
			key := c.Part.ID
			l := lines[key]
			if l == nil {
				l = &line{part: c.Part, hole: holeWords(s.r, c)}
				lines[key] = l
				order = append(order, key)
			}
			l.n++
			l.used = append(l.used, c.Label)
			if c.Note != "" {
				l.notes = append(l.notes, c.Label+": "+terminal.Clean(c.Note))
			}
		}
	}
	rows := [][]string{{"part", "title", "count", "for", "hole", "grip_mm", "price_from", "price_to", "currency", "pack", "notes"}}
	for _, id := range order {
		l := lines[id]
		p := l.part
		cur := p.Price.Currency
		if cur == "" && p.Price.To > 0 {
			cur = "EUR"
		}
		rows = append(rows, []string{
			p.ID, p.Title, fmt.Sprint(l.n), strings.Join(l.used, "; "), l.hole, fmt.Sprintf("%s to %s", length.Plain(p.Grip[0].MM()), length.Plain(p.Grip[1].MM())),
			money(p.Price.From), money(p.Price.To), cur, packOf(p.Price.Pack), strings.Join(l.notes, "; "),
		})
	}
	rows = append(rows, fittings(sheets)...)
	screws := map[string]int{}
	for _, f := range r.Panel.Fixings {
		screws[f.Screw]++
	}
	var names []string
	for s := range screws {
		names = append(names, s)
	}
	sort.Strings(names)
	for _, s := range names {
		title := "screw for the face"
		if s == "" {
			title = "fixing of the face"
		}
		rows = append(rows, []string{s, title, fmt.Sprint(screws[s]), "the face", "", "", "", "", "", "", ""})
	}
	st := r.Panel.Stack
	if st.Sheet.ID != "" {
		rows = append(rows, []string{st.Sheet.ID, st.Sheet.Title, "1", "the face, " + d.by(r.Panel.Face.Width, r.Panel.Face.Height), "", "", "", "", "", "", ""})
	}
	if st.CoverThickness > 0 {
		pat := newPattern(r.Panel)
		rows = append(rows, []string{st.Covering.ID, st.Covering.Title, "1", "blank " + d.by(pat.w, pat.h), "", "", "", "", "", "", ""})
	}
	return table(rows)
}

// fittings are what goes with the parts: the screws that hold them, and knobs of a size that the file asks for.
func fittings(sheets []sheetOf) [][]string {
	screws := map[string]int{}
	knobs := map[string][]string{}
	for _, s := range sheets {
		for _, c := range s.r.Panel.Controls {
			for _, x := range c.Cuts {
				if x.Spec.Screw != "" {
					screws[x.Spec.Screw]++
				}
			}
			for _, b := range c.Front {
				if b.Role == panel.RoleKnob && !b.Outline.Empty() {
					d := length.Plain(b.Outline.Bounds().Size().X)
					knobs[d] = append(knobs[d], c.Label)
				}
			}
		}
	}
	var rows [][]string
	for _, d := range slices.Sorted(maps.Keys(knobs)) {
		rows = append(rows, []string{"knob " + d + " mm", "knob", fmt.Sprint(len(knobs[d])), strings.Join(knobs[d], "; "), "", "", "", "", "", "", ""})
	}
	for _, s := range slices.Sorted(maps.Keys(screws)) {
		rows = append(rows, []string{s, "screw that holds a part", fmt.Sprint(screws[s]), "the parts", "", "", "", "", "", "", ""})
	}
	return rows
}

// holeWords is the main hole of a control as cut, in a few characters.
func holeWords(r *job.Result, c *panel.Control) string {
	if len(c.Cuts) == 0 {
		return ""
	}
	for _, h := range r.Drilling.Holes {
		if h.Cut == c.Cuts[0] {
			switch k := c.Cuts[0].Spec; { // what is filed to shape goes by both its sizes
			case k.Rect != nil:
				return length.Plain(k.Rect[0].MM()) + " x " + length.Plain(k.Rect[1].MM())
			case k.Slot != nil:
				return length.Plain(k.Slot[0].MM()) + " x " + length.Plain(k.Slot[1].MM())
			}
			if h.Size > 0 {
				return length.Plain(h.Size)
			}
			return h.Bit
		}
	}
	return ""
}

func money(v float64) string {
	if v <= 0 {
		return ""
	}
	return fmt.Sprintf("%.2f", v)
}

func packOf(n int) string {
	if n <= 1 {
		return ""
	}
	return fmt.Sprint(n)
}

// findingsText tells the findings as the terminal does, without colour.
func findingsText(r *job.Result) []byte {
	var b strings.Builder
	fmt.Fprintln(&b, terminal.Clean(r.Panel.Title))
	fmt.Fprintln(&b)
	for _, f := range r.Findings {
		terminal.Style{}.Finding(&b, f)
	}
	fmt.Fprintln(&b, terminal.Verdict(r.Findings))
	return []byte(b.String())
}

// findingsJSON is the same as data.
func findingsJSON(r *job.Result) ([]byte, error) {
	fs := r.Findings
	if fs == nil {
		fs = []finding.Finding{}
	}
	b, err := json.MarshalIndent(struct {
		Verdict  string            `json:"verdict"`
		Findings []finding.Finding `json:"findings"`
	}{terminal.Verdict(r.Findings), fs}, "", "  ")
	return append(b, '\n'), err
}

// assumedText lists what is taken on trust.
func assumedText(r *job.Result) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "Numbers taken on trust: measure yours before you cut.\n\n")
	for _, a := range r.Panel.Assumed {
		fmt.Fprintln(&b, terminal.Clean(a.What))
		fmt.Fprintf(&b, "    From: %s\n", terminal.Clean(a.Source.String()))
		for _, s := range []string{a.Used, a.Do} {
			if s != "" {
				for _, t := range terminal.Wrap(s, 68) {
					fmt.Fprintln(&b, "    "+terminal.Clean(t))
				}
			}
		}
	}
	return []byte(b.String())
}
