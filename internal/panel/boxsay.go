package panel

import (
	"regexp"
	"strconv"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/length"
)

// problem says a problem of the box in terms of the file.
func (pl *placer) problem(q carcass.Problem) {
	if q.Kind == carcass.Missing && pl.refused(q.Ends) {
		return // what was given in its place is said to be no size
	}
	head, body := parted(pl.inUnits(q.Text))
	f := finding.Finding{Head: head, Body: body}
	for _, e := range q.Ends {
		end := pl.boxEnd(e.Name)
		if len(f.Ends) == 0 || f.Ends[len(f.Ends)-1] != end {
			f.Ends = append(f.Ends, end)
		}
	}
	if len(f.Ends) == 0 {
		f.Ends = []finding.End{pl.end("the box", "box")}
	}
	if q.Have != 0 || q.Want != 0 {
		f.Measure = &finding.Measure{Have: q.Have, Want: q.Want, Unit: "mm"}
		if len(q.Ends) > 0 {
			f.Measure.Unit = q.Ends[0].Unit
		}
		if q.AtMost {
			f.Measure.Sense = finding.AtMost
		}
	}
	rule := ruleImpossible
	switch q.Kind {
	case carcass.Missing:
		rule = ruleSizesMissing
		pl.missingSizes(q, &f, &rule)
	case carcass.Disagree:
		rule = ruleSizesDisagree
		f.Measure.Sense, f.Measure.WantMax = finding.Between, q.Want
		f.Fixes = pl.agree(q)
	case carcass.NoEntry:
		rule = ruleNoEntry
	case carcass.NotASize:
		rule = ruleBadSize
	}
	if !pl.once("box: " + rule.Name + " " + q.Text) {
		pl.say(rule, f)
	}
}

// refused reports whether one of the sizes stands in the file: then it is no size, and that has been said.
func (pl *placer) refused(ends []carcass.End) bool {
	for _, e := range ends {
		if paths := fieldPaths(e.Name); len(paths) > 0 && pl.written(paths[0]) {
			return true
		}
	}
	return false
}

// missingSizes says which keys of the file would settle the box.
func (pl *placer) missingSizes(q carcass.Problem, f *finding.Finding, rule *finding.Rule) {
	f.Measure = nil
	f.Ends = []finding.End{pl.end("the box", "box")}
	var keys []string
	for _, e := range q.Ends {
		if k := fieldKey(e.Name); k != "" {
			keys = append(keys, k)
		}
	}
	switch {
	case pl.spec.Form == carcass.Flat && q.Want == 1:
		*rule = ruleUnfinished
		f.Head, f.Body = "The box has no depth yet.", "Write depth: the clear room behind the sheet. Until then depths are not checked."
	case len(keys) > 0 && q.Want >= 1:
		n := int(q.Want)
		f.Head = "The box is not settled yet: " + sizesAre(n) + " wanted."
		f.Body = "Write " + [...]string{"", "one", "two", "three", "four", "five"}[min(n, 5)] + " of " + strings.Join(keys, " ") + ". Until then nothing behind the face is checked."
	}
}

func sizesAre(n int) string {
	if n == 1 {
		return "one size is"
	}
	return itoa(n) + " sizes are"
}

// agree gives the fixes of sizes that contradict each other: change the odd one, or take it out.
func (pl *placer) agree(q carcass.Problem) []finding.Fix {
	e := q.Ends[0]
	paths := fieldPaths(e.Name)
	if len(paths) == 0 || !pl.written(paths[0]) {
		return nil
	}
	path, end := paths[0], pl.boxEnd(e.Name)
	shown, value := pl.p.mm(q.Want), pl.p.num(q.Want)
	if e.Unit == "deg" {
		shown, value = length.Plain(q.Want)+"°", length.Plain(q.Want)+" deg"
	}
	fixes := []finding.Fix{setTo("Make "+end.Name+" "+shown, path, value)}
	if _, err := strconv.Atoi(path[strings.LastIndexByte(path, '.')+1:]); err != nil {
		fixes = append(fixes, finding.Fix{Say: "Take " + end.Name + " out", Short: "no " + path[len(parent(path)):], Edits: []finding.Edit{{Op: finding.Delete, Path: path}}})
	}
	return fixes
}

// boxEnd gives what a problem of the box is about as an end in the file.
func (pl *placer) boxEnd(f carcass.Field) finding.End {
	if path := pl.ribPath(string(f)); path != "" {
		return pl.end("the "+string(f), path)
	}
	name := "the " + string(f)
	if n, ok := fieldNames[f]; ok {
		name = n
	}
	return pl.end(name, pl.firstPath(append(fieldPaths(f), "box")...))
}

