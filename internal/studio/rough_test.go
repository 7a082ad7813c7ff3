package studio

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"knobwright/internal/catalog"
	"knobwright/internal/edit"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// many is a panel of n buttons by themselves, in rows of 50.
func many(n int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "knobwright: 1\ntitle: Many\nface: {width: 2040, height: %d, sheet: aluminium-2mm}\ncontrols:\n", 40*(n/50)+40)
	for i := range n {
		fmt.Fprintf(&b, "  k%d: {part: push-12mm, at: [%d, %d]}\n", i, 40*(i%50)+40, 40*(i/50)+40)
	}
	return b.String()
}

// crowded serves a panel of 2,000 controls.
func crowded(t testing.TB) (*Session, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "many.yaml")
	if err := os.WriteFile(path, []byte(many(2000)), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, plainJudge, plainTouch)
	if err != nil {
		t.Fatal(err)
	}
	return s, path
}

func TestTwoThousandControls(t *testing.T) {
	thorough.Only(t)
	s, path := crowded(t)
	began := time.Now()
	now, good, _ := s.Now()
	b, err := json.Marshal(lookData(s, now, good, nil))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("a look of 2,000 controls: %d bytes in %v", len(b), time.Since(began))
	if len(b) > 2<<20 {
		t.Errorf("a look has %d bytes", len(b))
	}
	var times []time.Duration
	for i := range 10 {
		began = time.Now()
		base, l, err := s.TryAct(edit.Act{Do: "move", Names: []string{"k777"}, By: [2]float64{float64(i), 1}})
		if err != nil {
			t.Fatal(err)
		}
		if d := tryData(base, l); len(d.Moved) != 1 {
			t.Errorf("%d moved", len(d.Moved))
		}
		times = append(times, time.Since(began))
	}
	t.Logf("a drag's step among them: %v", times)
	var all []string
	for i := range 2000 {
		all = append(all, fmt.Sprint("k", i))
	}
	began = time.Now()
	if _, err := s.Act(edit.Act{Do: "move", Names: all, By: [2]float64{1, 2}}); err != nil {
		t.Fatal(err)
	}
	t.Logf("all of them moved, checked and saved in %v", time.Since(began))
	if c := content(t, path); !strings.Contains(c, "  k0: {part: push-12mm, at: [41, 42]}\n") || !strings.Contains(c, "  k1999: {part: push-12mm, at: [2001, 1602]}\n") {
		t.Error("not all of them stand where they should")
	}
	if _, err := s.Act(edit.Act{Do: "remove", Names: all[:300]}); err != nil {
		t.Fatal(err)
	}
	if err := s.Undo(); err != nil {
		t.Fatal(err)
	}
	if err := s.Undo(); err != nil || content(t, path) != many(2000) {
		t.Error("undo does not lead back")
	}
}

// Two pages of one file: each sees what the other does, and nothing is lost.
func TestTwoPages(t *testing.T) {
	base, link, path := served(t)
	a, b := browser(t, link), browser(t, link)
	var wg sync.WaitGroup
	for k, c := range []*http.Client{a, b} {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range 15 {
				name := []string{"go", "bell"}[k]
				if code, body := post(t, c, base+"/api/act", fmt.Sprintf(`{"do":"place","names":[%q],"across":"%d"}`, name, 31+i)); code != 200 {
					t.Errorf("%d %s", code, body)
				}
			}
		}()
	}
	wg.Wait()
	c := content(t, path)
	if strings.Count(c, "at: [45, 50]") != 2 || !strings.Contains(c, "# the big one") {
		t.Errorf("an edit is lost:\n%s", c)
	}
	var l LookData
	_, body := get(t, a, base+"/api/look")
	if err := json.Unmarshal([]byte(body), &l); err != nil || l.Rev != 31 || l.Text != c {
		t.Errorf("revision %d %v", l.Rev, err)
	}
	// one types from a text that the other has changed
	if code, _ := post(t, b, base+"/api/text", `{"rev":3,"text":"knobwright: 1\n"}`); code != 409 {
		t.Errorf("no clash: %d", code)
	}
}

// small disks: a tmpfs of a few pages, in a mount namespace of the test's own.
func TestDiskFull(t *testing.T) {
	if dir := os.Getenv("KNOBWRIGHT_FULL_DISK"); dir != "" {
		onFullDisk(t, dir)
		return
	}
	if runtime.GOOS != "linux" {
		t.Skip("needs Linux")
	}
	if err := exec.Command("unshare", "-rm", "true").Run(); err != nil {
		t.Skipf("SKIPPED: no mount namespace may be made here: %v", err)
	}
	dir := t.TempDir()
	c := exec.Command("unshare", "-rm", "sh", "-c", `mount -t tmpfs -o size=64k tmpfs "$1" && KNOBWRIGHT_FULL_DISK="$1" "$2" -test.run='^TestDiskFull$' -test.v`, "sh", dir, os.Args[0])
	out, err := c.CombinedOutput()
	if err != nil || !bytes.Contains(out, []byte("the disk was full")) {
		t.Errorf("%v\n%s", err, out)
	}
}

