package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/record/built"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/diagnosis"
)

// mostCauses is how many explanations are shown.
const mostCauses = 5

// cause is an explanation as it is told, and as JSON.
type causeTold struct {
	N      int                `json:"n"`
	P      float64            `json:"p"`
	Faults []diagnosis.Fault  `json:"faults"`
	Says   []string           `json:"says"`
	Iron   []string           `json:"iron,omitempty"`
	Table  []string           `json:"table,omitempty"`
	Also   []string           `json:"also,omitempty"` // other words for the same
	Check  string             `json:"check,omitempty"`
	Where  []diagnosis.Spot   `json:"where,omitempty"`
	fixes  []diagnosis.Remedy // without solder; none: it needs the iron
	group  int
}

func (b *sitting) causes(v diagnosis.Verdict) []causeTold {
	var out []causeTold
	for g, group := range v.Groups {
		for _, c := range group.Causes {
			if len(out) == mostCauses {
				return out
			}
			out = append(out, b.cause(c, len(out)+1, g))
		}
	}
	return out
}

func (b *sitting) cause(c diagnosis.Cause, n, group int) causeTold {
	x := causeTold{N: n, P: c.P, Faults: c.Faults, group: group}
	for _, f := range c.Faults {
		e := b.walk1.Model.Explain(f)
		x.Says = append(x.Says, upper(say(e.Say)))
		if !e.Iron.Zero() {
			x.Iron = append(x.Iron, say(e.Iron))
		}
		for _, t := range e.Table {
			x.Table = append(x.Table, say(t))
		}
		if !e.Only.Zero() {
			x.Iron = append(x.Iron, say(e.Only))
		}
		if e.Check != nil && x.Check == "" {
			x.Check = say(b.walk1.Model.AskSay(*e.Check)) + ": " + say(e.Tells)
		}
		x.Where = append(x.Where, e.Spots...)
	}
	for _, also := range c.Also {
		var says []string
		for _, f := range also {
			says = append(says, say(b.walk1.Model.Explain(f).Say))
		}
		x.Also = append(x.Also, strings.Join(says, " "))
	}
	if x.fixes, _ = b.walk1.Model.Remedies(c.Faults); len(x.fixes) == 0 {
		x.Table = nil // one of two alone would leave the other
	}
	return x
}

// result tells the verdict, takes what is accepted, and gives the exit code: 0 all right, 1 with open lines under --strict, 2 something is
// wrong. offer: the person is still there, and may leave an explanation as it is.
func (b *sitting) result(offer bool) error {
	v := b.walk1.Verdict()
	right, wrong, open := b.walk1.Counts()
	all := b.causes(v)
	if b.a.JSON {
		if err := b.json(map[string]any{
			"right": right, "wrong": wrong, "open": open, "asked": b.walk1.Asked, "verdict_right": v.Right, "sure": v.Sure, "pairs": v.Pairs, "causes": all,
			"lines": b.walk1.Judged,
		}); err != nil {
			return err
		}
	} else {
		b.tellResult(v, all, right, wrong, open)
	}
	if b.c.Accept > 0 {
		return b.accept(all, b.c.Accept)
	}
	if n := b.which(all); offer && !b.a.JSON && b.walk1.Source().ByHand() && len(n) > 0 {
		if took, err := b.offer(all, n); took || err != nil {
			return err
		}
	}
	switch {
	case wrong > 0:
		return code(exitStops)
	case open > 0 && b.a.Strict:
		return code(exitWarnings)
	}
	return nil
}

// which lists the numbers of the explanations that are shown and can be left as they are.
func (b *sitting) which(all []causeTold) []string {
	var out []string
	for _, x := range shownOf(all) {
		if len(x.fixes) > 0 {
			out = append(out, strconv.Itoa(x.N))
		}
	}
	return out
}

// offer asks whether an explanation is to be left as it is.
func (b *sitting) offer(all []causeTold, can []string) (took bool, err error) {
	for {
		fmt.Fprintf(b.w.out, "\nLeave one as it is, without solder? (%s; Enter: none)\n", strings.Join(can, ", "))
		s, ok := b.line()
		if !ok || s == "" || s == "q" || s == "s" || s == "n" {
			return false, nil
		}
		if slices.Contains(can, s) {
			n, _ := strconv.Atoi(s)
			return true, b.accept(all, n)
		}
	}
}

// shownOf leaves out explanations that are hardly worth a look.
func shownOf(all []causeTold) []causeTold {
	for i, x := range all {
		if i > 0 && x.P < 0.01*all[0].P {
			return all[:i]
		}
	}
	return all
}

