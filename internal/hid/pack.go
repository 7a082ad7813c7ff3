package hid

import (
	"errors"
	"fmt"
)

// Value reads the i-th control of the field out of a report without its report number. It is signed when the field is. Fields wider
// than 32 bits, reports that are too short and controls that do not exist give an error.
func (f *Field) Value(report []byte, i int) (int64, error) {
	at, err := f.place(report, i)
	if err != nil {
		return 0, err
	}
	var v uint64
	for n := range f.Size {
		v |= uint64(report[(at+n)/8]>>((at+n)%8)&1) << n
	}
	if f.Signed() && v>>(f.Size-1) == 1 {
		return int64(v) - 1<<f.Size, nil
	}
	return int64(v), nil
}

// SetValue writes the i-th control of the field into a report without its report number, and leaves all other bits alone. A value
// that the bits cannot hold is an error, and so is one outside the logical range where the field has no null state. Arrays and
// constant fields take whatever their bits hold.
func (f *Field) SetValue(report []byte, i int, v int64) error {
	at, err := f.place(report, i)
	if err != nil {
		return err
	}
	if lo, hi := f.room(); v < lo || v > hi {
		return fmt.Errorf("%d does not fit into %d bits (%d to %d)", v, f.Size, lo, hi)
	}
	if f.Flags&Variable != 0 && f.Flags&(Constant|NullState) == 0 && !f.inRange(v) {
		return fmt.Errorf("%d is outside %d to %d", v, f.LogicalMin, f.LogicalMax)
	}
	for n := range f.Size {
		bit := byte(1) << ((at + n) % 8)
		if v>>n&1 == 1 {
			report[(at+n)/8] |= bit
		} else {
			report[(at+n)/8] &^= bit
		}
	}
	return nil
}

// place gives the first bit of the i-th control.
func (f *Field) place(report []byte, i int) (int, error) {
	switch {
	case i < 0 || i >= f.Count:
		return 0, fmt.Errorf("control %d of a field of %d", i, f.Count)
	case f.Size < 1 || f.Size > 32:
		return 0, fmt.Errorf("a control of %d bits; values have 1 to 32", f.Size)
	}
	at := f.Offset + i*f.Size
	if at < 0 || at+f.Size > len(report)*8 {
		return 0, fmt.Errorf("the report has %d bytes; the control ends in bit %d", len(report), at+f.Size-1)
	}
	return at, nil
}

// inRange tells whether a value is in the logical range. A range with its ends swapped holds everything: the field says nothing useful.
func (f *Field) inRange(v int64) bool {
	return f.LogicalMax < f.LogicalMin || v >= int64(f.LogicalMin) && v <= int64(f.LogicalMax)
}

// Null gives a value that the field's bits can hold and that its logical range does not: none pressed, no direction. It is the next
// value above the range where there is room, else the next below. False where the range fills the bits.
func (f *Field) Null() (int64, bool) {
	if f.Size < 1 || f.Size > 32 || f.LogicalMax < f.LogicalMin {
		return 0, false
	}
	lo, hi := f.room()
	switch {
	case int64(f.LogicalMax) < hi:
		return max(lo, int64(f.LogicalMax)+1), true
	case int64(f.LogicalMin) > lo:
		return int64(f.LogicalMin) - 1, true
	}
	return 0, false
}

// Control is the state of one control in a report.
type Control struct {
	Usage Usage
	Value int64 // of a control listed in an array: 1
	Null  bool  // the field has a null state and holds a value outside its range: Value is then of no meaning
}

// Errors of Decode and Encode that callers may want to tell apart.
var (
	ErrNoReport = errors.New("the descriptor has no such report")
	ErrLength   = errors.New("the report has the wrong length")
	ErrNoPlace  = errors.New("the report has no place for this control")
)

// Decode reads a report as it is sent: with its number first where numbers are in use. It gives every control of the variable fields
// and, of the arrays, those that are on; fill and fields wider than 32 bits are left out. The order is that of the bits.
func (d *Descriptor) Decode(kind Kind, wire []byte) ([]Control, error) {
	id := uint8(0)
	if d.HasIDs() {
		if len(wire) == 0 {
			return nil, fmt.Errorf("%w: no report number", ErrLength)
		}
		id, wire = wire[0], wire[1:]
	}
	r := d.Report(kind, id)
	if r == nil {
		return nil, fmt.Errorf("%w: %s, number %d", ErrNoReport, kind, id)
	}
	if len(wire) != r.Bytes() {
		return nil, fmt.Errorf("%w: %d bytes, %d wanted", ErrLength, len(wire), r.Bytes())
	}
	var out []Control
	for n := range r.Fields {
		f := &r.Fields[n]
		if f.IsFill() || f.Size > 32 || len(f.Usages) == 0 {
			continue
		}
		for i := range f.Count {
			v, err := f.Value(wire, i)
			if err != nil {
				return nil, err
			}
			if !f.IsArray() {
				u, _ := f.Usage(i)
				out = append(out, Control{Usage: u, Value: v, Null: f.Flags&NullState != 0 && !f.inRange(v)})
			} else if u, ok := f.choice(v); ok {
				out = append(out, Control{Usage: u, Value: 1})
			}
		}
	}
	return out, nil
}

