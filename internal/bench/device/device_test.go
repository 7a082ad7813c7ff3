package device

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/bench/decode"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

func cue() *job.Result {
	return job.Check(project.Read("cue-desk", examples.File("cue-desk")), catalog.Builtin())
}

// pipe is a device file whose other end the test holds.
type pipe struct {
	r    *io.PipeReader
	w    *io.PipeWriter
	sent [][]byte
}

func (p *pipe) Read(b []byte) (int, error) { return p.r.Read(b) }
func (p *pipe) Write(b []byte) (int, error) {
	p.sent = append(p.sent, append([]byte(nil), b...))
	return len(b), nil
}
func (p *pipe) Close() error { return p.r.Close() }

// desk is a computer with devices plugged in.
type desk struct {
	tree   Tree
	files  map[string]*pipe
	denied map[string]bool
	asked  []byte
	n      int
}

func newDesk(t *testing.T) *desk {
	d := &desk{files: map[string]*pipe{}, denied: map[string]bool{}}
	dir := t.TempDir()
	d.tree = Tree{
		Sys: filepath.Join(dir, "sys"), Dev: "/dev",
		Open: func(path string) (io.ReadWriteCloser, error) {
			if d.denied[path] {
				return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrPermission}
			}
			p := d.files[path]
			if p == nil {
				return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
			}
			return p, nil
		},
		Feature: func(_ io.ReadWriteCloser, id byte, size int) ([]byte, error) {
			d.asked = append(d.asked, id)
			return append([]byte{id}, make([]byte, size-1)...), nil
		},
	}
	return d
}

