package rig

import (
	"encoding/binary"
	"errors"
	"fmt"

	"knobwright/firmware"
)

// Wiring is what hangs on a firmware's pins: a contact for each raw bit that the table reads, and a voltage for each channel.
type Wiring struct {
	contact map[int]func(closed bool) []string // lines, by raw bit
	axis    map[int]func(mv int) string        // by axis
	full    int                                // mV that read as 65535
}

// sections reads the directory of a table.
func sections(table []byte) (map[uint8]firmware.Section, error) {
	le := binary.LittleEndian
	if len(table) < 20 || len(table) < 20+6*int(table[18]) {
		return nil, errors.New("the table is shorter than its directory")
	}
	out := map[uint8]firmware.Section{}
	for i := range int(table[18]) {
		e := table[20+6*i:]
		s := firmware.Section{Type: e[0], Stride: e[1], Count: le.Uint16(e[2:])}
		at := int(le.Uint16(e[4:]))
		n := int(s.Stride) * int(s.Count)
		if at+n > len(table) {
			return nil, fmt.Errorf("section 0x%02X lies outside the table", s.Type)
		}
		s.Data = table[at : at+n]
		out[s.Type] = s
	}
	return out, nil
}

// record gives a record of a section.
func record(s firmware.Section, i int) []byte { return s.Data[i*int(s.Stride):] }

// Full is the voltage, in mV, that a chip's converter reads as its highest number: the supply of its pins.
func Full(chip firmware.Chip) int {
	if chip == firmware.ATmega32U4 {
		return 5000
	}
	return 3300
}

// Wire puts contacts to all that a table reads: contacts to ground on direct pins, contacts with diodes in the matrix, the inputs of
// chains, the lines of expanders, voltages to channels. All contacts are open at first. The back end needs no table yet.
func (b *Back) Wire(table []byte, chip firmware.Chip) (*Wiring, error) {
	all, err := sections(table)
	if err != nil {
		return nil, err
	}
	w := &Wiring{contact: map[int]func(bool) []string{}, axis: map[int]func(int) string{}, full: Full(chip)}
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	close1 := func(name string) func(bool) []string {
		return func(closed bool) []string {
			if closed {
				return []string{"close " + name}
			}
			return []string{"open " + name}
		}
	}
	contact := func(raw int) string {
		name := fmt.Sprintf("raw%d", raw)
		w.contact[raw] = close1(name)
		return name
	}
	for i := range int(all[0x30].Count) {
		r := record(all[0x30], i)
		add("switch %s %d gnd", contact(int(r[0])), r[1])
	}
	if all[0x31].Count > 0 {
		m := record(all[0x31], 0)
		for row := range int(m[1]) {
			for column := range int(m[2]) {
				add("switch %s %d %d diode", contact(int(m[0])+row*int(m[2])+column), record(all[0x33], column)[0], record(all[0x32], row)[0])
			}
		}
	}
	for i := range int(all[0x34].Count) {
		r := record(all[0x34], i)
		name := fmt.Sprintf("chain%d", i)
		add("chain %s %d %d %d %d", name, r[2], r[3], r[4], r[1])
		inverted := r[5]&1 != 0
		for k := range int(r[1]) {
			w.contact[int(r[0])+k] = func(closed bool) []string {
				return []string{fmt.Sprintf("chainbit %s %d %d", name, k, one(closed == inverted))}
			}
			lines = append(lines, w.contact[int(r[0])+k](false)...)
		}
	}
	for i := range int(all[0x35].Count) {
		r := record(all[0x35], i)
		name := fmt.Sprintf("expander%d", i)
		add("expander %s %d %d %d", name, r[2], r[3], r[1])
		inputs := binary.LittleEndian.Uint16(r[4:])
		for k := range 16 {
			if inputs>>k&1 != 0 {
				w.contact[int(r[0])+k] = func(closed bool) []string {
					return []string{fmt.Sprintf("line %s %d %s", name, k, map[bool]string{true: "low", false: "float"}[closed])}
				}
			}
		}
	}
	w.analog(all, add)
	_, err = b.Ask(lines...)
	return w, err
}

func (w *Wiring) analog(all map[uint8]firmware.Section, add func(string, ...any)) {
	for i := range int(all[0x36].Count) {
		r := record(all[0x36], i)
		line := fmt.Sprintf("mux mux%d %d", i, r[0])
		for _, pin := range r[1:4] {
			if pin != firmware.No {
				line += fmt.Sprintf(" %d", pin)
			}
		}
		add("%s", line)
	}
	for i := range int(all[0x37].Count) {
		r := record(all[0x37], i)
		w.axis[int(r[0])] = func(mv int) string {
			if r[2] != firmware.No {
				return fmt.Sprintf("muxline mux%d %d %d", r[2], r[3], mv)
			}
			return fmt.Sprintf("adc %d %d", r[1], mv)
		}
	}
	for i := range int(all[0x38].Count) {
		r := record(all[0x38], i)
		limit := func(k int) int { return int(binary.LittleEndian.Uint16(record(all[0x39], int(r[3])+k))) }
		mv := func(value int) string { return fmt.Sprintf("adc %d %d", r[0], (value*w.full+65534)/65535) }
		add("%s", mv(65535))
		for k := range int(r[2]) {
			low := 0
			if k > 0 {
				low = limit(k - 1)
			}
			middle := (low + limit(k)) / 2
			w.contact[int(r[1])+k] = func(closed bool) []string {
				if closed {
					return []string{mv(middle)}
				}
				return []string{mv(65535)}
			}
		}
	}
}

func one(on bool) int {
	if on {
		return 1
	}
	return 0
}

// Contact gives the lines that close or open the contact of a raw bit; nil where the table reads none there.
func (w *Wiring) Contact(raw int, closed bool) []string {
	f, ok := w.contact[raw]
	if !ok {
		return nil
	}
	return f(closed)
}

// Voltage gives the line that brings a voltage to an axis; "" where the table has no such axis. value is a part of 65535.
func (w *Wiring) Voltage(axis, value int) string {
	f, ok := w.axis[axis]
	if !ok {
		return ""
	}
	return f((value*w.full + 32767) / 65535)
}
