package wiring

import (
	"fmt"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// thinContacts gathers contacts that get less or more current than their kind wants.
type thinContacts struct {
	groups []thinGroup
}

type thinGroup struct {
	class       string
	least, most float64 // mA that the parts want
	lo, hi      float64 // mA that they get
	volts       float64
	devices     []int
	leads       int
	heavy       bool
	matrix      bool
	want        float64 // the least of all that they want, mA
}

// thinShare is the share of the least current from which nothing is said: makers are careful.
const thinShare = 0.5

func (t *thinContacts) add(c *checker, signal, board int, in solvedInput) {
	s := &c.r.Signals[signal]
	k := &c.r.Devices[s.Device].Control.Part
	rate := k.Circuit.Rating
	bounds, known := electric.ContactClass(rate.Class).Bounds()
	least, most := rate.Least, rate.Most
	if least <= 0 && known {
		least = bounds.Least * 1000
	}
	if most <= 0 && known {
		most = bounds.Most * 1000
	}
	heavy := most > 0 && in.amp > most
	if !heavy && (least <= 0 || in.ampLeast >= thinShare*least) {
		return
	}
	matrix := c.r.Plan.Seats[signal].Way == Matrix
	for i := range t.groups {
		g := &t.groups[i]
		if g.class == rate.Class && g.heavy == heavy && g.matrix == matrix && g.volts == c.nodeVolts(board) {
			g.want = min(g.want, least)
			g.least, g.most = max(g.least, least), min(g.most, most)
			g.lo, g.hi = min(g.lo, in.ampLeast), max(g.hi, in.amp)
			g.devices, g.leads = append(g.devices, s.Device), g.leads+1
			return
		}
	}
	t.groups = append(t.groups, thinGroup{
		class: rate.Class, least: least, most: most, lo: in.ampLeast, hi: in.amp, volts: c.nodeVolts(board), devices: []int{s.Device}, leads: 1, heavy: heavy, matrix: matrix, want: least,
	})
}

// mostThinEnds is how many controls are named as ends of one finding.
const mostThinEnds = 4

func (t *thinContacts) say(c *checker) {
	for _, g := range t.groups {
		part := c.r.Devices[g.devices[0]].Control.Part
		ends := c.ends(g.devices)
		ends = append(ends[:min(len(ends), mostThinEnds)], c.w.moduleEnd())
		if g.heavy {
			c.w.found(ruleAmpContact, finding.Finding{
				Severity: finding.Warn, Head: several(c.labels(unique2(g.devices))) + ": the contacts carry " + amount(g.hi) + " mA and are made for " + amount(g.most) + " mA.",
				Body: "They will wear or weld. Let a pin light the lamp, or take contacts for more.", Ends: ends,
				Measure: &finding.Measure{Have: g.hi, Want: g.most, Unit: "mA", Sense: finding.AtMost}, Source: part.Source("circuit.rating"),
			})
			continue
		}
		pull := electric.E12.Down(g.volts / g.least * 1000)
		got := g.volts / pull * 1000
		class := g.class + " contact"
		if g.class == "" {
			class = "contact"
		}
		c.w.found(ruleAmpContact, finding.Finding{
			Head: plural(g.leads, class) + " " + map[bool]string{true: "gets", false: "get"}[g.leads == 1] + " " + span(g.lo, g.hi) + " mA from the pull-ups inside; their makers name " + span(g.want, g.least) + " mA as the least for a sure contact.",
			Body: fmt.Sprintf("Indoors most work all the same. Where a press gets lost after months, put %s from %s to %s V beside the pull-up inside: then %s mA flow while it is closed.",
				electric.FormatOhms(pull), map[bool]string{true: "the line that is read", false: "that lead"}[g.matrix], plain(g.volts), amount(got)),
			Ends: ends, Measure: &finding.Measure{Have: g.lo, Want: g.least, Unit: "mA", Sense: finding.AtLeast}, Source: part.Source("circuit.rating"),
			Why: "The skin that grows on silver is broken through by current; gold grows none.",
		})
	}
}

func unique2(in []int) []int {
	var out []int
	for _, v := range in {
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return out
}
