package studio

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"time"

	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// Server serves one session to pages on this machine.
type Server struct {
	session *Session
	rim     Rim
	secret  string
	mux     *http.ServeMux
	live    live
	lastCut lastCut
	door    *door // of guests; nil = nothing is shared
}

// Rim is what the server is given from outside.
type Rim struct {
	Assets fs.FS                             // the built page
	Papers func(*Look) ([]Paper, error)      // the packet of a look
	Solids func(*Look) (*solid.Model, error) // the box with its bodies; nil model = there is none
}

// Paper is a document of the packet.
type Paper struct {
	Name, About string
	Data        []byte
	Pages       []drawing.Page // of a PDF, to be looked at in the page; none when they are not kept
}

// NewServer makes a server for a session.
func NewServer(s *Session, rim Rim) *Server {
	v := &Server{session: s, rim: rim, secret: newSecret(), mux: http.NewServeMux()}
	v.mux.Handle("GET /", http.FileServerFS(rim.Assets))
	v.mux.Handle("GET /fonts/", http.StripPrefix("/fonts/", http.FileServerFS(drawing.FontFiles())))
	v.mux.HandleFunc("GET /api/look", v.look)
	v.mux.HandleFunc("GET /api/events", v.events)
	v.mux.HandleFunc("POST /api/edit", v.edit)
	v.mux.HandleFunc("POST /api/try", v.try)
	v.mux.HandleFunc("GET /api/drag", v.drag)
	v.mux.HandleFunc("POST /api/text", v.text)
	v.mux.HandleFunc("POST /api/undo", v.undo)
	v.mux.HandleFunc("POST /api/redo", func(w http.ResponseWriter, r *http.Request) { v.done(w, r, s.Redo()) })
	v.mux.HandleFunc("POST /api/fix", v.fix)
	v.acts()
	v.mux.HandleFunc("GET /api/drawing/{name}", v.drawing)
	v.mux.HandleFunc("GET /api/parts", v.parts)
	v.mux.HandleFunc("GET /api/schema", v.schema)
	v.mux.HandleFunc("GET /api/wiring", v.wiring)
	v.mux.HandleFunc("GET /api/solid", v.solids)
	v.presses()
	v.boxes()
	v.orders()
	v.arranges()
	v.benchRoutes()
	v.paperRoutes()
	return v
}

// Listen opens a port on this machine; 0 takes a free one. The address to open carries the secret of this start.
func (v *Server) Listen(port int) (l net.Listener, address string, err error) {
	l, err = net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return nil, "", err
	}
	return l, "http://" + l.Addr().String() + "/?key=" + v.secret, nil
}

// Serve answers until the context ends, and looks at the file for saves of other editors.
func (v *Server) Serve(ctx context.Context, l net.Listener) error {
	s := &http.Server{
		Handler:           &guard{v.secret, own(l.Addr()), v.mux},
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, MaxHeaderBytes: 16 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	go func() {
		tick := time.NewTicker(300 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-ctx.Done():
				stop, cancel := context.WithTimeout(context.Background(), time.Second)
				defer cancel()
				if s.Shutdown(stop) != nil {
					_ = s.Close()
				}
				return
			case <-tick.C:
				_ = v.session.glance() // what is wrong with the file is told with the next look
			}
		}
	}()
	err := s.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// body reads a request's JSON within the size limit.
func body[T any](w http.ResponseWriter, r *http.Request) (T, bool) {
	var v T
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, 2*yamlfile.MaxBytes))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		var much *http.MaxBytesError
		if errors.As(err, &much) {
			say(w, http.StatusRequestEntityTooLarge, fmt.Sprintf("That is too much at once: a panel file has at most %d bytes.", yamlfile.MaxBytes))
			return v, false
		}
		say(w, http.StatusBadRequest, "The page asked for something that is not understood.")
		return v, false
	}
	return v, true
}

// answer writes JSON.
func answer(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	_ = json.NewEncoder(w).Encode(v)
}

