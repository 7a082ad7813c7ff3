package firmware

import (
	"encoding/binary"
	"reflect"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/image"
)

// Kinds of things that have a name in the table.
const (
	nameInput   = 1
	nameEncoder = 2
	nameAxis    = 3
	nameLamp    = 4
	nameMiddle  = 5
	nameChoice  = 6
)

// build makes the table and the image.
func (w *worker) build() {
	if w.chip == nil || len(w.w.Plan.Seats) == 0 || len(w.list) == 0 {
		return
	}
	w.limitsOf()
	if w.refused {
		return
	}
	b, err := w.bench()
	if err != nil {
		return
	}
	w.r.Interfaces = append(w.r.Interfaces, b)
	if err := w.descriptors(); err != nil { // nothing that a file can say leads here
		return
	}
	t := &w.r.Table
	names := w.nameSection()
	make := func(serial string, named bool) ([]byte, error) {
		t.Extra = w.hostSections(serial)
		if named && len(names.Data) > 0 {
			t.Extra = append(t.Extra, names)
		}
		return t.Bytes()
	}
	named := true
	out, err := make("00000000", named)
	if err != nil || len(out) > w.chip.Room {
		named = false
		out, err = make("00000000", named)
	}
	if err != nil || len(out) > w.chip.Room {
		w.found(ruleRoom, finding.Finding{
			Head: "The table of this panel has " + itoa(len(out)) + " bytes; the " + w.chip.name + " has room for " + itoa(w.chip.Room) + ".", Body: "No image is made. Shorter names and fewer sequences make it smaller.",
			Ends: []finding.End{{Name: "module", Path: "module", Pos: w.p.Pos("module")}}, Measure: &finding.Measure{Have: float64(len(out)), Want: float64(w.chip.Room), Sense: finding.AtMost},
		})
		return
	}
	w.r.Device.Serial = serialOf(out)
	if out, err = make(w.r.Device.Serial, named); err != nil {
		return
	}
	back, err := Read(out)
	if err != nil || !sameTable(back.Table, *t) {
		w.found(ruleRoom, finding.Finding{
			Severity: finding.Stop, Head: "The table does not read back as it was written.", Body: "No image is made. This is a fault of the tool, not of the file.",
			Ends: []finding.End{{Name: "module", Path: "module", Pos: w.p.Pos("module")}},
		})
		return
	}
	w.r.Bytes = out
	w.image()
}

// sameTable compares what was written with what was read back.
func sameTable(a, b core.Table) bool {
	norm := func(t core.Table) core.Table {
		v := reflect.ValueOf(&t).Elem()
		for i := range v.NumField() {
			if f := v.Field(i); f.Kind() == reflect.Slice && f.Len() == 0 {
				f.SetZero()
			}
		}
		return t
	}
	return reflect.DeepEqual(norm(a), norm(b))
}

// nameSection writes what people call things: kind, number, length, text.
func (w *worker) nameSection() core.Section {
	var b []byte
	put := func(kind uint8, n int, s string) {
		if n > 255 || len(s) > 255 {
			return
		}
		b = append(append(b, kind, uint8(n), uint8(len(s))), s...)
	}
	t := &w.r.Table
	done := map[int]bool{}
	encoder, axisN := 0, 0
	for i := range w.list {
		x := &w.list[i]
		raws := w.raws(x)
		switch {
		case x.none:
			for k, n := range t.Neithers {
				if slices.Contains(w.neitherOf[i], int(n.Bit)) {
					put(nameMiddle, k, x.label)
				}
			}
		case x.coded:
			for j, raw := range raws {
				for k, in := range t.Inputs {
					if int(in.Raw) == raw && in.Bit != core.None && !done[k] {
						done[k] = true
						put(nameInput, k, w.w.Signals[x.sig[j]].Label)
						break
					}
				}
			}
		case x.kind == choose:
			for k, c := range t.Choices {
				if p := w.layout.axisAt[&x.does]; p.Width > 0 && c.Bit == w.layout.row(p) {
					put(nameChoice, k, x.label)
					break
				}
			}
		case x.kind == contact && len(raws) > 0:
			for k, in := range t.Inputs {
				if int(in.Raw) == raws[0] && in.Invert == x.invert && !done[k] {
					done[k] = true
					put(nameInput, k, x.label)
					break
				}
			}
		case x.kind == turn && len(raws) == 2 && encoder < len(t.Encoders) && (int(t.Encoders[encoder].A) == raws[0] || int(t.Encoders[encoder].B) == raws[0]):
			put(nameEncoder, encoder, x.label)
			encoder++
		case x.kind == track && axisN < len(t.Axes) && w.layout.row(w.layout.axisAt[&x.does]) == t.Axes[axisN].Bit && w.layout.axisAt[&x.does].Width > 0:
			put(nameAxis, axisN, x.label)
			axisN++
		}
	}
	for i, label := range w.lampLabels {
		put(nameLamp, i, label)
	}
	return core.Section{Type: secNames, Stride: 1, Count: uint16(len(b)), Data: b}
}

// image puts core and table together.
func (w *worker) image() {
	m, err := image.Place(image.Piece{Name: "core", Addr: w.chip.Start, Data: w.chip.core}, image.Piece{Name: "table", Addr: w.chip.Table, Data: w.r.Bytes})
	if err != nil {
		return
	}
	var data []byte
	if w.chip.kind == "uf2" {
		t := w.chip.target()
		data, err = image.WriteUF2(m, image.UF2Options{Family: t.Family, Sector: t.Sector, Fill: 0xFF})
	} else {
		data, err = image.WriteHEX(m, image.HEXOptions{})
	}
	if err != nil {
		return
	}
	w.r.Image.Name, w.r.Image.Data = "firmware."+w.chip.kind, data
}

// Parsed is a table that was read.
type Parsed struct {
	Table    core.Table
	Checksum uint32
	Length   int
	Device   Device
	Strings  []string
	Reports  []Interface // by interface
	Names    map[[2]int]string
	Sections []core.Section // all, in order
}

// layoutV1 is where the header of a table has its fields.
var layoutV1 = header{format: 8, revision: 9, chip: 10, least: 11, length: 12, flags: 14, crc: 4, from: 8, tick: 16, sections: 18, end: 20}

type header struct{ format, revision, chip, least, length, flags, crc, from, tick, sections, end int }

func le16(b []byte, at int) int { return int(binary.LittleEndian.Uint16(b[at:])) }
