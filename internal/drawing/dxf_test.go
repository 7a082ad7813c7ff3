package drawing

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/witness"
)

// plate is a small scene of every kind of entity, with positions the tests know.
func plate() *Scene {
	k := math.Tan(math.Pi / 8)
	rounded := geom.Outline{{P: v(5, 0)}, {P: v(95, 0), Bulge: k}, {P: v(100, 5)}, {P: v(100, 55), Bulge: k}, {P: v(95, 60)}, {P: v(5, 60), Bulge: k}, {P: v(0, 55)}, {P: v(0, 5), Bulge: k}}
	s := &Scene{
		Title: "Plate", Bounds: geom.Box2{Min: v(0, 0), Max: v(100, 60)},
		Layers: []Layer{
			{Name: "CUT", Means: "the edge of the plate", Colour: 1, Process: true},
			{Name: "DRILL", Means: "holes", Colour: 5, Process: true},
			{Name: "ENGRAVE", Means: "legends", Colour: 3},
		},
	}
	s.Items = append(s.Items, On("CUT", Outl(Style{Line: Hairline}, rounded))...)
	s.Items = append(s.Items, On("DRILL", Circ(v(20, 30), 22.5, Hairline), Circ(v(60, 30), 7.2, Hairline))...)
	s.Items = append(s.Items, On("ENGRAVE", Lettered(v(20, 10), 3, Centre, "ø22.5 → 100 %%c \\U+0041 ½"), Arc(v(60, 30), 20, 30, 150, Visible))...)
	s.Items = append(s.Items, Ln(v(10, 30), v(30, 30), CentreLn))
	return s
}

type dxfEntity struct {
	Kind, Layer, Text         string
	At                        []float64
	R, From, To, Height, Turn float64
	Points                    [][]float64
	Closed                    bool
}

type dxfSeen struct {
	Version       string
	Errors, Fixes []string
	Units, Metric int
	Layers        []string
	Entities      []dxfEntity
}

// audit reads a DXF file with an outside library.
func audit(t *testing.T, name string, b []byte) dxfSeen {
	t.Helper()
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		t.Skip("SKIPPED: /usr/bin/python3 with ezdxf is not installed; this check against an outside program was not made")
	}
	out, err := exec.Command(python, "testdata/audit.py", witness.Keep(t, name, b)).Output()
	if err != nil {
		t.Fatalf("ezdxf does not read the file: %v\n%s", err, err.(*exec.ExitError).Stderr)
	}
	var seen dxfSeen
	if err := json.Unmarshal(out, &seen); err != nil {
		t.Fatal(err)
	}
	return seen
}

func TestDXFIsCleanForEzdxf(t *testing.T) {
	for _, opt := range []DXFOptions{{}, {R12: true}, {Outlines: true}, {R12: true, Outlines: true}} {
		t.Run(fmt.Sprintf("%+v", opt), func(t *testing.T) {
			b, err := DXFWith(plate(), opt)
			if err != nil {
				t.Fatal(err)
			}
			seen := audit(t, fmt.Sprintf("plate-%v-%v.dxf", opt.R12, opt.Outlines), b)
			if len(seen.Errors)+len(seen.Fixes) > 0 {
				t.Errorf("errors %q, fixes %q", seen.Errors, seen.Fixes)
			}
			if v := map[bool]string{false: "AC1015", true: "AC1009"}[opt.R12]; seen.Version != v {
				t.Errorf("version %s, want %s", seen.Version, v)
			}
			if !opt.R12 && (seen.Units != 4 || seen.Metric != 1) {
				t.Errorf("units %d, metric %d", seen.Units, seen.Metric)
			}
			for _, l := range []string{"0:7", "CUT:1", "DRILL:5", "ENGRAVE:3"} {
				if !strings.Contains(strings.Join(seen.Layers, " "), l) {
					t.Errorf("layer %s is not among %q", l, seen.Layers)
				}
			}
			count := map[string]int{}
			for _, e := range seen.Entities {
				count[e.Kind]++
			}
			poly := "LWPOLYLINE"
			if opt.R12 {
				poly = "POLYLINE"
			}
			if count["CIRCLE"] != 2 || count["ARC"] != 1 || count["LINE"] != 1 {
				t.Errorf("entities %v", count)
			}
			if opt.Outlines {
				if count["TEXT"] != 0 || count[poly] < 15 {
					t.Errorf("entities %v", count)
				}
				return
			}
			if count["TEXT"] != 1 || count[poly] != 1 {
				t.Errorf("entities %v", count)
			}
			checkPlate(t, seen)
		})
	}
}

