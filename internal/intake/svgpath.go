package intake

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// numbers reads all numbers of a list, parted by blanks or commas, or by nothing where that is clear.
func numbers(s string) (out []float64) {
	for i := 0; i < len(s); {
		v, n := number(s[i:])
		if n == 0 {
			i++
			continue
		}
		out = append(out, v)
		i += n
	}
	return out
}

// number reads a number at the start of s and says how long it is; 0 = there is none.
func number(s string) (v float64, n int) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits, dot := 0, false
	for ; i < len(s); i++ {
		if s[i] >= '0' && s[i] <= '9' {
			digits++
		} else if s[i] == '.' && !dot {
			dot = true
		} else {
			break
		}
	}
	if digits == 0 {
		return 0, 0
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			for i = j; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
			}
		}
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil || math.IsInf(v, 0) || math.Abs(v) > 1e9 {
		return 0, i
	}
	return v, i
}

// transform reads a list of transforms.
func transform(s string) affine {
	m := same
	for {
		i, j := strings.IndexByte(s, '('), strings.IndexByte(s, ')')
		if i < 0 || j < i {
			return m
		}
		name, a := strings.Trim(s[:i], " ,\t\r\n"), numbers(s[i+1:j])
		get := func(i int, or float64) float64 {
			if i < len(a) {
				return a[i]
			}
			return or
		}
		rad := math.Pi / 180
		t := same
		switch name {
		case "translate":
			t.E, t.F = get(0, 0), get(1, 0)
		case "scale":
			t = scaled(get(0, 1), get(1, get(0, 1)))
		case "rotate":
			x, y := get(1, 0), get(2, 0)
			t = affine{1, 0, 0, 1, x, y}.then(turnedBy(get(0, 0) * rad)).then(affine{1, 0, 0, 1, -x, -y})
		case "skewX":
			t.C = math.Tan(get(0, 0) * rad)
		case "skewY":
			t.B = math.Tan(get(0, 0) * rad)
		case "matrix":
			if len(a) == 6 {
				t = affine{a[0], a[1], a[2], a[3], a[4], a[5]}
			}
		}
		m = m.then(t)
		s = s[j+1:]
	}
}

// run is a part of a path.
type run struct {
	at     geom.Outline
	closed bool
}

// chords is how many straight pieces a curve of a path becomes.
const chords = 16