// choice gives the usage that an array's value stands for: the logical minimum stands for the first one. Values outside of the range,
// and usage 0 of a page, which by convention means none, stand for no control. Source: HID 1.11, 6.2.2.5 and 8.1.
func (f *Field) choice(v int64) (Usage, bool) {
	if !f.inRange(v) {
		return 0, false
	}
	u, ok := f.Usage(int(v - int64(f.LogicalMin)))
	return u, ok && u.ID() != 0
}

// index is the value by which an array names a usage.
func (f *Field) index(u Usage) (int64, bool) {
	n := int64(0)
	for _, s := range f.Usages {
		if u >= s.Min && u <= s.Max {
			v := int64(f.LogicalMin) + n + int64(u-s.Min)
			lo, hi := f.room()
			return v, f.inRange(v) && v >= lo && v <= hi
		}
		n += int64(s.Len())
	}
	return 0, false
}

// Encode writes a report as it is sent. Controls take the places of their usages in order: the second X goes to the second place for
// X. In arrays, controls with Value other than 0 fill the free slots. Controls that are not given hold null where the field has a null
// state, else 0 or the value of the range nearest to 0. A control without a place is an error: ErrNoPlace.
func (d *Descriptor) Encode(kind Kind, id uint8, controls []Control) ([]byte, error) {
	r := d.Report(kind, id)
	if r == nil {
		return nil, fmt.Errorf("%w: %s, number %d", ErrNoReport, kind, id)
	}
	left := map[Usage][]Control{}
	for _, c := range controls {
		left[c.Usage] = append(left[c.Usage], c)
	}
	data := make([]byte, r.Bytes())
	for n := range r.Fields {
		f := &r.Fields[n]
		if f.IsFill() || f.Size > 32 || len(f.Usages) == 0 {
			continue
		}
		put := f.encodeVariable
		if f.IsArray() {
			put = func(data []byte, left map[Usage][]Control) error { return f.encodeArray(data, controls, left) }
		}
		if err := put(data, left); err != nil {
			return nil, err
		}
	}
	for _, c := range controls {
		if len(left[c.Usage]) > 0 {
			return nil, fmt.Errorf("%w: %s", ErrNoPlace, c.Usage)
		}
	}
	if id != 0 {
		data = append([]byte{id}, data...)
	}
	return data, nil
}

func (f *Field) encodeVariable(data []byte, left map[Usage][]Control) error {
	for i := range f.Count {
		u, _ := f.Usage(i)
		v, given := int64(0), false
		if cs := left[u]; len(cs) > 0 {
			v, given = cs[0].Value, !cs[0].Null
			if cs[0].Null && f.Flags&NullState == 0 {
				return fmt.Errorf("%s has no null state", u)
			}
			left[u] = cs[1:]
		}
		if !given {
			v = f.rest()
		}
		if err := f.SetValue(data, i, v); err != nil {
			return fmt.Errorf("%s: %w", u, err)
		}
	}
	return nil
}

// rest is what a variable field holds when nothing is said: null if it can, else 0 or the value of the range nearest to it.
func (f *Field) rest() int64 {
	if v, ok := f.Null(); ok && f.Flags&NullState != 0 {
		return v
	}
	if f.LogicalMax < f.LogicalMin {
		return 0
	}
	lo, hi := f.room()
	return max(lo, min(hi, max(int64(f.LogicalMin), min(int64(f.LogicalMax), 0))))
}

func (f *Field) encodeArray(data []byte, controls []Control, left map[Usage][]Control) error {
	slot := 0
	for _, c := range controls {
		v, ok := f.index(c.Usage)
		if !ok || len(left[c.Usage]) == 0 {
			continue
		}
		if left[c.Usage] = left[c.Usage][1:]; c.Value == 0 {
			continue
		}
		if slot == f.Count {
			return fmt.Errorf("%w: %s; all %d slots are taken", ErrNoPlace, c.Usage, f.Count)
		}
		if err := f.SetValue(data, slot, v); err != nil {
			return fmt.Errorf("%s: %w", c.Usage, err)
		}
		slot++
	}
	none, ok := f.none()
	for ; slot < f.Count; slot++ {
		if !ok {
			return fmt.Errorf("the array of %d bits from bit %d has no value for an empty slot", f.Size, f.Offset)
		}
		if err := f.SetValue(data, slot, none); err != nil {
			return err
		}
	}
	return nil
}

// none is an array's value for an empty slot: 0 where that stands for no control, else a value outside of the range.
func (f *Field) none() (int64, bool) {
	if _, on := f.choice(0); !on {
		return 0, true
	}
	return f.Null()
}