func checkPlate(t *testing.T, seen dxfSeen) {
	t.Helper()
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %.9f, want %.9f", what, got, want)
		}
	}
	var holes []float64
	for _, e := range seen.Entities {
		switch e.Kind {
		case "CIRCLE":
			holes = append(holes, e.At[0], e.At[1], 2*e.R)
			if e.Layer != "DRILL" {
				t.Errorf("a hole is on layer %s", e.Layer)
			}
		case "ARC":
			near("arc centre x", e.At[0], 60)
			near("arc radius", e.R, 10)
			near("arc start", e.From, 30)
			near("arc end", e.To, 150)
		case "LINE":
			near("line", e.Points[1][0]-e.Points[0][0], 20)
		case "LWPOLYLINE", "POLYLINE":
			if len(e.Points) != 8 || !e.Closed {
				t.Fatalf("the plate's edge has %d corners, closed %v", len(e.Points), e.Closed)
			}
			near("corner", e.Points[2][0], 100)
			near("bulge", e.Points[1][2], math.Tan(math.Pi/8))
			near("no bulge", e.Points[0][2], 0)
		case "TEXT":
			if want := `ø22.5 → 100 %%c \U+0041 ½`; e.Text != want {
				t.Errorf("text %q, want %q", e.Text, want)
			}
			near("height", e.Height, 3)
			near("baseline", e.At[1], 10)
		}
	}
	want := []float64{20, 30, 22.5, 60, 30, 7.2}
	for i := range want {
		if len(holes) != len(want) {
			t.Fatalf("holes %v", holes)
		}
		near("hole", holes[i], want[i])
	}
}

// A hostile text must not start an entity of its own.
func TestDXFTextCannotBreakOut(t *testing.T) {
	s := &Scene{
		Items:  []Item{Txt(v(0, 0), Read, 3, Left, "a\r\n  0\r\nLINE\r\n  8\nEVIL\x00\x1b"), Circ(v(0, 0), 1, Visible)},
		Layers: []Layer{{Name: "x\n0\nEOF"}},
	}
	b, err := DXF(s)
	if err != nil {
		t.Fatal(err)
	}
	seen := audit(t, "hostile.dxf", b)
	if len(seen.Entities) != 2 || len(seen.Errors)+len(seen.Fixes) > 0 {
		t.Errorf("entities %+v errors %q fixes %q", seen.Entities, seen.Errors, seen.Fixes)
	}
}

func TestDXFIsTheSameTwice(t *testing.T) {
	a, _ := DXF(plate())
	b, _ := DXF(plate())
	if !bytes.Equal(a, b) {
		t.Error("two runs give different bytes")
	}
}

// TestDXFForPeers lets a second reader, the npm package dxf-parser, read the file when it is at hand: testdata/peers/node_modules,
// or the folder named by KNOBWRIGHT_PEERS.
func TestDXFForPeers(t *testing.T) {
	dir := os.Getenv("KNOBWRIGHT_PEERS")
	if dir == "" {
		dir = "testdata/peers"
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "dxf-parser")); err != nil {
		t.Skip("SKIPPED: no node_modules/dxf-parser in testdata/peers or $KNOBWRIGHT_PEERS; this check against an outside program was not made")
	}
	node := witness.Tool(t, "node")
	for _, opt := range []DXFOptions{{}, {R12: true}} {
		b, err := DXFWith(plate(), opt)
		if err != nil {
			t.Fatal(err)
		}
		abs, err := filepath.Abs(dir)
		if err != nil {
			t.Fatal(err)
		}
		script := `const m = require(process.argv[1] + "/node_modules/dxf-parser"), P = m.default || m;
const d = new P().parseSync(require("fs").readFileSync(process.argv[2], "latin1"));
const n = {}; for (const e of d.entities) n[e.type] = (n[e.type] || 0) + 1;
const c = d.entities.filter(e => e.type === "CIRCLE").map(e => [e.center.x, e.center.y, 2 * e.radius]);
console.log(JSON.stringify({n, c}));`
		out := witness.Run(t, node, "-e", script, abs, witness.Keep(t, "peer.dxf", b))
		var got struct {
			N map[string]int
			C [][]float64
		}
		if err := json.Unmarshal([]byte(out), &got); err != nil {
			t.Fatalf("%v in %s", err, out)
		}
		if got.N["CIRCLE"] != 2 || got.N["ARC"] != 1 || got.N["LINE"] != 1 || got.N["TEXT"] != 1 || got.N["POLYLINE"]+got.N["LWPOLYLINE"] != 1 {
			t.Errorf("entities %v", got.N)
		}
		if len(got.C) != 2 || got.C[0][2] != 22.5 || got.C[1][0] != 60 {
			t.Errorf("holes %v", got.C)
		}
	}
}