// say writes a sentence that the page shows.
func say(w http.ResponseWriter, status int, sentence string) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]string{"say": sentence})
}

// done answers a change: with the look that it led to, or why it was not made.
func (v *Server) done(w http.ResponseWriter, r *http.Request, err error) {
	var clash *Clash
	switch {
	case errors.As(err, &clash):
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.WriteHeader(http.StatusConflict)
		_ = json.NewEncoder(w).Encode(ClashData{Say: clash.Error(), Yours: string(clash.Yours), Theirs: string(clash.Theirs), Rev: clash.Rev})
	case err != nil:
		say(w, http.StatusUnprocessableEntity, finding.Capital(err.Error()))
	default:
		v.look(w, r)
	}
}

func (v *Server) look(w http.ResponseWriter, r *http.Request) {
	now, good, trouble := v.session.Now()
	d := lookData(v.session, now, good, trouble)
	if isGuest(r) {
		d.forGuest()
	}
	answer(w, d)
}

// events tells the page of every change.
func (v *Server) events(w http.ResponseWriter, r *http.Request) {
	c := v.session.Listen()
	defer v.session.Leave(c)
	w.Header().Set("Content-Type", "text/event-stream")
	rc := http.NewResponseController(w)
	_ = rc.SetReadDeadline(time.Time{})
	alive := time.NewTicker(15 * time.Second)
	defer alive.Stop()
	now, _, _ := v.session.Now()
	fmt.Fprintf(w, "data: %d\n\n", now.Rev)
	for {
		if rc.Flush() != nil {
			return
		}
		select {
		case rev := <-c:
			fmt.Fprintf(w, "data: %d\n\n", rev)
		case <-alive.C:
			fmt.Fprint(w, ": still here\n\n")
		case <-r.Context().Done():
			return
		}
	}
}

// EditRequest asks for edits of the file.
type EditRequest struct {
	Say   string         `json:"say"` // what undo will be called
	Edits []finding.Edit `json:"edits"`
}

func (v *Server) edit(w http.ResponseWriter, r *http.Request) {
	if q, ok := body[EditRequest](w, r); ok {
		v.done(w, r, v.session.Edit(q.Edits, q.Say))
	}
}

// TextRequest asks for a whole new text.
type TextRequest struct {
	Rev  int    `json:"rev"` // that it was made from
	Text string `json:"text"`
}

func (v *Server) text(w http.ResponseWriter, r *http.Request) {
	if q, ok := body[TextRequest](w, r); ok {
		v.done(w, r, v.session.Replace(q.Rev, []byte(q.Text)))
	}
}

// UndoRequest asks to take the last step back.
type UndoRequest struct {
	Rev int `json:"rev"` // only if the text is still that of this revision; 0 = whatever it is
}

func (v *Server) undo(w http.ResponseWriter, r *http.Request) {
	if q, ok := body[UndoRequest](w, r); ok {
		v.done(w, r, v.session.UndoOf(q.Rev))
	}
}

// FixRequest asks for a proposal of a finding.
type FixRequest struct {
	Rev     int `json:"rev"`
	Finding int `json:"finding"`
	Fix     int `json:"fix"`
}

func (v *Server) fix(w http.ResponseWriter, r *http.Request) {
	q, ok := body[FixRequest](w, r)
	if !ok {
		return
	}
	now, _, _ := v.session.Now()
	fs := now.Result.Findings
	switch {
	case now.Rev != q.Rev:
		say(w, http.StatusConflict, "The panel has changed since; look at the finding again.")
	case q.Finding < 0 || q.Finding >= len(fs) || q.Fix < 0 || q.Fix >= len(fs[q.Finding].Fixes):
		say(w, http.StatusBadRequest, "There is no such proposal.")
	default:
		f := fs[q.Finding].Fixes[q.Fix]
		v.done(w, r, v.session.editOf(q.Rev, f.Edits, f.Say)) // a save by another editor that nobody has seen yet counts
	}
}
