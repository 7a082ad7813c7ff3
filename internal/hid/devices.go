package hid

import (
	"errors"
	"fmt"
)

// Part is one device within a descriptor: an outermost collection. The parts of this package are Joystick, Keyboard, BootKeyboard,
// Mouse, BootMouse, Consumer, System, Lamps and Vendor.
type Part interface {
	// Append writes the part; mistakes go to Builder.Fail.
	Append(b *Builder)
}

// Build writes the parts into one descriptor, reads it back and compares. Where there is more than one report of a kind, each part
// needs report numbers of its own.
func Build(parts ...Part) ([]byte, *Descriptor, error) {
	if len(parts) == 0 {
		return nil, nil, errors.New("a descriptor of no parts")
	}
	var b Builder
	for _, p := range parts {
		b.fresh()
		p.Append(&b)
	}
	return b.Finish()
}

// fresh forgets the report number of the part before, so that a part that forgets its own is found out.
func (b *Builder) fresh() { b.g.id = 0 }

// number writes a report number other than 0.
func (b *Builder) number(id uint8) {
	if id != 0 {
		b.ID(id)
	}
}

// Axis is one continuous control.
type Axis struct {
	Usage    Usage // X, Y, Slider, Dial, ...
	Min, Max int32 // logical range; its width is the resolution
	Bits     int   // 0: the least of 8, 16 and 32 that hold the range
	Flags    Flags // Relative, Wrap, NonLinear, NoPreferred, NullState; Variable is added
	// PhysicalMin, PhysicalMax, Unit and Exponent say what the range stands for; all 0 where it stands for nothing.
	PhysicalMin, PhysicalMax int32
	Unit                     Unit
	Exponent                 int
}

// field gives the field of an axis, for one control.
func (a Axis) field() (Field, error) {
	if a.Min >= a.Max {
		return Field{}, fmt.Errorf("axis %s: the range %d to %d is empty", a.Usage, a.Min, a.Max)
	}
	f := Field{
		Size: a.Bits, Count: 1, Flags: a.Flags | Variable, LogicalMin: a.Min, LogicalMax: a.Max,
		PhysicalMin: a.PhysicalMin, PhysicalMax: a.PhysicalMax, Unit: a.Unit, Exponent: a.Exponent,
		Usages: []Span{{Min: a.Usage, Max: a.Usage}},
	}
	if a.Bits == 0 {
		for _, f.Size = range []int{8, 16, 32} {
			if lo, hi := f.room(); int64(a.Min) >= lo && int64(a.Max) <= hi {
				break
			}
		}
	}
	if f.Size < 1 || f.Size > 32 {
		return Field{}, fmt.Errorf("axis %s: %d bits are not 1 to 32", a.Usage, f.Size)
	}
	if lo, hi := f.room(); int64(a.Min) < lo || int64(a.Max) > hi {
		return Field{}, fmt.Errorf("axis %s: the range %d to %d does not fit into %d bits", a.Usage, a.Min, a.Max, f.Size)
	}
	return f, nil
}

// Joystick is a joystick, game pad or other set of buttons, hats and axes. Its input report holds, in this order and each group filled
// up to a byte: the buttons from 1 up, one bit each; the hats, four bits each, 0 to 7 clockwise from the top and 8 for none; the axes
// in the order given. Lamps, if any, make an output report of the same number.
type Joystick struct {
	ID      uint8 // report number; 0 for none
	Usage   Usage // 0: JoystickUsage
	Buttons int   // 0 to 128
	Hats    int   // 0 to 4
	Axes    []Axis
	Lamps   int // generic indicators, one bit each
}

// Limits of a Joystick. Common practice: hosts' joystick interfaces stop at 128 buttons and four hats.
const (
	MaxButtons = 128
	MaxHats    = 4
)

// Append writes the joystick.
func (j Joystick) Append(b *Builder) {
	if j.Buttons < 0 || j.Buttons > MaxButtons || j.Hats < 0 || j.Hats > MaxHats {
		b.Fail(fmt.Errorf("a joystick of %d buttons and %d hats; %d and %d are the most", j.Buttons, j.Hats, MaxButtons, MaxHats))
		return
	}
	if j.Buttons+j.Hats+len(j.Axes) == 0 {
		b.Fail(errors.New("a joystick of no controls"))
		return
	}
	top := j.Usage
	if top == 0 {
		top = JoystickUsage
	}
	b.Begin(Application, top)
	b.number(j.ID)
	if j.Buttons > 0 {
		b.Field(Input, bitmap(Button(1), Button(j.Buttons)))
		b.Fill(Input)
	}
	if j.Hats > 0 {
		hat := Field{
			Size: 4, Count: j.Hats, Flags: Variable | NullState, LogicalMax: 7, PhysicalMax: 315, Unit: Degrees,
		}
		for range j.Hats {
			hat.Usages = append(hat.Usages, Span{Min: HatSwitch, Max: HatSwitch})
		}
		b.Field(Input, hat)
		b.Fill(Input)
	}
	b.axes(j.Axes)
	b.Fill(Input)
	b.indicators(j.Lamps, 1)
	b.End()
}

