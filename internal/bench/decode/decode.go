// Package decode reads what a panel sends: its normal reports by the descriptor that it gives itself, and the reports that our firmware
// keeps for the bench. It says which lines of the mapping moved, and makes moments for package diagnosis. It knows nothing of devices:
// bytes come in, meanings go out. Everything is pure.
package decode

import (
	"fmt"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/hid"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/firmware"
)

// Mapping is what a file says that its panel sends.
type Mapping struct {
	rows []firmware.Row
	axis []int // by row: axis of the table, -1 = none
	tab  core.Table
	crc  uint32
	raw  int // bytes of the row of raw bits
}

// New takes the firmware part of a job. Without a table (no module yet) it still reads normal reports.
func New(fw firmware.Result) *Mapping {
	m := &Mapping{rows: fw.Rows, tab: fw.Table, axis: make([]int, len(fw.Rows))}
	if b := fw.Bytes; len(b) >= 8 {
		m.crc = uint32(b[4]) | uint32(b[5])<<8 | uint32(b[6])<<16 | uint32(b[7])<<24
	}
	for i, r := range fw.Rows {
		m.axis[i] = -1
		for _, raw := range r.Raw {
			m.raw = max(m.raw, raw/8+1)
		}
		if r.Lamp || r.Place.Interface == "" {
			continue
		}
		for _, rep := range fw.Table.Reports {
			if int(rep.ID) != r.Place.Report || rep.Output {
				continue
			}
			bit := 8*int(rep.Start) + r.Place.Bit
			for k, a := range fw.Table.Axes {
				if int(a.Bit) == bit {
					m.axis[i] = k
				}
			}
		}
	}
	return m
}

// Table is the checksum of the file's table, 0 without one.
func (m *Mapping) Table() uint32 { return m.crc }

// Axial reports whether a line of the mapping is a voltage.
func (m *Mapping) Axial(row int) bool { return row >= 0 && row < len(m.axis) && m.axis[row] >= 0 }

// Rows are the lines of the mapping.
func (m *Mapping) Rows() []firmware.Row { return m.rows }

// Change is a line of the mapping that moved.
type Change struct {
	Row  int     `json:"row"`  // index into the mapping
	Name string  `json:"name"` // "go", "scene/turn/right"
	On   bool    `json:"on"`   // buttons and keys: down
	Part float64 `json:"part"` // axes: 0 to 1 of its range
	Axis bool    `json:"axis,omitempty"`
}

// Stream reads the reports of one interface of one device.
type Stream struct {
	m    *Mapping
	desc *hid.Descriptor
	last map[uint8]map[place]hid.Control // by report number
	part map[int]float64                 // axes by row, as last seen
	bad  int
}

// place tells controls with one usage apart: the first X, the second X.
type place struct {
	u hid.Usage
	n int
}

// Stream starts reading by the report descriptor that a device gives. The error is that of hid.Parse: a device with such a descriptor
// is passed over.
func (m *Mapping) Stream(descriptor []byte) (*Stream, error) {
	d, err := hid.Parse(descriptor)
	if err != nil {
		return nil, fmt.Errorf("its report descriptor cannot be read: %w", err)
	}
	return &Stream{m: m, desc: d, last: map[uint8]map[place]hid.Control{}, part: map[int]float64{}}, nil
}

// Known counts the lines of the mapping that the device's descriptor has a place for, and all that want one. A stranger has few or none.
func (s *Stream) Known() (known, all int) {
	have := map[hid.Usage]bool{}
	for _, r := range s.desc.Reports {
		if r.Kind != hid.Input {
			continue
		}
		for _, f := range r.Fields {
			n := f.Count
			if f.IsArray() {
				n = f.Choices()
			}
			for i := range min(n, 4096) {
				if u, ok := f.Usage(i); ok {
					have[u] = true
				}
			}
		}
	}
	for _, r := range s.m.rows {
		if r.Lamp || r.Place.Interface == "" {
			continue
		}
		all++
		if have[r.Place.Usage] {
			known++
		}
	}
	return known, all
}

// Bench reports whether this interface is the one that our firmware keeps for the bench: it has the features identity and raw bits.
func (s *Stream) Bench() bool {
	return s.desc.Report(hid.Feature, idIdentity) != nil && s.desc.Report(hid.Feature, idRaw) != nil
}

// Bad counts reports that could not be read.
func (s *Stream) Bad() int { return s.bad }

