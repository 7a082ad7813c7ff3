package decode

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/firmware/rig"
	"knobwright/internal/catalog"
	"knobwright/internal/hid"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/firmware"
)

func cue(t testing.TB) *job.Result {
	t.Helper()
	return job.Check(project.Read("cue-desk", examples.File("cue-desk")), catalog.Builtin())
}

// The firmware itself, simulated: each contact that is pressed is told by its name, down and up, and the raw bits and the identity
// are those of the table.
func TestFirmwareItself(t *testing.T) {
	r := cue(t)
	p, err := rig.NewPanel(context.Background(), r.Firmware.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	m := New(r.Firmware)
	s, err := m.Stream(r.Firmware.Interfaces[0].Descriptor)
	if err != nil {
		t.Fatal(err)
	}
	take := func(reports [][]byte) (names []string) {
		t.Helper()
		for _, b := range reports {
			changes, err := s.Report(b)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range changes {
				if !c.Axis {
					names = append(names, c.Name)
				}
			}
		}
		return
	}
	run := func(ms int) [][]byte {
		t.Helper()
		got, err := p.Run(ms)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	take(run(50))
	for _, row := range r.Firmware.Rows {
		if len(row.Raw) != 1 {
			continue
		}
		for range 2 {
			_, err := p.Press(row.Raw[0], true)
			if err != nil {
				t.Fatal(err)
			}
			if got := strings.Join(take(run(30)), " "); got != row.Name {
				t.Errorf("%s pressed: %q moved", row.Name, got)
			}
			_, _ = p.Press(row.Raw[0], false)
			if got := strings.Join(take(run(30)), " "); got != row.Name {
				t.Errorf("%s let go: %q moved", row.Name, got)
			}
		}
	}
	for i, row := range r.Firmware.Rows { // a reading comes back as it was put in
		if a := m.axis[i]; a >= 0 {
			for _, v := range []int{9000, 50000} {
				if ok, err := p.Slide(a, v); !ok || err != nil {
					t.Fatal(ok, err)
				}
				take(run(200))
				if got := int(s.Moment(0, nil).Axes[a]); got < v-150 || got > v+150 {
					t.Errorf("%s at %d reads %d", row.Name, v, got)
				}
			}
		}
	}
	id, err := p.Identity()
	if err != nil {
		t.Fatal(err)
	}
	mine := Identity{CRC: m.Table()}
	if say := m.Belongs(mine, "cue-desk.yaml"); say != "" {
		t.Error(say)
	}
	if say := m.Belongs(Identity{CRC: id.CRC ^ 1}, "cue-desk.yaml"); !strings.Contains(say, "not the one of cue-desk.yaml") {
		t.Error(say)
	}
	if say := m.Belongs(Identity{Error: 5}, "cue-desk.yaml"); !strings.Contains(say, "refuses its table") {
		t.Error(say)
	}
}

func table(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.NewReplacer(" ", "", "\n", "").Replace(s))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// everything makes a mapping of all that a descriptor's input reports hold.
func everything(d *hid.Descriptor) firmware.Result {
	var fw firmware.Result
	seen := map[hid.Usage]bool{}
	for _, r := range d.Reports {
		if r.Kind != hid.Input {
			continue
		}
		for _, f := range r.Fields {
			n := f.Count
			if f.IsArray() {
				n = f.Choices()
			}
			for i := range min(n, 300) {
				if u, ok := f.Usage(i); ok && !f.IsFill() && !seen[u] {
					seen[u] = true
					fw.Rows = append(fw.Rows, firmware.Row{Name: u.String(), Place: firmware.Place{Interface: "x", Report: int(r.ID), Bit: f.Offset + i*f.Size, Width: f.Size, Usage: u}})
				}
			}
		}
	}
	return fw
}

// spans finds where each usage's bits lie by walking over the items again, with nothing of the parser but its cutting into items:
// sizes and counts add up in order. Only for descriptors whose globals are plain (no push) and whose fields are variable.
func spans(d *hid.Descriptor, id uint8) (out map[hid.Usage][2]int, plain bool) {
	out = map[hid.Usage][2]int{}
	page, size, count, report := uint32(0), 0, 0, uint8(0)
	at := map[uint8]int{}
	var usages []hid.Usage
	low := int64(-1)
	num := func(b []byte) (v uint32) {
		for i := len(b) - 1; i >= 0; i-- {
			v = v<<8 | uint32(b[i])
		}
		return
	}
	full := func(i hid.Item) hid.Usage {
		if len(i.Data) == 4 {
			return hid.Usage(num(i.Data))
		}
		return hid.Usage(page<<16 | num(i.Data))
	}
	for _, i := range d.Items {
		var prefix [1]byte
		b, err := i.Append(nil)
		if err != nil {
			return nil, false
		}
		copy(prefix[:], b)
		switch prefix[0] & 0xFC {
		case 0x04:
			page = num(i.Data)
		case 0x74:
			size = int(num(i.Data))
		case 0x94:
			count = int(num(i.Data))
		case 0x84:
			report = uint8(num(i.Data))
		case 0xA4, 0xB4:
			return nil, false
		case 0x08:
			usages = append(usages, full(i))
		case 0x18:
			low = int64(full(i))
		case 0x28:
			for u := low; u <= int64(full(i)) && len(usages) < 2000; u++ {
				usages = append(usages, hid.Usage(u))
			}
		case 0xA0, 0xC0, 0xB0, 0x90:
			usages = nil
		case 0x80:
			if f := num(i.Data); report == id && f&1 == 0 {
				if f&2 == 0 {
					return nil, false
				}
				for k := range count {
					if k < len(usages) {
						if _, twice := out[usages[k]]; twice {
							return nil, false
						}
						out[usages[k]] = [2]int{at[report] + k*size, size}
					}
				}
			}
			at[report] += count * size
			usages = nil
		}
	}
	return out, true
}

// In every reference descriptor with plain variable fields each control sits on the very bits that adding up sizes gives: flipping one
// of them moves that control, flipping any other bit does not.
func TestNeverAWrongBit(t *testing.T) {
	checked, plainOnes := 0, 0
	for _, row := range table(t, "hid_descriptors.csv") {
		d, err := hid.Parse(unhex(t, row[4]))
		if err != nil {
			continue
		}
		fw := everything(d)
		for _, r := range d.Reports {
			if r.Kind != hid.Input {
				continue
			}
			want, plain := spans(d, r.ID)
			if !plain || len(want) == 0 {
				continue
			}
			plainOnes++
			m := New(fw)
			size := 0
			for _, f := range r.Fields {
				size = max(size, f.Offset+f.Bits())
			}
			head := 0
			if d.HasIDs() {
				head = 1
			}
			wire := make([]byte, head+(size+7)/8)
			if head == 1 {
				wire[0] = r.ID
			}
			for bit := range size {
				s, err := m.Stream(unhex(t, row[4]))
				if err != nil {
					t.Fatal(err)
				}
				if _, err := s.Report(wire); err != nil {
					t.Fatalf("%s: %v", row[0], err)
				}
				flip := bytes.Clone(wire)
				flip[head+bit/8] ^= 1 << (bit % 8)
				changes, err := s.Report(flip)
				if err != nil {
					t.Fatalf("%s: %v", row[0], err)
				}
				for _, c := range changes {
					at, ok := want[fw.Rows[c.Row].Place.Usage]
					if !ok || bit < at[0] || bit >= at[0]+at[1] {
						t.Errorf("%s: bit %d moved %s, which lies at %v", row[0], bit, c.Name, at)
					}
					checked++
				}
			}
		}
	}
	t.Logf("%d input reports with plain fields, %d bits moved what they should", plainOnes, checked)
	if plainOnes < 5 || checked < 100 {
		t.Errorf("%d reports, %d bits are too few", plainOnes, checked)
	}
}

// The reports of the reference tables are all read by the descriptors they belong to.
func TestReferenceReports(t *testing.T) {
	desc := map[string][]byte{}
	for _, row := range table(t, "hid_descriptors.csv") {
		desc[row[0]] = unhex(t, row[4])
	}
	n := 0
	for _, row := range table(t, "hid_reports.csv") {
		b, ok := desc[row[0]]
		if !ok || row[5] == "" {
			continue
		}
		d, err := hid.Parse(b)
		if err != nil {
			continue
		}
		s, err := New(everything(d)).Stream(b)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Report(unhex(t, row[2])); err != nil {
			t.Errorf("%s, %s: %v", row[0], row[1], err)
		}
		n++
	}
	if n < 5 {
		t.Errorf("%d reports are too few", n)
	}
}

// Garbage is told and passed over: what was known before stays.
func TestGarbage(t *testing.T) {
	r := cue(t)
	m := New(r.Firmware)
	s, err := m.Stream(r.Firmware.Interfaces[0].Descriptor)
	if err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	before := s.Moment(0, nil)
	for range 2000 {
		b := make([]byte, rnd.IntN(17))
		for i := range b {
			b[i] = byte(rnd.Uint32())
		}
		if len(b) > 0 && b[0] == 1 {
			b[0] = 2
		}
		if _, err := s.Report(b); err == nil {
			t.Fatalf("%X was taken for a report", b)
		}
	}
	if after := s.Moment(0, nil); !bytes.Equal(before.Raw, after.Raw) || s.Bad() != 2000 {
		t.Error("garbage left traces")
	}
	for _, b := range [][]byte{nil, {1}, {0xF0}, bytes.Repeat([]byte{0xF0}, 21)} {
		if _, err := ReadIdentity(b); err == nil {
			t.Errorf("%X was taken for an identity", b)
		}
	}
	if known, all := s.Known(); known != all || all == 0 {
		t.Errorf("%d of %d lines have a place in our own descriptor", known, all)
	}
	stranger, err := m.Stream(unhex(t, "05010902A1010901A10005091901290315002501950375018102950175058101050109300931158125 7F750895028106C0C0"))
	if err != nil {
		t.Fatal(err)
	}
	if known, all := stranger.Known(); known > all/3 {
		t.Errorf("a mouse has %d of %d lines", known, all)
	}
}

// A report is understood far within a frame of 16 ms: half a millisecond is allowed here.
func TestSpeed(t *testing.T) {
	r := job.Check(project.Read("signal-desk", examples.File("signal-desk")), catalog.Builtin())
	m := New(r.Firmware)
	s, err := m.Stream(r.Firmware.Interfaces[0].Descriptor)
	if err != nil {
		t.Fatal(err)
	}
	size := 0
	for _, rep := range r.Firmware.Table.Reports {
		size = max(size, int(rep.Length))
	}
	b := make([]byte, size+1)
	b[0] = 1
	best := time.Hour
	for i := range 200 {
		b[1] ^= byte(i)
		start := time.Now()
		if _, err := s.Report(b); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(start))
	}
	t.Logf("signal-desk: %v a report", best)
	if best > 500*time.Microsecond {
		t.Errorf("a report takes %v", best)
	}
}

// No descriptor and no report make it panic, and a report that is refused changes nothing.
func FuzzStream(f *testing.F) {
	for _, row := range table(f, "hid_descriptors.csv") {
		f.Add(unhex(f, row[4]), []byte{1, 2, 3, 4, 5, 6, 7, 8}, []byte{1, 0, 0})
	}
	r := cue(f)
	f.Add(r.Firmware.Interfaces[0].Descriptor, []byte{1, 255, 255, 255}, []byte{1})
	m := New(r.Firmware)
	f.Fuzz(func(t *testing.T, desc, one, two []byte) {
		s, err := m.Stream(desc)
		if err != nil {
			return
		}
		_, _ = s.Report(one)
		was := s.Moment(0, nil)
		if _, err := s.Report(two); err != nil {
			if now := s.Moment(0, nil); !bytes.Equal(was.Raw, now.Raw) {
				t.Fatal("a refused report left traces")
			}
		}
		s.Known()
		s.Bench()
		_, _ = ReadIdentity(one)
		_, _ = ReadRaw(two)
	})
}
