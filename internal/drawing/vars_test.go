package drawing

import (
	"bytes"
	"encoding/xml"
	"io"
	"testing"

	"knobwright/internal/geom"
)

// A page's colours go into line and wash of one thing both, and no element has an attribute twice (XML 1.0, section 3.1).
func TestVarsPaintLineAndWash(t *testing.T) {
	s := &Scene{Title: "x", Items: []Item{&Path{Outlines: []geom.Outline{geom.Circle(geom.Vec2{}, 10)}, Style: Style{Line: Visible, Fill: CapWash}}}}
	b, err := SVGWith(s, SVGOptions{Vars: true})
	if err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(bytes.NewReader(b))
	both := false
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		seen := map[string]string{}
		for _, a := range e.Attr {
			if _, twice := seen[a.Name.Local]; twice {
				t.Errorf("%s has %s twice", e.Name.Local, a.Name.Local)
			}
			seen[a.Name.Local] = a.Value
		}
		both = both || seen["fill"] == "var(--cap,#fff)" && seen["stroke"] == "var(--ink,#111)"
	}
	if !both {
		t.Errorf("%s", b)
	}
}
