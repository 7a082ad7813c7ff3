package studio

import (
	"bytes"
	"encoding/json"
	"net/http"

	"github.com/coder/websocket"

	"knobwright/internal/finding"
)

// DragData answers a TryRequest that came over the line of a drag: what was found, or why it cannot be. The cut, where it is asked for,
// comes behind in an answer of its own: it is no check, and what is checked need not wait for it.
type DragData struct {
	Try *TryData `json:"try,omitempty"`
	Cut *CutData `json:"cut,omitempty"`
	Say string   `json:"say,omitempty"`
}

// longestTry is how many bytes a question of a drag may have: the names of some thousands of controls.
const longestTry = 1 << 20

// drag keeps a line open on which a page asks what a drag leads to, one question after the other: the same as POST /api/try, without a
// request's way through the browser at every step of the hand. It changes nothing.
func (v *Server) drag(w http.ResponseWriter, r *http.Request) {
	c, err := websocket.Accept(w, r, nil) // holds the page's origin against the host, as the guard has done already
	if err != nil {
		return // it has been answered
	}
	defer func() { _ = c.CloseNow() }()
	c.SetReadLimit(longestTry)
	for {
		_, msg, err := c.Read(r.Context())
		if err != nil {
			return // the page was closed, or the program ends
		}
		var q TryRequest
		var d DragData
		var cut func() *CutData
		in := json.NewDecoder(bytes.NewReader(msg))
		in.DisallowUnknownFields()
		if err := in.Decode(&q); err != nil {
			d.Say = "The request was not understood."
		} else if t, k, err := v.tried(q); err != nil {
			d.Say = finding.Capital(err.Error())
		} else {
			d.Try, cut = &t, k
		}
		if tell(r, c, d) != nil {
			return
		}
		if cut == nil {
			continue
		}
		if k := cut(); k != nil && tell(r, c, DragData{Cut: k}) != nil {
			return
		}
	}
}

func tell(r *http.Request, c *websocket.Conn, d DragData) error {
	out, err := json.Marshal(d)
	if err != nil {
		return err
	}
	return c.Write(r.Context(), websocket.MessageText, out)
}
