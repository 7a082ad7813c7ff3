package packet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/view"
	"knobwright/internal/witness"
)

// circleSeen is a circle that an outside reader finds in a DXF file.
type circleSeen struct {
	Layer   string
	X, Y, R float64
}

// dxfSeen is what an outside reader finds in a DXF file.
type dxfSeen struct {
	Circles []circleSeen
	Layers  map[string]int // entities on each layer
	Bounds  [4]float64     // of the first closed polyline on CUT: least x, y, greatest x, y
	Errors  int
}

func readSeen(t testing.TB, prog string, args ...string) dxfSeen {
	t.Helper()
	var seen dxfSeen
	cmd := exec.Command(prog, args...)
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		msg := []byte(nil)
		if e, ok := err.(*exec.ExitError); ok {
			exit = e
			msg = exit.Stderr
		}
		t.Fatalf("%s: %v\n%s", filepath.Base(prog), err, msg)
	}
	if err := json.Unmarshal(out, &seen); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return seen
}

// wantCircles are the circles that the cutting file must hold, from the panel: sizes in the bare sheet less the kerf.
func wantCircles(m made) []circleSeen {
	var out []circleSeen
	for _, c := range view.AllCuts(m.r.Panel) {
		d, ok := bare(c)
		if !ok {
			continue
		}
		layer := "CUT"
		if c.Blind > 0 {
			layer = "BLIND"
		}
		out = append(out, circleSeen{layer, c.At.X, c.At.Y, (d - m.r.Panel.Kerf) / 2})
	}
	return out
}

func compareDXF(t *testing.T, name string, m made, seen dxfSeen, edge bool) {
	t.Helper()
	want := wantCircles(m)
	var got []circleSeen
	for _, c := range seen.Circles {
		if c.Layer == "CUT" || c.Layer == "BLIND" {
			got = append(got, c)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: %d circles, the panel has %d round cuts", name, len(got), len(want))
	}
	worst := 0.0
	for _, w := range want {
		best := math.Inf(1)
		for _, g := range got {
			if g.Layer == w.Layer {
				best = min(best, max(math.Abs(g.X-w.X), math.Abs(g.Y-w.Y), math.Abs(g.R-w.R)))
			}
		}
		worst = max(worst, best)
		if best > 1e-4 {
			t.Errorf("%s: no circle on %s at %.3f, %.3f with radius %.4f: the nearest is %.4g off", name, w.Layer, w.X, w.Y, w.R, best)
		}
	}
	if seen.Layers["CUT"] == 0 || seen.Layers["CENTRE"] == 0 {
		t.Errorf("%s: layers %v", name, seen.Layers)
	}
	if edge {
		f, k := m.r.Panel.Face, m.r.Panel.Kerf/2
		for i, w := range []float64{-k, -k, f.Width + k, f.Height + k} {
			if math.Abs(seen.Bounds[i]-w) > 1e-4 {
				t.Errorf("%s: the outer edge reaches %.4f, not %.4f", name, seen.Bounds[i], w)
			}
		}
	}
	t.Logf("%s: %d round cuts, worst %.2g mm", name, len(want), worst)
}

// The DXF file is read by two readers of other people. One panel has a kerf: its outer edge grows by half of it, its openings
// shrink by as much.
func TestDXFForOthers(t *testing.T) {
	const python = "/usr/bin/python3"
	names := thorough.Of([]string{"first-panel", "cue-desk", "kerf", "wooden"}, []string{"kerf"})
	t.Run("ezdxf", func(t *testing.T) {
		if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
			t.Skip("SKIPPED: /usr/bin/python3 with ezdxf is not installed; this check against an outside program was not made")
		}
		for _, name := range names {
			m := get(t, name)
			seen := readSeen(t, python, "testdata/read_dxf.py", m.path("face.dxf"))
			if seen.Errors > 0 {
				t.Errorf("%s: ezdxf finds %d errors", name, seen.Errors)
			}
			compareDXF(t, name, m, seen, true)
		}
	})
	t.Run("dxf-parser", func(t *testing.T) {
		node := witness.Tool(t, "node")
		peers := os.Getenv("KNOBWRIGHT_PEERS")
		if peers == "" {
			peers = "../../testdata/peers/node_modules"
		}
		if filepath.Base(peers) == "node_modules" {
			peers = filepath.Dir(peers)
		}
		if _, err := os.Stat(filepath.Join(peers, "node_modules", "dxf-parser")); err != nil {
			t.Skip("SKIPPED: no node_modules/dxf-parser in testdata/peers or $KNOBWRIGHT_PEERS; this check against an outside program was not made")
		}
		for _, name := range names {
			m := get(t, name)
			compareDXF(t, name, m, readSeen(t, node, "testdata/read_dxf.cjs", peers, m.path("face.dxf")), false)
		}
	})
}

