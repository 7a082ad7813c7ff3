package job

import (
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/trade/face"
)

// Side is what the trades of the face found about another board of the box that carries controls or openings.
type Side struct {
	Name     string // "the back"
	Panel    *panel.Panel
	Face     face.Result
	Drilling drilling.Result
}

// sides lets the trades of the face judge the other boards, each as a sheet of its own.
func sides(p *panel.Panel, plan func(*panel.Panel) drilling.Result) (out []Side, all []finding.Finding) {
	for _, s := range p.Sides {
		s.Panel.Limits = p.Limits // the limits in use are noted in one list
		r := Side{Name: s.Name, Panel: s.Panel, Face: face.Check(s.Panel), Drilling: plan(s.Panel)}
		r.Drilling.Findings = slices.DeleteFunc(r.Drilling.Findings, func(f finding.Finding) bool {
			return f.Rule == "drill.bits-assumed" // said of the face
		})
		onBoard(r.Name, r.Face.Findings)
		onBoard(r.Name, r.Drilling.Findings)
		all = append(append(all, r.Face.Findings...), r.Drilling.Findings...)
		out = append(out, r)
	}
	return out, all
}

// onBoard puts findings that were made as if the board were the face into words that name it.
func onBoard(name string, fs []finding.Finding) {
	words := strings.NewReplacer(
		"behind the face", "inside", "Behind the face", "Inside", "the face does not go down", "it does not go in", "before the face goes on; later the face has to come off",
		"before the box is closed", "on the face", "on "+name, "over the face", "over "+name, "leave the face", "leave "+name, " edge of the face", " edge of "+name, "corner of the face", "corner of "+name,
		"drill the face", "drill "+name, "from the face side", "from the outside", "the face cannot be taken off", "it cannot be taken off",
	)
	for i := range fs {
		f := &fs[i]
		f.On = name
		f.Head, f.Body, f.Why = "In "+name+": "+words.Replace(f.Head), words.Replace(f.Body), words.Replace(f.Why)
	}
}
