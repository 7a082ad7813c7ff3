package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/job"
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
	return "How far the face gives under each press, how hard the sheet is pulled beside its openings, and the fewest ribs that make it stiff. A map of it is made by knobwright make."
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
	for _, f := range faces {
		target := f.Springy
		if c.Reach > 0 {
			target = c.Reach
		}
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
		for _, f := range faces {
			out = append(out, pressOf(f))
		}
		return enc.Encode(out)
	}
	s := w.style()
	fmt.Fprintln(w.out, s.Bold(terminal.Clean(l.result.Panel.Title)))
	w.printAside(l.result.Findings)
	for _, f := range faces {
		w.printPress(f)
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
	d := faceData{Face: f.Name, Cannot: f.Failed, Loose: f.Loose, Thumb: f.Thumb, Slip: f.Slip, Limit: f.Springy, Hertz: f.Hertz, Presses: []pressData{}}
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

// printAside tells what of the file is not as it is written, where it decides about presses: a sheet, ribs, limits that are no such.
func (w world) printAside(fs []finding.Finding) {
	about := func(x finding.Finding) bool {
		if x.Severity != finding.Stop || !strings.HasPrefix(x.Rule, "file.") && !strings.HasPrefix(x.Rule, "place.") {
			return false
		}
		for _, e := range x.Ends {
			for _, p := range []string{"face.sheet", "face.holes", "face.fixings", "box.ribs", "box.upper", "box.rib-free", "box.walls", "box.ledge", "limits.press"} {
				if strings.HasPrefix(e.Path, p) {
					return true
				}
			}
		}
		return false
	}
	for _, x := range fs {
		if about(x) {
			fmt.Fprintln(w.out, terminal.Clean(strings.TrimSpace("STOP: "+x.Head+" "+x.Body)))
		}
	}
}

// giveText writes a give: beyond 100 mm no number means anything.
func giveText(v float64) string {
	if v > 100 {
		return ">100"
	}
	return fmt.Sprintf("%.2f", v)
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
	fmt.Fprintf(w.out, "%s, %.4g mm of %s: mm under a thumb of %.0f N, and under the control's own force\n", clean(finding.Capital(f.Name)), f.Thickness, clean(f.Material.Name), f.Thumb)
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
		case p.Thumb > f.Springy:
			say = "springy"
		case p.Thumb <= f.Solid:
			say = "solid"
		}
		if ribs {
			after = fmt.Sprintf("%6s with ribs", giveText(f.Proposal.Gives[i]))
		}
		if p.Own > 0 {
			own = giveText(p.Own)
		}
		fmt.Fprintf(w.out, "  %-20s %5s %5s %s  %-26s %s\n", clean(p.Control.Label), giveText(p.Thumb), own, after, bar, s.Quiet(say))
	}
	if f.Hertz > 0 {
		fmt.Fprintf(w.out, "With all on it the face rings at about %.0f Hz.\n", f.Hertz)
	}
	for _, n := range f.Notices {
		for _, t := range terminal.Wrap(finding.Capital(n)+".", 76) {
			fmt.Fprintln(w.out, clean(t))
		}
	}
	w.printRibs(f)
}

// printRibs tells the proposed ribs.
func (w world) printRibs(f *stiffness.Face) {
	pr := f.Proposal
	if pr == nil {
		return
	}
	fmt.Fprintln(w.out)
	switch {
	case pr.Before <= pr.Target:
		fmt.Fprintf(w.out, "No rib is needed: no press gives more than %.4g mm.\n", pr.Target)
		return
	case len(pr.Ribs) == 0 && pr.Places == 0:
		fmt.Fprintln(w.out, "There is no room behind the face for a rib of this stock; see press.rib-width and press.rib-height.")
	case len(pr.Ribs) == 0:
		fmt.Fprintf(w.out, "None of %s for a rib helps.\n", plural(pr.Places, "place", "places"))
	default:
		enough := "."
		if !pr.Reached {
			enough = fmt.Sprintf(", still more than %.4g mm.", pr.Target)
		}
		fmt.Fprintf(w.out, "With %s the worst press goes from %.2f mm to %.2f mm%s\n", plural(len(pr.Ribs), "more rib", "more ribs"), pr.Before, pr.After, enough)
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
