package costing

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// usualTries is how many changes are tried unless the caller says otherwise.
const usualTries = 8

// leastGain is the smallest saving, in the middle of the price, that is worth a change.
const leastGain = 0.5

// change is a change that may make it cheaper, before it is tried.
type change struct {
	what  string // "Take push-12mm for DOOR and BIRDS"
	short string
	edits []finding.Edit
	guess float64 // saving, middle of the price
	group string  // one change of a group can be taken
}

// cheaper tries changes, most promising first: the panel is judged again with each, and what it costs then is reckoned anew.
func cheaper(in Inputs, r Result) []Change {
	tries := in.Most
	if tries <= 0 {
		tries = usualTries
	}
	list := alternatives(in, r)
	if c, ok := noSpares(r); ok {
		list = append(list, c)
	}
	slices.SortStableFunc(list, func(a, b change) int { return cmp.Compare(b.guess, a.guess) })
	var out []Change
	var kept []change
	for _, c := range list {
		if tries == 0 {
			break
		}
		if slices.ContainsFunc(kept, func(k change) bool { return k.group == c.group }) {
			continue
		}
		tries--
		ch, ok := try(in, r, c.what, c.short, c.edits)
		if !ok {
			continue
		}
		out = append(out, ch)
		if ch.After == 0 {
			kept = append(kept, c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if (out[i].After == 0) != (out[j].After == 0) {
			return out[i].After == 0
		}
		return out[i].Less.Middle() > out[j].Less.Middle()
	})
	if r.Budget > 0 && r.Total.Middle() > r.Budget && (len(out) == 0 || !out[0].Under) {
		if all, ok := together(in, r, kept); ok {
			out = append([]Change{all}, out...)
		}
	}
	return out
}

// together takes changes until the price is within the budget, best first, and tries them as one.
func together(in Inputs, r Result, kept []change) (Change, bool) {
	if len(kept) < 2 {
		return Change{}, false
	}
	slices.SortStableFunc(kept, func(a, b change) int { return cmp.Compare(b.guess, a.guess) })
	left := r.Total.Middle() - r.Budget
	var edits []finding.Edit
	var what, short []string
	for _, c := range kept {
		if left <= 0 {
			break
		}
		edits = append(edits, c.edits...)
		left -= c.guess
		w := c.what
		if len(what) > 0 {
			w = lower(w)
		}
		what, short = append(what, w), append(short, c.short)
	}
	if len(what) < 2 {
		return Change{}, false
	}
	c, ok := try(in, r, strings.Join(what, "; "), strings.Join(short, "; "), edits)
	if ok && c.After == 0 && !c.Under {
		over := r.Total.Middle() - c.Less.Middle() - r.Budget
		c.Say = strings.TrimSuffix(c.Say, ".") + ", still " + money(over) + " above the budget."
	}
	return c, ok
}

func lower(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// try judges the panel with a change. ok is false when the change cannot be made, or saves nothing worth it.
func try(in Inputs, r Result, what, short string, edits []finding.Edit) (Change, bool) {
	t, ok := in.Try(edits)
	if !ok || t.In.Panel == nil {
		return Change{}, false
	}
	t.In.Try, t.In.Stock, t.In.Budget = nil, in.Stock, in.Budget
	then := price(t.In)
	less := r.Total.Sub(then.Total)
	if less.Middle() < leastGain || then.Unpriced > r.Unpriced {
		return Change{}, false
	}
	c := Change{Less: less, After: max(0, t.Stops-t.Before[0]) + max(0, t.Warns-t.Before[1]), Under: r.Budget > 0 && then.Total.Middle() <= r.Budget+0.005}
	c.Say = fmt.Sprintf("%s: about %s %s less.", what, money(less.Middle()), r.Currency)
	if c.After > 0 {
		c.Say = strings.TrimSuffix(c.Say, ".") + ", but it brings " + plural(c.After, "finding", "findings") + "."
	} else if c.Under {
		c.Say = strings.TrimSuffix(c.Say, ".") + ", within the budget."
	}
	c.Fix = finding.Fix{Say: what, Short: short, Edits: edits}
	return c, true
}

// noSpares is the change that leaves the spares of controls out.
func noSpares(r Result) (change, bool) {
	c := change{what: "Buy no spare controls", short: "limits: {cost.spare-below: 0}", group: "spares", edits: []finding.Edit{{Op: finding.Set, Path: "limits.cost.spare-below", Value: "0"}}}
	for _, l := range r.Lines {
		if l.Section == Controls && l.Spare > 0 {
			l.Buy = max(0, l.Buy-l.Spare)
			c.guess += l.Sum.Middle() - l.Each.Middle()*float64(packs(l.Buy, l.Pack))
		}
	}
	return c, c.guess > 0
}

func packs(n, pack float64) int {
	k := int(n / pack)
	if float64(k)*pack < n-1e-9 {
		k++
	}
	return k
}

// alternatives are parts of the same trade class that do the same job and cost less.
func alternatives(in Inputs, r Result) []change {
	if in.Cat == nil {
		return nil
	}
	users := map[string][]*panel.Control{}
	for _, s := range in.Panel.Sheets() {
		for _, c := range s.Controls {
			users[c.Part.ID] = append(users[c.Part.ID], c)
		}
	}
	ids := in.Cat.PartIDs()
	var out []change
	for _, l := range r.Lines {
		of := users[l.ID]
		if l.Section != Controls || l.class == "" || len(of) == 0 || l.Packs == 0 {
			continue
		}
		was, ok := in.Cat.Part(l.ID)
		if !ok {
			continue
		}
		sig := signature(was)
		var best []change
		for _, id := range ids {
			alt, ok := in.Cat.Part(id)
			if !ok || id == l.ID || alt.Class != was.Class || alt.Price.To <= 0 || signature(alt) != sig {
				continue
			}
			edits, names := exchange(in.Panel, of, id)
			if len(edits) == 0 {
				continue
			}
			n := Line{Section: Controls, ID: id, Use: l.Use, class: l.class, Pack: max(1, float64(alt.Price.Pack))}
			rate := 1.0
			if in.Stock.Rate > 0 {
				rate = in.Stock.Rate
			}
			n.one, n.Priced = Range{alt.Price.From, alt.Price.To}.Times(rate), true
			n = settle(n, in)
			if g := l.Sum.Middle() - n.Sum.Middle(); g >= leastGain {
				best = append(best, change{what: "Take " + id + " for " + few(names), short: "part: " + id, edits: edits, guess: g, group: l.ID})
			}
		}
		slices.SortStableFunc(best, func(a, b change) int { return cmp.Compare(b.guess, a.guess) })
		out = append(out, best[:min(2, len(best))]...)
	}
	return out
}

// exchange gives the edits that put another part in place of the one of some controls, and the controls' labels. None when one of them cannot be
// changed on its own.
func exchange(p *panel.Panel, of []*panel.Control, id string) ([]finding.Edit, []string) {
	var edits []finding.Edit
	var names []string
	seen := map[string]bool{}
	for _, c := range of {
		names = append(names, c.Label)
		path := c.Origin.Path + ".part"
		switch {
		case p.Pos(path).Line > 0:
		case c.From != "": // it follows the one that it was made of
			continue
		case c.Group != "" && p.Pos("groups."+c.Group+".part").Line > 0:
			path = "groups." + c.Group + ".part"
		default:
			return nil, nil
		}
		if !seen[path] {
			seen[path] = true
			edits = append(edits, finding.Edit{Op: finding.Set, Path: path, Value: id})
		}
	}
	return edits, names
}

// signature says what job a part does: two parts of a class with one signature can stand in for each other.
func signature(p catalog.Part) string {
	c := p.Circuit
	var b strings.Builder
	fmt.Fprintf(&b, "%s|%s|%d|%d|%d|%v|", p.Action, p.Reach, p.Positions, p.Pulses, p.Detents, p.Push)
	fmt.Fprintf(&b, "%d|%v|", len(c.Positions), len(c.Springs))
	spare := 0
	for _, x := range c.Contacts {
		if x.Spare {
			spare++
			continue
		}
		fmt.Fprintf(&b, "%s%d,", x.Phase, len(x.Closed))
	}
	for _, t := range c.Tracks {
		fmt.Fprintf(&b, "t%g%s,", t.Ohms, t.Taper)
	}
	fmt.Fprintf(&b, "|%d", len(c.Lamps))
	if len(c.Lamps) > 0 {
		fmt.Fprintf(&b, "%s", p.Lamp.Colour)
	}
	if c.Powered != nil {
		fmt.Fprintf(&b, "|p%s%v", c.Powered.Bus, c.Powered.Volts)
	}
	if p.Class == catalog.SlidePot { // its travel is what the hand has
		for _, s := range p.Front {
			if s.Rect != nil && s.Role == "sweep" {
				fmt.Fprintf(&b, "|%v", *s.Rect)
			}
		}
	}
	if p.Class == catalog.Socket || p.Class == catalog.Display || p.Class == catalog.Plug || p.Class == catalog.Joystick {
		b.WriteString("|" + p.ID) // what is plugged in, read or filled decides: nothing stands in for it
	}
	return b.String()
}
