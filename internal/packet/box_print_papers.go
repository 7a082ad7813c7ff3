package packet

import (
	"fmt"

	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
)

// printPapers adds the printable box.
func printPapers(r *job.Result, d desk, add func(name, about string, data []byte, err error)) {
	p, err := printParts(r)
	if err != nil {
		add("print.3mf", "the box for a printer", nil, err)
		return
	}
	if p == nil {
		return
	}
	var all []solid.Body
	x := 0.0
	for _, part := range p.parts { // side by side, each flat on the bed
		all = append(all, moved(part.body, geom.Vec3{X: x}))
		x += part.of.Bounds().Max.X + 10
	}
	m, err := solid.Build(all)
	if err != nil {
		add("print.3mf", "the box for a printer", nil, err)
		return
	}
	about := "the box for a printer, walls of " + d.size(printWall)
	if len(p.parts) > 1 {
		about += fmt.Sprintf(", in %d parts", len(p.parts))
	}
	if len(p.skipped) > 0 {
		about += fmt.Sprintf("; no room for %s", count(len(p.skipped), "post", "posts"))
	}
	data, err := m.ThreeMF(joinTitle(d), 0)
	add("print.3mf", about, data, err)
	for i, part := range p.parts {
		one, err := solid.Build([]solid.Body{part.body})
		if err != nil {
			add("print.stl", about, nil, err)
			return
		}
		name := "print.stl"
		if len(p.parts) > 1 {
			name = fmt.Sprintf("print-%d.stl", i+1)
		}
		data, err := one.STL(part.name, 0)
		add(name, part.name, data, err)
	}
}

// moved is a body of one fused piece, moved.
func moved(b solid.Body, by geom.Vec3) solid.Body {
	f, ok := b.Pieces[0].(solid.Fused)
	if !ok {
		return b
	}
	of := *f.Of
	of.Points = nil
	for _, v := range f.Of.Points {
		of.Points = append(of.Points, v.Add(by))
	}
	hs := append([]solid.Hole(nil), f.Holes...)
	for i := range hs {
		hs[i].Pose = hs[i].Pose.Shift(by)
	}
	b.Pieces = []solid.Piece{solid.Fused{Of: &of, Holes: hs}}
	return b
}