// fieldNames says in the words of the file what package carcass names for its own use.
var fieldNames = map[carcass.Field]string{
	carcass.FWidth: "the width of the box", carcass.FDepth: "the depth from front to back", carcass.FFrontHeight: "the height in front",
	carcass.FBackHeight: "the height behind", carcass.FFaceWidth: "the width of the face", carcass.FFaceHeight: "the height of the face",
	carcass.FClear: "the depth behind the face", carcass.FSlope: "the slope", carcass.FHandRest: "the hand rest", carcass.FUpperSlope: "the slope of the upper face",
	carcass.FUpperHeight: "the height of the upper face", carcass.FUnits: "the rack units", "overhang": "the inset of the walls",
	"thickness of the walls": "the walls", "thickness of the base": "the base", "thickness of the face": "the sheet",
}

// fieldPaths gives where in the file a size or a part of the box may stand, the likeliest place first.
func fieldPaths(f carcass.Field) []string {
	switch f {
	case carcass.FWidth:
		return []string{"box.outside.0", "box.outside", "face.width", "face.rack"}
	case carcass.FDepth:
		return []string{"box.outside.1", "box.outside"}
	case carcass.FFrontHeight:
		return []string{"box.front"}
	case carcass.FBackHeight:
		return []string{"box.back"}
	case carcass.FFaceWidth:
		return []string{"face.width", "face.rack", "face"}
	case carcass.FFaceHeight:
		return []string{"face.height", "face.rack", "face"}
	case carcass.FClear:
		return []string{"box.depth"}
	case carcass.FSlope:
		return []string{"box.slope"}
	case carcass.FHandRest:
		return []string{"box.rest.depth", "box.rest"}
	case carcass.FUpperSlope:
		return []string{"box.upper.slope", "box.upper"}
	case carcass.FUpperHeight:
		return []string{"box.upper.height", "box.upper"}
	case carcass.FMiddleHeight:
		return []string{"box.upper"}
	case carcass.FUnits:
		return []string{"face.rack", "face"}
	case "overhang":
		return []string{"box.inset"}
	case "thickness of the walls":
		return []string{"box.walls.actual", "box.walls"}
	case "thickness of the base", "base":
		return []string{"box.base.actual", "box.base", "box.walls"}
	case "thickness of the face", "face":
		return []string{"face.sheet.actual", "face.sheet", "face"}
	case "play of the face", "play of the base":
		return []string{"box.play"}
	}
	switch s := string(f); {
	case strings.HasPrefix(s, "ledge"):
		return []string{"box.ledge", "box.face"}
	case strings.Contains(s, "glue block"):
		return []string{"box.blocks"}
	case strings.HasPrefix(s, "cleat"):
		return []string{"box.cleat", "box.base-fit"}
	case strings.Contains(s, "finger") || strings.Contains(s, "corner") || strings.Contains(s, "rebate"):
		return []string{"box.corners"}
	}
	return []string{"box.walls"}
}

// fieldKey gives the key of the file for a size that could be given, "" when there is none.
func fieldKey(f carcass.Field) string {
	switch f {
	case carcass.FFrontHeight:
		return "front:"
	case carcass.FBackHeight:
		return "back:"
	case carcass.FSlope:
		return "slope:"
	case carcass.FClear:
		return "depth:"
	case carcass.FDepth:
		return "outside:"
	case carcass.FFaceHeight:
		return "height: (of the face)"
	case carcass.FUpperSlope:
		return "upper: {slope:}"
	case carcass.FUpperHeight:
		return "upper: {height:}"
	}
	return ""
}

var lengthInText = regexp.MustCompile(`-?\d+(?:\.\d+)? mm`)

// inUnits puts the lengths of a text into the person's unit.
func (pl *placer) inUnits(text string) string {
	if pl.p.Units != string(length.Inch) {
		return text
	}
	return lengthInText.ReplaceAllStringFunc(text, func(s string) string {
		v, err := strconv.ParseFloat(strings.TrimSuffix(s, " mm"), 64)
		if err != nil {
			return s
		}
		return pl.p.mm(v)
	})
}

// parted gives the first sentence of a text, and the rest.
func parted(text string) (head, rest string) {
	for _, end := range []string{". ", "? "} {
		if h, r, ok := strings.Cut(text, end); ok {
			return h + end[:1], r
		}
	}
	return text, ""
}
