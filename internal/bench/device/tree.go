package device

import (
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Tree is where the system keeps its devices: /sys and /dev. Tests bring trees of their own.
type Tree struct {
	Sys, Dev string
	Open     func(path string) (io.ReadWriteCloser, error)                 // nil = the file itself
	Feature  func(f io.ReadWriteCloser, id byte, size int) ([]byte, error) // nil = as the kernel does it
}

// List finds all devices that send reports, by port. A system without any gives an empty list.
func (t Tree) List() ([]Info, error) {
	dir := filepath.Join(t.Sys, "class", "hidraw")
	nodes, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	byPort := map[string]*Info{}
	var order []string
	for _, n := range nodes {
		at := filepath.Join(dir, n.Name(), "device")
		desc, err := os.ReadFile(filepath.Join(at, "report_descriptor"))
		if err != nil {
			continue // it went away while we looked
		}
		text, err := os.ReadFile(filepath.Join(at, "uevent"))
		if err != nil {
			continue
		}
		u := uevent(string(text))
		port, number := u["HID_PHYS"], 0
		if i := strings.LastIndex(port, "/input"); i >= 0 {
			number, _ = strconv.Atoi(port[i+len("/input"):])
			port = port[:i]
		}
		if port == "" {
			port = n.Name()
		}
		vendor, product := ids(u["HID_ID"])
		info := byPort[port]
		if info == nil {
			info = &Info{Name: u["HID_NAME"], Serial: u["HID_UNIQ"], Vendor: vendor, Product: product, Port: port}
			byPort[port] = info
			order = append(order, port)
		}
		x := Interface{Number: number, Node: n.Name(), Descriptor: desc}
		if ev, _ := filepath.Glob(filepath.Join(at, "input", "input*", "event*")); len(ev) > 0 {
			x.Events = filepath.Base(ev[0])
		}
		info.Interfaces = append(info.Interfaces, x)
	}
	var out []Info
	for _, port := range order {
		i := *byPort[port]
		slices.SortFunc(i.Interfaces, func(a, b Interface) int { return cmp.Compare(a.Number, b.Number) })
		out = append(out, i)
	}
	slices.SortStableFunc(out, func(a, b Info) int { return cmp.Compare(a.Port, b.Port) })
	return out, nil
}

func uevent(text string) map[string]string {
	out := map[string]string{}
	for line := range strings.Lines(text) {
		if k, v, ok := strings.Cut(strings.TrimSpace(line), "="); ok {
			out[k] = v
		}
	}
	return out
}

// ids reads "0003:00001209:00000001".
func ids(s string) (vendor, product uint16) {
	p := strings.Split(s, ":")
	if len(p) != 3 {
		return 0, 0
	}
	v, _ := strconv.ParseUint(p[1], 16, 32)
	d, _ := strconv.ParseUint(p[2], 16, 32)
	return uint16(v), uint16(d)
}

// Connect opens a device: all its interfaces by hidraw; where that is not allowed, by the system's events. A *DeniedError when neither
// is allowed.
func (t Tree) Connect(i Info) (Link, error) {
	l := &link{tree: t, reports: make(chan Report, 64), done: make(chan struct{})}
	var denied error
	for _, x := range i.Interfaces {
		f, err := t.open(filepath.Join(t.Dev, x.Node))
		if err != nil {
			if errors.Is(err, fs.ErrPermission) {
				denied = &DeniedError{Node: "/dev/" + x.Node, Info: i}
				continue
			}
			_ = l.Close()
			if errors.Is(err, fs.ErrNotExist) {
				return nil, ErrGone
			}
			return nil, err
		}
		l.files = append(l.files, file{x.Number, f, false})
	}
	if denied != nil { // all or nothing: half a panel would look broken
		_ = l.Close()
		l = &link{tree: t, reports: make(chan Report, 64), done: make(chan struct{})}
		for _, x := range i.Interfaces {
			if x.Events == "" {
				continue
			}
			f, err := t.open(filepath.Join(t.Dev, "input", x.Events))
			if err == nil {
				l.files = append(l.files, file{x.Number, f, true})
			}
		}
		if len(l.files) == 0 {
			return nil, denied
		}
	}
	if len(l.files) == 0 {
		return nil, ErrGone
	}
	l.start()
	return l, nil
}

func (t Tree) open(path string) (io.ReadWriteCloser, error) {
	if t.Open != nil {
		return t.Open(path)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if errors.Is(err, fs.ErrPermission) && strings.Contains(path, "input") {
		f, err = os.OpenFile(path, os.O_RDONLY, 0)
	}
	return f, err
}
