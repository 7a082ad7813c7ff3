package place

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// Proof says why no placement keeps the least rooms: it holds whatever is tried.
type Proof struct {
	Why   string // alone: one item has no place; pair: two items have none together; area: there is less area than all pieces take
	Items []int  // the one or the two
	Layer string // of an area proof
	Need  float64
	Have  float64 // mm², of an area proof
	Good  bool    // the proof is about the good rooms: valid placements there may be, but none without trouble
}

// Crowded looks for a proof that no placement keeps all good rooms; nil when none is found.
func Crowded(p *Problem) (*Proof, error) {
	c, err := compile(p)
	if err != nil {
		return nil, err
	}
	if a := c.area(true); a != nil {
		return a, nil
	}
	return nil, nil
}

// proof looks for a reason why nothing can be valid.
func (c *compiled) proof() *Proof {
	if a := c.area(false); a != nil {
		return a
	}
	for i := range c.Items {
		none := true
		for v := range c.Items[i].Forms {
			none = none && len(c.poly[i][v]) == 0
		}
		if none {
			return &Proof{Why: "alone", Items: []int{i}}
		}
	}
	for i := range c.Items {
		for j := range i {
			if c.exclude(j, i) {
				return &Proof{Why: "pair", Items: []int{j, i}}
			}
		}
	}
	return nil
}

// exclude reports whether two items cannot both be placed: all ways from a place of the one to a place of the other end in one zone.
func (c *compiled) exclude(i, j int) bool {
	a, b := &c.Items[i], &c.Items[j]
	if len(a.Forms) > 1 || len(b.Forms) > 1 {
		return false
	}
	for x := range a.Forms[0] {
		for y := range b.Forms[0] {
			p, q := &a.Forms[0][x], &b.Forms[0][y]
			if p.Follow != Same || q.Follow != Same {
				continue
			}
			z := c.between(p, q)
			if len(z.list) == 0 {
				continue
			}
			var ways []geom.Vec2
			for _, u := range c.poly[i][0] {
				for _, v := range c.poly[j][0] {
					ways = append(ways, v.Add(q.At).Sub(u).Sub(p.At))
				}
			}
			for k := range z.list {
				n := &z.list[k]
				all := !math.IsInf(n.least, -1)
				for _, w := range ways {
					if !all {
						break
					}
					all = dist(n.core, w) < n.least-1e-6
				}
				if all {
					return true
				}
			}
		}
	}
	return false
}

// area compares the area that pieces take with the area that they have: pieces that keep a room from each other do not overlap when each
// is grown by half of it, and stay within their bounds grown by half of it. The bound is one-sided: area enough proves nothing.
func (c *compiled) area(good bool) *Proof {
	var worst *Proof
	for _, l := range c.Layers {
		need, have, ok := c.layerArea(l, good)
		if ok && need > have*(1+1e-9) && (worst == nil || need-have > worst.Need-worst.Have) {
			worst = &Proof{Why: "area", Layer: l.Name, Need: need, Have: have, Good: good}
		}
	}
	return worst
}

func (c *compiled) layerArea(l Layer, good bool) (need, have float64, ok bool) {
	pick := func(r Room) float64 {
		if good {
			return r.Good
		}
		return r.Least
	}
	room := func(a, b int) float64 { return min(pick(c.Apart[a][b]), pick(c.Within[a][b])) }
	// of each body its largest piece in the layer
	type part struct {
		x     *Piece
		a, l  float64 // area and perimeter of the piece
		group int
	}
	var parts []part
	count := map[int]float64{}
	body := func(b *Body) {
		best := part{}
		for i := range c.Kinds[b.Kind] {
			x := &c.Kinds[b.Kind][i]
			if !l.Class[x.Class] {
				continue
			}
			a, p := measure(x)
			if best.x == nil || a > best.a {
				best = part{x, a, p, b.Group}
			}
		}
		if best.x != nil {
			parts = append(parts, best)
			count[best.x.Class] += best.a
		}
	}
	for i := range c.Items {
		for j := range c.Items[i].Forms[0] {
			body(&c.Items[i].Forms[0][j])
		}
	}
	// classes that all keep a room from each other, the largest first
	var chosen []int
	for {
		best := -1
		for k, a := range count {
			if best < 0 || a > count[best] || a == count[best] && k < best {
				best = k
			}
		}
		if best < 0 {
			break
		}
		delete(count, best)
		fits := room(best, best) > -1e-9 && len(c.Sides[best]) > 0
		for _, o := range chosen {
			fits = fits && room(best, o) > -1e-9
		}
		if fits {
			chosen = append(chosen, best)
		}
	}
	if len(chosen) == 0 {
		return 0, 0, false
	}
	half := math.Inf(1)
	for _, a := range chosen {
		for _, b := range chosen {
			half = min(half, room(a, b)/2)
		}
	}
	var all []Side
	for n, k := range chosen {
		mine := c.Sides[k]
		if n == 0 {
			all = slices.Clone(mine)
			continue
		}
		var joint []Side // only directions that bound all of them, each as far as the farthest
		for _, s := range all {
			for _, t := range mine {
				if s.N.Sub(t.N).Len() < 1e-9 {
					joint = append(joint, Side{s.N, max(s.Good, t.Good), max(s.Least, t.Least)})
				}
			}
		}
		all = joint
	}
	ps := clip(c.Frame.Grow(10*c.Frame.Size().Len()), all, !good)
	a, p := polygon(ps)
	have = a + p*half + math.Pi*half*half
	for _, x := range parts {
		in := false
		for _, k := range chosen {
			in = in || k == x.x.Class
		}
		if in {
			need += x.a + x.l*half + math.Pi*half*half
		}
	}
	return need, have, true
}

// measure gives a piece's area and perimeter.
func measure(x *Piece) (area, round float64) {
	a, l := polygon(x.Core)
	return a + l*x.R + math.Pi*x.R*x.R, l + 2*math.Pi*x.R
}

// polygon gives the area and perimeter of a polygon; of a line twice its length.
func polygon(ps []geom.Vec2) (area, round float64) {
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		area += p.Cross(q) / 2
		round += q.Sub(p).Len()
	}
	return math.Abs(area), round
}