func onFullDisk(t *testing.T, dir string) {
	path := filepath.Join(dir, "small.yaml")
	if err := os.WriteFile(path, []byte(small), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, plainJudge, plainTouch)
	if err != nil {
		t.Fatal(err)
	}
	ballast := filepath.Join(dir, "ballast")
	f, err := os.Create(ballast)
	if err != nil {
		t.Fatal(err)
	}
	for err == nil {
		_, err = f.Write(make([]byte, 4096))
	}
	f.Close()
	if err := s.Edit(set("controls.go.at", "[45, 50]"), "move"); err == nil {
		t.Fatal("a full disk took an edit")
	} else {
		t.Log("the disk was full:", err)
	}
	if content(t, path) != small {
		t.Errorf("the file is\n%s", content(t, path))
	}
	now, good, trouble := s.Now()
	if d := lookData(s, now, good, trouble); !strings.Contains(d.Trouble, "space") || string(now.Text) != small || d.Undo != "" {
		t.Errorf("%q %q", d.Trouble, d.Undo)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	if err := s.Edit(set("controls.go.at", "[45, 50]"), "move"); err != nil || !strings.Contains(content(t, path), "[45, 50]") {
		t.Errorf("when there is room again: %v", err)
	}
	if _, _, trouble := s.Now(); trouble != nil {
		t.Error(trouble)
	}
}

// A file that cannot be written, because its folder takes no new files, stays as it is; the text in force too.
func TestFolderTakesNothing(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("nothing is read-only to the superuser")
	}
	s, path := opened(t)
	dir := filepath.Dir(path)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if err := s.Edit(set("controls.go.at", "[45, 50]"), ""); err == nil || content(t, path) != small {
		t.Errorf("%v", err)
	}
}

// What nobody should send is answered with a sentence and changes nothing.
func TestMalformedRequests(t *testing.T) {
	base, link, path := served(t)
	c := browser(t, link)
	big := strings.Repeat("x", 3<<20)
	deep := strings.Repeat(`[`, 200000)
	for _, u := range []string{"/api/edit", "/api/try", "/api/text", "/api/fix", "/api/act", "/api/card", "/api/card/save", "/api/press", "/api/press/ribs"} {
		for what, b := range map[string]string{
			"nothing": "", "no JSON": "knobwright: 1", "half": `{"say":"x","edits":[`, "null": "null", "a list": "[]", "a number": "7", "deep": deep, "oversize": `{"say":"` + big + `"}`,
			"two": `{}{}`, "a NUL": "{\"say\":\"\x00\"}", "bad UTF-8": "{\"say\":\"\xff\xfe\"}", "wrong kinds": `{"say":[],"edits":{},"rev":"one","do":{},"names":"go"}`,
		} {
			code, body := post(t, c, base+u, b)
			if code >= 500 || code == 0 {
				t.Errorf("%s, %s: %d", u, what, code)
			}
			if what == "oversize" && (code != 413 || !bytes.Contains(body, []byte("too much at once"))) {
				t.Errorf("%s, %s: %d %.100s", u, what, code, body)
			}
			if code >= 400 && !bytes.Contains(body, []byte(`"say":"`)) {
				t.Errorf("%s, %s: %d without a sentence: %.100s", u, what, code, body)
			}
		}
	}
	if content(t, path) != small {
		t.Errorf("something was written:\n%s", content(t, path))
	}
	for _, e := range []string{
		`{"op":"set","path":"controls.go.at","value":"[1, 2"}`, `{"op":"set","path":"controls.a/../b","value":"{}"}`, `{"op":"set","path":"","value":"x"}`, `{"op":"burn","path":"title"}`,
		`{"op":"set","path":"title","value":"a\nknobwright: 2"}`, `{"op":"set","path":"controls.go.at","value":"[&a 1, *a]"}`, `{"op":"rename","path":"controls.go","value":"a: b"}`,
		`{"op":"set","path":"` + strings.Repeat("a.", 3000) + `","value":"1"}`, `{"op":"set","path":"title","value":"` + strings.Repeat("y", 100000) + `"}`,
	} {
		before := content(t, path)
		code, body := post(t, c, base+"/api/edit", `{"say":"","edits":[`+e+`]}`)
		if code == 200 { // taken: then the file must still be one that can be read
			var l LookData
			if json.Unmarshal(body, &l) != nil || l.Broken {
				t.Errorf("%.80s broke the file", e)
			}
			post(t, c, base+"/api/undo", "{}")
		}
		if content(t, path) != before {
			t.Errorf("%.80s: %d, and the file is\n%s", e, code, content(t, path))
		}
	}
	// bytes that are no request at all
	addr := strings.TrimPrefix(base, "http://")
	for _, raw := range []string{"\x00\x01\x02\x03\r\n\r\n", "GET / HTTP/1.1\r\nHost: " + strings.Repeat("a", 40000) + "\r\n\r\n", "POST /api/edit HTTP/1.1\r\nHost: " + addr + "\r\nContent-Length: -5\r\n\r\n", "BREW /api/look HTTP/1.1\r\nHost: " + addr + "\r\nConnection: close\r\n\r\n"} {
		n, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		_ = n.SetDeadline(time.Now().Add(time.Minute))
		_, _ = io.WriteString(n, raw)
		b, err := io.ReadAll(n)
		var late net.Error
		if errors.As(err, &late) && late.Timeout() {
			t.Errorf("%.30q hangs", raw)
		}
		if len(b) > 0 && !bytes.HasPrefix(b, []byte("HTTP/1.1 4")) {
			t.Errorf("%.30q: %.60s", raw, b)
		}
		n.Close()
	}
	if code, _ := get(t, c, base+"/api/look"); code != 200 {
		t.Errorf("afterwards: %d", code)
	}
}

