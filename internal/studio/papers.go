package studio

import (
	"archive/zip"
	"errors"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"
	"sync"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// PaperData is a document of the packet as the page lists it.
type PaperData struct {
	Name  string   `json:"name"`
	About string   `json:"about"`
	Bytes int      `json:"bytes"`
	Pages []string `json:"pages"` // names of the pages that can be looked at as drawings; none = it has none
}

// papers keeps the packet of the look that it was last asked for: it takes a while to make.
type papers struct {
	mu   sync.Mutex
	of   *Look
	list []Paper
	err  error
}

func (v *Server) paperRoutes() {
	k := &papers{}
	v.mux.HandleFunc("GET /api/papers", func(w http.ResponseWriter, _ *http.Request) {
		list, err := k.get(v)
		if err != nil {
			say(w, http.StatusUnprocessableEntity, why(err))
			return
		}
		out := []PaperData{}
		for _, p := range list {
			d := PaperData{Name: p.Name, About: p.About, Bytes: len(p.Data), Pages: []string{}}
			for i := range p.Pages {
				d.Pages = append(d.Pages, pageName(p, i))
			}
			out = append(out, d)
		}
		answer(w, out)
	})
	v.mux.HandleFunc("GET /api/papers/{name}", func(w http.ResponseWriter, r *http.Request) {
		if p, ok := k.named(v, w, r); ok {
			sendPaper(w, p)
		}
	})
	v.mux.HandleFunc("GET /api/papers/{name}/pages/{n}", func(w http.ResponseWriter, r *http.Request) {
		p, ok := k.named(v, w, r)
		if !ok {
			return
		}
		n, err := strconv.Atoi(r.PathValue("n"))
		if err != nil || n < 1 || n > len(p.Pages) {
			say(w, http.StatusNotFound, "There is no such page.")
			return
		}
		x := p.Pages[n-1]
		data, err := drawing.SVG(&drawing.Scene{Title: pageName(p, n-1), Bounds: geom.Box2{Max: geom.Vec2{X: x.Width, Y: x.Height}}, Items: x.Items})
		if err != nil {
			say(w, http.StatusUnprocessableEntity, err.Error())
			return
		}
		w.Header().Set("Content-Type", "image/svg+xml")
		_, _ = w.Write(data)
	})
	v.mux.HandleFunc("GET /api/packet.zip", func(w http.ResponseWriter, _ *http.Request) { k.zip(v, w) })
}

// why is an error as a sentence.
func why(err error) string { return finding.Capital(strings.TrimSuffix(err.Error(), ".")) + "." }

func pageName(p Paper, i int) string {
	if n := p.Pages[i].Name; n != "" {
		return n
	}
	return "page " + strconv.Itoa(i+1)
}

// get gives the packet of the last good text.
func (k *papers) get(v *Server) ([]Paper, error) {
	_, good, _ := v.session.Now()
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of != good {
		if v.rim.Papers == nil {
			return nil, errors.New("there are no papers here")
		}
		k.list, k.err = v.rim.Papers(good)
		k.of = good
	}
	return k.list, k.err
}

func (k *papers) named(v *Server, w http.ResponseWriter, r *http.Request) (Paper, bool) {
	list, err := k.get(v)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, why(err))
		return Paper{}, false
	}
	for _, p := range list {
		if p.Name == r.PathValue("name") {
			return p, true
		}
	}
	say(w, http.StatusNotFound, "There is no such paper.")
	return Paper{}, false
}

// kinds are the content types of papers.
var kinds = map[string]string{
	"pdf": "application/pdf", "svg": "image/svg+xml", "csv": "text/csv; charset=utf-8", "json": "application/json", "txt": "text/plain; charset=utf-8",
	"html": "text/html; charset=utf-8",
}

// framed lets the page show a paper in a frame of its own. What is in the paper may run nothing and ask nobody.
const framed = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

func sendPaper(w http.ResponseWriter, p Paper) {
	kind := "application/octet-stream"
	end := strings.TrimPrefix(filepath.Ext(p.Name), ".")
	if kinds[end] != "" {
		kind = kinds[end]
	}
	switch end {
	case "html", "svg":
		w.Header().Set("Content-Security-Policy", framed+"; sandbox")
	case "pdf": // a browser's own reader does not run in a sandbox
		w.Header().Set("Content-Security-Policy", framed)
	}
	w.Header().Set("Content-Type", kind)
	_, _ = w.Write(p.Data)
}

// zip sends the whole packet as one file.
func (k *papers) zip(v *Server, w http.ResponseWriter) {
	list, err := k.get(v)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, why(err))
		return
	}
	name := strings.TrimSuffix(filepath.Base(v.session.path), filepath.Ext(v.session.path)) + "-packet"
	plain := strings.Map(func(r rune) rune {
		if r < 0x20 || r > 0x7e || strings.ContainsRune(`"\\/;:*?<>|`, r) {
			return '-'
		}
		return r
	}, name)
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", `attachment; filename="`+plain+`.zip"`)
	z := zip.NewWriter(w)
	for _, p := range list {
		f, err := z.Create(plain + "/" + p.Name)
		if err != nil {
			return
		}
		if _, err := f.Write(p.Data); err != nil {
			return
		}
	}
	_ = z.Close()
}
