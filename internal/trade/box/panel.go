package box

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// FromPanel makes the order for the box of a placed panel. Its Carcass is nil when the panel has no box, or the box cannot be made.
func FromPanel(p *panel.Panel) Order {
	o := Order{Limits: p.Limits, Bits: p.Bits, Inches: p.Units == string(length.Inch)}
	if p.Carcass == nil || p.Box == nil {
		return o
	}
	f := p.Box.Written
	o.Carcass = p.Carcass
	o.Walls, o.Base, o.Face, o.Rest = stockOf(p.Box.Walls), stockOf(p.Box.Base), stockOf(p.Box.Face), stockOf(p.Box.Rest)
	o.Upper = stockOf(p.Box.Upper)
	o.Face.Up, o.Upper.Up = p.Box.Face.GrainUp, p.Box.Upper.GrainUp
	o.Face.Bare, o.Upper.Bare = p.Box.Face.Thickness, p.Box.Upper.Thickness
	d, l := ScrewSize(f.Screws.Size)
	o.Screws = Screws{Diameter: d, Length: l, Numbered: strings.HasPrefix(strings.TrimSpace(f.Screws.Size), "#"), Every: pos(f.Screws.Every), Inset: pos(f.Screws.Inset), Insert: f.Screws.Insert, Driver: pos(f.Screws.Driver)}
	if p.Carcass.Spec.Build.FaceHeld == carcass.Hinged {
		o.Hinge = Hinge{Edge: p.Wiring.Opens.Edge, Angle: float64(p.Wiring.Opens.Angle)}
	}
	o.Feet = Feet{None: f.Feet.None, Diameter: pos(f.Feet.Diameter), Height: pos(f.Feet.Height), Inset: pos(f.Feet.Inset)}
	o.Saw = Saw{Kind: f.Saw.Kind, Kerf: p.Box.Kerf, Trim: f.Saw.Trim.MM()}
	for _, s := range f.Stock {
		o.Stock = append(o.Stock, Stock{Sheet: s.Sheet, Name: s.Name, Width: s.Size[0].MM(), Height: s.Size[1].MM(), Count: s.Count})
	}
	if f.Held == "inserts" && o.Screws.Insert == "" {
		for _, x := range p.Fixings {
			o.Screws.Insert = catalog.ScrewName(x.Screw)
			break
		}
	}
	o.Cable = cableOf(p, f.Cable)
	ends := map[string]finding.End{}
	for _, s := range p.Sheets() {
		o.sheet(p, s, ends)
	}
	o.moduleOf(p)
	o.End = func(name string) finding.End { return endOf(p, ends, name) }
	return o
}

func pos(l length.Length) float64 { return max(l.MM(), 0) }

func stockOf(s panel.Stock) Material {
	title := s.Sheet.Title
	if title == "" {
		title = s.Sheet.ID
	}
	return Material{ID: s.Sheet.ID, Title: title, Kind: s.Sheet.Kind, Density: s.Sheet.Density}
}

// ScrewSize reads the size of a wood screw as people write it: "3x20", "3.5 x 25 mm", "#4 x 3/4 in". Zero where it says nothing.
func ScrewSize(s string) (diameter, long float64) {
	a, b, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(s, "×", "x")), "x")
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	if n, ok := strings.CutPrefix(a, "#"); ok {
		if g, err := strconv.Atoi(strings.TrimSpace(n)); err == nil && g >= 0 && g <= 24 {
			diameter = Gauge(g).Major
		}
	} else if v, err := length.Parse(a, length.MM); err == nil {
		diameter = v.MM()
	}
	if v, err := length.Parse(b, length.MM); err == nil {
		long = v.MM()
	}
	if !(diameter > 0 && diameter < 20) {
		diameter = 0
	}
	if !(long > 0 && long < 300) {
		long = 0
	}
	return diameter, long
}

// boards of the carcass by the names that the file has for them.
func boardNamed(c *carcass.Carcass, on string) string {
	switch on {
	case "left", "right":
		for _, suffix := range []string{" side", " cheek"} {
			if c.Board(on+suffix) != nil {
				return on + suffix
			}
		}
	case "":
		on = "back"
	}
	return on
}