// Ten thousand edits leave no more behind than the steps that can be undone.
func TestTenThousandEdits(t *testing.T) {
	thorough.Only(t)
	s, _ := opened(t)
	now, _, _ := s.Now()
	s.judge = func(path string, src []byte) (*project.Doc, *catalog.Catalog, *job.Result) {
		return project.Read("small.yaml", src), catalog.Builtin(), now.Result // what is found is no part of the history
	}
	s.path = filepath.Join("/dev/shm", filepath.Base(t.TempDir())+"-small.yaml") // a disk that need not turn
	if err := os.WriteFile(s.path, []byte(small), 0o644); err != nil {
		t.Skipf("SKIPPED: no memory disk: %v", err)
	}
	defer os.Remove(s.path)
	heap := func() uint64 {
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	var at []uint64
	for i := range 10000 {
		if err := s.Edit(set("controls.go.at", fmt.Sprintf("[%d.%d, 50]", 30+i%40, i%10)), "move GO"); err != nil {
			t.Fatal(err)
		}
		if i == 2999 || i == 9999 {
			at = append(at, heap())
		}
	}
	t.Logf("heap after 3,000 edits %d kB, after 10,000 %d kB; %d steps are kept", at[0]>>10, at[1]>>10, len(s.back))
	if at[1] > at[0]+1<<20 {
		t.Errorf("the heap grew from %d to %d", at[0], at[1])
	}
}

// A page that goes away without a word is forgotten.
func TestListenersGo(t *testing.T) {
	s, _ := opened(t)
	for range 1000 {
		s.Leave(s.Listen())
	}
	if len(s.subs) != 0 {
		t.Errorf("%d are left", len(s.subs))
	}
}

// Each step of a drag on an example, as the page asks for it: the act, the text, what meets what, the cut, and the answer as JSON.
func BenchmarkDrag(b *testing.B) {
	for _, x := range []struct{ name, control string }{{"cue-desk", "go"}, {"signal-desk", "live"}, {"signal-desk", "w11"}} {
		b.Run(x.name+"/"+x.control, func(b *testing.B) {
			s := example(b, x.name)
			for i := 0; b.Loop(); i++ {
				base, l, err := s.TryAct(edit.Act{Do: "move", Names: []string{x.control}, By: [2]float64{float64(i%40)/4 + 0.25, 0.5}})
				if err != nil {
					b.Fatal(err)
				}
				d := tryData(base, l)
				d.Cut = cutThrough(l.Result.Panel, x.control)
				if _, err := json.Marshal(d); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("many/k777", func(b *testing.B) {
		s, _ := crowded(b)
		for i := 0; b.Loop(); i++ {
			base, l, err := s.TryAct(edit.Act{Do: "move", Names: []string{"k777"}, By: [2]float64{float64(i%40)/4 + 0.25, 0.5}})
			if err != nil {
				b.Fatal(err)
			}
			if _, err := json.Marshal(tryData(base, l)); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func example(t testing.TB, name string) *Session {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "examples", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), name+".yaml")
	if err := os.WriteFile(path, src, 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path, plainJudge, plainTouch)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
