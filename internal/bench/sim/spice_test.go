package sim

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/solve/circuit"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// A sample of what faulty panels are made of, against ngspice: every voltage to 0.1 mV plus a thousandth.
func TestSampleAgainstNgspice(t *testing.T) {
	bin, err := exec.LookPath("ngspice")
	if err != nil {
		t.Skip("SKIPPED: ngspice is not installed; no voltage was compared with another program")
	}
	var nets []*circuit.Network
	for _, name := range withTables {
		r := jobOf(t, name)
		all := Faults(r)
		for i := 0; i < len(all); i += 1 + len(all)/25 {
			p, err := New(r, all[i])
			if err != nil {
				t.Fatal(err)
			}
			n := 0
			p.net.watch = func(c *circuit.Network) {
				if len(c.Elements()) > 3 && n < 6 {
					n++
					nets = append(nets, c)
				}
			}
			for _, d := range r.Wiring.Devices {
				if n >= 6 {
					break
				}
				a := diagnosis.Act{Do: diagnosis.Press, Device: d.ID}
				switch d.Kind {
				case wiring.DevTrack:
					a.Do, a.Part = diagnosis.Slide, 0.9
				case wiring.DevLamp:
					a.Do = diagnosis.Light
				case wiring.DevEncoder:
					a.Do, a.Clicks = diagnosis.Turn, 1
				}
				_, _ = p.Do(a)
			}
		}
	}
	dir := t.TempDir()
	var script bytes.Buffer
	script.WriteString("* a sample\n.control\nset numdgt=12\n")
	for i, n := range nets {
		var deck bytes.Buffer
		if err := n.Netlist(&deck, fmt.Sprint("network ", i)); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, fmt.Sprintf("c%d.cir", i))
		if err := os.WriteFile(name, deck.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&script, "source %s\nop\necho BEGIN %d\n", name, i)
		for _, node := range n.Nodes() {
			fmt.Fprintf(&script, "print %s\n", n.SpiceNode(node))
		}
		script.WriteString("destroy all\nremcirc\n")
	}
	script.WriteString("quit\n.endc\n.end\n")
	file := filepath.Join(dir, "all.sp")
	if err := os.WriteFile(file, script.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(bin, "-n", "-b", file)
	cmd.Dir = dir
	text, err := cmd.CombinedOutput()
	if err != nil && !bytes.Contains(text, []byte("BEGIN")) {
		t.Fatalf("ngspice: %v\n%s", err, text)
	}
	at, compared := -1, 0
	want := map[string]float64{}
	lines := bufio.NewScanner(bytes.NewReader(text))
	for lines.Scan() {
		if num, ok := strings.CutPrefix(lines.Text(), "BEGIN "); ok {
			at, _ = strconv.Atoi(strings.TrimSpace(num))
			clear(want)
			s, err := nets[at].Solve()
			if err != nil {
				t.Fatal(err)
			}
			for _, node := range nets[at].Nodes() {
				want[nets[at].SpiceNode(node)] = s.V(node)
			}
			continue
		}
		name, value, ok := strings.Cut(lines.Text(), " = ")
		if !ok || at < 0 {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		w, known := want[strings.TrimSpace(name)]
		if err != nil || !known {
			continue
		}
		compared++
		if math.Abs(v-w) > 1e-4+1e-3*math.Abs(v) {
			t.Errorf("network %d, %s: ngspice %.6f V, here %.6f V", at, name, v, w)
		}
	}
	t.Logf("%d networks, %d voltages compared", len(nets), compared)
	if compared < 300 {
		t.Errorf("only %d voltages were compared", compared)
	}
}