// Report takes a report as it came, its number first where reports have numbers, and gives the lines of the mapping that moved since
// the last one, in file order. A report that does not fit the descriptor is an error, and changes nothing.
func (s *Stream) Report(wire []byte) ([]Change, error) {
	controls, err := s.desc.Decode(hid.Input, wire)
	if err != nil {
		s.bad++
		return nil, fmt.Errorf("a report of %d bytes came that this panel does not send (%w); it was passed over", len(wire), err)
	}
	id := uint8(0)
	if s.desc.HasIDs() {
		id = wire[0]
	}
	now := map[place]hid.Control{}
	count := map[hid.Usage]int{}
	for _, c := range controls {
		now[place{c.Usage, count[c.Usage]}] = c
		count[c.Usage]++
	}
	was := s.last[id]
	s.last[id] = now
	var out []Change
	taken := map[hid.Usage]int{}
	for i, r := range s.m.rows {
		if r.Lamp || r.Place.Interface == "" {
			continue
		}
		at := place{r.Place.Usage, 0}
		if s.m.axis[i] >= 0 { // two axes may have one usage; two contacts of one usage share a bit
			at.n = taken[at.u]
			taken[at.u]++
		}
		f, here := s.field(id, r.Place.Usage)
		if !here {
			continue
		}
		c, is := now[at]
		o, had := was[at]
		if s.axial(i, f) {
			if !is || c.Null || had && o == c {
				continue
			}
			part := 0.0
			if span := float64(f.LogicalMax) - float64(f.LogicalMin); span > 0 {
				part = min(max((float64(c.Value)-float64(f.LogicalMin))/span, 0), 1)
			}
			s.part[i] = part
			out = append(out, Change{Row: i, Name: r.Name, Part: part, Axis: true, On: f.Flags&hid.Relative != 0 && c.Value != 0})
			continue
		}
		on, off := s.down(r, c, is), s.down(r, o, had)
		if on != off {
			out = append(out, Change{Row: i, Name: r.Name, On: on})
		}
	}
	return out, nil
}

// down tells whether a line of the mapping is held: a hat's direction is by the eighths that it takes.
func (s *Stream) down(r firmware.Row, c hid.Control, is bool) bool {
	if !is || c.Null {
		return false
	}
	if r.Place.Usage != hatUsage {
		return c.Value != 0
	}
	turn := map[string]int64{"up": 0, "right": 2, "down": 4, "left": 6}
	for word, at := range turn {
		if len(r.Sends) >= len(word) && r.Sends[len(r.Sends)-len(word):] == word {
			d := (c.Value - at + 8) % 8
			return c.Value >= 0 && c.Value < 8 && (d == 0 || d == 1 || d == 7)
		}
	}
	return false
}

const hatUsage = hid.Usage(0x00010039)

// axial tells whether a line is a position and not a contact.
func (s *Stream) axial(row int, f *hid.Field) bool {
	return s.m.axis[row] >= 0 || !f.IsArray() && f.Size > 1 && s.m.rows[row].Place.Usage != hatUsage
}

// field finds the field of a report that has a usage.
func (s *Stream) field(id uint8, u hid.Usage) (*hid.Field, bool) {
	r := s.desc.Report(hid.Input, id)
	if r == nil {
		return nil, false
	}
	for k := range r.Fields {
		f := &r.Fields[k]
		n := f.Count
		if f.IsArray() {
			n = f.Choices()
		}
		if f.IsFill() {
			continue
		}
		for i := range min(n, 4096) {
			if x, ok := f.Usage(i); ok && x == u {
				return f, true
			}
		}
	}
	return nil, false
}

// Moment makes a moment of the raw bits and of the positions that the stream has seen; positions are left out before the first report.
// raw may be nil: without our firmware the bits are
// made from what is sent, where a line has one contact.
func (s *Stream) Moment(at float64, raw []byte) diagnosis.Moment {
	out := diagnosis.Moment{At: at, Raw: slices.Clone(raw)}
	if raw == nil {
		out.Raw = make([]byte, s.m.raw)
		for i, r := range s.m.rows {
			if len(r.Raw) != 1 || s.m.axis[i] >= 0 {
				continue
			}
			c, is := s.last[uint8(r.Place.Report)][place{r.Place.Usage, 0}]
			if s.down(r, c, is) {
				out.Raw[r.Raw[0]/8] |= 1 << (r.Raw[0] % 8)
			}
		}
	}
	if len(s.part) == 0 { // no report has told yet where they stand
		return out
	}
	out.Axes = make([]uint16, len(s.m.tab.Axes))
	for i, a := range s.m.axis {
		if p, ok := s.part[i]; a >= 0 && ok {
			out.Axes[a] = s.m.reading(a, p)
		}
	}
	return out
}

// reading turns the share of an axis's range back into the voltage that it comes from, as a part of 65535: what core/axis.c does,
// backwards. Within a dead zone it is the middle.
func (m *Mapping) reading(axis int, part float64) uint16 {
	a := m.tab.Axes[axis]
	if a.Invert {
		part = 1 - part
	}
	lo, hi := float64(a.Lo), float64(a.Hi)
	v := lo + part*(hi-lo)
	if a.HasMiddle {
		mid, dead := float64(a.Mid), float64(a.Dead)
		switch {
		case part < 0.5:
			v = lo + 2*part*(mid-dead-lo)
		case part > 0.5:
			v = mid + dead + (2*part-1)*(hi-mid-dead)
		default:
			v = mid
		}
	}
	return uint16(min(max(v+0.5, 0), 65535))
}
