package studio

import (
	"net/http"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/packet"
	"knobwright/internal/panel"
	"knobwright/internal/trade/harness"
)

// BoxData is the box as the page shows it: solids, what they belong to, how it opens, and its wires. Places are mm in the box frame: x right,
// y away, z up.
type BoxData struct {
	Rev      int          `json:"rev"`
	Bodies   []BoxBody    `json:"bodies"`
	Controls []BoxControl `json:"controls"`
	Sheets   []BoxSheet   `json:"sheets"`
	Lids     []LidData    `json:"lids"`
	Opens    string       `json:"opens"` // how, in a sentence
	Wires    []BoxWire    `json:"wires"`
}

// BoxBody is one solid.
type BoxBody struct {
	Name    string    `json:"name"`
	Kind    string    `json:"kind"`    // board, front, behind, module
	Board   string    `json:"board"`   // the board that it is, or that carries it
	Control string    `json:"control"` // whose
	Wood    bool      `json:"wood"`
	Lid     int       `json:"lid"` // with which it comes off; -1 = it stays
	Points  []float32 `json:"points"`
	Tris    []int     `json:"tris"`
}

// BoxControl is a control, for cuts through it.
type BoxControl struct {
	Name  string     `json:"name"`
	Label string     `json:"label"`
	Sheet int        `json:"sheet"`
	At    [3]float64 `json:"at"`
}

// BoxSheet is the frame of a board that carries controls.
type BoxSheet struct {
	Board string     `json:"board"`
	X     [3]float64 `json:"x"`
	Y     [3]float64 `json:"y"`
	Z     [3]float64 `json:"z"`
}

// LidData is what comes off, and its way.
type LidData struct {
	Board string     `json:"board"`
	About [3]float64 `json:"about"`
	Axis  [3]float64 `json:"axis"`
	Angle float64    `json:"angle"` // degrees; 0 = it is lifted
	Lift  [3]float64 `json:"lift"`
}

// BoxWire is a wire with the box closed: what goes with its first end, what hangs free between, what goes with its last.
type BoxWire struct {
	ID     string       `json:"id"`
	Say    string       `json:"say"`
	Colour string       `json:"colour"`
	Path   [][3]float64 `json:"path"`
	From   int          `json:"from"` // lid of its first end; -1 = it stays
	To     int          `json:"to"`
	Free   [2]int       `json:"free"` // first and last place of the free part; equal when nothing of it moves
	Long   float64      `json:"long"` // length of the free part, mm
}

func (v *Server) boxes() {
	v.mux.HandleFunc("GET /api/box", v.box)
	v.mux.HandleFunc("GET /api/box/board/{name}", v.boardSheet)
}

func (v *Server) box(w http.ResponseWriter, _ *http.Request) {
	_, good, _ := v.session.Now()
	m, err := v.rim.Solids(good)
	if err != nil || m == nil {
		say(w, http.StatusNotFound, "There is no box yet, or its boards cannot be made.")
		return
	}
	p := good.Result.Panel
	h := good.Result.Harness
	d := BoxData{Rev: good.Rev, Bodies: []BoxBody{}, Controls: []BoxControl{}, Sheets: []BoxSheet{}, Lids: []LidData{}, Opens: h.Opening.Say, Wires: []BoxWire{}}
	for _, l := range h.Opening.Lids {
		d.Lids = append(d.Lids, LidData{l.Board, v3(l.About), v3(l.Axis), l.Angle, v3(l.Lift)})
	}
	lids := lidsOf(p, h.Opening.Lids)
	type owner struct {
		c     *panel.Control
		board string
	}
	var owners []owner
	for i, s := range p.Sheets() {
		to := s.ToBox
		d.Sheets = append(d.Sheets, BoxSheet{s.Board, v3(to.X), v3(to.Y), v3(to.Z)})
		for _, c := range s.Controls {
			d.Controls = append(d.Controls, BoxControl{c.Name, c.Label, i, v3(to.Apply(c.At.At(0)))})
			owners = append(owners, owner{c, s.Board})
		}
	}
	boards := map[string]*carcass.Board{}
	for i := range p.Carcass.Boards {
		b := &p.Carcass.Boards[i]
		boards[b.Name] = b
	}
	wood := map[string]bool{}
	for _, l := range good.Result.Box.Boards {
		wood[l.Name] = l.Material.Wood()
	}
	for i := range m.Bodies() {
		x, err := m.Mesh(i, 0.1)
		if err != nil {
			continue
		}
		mesh := meshData(m.Name(i), x)
		b := BoxBody{Name: mesh.Name, Kind: "module", Lid: -1, Points: mesh.Points, Tris: mesh.Tris}
		switch board := boards[mesh.Name]; {
		case board != nil && len(d.Bodies) < len(boards):
			b.Kind, b.Board, b.Wood, b.Lid = "board", board.Name, wood[board.Name], lids.board(board)
		case mesh.Name == "module":
			b.Lid = lids.module("module")
		default: // bodies of controls come in the order of the controls
			for len(owners) > 0 && !strings.HasPrefix(mesh.Name, owners[0].c.Label+" ") {
				owners = owners[1:]
			}
			if len(owners) == 0 {
				break
			}
			b.Kind, b.Board, b.Control, b.Lid = "front", owners[0].board, owners[0].c.Name, lids.sheet(owners[0].board)
			if strings.HasPrefix(mesh.Name, owners[0].c.Label+" behind") {
				b.Kind = "behind"
			}
		}
		d.Bodies = append(d.Bodies, b)
	}
	for _, x := range h.Wires {
		d.Wires = append(d.Wires, boxWire(x, lids, h))
	}
	answer(w, d)
}