// axes writes axes, neighbours that differ in nothing but their usage as one field. Usages of different pages are kept in different
// fields, so that no host needs to understand usages that carry their page.
func (b *Builder) axes(axes []Axis) {
	var run Field
	for i, a := range axes {
		f, err := a.field()
		if err != nil {
			b.Fail(err)
			return
		}
		usages := f.Usages
		if i > 0 {
			f.Usages, f.Count = run.Usages, run.Count
			if same(&f, &run) && run.Usages[0].Min.Page() == a.Usage.Page() {
				run.Usages, run.Count = append(run.Usages, usages...), run.Count+1
				continue
			}
			b.Field(Input, run)
		}
		f.Usages, f.Count = usages, 1
		run = f
	}
	if len(axes) > 0 {
		b.Field(Input, run)
	}
}

// bitmap is a field of one bit for each usage from first to last.
func bitmap(first, last Usage) Field {
	s := Span{Min: first, Max: last}
	return Field{Size: 1, Count: s.Len(), Flags: Variable, LogicalMax: 1, Usages: []Span{s}}
}

// indicators writes an output report of n generic indicators.
func (b *Builder) indicators(n, bits int) {
	if n == 0 {
		return
	}
	if n < 0 || n > 1024 || bits < 1 || bits > 8 {
		b.Fail(fmt.Errorf("%d lamps of %d bits; 1 to 1024 of 1 to 8 bits can be", n, bits))
		return
	}
	b.Field(Output, Field{
		Size: bits, Count: n, Flags: Variable, LogicalMax: 1<<bits - 1, Usages: []Span{{Min: GenericIndicator, Max: GenericIndicator}},
	})
	b.Fill(Output)
}

// Lamps are lamps that the host drives, in a collection of their own: an output report of one generic indicator each.
type Lamps struct {
	ID    uint8
	Usage Usage // of the collection; 0: usage 2 of the vendor page
	Count int
	Bits  int // of each lamp: 1 (or 0) for on and off, up to 8 for brightness
}

// Append writes the lamps.
func (l Lamps) Append(b *Builder) {
	if l.Count == 0 {
		b.Fail(errors.New("a lamp collection of no lamps"))
		return
	}
	top := l.Usage
	if top == 0 {
		top = U(PageVendor, 2)
	}
	b.Begin(Application, top)
	b.number(l.ID)
	b.indicators(l.Count, max(1, l.Bits))
	b.End()
}

// VendorReport is a report of bytes that only our own programs read.
type VendorReport struct {
	Kind  Kind // Input, Output or Feature
	ID    uint8
	Usage Usage // 0: number 0x10 and up on the page of the collection
	Bytes int
}

// Vendor is a collection of such reports.
type Vendor struct {
	Page    uint16 // 0: PageVendor
	Usage   uint16 // 0: 1
	Reports []VendorReport
}

// Append writes the collection.
func (v Vendor) Append(b *Builder) {
	page, top := v.Page, v.Usage
	if page == 0 {
		page = PageVendor
	}
	if top == 0 {
		top = 1
	}
	if page < PageVendor {
		b.Fail(fmt.Errorf("page 0x%X is not a vendor's; those are 0xFF00 to 0xFFFF", page))
		return
	}
	b.Begin(Application, U(page, top))
	for i, r := range v.Reports {
		u := r.Usage
		if u == 0 {
			u = U(page, 0x10) + Usage(i)
		}
		if r.Bytes < 1 {
			b.Fail(fmt.Errorf("a vendor report of %d bytes", r.Bytes))
			return
		}
		b.number(r.ID)
		b.Field(r.Kind, Field{Size: 8, Count: r.Bytes, Flags: Variable, LogicalMax: 255, Usages: []Span{{Min: u, Max: u}}})
	}
	b.End()
}
