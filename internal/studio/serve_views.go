package studio

import (
	"net/http"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/project"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/view"
)

// drawing gives a drawing of the last good text as SVG: front, behind, wired, cut.
func (v *Server) drawing(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	p := good.Result.Panel
	if !p.Face.HasSize() {
		say(w, http.StatusNotFound, "The face has no size yet; give face: width and height.")
		return
	}
	var s *drawing.Scene
	switch strings.TrimSuffix(r.PathValue("name"), ".svg") {
	case "front":
		s = view.Front(p)
	case "behind":
		s = view.Rear(p)
	case "wired":
		s = view.Wired(p, good.Result.Wiring, good.Result.Harness, nil, 1)
	default:
		say(w, http.StatusNotFound, "There is no such drawing.")
		return
	}
	data, err := drawing.SVG(s)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(data)
}

func (v *Server) schema(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/schema+json")
	_, _ = w.Write(project.Schema())
}

// WiringData is the wiring as the page shows it.
type WiringData struct {
	Rev     int             `json:"rev"`
	Plan    string          `json:"plan"`
	Partial bool            `json:"partial"`
	Wires   []WireData      `json:"wires"`
	Options []wiring.Option `json:"options"`
}

// WireData is one wire, drawn on the face.
type WireData struct {
	ID     string       `json:"id"`
	Net    string       `json:"net"`
	From   string       `json:"from"`
	To     string       `json:"to"`
	Colour string       `json:"colour"`
	Length float64      `json:"length"`
	Chain  string       `json:"chain"` // name of the chain it belongs to
	Path   [][2]float64 `json:"path"`  // in the face frame
}

func (v *Server) wiring(w http.ResponseWriter, _ *http.Request) {
	_, good, _ := v.session.Now()
	answer(w, wiringData(good))
}

func wiringData(l *Look) WiringData {
	h, p := l.Result.Harness, l.Result.Panel
	d := WiringData{Rev: l.Rev, Plan: l.Result.Wiring.Plan.Title, Partial: h.Partial, Wires: []WireData{}, Options: l.Result.Wiring.Plan.Options}
	chain := map[int]string{}
	for _, c := range h.Chains {
		for _, i := range c.Wires {
			chain[i] = c.Name
		}
	}
	back := p.ToBox.Inverse()
	for i, x := range h.Wires {
		wd := WireData{ID: x.ID, Net: l.Result.Wiring.Nets[x.Net].Name, From: x.From.Of + " " + x.From.Lug, To: x.To.Of + " " + x.To.Lug, Colour: colourWords(x), Length: x.Length, Chain: chain[i]}
		for _, q := range x.Path {
			f := back.Apply(q)
			wd.Path = append(wd.Path, [2]float64{f.X, f.Y})
		}
		d.Wires = append(d.Wires, wd)
	}
	return d
}

func colourWords(x harness.Wire) string {
	if n := harness.ColourNames[x.Colour]; n != "" {
		return x.Colour + " " + n
	}
	return x.Colour
}

// SolidData is the box in triangles, for the picture that can be turned. Points are mm in the box frame: x right, y away, z up.
type SolidData struct {
	Rev    int        `json:"rev"`
	Bodies []MeshData `json:"bodies"`
}

// MeshData is one body: three numbers a point, three points a triangle.
type MeshData struct {
	Name   string    `json:"name"`
	Points []float32 `json:"points"`
	Tris   []int     `json:"tris"`
}

func (v *Server) solids(w http.ResponseWriter, _ *http.Request) {
	_, good, _ := v.session.Now()
	m, err := v.rim.Solids(good)
	if err != nil || m == nil {
		say(w, http.StatusNotFound, "There is no box yet, or its boards cannot be made.")
		return
	}
	d := SolidData{Rev: good.Rev, Bodies: []MeshData{}}
	for i := range m.Bodies() {
		x, err := m.Mesh(i, 0.1)
		if err != nil {
			continue
		}
		d.Bodies = append(d.Bodies, meshData(m.Name(i), x))
	}
	answer(w, d)
}

func meshData(name string, x *solid.Mesh) MeshData {
	d := MeshData{Name: name}
	for _, p := range x.Vertices {
		d.Points = append(d.Points, float32(p.X), float32(p.Y), float32(p.Z))
	}
	for _, t := range x.Triangles {
		d.Tris = append(d.Tris, t[0], t[1], t[2])
	}
	return d
}
