package studio

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
)

// pressed is a panel that is springy, with two ribs and a rectangle without.
const pressed = `knobwright: 1
title: Pressed
face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 5, across: 3}}
box:
  form: flat
  depth: 70
  walls: birch-ply-9mm
  ribs:
    low: {from: [40, 30], to: [260, 30], width: 9, height: 20}   # stays
    high: {from: [40, 170], to: [120, 170], width: 9, height: 20, pinned: true}
  rib-free: [[[200, 150], [280, 180]]]
controls:
  go: {part: push-16mm, at: [150, 100], legend: GO}
  halt: {part: push-16mm, at: [60, 60], legend: HALT}
`

func pressPage(t *testing.T) (ask func(url, body string, into any) (int, string), get func(url string) (int, []byte), path string) {
	t.Helper()
	base, link, path := served(t)
	c := browser(t, link)
	if err := os.WriteFile(path, []byte(pressed), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, b := post(t, c, base+"/api/edit", `{"say":"touch","edits":[{"op":"set","path":"title","value":"Pressed hard"}]}`); code != 200 {
		t.Fatalf("%d %s", code, b)
	}
	ask = func(url, body string, into any) (int, string) {
		code, b := post(t, c, base+url, body)
		if code == 200 {
			if err := json.Unmarshal(b, into); err != nil {
				t.Fatalf("%s: %v %.200s", url, err, b)
			}
		}
		return code, string(b)
	}
	get = func(url string) (int, []byte) {
		r, err := c.Get(base + url)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		b, _ := io.ReadAll(r.Body)
		return r.StatusCode, b
	}
	return ask, get, path
}

func give(t *testing.T, d PressData, name string) GiveData {
	t.Helper()
	for _, g := range d.Faces[0].Presses {
		if g.Name == name {
			return g
		}
	}
	t.Fatalf("no %s in %+v", name, d.Faces[0].Presses)
	return GiveData{}
}

func TestPressTellsAndFollows(t *testing.T) {
	ask, _, path := pressPage(t)
	var whole PressData
	if code, s := ask("/api/press", `{"edits":[],"whole":true}`, &whole); code != 200 {
		t.Fatal(code, s)
	}
	f := whole.Faces[0]
	if f.Cannot != "" || len(f.Ribs) != 2 || !f.Ribs[1].Pinned || f.Ribs[0].Path != "box.ribs.low" || len(f.Free) != 1 || f.Free[0] != [4]float64{200, 150, 280, 180} || f.Hertz <= 0 {
		t.Errorf("%+v", f)
	}
	if len(f.Lines) < 3 || len(f.Over) == 0 || len(whole.Findings) == 0 || give(t, whole, "go").Factor <= 0 || give(t, whole, "go").Thumb <= f.Springy {
		t.Errorf("%d lines, %d over, %d findings, %+v", len(f.Lines), len(f.Over), len(whole.Findings), give(t, whole, "go"))
	}
	for _, over := range f.Over {
		if over[0] != over[len(over)-1] {
			t.Error("what gives too much is not closed")
		}
	}
	// a hand moves the rib under GO: it gives less, and nothing is written
	var moved PressData
	if code, s := ask("/api/press", `{"edits":[{"op":"set","path":"box.ribs.low.from","value":"[40, 75]"},{"op":"set","path":"box.ribs.low.to","value":"[260, 75]"}],"whole":false}`, &moved); code != 200 {
		t.Fatal(code, s)
	}
	if a, b := give(t, moved, "go").Thumb, give(t, whole, "go").Thumb; a > b/2 {
		t.Errorf("with the rib beside it GO gives %.2f, before %.2f", a, b)
	}
	if strings.Contains(content(t, path), "75") {
		t.Error("a try was saved")
	}
	// the quick answer is the whole one
	var again PressData
	ask("/api/press", `{"edits":[],"whole":false}`, &again)
	if a, b := give(t, again, "halt").Thumb, give(t, whole, "halt").Thumb; math.Abs(a-b) > 1e-6 {
		t.Errorf("quick %g, whole %g", a, b)
	}
	for _, x := range []struct {
		body string
		want int
		say  string
	}{
		{`{"edits":[{"op":"delete","path":"box.ribs.nobody"}]}`, 422, ""},
		{`{"wholly":true}`, 400, "not understood"},
	} {
		if code, s := ask("/api/press", x.body, &again); code != x.want || !strings.Contains(s, x.say) {
			t.Errorf("%s: %d %s", x.body, code, s)
		}
	}
}

func TestPressBlanksAreEditsThatCount(t *testing.T) {
	ask, _, _ := pressPage(t)
	var whole PressData
	ask("/api/press", `{"edits":[],"whole":true}`, &whole)
	was := give(t, whole, "go").Thumb
	var names []string
	for _, b := range whole.Faces[0].Blanks {
		names = append(names, b.Name)
		for _, c := range b.Choices {
			edits, _ := json.Marshal(c.Edits)
			var d PressData
			if code, s := ask("/api/press", `{"whole":false,"edits":`+string(edits)+`}`, &d); code != 200 {
				t.Errorf("%s: %s: %d %s", b.Name, c.Say, code, s)
			} else if now := give(t, d, "go").Thumb; c.Say == b.Value && math.Abs(now-was) > 1e-6 {
				t.Errorf("%s: the choice that is in force changes %.3f to %.3f", b.Name, was, now)
			} else if c.Say == "glued down" && now >= was {
				t.Errorf("glued down it gives %.3f, before %.3f", now, was)
			}
		}
		if len(b.Choices) == 0 {
			var d PressData
			v := "2"
			if b.Name == "thumb" {
				v = "60"
			}
			if code, s := ask("/api/press", `{"whole":false,"edits":[{"op":"set","path":"`+b.Path+`","value":"`+b.Before+v+b.After+`"}]}`, &d); code != 200 {
				t.Errorf("%s: %d %s", b.Name, code, s)
			} else if now := give(t, d, "go").Thumb; b.Name == "thumb" && math.Abs(now/was-2) > 1e-6 || b.Name == "thickness" && now < 2*was {
				t.Errorf("%s: %.3f from %.3f", b.Name, now, was)
			} else if b.Name == "springy" && d.Faces[0].Springy != 2 {
				t.Errorf("springy is %g", d.Faces[0].Springy)
			}
		}
	}
	if want := []string{"sheet", "thickness", "held", "ledge", "screws", "thumb", "springy"}; !slices.Equal(names, want) {
		t.Errorf("%v", names)
	}
}

func TestPressProposesRibs(t *testing.T) {
	ask, get, path := pressPage(t)
	for _, fresh := range []bool{false, true} {
		var d RibsData
		body := `{"face":0,"reach":0.4,"fresh":false}`
		if fresh {
			body = `{"face":0,"reach":0.4,"fresh":true}`
		}
		if code, s := ask("/api/press/ribs", body, &d); code != 200 {
			t.Fatal(code, s)
		}
		if !d.Reached || d.After > 0.4 || len(d.Ribs) == 0 || len(d.Each) != len(d.Ribs) || len(d.Gives) != 2 || d.Say == "" || fresh != (len(d.Without) == 1) {
			t.Errorf("%+v", d)
		}
		for _, r := range d.Ribs {
			for _, q := range [][2]float64{r.A, r.B} {
				if q[0] > 196 && q[0] < 284 && q[1] > 146 && q[1] < 184 {
					t.Errorf("a rib ends where none is wanted: %+v", r)
				}
			}
		}
		if fresh {
			edits, _ := json.Marshal(EditRequest{Say: "ribs", Edits: d.Edits})
			var l LookData
			if code, s := ask("/api/edit", string(edits), &l); code != 200 {
				t.Fatal(code, s)
			}
			if s := content(t, path); strings.Contains(s, "low:") || !strings.Contains(s, "high:") || !strings.Contains(s, "stiff-1:") {
				t.Errorf("%s", s)
			}
			var now PressData
			ask("/api/press", `{"edits":[],"whole":true}`, &now)
			if len(now.Findings) != 0 || give(t, now, "go").Thumb > 0.41 {
				t.Errorf("%+v %+v", now.Findings, give(t, now, "go"))
			}
		}
	}
	for body, want := range map[string]int{`{"face":7}`: 400, `{"face":0,"reach":-1}`: 422, `{"face":0,"reach":1000}`: 422} {
		if code, s := ask("/api/press/ribs", body, &RibsData{}); code != want {
			t.Errorf("%s: %d %s", body, code, s)
		}
	}
	code, b := get("/api/press/bent?control=go")
	var bent BentData
	if err := json.Unmarshal(b, &bent); code != 200 || err != nil || bent.Most <= 0 || len(bent.Move) != len(bent.Ys) || len(bent.Carried) != 2 || bent.Label != "GO" {
		t.Errorf("%d %v %.300s", code, err, b)
	}
	if code, b := get("/api/press/bent?control=nobody"); code != 404 {
		t.Errorf("%d %s", code, b)
	}
}

// Many questions at once, about the same text, are answered alike.
func TestPressManyAsk(t *testing.T) {
	ask, get, _ := pressPage(t)
	var wait sync.WaitGroup
	for i := range 8 {
		wait.Go(func() {
			var d PressData
			switch i % 4 {
			case 0:
				ask("/api/press", `{"edits":[],"whole":true}`, &d)
			case 1:
				ask("/api/press", `{"edits":[],"whole":false}`, &d)
			case 2:
				ask("/api/press/ribs", `{"face":0,"reach":0.4,"fresh":true}`, &RibsData{})
			case 3:
				if code, b := get("/api/press/bent?control=go"); code != 200 {
					t.Errorf("%d %s", code, b)
				}
			}
			if i%4 < 2 && (len(d.Faces) != 1 || d.Faces[0].Presses[0].Thumb <= 0) {
				t.Errorf("%+v", d)
			}
		})
	}
	wait.Wait()
}

// What cannot be reckoned is said in a sentence, with an empty sheet behind it.
func TestPressOfWhatHangsInTheAir(t *testing.T) {
	base, link, _ := served(t) // no box and no screws
	c := browser(t, link)
	code, b := post(t, c, base+"/api/press", `{"edits":[],"whole":true}`)
	var d PressData
	if err := json.Unmarshal(b, &d); code != 200 || err != nil || len(d.Faces) != 1 || !strings.Contains(d.Faces[0].Cannot, "Nothing holds") {
		t.Errorf("%d %v %s", code, err, b)
	}
	if code, b := post(t, c, base+"/api/press/ribs", `{"face":0}`); code != 422 || !strings.Contains(string(b), "No ribs") {
		t.Errorf("%d %s", code, b)
	}
}