func cableOf(p *panel.Panel, c *project.Cable) *Cable {
	if c == nil {
		return nil
	}
	out := &Cable{Board: boardNamed(p.Carcass, c.On), Round: pos(c.Round), Notch: c.Notch, Diameter: pos(c.Diameter), Grommet: pos(c.Grommet), Relief: c.Relief}
	if c.Plug != nil {
		out.Plug = [3]float64{pos(c.Plug[0]), pos(c.Plug[1]), pos(c.Plug[2])}
	}
	if c.At != nil {
		out.At = &geom.Vec2{X: c.At[0].MM(), Y: c.At[1].MM()}
		if b := p.Carcass.Board(out.Board); b != nil && !b.OuterOutline.Empty() {
			*out.At = out.At.Add(b.OuterOutline.Bounds().Min)
		}
	}
	return out
}

// sheet adds what sits in one board: bodies, presses, masses, screws.
func (o *Order) sheet(p, s *panel.Panel, ends map[string]finding.End) {
	face := 0
	if s != p {
		face = -1
		for i, f := range p.Carcass.Faces {
			if p.Carcass.Boards[f.Board].Name == s.Board {
				face = i
			}
		}
	}
	to := s.ToBox
	in := to.Z.Mul(-1)
	back := -s.Stack.Total
	for _, c := range s.Controls {
		ends[c.Label] = c.Origin.End()
		if beside(s, c) {
			continue
		}
		if c.Legend.Text != "" {
			o.Letters = append(o.Letters, Letters{face, c.Legend.Box})
		}
		o.Socket = o.Socket || c.Part.Class == catalog.Socket && strings.Contains(c.Part.ID, "usb")
		high, deep := 0.0, back
		for _, b := range c.Front {
			high = max(high, b.Z1)
			switch b.Role {
			case panel.RoleTool, panel.RoleSweep:
			default:
				o.Bodies = append(o.Bodies, Body{Name: c.Label, Face: face, Solid: geom.Posed(b.Solid, to)})
			}
		}
		for _, b := range c.Rear {
			deep = min(deep, b.Z0)
			if b.Role != panel.RoleTool && b.Role != panel.RolePlug {
				o.Bodies = append(o.Bodies, Body{Name: c.Label, Face: face, Solid: geom.Posed(b.Solid, to), Inside: true})
			}
		}
		if c.Part.Class == catalog.Socket {
			o.Leads = append(o.Leads, Lead{Name: c.Label, At: to.Apply(c.At.At(high)), Dir: to.Z})
		}
		if pressed(c.Part) {
			o.Presses = append(o.Presses, Press{Name: c.Label, At: to.Apply(c.At.At(high)), Dir: in, Force: c.Part.Force})
		}
		if c.Part.Mass > 0 {
			o.Masses = append(o.Masses, Mass{Name: c.Label, At: to.Apply(c.At.At(deep / 2)), Grams: c.Part.Mass})
		}
	}
	for _, t := range s.Texts {
		o.Letters = append(o.Letters, Letters{face, t.Box})
	}
	for _, x := range s.Fixings {
		ends[x.Origin.Name] = x.Origin.End()
		o.Fixings = append(o.Fixings, Fixing{Name: x.Origin.Name, Face: face, At: x.At.Vec2, Screw: x.Screw, Major: majorOf(x.Screw), Head: x.Head})
		if face < 0 {
			o.Fixings = o.Fixings[:len(o.Fixings)-1]
		}
	}
}

// majorOf is the diameter of a machine screw over its thread, mm: of M3, #6, 1/4; 3 where the name says nothing.
func majorOf(screw string) float64 {
	name := catalog.ScrewName(screw)
	m, metric := strings.CutPrefix(name, "M")
	n, numbered := strings.CutPrefix(name, "#")
	switch v, err := length.Parse(m, length.MM); {
	case metric && err == nil && v > 0:
		return v.MM()
	case numbered:
		if g, err := strconv.Atoi(n); err == nil && g >= 0 && g <= 24 {
			return Gauge(g).Major // the same row of sizes as of wood screws
		}
	case strings.Contains(name, "/"):
		if v, err := length.Parse(name, length.Inch); err == nil && v > 0 {
			return v.MM()
		}
	}
	return 3
}

