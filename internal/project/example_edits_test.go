package project_test

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// paths gives every path of a tree, with the values as flow text where they are scalars.
func paths(n *yaml.Node, at string, f func(path string, n *yaml.Node, key bool)) {
	for i, c := range n.Content {
		step, key := "", false
		switch {
		case n.Kind == yaml.DocumentNode:
			paths(c, at, f)
			continue
		case n.Kind == yaml.MappingNode && i%2 == 0:
			continue
		case n.Kind == yaml.MappingNode:
			step, key = n.Content[i-1].Value, true
		default:
			step = string(rune('0' + i))
		}
		p := strings.TrimPrefix(at+"."+step, ".")
		f(p, c, key)
		paths(c, p, f)
	}
}

// Every value of the example can be set to itself without a byte changing, set to something else, taken out, and every
// word be changed; each time only lines of that value change, and all comments but those of what is taken out stay.
func TestEditEverything(t *testing.T) {
	desk, err := os.ReadFile("testdata/desk.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, src := range [][]byte{desk, bytes.ReplaceAll(desk, []byte("\n"), []byte("\r\n"))} {
		d := project.Read("x.yaml", src)
		lines := bytes.SplitAfter(src, []byte("\n"))
		n, refused := 0, 0
		try := func(ed finding.Edit, same bool) []byte {
			n++
			out, err := d.Apply([]finding.Edit{ed})
			if err != nil {
				refused++
				if tooMany := ed.Value == "[7, 8, 9]" && strings.Contains(err.Error(), "list there has 2"); !tooMany && !(ed.Path == "controls" && strings.Contains(err.Error(), "Comments")) {
					t.Errorf("%+v: %v", ed, err)
				}
				return src
			}
			if same != bytes.Equal(out, src) {
				t.Errorf("%+v: same bytes: %v", ed, !same)
			}
			now := bytes.SplitAfter(out, []byte("\n"))
			a := 0
			for a < min(len(lines), len(now)) && bytes.Equal(lines[a], now[a]) {
				a++
			}
			b := 0
			for b < min(len(lines), len(now))-a && bytes.Equal(lines[len(lines)-1-b], now[len(now)-1-b]) {
				b++
			}
			p, k := d.Pos(ed.Path), d.KeyPos(ed.Path)
			if k.Line > 0 {
				p = k
			}
			// the lines that change begin at the line of the edited thing, or at the one above for a block that becomes empty
			if !same && p.Line > 0 && (a+1 < p.Line-1 || ed.Op == finding.Rename && (a+1 != p.Line || len(lines)-b != p.Line)) {
				t.Errorf("%+v: lines %d to %d changed, it stands on line %d", ed, a+1, len(lines)-b, p.Line)
			}
			return out
		}
		paths(node(t, string(desk)), "", func(p string, v *yaml.Node, key bool) {
			switch v.Kind {
			case yaml.ScalarNode:
				text := v.Value
				if v.Value == "" {
					text = `""`
				}
				try(set(p, text), true)
				out := try(set(p, "7.25"), false)
				back, err := project.Read("x.yaml", out).Apply([]finding.Edit{set(p, text)})
				if err != nil || !bytes.Equal(back, src) && v.Style == 0 {
					t.Errorf("%s there and back: %v", p, err)
				}
			default:
				try(set(p, "[7, 8, 9]"), false)
				try(set(p, "{seven: [8, 9]}"), false)
			}
			out := try(del(p), false)
			if e := project.Read("x.yaml", out); len(strings.Split(p, ".")) > 1 && key && (e.KeyPos(p).Line > 0 || slices.Contains(e.File.Controls.Keys, p)) {
				t.Errorf("%s is still there", p)
			}
			if key && !strings.Contains(p, "sends") {
				parent := p[:strings.LastIndexByte(p, '.')+1]
				if strings.HasSuffix(parent, "controls.") || parent == "groups." || strings.HasSuffix(parent, "ribs.") || strings.HasSuffix(parent, "texts.") {
					out := try(ren(p, "other-name"), false)
					if project.Read("x.yaml", out).KeyPos(parent+"other-name").Line == 0 {
						t.Errorf("%s has no new name", p)
					}
				}
			}
		})
		t.Logf("%d edits, %d refused", n, refused)
		if n < 600 || refused > 25 { // a third value for a place, and the top rows with the remark above them
			t.Errorf("%d edits, %d refused", n, refused)
		}
	}
}

// Short forms of the example are written out when a second value joins them, and what stood there stays.
func TestShortForms(t *testing.T) {
	desk, err := os.ReadFile("testdata/desk.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, value, want string }{
		{"face.sheet.actual", "2.9 mm", "sheet: {use: acrylic-3mm, actual: 2.9 mm}\n"},
		{"face.covering.edge", "flush", "covering: {use: vinyl-film, edge: flush}\n"},
		{"box.blocks.height", "30", "blocks: {size: 20, height: 30}\n"},
		{"box.walls.actual", "8.8", "walls: {use: birch-ply-9mm, actual: 8.8}\n"},
		{"controls.go.legend.place", "above", "legend: {text: GO, place: above}, sends: button 15}\n"},
		{"controls.house.legend.cap", "4", "legend: {text: HOUSE LIGHTS, cap: 4}, sends: axis slider}\n"},
		{"groups.lamps.controls.gauze-lamp.legend.place", "above", "gauze-lamp: {legend: {text: \"\", place: above}}\n"},
		{"tools.bits.4", "forstner-metric", "bits: [twist-metric-0.5, step-4-20, step-6-30, hole-saws-plastic, forstner-metric]\n"},
		{"tools.bits.0.kind", "twist", "bits: [{set: twist-metric-0.5, kind: twist}, step-4-20, step-6-30, hole-saws-plastic]\n"},
	} {
		out, err := project.Read("x.yaml", desk).Apply([]finding.Edit{set(c.path, c.value)})
		if err != nil || !bytes.Contains(out, []byte(c.want)) {
			t.Errorf("%s: %v, want %s", c.path, err, c.want)
			continue
		}
		if stops := project.Read("x.yaml", out).Findings; len(stops) > 0 {
			t.Errorf("%s: %s", c.path, say(stops[0]))
		}
	}
}