// onLid tells what comes off with which lid.
type onLid struct {
	lids   map[string]int // by board
	owners map[string]int // of wires' ends: by control or circuit board
	rest   int            // of what is on neither
}

func lidsOf(p *panel.Panel, ls []harness.Lid) onLid {
	o := onLid{map[string]int{}, map[string]int{}, -1}
	for i, l := range ls {
		o.lids[l.Board] = i
	}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			o.owners[c.Name] = o.sheet(s.Board)
		}
	}
	for _, m := range append([]*panel.Module{p.Module}, p.Extras...) {
		if m == nil {
			continue
		}
		o.owners[m.Name] = o.sheet(map[bool]string{true: "", false: "base"}[m.On == "face"])
	}
	return o
}

// sheet gives the lid of a board that carries something, -1 = it stays; "" is the face.
func (o onLid) sheet(board string) int {
	if board == "" {
		board = "face"
	}
	if i, ok := o.lids[board]; ok {
		return i
	}
	return -1
}

// board gives the lid with which a board of the box comes off: ribs go with their face.
func (o onLid) board(b *carcass.Board) int {
	switch {
	case b.Role == carcass.RoleRib && strings.Contains(b.Name, "upper"):
		return o.sheet("upper face")
	case b.Role == carcass.RoleRib:
		return o.sheet("face")
	}
	return o.sheet(b.Name)
}

// module gives the lid of a circuit board.
func (o onLid) module(name string) int {
	if i, ok := o.owners[name]; ok {
		return i
	}
	return -1
}

// boxWire parts a wire into what goes with its ends and what hangs free. The free part of its bundle runs from where it is held on what comes
// off to where it is held in the box.
func boxWire(x harness.Wire, lids onLid, h harness.Result) BoxWire {
	w := BoxWire{ID: x.ID, Say: x.From.Of + " " + x.From.Lug + " to " + x.To.Of + " " + x.To.Lug, Colour: colourWords(x), From: lids.module(x.From.Of), To: lids.module(x.To.Of)}
	path := x.Path
	var free [2]int
	if w.From != w.To && len(path) > 1 {
		free = [2]int{0, len(path) - 1}
		best := 1.0 // mm that a wire may pass from where its bundle is held
		for _, l := range h.Opening.Loops {
			if len(l.Path) < 2 {
				continue
			}
			a, b := l.Path[0], l.Path[len(l.Path)-1]
			at, ta, da := nearestOn(path, a)
			bt, tb, db := nearestOn(path, b)
			if da+db > best {
				continue
			}
			best = da + db
			first, last := stop{at, ta, a}, stop{bt, tb, b}
			if last.before(first) {
				first, last = last, first
			}
			path, free = cutAt(x.Path, first, last)
		}
	}
	w.Free = free
	for i := free[0]; i < free[1]; i++ {
		w.Long += path[i+1].Sub(path[i]).Len()
	}
	if w.From != w.To {
		w.Long += x.Slack
	}
	for _, q := range path {
		w.Path = append(w.Path, v3(q))
	}
	return w
}

// stop is a place on a path: on a piece, how far along it as a share.
type stop struct {
	piece int
	t     float64
	at    geom.Vec3
}

func (s stop) before(o stop) bool { return s.piece < o.piece || s.piece == o.piece && s.t < o.t }

// nearestOn gives where a path comes nearest to a point.
func nearestOn(path []geom.Vec3, q geom.Vec3) (piece int, t, gap float64) {
	gap = 1e9
	for i := range len(path) - 1 {
		d := path[i+1].Sub(path[i])
		u := 0.0
		if l := d.Dot(d); l > 0 {
			u = min(max(q.Sub(path[i]).Dot(d)/l, 0), 1)
		}
		if g := path[i].Add(d.Mul(u)).Sub(q).Len(); g < gap-1e-9 {
			piece, t, gap = i, u, g
		}
	}
	return piece, t, gap
}

// cutAt gives a path with two stops among its points, and where they are.
func cutAt(path []geom.Vec3, a, b stop) (out []geom.Vec3, free [2]int) {
	out = append(out, path[:a.piece+1]...)
	free[0] = len(out)
	out = append(out, a.at)
	out = append(out, path[a.piece+1:b.piece+1]...)
	free[1] = len(out)
	out = append(out, b.at)
	return append(out, path[b.piece+1:]...), free
}

// boardSheet gives the drawing of a board of the box as SVG, in the inks of the page.
func (v *Server) boardSheet(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	s, ok := packet.BoardSheet(good.Result, good.Text, strings.TrimSuffix(r.PathValue("name"), ".svg"))
	if !ok {
		say(w, http.StatusNotFound, "The box has no such board.")
		return
	}
	data, err := drawing.SVGWith(s, drawing.SVGOptions{Vars: true, Prefix: "board-"})
	if err != nil {
		say(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(data)
}