func TestCSV(t *testing.T) {
	names := []string{"words", "inches", "stopped"}
	if thorough.Is() {
		names = append(names, "cue-desk")
	}
	for _, name := range names {
		m := get(t, name)
		for _, f := range []string{"drilling.csv", "parts.csv"} {
			rows, err := csv.NewReader(bytes.NewReader(m.doc(f))).ReadAll()
			if err != nil {
				t.Fatalf("%s %s: %v", name, f, err)
			}
			for i, r := range rows {
				if len(r) != len(rows[0]) {
					t.Errorf("%s %s line %d has %d cells, the head %d", name, f, i+1, len(r), len(rows[0]))
				}
				for _, c := range r {
					if c == "" || !strings.ContainsAny(c[:1], "=+-@\t\r") {
						continue
					}
					if _, err := strconv.ParseFloat(c, 64); err != nil {
						t.Errorf("%s %s line %d: %q would be taken for a formula", name, f, i+1, c)
					}
				}
			}
		}
		rows, _ := csv.NewReader(bytes.NewReader(m.doc("drilling.csv"))).ReadAll()
		if len(rows) != len(m.r.Drilling.Jobs)+1 {
			t.Errorf("%s: %d lines for %d jobs", name, len(rows)-1, len(m.r.Drilling.Jobs))
		}
		across, up := slices.Index(rows[0], "across_mm"), slices.Index(rows[0], "up_mm")
		inch := slices.Index(rows[0], "across_in")
		if (inch >= 0) != (name == "inches") {
			t.Errorf("%s: inches in column %d", name, inch)
		}
		for i, j := range m.r.Drilling.Jobs {
			x, _ := strconv.ParseFloat(rows[i+1][across], 64)
			y, _ := strconv.ParseFloat(rows[i+1][up], 64)
			if math.Abs(x-j.At.X) > 0.00501 || math.Abs(y-j.At.Y) > 0.00501 {
				t.Errorf("%s job %d: %v, %v instead of %v, %v", name, j.N, x, y, j.At.X, j.At.Y)
			}
			if inch >= 0 {
				if in, _ := strconv.ParseFloat(rows[i+1][inch], 64); math.Abs(in*25.4-j.At.X) > 0.0013 {
					t.Errorf("%s job %d: %v in instead of %v mm", name, j.N, in, j.At.X)
				}
			}
		}
	}
}

func TestSafeCell(t *testing.T) {
	for s, want := range map[string]string{
		"": "", "GO": "GO", "-3.5": "-3.5", "+1e3": "+1e3", "=1+1": "'=1+1", "+41 x": "'+41 x", "-dash": "'-dash", "@home": "'@home", "\t=x": "'\t=x",
		" =1": "' =1", "＝1": "'＝1", "-Inf": "'-Inf", "+0x1p4": "'+0x1p4", "-1_0": "'-1_0", "a=b": "a=b",
	} {
		if got := safeCell(s); got != want {
			t.Errorf("%q becomes %q, not %q", s, got, want)
		}
	}
}

// The manifest names every file of the packet with its size and hash, and the hash of the panel file.
func TestManifest(t *testing.T) {
	m := get(t, "inches")
	if err := wholePacket(m.dir); err != nil {
		t.Error(err)
	}
	var man Manifest
	if err := json.Unmarshal(m.doc(manifestName), &man); err != nil {
		t.Fatal(err)
	}
	if sum, err := exec.LookPath("sha256sum"); err == nil {
		for _, f := range man.Files {
			if out := witness.Run(t, sum, m.path(f.Name)); !strings.HasPrefix(out, f.SHA256+" ") {
				t.Errorf("%s: sha256sum says %s", f.Name, out)
			}
		}
	} else {
		t.Log("SKIPPED: sha256sum is not installed; the hashes were not held against it")
	}
	for _, f := range []string{"template.pdf", "drilling.pdf", "drilling.csv", "legends.pdf", "covering.pdf", "front.pdf", "rear.pdf", "face.svg", "face.dxf", "front.svg", "parts.csv", "findings.json", "findings.txt", "assumed.txt"} {
		if m.doc(f) == nil {
			t.Errorf("%s is missing", f)
		}
	}
}

