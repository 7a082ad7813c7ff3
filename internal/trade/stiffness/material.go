package stiffness

import (
	_ "embed"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"sync"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
	"knobwright/internal/trust"
)

//go:embed materials.csv
var table string

// value is one row of the table of materials.
type value struct {
	v   float64
	src trust.Source
}

// materials holds the table by material and property.
var materials = sync.OnceValue(func() map[string]map[string]value {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		panic("stiffness: " + err.Error()) // the table is part of the program
	}
	out := map[string]map[string]value{}
	for _, r := range rows[1:] {
		v, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			panic("stiffness: " + err.Error())
		}
		if out[r[0]] == nil {
			out[r[0]] = map[string]value{}
		}
		out[r[0]][r[1]] = value{v, trust.Source{Text: r[4], Provenance: trust.Provenance(r[5]), Confidence: trust.Confidence(r[6])}}
	}
	return out
})

// Material is what a sheet is made of, as far as bending goes.
type Material struct {
	Name           string         // of the row of the table: "acrylic", "birch 9"
	Word           string         // as people call it: "acrylic", "birch plywood"
	Elastic        plate.Material // grain along the width of the face
	Strength       float64        // MPa: at break for plastics and boards, at yield for metals; along the grain
	StrengthAcross float64        // MPa, across the grain; as Strength without a grain
	Lasting        float64        // MPa that may act for months; 0 = not known
	OnEdge         float64        // MPa: Young's modulus of a rib cut from it that stands on edge
	Source         trust.Source   // of the modulus
	StrengthSource trust.Source
	assumed        []panel.Assumed
}

// MaterialOf gives the material of a sheet by its kind and thickness, mm; ok is false when the table has none of that kind.
func MaterialOf(s catalog.Sheet, thickness float64) (m Material, ok bool) {
	name, more := s.Kind, ""
	switch s.Kind {
	case "mdf":
		name = "mdf to " + step(thickness, 9, 12, 19, 30)
	case "plywood":
		if strings.Contains(s.ID, "birch") {
			name, more = "birch "+nearest(thickness, 4, 6.5, 9, 12, 15, 18), "birch"
		}
	}
	t := materials()
	if t[name] == nil {
		return m, false
	}
	m.Name, m.Word = name, s.Kind
	switch {
	case more == "birch":
		m.Word = "birch plywood"
	case s.Kind == "mdf" || s.Kind == "abs":
		m.Word = strings.ToUpper(s.Kind)
	}
	used := map[string]bool{}
	get := func(field string) float64 {
		x, found := t[name][field]
		if !found {
			x, found = t[more][field]
		}
		if found && x.src.OnTrust() && !used[field] && field != "lasting" { // that is told, not reckoned with
			used[field] = true
			m.assumed = append(m.assumed, panel.Assumed{
				What: strings.TrimSpace(name + ": " + words[field] + " " + plain(x.v, 2) + " " + unit[field]), Used: "how far the face gives", Source: x.src,
				Do: "try it in scrap: press on a strip across two blocks and measure",
			})
		}
		switch field {
		case "along":
			m.Source = x.src
		case "strength":
			m.StrengthSource = x.src
		}
		return x.v
	}
	m.Elastic = plate.Material{
		Along: get("along"), Across: get("across"), Poisson: get("poisson"), InPlane: get("in-plane"), Through: get("through"), Rolling: get("rolling"), Density: s.Density,
	}
	if m.Elastic.Density == 0 {
		m.Elastic.Density = get("density")
	}
	m.Strength, m.StrengthAcross = get("strength"), get("strength-across")
	if m.StrengthAcross == 0 {
		m.StrengthAcross = m.Strength
	}
	m.Elastic.Strength, m.Elastic.StrengthAcross = m.Strength, m.StrengthAcross
	m.Lasting = get("lasting")
	if m.OnEdge = get("rib"); m.OnEdge == 0 {
		m.OnEdge = m.Elastic.Along
	}
	return m, true
}

// materialOf is that of a sheet as it lies in this face.
func (f *Face) materialOf(s catalog.Sheet, thickness float64) (Material, bool) {
	m, ok := MaterialOf(s, thickness)
	if f.Panel.Stack.GrainUp && m.Elastic.Across > 0 {
		m.Elastic.Grain = 90
	}
	return m, ok
}

// crosswise gives Young's modulus across the grain, MPa.
func (m Material) crosswise() float64 {
	if m.Elastic.Across > 0 {
		return m.Elastic.Across
	}
	return m.Elastic.Along
}

var words = map[string]string{
	"along": "modulus along the grain", "across": "modulus across the grain", "poisson": "contraction", "in-plane": "shear modulus in its plane",
	"through": "shear modulus through the plies", "rolling": "rolling shear modulus", "strength": "strength", "strength-across": "strength across the grain",
	"rib": "modulus on edge", "density": "density", "lasting": "stress that may last",
}

var unit = map[string]string{
	"along": "MPa", "across": "MPa", "in-plane": "MPa", "through": "MPa", "rolling": "MPa", "strength": "MPa", "strength-across": "MPa", "rib": "MPa", "density": "kg/m³", "lasting": "MPa",
}

// step gives the first of rising steps that is not below v, the last when all are.
func step(v float64, steps ...float64) string {
	for _, s := range steps {
		if v <= s+0.5 {
			return plain(s, 1)
		}
	}
	return plain(steps[len(steps)-1], 1)
}

// nearest gives the step that is nearest to v.
func nearest(v float64, steps ...float64) string {
	best := steps[0]
	for _, s := range steps {
		if math.Abs(s-v) < math.Abs(best-v) {
			best = s
		}
	}
	return plain(best, 1)
}
