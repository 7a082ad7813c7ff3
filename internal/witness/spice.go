package witness

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Circuit is a network that ngspice can read, with the names that its nodes and elements have there.
type Circuit interface {
	Netlist(w io.Writer, title string) error
	Nodes() []string
	Elements() []string
	SpiceNode(name string) string
	SpiceElement(name string) string
}

// Spice solves all networks with one run of ngspice and gives what it says, by network and vector: "n1" a voltage, V, "v3#branch" a
// current, A.
func Spice[C Circuit](t testing.TB, nets []C) []map[string]float64 {
	t.Helper()
	bin := Tool(t, "ngspice")
	dir := t.TempDir()
	var script bytes.Buffer
	script.WriteString("* all networks\n.control\nset numdgt=12\n")
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
		for _, e := range n.Elements() {
			if s := n.SpiceElement(e); s[0] == 'v' {
				fmt.Fprintf(&script, "print %s#branch\n", s)
			}
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
	var complaints bytes.Buffer // apart, or they land in the middle of a line of answers
	cmd.Stderr = &complaints
	text, err := cmd.Output()
	if err != nil && !bytes.Contains(text, []byte("BEGIN")) {
		t.Fatalf("ngspice: %v\n%s", err, complaints.Bytes())
	}
	out := make([]map[string]float64, len(nets))
	at := -1
	lines := bufio.NewScanner(bytes.NewReader(text))
	for lines.Scan() {
		if num, ok := strings.CutPrefix(lines.Text(), "BEGIN "); ok {
			if at, err = strconv.Atoi(strings.TrimSpace(num)); err != nil {
				t.Fatal(err)
			}
			out[at] = map[string]float64{}
			continue
		}
		name, value, ok := strings.Cut(lines.Text(), " = ")
		if !ok || at < 0 {
			continue
		}
		if v, err := strconv.ParseFloat(strings.TrimSpace(value), 64); err == nil {
			out[at][strings.TrimSpace(name)] = v
		}
	}
	return out
}
