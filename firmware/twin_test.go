package firmware

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// The strict flags that every file of the core must pass, and the sanitizers under which all tests run it.
var strict = []string{
	"-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wshadow", "-Wconversion", "-Werror", "-g", "-O1",
	"-fsanitize=address,undefined", "-fno-sanitize-recover=all",
}

// built is the core on this PC; TestSownFaults gives the path of a faulty one.
var built = sync.OnceValues(func() (string, error) {
	if path := os.Getenv("KNOBWRIGHT_TWIN"); path != "" {
		return path, nil
	}
	cc, err := exec.LookPath("cc")
	if err != nil {
		return "", nil
	}
	dir, err := os.MkdirTemp("", "twin")
	if err != nil {
		return "", err
	}
	files, err := filepath.Glob("core/*.c")
	if err != nil {
		return "", err
	}
	args := append(append([]string{"-Icore"}, strict...), files...)
	out := filepath.Join(dir, "twin")
	if text, err := exec.Command(cc, append(args, "host/twin.c", "-o", out)...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return out, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if path, err := built(); err == nil && path != "" && os.Getenv("KNOBWRIGHT_TWIN") == "" {
		_ = os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// fataler is what both testing and rapid have.
type fataler interface {
	Fatalf(format string, args ...any)
}

// twin is the core on this PC, under sanitizers.
type twin struct {
	in  io.WriteCloser
	out *bufio.Scanner
	cmd *exec.Cmd
	err *strings.Builder
}

// start builds the core, once, and starts it. Without a C compiler the test is skipped.
func start(t testing.TB) *twin {
	t.Helper()
	path, err := built()
	if err != nil {
		t.Fatalf("the core does not compile: %v", err)
	}
	if path == "" {
		t.Skip("SKIPPED: no C compiler (cc) is installed; the firmware core was not tested")
	}
	w := &twin{cmd: exec.Command(path), err: &strings.Builder{}}
	w.cmd.Stderr = w.err
	if w.in, err = w.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := w.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	w.out = bufio.NewScanner(out)
	if err := w.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		w.in.Close()
		if err := w.cmd.Wait(); err != nil {
			t.Errorf("the core stopped: %v\n%s", err, w.err)
		}
	})
	return w
}

// say sends lines and gives all answers.
func (w *twin) say(t fataler, lines ...string) []string {
	_, err := io.WriteString(w.in, strings.Join(lines, "\n")+"\nend\n")
	if err != nil {
		t.Fatalf("the core does not listen: %v\n%s", err, w.err)
	}
	var answers []string
	for w.out.Scan() {
		if w.out.Text() == "end" {
			return answers
		}
		answers = append(answers, w.out.Text())
	}
	t.Fatalf("the core stopped\n%s", w.err)
	return nil
}

// load begins with a table, which must be taken; before lists contacts that are set first.
func (w *twin) load(t fataler, table Table, before ...string) {
	raw, err := table.Bytes()
	if err != nil {
		t.Fatalf("%v", err)
	}
	lines := append([]string{"rate 1", "poll 1", fmt.Sprintf("chip %d", table.Chip)}, before...)
	got := w.say(t, append(lines, fmt.Sprintf("table %X", raw))...)
	if len(got) != 1 || got[0] != "begin 0 0 0" {
		t.Fatalf("the table is refused: %v", got)
	}
}

// sent is a report as it was taken.
type sent struct {
	tick int
	data []byte
}

// reports reads answers to ticks.
func reports(t fataler, answers []string) []sent {
	var out []sent
	for _, a := range answers {
		tick, text, ok := strings.Cut(a, " ")
		n, err := strconv.Atoi(tick)
		if !ok || err != nil {
			t.Fatalf("answer %q", a)
		}
		var data []byte
		if _, err := fmt.Sscanf(text, "%X", &data); err != nil {
			t.Fatalf("answer %q: %v", a, err)
		}
		out = append(out, sent{n, data})
	}
	return out
}

// raws gives the lines that set contacts, from one bit on.
func raws(from int, values ...int) []string {
	var out []string
	for i, v := range values {
		out = append(out, fmt.Sprintf("raw %d %d", from+i, v))
	}
	return out
}

// quiet opens all contacts.
func quiet() []string { return raws(0, make([]int, 248)...) }

// bare is a table of one report without a number, of n bytes.
func bare(n int) Table {
	return Table{Tick: 1000, Reports: []Report{{Length: uint8(n)}}}
}