func (d *desk) plug(t *testing.T, name, serial, port string, id string, descriptors ...[]byte) {
	t.Helper()
	for i, b := range descriptors {
		node := fmt.Sprintf("hidraw%d", d.n)
		at := filepath.Join(d.tree.Sys, "class", "hidraw", node, "device")
		ev := filepath.Join(at, "input", fmt.Sprintf("input%d", d.n), fmt.Sprintf("event%d", d.n))
		if err := os.MkdirAll(ev, 0o755); err != nil {
			t.Fatal(err)
		}
		u := fmt.Sprintf("DRIVER=hid-generic\nHID_ID=0003:%s\nHID_NAME=%s\nHID_PHYS=%s/input%d\nHID_UNIQ=%s\n", id, name, port, i, serial)
		for file, data := range map[string][]byte{"uevent": []byte(u), "report_descriptor": b} {
			if err := os.WriteFile(filepath.Join(at, file), data, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		for _, path := range []string{"/dev/" + node, fmt.Sprintf("/dev/input/event%d", d.n)} {
			r, w := io.Pipe()
			d.files[path] = &pipe{r: r, w: w}
		}
		d.n++
	}
}

const ids1 = "00001209:00000001"

func (d *desk) panel(t *testing.T, r *job.Result, serial, port string) {
	d.plug(t, "Knob Cue desk", serial, port, ids1, r.Firmware.Interfaces[0].Descriptor, r.Firmware.Interfaces[1].Descriptor)
}

// mouse is a boot mouse. Source: HID 1.11, appendix E.10.
var mouse = []byte{
	0x05, 0x01, 0x09, 0x02, 0xA1, 0x01, 0x09, 0x01, 0xA1, 0x00, 0x05, 0x09, 0x19, 0x01, 0x29, 0x03, 0x15, 0x00, 0x25, 0x01, 0x95, 0x03, 0x75, 0x01,
	0x81, 0x02, 0x95, 0x01, 0x75, 0x05, 0x81, 0x01, 0x05, 0x01, 0x09, 0x30, 0x09, 0x31, 0x15, 0x81, 0x25, 0x7F, 0x75, 0x08, 0x95, 0x02, 0x81, 0x06, 0xC0, 0xC0,
}

func (d *desk) all(t *testing.T) []Info {
	t.Helper()
	all, err := d.tree.List()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestChoose(t *testing.T) {
	r := cue()
	m := decode.New(r.Firmware)
	say := func(d *desk, w Want) (Info, string) {
		i, err := Choose(d.all(t), m, w, "cue-desk.yaml")
		if err != nil {
			return i, err.Error()
		}
		return i, ""
	}
	d := newDesk(t)
	if _, got := say(d, Want{}); !strings.HasPrefix(got, "no panel is plugged in") {
		t.Error(got)
	}
	d.plug(t, "A mouse", "", "usb-1", "0000AAAA:0000BBBB", mouse)
	if _, got := say(d, Want{}); !strings.Contains(got, "strange to it: A mouse (AAAA:BBBB) at hidraw0") {
		t.Error(got)
	}
	d.panel(t, r, "00C7", "usb-2")
	if i, got := say(d, Want{}); got != "" || i.Serial != "00C7" || len(i.Interfaces) != 2 || i.Bench(m) != 1 {
		t.Error(i, got)
	}
	d.panel(t, r, "00C8", "usb-3")
	if _, got := say(d, Want{}); !strings.Contains(got, "2 panels of this kind") || !strings.Contains(got, "--serial 00C7 or --serial 00C8") {
		t.Error(got)
	}
	if i, got := say(d, Want{Serial: "00C8"}); got != "" || i.Port != "usb-3" {
		t.Error(i, got)
	}
	if _, got := say(d, Want{Serial: "1234"}); !strings.Contains(got, "no panel with the serial 1234") {
		t.Error(got)
	}
	d.panel(t, r, "00C8", "usb-4")
	if _, got := say(d, Want{}); !strings.Contains(got, "--device hidraw3 or --device hidraw5") {
		t.Error(got)
	}
	if _, got := say(d, Want{Node: "/dev/hidraw0"}); !strings.Contains(got, "A mouse (AAAA:BBBB) is a stranger to cue-desk.yaml: it has a place for ") {
		t.Error(got)
	}
	if i, got := say(d, Want{Node: "/dev/hidraw5"}); got != "" || i.Port != "usb-4" {
		t.Error(i, got)
	}
	if _, got := say(d, Want{Node: "hidraw77"}); !strings.Contains(got, "there is no hidraw77") {
		t.Error(got)
	}
}

func TestTalk(t *testing.T) {
	r := cue()
	d := newDesk(t)
	d.panel(t, r, "00C7", "usb-2")
	l, err := d.tree.Connect(d.all(t)[0])
	if err != nil {
		t.Fatal(err)
	}
	go func() { _, _ = d.files["/dev/hidraw0"].w.Write([]byte{1, 2, 3}) }()
	if got := <-l.Reports(); got.Interface != 0 || string(got.Data) != "\x01\x02\x03" {
		t.Errorf("%+v", got)
	}
	if b, err := l.Feature(1, 0xF1, 20); err != nil || b[0] != 0xF1 || len(b) != 20 {
		t.Error(b, err)
	}
	if err := l.Send(0, []byte{2, 1}); err != nil || len(d.files["/dev/hidraw0"].sent) != 1 {
		t.Error(err)
	}
	_ = d.files["/dev/hidraw0"].w.CloseWithError(io.EOF) // pulled
	select {
	case _, more := <-l.Reports():
		if more {
			t.Error("a report from a panel that is gone")
		}
	case <-time.After(2 * time.Second):
		t.Fatal("nobody noticed that the panel was unplugged")
	}
	if !errors.Is(l.Err(), ErrGone) {
		t.Error(l.Err())
	}
}

func TestClosedIsNotUnplugged(t *testing.T) {
	d := newDesk(t)
	d.panel(t, cue(), "1", "usb-1")
	l, err := d.tree.Connect(d.all(t)[0])
	if err != nil {
		t.Fatal(err)
	}
	_ = l.Close()
	for range l.Reports() {
	}
	if l.Err() != nil {
		t.Error(l.Err())
	}
}

// Where hidraw is not allowed, the system's events are read; where these are not either, the rule is offered.
func TestDenied(t *testing.T) {
	d := newDesk(t)
	d.panel(t, cue(), "1", "usb-1")
	d.denied["/dev/hidraw0"], d.denied["/dev/hidraw1"] = true, true
	l, err := d.tree.Connect(d.all(t)[0])
	if err != nil {
		t.Fatal(err)
	}
	event := append(make([]byte, 16), 1, 0, 0x20, 0x01, 1, 0, 0, 0) // EV_KEY, BTN_JOYSTICK, down
	go func() { _, _ = d.files["/dev/input/event0"].w.Write(event) }()
	got := <-l.Reports()
	if got.Event == nil || *got.Event != (Event{1, 0x120, 1}) {
		t.Fatalf("%+v", got)
	}
	m := decode.New(cue().Firmware)
	if c, ok := m.Event(got.Event.Type, got.Event.Code, got.Event.Value); !ok || c.Name != "desk" || !c.On {
		t.Errorf("%+v", c)
	}
	if _, err := l.Feature(1, 0xF0, 21); !errors.Is(err, ErrNoFeature) {
		t.Error(err)
	}
	_ = l.Close()
	d.denied["/dev/input/event0"], d.denied["/dev/input/event1"] = true, true
	_, err = d.tree.Connect(d.all(t)[0])
	var denied *DeniedError
	if !errors.As(err, &denied) {
		t.Fatal(err)
	}
	for _, want := range []string{`ATTRS{idVendor}=="1209"`, `ATTRS{idProduct}=="0001"`, "uaccess"} {
		if !strings.Contains(denied.Rule(), want) {
			t.Errorf("the rule lacks %s:\n%s", want, denied.Rule())
		}
	}
}

// Half-written entries and nodes that go away while they are read are passed over.
func TestTornTree(t *testing.T) {
	d := newDesk(t)
	d.panel(t, cue(), "1", "usb-1")
	for _, name := range []string{"hidraw8", "hidraw9"} {
		if err := os.MkdirAll(filepath.Join(d.tree.Sys, "class", "hidraw", name, "device"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	_ = os.WriteFile(filepath.Join(d.tree.Sys, "class", "hidraw", "hidraw9", "device", "report_descriptor"), []byte{1}, 0o600)
	if all := d.all(t); len(all) != 1 {
		t.Errorf("%d devices", len(all))
	}
	i := d.all(t)[0]
	delete(d.files, "/dev/hidraw0")
	if _, err := d.tree.Connect(i); !errors.Is(err, ErrGone) {
		t.Error(err)
	}
	if all, err := (Tree{Sys: t.TempDir()}).List(); err != nil || all != nil {
		t.Error(all, err)
	}
}