// path reads the data of a path; ok is false when it is damaged, and what came before is given. Arcs of circles stay arcs.
func path(s string) (out []run, ok bool) {
	var cur run
	var at, start, ctrl geom.Vec2
	var cmd, last byte
	i := 0
	skip := func() {
		for i < len(s) && strings.IndexByte(" ,\t\r\n", s[i]) >= 0 {
			i++
		}
	}
	next := func() (float64, bool) {
		skip()
		v, n := number(s[i:])
		i += n
		return v, n > 0
	}
	flag := func() (bool, bool) {
		skip()
		if i < len(s) && (s[i] == '0' || s[i] == '1') {
			i++
			return s[i-1] == '1', true
		}
		return false, false
	}
	flush := func() {
		if len(cur.at) > 1 {
			out = append(out, cur)
		}
		cur = run{}
	}
	to := func(p geom.Vec2, bulge float64) {
		if len(cur.at) == 0 {
			cur.at = geom.Outline{{P: at}}
		}
		cur.at[len(cur.at)-1].Bulge = bulge
		cur.at = append(cur.at, geom.Vertex{P: p})
		at = p
	}
	for total := 0; ; total++ {
		if total > partsMost {
			return out, false
		}
		skip()
		if i >= len(s) {
			flush()
			return out, true
		}
		if c := s[i]; c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' {
			cmd = c
			i++
			if cmd == 'z' || cmd == 'Z' {
				if len(cur.at) > 1 {
					cur.closed = true
					flush()
				}
				at, last = start, 'Z'
				continue
			}
		} else if cmd == 0 || last == 'Z' && (cmd == 'z' || cmd == 'Z') {
			flush()
			return out, false
		}
		rel := cmd >= 'a'
		base := geom.Vec2{}
		if rel {
			base = at
		}
		var a [7]float64
		good := true
		take := func(n int) {
			for k := 0; k < n && good; k++ {
				a[k], good = next()
			}
		}
		pt := func(k int) geom.Vec2 { return geom.Vec2{X: base.X + a[k], Y: base.Y + a[k+1]} }
		up := cmd &^ 32
		switch up {
		case 'M':
			take(2)
			if good {
				flush()
				at = pt(0)
				start = at
				cmd = 'L' | cmd&32
			}
		case 'L':
			take(2)
			if good {
				to(pt(0), 0)
			}
		case 'H':
			take(1)
			if good {
				to(geom.Vec2{X: base.X + a[0], Y: at.Y}, 0)
			}
		case 'V':
			take(1)
			if good {
				y := a[0]
				if rel {
					y += at.Y
				}
				to(geom.Vec2{X: at.X, Y: y}, 0)
			}
		case 'C', 'S', 'Q', 'T':
			n := map[byte]int{'C': 6, 'S': 4, 'Q': 4, 'T': 2}[up]
			take(n)
			if !good {
				break
			}
			mirror := at
			if strings.IndexByte("CS", last) >= 0 && (up == 'S') || strings.IndexByte("QT", last) >= 0 && up == 'T' {
				mirror = at.Mul(2).Sub(ctrl)
			}
			var p1, p2, p3 geom.Vec2
			switch up {
			case 'C':
				p1, p2, p3 = pt(0), pt(2), pt(4)
				ctrl = p2
			case 'S':
				p1, p2, p3 = mirror, pt(0), pt(2)
				ctrl = p2
			default:
				q, e := mirror, pt(0)
				if up == 'Q' {
					q, e = pt(0), pt(2)
				}
				ctrl = q
				p1, p2, p3 = at.Add(q.Sub(at).Mul(2.0/3)), e.Add(q.Sub(e).Mul(2.0/3)), e
			}
			p0 := at
			for k := 1; k <= chords; k++ {
				to(bezier(p0, p1, p2, p3, float64(k)/chords), 0)
			}
		case 'A':
			take(3)
			large, g1 := flag()
			sweep, g2 := flag()
			if good = good && g1 && g2; good {
				a[3], good = next()
			}
			if good {
				a[4], good = next()
			}
			if good {
				arc(at, geom.Vec2{X: base.X + a[3], Y: base.Y + a[4]}, math.Abs(a[0]), math.Abs(a[1]), a[2]*math.Pi/180, large, sweep, to)
			}
		default:
			good = false
		}
		if !good {
			flush()
			return out, false
		}
		last = up
	}
}

func bezier(a, b, c, d geom.Vec2, t float64) geom.Vec2 {
	u := 1 - t
	return a.Mul(u * u * u).Add(b.Mul(3 * u * u * t)).Add(c.Mul(3 * u * t * t)).Add(d.Mul(t * t * t))
}

// arc draws an elliptical arc: of a circle in one or two arcs, else in chords. The rule for centre and radii is that of SVG 1.1, appendix F.6.
func arc(p, q geom.Vec2, rx, ry, turn float64, large, sweep bool, to func(geom.Vec2, float64)) {
	if rx == 0 || ry == 0 || p.Sub(q).Len() == 0 {
		to(q, 0)
		return
	}
	s, c := math.Sincos(turn)
	d := p.Sub(q).Mul(0.5)
	x, y := c*d.X+s*d.Y, -s*d.X+c*d.Y
	if l := x*x/(rx*rx) + y*y/(ry*ry); l > 1 {
		rx *= math.Sqrt(l)
		ry *= math.Sqrt(l)
	}
	k := math.Sqrt(max(0, (rx*rx*ry*ry-rx*rx*y*y-ry*ry*x*x)/(rx*rx*y*y+ry*ry*x*x)))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	mid := geom.Vec2{X: c*cx - s*cy + (p.X+q.X)/2, Y: s*cx + c*cy + (p.Y+q.Y)/2}
	a0 := math.Atan2((y-cy)/ry, (x-cx)/rx)
	a1 := math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	da := a1 - a0
	if sweep && da < 0 {
		da += 2 * math.Pi
	}
	if !sweep && da > 0 {
		da -= 2 * math.Pi
	}
	on := func(t float64) geom.Vec2 {
		sn, cs := math.Sincos(t)
		return geom.Vec2{X: mid.X + c*rx*cs - s*ry*sn, Y: mid.Y + s*rx*cs + c*ry*sn}
	}
	n := chords * 2
	bulge := 0.0
	if math.Abs(rx-ry) < 1e-6*rx {
		n = 2
		bulge = math.Tan(da / 8)
	}
	for i := 1; i < n; i++ {
		to(on(a0+da*float64(i)/float64(n)), bulge)
	}
	to(q, bulge)
}
