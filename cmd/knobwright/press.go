package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/stiffness"
)

type pressCmd struct {
	File  string  `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Reach float64 `help:"Propose ribs until no press gives more than so many mm; default: the limit press.springy." placeholder:"MM"`
	Write bool    `help:"Write the proposed ribs into the file."`
	Dry   bool    `name:"dry-run" help:"With --write: show what would change; write nothing."`
}

// Help is shown below the flags.
func (c *pressCmd) Help() string {
	return "How far the face gives under each press, how hard the sheet is pulled beside its openings, the fewest ribs that make it stiff, and what else would. A map of it is made by knobwright make."
}

// faceData is one face in the answer in JSON.
type faceData struct {
	Face     string      `json:"face"`
	Cannot   string      `json:"cannot,omitempty"`
	Loose    []string    `json:"loose,omitempty"`
	Thumb    float64     `json:"thumb_n"`
	Slip     float64     `json:"slip_n"`
	Limit    float64     `json:"limit_mm"`
	Hertz    float64     `json:"hertz,omitempty"`
	Presses  []pressData `json:"presses"`
	Proposal *ribsData   `json:"proposal,omitempty"`
	Ways     []wayData   `json:"ways,omitempty"`
	Notices  []string    `json:"notices,omitempty"`
}

// wayData is something else that makes a face stiffer.
type wayData struct {
	Say   string         `json:"say"`
	Ribs  int            `json:"ribs,omitempty"`
	Worst float64        `json:"worst_mm"`
	Edits []finding.Edit `json:"edits,omitempty"`
}

type pressData struct {
	Control  string  `json:"control"`
	Judged   bool    `json:"judged"`
	OnWood   bool    `json:"on_wood,omitempty"`
	Own      float64 `json:"own_mm,omitempty"`
	Thumb    float64 `json:"thumb_mm"`
	Slip     float64 `json:"slip_mm"`
	Ribs     float64 `json:"with_ribs_mm,omitempty"`
	Next     string  `json:"moves_most,omitempty"`
	NextMM   float64 `json:"moves_mm,omitempty"`
	Stress   float64 `json:"stress_mpa,omitempty"`
	Strength float64 `json:"strength_mpa,omitempty"`
}

type ribsData struct {
	Target  float64        `json:"target_mm"`
	Before  float64        `json:"before_mm"`
	After   float64        `json:"after_mm"`
	Reached bool           `json:"reached"`
	Ribs    []string       `json:"ribs"`
	Places  int            `json:"places"`
	Bound   float64        `json:"all_places_mm"`
	Say     string         `json:"say,omitempty"`
	Edits   []finding.Edit `json:"edits"`
}

func (c *pressCmd) Run(w *world, a *app) error {
	if c.Reach < 0 || c.Reach > 100 {
		return usage{"--reach is how many mm a press may give, above 0 to 100.", "knobwright press --reach 0.3"}
	}
	l, err := w.load(c.File, job.Run)
	if err != nil {
		return err
	}
	faces := l.result.Press.Faces
	if len(faces) == 0 {
		return usage{"No press can be reckoned yet: the face has no size, no sheet or no control.", "Write face: {width: , height: , sheet: } and a control with its place."}
	}
	var edits []finding.Edit
	targets := make([]float64, len(faces))
	for i, f := range faces {
		target := f.Springy
		if c.Reach > 0 {
			target = c.Reach
		}
		targets[i] = target
		if f.Proposal == nil || f.Proposal.Target != target {
			f.Propose(target)
		}
		if f.Proposal != nil {
			edits = append(edits, f.Proposal.Edits...)
		}
	}
	switch {
	case c.Write:
		return c.write(w, l, edits, a.Strict)
	case a.JSON:
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		var out []faceData
		for i, f := range faces {
			d := pressOf(f)
			for _, x := range f.Ways(l.cat, targets[i]) {
				d.Ways = append(d.Ways, wayData{x.Say, len(x.Ribs), x.Worst, x.Edits})
			}
			out = append(out, d)
		}
		return enc.Encode(out)
	}
	s := w.style()
	fmt.Fprintln(w.out, s.Bold(terminal.Clean(l.result.Panel.Title)))
	w.printAside(l.result.Findings)
	for i, f := range faces {
		w.printPress(f)
		w.printWays(f, f.Ways(l.cat, targets[i]), targets[i])
		if s := f.SayGrip(l.cat); s != "" && f.Springiest() > targets[i] {
			w.printWrapped(s)
		}
	}
	return nil
}

// write puts the proposed ribs into the file.
func (c *pressCmd) write(w *world, l *loaded, edits []finding.Edit, strict bool) error {
	if len(edits) == 0 {
		fmt.Fprintln(w.out, "No rib is proposed; the file is as it was.")
		return nil
	}
	out, err := l.doc.Apply(edits)
	if err != nil {
		return usage{say: "The ribs cannot be written into the file by itself: " + strings.TrimSuffix(err.Error(), ".") + ".", hint: "By hand they go under box.ribs."}
	}
	after, err := judge(l.path, out, job.Run)
	if err != nil {
		return err
	}
	printChange(w, l.doc.Src, out)
	if c.Dry {
		fmt.Fprintln(w.out, "Nothing written. Then it would say: "+terminal.Verdict(after.result.Findings))
		return nil
	}
	if err := safefile.Replace(l.path, l.doc.Src, out); err != nil {
		return usage{say: "The file was not written: " + strings.TrimSuffix(reason(err), ".") + ".", hint: "It is as it was."}
	}
	fmt.Fprintln(w.out, "In the file. Now: "+terminal.Verdict(after.result.Findings))
	return after.exit(strict)
}

// pressOf gathers what the command tells of a face.
func pressOf(f *stiffness.Face) faceData {
	d := faceData{Face: f.Name, Cannot: f.Failed, Loose: f.Loose, Thumb: f.Thumb, Slip: f.Slip, Limit: f.Springy, Hertz: f.Hertz, Presses: []pressData{}, Notices: f.Notices}
	for i, p := range f.Presses {
		x := pressData{
			Control: p.Control.Name, Judged: p.Judged, OnWood: p.OnWood, Own: p.Own, Thumb: p.Thumb, Slip: p.Slip,
			Next: p.Neighbour, NextMM: p.Along, Stress: p.Stress, Strength: p.Strength,
		}
		if pr := f.Proposal; pr != nil && len(pr.Ribs) > 0 {
			x.Ribs = pr.Gives[i]
		}
		d.Presses = append(d.Presses, x)
	}
	if pr := f.Proposal; pr != nil {
		d.Proposal = &ribsData{Target: pr.Target, Before: pr.Before, After: pr.After, Reached: pr.Reached, Ribs: []string{}, Places: pr.Places, Bound: pr.Bound, Say: pr.SayBound(), Edits: pr.Edits}
		for _, e := range pr.Edits {
			d.Proposal.Ribs = append(d.Proposal.Ribs, e.Path[strings.LastIndexByte(e.Path, '.')+1:]+": "+e.Value)
		}
	}
	return d
}

// printAside tells what of the file is not as it is written, where it decides about presses: units, a sheet, ribs, limits that are no such, a box that cannot be.
func (w world) printAside(fs []finding.Finding) {
	about := func(x finding.Finding) bool {
		if x.Severity != finding.Stop {
			return false
		}
		if x.Rule == "box.impossible" { // what of it cannot be is left out of the panel
			return true
		}
		if !strings.HasPrefix(x.Rule, "file.") && !strings.HasPrefix(x.Rule, "place.") {
			return false
		}
		for _, e := range x.Ends {
			for _, p := range []string{"units", "face.width", "face.height", "face.grain", "face.sheet", "face.holes", "face.fixings", "box.ribs", "box.upper", "box.rib-free", "box.walls", "box.ledge", "limits.press"} {
				if strings.HasPrefix(e.Path, p) {
					return true
				}
			}
		}
		return false
	}
	impossible := false
	for _, x := range fs {
		if about(x) {
			fmt.Fprintln(w.out, terminal.Clean(strings.TrimSpace("STOP: "+x.Head+" "+x.Body)))
			impossible = impossible || x.Rule == "box.impossible"
		}
	}
	if impossible {
		fmt.Fprintln(w.out, "What cannot be built is left out of what follows.")
	}
}

// giveText writes a give, mm or inches: beyond 100 mm no number means anything.
func giveText(v float64, inches bool) string {
	switch {
	case v > 100 && inches:
		return ">4"
	case v > 100:
		return ">100"
	case inches:
		return fmt.Sprintf("%.3f", v/length.PerInch)
	}
	return fmt.Sprintf("%.2f", v)
}

// giveUnit writes a give with its unit.
func giveUnit(v float64, inches bool) string {
	if inches {
		return giveText(v, true) + " in"
	}
	return giveText(v, false) + " mm"
}

// printPress tells one face.
func (w world) printPress(f *stiffness.Face) {
	s := w.style()
	clean := terminal.Clean
	fmt.Fprintln(w.out)
	switch {
	case f.Failed != "":
		fmt.Fprintf(w.out, "%s: it cannot be reckoned how far it gives: %s.\n", clean(finding.Capital(f.Name)), clean(f.Failed))
		return
	case len(f.Loose) > 0:
		fmt.Fprintf(w.out, "%s. Nothing can be said of how far it gives.\n", clean(finding.Capital(strings.ReplaceAll(strings.Join(f.Loose, "; "), "the sheet", f.Name))))
		return
	}
	inches := f.Inches()
	thick, unit := fmt.Sprintf("%.4g mm", f.Thickness), "mm"
	if inches {
		thick, unit = fmt.Sprintf("%.3f in", f.Thickness/length.PerInch), "inches"
	}
	fmt.Fprintf(w.out, "%s, %s of %s: %s under a thumb of %s N, and under the control's own force\n", clean(finding.Capital(f.Name)), thick, clean(f.Material.Word), unit, length.Plain(f.Thumb))
	if f.Thumb <= 0 {
		fmt.Fprintln(w.out, "The limit press.thumb is 0 N: nothing presses, and nothing is judged.")
	}
	most := f.Springy
	for _, p := range f.Presses {
		most = max(most, p.Thumb)
	}
	ribs := f.Proposal != nil && len(f.Proposal.Ribs) > 0
	for i, p := range f.Presses {
		bar := strings.Repeat("#", int(p.Thumb/most*24+0.5))
		limit := int(f.Springy/most*24 + 0.5)
		if len(bar) < limit {
			bar += strings.Repeat(" ", limit-len(bar)) + "|"
		} else {
			bar = bar[:limit] + "|" + bar[limit:]
		}
		say, after, own := "", "", ""
		switch {
		case p.OnWood:
			say = "stands over wood"
		case !p.Judged:
			say = "not judged: it is not worked by hand"
		case f.Thumb <= 0:
		case p.Thumb > f.Springy:
			say = "springy"
		case p.Thumb <= f.Solid:
			say = "solid"
		}
		if ribs {
			after = fmt.Sprintf("%6s with ribs", giveText(f.Proposal.Gives[i], inches))
		}
		if p.Own > 0 {
			own = giveText(p.Own, inches)
		}
		fmt.Fprintf(w.out, "  %-20s %5s %5s %s  %-26s %s\n", clean(p.Control.Label), giveText(p.Thumb, inches), own, after, bar, s.Quiet(say))
	}
	for _, say := range pressSays(f) {
		w.printWrapped(say)
	}
	w.printRibs(f)
}

// printWrapped prints a paragraph in lines.
func (w world) printWrapped(s string) {
	for _, t := range terminal.Wrap(s, 76) {
		fmt.Fprintln(w.out, terminal.Clean(t))
	}
}

// pressSays is what there is to say of a face beside its list: what moves along, the pull beside openings, how it rings, how far the numbers are
// to be trusted.
func pressSays(f *stiffness.Face) (out []string) {
	inches := f.Inches()
	if f.Worst >= 0 && f.Thumb > 0 {
		if p := f.Presses[f.Worst]; p.Neighbour != "" && p.Along >= 0.05 {
			out = append(out, fmt.Sprintf("A thumb on %s moves %s along by %s.", p.Control.Label, p.Neighbour, giveUnit(p.Along, inches)))
		}
	}
	if s := slipSay(f); s != "" {
		out = append(out, s)
	}
	if f.Hertz > 0 {
		s := fmt.Sprintf("With all on it the face rings at about %.0f Hz.", f.Hertz)
		if f.Hertz < stiffness.Rattles {
			s += " That is low: it may rattle beside a loudspeaker or on a moving stage."
		}
		out = append(out, s)
	}
	if f.Springiest() > f.Thickness/2 {
		out = append(out, "Beyond half the thickness, "+giveUnit(f.Thickness/2, inches)+", a real sheet is stiffer than reckoned: take such numbers as a sign, not as a measure.")
	}
	for _, n := range f.Notices {
		out = append(out, finding.Capital(n)+".")
	}
	return out
}

// slipSay tells of the slip that comes nearest to the strength of the sheet.
func slipSay(f *stiffness.Face) string {
	worst, near := -1, 0
	for i, p := range f.Presses {
		if p.Factor() <= 0 {
			continue
		}
		if worst < 0 || p.Factor() < f.Presses[worst].Factor() {
			worst = i
		}
		if p.Factor() < f.Wanted {
			near++
		}
	}
	if worst < 0 {
		return ""
	}
	p := f.Presses[worst]
	s := fmt.Sprintf("A hand that slips onto %s with %s N pulls the edge of the opening of %s with %.3g MPa (good to a fifth); the sheet bears %.3g, %.1f times as much", p.Control.Label, length.Plain(f.Slip), p.Beside, p.Stress, p.Strength, p.Factor())
	switch {
	case p.Factor() < 1:
		s += ": it breaks there or stays bent."
	case near > 1:
		s += fmt.Sprintf(", and %.4g times is wanted. So it is with %s.", f.Wanted, plural(near-1, "other control", "other controls"))
	case near == 1:
		s += fmt.Sprintf(", and %.4g times is wanted.", f.Wanted)
	default:
		s += "."
	}
	if p.Sharp {
		s += " At the sharp corners of that opening no number holds: round them, 3 mm or more."
	}
	return s
}

// printWays tells what else makes a face stiffer, with what it leaves.
func (w world) printWays(f *stiffness.Face, ways []stiffness.Way, target float64) {
	if len(ways) == 0 {
		return
	}
	fmt.Fprintln(w.out)
	fmt.Fprintln(w.out, "What else makes it stiffer, and what the worst press then gives:")
	for _, x := range ways {
		say, enough := x.Say, ""
		if len(x.Edits) > 0 && strings.HasSuffix(x.Edits[0].Path, ".sheet") {
			say += " (" + x.Edits[0].Value + ")"
		}
		if n := len(x.Ribs); n > 0 {
			say += ", with " + plural(n, "rib", "ribs")
		}
		if x.Worst <= target {
			enough = "enough"
		}
		fmt.Fprintf(w.out, "  %-66s %9s  %s\n", terminal.Clean(say), giveUnit(x.Worst, f.Inches()), w.style().Quiet(enough))
	}
}

// giveLimit writes a limit as it was set.
func giveLimit(v float64, inches bool) string {
	if inches {
		return giveUnit(v, true)
	}
	return fmt.Sprintf("%.4g mm", v)
}

// printRibs tells the proposed ribs.
func (w world) printRibs(f *stiffness.Face) {
	pr, inches := f.Proposal, f.Inches()
	if pr == nil || f.Worst < 0 {
		return
	}
	fmt.Fprintln(w.out)
	switch {
	case pr.Before <= pr.Target:
		fmt.Fprintf(w.out, "No rib is needed: no press gives more than %s.\n", giveLimit(pr.Target, inches))
		return
	case len(pr.Ribs) == 0 && pr.Places == 0:
		fmt.Fprintln(w.out, "There is no room behind the face for a rib of this stock; see press.rib-width and press.rib-height.")
	case len(pr.Ribs) == 0:
		fmt.Fprintf(w.out, "None of %s for a rib helps.\n", plural(pr.Places, "place", "places"))
	default:
		enough := "."
		if !pr.Reached {
			enough = ", still more than " + giveLimit(pr.Target, inches) + "."
		}
		fmt.Fprintf(w.out, "With %s the worst press goes from %s to %s%s\n", plural(len(pr.Ribs), "more rib", "more ribs"), giveUnit(pr.Before, inches), giveUnit(pr.After, inches), enough)
		for _, e := range pr.Edits {
			fmt.Fprintf(w.out, "  %s: %s\n", e.Path, terminal.Clean(e.Value))
		}
		fmt.Fprintln(w.out, w.style().Quiet("Into the file: knobwright press --write"))
	}
	if s := pr.SayBound(); s != "" {
		for _, t := range terminal.Wrap(s, 76) {
			fmt.Fprintln(w.out, t)
		}
	}
}
