package box

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trust"
)

// Bundle is a bundle of wires that runs from a face to what stays in the box.
type Bundle struct {
	Name     string
	Face     int         // index into the faces of the carcass
	Path     []geom.Vec3 // box frame, box closed: from the end that goes with the face to the end that stays; two points at least
	Diameter float64     // mm
	Long     float64     // of the wires along it, mm; what is more than the way hangs down as a loop. 0 = no loop
}

// Catch is where a bundle meets a board while its face comes off.
type Catch struct {
	Bundle, Board string
	Thick         float64 // diameter of the bundle, mm
	Deep          float64 // mm
	Degrees       float64 // of a face on a hinge
	Lifted        float64 // of one that is lifted, mm
}

var (
	limBundle = finding.Limit{
		Name: "box.bundle", Default: 8, Unit: "mm", Means: "how thick the bundle of wires from the face to the module is taken to be while its wires are not laid out",
		Source: practice("thirty to forty thin wires, tied", trust.Low),
	}
	ruleHarness = finding.Rule{
		Name: "box.harness-catch", Severity: finding.Warn, Title: "wires that catch while the box is opened",
		Explain: "The wires from the face to the module come along when the face is lifted or swung up. They are followed as a round bundle with its " +
			"loop hanging down, its ends one on the face and one in the box: where it runs into a wall, a ledge, a block or a rib that it was clear " +
			"of before, it is caught there, or pinched when the face goes back. Lead it another way, or tie it up. What it lies against " +
			"already with the box closed does not count.",
		Limits: []finding.Limit{limBundle},
	}
)

// Catches follows bundles of wires while a face comes off, straight along by or round its hinge when by is the zero
// vector, and gives what each of them meets first. The end on the face goes with it, the other stays, and what lies between
// comes along by its share of the way; wire that is left over hangs down as a loop, not through the base. Boards that a bundle meets
// with the box closed do not count. It is safe for paths of no sense: those of fewer than two points are left out.
func Catches(c *carcass.Carcass, face int, by geom.Vec3, round Hinge, bundles []Bundle) []Catch {
	if c == nil || face < 0 || face >= len(c.Faces) {
		return nil
	}
	f := c.Faces[face]
	goes := travels(c, face)
	floor := math.Inf(-1)
	for _, h := range c.Interior {
		floor = max(floor, h.Bounds().Min.Z)
	}
	hinge, axis := round.line(f)
	steps := round.steps()
	if by != (geom.Vec3{}) {
		steps = steps[:0]
		for k := 1.0; k <= 24; k++ {
			steps = append(steps, k/24)
		}
	}
	pose := func(t float64) geom.Pose {
		if by != (geom.Vec3{}) {
			return geom.NoPose().Shift(by.Mul(t))
		}
		return geom.NoPose().Shift(hinge.Mul(-1)).Then(geom.TurnAbout(axis, t)).Then(geom.NoPose().Shift(hinge))
	}
	var out []Catch
	for _, b := range bundles {
		if b.Face != face || len(b.Path) < 2 || !(b.Diameter > 0) || !finite(b.Path) {
			continue
		}
		shut := b.tube(geom.NoPose(), floor)
		skip := map[int]bool{f.Board: true}
		for i := range c.Boards {
			if n, _ := meets(shut, &c.Boards[i], nil); n {
				skip[i] = true
			}
		}
	steps:
		for _, t := range steps {
			p := pose(t)
			tube := b.tube(p, floor)
			worst := Catch{}
			for i := range c.Boards {
				if skip[i] {
					continue
				}
				var moved *geom.Pose
				if goes[i] {
					moved = &p
				}
				if n, deep := meets(tube, &c.Boards[i], moved); n && deep > worst.Deep {
					worst = Catch{Bundle: b.Name, Board: c.Boards[i].Name, Thick: b.Diameter, Deep: deep, Degrees: t}
					if by != (geom.Vec3{}) {
						worst.Degrees, worst.Lifted = 0, t*by.Len()
					}
				}
			}
			if worst.Board != "" {
				out = append(out, worst)
				break steps
			}
		}
	}
	return out
}

func finite(ps []geom.Vec3) bool {
	for _, p := range ps {
		if s := p.X + p.Y + p.Z; math.IsNaN(s) || math.Abs(s) > 1e5 {
			return false
		}
	}
	return true
}

