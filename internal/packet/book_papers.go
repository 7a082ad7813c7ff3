package packet

import (
	"sync"

	"knobwright/internal/book"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/record"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/costing"
	"knobwright/internal/view"
	lang "knobwright/internal/words"
)

// With says what a packet is made with beside the job itself.
type With struct {
	File     string         // name of the panel file, without folders
	Record   *record.Record // what happened at the bench; nil = nothing
	Lang     lang.Lang      // of the build book; "" = English
	Units    string         // of the build book: mm, in, both; "" = as the file
	NoPrices bool           // prices and stock stay out of the build book and the shopping list
}

// shared is what several papers are made from: each is made once, by whom asks first.
type shared struct {
	model  func() (*solid.Model, error)
	whole  func() *drawing.Scene
	groups func() []groupScene
	book   func() *book.Book
}

// groupScene is a page of wires that are followed together, and its drawing from behind, k times its size.
type groupScene struct {
	group
	k     float64
	scene *drawing.Scene
}

func newShared(r *job.Result, d desk, n namer, src []byte, with With) *shared {
	s := &shared{}
	s.model = sync.OnceValues(func() (*solid.Model, error) { return Solids(r) })
	s.whole = sync.OnceValue(func() *drawing.Scene {
		m, err := s.model()
		if err != nil || m == nil {
			return nil
		}
		return wholeBox(m, d)
	})
	s.groups = sync.OnceValue(func() []groupScene { return groupScenes(r, d) })
	s.book = sync.OnceValue(func() *book.Book { return book.Make(r, s.options(r, d, n, src, with)) })
	return s
}

// Book is the build book of a job. src is the text of the panel file, for its mark.
func Book(r *job.Result, src []byte, with With) (*book.Book, error) {
	if r.Panel == nil || r.Panel.Face.Outline.Empty() {
		return nil, ErrNoFace
	}
	d := newDesk(r, src)
	return newShared(r, d, newNamer(r), src, with).book(), nil
}

// options gathers what the book is made from: the scenes that other papers show too.
func (s *shared) options(r *job.Result, d desk, n namer, src []byte, with With) book.Options {
	o := book.Options{Lang: with.Lang, Units: with.Units, File: with.File, Mark: Mark(src), Record: with.Record, NoPrices: with.NoPrices}
	if len(r.Steps.Steps) > 0 {
		o.Steps = &r.Steps
		l := with.Lang
		if l == "" {
			l = lang.English
		}
		sessions, drying := timelineScenes(&r.Steps, l)
		for _, x := range sessions {
			o.Drawings.Sessions = append(o.Drawings.Sessions, book.Picture{Scene: x})
		}
		o.Drawings.Drying = drying
	}
	if w := s.whole(); w != nil {
		o.Drawings.Whole = &drawing.Scene{Bounds: w.Bounds.Grow(1), Items: w.Items}
	}
	in := d
	in.inches = with.Units == "in" || with.Units == "" && d.inches
	for _, l := range r.Box.Boards {
		o.Drawings.Boxes = append(o.Drawings.Boxes, book.Picture{Title: l.Name, Scene: boxBoard(r, in, l)})
	}
	if len(r.Harness.Wires) == 0 {
		return o
	}
	for _, g := range s.groups() {
		b := r.Panel.Face.Outline.Bounds().Grow(2)
		o.Drawings.Groups = append(o.Drawings.Groups, book.WireGroup{
			Name: g.name, Say: g.say, Hops: g.hops,
			Scene: &drawing.Scene{Bounds: geom.Box2{Min: b.Min.Mul(g.k), Max: b.Max.Mul(g.k)}, Items: []drawing.Item{&drawing.Group{Scale: g.k, Items: g.scene.Items}}},
		})
	}
	for _, b := range r.Wiring.Boards {
		area := geom.Box2{Max: v(181, boardTall(len(b.Part.Lugs)))}
		items := boardDrawing(r, n, b, area)
		if len(items) == 0 {
			o.Drawings.Boards = append(o.Drawings.Boards, book.Picture{})
			continue
		}
		o.Drawings.Boards = append(o.Drawings.Boards, book.Picture{Title: b.Label, Scene: &drawing.Scene{Bounds: tight(items), Items: items}})
	}
	for _, items := range schematicStrips(r, d, n) {
		o.Drawings.Schematic = append(o.Drawings.Schematic, book.Picture{Scene: &drawing.Scene{Bounds: tight(items), Items: items}})
	}
	return o
}

// boxBoard is a board of the box with its sizes and its heavy corner, in paper size.
func boxBoard(r *job.Result, d desk, l box.BoardLine) *drawing.Scene {
	s := view.BoardScene(l, r.Box)
	size := s.Bounds.Size()
	k := min(136/size.X, 70/size.Y, 1)
	at := func(p geom.Vec2) geom.Vec2 { return p.Mul(k) }
	items := []drawing.Item{&drawing.Group{Scale: k, Items: s.Items}}
	items = append(items, boardDims(l, d, at)...)
	items = append(items, heavyCorner(at(l.Board.Datum), cornerOf(l.Board))...)
	return &drawing.Scene{Bounds: tight(items).Grow(2.5), Items: items}
}

// boardTall is how tall the drawing of a board with so many pins may be, mm.
func boardTall(pins int) float64 { return min(150, max(60, 24+2.6*float64(pins))) }

// tight is the box round what is drawn, with a little room.
func tight(items []drawing.Item) geom.Box2 {
	b := geom.EmptyBox2()
	for _, it := range items {
		if e := extent(it); e.Min.X <= e.Max.X {
			b = b.Union(e)
		}
	}
	return b.Grow(1.5)
}

// groupScenes draws every group of wires from behind.
func groupScenes(r *job.Result, d desk) []groupScene {
	bounds := r.Panel.Face.Outline.Bounds().Grow(2)
	fit := d.hopsFit(bounds)
	var out []groupScene
	for _, g := range paged(wireGroups(r, fit), fit) {
		k := d.groupScale(g, bounds)
		out = append(out, groupScene{g, k, view.Wired(r.Panel, r.Wiring, r.Harness, g.hops, k)})
	}
	return out
}

// bookPapers adds the build book as PDF.
func bookPapers(s *shared, t *tray) {
	t.pdf("book.pdf", "the build book: all of it, in the order of work", s.book().PDF())
}

// bookPage adds the build book as one file for a screen.
func bookPage(s *shared, add func(name, about string, data []byte, err error)) {
	data, err := s.book().HTML()
	add("book.html", "the same for a phone, in one file", data, err)
}

// shoppingPapers adds the list of what to buy.
func shoppingPapers(r *job.Result, s *shared, with With, t *tray) {
	if len(r.Costs.Lines) == 0 {
		return
	}
	t.pdf("shopping.pdf", "what to buy, in packs and with spares, to tick off", s.book().Chapter("shopping"))
	c := r.Costs
	if with.NoPrices {
		c = costing.Bare(c)
	}
	data, err := costing.CSV(c, r.Panel.Units == "in")
	t.add("shopping.csv", "the same for a spreadsheet", data, err)
}