func (b *sitting) tellResult(v diagnosis.Verdict, all []causeTold, right, wrong, open int) {
	out, s := b.w.out, b.w.style()
	fmt.Fprintln(out)
	counts := plural(right, "line", "lines") + " right"
	if wrong > 0 {
		counts += fmt.Sprintf(", %d not", wrong)
	}
	if open > 0 {
		counts += fmt.Sprintf(", %d open", open)
	}
	fmt.Fprintln(out, s.Bold(counts+"."))
	if b.live != nil {
		if n := b.live.Bad(); n > 0 {
			fmt.Fprintf(out, "%s came that made no sense, and %s passed over. A cable that is too long or a hub can do that.\n", plural(n, "report", "reports"), map[bool]string{true: "was", false: "were"}[n == 1])
		}
	}
	if wrong == 0 && v.Right {
		return
	}
	if len(all) == 0 {
		switch {
		case wrong > 0 && v.Right:
			fmt.Fprintln(out, "No fault is needed to explain it: a hand can do that too. Do the lines that are not right once more.")
		case wrong > 0:
			fmt.Fprintln(out, "No single fault and no pair of faults explains what was seen. Go through the continuity list with the meter.")
		}
		return
	}
	switch n := alike(all); {
	case n > 1:
		fmt.Fprintf(out, "\nThe first %d cannot be told apart by what the panel shows.\n", n)
		how := "No reading of a meter tells them apart either: try them in this order."
		if a, ok := b.walk1.Apart(v.Groups[0]); ok {
			how = "Measure here: " + say(b.walk1.Model.AskSay(a.Act)) + "."
		}
		b.wrapped(how)
	case v.Pairs:
		fmt.Fprintln(out, "\nNo single fault explains it; two together do:")
	default:
		fmt.Fprintln(out, "\nMost likely:")
	}
	for _, x := range shownOf(all) {
		fmt.Fprintf(out, "\n%2d  %s  %s\n", x.N, s.Bold(strings.Join(x.Says, " ")), s.Quiet(chance(x.P)))
		for _, s := range x.Also {
			b.more("It comes to the same: ", []string{s})
		}
		b.more("", x.Iron)
		b.more("", x.Table)
		if x.Check != "" {
			b.more("To be sure: ", []string{x.Check})
		}
		if len(x.Where) > 0 && x.Where[0].Known && x.Where[0].Control != "" {
			b.more("Where: ", []string{fmt.Sprintf("%s, %.0f mm from the left and %.0f mm up, as seen from the front.", terminal.Clean(x.Where[0].Label), x.Where[0].X, x.Where[0].Y)})
		}
	}
	if can := b.which(all); len(can) > 0 && b.c.Accept == 0 && !b.walk1.Source().ByHand() {
		fmt.Fprintln(out, "\n"+s.Quiet("Leave it as it is, without solder: the same again with --accept "+strings.Join(can, " or ")+"."))
	}
}

func (b *sitting) wrapped(s string) {
	for _, t := range terminal.Wrap(terminal.Clean(s), 72) {
		fmt.Fprintln(b.w.out, t)
	}
}

// alike counts the explanations at the head that show the same and are about as likely.
func alike(all []causeTold) int {
	n := 0
	for _, x := range all {
		if x.group == all[0].group && x.P > 0.05*all[0].P {
			n++
		}
	}
	return n
}

func (b *sitting) more(head string, lines []string) {
	for _, l := range lines {
		for i, t := range terminal.Wrap(head+terminal.Clean(l), 70) {
			if i > 0 {
				t = "  " + t
			}
			fmt.Fprintln(b.w.out, "    "+t)
		}
	}
}

func chance(p float64) string {
	switch {
	case p > 0.9:
		return "almost sure"
	case p > 0.5:
		return "likely"
	case p > 0.15:
		return "possible"
	}
	return "less likely"
}

// accept keeps an explanation as it is: facts in the record, which table and papers follow.
func (b *sitting) accept(all []causeTold, n int) error {
	if n > len(all) {
		return usage{say: fmt.Sprintf("There is no explanation %d: %s.", n, plural(len(all), "explanation was found", "explanations were found"))}
	}
	x := all[n-1]
	if len(x.fixes) == 0 {
		return usage{say: fmt.Sprintf("Explanation %d cannot be left as it is: it needs the iron.", n), hint: strings.Join(terminal.Wrap(strings.Join(x.Iron, " "), 70), "\n")}
	}
	var kept []record.Fact
	err := shelf.Change(b.l.path, func(r *record.Record) error {
		kept = kept[:0]
		src, err := readLimited(b.l.path)
		if err != nil {
			return err
		}
		text, _, _ := built.Lay(b.name, src, r)
		for _, f := range x.fixes {
			fact := f.Fact
			fact.On = b.on.Format("2006-01-02")
			if len(fact.Edits) > 0 {
				if text, err = project.Read(b.name, text).Apply(fact.Edits); err != nil {
					return err
				}
			}
			kept = append(kept, r.Add(fact))
		}
		return nil
	})
	if err != nil {
		return usage{say: "Nothing was kept: " + strings.TrimSuffix(reason(err), ".") + "."}
	}
	for _, f := range kept {
		fmt.Fprintf(b.w.out, "\nKept as %s in %s: %s\n", f.ID, terminal.Clean(shown(b.w, record.Beside(b.l.path))), terminal.Clean(f.What))
		rest := 0
		for _, e := range f.Edits {
			if p, ok := strings.CutPrefix(e.Path, "wiring.pins."); ok && len(f.Edits) > 8 && !slices.ContainsFunc(f.Of, func(c string) bool { return p == c || strings.HasPrefix(p, c+"/") }) {
				rest++ // settled where it is, so that nothing else moves
				continue
			}
			fmt.Fprintf(b.w.out, "  %s\n", b.w.style().Quiet(terminal.Clean(editWords(e))))
		}
		if rest > 0 {
			fmt.Fprintf(b.w.out, "  %s\n", b.w.style().Quiet(plural(rest, "other pin is", "other pins are")+" written down too, so that nothing else moves"))
		}
	}
	fmt.Fprintln(b.w.out, "knobwright make and the image follow it; put the new image on the module: knobwright flash")
	return nil
}

func editWords(e finding.Edit) string {
	if e.Op == finding.Delete {
		return e.Path + " is taken out"
	}
	return e.Path + ": " + e.Value
}