// tube is a bundle as round bars while its face stands at a pose.
func (b Bundle) tube(p geom.Pose, floor float64) []geom.Convex {
	// shares of the way; the loop hangs from the middle
	total := 0.0
	at := make([]float64, len(b.Path))
	for i := 1; i < len(b.Path); i++ {
		total += b.Path[i].Sub(b.Path[i-1]).Len()
		at[i] = total
	}
	if total == 0 {
		return nil
	}
	point := func(s float64) geom.Vec3 { // of the path, at a share
		i := 1
		for i < len(at)-1 && at[i] < s*total {
			i++
		}
		k := 0.0
		if l := at[i] - at[i-1]; l > 0 {
			k = (s*total - at[i-1]) / l
		}
		q := b.Path[i-1].Add(b.Path[i].Sub(b.Path[i-1]).Mul(k))
		return p.Apply(q).Mul(1 - s).Add(q.Mul(s))
	}
	shares := []float64{0}
	half := false
	for i := 1; i < len(at); i++ {
		s := at[i] / total
		if s >= 0.5 && !half {
			shares, half = append(shares, 0.5), true
		}
		if s > shares[len(shares)-1]+1e-9 {
			shares = append(shares, s)
		}
	}
	pts := make([]geom.Vec3, len(shares))
	run := 0.0
	for i, s := range shares {
		if pts[i] = point(s); i > 0 {
			run += pts[i].Sub(pts[i-1]).Len()
		}
	}
	if b.Long > run { // two straight halves of a loop
		sag := math.Sqrt(b.Long*b.Long-run*run) / 2
		for i, s := range shares {
			down := sag * (1 - math.Abs(1-2*s))
			low := max(floor+b.Diameter/2, pts[i].Z-down)
			pts[i].Z = min(pts[i].Z, low)
		}
	}
	var out []geom.Convex
	for i := 1; i < len(pts); i++ {
		if d := pts[i].Sub(pts[i-1]); d.Len() > 1e-6 {
			out = append(out, geom.NewCylinder(pts[i-1], d, b.Diameter/2, d.Len()))
		}
	}
	return out
}

// slackCatch is how deep a bundle may press against a board: wires give.
const slackCatch = 1.0

// meets reports whether a tube runs into a board, moved or where it stands, and how deep.
func meets(tube []geom.Convex, b *carcass.Board, moved *geom.Pose) (hit bool, deep float64) {
	for _, h := range b.Parts {
		var s geom.Convex = h
		if moved != nil {
			s = geom.Posed(h, *moved)
		}
		box := s.Bounds()
		for _, t := range tube {
			if !t.Bounds().Overlaps(box) {
				continue
			}
			if g := geom.Gap(t, s).Gap; g < -slackCatch {
				hit, deep = true, max(deep, -g)
			}
		}
	}
	return hit, deep
}

// bundles gives the bundles as they are laid out, else one straight from the middle of the controls of each face to the module.
func (w *worker) bundles(fi int, long float64) []Bundle {
	var own []Bundle
	for _, b := range w.Bundles {
		if b.Face == fi {
			own = append(own, b)
		}
	}
	if len(own) > 0 || w.Module == nil || w.Module.Face >= 0 || len(w.Module.Board) == 0 {
		return own
	}
	n, mid := w.c.Faces[fi].Frame.N, geom.Vec3{}
	deep, count := 0.0, 0.0
	for _, b := range w.Bodies {
		if b.Face == fi && b.Inside && b.Solid != nil {
			mid, count = mid.Add(b.Solid.Centre()), count+1
			deep = min(deep, b.Solid.Support(n.Mul(-1)).Sub(w.c.Faces[fi].Frame.O).Dot(n))
		}
	}
	if count == 0 {
		return nil
	}
	mid = mid.Mul(1 / count)
	mid = mid.Add(n.Mul(deep/2 - mid.Sub(w.c.Faces[fi].Frame.O).Dot(n))) // half way down the controls
	m := w.Module.Board[0]
	end := m.Centre()
	end.Z = m.Bounds().Max.Z
	d := clamp(w.Limits.Value(limBundle), 1, 60)
	return []Bundle{{Name: "the wires to the module", Face: fi, Path: []geom.Vec3{mid, end.Add(geom.Vec3{Z: d/2 + 1})}, Diameter: d, Long: long}}
}

// harness says where the wires of a face catch while it comes off: straight along by, or round its hinge.
func (w *worker) harness(fi int, by geom.Vec3, long float64) {
	for _, x := range Catches(w.c, fi, by, w.Hinge, w.bundles(fi, long)) {
		when := fmt.Sprintf("when the %s is lifted %s", w.c.Faces[fi].Name, w.mm(x.Lifted))
		if x.Degrees > 0 {
			when = fmt.Sprintf("when the %s stands open %s degrees", w.c.Faces[fi].Name, plain(x.Degrees))
		}
		w.say(ruleHarness, finding.Finding{
			Head: fmt.Sprintf("The wires catch at the %s %s.", x.Board, when), Body: fmt.Sprintf("The bundle, %s thick with its loop, runs %s into it. Lead it round another side, or tie the loop up.", w.mm(x.Thick), w.mm(x.Deep)),
			Ends: []finding.End{w.end(x.Board), w.end("module")}, Source: w.Limits.Source(limBundle),
			Measure: &finding.Measure{Have: -x.Deep, Want: 0, Unit: "mm", Sense: finding.AtLeast},
		})
	}
}
