// Package share makes of a book, the solids of a box and a panel file one page that stands alone: it can be put on any static host, or sent as
// a file, and asks nothing of any other place.
package share

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"math"

	"knobwright/internal/drawing/solid"
	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/terminal"
)

// Personal lists the parts of a panel file that are the person's own business: what they have and what they want to spend.
var Personal = []string{"budget", "stock", "box.stock", "wiring.stock"}

// Bare gives the text of a panel file without its personal parts, and which were taken out. Everything else stays as it is, comments too.
func Bare(doc *project.Doc) (src []byte, out []string, err error) {
	src = doc.Src
	for _, path := range Personal {
		d := project.Read(doc.Name, src)
		if d.KeyPos(path).Line == 0 {
			continue
		}
		next, err := d.Apply([]finding.Edit{{Op: finding.Delete, Path: path}})
		if err != nil {
			return nil, nil, fmt.Errorf("%s cannot be taken out of the file: %w", path, err)
		}
		src, out = next, append(out, path)
	}
	return src, out, nil
}

// Page is what goes on the page.
type Page struct {
	Book   []byte       // as package book writes it
	Solids *solid.Model // nil = no box
	Name   string       // of the panel file
	Text   []byte       // of it
	Script []byte       // that shows the solids
}

// mesh is a body for the script: points in tenths of a millimetre would not do for bevels, so hundredths.
type mesh struct {
	Name   string    `json:"name"`
	Points []float64 `json:"points"`
	Tris   []int     `json:"tris"`
}

const (
	policyOld = `content="default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:"`
	style     = "#box3d{border:1px solid var(--hair);background:#f4f0e4;touch-action:pan-y}#box3d canvas{display:block;width:100%}.file pre{overflow:auto;max-height:32rem;border:1px solid var(--hair);padding:.8em;font:.85rem/1.45 \"DejaVu Sans Mono\",monospace}@media print{#share-box,#share-file{display:none}}"
)

var errForeign = errors.New("the book has no place for the box and the file")

// HTML makes the page.
func (p Page) HTML() ([]byte, error) {
	var more bytes.Buffer
	var bodies []mesh
	if p.Solids != nil {
		for i := range p.Solids.Bodies() {
			m, err := p.Solids.Mesh(i, 0.1)
			if err != nil {
				continue
			}
			b := mesh{Name: p.Solids.Name(i), Tris: []int{}}
			for _, q := range m.Vertices {
				b.Points = append(b.Points, round(q.X), round(q.Y), round(q.Z))
			}
			for _, t := range m.Triangles {
				b.Tris = append(b.Tris, t[0], t[1], t[2])
			}
			bodies = append(bodies, b)
		}
	}
	policy := policyOld
	if len(bodies) > 0 {
		sum := sha256.Sum256(p.Script)
		policy = fmt.Sprintf("content=\"default-src 'none'; script-src 'sha256-%s'; style-src 'unsafe-inline'; font-src data:; img-src data:\"", base64.StdEncoding.EncodeToString(sum[:]))
		data, err := json.Marshal(bodies) // writes < as \u003c: it cannot end the script
		if err != nil {
			return nil, err
		}
		more.WriteString("<section id=\"share-box\" aria-labelledby=\"share-box-title\">\n<h2 id=\"share-box-title\">The box, to turn</h2>\n<p class=\"use\">Drag to turn it, or use the arrow keys. Do not measure here: the drawings have the numbers.</p>\n<div id=\"box3d\" role=\"img\" aria-label=\"The box in three dimensions\"></div>\n<p><label>Pulled apart <input id=\"box3d-apart\" type=\"range\" min=\"0\" max=\"100\" value=\"0\"></label></p>\n")
		fmt.Fprintf(&more, "<script type=\"application/json\" id=\"box3d-data\">%s</script>\n</section>\n", data)
	}
	name := terminal.Clean(p.Name)
	fmt.Fprintf(&more, "<section id=\"share-file\" class=\"file\" aria-labelledby=\"share-file-title\">\n<h2 id=\"share-file-title\">The panel file</h2>\n<p class=\"use\">Everything in this book was made from it. <a download=\"%s\" href=\"data:text/yaml;base64,%s\">Save %s</a></p>\n<pre tabindex=\"0\" aria-label=\"Text of the panel file\">%s</pre>\n</section>\n",
		html.EscapeString(name), base64.StdEncoding.EncodeToString(p.Text), html.EscapeString(name), html.EscapeString(cleanLines(p.Text)))
	out := p.Book
	for _, r := range [][2]string{
		{policyOld, policy},
		{"</style>\n</head>", style + "</style>\n</head>"},
		{"</main>\n<footer>", more.String() + "</main>\n<footer>"},
	} {
		i := bytes.Index(out, []byte(r[0]))
		if i < 0 {
			return nil, errForeign
		}
		out = append(append(append([]byte{}, out[:i]...), r[1]...), out[i+len(r[0]):]...)
	}
	if len(bodies) > 0 {
		if bytes.Contains(p.Script, []byte("</script")) {
			return nil, errors.New("the script would end early")
		}
		i := bytes.LastIndex(out, []byte("</body>"))
		if i < 0 {
			return nil, errForeign
		}
		out = append(append(append([]byte{}, out[:i]...), "<script>"+string(p.Script)+"</script>\n"...), out[i:]...)
	}
	return out, nil
}

func round(v float64) float64 { return math.Round(v*100) / 100 }

// cleanLines takes control characters out line by line.
func cleanLines(src []byte) string {
	var b bytes.Buffer
	for i, l := range bytes.Split(src, []byte("\n")) {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(terminal.Clean(string(bytes.TrimRight(l, "\r"))))
	}
	return b.String()
}
