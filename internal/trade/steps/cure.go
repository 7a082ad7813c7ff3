package steps

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"

	"knobwright/internal/trust"
)

// cureTimes says how long glue and paint take and how warm they want it. The rows come from the sources that they name; the high end of a range
// is taken.
//
//go:embed cure_times.csv
var cureTimes string

// cure is one line of the table: minutes, or °C.
type cure struct {
	Low, High float64
	Source    trust.Source
}

// cures is the table by material and stage, "PVA_wood_glue clamp".
var cures = sync.OnceValue(func() map[string]cure {
	rows, err := csv.NewReader(strings.NewReader(cureTimes)).ReadAll()
	if err != nil {
		panic("steps: " + err.Error()) // the table is part of the program
	}
	out := map[string]cure{}
	for _, r := range rows[1:] {
		low, err := strconv.ParseFloat(r[2], 64)
		high, err2 := strconv.ParseFloat(r[3], 64)
		if err != nil || err2 != nil {
			panic("steps: no number in " + strings.Join(r, ","))
		}
		unit := map[string]float64{"min": 1, "h": 60, "day": 24 * 60, "C": 1, "%": 1}[r[4]]
		p := map[string]trust.Provenance{"seen": trust.Seen, "memory": trust.Memory, "common practice": trust.Practice, "derived": trust.Derived}[r[6]]
		out[r[0]+" "+r[1]] = cure{low * unit, high * unit, trust.Source{Text: r[5], Provenance: p, Confidence: trust.Confidence(r[7])}}
	}
	return out
})

// drying is a kind of waiting that the file may give another time for.
type drying struct {
	Name  string // under work.waits
	Means string
	of    string // line of the table; "" = by the glue or paint in use
}

// Waits are the kinds of waiting, in the order of the list in the guide.
var Waits = []drying{
	{"glue-clamp", "glue in the clamps", ""},
	{"glue-full", "glue to its full strength", ""},
	{"paint-recoat", "from one coat of paint to the next", ""},
	{"paint-handle", "until painted things may be handled", ""},
	{"varnish-recoat", "from one coat of varnish to the next", "water_varnish recoat"},
	{"varnish-handle", "until varnished things may be handled", "water_varnish handle"},
	{"laminate-glue", "contact adhesive under laminate or cloth", "contact_adhesive full_strength"},
	{"fill", "paint in engraved letters", "engraving_fill recoat"},
	{"label-on-paint", "from fresh paint to film or labels on it", "vinyl_film over_fresh_paint"},
	{"powder", "away at the coating shop", "powder_coat shop"},
	{"soak", "the finished panel plugged in and watched", "soak_test watch"},
}

// glues are the words for glue in the file and their names in the table; paints likewise.
var (
	glues  = map[string]string{"pva": "PVA_wood_glue", "polyurethane": "polyurethane_glue", "epoxy": "epoxy"}
	paints = map[string]string{"water": "latex_paint", "oil": "oil_paint"}
)

// wait gives the minutes of a kind of waiting: the person's own, or of the table.
func (m *maker) wait(name string) (float64, trust.Source) {
	m.waited[name] = true
	if t, ok := m.work.Waits[name]; ok {
		return t.Minutes, trust.Source{Text: "work in your file", Provenance: trust.Yours, Confidence: trust.High}
	}
	glue, paint := glues[m.glue], paints[m.paint]
	line := ""
	for _, d := range Waits {
		if d.Name == name {
			line = d.of
		}
	}
	switch name {
	case "glue-clamp":
		line = glue + " clamp"
	case "glue-full":
		line = glue + " full_strength"
		if c, ok := cures()[glue+" cool_below"]; ok && m.room < c.High {
			line = glue + " full_strength_cool"
		}
	case "paint-recoat":
		line = paint + " recoat"
	case "paint-handle":
		line = paint + " handle"
	}
	c := cures()[line]
	if name == "label-on-paint" {
		return c.Low, c.Source
	}
	return c.High, c.Source
}

// stuff is what a kind of waiting is about, as the table calls it; "" when warmth does not matter.
func (m *maker) stuff(name string) string {
	switch name {
	case "glue-clamp", "glue-full":
		return glues[m.glue]
	case "paint-recoat", "paint-handle":
		return paints[m.paint]
	case "varnish-recoat", "varnish-handle":
		return "water_varnish"
	case "laminate-glue":
		return "contact_adhesive"
	}
	return ""
}

// warmth gives the temperatures between which a stuff works, °C; 0 to 0 = any.
func warmth(stuff string) (from, to float64, src trust.Source) {
	c, ok := cures()[stuff+" temperature_min"]
	if !ok {
		return 0, 0, trust.Source{}
	}
	to = 35 // above that everything skins over too soon; common practice
	if h, ok := cures()[stuff+" temperature_max"]; ok {
		to = h.High
	}
	return c.High, to, c.Source
}