// A letter that no font here has stops the packet, with the control and the letter.
func TestMissingLetter(t *testing.T) {
	for want, src := range map[string]string{
		"the legend of go: ": "controls: {go: {part: push-16mm, at: [50, 40], legend: \"G\\uE000O\"}}",
		"the title: ":        "title: \"Desk \\uE000\"",
		"the text top: ":     "face: {width: 100, height: 80, sheet: acrylic-3mm, texts: {top: {text: \"\\uE000\", at: [50, 70]}}}",
	} {
		text := "knobwright: 1\n" + src + "\n"
		if !strings.Contains(src, "face:") {
			text += "face: {width: 100, height: 80, sheet: acrylic-3mm}\n"
		}
		r := job.Run(project.Read("x.yaml", []byte(text)), catalog.Builtin())
		docs, err := Build(r, []byte(text))
		var glyph *drawing.GlyphError
		if docs != nil || err == nil || !strings.HasPrefix(err.Error(), want) || !strings.Contains(err.Error(), "U+E000") || !errors.As(err, &glyph) || glyph.Rune != 0xE000 {
			t.Errorf("%q: %v", src, err)
		}
	}
}

func TestNoFaceNoPacket(t *testing.T) {
	r := job.Run(project.Read("x.yaml", []byte("knobwright: 1\n")), catalog.Builtin())
	if _, err := Build(r, nil); !errors.Is(err, ErrNoFace) {
		t.Errorf("%v", err)
	}
}

// A board of the box that carries controls has its own pages in every paper, its own cutting files, and its own lines.
func TestOtherBoards(t *testing.T) {
	m := get(t, "lantern-desk")
	if len(m.r.Sides) < 2 {
		t.Fatalf("%d other boards carry controls", len(m.r.Sides))
	}
	rows, err := csv.NewReader(bytes.NewReader(m.doc("drilling.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sheetsOf(m.r, newDesk(m.r, nil)) {
		board := s.d.board
		if board == "" {
			board = "face"
		}
		n := 0
		for _, r := range rows[1:] {
			if r[0] == board {
				n++
			}
		}
		if n != len(s.r.Drilling.Jobs) || n == 0 {
			t.Errorf("%s: %d lines for %d jobs", board, n, len(s.r.Drilling.Jobs))
		}
		for _, f := range []string{s.file + ".svg", s.file + ".dxf"} {
			if m.doc(f) == nil {
				t.Errorf("%s is missing", f)
			}
		}
		if board == "face" {
			continue
		}
		for _, f := range []string{"template.pdf", "drilling.pdf", "front.pdf", "rear.pdf"} {
			found := false
			for _, w := range wordsOf(t, m.path(f)) {
				found = found || w.s == strings.Fields(board)[0] && w.y0 > 170 // in the head
			}
			if !found {
				t.Errorf("%s has no page of the %s", f, board)
			}
		}
		for _, c := range s.r.Panel.Controls {
			if !strings.Contains(string(m.doc("parts.csv")), c.Label) {
				t.Errorf("parts.csv lacks %s of the %s", c.Label, board)
			}
		}
	}
}

// Notes are printed where the file's reference says: the panel's in the schedule, a control's in the parts list.
func TestNotesArePrinted(t *testing.T) {
	m := get(t, "inches")
	if !strings.Contains(string(m.doc("parts.csv")), "LEAD: to the amplifier") {
		t.Error("the note of LEAD is not in parts.csv")
	}
	var said []string
	for _, w := range wordsOf(t, m.path("drilling.pdf")) {
		said = append(said, w.s)
	}
	if all := strings.Join(said, " "); !strings.Contains(all, "Notes The lamp runs on its own supply. Keep the lead short.") {
		t.Error("the notes are not in the schedule")
	}
}