// beside reports whether a control lies with all of its cut-outs beside its sheet: it is told to come in, and nothing more is said of it.
func beside(s *panel.Panel, c *panel.Control) bool {
	for _, k := range c.Cuts {
		if !s.OffSheet(k) {
			return false
		}
	}
	return len(c.Cuts) > 0
}

// pressed reports whether a finger pushes at a part.
func pressed(p catalog.Part) bool {
	switch p.Class {
	case catalog.Lamp, catalog.Display, catalog.Buzzer, catalog.Plug, catalog.Socket, catalog.ModuleBrd:
		return false
	}
	return true
}

// moduleOf adds the module: its solids stay, or hang on the face.
func (o *Order) moduleOf(p *panel.Panel) {
	m := p.Module
	if m == nil || !m.Placed {
		return
	}
	face := -1
	if m.On == "face" {
		face = 0
	}
	out := &Module{Name: "the module", Face: face, Out: m.Frame.V}
	out.Move = func(by geom.Vec3) (finding.Fix, bool) {
		v := p.ToBox.Inverse().Turn(by).XY()
		if l := v.Len(); l > 1e-6 { // to whole halves, farther rather than nearer
			v = v.Mul(math.Ceil(2*l-1e-6) / 2 / l)
		}
		return p.Move(m.Origin, v)
	}
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleModule:
			c := geom.Posed(b.Solid, p.ToBox)
			out.Board = append(out.Board, c)
			o.Bodies = append(o.Bodies, Body{Name: "the module", Face: face, Solid: c, Inside: true})
		case panel.RolePlug:
			out.Plug = append(out.Plug, geom.Posed(b.Solid, p.ToBox))
		}
	}
	if m.Part.Mass > 0 {
		o.Masses = append(o.Masses, Mass{Name: "the module", At: m.Frame.O, Grams: m.Part.Mass})
	}
	o.Module = out
}

// endOf says where a thing stands in the file.
func endOf(p *panel.Panel, ends map[string]finding.End, name string) finding.End {
	e := endIn(p, ends, name)
	if e.Pos.Line == 0 && e.Path != "" {
		e.Pos = p.Pos(e.Path)
	}
	return e
}

func endIn(p *panel.Panel, ends map[string]finding.End, name string) finding.End {
	if e, ok := ends[name]; ok {
		return e
	}
	if name == "the module" || name == "module" {
		if p.Module != nil {
			return p.Module.Origin.End()
		}
		return finding.End{}
	}
	if n, ok := strings.CutPrefix(name, "stock "); ok {
		e := finding.End{Name: "the sheets on hand", Path: "box.stock." + n}
		if i, err := strconv.Atoi(n); err == nil && i < len(p.Box.Written.Stock) && p.Box.Written.Stock[i].Name != "" {
			e.Name = "the " + p.Box.Written.Stock[i].Name
		}
		return e
	}
	e := finding.End{Name: "the " + name}
	from := p.Box.Walls.Origin
	switch {
	case name == "upper face" && p.Pos("box.upper").Line > 0:
		e.Path = "box.upper"
		return e
	case name == "face" || name == "hand rest" || strings.HasSuffix(name, " face"):
		from = p.Face.Origin
	case name == "base":
		from = p.Box.Base.Origin
	case name == "feet" || name == "screws" || name == "cable" || name == "stock" || name == "saw" || name == "held":
		if name == "held" {
			e.Name = "how the face is held"
		}
		e.Path = "box." + name
		return e
	case strings.HasPrefix(name, "ledge"):
		from.Path = "box.ledge"
		from.Pos = finding.Pos{}
	case strings.HasPrefix(name, "glue block"):
		from.Path, from.Pos = "box.blocks", finding.Pos{}
	}
	for _, b := range p.Behind {
		if (b.Role == panel.RoleRib || b.Role == panel.RoleLedge || b.Role == panel.RoleBlock) && (b.Owner == name || b.Owner == "the "+name) {
			from = b.Origin
		}
	}
	e.Path, e.Pos = from.Path, from.Pos
	return e
}
